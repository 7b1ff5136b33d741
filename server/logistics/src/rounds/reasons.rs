//! Why a plan gives a request no better place.
//!
//! Promises what can be read off the plan itself: what stands where the request would rather be. What moving it there
//! would cost is found by asking the planner again (`trials`). Knows no names and no words.
#![expect(clippy::indexing_slicing, reason = "every index comes from rules and plans that were checked")]

use std::collections::BTreeSet;
use std::ops::Range;

use super::problem::Block;
use super::rules::Rules;

/// What keeps a request from beginning in some slots, the rest of the plan left as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Obstacle {
    /// No machine suits it.
    NoMachine,
    /// Its allowed slots hold no block that begins there.
    NotAllowed,
    /// The machines are away or booked.
    MachineAway,
    /// The coordinator forbids it.
    Forbidden,
    /// No crew can come.
    NoCrew,
    /// Other requests have the machine.
    Taken {
        /// Their indices, in order.
        by: Vec<usize>,
    },
    /// The machine could not come from one request, or reach another, in time.
    TooFar {
        /// Index of the request before or after.
        from: usize,
    },
    /// The crew works for another request then.
    CrewAtWork {
        /// Index of that request.
        with: usize,
    },
    /// Nothing: there is room.
    Room {
        /// Where.
        block: Block,
    },
}

impl Obstacle {
    /// The less, the nearer the request came.
    fn distance(&self) -> usize {
        match self {
            Self::Room { .. } => 0,
            Self::CrewAtWork { .. } => 1,
            Self::TooFar { .. } => 2,
            Self::Taken { by } => 2 + by.len(),
            Self::NoCrew => usize::MAX - 4,
            Self::Forbidden => usize::MAX - 3,
            Self::MachineAway => usize::MAX - 2,
            Self::NotAllowed => usize::MAX - 1,
            Self::NoMachine => usize::MAX,
        }
    }
}

/// What keeps a request from beginning in some slots: of all ways to do it, the one that came nearest.
#[must_use]
pub fn obstacle(rules: &Rules<'_>, plan: &[Block], request: usize, starts: Range<usize>) -> Obstacle {
    let machines = &rules.problem().requests[request].machines;
    let ways = starts.flat_map(|start| machines.iter().map(move |&machine| (machine, start)));
    let each = ways.map(|(machine, start)| obstacle_at(rules, plan, request, (machine, start)));
    each.min_by_key(Obstacle::distance).unwrap_or(Obstacle::NoMachine)
}

/// What keeps a request from beginning on a machine in a slot.
fn obstacle_at(rules: &Rules<'_>, plan: &[Block], request: usize, (machine, start): (usize, usize)) -> Obstacle {
    let span = start..start.saturating_add(rules.length(request));
    let wish = &rules.problem().requests[request];
    let all = |slots: &[bool]| slots.get(span.clone()).is_some_and(|slots| slots.iter().all(|slot| *slot));
    if !all(&wish.allowed) {
        return Obstacle::NotAllowed;
    }
    if !all(&rules.problem().machines[machine].available) {
        return Obstacle::MachineAway;
    }
    if rules.is_banned(request, machine, start) {
        return Obstacle::Forbidden;
    }
    let crews = rules.crews(request, start);
    if crews.is_empty() {
        return Obstacle::NoCrew;
    }
    let others: Vec<Block> = plan.iter().filter(|block| block.request != request).copied().collect();
    on_machine(rules, &others, request, (machine, start)).unwrap_or_else(|| {
        let ways = crews.iter().map(|&(crew, _)| Block { machine, start, request, crew });
        let each = ways.map(|block| match crew_at_work(rules, &others, &block) {
            Some(with) => Obstacle::CrewAtWork { with },
            None => Obstacle::Room { block },
        });
        each.min_by_key(Obstacle::distance).unwrap_or(Obstacle::NoCrew)
    })
}

