//! Whether a plan keeps the rules, and what it is worth at each level.
//!
//! Promises to judge any list of blocks without regard to how it was found. Finds nothing itself.
#![expect(clippy::indexing_slicing, reason = "every index of a block is checked before it is used")]

use std::collections::BTreeMap;

use thiserror::Error;

use super::problem::{Block, Level, Order};
use super::rules::{Rules, counts_road, is_a_cost};

/// The first rule a plan breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum BrokenRule {
    /// A block names something there is not.
    #[error("a block names a request, machine, crew or slot there is not")]
    NoSuchThing {
        /// The block.
        block: Block,
    },
    /// A request is served twice.
    #[error("request {request} is served twice")]
    ServedTwice {
        /// Index of the request.
        request: usize,
    },
    /// A block lies outside its allowed slots or its machine's.
    #[error("request {} must not stand in these slots on machine {}", block.request, block.machine)]
    NotAllowed {
        /// The block.
        block: Block,
    },
    /// The coordinator forbids the start.
    #[error("the coordinator forbids request {} this start", block.request)]
    Forbidden {
        /// The block.
        block: Block,
    },
    /// The crew cannot come for the whole block.
    #[error("crew {} cannot come for request {}", block.crew, block.request)]
    CrewAway {
        /// The block.
        block: Block,
    },
    /// A crew would work more blocks at once than it has tractors.
    #[error("crew {crew} has too many blocks in slot {slot}")]
    CrewOverfilled {
        /// Index of the crew.
        crew: usize,
        /// The slot.
        slot: usize,
    },
    /// A machine cannot be there in time.
    #[error("the machine of request {} cannot come on to request {} in time", from.request, to.request)]
    NoTimeToMove {
        /// The block before.
        from: Block,
        /// The block after.
        to: Block,
    },
    /// A block that has begun was changed or dropped.
    #[error("request {request} has begun and must stay as it is")]
    BegunChanged {
        /// Index of the request.
        request: usize,
    },
    /// A new block would start in the past.
    #[error("request {} would start in the past", block.request)]
    StartsInThePast {
        /// The block.
        block: Block,
    },
}

impl Rules<'_> {
    /// Says which rule a plan breaks.
    ///
    /// # Errors
    /// The first broken rule.
    pub fn check(&self, plan: &[Block]) -> Result<(), BrokenRule> {
        let mut served = vec![None; self.problem().requests.len()];
        for block in plan {
            self.check_block(block)?;
            if served[block.request].replace(*block).is_some() {
                return Err(BrokenRule::ServedTwice { request: block.request });
            }
        }
        let changed = |request: &usize| self.begun(*request).is_some_and(|old| served[*request] != Some(old));
        if let Some(request) = (0..served.len()).find(changed) {
            return Err(BrokenRule::BegunChanged { request });
        }
        self.check_crews(plan)?;
        self.journeys(plan).values().try_for_each(|journey| self.check_moves(journey))
    }

    fn check_block(&self, block: &Block) -> Result<(), BrokenRule> {
        let problem = self.problem();
        let exists = block.request < problem.requests.len()
            && block.machine < problem.machines.len()
            && block.crew < problem.crews.len()
            && block.start < self.slots();
        if !exists {
            return Err(BrokenRule::NoSuchThing { block: *block });
        }
        if self.begun(block.request) == Some(*block) {
            return Ok(());
        }
        if block.start < self.now_slot() {
            return Err(BrokenRule::StartsInThePast { block: *block });
        }
        if !self.fits(block.request, block.machine, block.start) {
            return Err(BrokenRule::NotAllowed { block: *block });
        }
        if self.is_banned(block.request, block.machine, block.start) {
            return Err(BrokenRule::Forbidden { block: *block });
        }
        let comes = self.crews(block.request, block.start).iter().any(|(crew, _)| *crew == block.crew);
        if comes { Ok(()) } else { Err(BrokenRule::CrewAway { block: *block }) }
    }

    fn check_crews(&self, plan: &[Block]) -> Result<(), BrokenRule> {
        let mut used = BTreeMap::new();
        for block in plan {
            for slot in block.start..self.end(block) {
                let at_once = used.entry((block.crew, slot)).or_insert(0_usize);
                *at_once += 1;
                if *at_once > self.problem().crews[block.crew].count {
                    return Err(BrokenRule::CrewOverfilled { crew: block.crew, slot });
                }
            }
        }
        Ok(())
    }

    fn check_moves(&self, journey: &[Block]) -> Result<(), BrokenRule> {
        let late = |(from, to): &(&Block, &Block)| !self.can_follow((from.request, from.start), (to.request, to.start));
        match journey.iter().zip(journey.iter().skip(1)).find(late) {
            Some((from, to)) => Err(BrokenRule::NoTimeToMove { from: *from, to: *to }),
            None => Ok(()),
        }
    }

    /// The blocks of each machine in order of time.
    fn journeys(&self, plan: &[Block]) -> BTreeMap<usize, Vec<Block>> {
        let mut journeys: BTreeMap<usize, Vec<Block>> = BTreeMap::new();
        plan.iter().for_each(|block| journeys.entry(block.machine).or_default().push(*block));
        journeys.values_mut().for_each(|journey| journey.sort_unstable());
        journeys
    }

    /// Road of the machines in a plan that keeps the rules, helpers aside.
    #[must_use]
    pub fn machines_hm(&self, plan: &[Block]) -> i64 {
        self.journeys(plan).iter().map(|(machine, journey)| self.journey_hm(*machine, journey)).sum()
    }

    fn journey_hm(&self, machine: usize, journey: &[Block]) -> i64 {
        let leg = |block: Option<&Block>| block.map_or((0, 0), |block| self.legs_hm(machine, block.request));
        let pairs = journey.iter().zip(journey.iter().skip(1));
        let moves: i64 = pairs.map(|(from, to)| self.road_hm(from.request, to.request)).sum();
        leg(journey.first()).0 + moves + leg(journey.last()).1
    }

    /// Value of a level in a plan that keeps the rules.
    #[must_use]
    pub fn value(&self, level: Level, order: Order, plan: &[Block]) -> i64 {
        let gain = |block: &Block| {
            let crews = self.crews(block.request, block.start);
            let helper_hm = crews.iter().find(|(crew, _)| *crew == block.crew).map_or(0, |(_, hm)| *hm);
            self.gain(level, order, block, helper_hm)
        };
        let gains: i64 = plan.iter().map(gain).sum();
        let total = if counts_road(level) { gains - self.machines_hm(plan) } else { gains };
        if is_a_cost(level) { -total } else { total }
    }

    /// Values of all levels in a plan that keeps the rules, in the order they are settled.
    #[must_use]
    pub fn score(&self, order: Order, plan: &[Block]) -> Vec<(Level, i64)> {
        self.levels(order).into_iter().map(|level| (level, self.value(level, order, plan))).collect()
    }
}
