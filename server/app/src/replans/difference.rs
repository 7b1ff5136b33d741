//! What lies between the places a round has and those a re-plan gives. Pure: knows requests, machines and half-days,
//! and neither names nor the database.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;
use logistics::half_days::HalfDaySpan;

use super::words::ChangeKind;
use crate::ids::{MachineId, RequestId};

/// A request's place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) request_id: RequestId,
    pub(super) machine_id: MachineId,
    pub(super) span: HalfDaySpan,
}

/// Between which requests a machine comes to a place; none at either end of its journey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Neighbours {
    pub(super) comes_from: Option<RequestId>,
    pub(super) goes_to: Option<RequestId>,
}

/// What a re-plan changes for one request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Change {
    pub(super) request_id: RequestId,
    pub(super) kind: ChangeKind,
    pub(super) before: Option<(Place, Neighbours)>,
    pub(super) after: Option<(Place, Neighbours)>,
}

impl Change {
    /// Whether its booking changes.
    pub(super) fn is_of_booking(&self) -> bool {
        !matches!(self.kind, ChangeKind::Begun | ChangeKind::Kept)
    }

    /// Whether only where the machine comes from or goes to changes.
    pub(super) fn is_of_neighbours(&self) -> bool {
        let around = |place: Option<(Place, Neighbours)>| place.map(|(_, around)| around);
        !self.is_of_booking() && around(self.before) != around(self.after)
    }

    /// By how many days it moves; none where it does not move to another day.
    pub(super) fn days_moved(&self) -> Option<i64> {
        let day = |place: Option<(Place, Neighbours)>| place.map(|(place, _)| place.span.from().date());
        let moved = (day(self.after)? - day(self.before)?).num_days().abs();
        (self.kind == ChangeKind::DayMoved).then_some(moved)
    }
}

/// What changes from the places there are to those a re-plan gives, by time of the place before, else after. What began
/// at a half-day or before it stays, whatever the plan gives.
pub(super) fn difference(before: &[Place], given: &[Place], running: NaiveDateTime) -> Vec<Change> {
    let begun: Vec<Place> = before.iter().copied().filter(|place| place.span.from() <= running).collect();
    let has_begun = |request: RequestId| begun.iter().any(|place| place.request_id == request);
    let kept = given.iter().copied().filter(|place| !has_begun(place.request_id));
    let after: Vec<Place> = begun.iter().copied().chain(kept).collect();
    let requests: BTreeSet<RequestId> = before.iter().chain(&after).map(|place| place.request_id).collect();
    let mut changes: Vec<Change> = requests
        .into_iter()
        .map(|request_id| {
            let (was, is) = (around(before, request_id), around(&after, request_id));
            let kind = if has_begun(request_id) { ChangeKind::Begun } else { kind_of(was, is) };
            Change { request_id, kind, before: was, after: is }
        })
        .collect();
    let time = |change: &Change| change.before.or(change.after).map(|(place, _)| place.span.from());
    changes.sort_by_key(|change| (time(change), change.request_id));
    changes
}

/// The place of a request, and between whom it lies.
fn around(places: &[Place], request: RequestId) -> Option<(Place, Neighbours)> {
    let place = places.iter().copied().find(|place| place.request_id == request)?;
    let others = || places.iter().filter(|other| other.machine_id == place.machine_id && other.request_id != request);
    let earlier = others().filter(|other| other.span.from() < place.span.from());
    let later = others().filter(|other| other.span.from() > place.span.from());
    let neighbours = Neighbours {
        comes_from: earlier.max_by_key(|other| other.span.from()).map(|other| other.request_id),
        goes_to: later.min_by_key(|other| other.span.from()).map(|other| other.request_id),
    };
    Some((place, neighbours))
}

fn kind_of(before: Option<(Place, Neighbours)>, after: Option<(Place, Neighbours)>) -> ChangeKind {
    let (was, is) = match (before, after) {
        (Some((was, _)), Some((is, _))) => (was, is),
        (Some(_), None) => return ChangeKind::Lost,
        (None, _) => return ChangeKind::Served,
    };
    match was.span == is.span {
        true if was.machine_id == is.machine_id => ChangeKind::Kept,
        true => ChangeKind::OtherMachine,
        false if was.span.from().date() == is.span.from().date() => ChangeKind::HalfDayMoved,
        false => ChangeKind::DayMoved,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{NaiveDate, TimeDelta};

    fn at(half: i64) -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2027, 5, 3).unwrap().and_hms_opt(0, 0, 0).unwrap() + TimeDelta::hours(12 * half)
    }

    fn place(request: u128, machine: u128, half: i64) -> Place {
        let span = HalfDaySpan::parse(at(half), at(half + 1)).unwrap();
        let (request, machine) = (uuid::Uuid::from_u128(request), uuid::Uuid::from_u128(machine));
        Place { request_id: RequestId(request), machine_id: MachineId(machine), span }
    }

    fn kinds(before: &[Place], given: &[Place], running: i64) -> Vec<ChangeKind> {
        difference(before, given, at(running)).into_iter().map(|change| change.kind).collect()
    }

    #[test]
    fn each_way_a_place_can_change_has_its_word() {
        use ChangeKind::{DayMoved, HalfDayMoved, Kept, Lost, OtherMachine, Served};
        let before = [place(1, 1, 2), place(2, 1, 4), place(3, 1, 6), place(4, 1, 8), place(5, 1, 10)];
        let given = [place(1, 1, 2), place(2, 1, 5), place(3, 1, 9), place(4, 2, 8), place(6, 1, 12)];
        assert_eq!(kinds(&before, &given, 0), [Kept, HalfDayMoved, DayMoved, OtherMachine, Lost, Served]);
        assert_eq!(difference(&before, &given, at(0))[2].days_moved(), Some(1));
    }

    #[test]
    fn what_has_begun_stays_whatever_the_plan() {
        let before = [place(1, 1, 0), place(2, 1, 1), place(3, 1, 4)];
        let given = [place(1, 1, 6), place(3, 1, 4)];
        assert_eq!(kinds(&before, &given, 1), [ChangeKind::Begun, ChangeKind::Begun, ChangeKind::Kept]);
        let stays = difference(&before, &given, at(1))[0];
        assert_eq!(stays.after.unwrap().0, before[0]);
    }

    #[test]
    fn a_club_between_others_that_move_learns_who_is_next_to_it() {
        let before = [place(1, 1, 2), place(2, 1, 4), place(3, 1, 6)];
        let given = [place(1, 1, 8), place(2, 1, 4), place(3, 1, 6)];
        let changes = difference(&before, &given, at(0));
        assert!(changes[1].is_of_neighbours() && changes[2].is_of_neighbours());
        assert_eq!(changes[1].after.unwrap().1.comes_from, None);
        assert_eq!(changes[2].after.unwrap().1.goes_to, Some(before[0].request_id));
        assert!(!difference(&before, &before, at(0)).iter().any(Change::is_of_neighbours));
    }
}
