//! Opening a round with its first hire, adding machines, changing its terms, closing its requests, calling it off.

use chrono::{DateTime, Utc};
use logistics::half_days::HalfDaySpan;

use super::store;
use super::telling::{plan_invitation, plan_reminder, tell_called_off, tell_hire_moved};
use super::terms::{ChangeHire, Checked, CreateHire, Days, OpenRound, RoundTerms};
use super::view::{Round, load};
use super::words::RoundState;
use crate::access::{Act, Member};
use crate::database::{Scope, Tx};
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::{GroundId, HireId, MachineId, NetworkId, RoundId};
use crate::jobs::{self, Job};
use crate::machines::{self, Terms};
use crate::service::Service;
use crate::text::note_parse;
use crate::time::{instant, zone_of};
use crate::wire::IfMatch;

/// Opens a round with a hire: the machine can be had in the hire's time, by asking for a place.
///
/// # Errors
/// `not_your_role`; `not_found` for the machine; `availability_overlaps`; `invalid` on the field that will not do.
pub async fn open_round(tx: &mut Tx, member: &Member, said: &OpenRound, now: DateTime<Utc>) -> Result<Round> {
    member.require(Act::RunRound, None)?;
    let hire = said.hire.checked().map_err(|refused| refused.within("hire"))?;
    let first = instant(zone_of(tx, member.network_id).await?, hire.span.from());
    let terms = said.terms.checked(first, now)?;
    let id = RoundId::new();
    store::insert(tx, member, id, (&terms, said.grain, hire.days)).await?;
    put_hire(tx, member, id, &hire).await.map_err(|error| error.within("hire"))?;
    schedule(tx, member.network_id, id, &terms, now).await?;
    plan_invitation(tx, member.network_id, id, now).await?;
    load(tx, member, id).await
}

/// Adds a further hire to a round that gathers.
///
/// # Errors
/// As [`open_round`]; `round_not_gathering`; `already_in_round` for a machine that is in it.
pub async fn add_hire(tx: &mut Tx, member: &Member, id: RoundId, said: &CreateHire) -> Result<Round> {
    member.require(Act::RunRound, None)?;
    let hire = said.checked()?;
    let round = gathering(store::lock(tx, member.network_id, id).await?)?;
    begins_after_requests(tx, member.network_id, &round, hire.span).await?;
    let days = Days { from_on: round.from_on, until_on: round.until_on }.with(hire.days)?;
    store::set_days(tx, member.network_id, id, days).await?;
    put_hire(tx, member, id, &hire).await?;
    load(tx, member, id).await
}

/// Gives a hire other charges, another supplier or note until its round is agreed, and other dates until places are
/// offered; of those the clubs that asked are told.
///
/// # Errors
/// `not_found`, `not_your_role`, `changed_meanwhile`; `round_not_gathering` once it is too late; `availability_overlaps`;
/// `availability_in_use` while a booking lies in its time; `invalid` on the field that will not do.
pub async fn alter_hire(
    tx: &mut Tx,
    member: &Member,
    (id, hire): (RoundId, HireId),
    seen: IfMatch,
    said: &ChangeHire,
    (public_url, now): (&str, DateTime<Utc>),
) -> Result<Round> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let round = undecided(store::lock(tx, network, id).await?)?;
    if round.version != seen.0 {
        return Err(seen.stale().into());
    }
    let charges = said.charges.checked()?;
    let span = said.span.parse().map_err(|refused| refused.field("span"))?;
    let hires = store::hires_of(tx, network, &[id]).await?;
    let standing = hires.iter().find(|each| each.id == hire).ok_or(diesel::result::Error::NotFound)?;
    if !charges.same_depot(&standing.charges) {
        store::depot_roads::forget_all(tx, network, hire).await?;
    }
    store::update_hire(tx, network, hire, &charges).await?;
    store::count_change(tx, network, id).await?;
    if standing.span.0 != span {
        let others = hires.iter().filter(|each| each.id != hire).map(|each| each.span.0);
        move_hire(tx, member, &round, (standing, span), others).await?;
        tell_hire_moved(tx, network, (id, standing.machine_id), public_url, now).await?;
    }
    load(tx, member, id).await
}

/// Gives a hire other dates, and its round the days of all its hires. What clubs allow and wish stays as they said it:
/// half-days outside the round are passed over.
async fn move_hire(
    tx: &mut Tx,
    member: &Member,
    round: &store::RoundRow,
    (hire, span): (&store::HireRow, HalfDaySpan),
    others: impl Iterator<Item = HalfDaySpan>,
) -> Result<()> {
    if round.state == RoundState::Offered {
        let words = "Places are offered on its days: take the offers back before you move the hire.";
        return Err(refuse(Code::RoundNotGathering, words).into());
    }
    let network = member.network_id;
    begins_after_requests(tx, network, round, span).await?;
    Terms::hold(tx, network, hire.machine_id).await?;
    let mut days = Days::of(&span)?;
    for other in others {
        days = days.with(Days::of(&other)?)?;
    }
    store::set_days(tx, network, round.id, days).await?;
    if let Some(available) = store::release_hire(tx, network, hire.id).await? {
        machines::remove_availability(tx, member, hire.machine_id, available).await?;
    }
    let available = machines::add_availability(tx, member, hire.machine_id, span.into()).await?;
    store::move_hire(tx, network, hire.id, (span, available.availability_id)).await
}

