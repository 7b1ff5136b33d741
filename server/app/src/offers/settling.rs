//! What the queue does with a round that is offered: offers lapse at their date, and when no answer is outstanding the
//! round is agreed, or planned again where nobody took a place.

use chrono::{DateTime, TimeDelta, Utc};
use diesel_async::AsyncPgConnection;

use super::agreeing::agree;
use super::letters::Letters;
use super::post::Post;
use super::refilling;
use super::store::{self, OfferRow};
use super::words::OfferState;
use crate::database::{Scope, Tx};
use crate::error::{Error, Refused, Result};
use crate::hires::{self, HeldRound, RoundState};
use crate::ids::{NetworkId, RoundId};
use crate::jobs::{self, Job};
use crate::rounds;
use crate::service::Service;

/// How soon to look again for a plan of declined places that is being made; mostly it says itself when it is there.
const LOOKS_AGAIN: TimeDelta = TimeDelta::minutes(5);

/// Lets the queue look at a round at an instant.
pub(super) async fn schedule(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    at: DateTime<Utc>,
) -> Result<()> {
    jobs::enqueue(tx, Some(network), &Job::SettleRound { settle_round: round }, at).await
}

/// Carries an offered round on: lapses what is due, and agrees the round when no answer is outstanding. A round that
/// was agreed or taken back meanwhile is left alone. Where a place cannot be booked nothing is, and the coordinators
/// are told which and why.
///
/// # Errors
/// A failing database.
pub async fn settle_round(service: &Service, network: NetworkId, round: RoundId, now: DateTime<Utc>) -> Result<()> {
    let public_url = &service.config.public_url;
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let Some(held) = hold_offered(&mut tx, network, round).await? else { return Ok(()) };
    lapse_due(&mut tx, network, &held, public_url, now).await?;
    let waits = waits_until(&mut tx, network, round, now).await?;
    if let Some(at) = waits {
        schedule(&mut tx, network, round, at).await?;
    }
    // What has lapsed has, whatever becomes of the bookings.
    tx.commit().await?;
    if waits.is_some() {
        return Ok(());
    }
    match finish(service, network, round, now).await {
        Err(Error::Refused(refused)) => tell_stuck(service, network, round, &refused, now).await,
        other => other,
    }
}

async fn finish(service: &Service, network: NetworkId, round: RoundId, now: DateTime<Utc>) -> Result<()> {
    let public_url = &service.config.public_url;
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let Some(held) = hold_offered(&mut tx, network, round).await? else { return Ok(()) };
    if let Some(at) = waits_until(&mut tx, network, round, now).await? {
        schedule(&mut tx, network, round, at).await?;
    } else if store::offers(&mut tx, network, round, &[OfferState::Accepted]).await?.is_empty() {
        nobody_took(&mut tx, network, &held, public_url, now).await?;
    } else {
        agree(&mut tx, network, &held, public_url, now).await?;
    }
    tx.commit().await
}

async fn hold_offered(tx: &mut Tx, network: NetworkId, round: RoundId) -> Result<Option<HeldRound>> {
    let held = hires::hold_round(tx, network, round).await?;
    Ok(Some(held).filter(|held| held.state == RoundState::Offered))
}

/// When to look again: at the next date, or for the plan that is being made; none when nothing is outstanding.
async fn waits_until(
    tx: &mut Tx,
    network: NetworkId,
    round: RoundId,
    now: DateTime<Utc>,
) -> Result<Option<DateTime<Utc>>> {
    let outstanding = store::offers(tx, network, round, &[OfferState::Offered]).await?;
    if let Some(next) = outstanding.iter().map(|offer| offer.answer_by).min() {
        return Ok(Some(next));
    }
    Ok(rounds::refill_awaited(tx, network, round).await?.then(|| now + LOOKS_AGAIN))
}

async fn lapse_due(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let mut due: Vec<OfferRow> = store::offers(tx, network, held.round_id, &[OfferState::Offered]).await?;
    due.retain(|offer| offer.answer_by <= now);
    let Some(first) = due.first() else { return Ok(()) };
    let post = Post { network, now };
    let letters = Letters::about(tx, network, held, public_url).await?;
    for offer in &due {
        store::set_state(tx, network, offer.id, OfferState::Lapsed).await?;
        post.to_leads(tx, offer.club_id, |to| letters.lapsed(to, offer)).await?;
    }
    refilling::ask(tx, network, held.round_id, first.round_opened_by, now).await
}

async fn nobody_took(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    hires::step_round(tx, network, held.round_id, RoundState::RequestsClosed).await?;
    let letters = Letters::about(tx, network, held, public_url).await?;
    Post { network, now }.to_coordinators(tx, |to| letters.nobody_took(to)).await
}

/// In a transaction of its own, since the one that failed holds nothing.
async fn tell_stuck(
    service: &Service,
    network: NetworkId,
    round: RoundId,
    refused: &Refused,
    now: DateTime<Utc>,
) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    if let Some(held) = hold_offered(&mut tx, network, round).await? {
        let letters = Letters::about(&mut tx, network, &held, &service.config.public_url).await?;
        let post = Post { network, now };
        post.to_coordinators(&mut tx, |to| letters.stuck(to, &refused.detail)).await?;
    }
    tx.commit().await
}
