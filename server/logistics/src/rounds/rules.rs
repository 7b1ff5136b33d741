//! What may be done in a round and what it brings: starts, crews, moves, legs, and the levels of the objective.
//!
//! Promises one reading of a [`Problem`] for whoever searches and whoever checks. Knows nothing of searching.
#![expect(clippy::indexing_slicing, reason = "every index of a problem is checked when its rules are read")]

use super::clock::{Clock, haul_min};
use super::faults::{ProblemError, check_problem};
use super::problem::{Block, Hectometres, Level, Order, Problem};

/// Disruption of a confirmed block on another machine or with another crew, at the same time.
const OTHER_HANDS: i64 = 1;
/// Disruption of a confirmed block in the other half of its day.
const OTHER_HALF: i64 = 2;
/// Disruption of a confirmed block on another day.
const OTHER_DAY: i64 = 4;

/// A block that may be chosen, seen on its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// The block.
    pub block: Block,
    /// The slot after its last.
    pub end: usize,
    /// Road of its crew.
    pub helper_hm: Hectometres,
}

/// A problem that makes sense, and what follows from it at once.
#[derive(Debug, Clone)]
pub struct Rules<'a> {
    problem: &'a Problem,
    clock: Clock,
    slots: usize,
    lengths: Vec<usize>,
    confirmed: Vec<Option<Block>>,
}

impl<'a> Rules<'a> {
    /// Reads the rules of a problem.
    ///
    /// # Errors
    /// When the problem contradicts itself or is larger than a plan can hold.
    pub fn new(problem: &'a Problem) -> Result<Self, ProblemError> {
        let clock = Clock::new(problem.grain);
        let slots = problem.days.saturating_mul(clock.slots_of_a_day());
        check_problem(problem, slots)?;
        let work = clock.work_min();
        let length = |work_min: i64| usize::try_from((work_min + work - 1) / work).unwrap_or(usize::MAX);
        let lengths = problem.requests.iter().map(|wish| length(wish.work_min)).collect();
        let mut confirmed = vec![None; problem.requests.len()];
        for block in problem.standing.iter().flat_map(|standing| &standing.confirmed) {
            confirmed[block.request] = Some(*block);
        }
        let rules = Self { problem, clock, slots, lengths, confirmed };
        rules.check_begun()?;
        Ok(rules)
    }

    fn check_begun(&self) -> Result<(), ProblemError> {
        let begun: Vec<Block> = (0..self.problem.requests.len()).filter_map(|request| self.begun(request)).collect();
        for one in &begun {
            if self.end(one) > self.slots {
                return Err(ProblemError::NoSuch { what: "slot", index: self.end(one) - 1 });
            }
            let clash = |two: &&Block| {
                (two.request != one.request && two.machine == one.machine)
                    && !self.can_follow((one.request, one.start), (two.request, two.start))
                    && !self.can_follow((two.request, two.start), (one.request, one.start))
            };
            if let Some(two) = begun.iter().find(clash) {
                return Err(ProblemError::BegunBlocksClash { first: one.request, second: two.request });
            }
            let at_once = begun.iter().filter(|two| two.crew == one.crew && self.covers(two, one.start)).count();
            if at_once > self.problem.crews[one.crew].count {
                return Err(ProblemError::BegunBlocksOverfill { crew: one.crew });
            }
        }
        Ok(())
    }

