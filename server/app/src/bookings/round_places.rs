//! Bookings that a round makes, moves and lets go: all of them or none.
//!
//! A round plans its own handovers, so its bookings keep no gap behind them; what a hired machine costs is shared
//! afterwards, so such a booking carries no charge of its own.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use diesel_async::AsyncConnection;
use logistics::half_days::HalfDaySpan;
use serde::Serialize;

use super::booking::BookingState;
use super::store::{self, NewBooking, Place};
use super::swaps::{judge_overlaps_later, judge_overlaps_now};
use super::waiting;
use crate::database::Tx;
use crate::error::{Code, Error, Refused, Result, refuse};
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, PersonId, PitchId, RequestId, RoundId};
use crate::machines::{Span, StoredSpan, Terms};

/// A place that a round gives a club.
#[derive(Debug, Clone)]
pub struct RoundPlace {
    /// The round.
    pub round_id: RoundId,
    /// The request that is served.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// Which machine.
    pub machine_id: MachineId,
    /// Whether the machine is hired: its cost is shared, and not charged by the half-day.
    pub hired: bool,
    /// When.
    pub span: HalfDaySpan,
    /// For which pitches.
    pub pitch_ids: Vec<PitchId>,
    /// Who took the place for the club.
    pub booked_by: PersonId,
}

/// A booking as it was when a change of it was planned: its version tells whether anybody touched it since.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SeenBooking {
    /// Which.
    pub booking_id: BookingId,
    /// The machine it was of.
    pub machine_id: MachineId,
    /// Its version then.
    pub version: i32,
}

/// A booking that a round made and that stands.
#[derive(Debug, Clone)]
pub struct RoundBooking {
    /// The request it serves.
    pub request_id: RequestId,
    /// The booking, as it is.
    pub seen: SeenBooking,
    /// The machine's name.
    pub machine: String,
    /// When.
    pub span: HalfDaySpan,
}

/// The bookings that a round made and that stand, in order of time. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn booked_for_round(tx: &mut Tx, network: NetworkId, round: RoundId) -> Result<Vec<RoundBooking>> {
    let rows = store::of_round(tx, network, round).await?;
    let booking = |(request_id, booking_id, machine_id, version, machine, span): store::OfRound| RoundBooking {
        request_id,
        seen: SeenBooking { booking_id, machine_id, version },
        machine,
        span: span.0,
    };
    Ok(rows.into_iter().map(booking).collect())
}

/// A change that a round makes to bookings.
#[derive(Debug, Clone)]
pub enum RoundChange {
    /// A club gets a place.
    Book(RoundPlace),
    /// A booking goes to another place.
    Move(SeenBooking, RoundPlace),
    /// A booking is let go.
    Release(SeenBooking),
}

/// A place that cannot be had, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Clash {
    /// The request that would have had it.
    pub request_id: RequestId,
    /// When.
    pub span: Span,
    /// In plain words.
    pub why: String,
}

