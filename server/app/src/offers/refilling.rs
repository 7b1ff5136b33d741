//! Places that were declined, or not answered in time, offered to the next best.

use chrono::{DateTime, TimeDelta, Utc};

use super::offering::{offer, places};
use super::settling::schedule;
use super::store::{self, NewOffer};
use super::words::OfferState;
use crate::database::{Scope, Tx};
use crate::error::{Code, Error, Result};
use crate::hires::{self, HeldRound, RoundState};
use crate::ids::{NetworkId, PersonId, PlanId, RoundId};
use crate::rounds::{self, PlacedRequest};
use crate::service::Service;
use crate::time::{instant, zone_of};

/// How long a club has at least to answer when a place comes to it later than to the others (common practice, no
/// source). It never has longer than until the place begins.
const TIME_TO_ANSWER: TimeDelta = TimeDelta::days(2);

/// Has the places that came free planned again, where the round offers them on.
pub(super) async fn ask(
    tx: &mut Tx,
    network: NetworkId,
    round: RoundId,
    person: PersonId,
    now: DateTime<Utc>,
) -> Result<()> {
    if hires::offers_on(tx, network, round).await? {
        rounds::ask_refill(tx, network, round, person, now).await?;
    }
    Ok(())
}

/// Offers what a refill plan gives to those who have no place on offer. One that came too late is left alone: another
/// was made since, or the round is agreed or taken back.
///
/// # Errors
/// A failing database.
pub async fn offer_refill(service: &Service, network: NetworkId, plan: PlanId, now: DateTime<Utc>) -> Result<()> {
    let public_url = &service.config.public_url;
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let Some(round) = rounds::ready_refill(&mut tx, network, plan).await? else { return Ok(()) };
    let held = hires::hold_round(&mut tx, network, round).await?;
    // Another may have been asked for while this waited for the round.
    let is_ready = rounds::ready_refill(&mut tx, network, plan).await?.is_some();
    if held.state != RoundState::Offered || !is_ready {
        return Ok(());
    }
    match rounds::require_fresh(&mut tx, network, plan, now).await {
        Ok(()) => {
            let new = offers_of(&mut tx, network, &held, plan, now).await?;
            offer(&mut tx, network, &held, &new, public_url, now).await?;
            rounds::choose_refill(&mut tx, network, (round, plan)).await?;
        }
        Err(Error::Refused(refused)) if refused.code == Code::PlanStale => {
            rounds::end_refills(&mut tx, network, round).await?;
            let opened_by = store::opened_by(&mut tx, network, round).await?;
            ask(&mut tx, network, round, opened_by, now).await?;
        }
        Err(error) => return Err(error),
    }
    // Where nobody is left to ask there may be nothing to wait for any more.
    schedule(&mut tx, network, round, now).await?;
    tx.commit().await
}

async fn offers_of(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    plan: PlanId,
    now: DateTime<Utc>,
) -> Result<Vec<NewOffer>> {
    let before = store::offers(tx, network, held.round_id, OfferState::ALL).await?;
    let has_one = |block: &PlacedRequest| {
        let live = [OfferState::Offered, OfferState::Accepted, OfferState::Booked];
        before.iter().any(|offer| offer.request_id == block.request_id && live.contains(&offer.state))
    };
    let mut blocks = rounds::places_of_plan(tx, network, plan).await?;
    blocks.retain(|block| !has_one(block));
    let standing = before.iter().filter(|offer| offer.state != OfferState::Withdrawn);
    let date = standing.map(|offer| offer.answer_by).max().unwrap_or(now).max(now + TIME_TO_ANSWER);
    let zone = zone_of(tx, network).await?;
    let mut new = places(tx, held, network, (plan, &blocks), (date, now)).await?;
    for offer in &mut new {
        offer.answer_by = date.min(instant(zone, offer.span.0.from()));
    }
    new.retain(|offer| offer.answer_by > now);
    Ok(new)
}