    /// The problem these are the rules of.
    #[must_use]
    pub const fn problem(&self) -> &'a Problem {
        self.problem
    }

    /// Slots of the plan.
    #[must_use]
    pub const fn slots(&self) -> usize {
        self.slots
    }

    /// How many slots a request takes.
    #[must_use]
    pub fn length(&self, request: usize) -> usize {
        self.lengths[request]
    }

    /// The slot after a block's last.
    #[must_use]
    pub fn end(&self, block: &Block) -> usize {
        block.start.saturating_add(self.lengths[block.request])
    }

    fn covers(&self, block: &Block, slot: usize) -> bool {
        (block.start..self.end(block)).contains(&slot)
    }

    /// The block of a request in the plan that stands.
    #[must_use]
    pub fn confirmed(&self, request: usize) -> Option<Block> {
        self.confirmed[request]
    }

    /// The block of a request that has begun, and so stays whatever the rules would now say of it.
    #[must_use]
    pub fn begun(&self, request: usize) -> Option<Block> {
        self.confirmed[request].filter(|block| block.start < self.now_slot())
    }

    /// The first slot in which something new may start.
    #[must_use]
    pub fn now_slot(&self) -> usize {
        self.problem.standing.as_ref().map_or(0, |standing| standing.now_slot)
    }

    /// Slots in which a block of the request may begin on a machine, in order of time.
    #[must_use]
    pub fn starts(&self, request: usize, machine: usize) -> Vec<usize> {
        if let Some(block) = self.begun(request) {
            return if block.machine == machine { vec![block.start] } else { Vec::new() };
        }
        let may_begin =
            |start: &usize| self.fits(request, machine, *start) && !self.is_banned(request, machine, *start);
        (self.now_slot()..self.slots).filter(may_begin).collect()
    }

    /// Whether a block of the request would lie in its allowed slots and the machine's.
    #[must_use]
    pub fn fits(&self, request: usize, machine: usize, start: usize) -> bool {
        let wish = &self.problem.requests[request];
        let span = start..start.saturating_add(self.lengths[request]);
        let all = |slots: &[bool]| slots.get(span.clone()).is_some_and(|slots| slots.iter().all(|slot| *slot));
        wish.machines.contains(&machine) && all(&wish.allowed) && all(&self.problem.machines[machine].available)
    }

    /// Whether the coordinator forbids a start.
    #[must_use]
    pub fn is_banned(&self, request: usize, machine: usize, start: usize) -> bool {
        self.problem.bans.iter().any(|ban| {
            ban.request == request
                && ban.machine.is_none_or(|banned| banned == machine)
                && ban.start.is_none_or(|banned| banned == start)
        })
    }

    /// Crews that can come for the whole block, each with its road.
    #[must_use]
    pub fn crews(&self, request: usize, start: usize) -> Vec<(usize, Hectometres)> {
        let choices = &self.problem.requests[request].crews;
        if let Some(block) = self.begun(request) {
            let known = choices.iter().find(|choice| choice.crew == block.crew);
            return vec![(block.crew, known.map_or(0, |choice| choice.helper_hm))];
        }
        let span = start..start.saturating_add(self.lengths[request]);
        let can_come = |crew: usize| {
            let crew = &self.problem.crews[crew];
            crew.count > 0 && crew.available.get(span.clone()).is_some_and(|slots| slots.iter().all(|slot| *slot))
        };
        let coming = choices.iter().filter(|choice| can_come(choice.crew));
        coming.map(|choice| (choice.crew, choice.helper_hm)).collect()
    }

    /// All that may be chosen for a machine, by start, request and crew.
    #[must_use]
    pub fn choices(&self, machine: usize) -> Vec<Choice> {
        let mut choices = Vec::new();
        for request in 0..self.problem.requests.len() {
            for start in self.starts(request, machine) {
                for (crew, helper_hm) in self.crews(request, start) {
                    let block = Block { machine, start, request, crew };
                    choices.push(Choice { block, end: self.end(&block), helper_hm });
                }
            }
        }
        choices.sort_unstable_by_key(|choice| choice.block);
        choices
    }

    /// Road between the places of two requests.
    #[must_use]
    pub fn road_hm(&self, from: usize, to: usize) -> Hectometres {
        let place = |request: usize| self.problem.requests[request].place;
        self.problem.road_hm[place(from)][place(to)]
    }

    /// Legs of a machine from its start to a request, and from the request to its end.
    #[must_use]
    pub fn legs_hm(&self, machine: usize, request: usize) -> (Hectometres, Hectometres) {
        let (machine, place) = (&self.problem.machines[machine], self.problem.requests[request].place);
        if !machine.hauled_by_clubs {
            return (0, 0);
        }
        (self.problem.road_hm[machine.start_place][place], self.problem.road_hm[place][machine.end_place])
    }

    /// Minutes to move a machine from one request to another, handed over; 0 at one place.
    #[must_use]
    pub fn move_min(&self, from: usize, to: usize) -> i64 {
        if self.problem.requests[from].place == self.problem.requests[to].place {
            return 0;
        }
        haul_min(self.road_hm(from, to)) + self.problem.handover_min
    }

    /// Minute in which a block begins.
    #[must_use]
    pub fn begins_min(&self, start: usize) -> i64 {
        self.clock.begins_min(start)
    }

    /// Minute in which a block's work is done: the machine leaves then, not when the booking ends.
    #[must_use]
    pub fn done_min(&self, request: usize, start: usize) -> i64 {
        let length = self.lengths[request];
        let booked = i64::try_from(length).unwrap_or(i64::MAX / self.clock.work_min()) * self.clock.work_min();
        let spare = booked - self.problem.requests[request].work_min;
        self.clock.ends_min((start + length).saturating_sub(1)) - spare
    }

    /// Whether a block (request and start) may come straight after another on one machine.
    #[must_use]
    pub fn can_follow(&self, one: (usize, usize), next: (usize, usize)) -> bool {
        next.1 >= one.1.saturating_add(self.lengths[one.0])
            && self.begins_min(next.1) - self.done_min(one.0, one.1) >= self.move_min(one.0, next.0)
    }

    /// The levels to settle, the first first. Pins come above all; a re-plan keeps people before it serves more.
    #[must_use]
    pub fn levels(&self, order: Order) -> Vec<Level> {
        let pinned = (!self.problem.pins.is_empty()).then_some(Level::Pinned);
        let whom: &[Level] = match self.problem.standing {
            Some(_) => &[Level::KeptWeight, Level::Disruption, Level::NewWeight],
            None => &[Level::Guaranteed, Level::Weight],
        };
        let ends = match order {
            Order::WishesFirst => [Level::Points, Level::Haul],
            Order::HaulageFirst => [Level::Haul, Level::Points],
            Order::Between { .. } => [Level::PointsLessHaul, Level::Points],
        };
        pinned.into_iter().chain(whom.iter().copied()).chain(ends).collect()
    }

    /// What a block adds to a level, its machine's road aside; where less is better, its negative.
    #[must_use]
    pub fn gain(&self, level: Level, order: Order, block: &Block, helper_hm: Hectometres) -> i64 {
        let wish = &self.problem.requests[block.request];
        let confirmed = self.confirmed[block.request];
        match level {
            Level::Pinned => i64::from(self.keeps_a_pin(block)),
            Level::Guaranteed => i64::from(wish.guaranteed),
            Level::Weight => wish.weight,
            Level::KeptWeight => confirmed.map_or(0, |_| wish.weight),
            Level::NewWeight => confirmed.map_or(wish.weight, |_| 0),
            Level::Disruption => -confirmed.map_or(0, |old| self.disruption(&old, block)),
            Level::Points => self.points(block),
            Level::PointsLessHaul => self.points(block) * worth_hm(level, order) - helper_hm,
            Level::Haul => -helper_hm,
        }
    }

    fn points(&self, block: &Block) -> i64 {
        self.problem.requests[block.request].points.get(self.clock.day(block.start)).copied().unwrap_or(0)
    }

    fn keeps_a_pin(&self, block: &Block) -> bool {
        self.problem.pins.iter().any(|pin| {
            pin.request == block.request
                && pin.machine.is_none_or(|machine| machine == block.machine)
                && pin.start.is_none_or(|start| start == block.start)
        })
    }

    fn disruption(&self, old: &Block, new: &Block) -> i64 {
        if old.start == new.start {
            if (old.machine, old.crew) == (new.machine, new.crew) { 0 } else { OTHER_HANDS }
        } else if self.clock.day(old.start) == self.clock.day(new.start) {
            OTHER_HALF
        } else {
            OTHER_DAY
        }
    }
}

/// Whether a level counts the machines' road.
#[must_use]
pub const fn counts_road(level: Level) -> bool {
    matches!(level, Level::Haul | Level::PointsLessHaul)
}

/// Whether less of a level is better.
#[must_use]
pub const fn is_a_cost(level: Level) -> bool {
    matches!(level, Level::Haul | Level::Disruption)
}

/// What a point is worth in road at a level.
const fn worth_hm(level: Level, order: Order) -> i64 {
    match (level, order) {
        (Level::PointsLessHaul, Order::Between { hm_per_point }) => hm_per_point,
        _ => 0,
    }
}