/// Changes the bookings of a round, all of them or none. Machines are held in the order of their ids, so that two such
/// changes at once come one after another. Scope: the network.
///
/// # Errors
/// `places_taken` with every place that cannot be had and why (`clashes`); `plan_stale` where a booking was changed
/// since the change was planned.
pub async fn change_for_round(
    tx: &mut Tx,
    network: NetworkId,
    changes: &[RoundChange],
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Vec<(RequestId, BookingId)>> {
    let held = hold_machines(tx, network, changes).await?;
    let places = places_of(tx, network, &held, changes).await?;
    let booked = (**tx).transaction::<_, Error, _>(async |tx| {
        judge_overlaps_later(tx).await?;
        let mut booked = Vec::new();
        for (change, place) in changes.iter().zip(places) {
            booked.extend(write(tx, network, change, place, now).await?);
        }
        let ids: Vec<BookingId> = booked.iter().map(|(_, id)| *id).collect();
        let clashes = store::clashes_of(tx, network, &ids).await?;
        refuse_clashes(clashes.into_iter().map(clash_with).collect())?;
        judge_overlaps_now(tx).await?;
        Ok(booked)
    });
    let booked = booked.await?;
    for terms in held.values() {
        waiting::offer_places(tx, network, terms, public_url, now).await?;
    }
    Ok(booked)
}

async fn hold_machines(tx: &mut Tx, network: NetworkId, changes: &[RoundChange]) -> Result<BTreeMap<MachineId, Terms>> {
    let machines = changes.iter().flat_map(|change| match change {
        RoundChange::Book(place) => [Some(place.machine_id), None],
        RoundChange::Move(seen, place) => [Some(seen.machine_id), Some(place.machine_id)],
        RoundChange::Release(seen) => [Some(seen.machine_id), None],
    });
    let mut held: BTreeMap<MachineId, Option<Terms>> = machines.flatten().map(|machine| (machine, None)).collect();
    for (machine, terms) in &mut held {
        *terms = Some(Terms::hold(tx, network, *machine).await?);
    }
    Ok(held.into_iter().filter_map(|(machine, terms)| Some((machine, terms?))).collect())
}

/// The place of each change, none for those that let go; refuses all at once what no machine allows.
async fn places_of(
    tx: &mut Tx,
    network: NetworkId,
    held: &BTreeMap<MachineId, Terms>,
    changes: &[RoundChange],
) -> Result<Vec<Option<Place>>> {
    let mut places = Vec::new();
    let mut clashes = Vec::new();
    for change in changes {
        let (RoundChange::Book(wanted) | RoundChange::Move(_, wanted)) = change else {
            places.push(None);
            continue;
        };
        let terms = held.get(&wanted.machine_id).ok_or_else(|| anyhow::anyhow!("a machine was not held"))?;
        match place_of(tx, network, terms, wanted).await {
            Ok(place) => places.push(Some(place)),
            Err(Error::Refused(refused)) => clashes.push(Clash {
                request_id: wanted.request_id,
                span: wanted.span.into(),
                why: format!("{}: {}", terms.facts.name, refused.detail),
            }),
            Err(error) => return Err(error),
        }
    }
    refuse_clashes(clashes)?;
    Ok(places)
}

async fn place_of(tx: &mut Tx, network: NetworkId, terms: &Terms, wanted: &RoundPlace) -> Result<Place> {
    terms.admit(wanted.club_id)?;
    let (availability_id, available) = terms.availability_of(tx, network, &wanted.span).await?;
    Ok(Place {
        span: StoredSpan(wanted.span),
        gap_half_days: 0,
        availability_id,
        available: StoredSpan(available),
        state: BookingState::Agreed,
        charge_pence: if wanted.hired { 0 } else { terms.charge(&wanted.span)?.total_pence },
    })
}

async fn write(
    tx: &mut diesel_async::AsyncPgConnection,
    network: NetworkId,
    change: &RoundChange,
    place: Option<Place>,
    now: DateTime<Utc>,
) -> Result<Option<(RequestId, BookingId)>> {
    match (change, place) {
        (RoundChange::Book(wanted), Some(place)) => {
            let id = BookingId::new();
            store::insert(tx, network, &new_booking(id, wanted, place), now).await?;
            store::set_request(tx, network, id, wanted.round_id, wanted.request_id).await?;
            Ok(Some((wanted.request_id, id)))
        }
        (RoundChange::Move(seen, wanted), Some(place)) => {
            let as_seen = (seen.booking_id, seen.version);
            let moved = store::put_elsewhere(tx, network, as_seen, (wanted.machine_id, &place), now).await?;
            if moved { Ok(Some((wanted.request_id, seen.booking_id))) } else { Err(stale().into()) }
        }
        (RoundChange::Release(seen), _) => {
            if !store::is_as_seen(tx, network, seen.booking_id, seen.version).await? {
                return Err(stale().into());
            }
            store::release(tx, network, seen.booking_id, BookingState::Cancelled, None, now).await?;
            Ok(None)
        }
        (RoundChange::Book(_) | RoundChange::Move(..), None) => Ok(None),
    }
}

fn new_booking(id: BookingId, wanted: &RoundPlace, place: Place) -> NewBooking {
    NewBooking {
        id,
        machine_id: wanted.machine_id,
        club_id: wanted.club_id,
        place,
        pitch_ids: wanted.pitch_ids.clone(),
        note: String::new(),
        booked_by: wanted.booked_by,
        standing_id: None,
    }
}

/// The refusal of a plan that was made before somebody changed what it is about.
#[must_use]
pub fn stale() -> Refused {
    refuse(Code::PlanStale, "Something it was made from has changed since. Have it planned again.")
}

fn clash_with((request_id, span, machine, other): (RequestId, StoredSpan, String, String)) -> Clash {
    Clash { request_id, span: span.0.into(), why: format!("{machine} is booked by {other} then.") }
}

fn refuse_clashes(clashes: Vec<Clash>) -> Result<(), Refused> {
    let words = match clashes.as_slice() {
        [] => return Ok(()),
        [one] => one.why.clone(),
        [first, ..] => format!("{} places cannot be had. The first: {}", clashes.len(), first.why),
    };
    Err(refuse(Code::PlacesTaken, format!("{words} Nothing was booked; have the round planned again."))
        .with("clashes", clashes))
}
