//! Pins and bans: where the coordinator wants a request to be, or not to be, whatever a plan would prefer.

use chrono::{DateTime, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::asking::not_to_plan;
use super::store::facts::{self as store, PinRow};
use super::view::{PlannedRound, load};
use super::words::PinKind;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Result, invalid, refuse};
use crate::hires::{RoundState, hold_round, round_facts};
use crate::ids::{MachineId, NetworkId, PinId, RequestId, RoundId};

/// A pin or ban that is kept.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Pin {
    /// The pin.
    pub pin_id: PinId,
    /// What it says.
    #[serde(flatten)]
    pub said: MakePin,
}

/// Where a request is to be, or not to be.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct MakePin {
    /// Which request.
    pub request_id: RequestId,
    /// Be there, or do not.
    pub kind: PinKind,
    /// On which machine; null for any.
    pub machine_id: Option<MachineId>,
    /// When it begins, network-local; null for any: a pin of any says that it must be served, a ban of any that it must
    /// not.
    #[schema(value_type = Option<String>, example = "2027-05-04T00:00:00")]
    pub half_day: Option<NaiveDateTime>,
}

impl From<PinRow> for Pin {
    fn from(row: PinRow) -> Self {
        let said =
            MakePin { request_id: row.request_id, kind: row.kind, machine_id: row.machine_id, half_day: row.half_day };
        Self { pin_id: row.id, said }
    }
}

/// Pins or forbids; a pin takes the place of the one the request had. Plans made before are out of date.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_to_plan` outside the time of planning; `invalid` for a request or machine
/// that is not in the round, or a half-day outside it.
pub async fn make_pin(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    said: &MakePin,
    now: DateTime<Utc>,
) -> Result<PlannedRound> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    require_planning(tx, network, round).await?;
    let facts = round_facts(tx, network, round).await?;
    if !facts.requests.iter().any(|request| request.request_id == said.request_id) {
        return Err(invalid("request_id", "It is not asked for in this round.").into());
    }
    if said.machine_id.is_some_and(|id| !facts.machines.iter().any(|machine| machine.machine_id == id)) {
        return Err(invalid("machine_id", "It is not in this round.").into());
    }
    let outside = |at: NaiveDateTime| at.date() < facts.from_on || at.date() > facts.until_on;
    if said.half_day.is_some_and(outside) {
        return Err(invalid("half_day", "It lies outside the round.").into());
    }
    let pin = PinRow {
        id: PinId::new(),
        request_id: said.request_id,
        kind: said.kind,
        machine_id: said.machine_id,
        half_day: said.half_day,
    };
    store::put_pin(tx, network, round, member.person_id, &pin).await?;
    load(tx, member, round, now).await
}

/// Takes a pin or ban away; one that is gone already is left so.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_to_plan`.
pub async fn drop_pin(
    tx: &mut Tx,
    member: &Member,
    (round, pin): (RoundId, PinId),
    now: DateTime<Utc>,
) -> Result<PlannedRound> {
    member.require(Act::RunRound, None)?;
    require_planning(tx, member.network_id, round).await?;
    store::drop_pin(tx, member.network_id, round, pin).await?;
    load(tx, member, round, now).await
}

async fn require_planning(tx: &mut Tx, network: NetworkId, round: RoundId) -> Result<()> {
    match hold_round(tx, network, round).await?.state {
        RoundState::RequestsClosed => Ok(()),
        RoundState::Agreed => {
            Err(refuse(Code::RoundNotToPlan, "It is agreed: close a ground, or move the booking itself.").into())
        }
        state => Err(not_to_plan(state).into()),
    }
}
