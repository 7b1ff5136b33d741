//! Small rounds for the tests: days, one machine at place 0 that the supplier brings, every club with a crew.

use super::problem::{Crew, CrewChoice, Grain, Machine, Problem, Request};

/// Slots of which only some are open.
pub(super) fn days(count: usize, open: &[usize]) -> Vec<bool> {
    (0..count).map(|day| open.contains(&day)).collect()
}

/// A request at a place of its own, with its own crew, any day, weight 30.
pub(super) fn request(index: usize) -> Request {
    Request {
        place: index,
        work_min: 300,
        allowed: Vec::new(),
        machines: vec![0],
        crews: vec![CrewChoice { crew: index, helper_hm: 0 }],
        weight: 30,
        guaranteed: false,
        points: Vec::new(),
    }
}

/// A round of so many days; places lie 100 hectometres apart.
pub(super) fn round(count: usize, requests: &[Request]) -> Problem {
    let places = requests.len();
    let road = |from: usize| (0..places).map(|to| if from == to { 0 } else { 100 }).collect();
    let filled = |wish: &Request| {
        let allowed = if wish.allowed.is_empty() { vec![true; count] } else { wish.allowed.clone() };
        let points = if wish.points.is_empty() { vec![0; count] } else { wish.points.clone() };
        Request { allowed, points, ..wish.clone() }
    };
    Problem {
        grain: Grain::Days,
        days: count,
        road_hm: (0..places).map(road).collect(),
        handover_min: 30,
        machines: vec![Machine { available: vec![true; count], start_place: 0, end_place: 0, hauled_by_clubs: false }],
        crews: vec![Crew { count: 1, available: vec![true; count] }; places],
        requests: requests.iter().map(filled).collect(),
        pins: Vec::new(),
        bans: Vec::new(),
        standing: None,
    }
}
