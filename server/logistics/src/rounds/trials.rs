//! What another plan would cost: a request elsewhere, one more day of hire.
//!
//! Promises to change a problem in one respect and to compare what is then best with what stands, level by level.
//! Asks whatever planner it is given; knows no words.
#![expect(clippy::indexing_slicing, reason = "every index was given out by the problem it is used on")]

use std::ops::Range;

use super::clock::Clock;
use super::problem::{Ban, Block, Grain, Level, Outcome, Pin, Problem, Reached};
use super::rules::is_a_cost;

/// Where a request is tried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// Served, wherever.
    Anywhere,
    /// Begun in one of these slots, on a machine if one is named.
    Within {
        /// The slots.
        starts: Range<usize>,
        /// The machine.
        machine: Option<usize>,
    },
    /// Not begun in one of these slots, on a machine if one is named.
    Outside {
        /// The slots.
        starts: Range<usize>,
        /// The machine.
        machine: Option<usize>,
    },
    /// Not served.
    Nowhere,
}

/// The problem with a request put in a place. What the coordinator asked for that request before no longer counts,
/// except what is forbidden to it.
#[must_use]
pub fn tried(problem: &Problem, request: usize, place: &Place) -> Problem {
    let mut tried = problem.clone();
    let slots = problem.days * Clock::new(problem.grain).slots_of_a_day();
    let ban = |start: Option<usize>, machine: Option<usize>| Ban { request, machine, start };
    match place {
        Place::Anywhere => {}
        Place::Within { starts, machine } => {
            tried.bans.extend((0..slots).filter(|slot| !starts.contains(slot)).map(|slot| ban(Some(slot), None)));
            let others = machine.iter().flat_map(|one| (0..problem.machines.len()).filter(move |each| each != one));
            tried.bans.extend(others.map(|other| ban(None, Some(other))));
        }
        Place::Outside { starts, machine } => {
            tried.bans.extend(starts.clone().map(|slot| ban(Some(slot), *machine)));
        }
        Place::Nowhere => tried.bans.push(ban(None, None)),
    }
    tried.pins.retain(|pin| pin.request != request);
    if matches!(place, Place::Anywhere | Place::Within { .. }) {
        tried.pins.push(Pin { request, machine: None, start: None });
    }
    tried
}

/// The problem with one more day at its end: a machine stays, crews can come, some requests could take it.
#[must_use]
pub fn with_a_day_more(problem: &Problem, machine: usize, takers: &[usize]) -> Problem {
    let mut longer = problem.clone();
    let more = Clock::new(problem.grain).slots_of_a_day();
    let lengthen = |slots: &mut Vec<bool>, open: bool| slots.extend(std::iter::repeat_n(open, more));
    longer.days += 1;
    for (index, each) in longer.machines.iter_mut().enumerate() {
        lengthen(&mut each.available, index == machine);
    }
    longer.crews.iter_mut().for_each(|crew| lengthen(&mut crew.available, true));
    for (index, wish) in longer.requests.iter_mut().enumerate() {
        lengthen(&mut wish.allowed, takers.contains(&index));
        wish.points.push(0);
    }
    longer
}

/// A level before and after.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Change {
    /// The level.
    pub level: Level,
    /// Its value in the plan that stands.
    pub before: i64,
    /// Its value in the other plan.
    pub after: i64,
}

impl Change {
    /// By how much the other plan is worse; negative where it is better.
    #[must_use]
    pub fn worse_by(&self) -> i64 {
        if is_a_cost(self.level) { self.after - self.before } else { self.before - self.after }
    }
}

/// What another plan costs, level by level, pins aside.
#[must_use]
pub fn changes(before: &[(Level, i64)], after: &[Reached]) -> Vec<Change> {
    let value = |level: Level| after.iter().find(|reached| reached.level == level).map(|reached| reached.value);
    let change = |&(level, before): &(Level, i64)| value(level).map(|after| Change { level, before, after });
    before.iter().filter(|(level, _)| *level != Level::Pinned).filter_map(change).collect()
}

/// Whether an outcome keeps every pin of its problem; when it does not and that is proven, no plan can.
#[must_use]
pub fn keeps_pins(problem: &Problem, outcome: &Outcome) -> bool {
    let pinned =
        outcome.levels.iter().find(|reached| reached.level == Level::Pinned).map_or(0, |reached| reached.value);
    usize::try_from(pinned).is_ok_and(|pinned| pinned == problem.pins.len())
}

/// Requests served by one plan and not by another, in order.
#[must_use]
pub fn served_only_by(one: &[Block], other: &[Block]) -> Vec<usize> {
    let lacks = |block: &&Block| !other.iter().any(|each| each.request == block.request);
    let mut requests: Vec<usize> = one.iter().filter(lacks).map(|block| block.request).collect();
    requests.sort_unstable();
    requests
}

