//! Several machines: proven rounds, put together from journeys of single machines.
//!
//! The levels are settled one after another; what a level reached is a floor for those after it. A level is searched
//! by branch and bound (`search`) over mixtures of journeys (`master`), helped by looking around the best plan
//! (`improve`). Every bound is a sum of whole numbers: journeys are priced by integers (`pricing`), whatever floating
//! point arithmetic suggested the prices. The work grows exponentially with the gap between mixture and plan at
//! worst. A level that takes long gives way to those after it for a while, and is taken up again where it was left.
//! When all is proven, the first of the plans that tie is looked for (`ties`). The same problem gives the same plan
//! every time. Knows nothing of clocks: the watch decides when it has been long enough.
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
mod ties;

use super::problem::{Block, Level, Order, Outcome, Progress, Reached, Watch};
use super::rules::{Rules, counts_road, is_a_cost};
use aim::{Aim, Floor, Measure};
use field::Field;
use improve::Turns;
use master::{Master, Scope};
use search::{Found, Search};

/// Work in the first turn of a level; each turn is longer than the one before.
const FIRST_TURN: usize = 3_000;
/// So many times longer.
const NEXT_TURN: usize = 4;
/// After an open level the others have only one part in so many of a turn: what they find may yet have to go.
const SHORTER: usize = 8;

/// The best round for a problem of any number of machines, as far as the watch lets it be proven.
///
/// [`rounds::plan`](super::plan()) takes it where it is the quicker engine.
pub fn plan(rules: &Rules<'_>, order: Order, watch: &mut Watch<'_>) -> Outcome {
    let field = Field::new(rules);
    let measure = |level: Level| {
        let gain = |choice: &field::Choice| rules.gain(level, order, &choice.block, choice.helper_hm);
        Measure { gain: field.choices.iter().map(gain).collect(), per_hm: i64::from(counts_road(level)) }
    };
    let stages = rules.levels(order).into_iter().map(|level| Stage::new(level, measure(level), &field)).collect();
    let mut settling = Settling::new(&field, stages, watch);
    settling.settle_all();
    settling.outcome()
}

/// One level and how far it has been settled.
#[derive(Debug)]
struct Stage {
    level: Level,
    measure: Measure,
    /// The floors it was last searched with, by level before; `None` before the first time.
    held: Option<Vec<i64>>,
    /// What may be chosen by plans that hold those floors.
    scope: Scope,
    found: Found,
    turns: Turns,
}

impl Stage {
    fn new(level: Level, measure: Measure, field: &Field) -> Self {
        let scope = Scope { alive: vec![true; field.choices.len()], must: field.must.clone() };
        let begun = |choice: &usize| field.must[field.choices[*choice].block.request];
        let plan: Vec<usize> = (0..field.choices.len()).filter(begun).collect();
        let value = measure.of(field, &plan);
        let found = Found { plan, value, bound: measure.heaven(field), ends: Vec::new() };
        Self { level, measure, held: None, scope, found, turns: Turns::default() }
    }

    const fn is_open(&self) -> bool {
        self.found.bound > self.found.value
    }

    fn reached(&self) -> Reached {
        let sign = if is_a_cost(self.level) { -1 } else { 1 };
        Reached { level: self.level, value: sign * self.found.value, bound: sign * self.found.bound }
    }
}

/// All levels on their way.
struct Settling<'w, 'a, 'f> {
    field: &'f Field,
    master: Master<'f>,
    stages: Vec<Stage>,
    plan: Vec<usize>,
    is_stopped: bool,
    watch: &'w mut Watch<'a>,
}

impl<'w, 'a, 'f> Settling<'w, 'a, 'f> {
    fn new(field: &'f Field, stages: Vec<Stage>, watch: &'w mut Watch<'a>) -> Self {
        let plan = stages.first().map(|stage| stage.found.plan.clone()).unwrap_or_default();
        Self { field, master: Master::new(field), stages, plan, is_stopped: false, watch }
    }

