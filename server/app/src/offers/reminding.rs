//! Reminding clubs that have not answered.

use chrono::{DateTime, TimeDelta, Utc};

use super::letters::Letters;
use super::offering::must_be_offered;
use super::post::Post;
use super::store::{self, OfferRow};
use super::view::{RoundOffers, load};
use super::words::OfferState;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::Result;
use crate::hires;
use crate::ids::{OfferId, RoundId};

/// A club is reminded no more often than this: two coordinators do not both press on it (common practice, no source).
pub(super) const REMINDED_EVERY: TimeDelta = TimeDelta::hours(20);

/// Mails the clubs that have not answered, but for those reminded less than 20 hours ago.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_offered`.
pub async fn remind_clubs(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<RoundOffers> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let held = hires::hold_round(tx, network, round).await?;
    must_be_offered(&held)?;
    let mut open = store::offers(tx, network, round, &[OfferState::Offered]).await?;
    open.retain(|offer| offer.answer_by > now && may_be_reminded(offer, now));
    let post = Post { network, now };
    let letters = Letters::about(tx, network, &held, public_url).await?;
    for offer in &open {
        post.to_leads(tx, offer.club_id, |to| letters.reminder(to, offer)).await?;
    }
    let ids: Vec<OfferId> = open.iter().map(|offer| offer.id).collect();
    store::remind(tx, network, &ids, now).await?;
    load(tx, member, round).await
}

fn may_be_reminded(offer: &OfferRow, now: DateTime<Utc>) -> bool {
    offer.reminded_at.is_none_or(|at| at + REMINDED_EVERY <= now)
}