/// Slots of a day.
#[must_use]
pub fn slots_of_day(grain: Grain, day: usize) -> Range<usize> {
    let each = Clock::new(grain).slots_of_a_day();
    day * each..(day + 1) * each
}

/// Where a request left out would fit into a plan as it stands, if its club allowed other slots: the first such block.
#[must_use]
pub fn room_elsewhere(problem: &Problem, plan: &[Block], request: usize) -> Option<Block> {
    let mut open = problem.clone();
    open.requests[request].allowed.iter_mut().for_each(|slot| *slot = true);
    first_room(&open, plan, request)
}

/// Where a request left out would fit into a plan as it stands, if somebody lent it one more tractor.
#[must_use]
pub fn room_with_a_crew(problem: &Problem, plan: &[Block], request: usize) -> Option<Block> {
    let mut lent = problem.clone();
    for choice in &problem.requests[request].crews {
        lent.crews[choice.crew].count += 1;
        lent.crews[choice.crew].available.iter_mut().for_each(|slot| *slot = true);
    }
    first_room(&lent, plan, request)
}

fn first_room(problem: &Problem, plan: &[Block], request: usize) -> Option<Block> {
    let rules = super::rules::Rules::new(problem).ok()?;
    (0..rules.slots()).find_map(|start| match super::reasons::obstacle(&rules, plan, request, start..start + 1) {
        super::reasons::Obstacle::Room { block } => Some(block),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use super::*;
    use crate::rounds::test_rounds::{days, request, round};
    use crate::rounds::{Order, Request, plan};

    fn solved(problem: &Problem) -> Outcome {
        plan(problem, Order::WishesFirst, &mut |_| ControlFlow::Continue(())).unwrap()
    }

    fn values(outcome: &Outcome) -> Vec<(Level, i64)> {
        outcome.levels.iter().map(|reached| (reached.level, reached.value)).collect()
    }

    /// Two clubs that want the first of two days; the second is worth more there.
    fn rivals() -> Problem {
        let want = |index: usize, points: i64| Request { points: vec![points, 0], ..request(index) };
        round(2, &[want(0, 10), want(1, 15)])
    }

    #[test]
    fn the_price_of_a_wish_is_the_points_the_others_lose() {
        let problem = rivals();
        let best = solved(&problem);
        let moved = tried(&problem, 0, &Place::Within { starts: 0..1, machine: None });
        let other = solved(&moved);
        assert!(keeps_pins(&moved, &other) && other.is_proven());
        let prices = changes(&values(&best), &other.levels);
        let points = prices.iter().find(|change| change.level == Level::Points).unwrap();
        assert_eq!((points.before, points.after, points.worse_by()), (15, 10, 5));
        assert!(prices.iter().filter(|change| change.level != Level::Points).all(|change| change.worse_by() == 0));
    }

    #[test]
    fn what_cannot_be_is_told_by_the_pin_it_breaks() {
        let mut problem = rivals();
        problem.requests[0].allowed = days(2, &[1]);
        let moved = tried(&problem, 0, &Place::Within { starts: 0..1, machine: None });
        let other = solved(&moved);
        assert!(!keeps_pins(&moved, &other) && other.is_proven());
    }

    #[test]
    fn a_request_kept_away_or_left_out_is_so() {
        let problem = rivals();
        let away = solved(&tried(&problem, 1, &Place::Outside { starts: 0..1, machine: None }));
        assert!(away.blocks.iter().any(|block| block.request == 1 && block.start == 1));
        let out = solved(&tried(&problem, 1, &Place::Nowhere));
        assert_eq!(served_only_by(&solved(&problem).blocks, &out.blocks), vec![1]);
    }

    #[test]
    fn one_more_day_serves_one_more() {
        let problem = round(2, &[request(0), request(1), request(2)]);
        let best = solved(&problem);
        let left: Vec<usize> =
            (0..3).filter(|index| !best.blocks.iter().any(|block| block.request == *index)).collect();
        assert_eq!(left.len(), 1);
        let longer = solved(&with_a_day_more(&problem, 0, &left));
        assert_eq!(served_only_by(&longer.blocks, &best.blocks), left);
    }

    #[test]
    fn room_is_found_on_days_the_club_did_not_allow_and_with_a_tractor_lent() {
        let mut problem = round(3, &[request(0), request(1)]);
        problem.requests[1].allowed = days(3, &[0]);
        let first = [Block { machine: 0, start: 0, request: 0, crew: 0 }];
        assert_eq!(room_elsewhere(&problem, &first, 1).map(|block| block.start), Some(1));
        assert_eq!(room_with_a_crew(&problem, &first, 1), None);
        problem.requests[1].allowed = days(3, &[1]);
        problem.crews[1].available = days(3, &[]);
        assert_eq!(room_elsewhere(&problem, &first, 1), None);
        assert_eq!(room_with_a_crew(&problem, &first, 1).map(|block| block.start), Some(1));
    }
}
