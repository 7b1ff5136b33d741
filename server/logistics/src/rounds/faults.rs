//! Problems that cannot be planned from, and why.
//!
//! Promises: whatever passes has lists of the right length, places and numbers that exist, sums that fit, and
//! begun blocks that do not contradict each other. Does not judge whether anyone can be served.

use thiserror::Error;

use super::problem::{Block, Order, Problem};

/// Most requests of one plan: each is one bit of a label's memory.
pub const MOST_REQUESTS: usize = 128;
/// Most machines of one plan.
pub const MOST_MACHINES: usize = 32;
/// Most crews of one plan.
pub const MOST_CREWS: usize = 256;
/// Most days of one plan: a year and the leap day.
pub const MOST_DAYS: usize = 366;
/// Most weight of one request.
pub const MOST_WEIGHT: i64 = 10_000;
/// Most points of one wish.
pub const MOST_POINTS: i64 = 1_000;
/// Longest road between two places: 10 000 km.
pub const MOST_HM: i64 = 100_000;
/// Most a point may be worth in road: 10 000 km.
pub const MOST_HM_PER_POINT: i64 = 100_000;
/// Most minutes of work or handover.
pub const MOST_MINUTES: i64 = 1_000_000;

/// Why nothing can be planned from a problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ProblemError {
    /// There are more of something than a plan can hold.
    #[error("a plan holds at most {most} {what}, not {given}")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// The limit.
        most: usize,
        /// What was asked.
        given: usize,
    },
    /// A list does not have one entry for each slot, day or place.
    #[error("{what} must have {wanted} entries, not {given}")]
    WrongLength {
        /// The list.
        what: &'static str,
        /// Entries it should have.
        wanted: usize,
        /// Entries it has.
        given: usize,
    },
    /// Something is named that there is not.
    #[error("there is no {what} {index}")]
    NoSuch {
        /// What is named.
        what: &'static str,
        /// Its index.
        index: usize,
    },
    /// A number is out of its range.
    #[error("{what} must be from {least} to {most}, not {given}")]
    OutOfRange {
        /// The number.
        what: &'static str,
        /// Smallest allowed.
        least: i64,
        /// Greatest allowed.
        most: i64,
        /// What was given.
        given: i64,
    },
    /// The same thing is named twice.
    #[error("{what} {index} is named twice")]
    Twice {
        /// What is named.
        what: &'static str,
        /// Its index.
        index: usize,
    },
    /// Two blocks that have begun cannot both be true.
    #[error("the begun blocks of requests {first} and {second} contradict each other")]
    BegunBlocksClash {
        /// One request.
        first: usize,
        /// The other request.
        second: usize,
    },
    /// More blocks have begun with a crew than it has tractors.
    #[error("crew {crew} has more begun blocks at once than tractors")]
    BegunBlocksOverfill {
        /// Index of the crew.
        crew: usize,
    },
}

/// Refuses an order whose worth of a point is out of range.
///
/// # Errors
/// When it is not from 1 to [`MOST_HM_PER_POINT`].
pub fn check_order(order: Order) -> Result<(), ProblemError> {
    match order {
        Order::Between { hm_per_point } => in_range("hectometres a point", hm_per_point, 1, MOST_HM_PER_POINT),
        Order::WishesFirst | Order::HaulageFirst => Ok(()),
    }
}

/// Refuses a problem whose parts do not fit together.
pub(super) fn check_problem(problem: &Problem, slots: usize) -> Result<(), ProblemError> {
    at_most("days", problem.days, MOST_DAYS)?;
    at_most("machines", problem.machines.len(), MOST_MACHINES)?;
    at_most("crews", problem.crews.len(), MOST_CREWS)?;
    at_most("requests", problem.requests.len(), MOST_REQUESTS)?;
    check_roads(problem)?;
    check_machines_and_crews(problem, slots)?;
    for request in 0..problem.requests.len() {
        check_request(problem, request, slots)?;
    }
    check_wishes_of_the_coordinator(problem, slots)
}

fn check_roads(problem: &Problem) -> Result<(), ProblemError> {
    in_range("minutes of handover", problem.handover_min, 0, MOST_MINUTES)?;
    for row in &problem.road_hm {
        has_length("roads from a place", row.len(), problem.road_hm.len())?;
        row.iter().try_for_each(|&road| in_range("road in hectometres", road, 0, MOST_HM))?;
    }
    Ok(())
}

