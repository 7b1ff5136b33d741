//! Runs jobs: claims one, does it outside the claim, ends it or puts it back.

use std::time::Duration;

use anyhow::Context;
use chrono::{DateTime, TimeDelta, Utc};

use super::Job;
use super::store::{self, Claimed, Kinds};
use crate::database::Scope;
use crate::error::{Error, Result};
use crate::service::Service;
use crate::{attachments, bookings, handovers, hires, mail, offers, orders, rounds};

/// How often a job is tried before it is parked. With the back-off below the last try is after about 23 hours.
const MOST_ATTEMPTS: i32 = 10;
/// How long an idle worker sleeps.
const IDLE: Duration = Duration::from_millis(500);

/// When to try again after so many attempts: 1 min, 16 min, 41 min … (common practice, no source).
fn back_off(attempts: i32) -> TimeDelta {
    TimeDelta::minutes(i64::from(attempts).pow(2) * 5 - 4)
}

/// Works until told to stop (the future is dropped): one worker plans rounds, another does all else, so that no mail
/// waits for a plan.
pub async fn work(service: Service) {
    tokio::join!(work_on(&service, Kinds::Planning), work_on(&service, Kinds::AllElse));
}

async fn work_on(service: &Service, kinds: Kinds) {
    loop {
        match run_one(service, kinds, Utc::now()).await {
            Ok(true) => {}
            Ok(false) => tokio::time::sleep(IDLE).await,
            Err(error) => {
                tracing::error!("the queue cannot be read: {error}");
                tokio::time::sleep(Duration::from_secs(5)).await;
            }
        }
    }
}

/// Runs every job that is due at `now`, and what those cause, then returns how many ran.
///
/// # Errors
/// The queue cannot be read.
pub async fn run_due(service: &Service, now: DateTime<Utc>) -> Result<usize> {
    let mut ran = 0;
    while run_one(service, Kinds::AllElse, now).await? || run_one(service, Kinds::Planning, now).await? {
        ran += 1;
    }
    Ok(ran)
}

async fn run_one(service: &Service, kinds: Kinds, now: DateTime<Utc>) -> Result<bool> {
    let mut tx = service.db.begin(Scope::Queue).await?;
    let Some(claimed) = store::claim(&mut tx, kinds, now).await? else { return Ok(false) };
    tx.commit().await?;
    let claim = (claimed.id, claimed.locked_until);
    let attempts = claimed.attempts;
    let outcome = run(service, claimed, now).await;
    let mut tx = service.db.begin(Scope::Queue).await?;
    match outcome {
        Ok(()) => store::finish(&mut tx, claim, now).await?,
        Err(error) => {
            let again_at = (attempts < MOST_ATTEMPTS).then(|| now + back_off(attempts));
            tracing::warn!(job = %claim.0, attempts, parked = again_at.is_none(), "a job failed: {error}");
            store::put_back(&mut tx, claim, &error.to_string(), again_at, now).await?;
        }
    }
    tx.commit().await?;
    Ok(true)
}

async fn run(service: &Service, claimed: Claimed, now: DateTime<Utc>) -> Result<()> {
    let job: Job = serde_json::from_value(claimed.payload).context("a job of an unknown shape")?;
    if job.kind() != claimed.kind {
        return Err(Error::Internal(anyhow::anyhow!("a job of kind {} reads as {}", claimed.kind, job.kind())));
    }
    match (job, claimed.network_id) {
        (Job::SendMail(letter), _) => Ok(mail::send(&service.config, &letter).await?),
        (Job::CloseOrder { close_order }, Some(network)) => orders::close(service, network, close_order, now).await,
        (Job::CloseRequests { close_requests: round }, Some(network)) => {
            hires::close_requests(service, network, round, now).await
        }
        (Job::SettleRound { settle_round: round }, Some(network)) => {
            offers::settle_round(service, network, round, now).await
        }
        (Job::OfferRefill { offer_refill }, Some(network)) => {
            offers::offer_refill(service, network, offer_refill, now).await
        }
        (Job::InviteToRound { invite_to_round: round }, Some(network)) => {
            hires::invite_to_round(service, network, round, now).await
        }
        (Job::RemindRound { remind_round: round }, Some(network)) => {
            hires::remind_round(service, network, round, now).await
        }
        (Job::RemindOrder { remind_order }, Some(network)) => orders::remind(service, network, remind_order, now).await,
        (Job::MakePlan { make_plan }, Some(network)) => rounds::make_plan(service, network, make_plan, now).await,
        (Job::LapseOffer { lapse_offer }, Some(network)) => bookings::lapse(service, network, lapse_offer, now).await,
        (Job::LookAgain { look_again }, Some(network)) => attachments::look_again(service, network, look_again).await,
        (Job::CheckServices { check_services }, Some(network)) => {
            handovers::check_services(service, network, check_services, now).await
        }
        (job, None) => Err(Error::Internal(anyhow::anyhow!("{} without a network", job.kind()))),
    }
}