    fn outcome(&self) -> Outcome {
        let mut blocks: Vec<Block> = self.plan.iter().map(|&choice| self.field.choices[choice].block).collect();
        blocks.sort_unstable();
        Outcome { blocks, levels: self.stages.iter().map(Stage::reached).collect() }
    }

    /// Gives each level its turn, again and again, until all are proven, nothing moves, or the watch has enough.
    fn settle_all(&mut self) {
        let mut turn = FIRST_TURN;
        let mut before = Vec::new();
        while before != self.progress() {
            before = self.progress();
            for index in 0..self.stages.len() {
                let follows_open = self.stages[..index].iter().any(Stage::is_open);
                self.settle(index, if follows_open { turn / SHORTER } else { turn });
            }
            if self.is_stopped {
                return;
            }
            if !self.stages.iter().any(Stage::is_open) {
                return self.take_first_of_ties();
            }
            turn = turn.saturating_mul(NEXT_TURN);
        }
    }

    /// What changes as long as something moves.
    fn progress(&self) -> Vec<(i64, i64, usize)> {
        self.stages.iter().map(|stage| (stage.found.value, stage.found.bound, stage.found.ends.len())).collect()
    }

    /// A level with what those before it hold.
    fn aim(&self, index: usize) -> Aim {
        let floor = |stage: &Stage| Floor { measure: stage.measure.clone(), least: stage.found.value };
        Aim { measure: self.stages[index].measure.clone(), floors: self.stages[..index].iter().map(floor).collect() }
    }

    fn settle(&mut self, index: usize, most_work: usize) {
        let aim = self.aim(index);
        let held: Vec<i64> = aim.floors.iter().map(|floor| floor.least).collect();
        let is_new = self.stages[index].held.as_ref() != Some(&held);
        if !is_new && !self.stages[index].is_open() {
            return;
        }
        let scope = match index.checked_sub(1) {
            Some(before) if is_new => self.left_after(before),
            _ => self.stages[index].scope.clone(),
        };
        self.master.turn_to(&aim);
        let (plan, value) = (self.plan.clone(), aim.measure.of(self.field, &self.plan));
        let mut turns = std::mem::take(&mut self.stages[index].turns);
        let ends = std::mem::take(&mut self.stages[index].found.ends);
        let found = if is_new {
            let mut found = Found { plan, value, bound: aim.measure.heaven(self.field), ends: Vec::new() };
            self.search(&aim, most_work, |search| {
                search.dive(&scope, &mut found);
                search.run(&scope, found, usize::MAX, Some(&mut turns))
            })
        } else {
            let found = Found { plan, value, bound: self.stages[index].found.bound, ends };
            self.search(&aim, most_work, |search| search.run(&scope, found, usize::MAX, Some(&mut turns)))
        };
        self.plan.clone_from(&found.plan);
        let stage = &mut self.stages[index];
        (stage.held, stage.scope, stage.found, stage.turns) = (Some(held), scope, found, turns);
        // A plan found later may do better at a level that was left open.
        for stage in &mut self.stages {
            stage.found.value = stage.measure.of(self.field, &self.plan);
        }
    }

    /// What plans as good as the best at all levels up to this one may choose.
    fn left_after(&mut self, index: usize) -> Scope {
        let aim = self.aim(index);
        self.master.turn_to(&aim);
        let (scope, found) = (self.stages[index].scope.clone(), self.stages[index].found.clone());
        self.search(&aim, usize::MAX, |search| search.ties(&scope, &found))
    }

    fn search<T>(&mut self, aim: &Aim, most_work: usize, ask: impl FnOnce(&mut Search<'_, 'f>) -> T) -> T {
        let so_far = self.outcome();
        let mut go_on = || {
            self.is_stopped |= (self.watch)(&Progress { best: &so_far }).is_break();
            !self.is_stopped
        };
        ask(&mut Search { field: self.field, master: &mut self.master, aim, go_on: &mut go_on, most_work })
    }
}