/// Who has the machine, or from whom it would come too late.
fn on_machine(
    rules: &Rules<'_>,
    others: &[Block],
    request: usize,
    (machine, start): (usize, usize),
) -> Option<Obstacle> {
    let end = start.saturating_add(rules.length(request));
    let there = || others.iter().filter(|block| block.machine == machine);
    let over: BTreeSet<usize> =
        there().filter(|block| block.start < end && start < rules.end(block)).map(|block| block.request).collect();
    if !over.is_empty() {
        return Some(Obstacle::Taken { by: over.into_iter().collect() });
    }
    let clashes = |block: &&Block| match block.start < start {
        true => !rules.can_follow((block.request, block.start), (request, start)),
        false => !rules.can_follow((request, start), (block.request, block.start)),
    };
    there().find(clashes).map(|block| Obstacle::TooFar { from: block.request })
}

/// For whom a crew works in the slots of a block, when it has no more tractors.
fn crew_at_work(rules: &Rules<'_>, others: &[Block], block: &Block) -> Option<usize> {
    let busy = |slot: usize| {
        let mut at_work = others.iter().filter(|other| other.crew == block.crew);
        let count = rules.problem().crews[block.crew].count;
        let covers = |other: &&Block| (other.start..rules.end(other)).contains(&slot);
        at_work.by_ref().filter(covers).nth(count.saturating_sub(1)).map(|other| other.request)
    };
    (block.start..rules.end(block)).find_map(busy)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::test_rounds::{days, request, round};

    /// One machine on two days; request 0 has the first, request 1 the second.
    fn plan() -> Vec<Block> {
        vec![Block { machine: 0, start: 0, request: 0, crew: 0 }, Block { machine: 0, start: 1, request: 1, crew: 1 }]
    }

    #[test]
    fn each_obstacle_is_told_by_its_name() {
        let mut problem = round(3, &[request(0), request(1), request(2)]);
        problem.requests[2].allowed = days(3, &[0, 1]);
        let told = |problem: &crate::rounds::Problem, slot: usize| {
            obstacle(&Rules::new(problem).unwrap(), &plan(), 2, slot..slot + 1)
        };
        assert_eq!(told(&problem, 0), Obstacle::Taken { by: vec![0] });
        assert_eq!(told(&problem, 2), Obstacle::NotAllowed);
        problem.requests[2].allowed = days(3, &[0, 1, 2]);
        assert_eq!(told(&problem, 2), Obstacle::Room { block: Block { machine: 0, start: 2, request: 2, crew: 2 } });
        problem.bans = vec![crate::rounds::Ban { request: 2, machine: None, start: Some(2) }];
        assert_eq!(told(&problem, 2), Obstacle::Forbidden);
        problem.crews[2].available = days(3, &[0]);
        problem.bans.clear();
        assert_eq!(told(&problem, 2), Obstacle::NoCrew);
        problem.machines[0].available = days(3, &[0, 1]);
        assert_eq!(told(&problem, 2), Obstacle::MachineAway);
        problem.requests[2].machines.clear();
        assert_eq!(told(&problem, 2), Obstacle::NoMachine);
    }

    #[test]
    fn a_lent_tractor_that_is_at_work_stands_in_the_way_and_a_second_does_not() {
        let mut problem = round(3, &[request(0), request(1), request(2)]);
        problem.machines.push(problem.machines[0].clone());
        problem.requests[2].machines = vec![1];
        problem.requests[2].crews[0].crew = 1;
        let told = |problem: &crate::rounds::Problem| obstacle(&Rules::new(problem).unwrap(), &plan(), 2, 1..2);
        assert_eq!(told(&problem), Obstacle::CrewAtWork { with: 1 });
        problem.crews[1].count = 2;
        assert!(matches!(told(&problem), Obstacle::Room { .. }));
    }

    #[test]
    fn of_several_ways_the_nearest_is_told() {
        let problem = round(3, &[request(0), request(1), request(2)]);
        let told = obstacle(&Rules::new(&problem).unwrap(), &plan(), 2, 0..3);
        assert!(matches!(told, Obstacle::Room { block } if block.start == 2));
    }

    #[test]
    fn a_machine_that_cannot_come_in_time_is_too_far() {
        let mut problem = round(2, &[request(0), request(1)]);
        problem.road_hm = vec![vec![0, 20_000], vec![20_000, 0]];
        let first = [Block { machine: 0, start: 0, request: 0, crew: 0 }];
        let told = obstacle(&Rules::new(&problem).unwrap(), &first, 1, 1..2);
        assert_eq!(told, Obstacle::TooFar { from: 0 });
    }
}
