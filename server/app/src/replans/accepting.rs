//! Putting a re-plan into force: bookings, offers, turns and mails in one transaction.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use super::difference::{Change, Place};
use super::letters::Letters;
use super::picture::Picture;
use super::view::{Replan, load};
use super::words::ChangeKind;
use crate::access::{Act, Member};
use crate::bookings::{self, RoundChange, RoundPlace};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, refuse};
use crate::hires::{self, HeldRound, RoundState};
use crate::ids::{BookingId, PlanId, RequestId, RoundId};
use crate::offers::{self, PlaceGiven};
use crate::rounds::{self, PlacedRequest};
use crate::turns;

/// Accepts a re-plan as a whole.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_agreed`; `plan_in_force` where somebody was first; `plan_not_ready`;
/// `plan_stale`; `nothing_to_replan`; `places_taken` where a place cannot be had, and then nothing changes.
pub async fn accept_replan(
    tx: &mut Tx,
    member: &Member,
    (round, plan): (RoundId, PlanId),
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Replan> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let held = hires::hold_round(tx, network, round).await?;
    must_be_agreed(&held)?;
    let given = rounds::put_into_force(tx, network, (round, plan), now).await?;
    let places: Vec<Place> = given.iter().map(place_of).collect();
    let picture = Picture::of(tx, network, round, &places, now).await?;
    if picture.changes_nothing() {
        return Err(refuse(Code::NothingToReplan, "Everybody keeps the days they have.").into());
    }
    let changes: Vec<RoundChange> =
        picture.changes.iter().filter_map(|change| booking_change(&picture, member, round, change)).collect();
    let booked = bookings::change_for_round(tx, network, &changes, public_url, now).await?;
    replace_offers(tx, member, (round, plan), (&picture, &given, &booked), now).await?;
    correct_turns(tx, member, &held, (&picture, &given), now).await?;
    let letters = Letters::about(&held, &picture, &booked, public_url);
    letters.post_all(tx, network, now).await?;
    load(tx, member, round, now).await
}

fn must_be_agreed(held: &HeldRound) -> Result<(), Refused> {
    let detail = match held.state {
        RoundState::Agreed => return Ok(()),
        RoundState::Finished => "It is over.",
        RoundState::CalledOff => "It was called off.",
        RoundState::Gathering | RoundState::RequestsClosed | RoundState::Offered => {
            "Nothing of it is booked yet. Plan it, and offer the plan to the clubs."
        }
    };
    Err(refuse(Code::RoundNotAgreed, detail))
}

fn place_of(given: &PlacedRequest) -> Place {
    Place { request_id: given.request_id, machine_id: given.machine_id, span: given.span }
}

/// The change of a request's booking; none where it stays.
fn booking_change(picture: &Picture, member: &Member, round: RoundId, change: &Change) -> Option<RoundChange> {
    let seen = picture.booking(change.request_id).map(|booking| booking.seen);
    let asked = picture.asked(change.request_id);
    let to = change.after.map(|(place, _)| place).filter(|_| change.is_of_booking());
    let place = to.zip(asked).map(|(place, asked)| RoundPlace {
        round_id: round,
        request_id: place.request_id,
        club_id: asked.club_id,
        machine_id: place.machine_id,
        hired: picture.is_hired(place.machine_id),
        span: place.span,
        pitch_ids: asked.pitches.clone(),
        booked_by: member.person_id,
    });
    match (change.kind, seen, place) {
        (ChangeKind::Lost, Some(seen), _) => Some(RoundChange::Release(seen)),
        (_, Some(seen), Some(place)) => Some(RoundChange::Move(seen, place)),
        (_, None, Some(place)) => Some(RoundChange::Book(place)),
        (_, _, None) => None,
    }
}

/// The offers that led to the bookings are withdrawn, and the new places stand in their stead.
async fn replace_offers(
    tx: &mut Tx,
    member: &Member,
    (round, plan): (RoundId, PlanId),
    (picture, given, booked): (&Picture, &[PlacedRequest], &[(RequestId, BookingId)]),
    now: DateTime<Utc>,
) -> Result<()> {
    let changed = || picture.changes.iter().filter(|change| change.is_of_booking()).map(|change| change.request_id);
    let in_place = |request: RequestId| {
        let given = given.iter().find(|place| place.request_id == request)?;
        let (_, booking_id) = *booked.iter().find(|(of, _)| *of == request)?;
        Some(PlaceGiven {
            request_id: request,
            club_id: picture.asked(request)?.club_id,
            machine_id: given.machine_id,
            span: given.span,
            crew_club_id: given.crew_club_id,
            wish_rank: given.wish_rank,
            booking_id,
        })
    };
    let places: Vec<PlaceGiven> = changed().filter_map(in_place).collect();
    let requests: Vec<RequestId> = changed().collect();
    offers::replace_booked(tx, member, (round, plan), (&requests, &places), now).await
}

/// A turn is what became of a request in the end: who lost a place went without, who moved has another wish.
async fn correct_turns(
    tx: &mut Tx,
    member: &Member,
    held: &HeldRound,
    (picture, given): (&Picture, &[PlacedRequest]),
    now: DateTime<Utc>,
) -> Result<()> {
    let outcome = |change: &Change| {
        let asked = picture.asked(change.request_id)?;
        let place = given.iter().find(|place| place.request_id == change.request_id);
        let first = asked.wishes.first();
        let firsts = picture.facts.requests.iter().filter(|other| first.is_some() && other.wishes.first() == first);
        // A club with several grounds wishes once.
        let firsts: BTreeSet<_> = firsts.map(|other| other.club_id).collect();
        let outcome = match place.filter(|_| change.kind != ChangeKind::Lost) {
            None => turns::Outcome::LeftOut,
            Some(place) => turns::Outcome::Served {
                wish: place.wish_rank.and_then(|rank| usize::try_from(rank).ok()),
                firsts: firsts.len(),
                wished: asked.wishes.len(),
            },
        };
        Some((change.request_id, asked.club_id, outcome))
    };
    let changed = picture.changes.iter().filter(|change| change.is_of_booking());
    let outcomes: Vec<_> = changed.filter_map(outcome).collect();
    turns::correct(tx, member.network_id, (held.round_id, held.span.from.date()), &outcomes, now).await
}