fn check_machines_and_crews(problem: &Problem, slots: usize) -> Result<(), ProblemError> {
    for machine in &problem.machines {
        has_length("slots of a machine", machine.available.len(), slots)?;
        exists("place", machine.start_place, problem.road_hm.len())?;
        exists("place", machine.end_place, problem.road_hm.len())?;
    }
    problem.crews.iter().try_for_each(|crew| has_length("slots of a crew", crew.available.len(), slots))
}

fn check_request(problem: &Problem, request: usize, slots: usize) -> Result<(), ProblemError> {
    let Some(wish) = problem.requests.get(request) else { return Ok(()) };
    has_length("slots of a request", wish.allowed.len(), slots)?;
    has_length("days with points", wish.points.len(), problem.days)?;
    exists("place", wish.place, problem.road_hm.len())?;
    in_range("minutes of work", wish.work_min, 1, MOST_MINUTES)?;
    in_range("weight", wish.weight, 0, MOST_WEIGHT)?;
    wish.points.iter().try_for_each(|&points| in_range("points", points, 0, MOST_POINTS))?;
    wish.machines.iter().try_for_each(|&machine| exists("machine", machine, problem.machines.len()))?;
    for choice in &wish.crews {
        exists("crew", choice.crew, problem.crews.len())?;
        in_range("a helper's road in hectometres", choice.helper_hm, 0, 2 * MOST_HM)?;
    }
    no_twins("machine of a request", wish.machines.iter().copied())?;
    no_twins("crew of a request", wish.crews.iter().map(|choice| choice.crew))
}

fn check_wishes_of_the_coordinator(problem: &Problem, slots: usize) -> Result<(), ProblemError> {
    let pins = problem.pins.iter().map(|pin| (pin.request, pin.machine, pin.start));
    let bans = problem.bans.iter().map(|ban| (ban.request, ban.machine, ban.start));
    for (request, machine, start) in pins.chain(bans) {
        exists("request", request, problem.requests.len())?;
        machine.map_or(Ok(()), |machine| exists("machine", machine, problem.machines.len()))?;
        start.map_or(Ok(()), |start| exists("slot", start, slots))?;
    }
    no_twins("request with a pin", problem.pins.iter().map(|pin| pin.request))?;
    let Some(standing) = &problem.standing else { return Ok(()) };
    if standing.now_slot > slots {
        return Err(ProblemError::NoSuch { what: "slot", index: standing.now_slot });
    }
    standing.confirmed.iter().try_for_each(|block| check_confirmed(problem, block, slots))?;
    no_twins("confirmed request", standing.confirmed.iter().map(|block| block.request))
}

fn check_confirmed(problem: &Problem, block: &Block, slots: usize) -> Result<(), ProblemError> {
    exists("request", block.request, problem.requests.len())?;
    exists("machine", block.machine, problem.machines.len())?;
    exists("crew", block.crew, problem.crews.len())?;
    exists("slot", block.start, slots)
}

fn at_most(what: &'static str, given: usize, most: usize) -> Result<(), ProblemError> {
    if given <= most { Ok(()) } else { Err(ProblemError::TooMany { what, most, given }) }
}

fn has_length(what: &'static str, given: usize, wanted: usize) -> Result<(), ProblemError> {
    if given == wanted { Ok(()) } else { Err(ProblemError::WrongLength { what, wanted, given }) }
}

fn exists(what: &'static str, index: usize, count: usize) -> Result<(), ProblemError> {
    if index < count { Ok(()) } else { Err(ProblemError::NoSuch { what, index }) }
}

fn in_range(what: &'static str, given: i64, least: i64, most: i64) -> Result<(), ProblemError> {
    if (least..=most).contains(&given) { Ok(()) } else { Err(ProblemError::OutOfRange { what, least, most, given }) }
}

fn no_twins(what: &'static str, indices: impl Iterator<Item = usize>) -> Result<(), ProblemError> {
    let mut sorted: Vec<usize> = indices.collect();
    sorted.sort_unstable();
    let mut pairs = sorted.iter().zip(sorted.iter().skip(1));
    match pairs.find(|(one, next)| one == next) {
        Some((&index, _)) => Err(ProblemError::Twice { what, index }),
        None => Ok(()),
    }
}
