//! What needs somebody about the money of hires: treasurers owe, the coordinator enters and settles.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::{Need, NeedKind, clubs_of};
use crate::access::{Member, Role};
use crate::database::Tx;
use crate::error::Result;
use crate::figures::pounds;
use crate::hire_shares::{OpenHire, OpenShare, open_hires, open_shares};
use crate::time::local;

/// What the clubs of a treasurer owe for hires.
pub(super) async fn of_treasurer(tx: &mut Tx, member: &Member) -> Result<Vec<Need>> {
    let treasurer_of = clubs_of(member, |role| role == Role::Treasurer);
    let open = open_shares(tx, member.network_id, &treasurer_of).await?;
    let owes = |share: OpenShare| {
        let sentence =
            format!("{} owes {} for the hire of {}.", share.club_name, pounds(share.owes_pence), share.machine_name);
        Need::of(NeedKind::HireOwed, sentence, format!("/rounds/{}/shares", share.round_id))
    };
    Ok(open.into_iter().map(owes).collect())
}

/// Hires that are over and whose shares a coordinator has not entered or not settled.
pub(super) async fn of_coordinator(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let open = open_hires(tx, member.network_id, local(zone, now)).await?;
    Ok(open.into_iter().map(waiting).collect())
}

fn waiting(hire: OpenHire) -> Need {
    let OpenHire { machine_name: machine, round_title: title, round_id, total_pence } = hire;
    let (kind, sentence) = match total_pence {
        None => (NeedKind::HireToEnter, format!("“{title}” is over: enter what {machine} came to.")),
        Some(pence) => {
            let came_to = pounds(pence);
            (NeedKind::HireToSettle, format!("“{title}”: {machine}, {came_to}, is shared and not settled yet."))
        }
    };
    Need::of(kind, sentence, format!("/rounds/{round_id}/shares"))
}
