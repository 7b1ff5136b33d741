//! Where a round goes: grounds and depots, and the road between them.
//!
//! Road is what the coordinator entered, else what `logistics::roads` reckons. A place without a position is no
//! distance from anywhere.

use std::collections::{BTreeMap, BTreeSet};

use logistics::distance::Position;
use logistics::roads::reckoned_hm;
use logistics::rounds::Hectometres;

use super::store::facts::{GroundRow, RoadRow};
use crate::hires::{RoundFacts, RoundMachineFacts};
use crate::ids::{ClubId, GroundId, HireId};

/// A place of a round.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name: the ground's, or whose depot it is.
    pub name: String,
    /// The ground; none for a depot.
    pub ground_id: Option<GroundId>,
    /// Whose ground it is, so that its tractor starts there; none for a depot.
    pub club_id: Option<ClubId>,
    /// The hire whose depot it is; none for a ground.
    pub depot_of: Option<HireId>,
    /// Where it is, if that is known.
    pub position: Option<Position>,
}

/// The places of a round and the roads between them.
#[derive(Debug)]
pub(super) struct Places {
    pub(super) all: Vec<Place>,
    of_ground: BTreeMap<GroundId, usize>,
    /// A club's grounds, for its tractor.
    of_club: BTreeMap<ClubId, Vec<usize>>,
    roads: BTreeMap<(GroundId, GroundId), i32>,
    depot_roads: BTreeMap<(HireId, GroundId), i32>,
}

impl Places {
    /// The grounds of the work, of owned machines and of lent tractors.
    pub(super) fn of(
        grounds: Vec<GroundRow>,
        roads: Vec<RoadRow>,
        depot_roads: Vec<((HireId, GroundId), i32)>,
    ) -> Self {
        let mut places = Self {
            all: Vec::new(),
            of_ground: BTreeMap::new(),
            of_club: BTreeMap::new(),
            roads: roads.into_iter().map(|road| ((road.from_ground_id, road.to_ground_id), road.road_hm)).collect(),
            depot_roads: depot_roads.into_iter().collect(),
        };
        for ground in grounds {
            let index = places.add(Place {
                name: ground.name,
                ground_id: Some(ground.id),
                club_id: Some(ground.club_id),
                depot_of: None,
                position: Position::parse(ground.latitude_deg, ground.longitude_deg).ok(),
            });
            places.of_ground.insert(ground.id, index);
            places.of_club.entry(ground.club_id).or_default().push(index);
        }
        places
    }

    fn add(&mut self, place: Place) -> usize {
        self.all.push(place);
        self.all.len() - 1
    }

    /// The place of a ground; a nameless one nowhere for a ground that is gone.
    pub(super) fn of_ground(&mut self, ground: GroundId) -> usize {
        match self.of_ground.get(&ground) {
            Some(place) => *place,
            None => self.add(Place {
                name: String::new(),
                ground_id: Some(ground),
                club_id: None,
                depot_of: None,
                position: None,
            }),
        }
    }

    /// Where a machine starts and ends.
    pub(super) fn of_machine(&mut self, machine: &RoundMachineFacts) -> usize {
        if let Some(ground) = machine.kept_ground_id {
            return self.of_ground(ground);
        }
        let charges = machine.hire.as_ref().map(|(_, charges)| charges);
        let depot = charges.and_then(|charges| charges.depot_latitude_deg.zip(charges.depot_longitude_deg));
        let position = depot.and_then(|(latitude, longitude)| Position::parse(latitude, longitude).ok());
        let depot_of = machine.hire.as_ref().map(|(hire, _)| *hire);
        let name = format!("The depot of {}", machine.name);
        self.add(Place { name, ground_id: None, club_id: None, depot_of, position })
    }

    /// Road of a club's tractor to a place, over and back, from the nearest of its grounds; none if it has no ground.
    pub(super) fn helper_hm(&self, club: ClubId, place: usize) -> Option<Hectometres> {
        self.of_club.get(&club)?.iter().map(|&from| 2 * self.road_hm(from, place)).min()
    }

    /// Road between two places.
    pub(super) fn road_hm(&self, from: usize, to: usize) -> Hectometres {
        let (Some(one), Some(other)) = (self.all.get(from), self.all.get(to)) else { return 0 };
        if let Some(entered) = self.entered_hm(one, other) {
            return i64::from(entered);
        }
        match (one.position, other.position) {
            (Some(a), Some(b)) => reckoned_hm(a, b),
            _ => 0,
        }
    }

    /// Road between two places as a coordinator knows it.
    fn entered_hm(&self, one: &Place, other: &Place) -> Option<i32> {
        let grounds = one.ground_id.zip(other.ground_id).map(|(a, b)| (a.min(b), a.max(b)));
        let depot = one.depot_of.zip(other.ground_id).or(other.depot_of.zip(one.ground_id));
        let of_grounds = grounds.and_then(|pair| self.roads.get(&pair));
        of_grounds.or_else(|| self.depot_roads.get(&depot?)).copied()
    }

    /// Road from each place to each.
    pub(super) fn road_table(&self) -> Vec<Vec<Hectometres>> {
        let row = |from| (0..self.all.len()).map(|to| self.road_hm(from, to)).collect();
        (0..self.all.len()).map(row).collect()
    }
}

/// The clubs whose tractors or machines a round needs, and the grounds it goes to.
pub(super) fn places_needed(facts: &RoundFacts) -> (BTreeSet<ClubId>, BTreeSet<GroundId>) {
    let helpers = facts.requests.iter().filter_map(|request| request.helper.as_ref().map(|(club, _)| *club));
    let work = facts.requests.iter().map(|request| request.ground_id);
    let kept = facts.machines.iter().filter_map(|machine| machine.kept_ground_id);
    (helpers.collect(), work.chain(kept).collect())
}
