//! What closed grounds need of people: rounds to plan again, and bookings that their clubs move themselves.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::{Need, NeedKind};
use crate::access::Member;
use crate::closures::{OnClosedDays, on_closed_days};
use crate::database::Tx;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, RoundId};
use crate::time::{instant, local, span_words};

/// What a coordinator (of the rounds) and those who book for some clubs (of all other bookings) are told.
pub(super) async fn of_closures(
    tx: &mut Tx,
    member: &Member,
    (plans, books_for): (bool, &[ClubId]),
    zone: Tz,
    now: DateTime<Utc>,
) -> Result<Vec<Need>> {
    if !plans && books_for.is_empty() {
        return Ok(Vec::new());
    }
    let lying = on_closed_days(tx, member.network_id, local(zone, now)).await?;
    let mut needs = Vec::new();
    if plans {
        needs.extend(by_round(&lying).into_iter().filter_map(|(round, lying)| to_replan(round, &lying, zone)));
    }
    let mut told = BTreeSet::<BookingId>::new();
    let own = lying.iter().filter(|booking| booking.round_id.is_none() && books_for.contains(&booking.club_id));
    needs.extend(own.filter(|booking| told.insert(booking.booking_id)).map(|booking| to_move(booking, zone)));
    Ok(needs)
}

fn by_round(lying: &[OnClosedDays]) -> BTreeMap<RoundId, Vec<&OnClosedDays>> {
    let mut rounds: BTreeMap<RoundId, Vec<&OnClosedDays>> = BTreeMap::new();
    for booking in lying {
        if let Some(round) = booking.round_id {
            rounds.entry(round).or_default().push(booking);
        }
    }
    rounds
}

fn to_replan(round: RoundId, lying: &[&OnClosedDays], zone: Tz) -> Option<Need> {
    let first = lying.first()?;
    let title = first.round_title.as_deref().unwrap_or_default();
    let grounds: BTreeSet<_> = lying.iter().map(|booking| (&booking.club, &booking.ground)).collect();
    let bookings: BTreeSet<BookingId> = lying.iter().map(|booking| booking.booking_id).collect();
    let closed = match grounds.len() {
        1 => format!("{} of {} is closed", first.ground, first.club),
        many => format!("{many} grounds are closed"),
    };
    let lie = match bookings.len() {
        1 => "1 booking".to_owned(),
        many => format!("{many} bookings"),
    };
    let verb = if bookings.len() == 1 { "lies" } else { "lie" };
    let sentence = format!("{closed}: {lie} of “{title}” {verb} on closed days. Plan the round again.");
    let need = Need::of(NeedKind::RoundToReplan, sentence, format!("/rounds/{round}/replan"));
    Some(need.due(instant(zone, first.span.0.from())))
}

fn to_move(booking: &OnClosedDays, zone: Tz) -> Need {
    let OnClosedDays { machine, club, ground, span, .. } = booking;
    let when = span_words(span.0.from(), span.0.until());
    let sentence = format!("{machine} is booked for {club}, {when}, and {ground} is closed then: move or cancel it.");
    let href = format!("/bookings/{}", booking.booking_id);
    Need::of(NeedKind::BookingOnClosedDays, sentence, href).due(instant(zone, span.0.from()))
}