/// A machine comes once the requests have closed.
async fn begins_after_requests(
    tx: &mut Tx,
    network: NetworkId,
    round: &store::RoundRow,
    span: HalfDaySpan,
) -> Result<()> {
    match instant(zone_of(tx, network).await?, span.from()) < round.terms.requests_close_at {
        true => Err(invalid("span", "It must begin after the requests have closed.").into()),
        false => Ok(()),
    }
}

/// Adds a machine that the network or a club owns, and where it is kept.
///
/// # Errors
/// `not_found`, `not_your_role`, `round_not_gathering`, `already_in_round`; `invalid` for an unknown ground.
pub async fn add_own_machine(
    tx: &mut Tx,
    member: &Member,
    id: RoundId,
    machine: MachineId,
    kept_at: GroundId,
) -> Result<Round> {
    member.require(Act::RunRound, None)?;
    gathering(store::lock(tx, member.network_id, id).await?)?;
    offered(&Terms::hold(tx, member.network_id, machine).await?)?;
    store::insert_machine(tx, member.network_id, id, machine, (None, Some(kept_at))).await?;
    load(tx, member, id).await
}

/// Gives a round that gathers other terms; when its deadline moves, the queue is told.
///
/// # Errors
/// `not_found`, `not_your_role`, `round_not_gathering`, `changed_meanwhile`; `invalid` on the field that will not do.
pub async fn alter_round(
    tx: &mut Tx,
    member: &Member,
    id: RoundId,
    seen: IfMatch,
    said: &RoundTerms,
    now: DateTime<Utc>,
) -> Result<Round> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let round = gathering(store::lock(tx, network, id).await?)?;
    if round.version != seen.0 {
        return Err(seen.stale().into());
    }
    let first = instant(zone_of(tx, network).await?, round.whole_days().from);
    let terms = said.checked(first, now)?;
    store::update_terms(tx, network, id, &terms).await?;
    schedule(tx, network, id, &terms, now).await?;
    load(tx, member, id).await
}

/// Gives a round up: its hired machines are no longer there to be booked. What clubs asked for stays to be read, and
/// they are told.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_gathering` once it is agreed; `invalid` without a reason.
pub async fn call_off(
    tx: &mut Tx,
    member: &Member,
    id: RoundId,
    reason: &str,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Round> {
    member.require(Act::RunRound, None)?;
    let reason = note_parse("reason", reason)?;
    if reason.is_empty() {
        return Err(invalid("reason", "The clubs are told the reason: write one.").into());
    }
    let round = undecided(store::lock(tx, member.network_id, id).await?)?;
    store::set_state(tx, member.network_id, id, RoundState::CalledOff, Some(&reason)).await?;
    for (machine, available) in store::release_hires(tx, member.network_id, id).await? {
        machines::remove_availability(tx, member, machine, available).await?;
    }
    tell_called_off(tx, member.network_id, &round, (&reason, public_url), now).await?;
    load(tx, member, id).await
}

/// Closes the requests of a round at its deadline. One that has closed already, or whose deadline moved, is left alone.
///
/// # Errors
/// A failing database.
pub async fn close_requests(service: &Service, network: NetworkId, id: RoundId, now: DateTime<Utc>) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let round = store::lock(&mut tx, network, id).await?;
    if round.state == RoundState::Gathering && round.terms.requests_close_at <= now {
        store::set_state(&mut tx, network, id, RoundState::RequestsClosed, None).await?;
        tx.commit().await?;
    }
    Ok(())
}

fn gathering(round: store::RoundRow) -> Result<store::RoundRow, Refused> {
    match round.state {
        RoundState::Gathering => Ok(round),
        _ => Err(refuse(Code::RoundNotGathering, "Its requests have closed, or it was called off.")),
    }
}

/// A round that is neither agreed nor given up.
fn undecided(round: store::RoundRow) -> Result<store::RoundRow, Refused> {
    match round.state {
        RoundState::Gathering | RoundState::RequestsClosed | RoundState::Offered => Ok(round),
        RoundState::Agreed | RoundState::Finished | RoundState::CalledOff => {
            Err(refuse(Code::RoundNotGathering, "It is agreed, over or called off already."))
        }
    }
}

fn offered(terms: &Terms) -> Result<(), Refused> {
    match terms.facts.retired {
        true => Err(invalid("machine_id", "It is retired and no longer offered.")),
        false => Ok(()),
    }
}

/// Keeps a hire in a round: its machine can be had in its time.
pub(super) async fn put_hire(tx: &mut Tx, member: &Member, round: RoundId, hire: &Checked) -> Result<HireId> {
    offered(&Terms::hold(tx, member.network_id, hire.machine_id).await?)?;
    let available = machines::add_availability(tx, member, hire.machine_id, hire.span.into()).await?;
    store::insert_hire(tx, member.network_id, round, hire, available.availability_id).await
}

async fn schedule(tx: &mut Tx, network: NetworkId, id: RoundId, terms: &RoundTerms, now: DateTime<Utc>) -> Result<()> {
    jobs::enqueue(tx, Some(network), &Job::CloseRequests { close_requests: id }, terms.requests_close_at).await?;
    plan_reminder(tx, network, id, terms, now).await
}
