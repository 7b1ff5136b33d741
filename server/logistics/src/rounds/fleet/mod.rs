//! Several machines: proven rounds, put together from journeys of single machines.
//!
//! The levels are settled one after another; what a level reached is a floor for those after it. A level is searched
//! by branch and bound (`search`) over mixtures of journeys (`master`), helped by looking around the best plan
//! (`improve`). Every bound is a sum of whole numbers: journeys are priced by integers (`pricing`), whatever floating
//! point arithmetic suggested the prices. The work grows exponentially with the gap between mixture and plan at
//! worst. The same problem gives the same plan every time; which of several plans that tie on all levels is not
//! promised. Knows nothing of clocks: the watch decides when it has been long enough.
#![expect(
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "dense tables, indexed by the numbers the tables gave out; prices are rounded in one place"
)]

mod aim;
mod branching;
mod duals;
mod field;
mod improve;
mod master;
mod pool;
mod pricing;
mod search;
mod simplex;
mod sweep;

use super::problem::{Block, Level, Order, Outcome, Progress, Reached, Watch};
use super::rules::{Rules, counts_road, is_a_cost};
use aim::{Aim, Floor, Measure};
use field::Field;
use improve::Turns;
use master::{Master, Scope};
use search::{Found, Search};

/// Work after which a level is left open, so that those after it have their turn.
const MOST_WORK: usize = 12_000;

/// The best round for a problem of any number of machines, as far as the watch lets it be proven.
pub(super) fn plan(rules: &Rules<'_>, order: Order, watch: &mut Watch<'_>) -> Outcome {
    let field = Field::new(rules);
    let mut settling = Settling::new(&field, watch);
    let levels = rules.levels(order);
    for (index, &level) in levels.iter().enumerate() {
        let gain = |choice: &field::Choice| rules.gain(level, order, &choice.block, choice.helper_hm);
        let gain = field.choices.iter().map(gain).collect();
        let measure = Measure { gain, per_hm: i64::from(counts_road(level)) };
        settling.settle(level, measure, if index + 1 == levels.len() { usize::MAX } else { MOST_WORK });
    }
    settling.outcome()
}

/// The levels settled so far.
struct Settling<'w, 'a, 'f> {
    field: &'f Field,
    master: Master<'f>,
    /// What may still be chosen by plans as good as the best.
    scope: Scope,
    plan: Vec<usize>,
    floors: Vec<Floor>,
    levels: Vec<Reached>,
    is_stopped: bool,
    watch: &'w mut Watch<'a>,
}

impl<'w, 'a, 'f> Settling<'w, 'a, 'f> {
    fn new(field: &'f Field, watch: &'w mut Watch<'a>) -> Self {
        let begun = |choice: &usize| field.must[field.choices[*choice].block.request];
        Self {
            field,
            master: Master::new(field),
            scope: Scope { alive: vec![true; field.choices.len()], must: field.must.clone() },
            plan: (0..field.choices.len()).filter(begun).collect(),
            floors: Vec::new(),
            levels: Vec::new(),
            is_stopped: false,
            watch,
        }
    }

    fn outcome(&self) -> Outcome {
        let mut blocks: Vec<Block> = self.plan.iter().map(|&choice| self.field.choices[choice].block).collect();
        blocks.sort_unstable();
        Outcome { blocks, levels: self.levels.clone() }
    }

    fn settle(&mut self, level: Level, measure: Measure, most_work: usize) {
        let so_far = self.outcome();
        let aim = Aim { measure: measure.clone(), floors: self.floors.clone() };
        self.master.turn_to(&aim);
        let mut go_on = || {
            self.is_stopped |= (self.watch)(&Progress { best: &so_far }).is_break();
            !self.is_stopped
        };
        let mut search =
            Search { field: self.field, master: &mut self.master, aim: &aim, go_on: &mut go_on, most_work };
        let value = measure.of(self.field, &self.plan);
        let mut found = Found { plan: self.plan.clone(), value, bound: i64::MAX, ends: Vec::new() };
        search.dive(&self.scope, &mut found);
        let found = search.run(&self.scope, found, usize::MAX, Some(&mut Turns::new()));
        self.scope = search.ties(&self.scope, &found);
        self.plan = found.plan;
        self.levels.push(Reached { level, value: found.value, bound: signed(level, found.bound) });
        self.floors.push(Floor { measure, least: found.value });
        // A plan found later may do better at a level that was left open.
        for (floor, reached) in self.floors.iter_mut().zip(&mut self.levels) {
            floor.least = floor.measure.of(self.field, &self.plan);
            reached.value = signed(reached.level, floor.least);
        }
    }
}

/// The value of a level, turned where less is better.
fn signed(level: Level, value: i64) -> i64 {
    if is_a_cost(level) { -value } else { value }
}
