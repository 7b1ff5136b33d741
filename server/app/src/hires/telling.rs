//! Who is told of a round: all clubs when it takes requests, those that have not asked before it closes, and those
//! that asked when a hire in it moves or it is called off.

use chrono::{DateTime, TimeDelta, Utc};

use super::letters::Letters;
use super::store;
use super::terms::RoundTerms;
use super::words::RoundState;
use crate::access::{Role, recipients};
use crate::database::{Scope, Tx};
use crate::error::Result;
use crate::ids::{ClubId, MachineId, NetworkId, RoundId};
use crate::jobs::{self, Job};
use crate::mail;
use crate::service::Service;
use crate::time::zone_of;

/// Clubs are invited so long after the opening, so that its further hires and second thoughts are in the letter.
const INVITED_AFTER: TimeDelta = TimeDelta::minutes(10);
/// How long before the deadline the clubs that have not asked are reminded.
const REMINDED_BEFORE: TimeDelta = TimeDelta::hours(24);

/// Queues the invitation to a round that was opened.
pub(super) async fn plan_invitation(tx: &mut Tx, network: NetworkId, id: RoundId, now: DateTime<Utc>) -> Result<()> {
    jobs::enqueue(tx, Some(network), &Job::InviteToRound { invite_to_round: id }, now + INVITED_AFTER).await
}

/// Queues the reminder where there is time for one; a deadline that was moved moves it.
pub(super) async fn plan_reminder(
    tx: &mut Tx,
    network: NetworkId,
    id: RoundId,
    terms: &RoundTerms,
    now: DateTime<Utc>,
) -> Result<()> {
    let reminder = Job::RemindRound { remind_round: id };
    let reminded_at = terms.requests_close_at - REMINDED_BEFORE;
    match reminded_at > now {
        true => jobs::enqueue(tx, Some(network), &reminder, reminded_at).await,
        false => jobs::drop_subject(tx, &reminder, now).await,
    }
}

/// Invites the grounds leads of all clubs to ask for places. A round that takes none any longer invites nobody.
///
/// # Errors
/// A failing database.
pub async fn invite_to_round(service: &Service, network: NetworkId, id: RoundId, now: DateTime<Utc>) -> Result<()> {
    tell(service, network, id, Telling::Invitation, now).await
}

/// Reminds the grounds leads of clubs that have not asked, a day before requests close. One that has closed, or whose
/// deadline was moved away, needs no reminder.
///
/// # Errors
/// A failing database.
pub async fn remind_round(service: &Service, network: NetworkId, id: RoundId, now: DateTime<Utc>) -> Result<()> {
    tell(service, network, id, Telling::Reminder, now).await
}

/// What is told of a round that takes requests.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Telling {
    Invitation,
    Reminder,
}

async fn tell(service: &Service, network: NetworkId, id: RoundId, what: Telling, now: DateTime<Utc>) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let round = store::find(&mut tx, network, id).await?;
    let closes_at = round.terms.requests_close_at;
    let timely = now < closes_at && (what == Telling::Invitation || closes_at - REMINDED_BEFORE <= now);
    if round.state != RoundState::Gathering || !timely {
        return Ok(());
    }
    let machines = store::machines_of(&mut tx, network, &[id]).await?;
    let zone = zone_of(&mut tx, network).await?;
    let letters = Letters::about(&round, &machines, zone, &service.config.public_url);
    let asked = clubs_that_asked(&mut tx, network, id).await?;
    for to in recipients(&mut tx, network, None, &[Role::GroundsLead]).await? {
        let letter = match what {
            Telling::Invitation => letters.invitation(&to),
            Telling::Reminder if asked.contains(&to.club_id) => continue,
            Telling::Reminder => letters.reminder(&to),
        };
        mail::post(&mut tx, Some(network), letter, now).await?;
    }
    tx.commit().await
}

/// Tells the grounds leads of the clubs that asked that the round was called off.
pub(super) async fn tell_called_off(
    tx: &mut Tx,
    network: NetworkId,
    round: &store::RoundRow,
    (reason, public_url): (&str, &str),
    now: DateTime<Utc>,
) -> Result<()> {
    let asked = clubs_that_asked(tx, network, round.id).await?;
    let letters = Letters::about(round, &[], zone_of(tx, network).await?, public_url);
    for to in recipients(tx, network, Some(&asked), &[Role::GroundsLead]).await? {
        mail::post(tx, Some(network), letters.called_off(&to, reason), now).await?;
    }
    Ok(())
}

/// Tells the grounds leads of the clubs that asked that a machine comes on other days.
pub(super) async fn tell_hire_moved(
    tx: &mut Tx,
    network: NetworkId,
    (id, machine): (RoundId, MachineId),
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let asked = clubs_that_asked(tx, network, id).await?;
    let round = store::find(tx, network, id).await?;
    let machines = store::machines_of(tx, network, &[id]).await?;
    let Some(moved) = machines.iter().find(|each| each.machine_id == machine) else { return Ok(()) };
    let letters = Letters::about(&round, &machines, zone_of(tx, network).await?, public_url);
    for to in recipients(tx, network, Some(&asked), &[Role::GroundsLead]).await? {
        mail::post(tx, Some(network), letters.moved(&to, &moved.name), now).await?;
    }
    Ok(())
}

async fn clubs_that_asked(tx: &mut Tx, network: NetworkId, id: RoundId) -> Result<Vec<ClubId>> {
    let counts = store::request_counts(tx, network, &[id]).await?;
    Ok(counts.into_iter().map(|(_, club, _)| club).collect())
}
