//! A re-plan with the names that go with it: what the page shows and the mails tell.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use super::difference::{Change, Place, difference};
use super::words::ChangeKind;
use crate::bookings::{self, RoundBooking};
use crate::closures::{OnClosedDays, on_closed_days};
use crate::database::Tx;
use crate::error::Result;
use crate::hires::{self, PlaceFacts, RoundFacts};
use crate::ids::{ClubId, MachineId, NetworkId, RequestId, RoundId};
use crate::machines::half_day_of;
use crate::time::{local, zone_of};

/// Everything a round is, as far as a re-plan changes it.
pub(super) struct Picture {
    /// Its machines and its requests.
    pub(super) facts: RoundFacts,
    /// The bookings it has.
    pub(super) bookings: Vec<RoundBooking>,
    /// Those of them that lie on closed days and have not begun.
    pub(super) closed: Vec<OnClosedDays>,
    /// What the re-plan changes, request by request.
    pub(super) changes: Vec<Change>,
}

impl Picture {
    /// Looks at a round and what a re-plan gives. Scope: the network.
    pub(super) async fn of(
        tx: &mut Tx,
        network: NetworkId,
        round: RoundId,
        given: &[Place],
        now: DateTime<Utc>,
    ) -> Result<Self> {
        let wall = local(zone_of(tx, network).await?, now);
        let facts = hires::round_facts(tx, network, round).await?;
        let bookings = bookings::booked_for_round(tx, network, round).await?;
        let mut closed = on_closed_days(tx, network, wall).await?;
        closed.retain(|booking| booking.round_id == Some(round));
        let has = |booking: &RoundBooking| Place {
            request_id: booking.request_id,
            machine_id: booking.seen.machine_id,
            span: booking.span,
        };
        let before: Vec<Place> = bookings.iter().map(has).collect();
        let changes = difference(&before, given, half_day_of(wall));
        Ok(Self { facts, bookings, closed, changes })
    }

    /// What a request asks for.
    pub(super) fn asked(&self, request: RequestId) -> Option<&PlaceFacts> {
        self.facts.requests.iter().find(|place| place.request_id == request)
    }

    /// The booking of a request.
    pub(super) fn booking(&self, request: RequestId) -> Option<&RoundBooking> {
        self.bookings.iter().find(|booking| booking.request_id == request)
    }

    /// The name of a machine of the round, or of a booking of it.
    pub(super) fn machine(&self, id: MachineId) -> &str {
        let of_round = self.facts.machines.iter().find(|machine| machine.machine_id == id);
        let booked = || self.bookings.iter().find(|booking| booking.seen.machine_id == id);
        of_round.map(|machine| &*machine.name).or_else(|| Some(&*booked()?.machine)).unwrap_or_default()
    }

    /// Whether a machine comes by a hire.
    pub(super) fn is_hired(&self, id: MachineId) -> bool {
        self.facts.machines.iter().any(|machine| machine.machine_id == id && machine.hire.is_some())
    }

    /// Whether nothing is booked otherwise.
    pub(super) fn changes_nothing(&self) -> bool {
        !self.changes.iter().any(Change::is_of_booking)
    }

    /// The clubs whose days or neighbours change, by name.
    pub(super) fn clubs_to_tell(&self) -> BTreeSet<(&str, ClubId)> {
        let told = self.changes.iter().filter(|change| change.is_of_booking() || change.is_of_neighbours());
        let places = told.filter_map(|change| self.asked(change.request_id));
        places.map(|place| (&*place.club_name, place.club_id)).collect()
    }

    /// "Two clubs move by one day, nobody loses a place."
    pub(super) fn sentence(&self) -> String {
        if self.changes_nothing() {
            return "Nothing would change: everybody keeps the days they have.".to_owned();
        }
        let moved = self.number_of(&[ChangeKind::DayMoved]);
        let by_days: BTreeSet<i64> = self.changes.iter().filter_map(Change::days_moved).collect();
        let how_far = match (by_days.len(), by_days.first()) {
            (1, Some(1)) => " by one day".to_owned(),
            (1, Some(days)) => format!(" by {days} days"),
            _ => " to another day".to_owned(),
        };
        let parts = [
            some(moved, ("moves", "move"), &how_far),
            some(self.number_of(&[ChangeKind::HalfDayMoved]), ("moves", "move"), " within the day"),
            some(self.number_of(&[ChangeKind::OtherMachine]), ("gets", "get"), " another machine"),
            some(self.number_of(&[ChangeKind::Served]), ("gets", "get"), " a place that had none"),
            match self.number_of(&[ChangeKind::Lost]) {
                0 => Some("nobody loses a place".to_owned()),
                1 => Some("one club loses its place".to_owned()),
                many => Some(format!("{} clubs lose their places", in_words(many))),
            },
        ];
        let mut sentence = parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
        if let Some(first) = sentence.get(..1).map(str::to_uppercase) {
            sentence.replace_range(..1, &first);
        }
        sentence + "."
    }

    /// How many clubs something happens to.
    fn number_of(&self, kinds: &[ChangeKind]) -> usize {
        let of_kind = self.changes.iter().filter(|change| kinds.contains(&change.kind));
        let clubs: BTreeSet<ClubId> =
            of_kind.filter_map(|change| Some(self.asked(change.request_id)?.club_id)).collect();
        clubs.len()
    }
}

/// "two clubs move by one day", nothing for none.
fn some(clubs: usize, (one, many): (&str, &str), what: &str) -> Option<String> {
    match clubs {
        0 => None,
        1 => Some(format!("one club {one}{what}")),
        more => Some(format!("{} clubs {many}{what}", in_words(more))),
    }
}

fn in_words(number: usize) -> String {
    const WORDS: [&str; 11] =
        ["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    let word = number.checked_sub(2).and_then(|at| WORDS.get(at));
    word.map_or_else(|| number.to_string(), |word| (*word).to_owned())
}
