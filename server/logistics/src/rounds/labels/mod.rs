//! One machine: the best journey by labels, level after level, with proof.
//!
//! Promises the same journey for the same question, every level proven best unless it was told to stop or ran into
//! [`Effort::most_labels`], and then bounds that hold. Among journeys equal at every level it is the one whose stops,
//! listed by begin and errand, come first in the dictionary, where a list comes before those that go on after it.
//! Knows nothing of machines or clubs.
//!
//! For each level in turn: bound it by prices (`prices`), look for better by a narrow search, then by a whole one
//! (`search`); strike out the stops that no journey as good can use. The last search is whole in any case, for the
//! tie rule.

#![expect(clippy::indexing_slicing, reason = "levels are counted once")]

mod journey;
mod prices;
mod rivals;
mod search;
#[cfg(test)]
mod tests;

pub use journey::{Journey, Stop};

use journey::Map;
use prices::{Critical, Prices, Question, Relaxed, SCALE};
use search::{Floor, MOST_FLOORS, Reach, Search};

/// The first aim is so far below the bound: one part of the gap in so many.
const FIRST_AIM: i64 = 4;
/// Each aim is so many times as far below the bound as the one before.
const NEXT_AIM: i64 = 4;
/// Critical errands are added while they close one part in so many of the gap to the best.
const WORTHWHILE: i64 = 64;

/// How much is spent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Most labels of one search.
    pub most_labels: usize,
    /// Labels extended at each stop in the narrow search.
    pub width: usize,
    /// Steps in which the prices of one level are improved.
    pub steps: usize,
    /// Most critical errands of a bound.
    pub critical: usize,
}

impl Default for Effort {
    fn default() -> Self {
        Self { most_labels: 3_000_000, width: 500, steps: 400, critical: 9 }
    }
}

/// A journey and how good it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Travelled {
    /// Indices of the stops, in order.
    pub way: Vec<usize>,
    /// Value of each level; more is better.
    pub reached: Vec<i64>,
    /// No journey that reaches the levels before is worth more at this one.
    pub bounds: Vec<i64>,
}

/// Plans a journey. `go_on` is asked now and then, with the best so far.
pub fn travel(journey: &Journey, effort: Effort, go_on: &mut dyn FnMut(&Travelled) -> bool) -> Travelled {
    let map = Map::new(journey);
    let mut stages = Stages {
        map: &map,
        effort,
        floors: Vec::new(),
        alive: vec![true; journey.stops.len()],
        best: Travelled { way: Vec::new(), reached: map.worth(&[]), bounds: map.spans.clone() },
        stopped: false,
        go_on,
    };
    (0..journey.counts_road.len()).for_each(|level| stages.settle(level));
    stages.best
}

struct Stages<'a, 'w> {
    map: &'a Map<'a>,
    effort: Effort,
    alive: Vec<bool>,
    /// The last levels at which journeys can differ.
    floors: Vec<Floor>,
    best: Travelled,
    stopped: bool,
    go_on: &'w mut dyn FnMut(&Travelled) -> bool,
}

impl Stages<'_, '_> {
    fn settle(&mut self, level: usize) {
        let mut relaxed = self.relax(level);
        if relaxed.most >= self.beyond(level) || self.best.way.is_empty() {
            self.look(&relaxed, self.at_least(level), self.effort.width, false);
            relaxed = self.improve(&relaxed.critical, relaxed.prices, relaxed.critical.steps());
        }
        self.strike(&relaxed, level);
        if relaxed.most >= self.beyond(level) || self.takes_first(level) {
            relaxed.most = self.lower(&relaxed);
        }
        self.best.bounds[level] = relaxed.most.div_euclid(SCALE).max(self.best.reached[level]);
        if self.takes_first(level) && self.map.worth(&[]) == self.best.reached {
            self.best.way.clear();
        }
        self.strike(&relaxed, level);
        self.keep_floor(Floor { need: self.at_least(level), relaxed });
    }

    fn keep_floor(&mut self, floor: Floor) {
        if self.map.spans[floor.relaxed.prices.level] == 0 {
            return;
        }
        if self.floors.len() == MOST_FLOORS {
            self.floors.remove(0);
        }
        self.floors.push(floor);
    }

    /// Looks for ways that come near the bound, then for ways that come less near, until there are some, or no better
    /// ones than the best; answers the most that is left, scaled. High aims are quickly seen to be too high. The last
    /// look at the last level is at ways as good as the best too, for the first of them.
    fn lower(&mut self, relaxed: &Relaxed) -> i64 {
        let (level, mut most) = (relaxed.prices.level, relaxed.most);
        let mut step = ((most - self.at_least(level)) / FIRST_AIM).max(SCALE);
        loop {
            let ties = self.takes_first(level) && most - step <= self.beyond(level);
            let need = if ties { self.at_least(level) } else { (most - step).max(self.beyond(level)) };
            let unseen = self.look(relaxed, need, usize::MAX, ties);
            if unseen >= need || self.stopped {
                return most.min(unseen.max(self.at_least(level)));
            }
            most = self.at_least(level).max(need - 1);
            if ties || (most < self.beyond(level) && !self.takes_first(level)) {
                return most;
            }
            step *= NEXT_AIM;
        }
    }

    /// Whether the first of equal ways is to be taken: at the last level, when those before are proven.
    fn takes_first(&self, level: usize) -> bool {
        level + 1 == self.best.reached.len() && !self.stopped && self.best.reached[..level] == self.best.bounds[..level]
    }

    /// What a journey as good as the best is bounded by, scaled.
    fn at_least(&self, level: usize) -> i64 {
        self.best.reached[level] * SCALE
    }

    /// What a better journey is bounded by, scaled.
    fn beyond(&self, level: usize) -> i64 {
        (self.best.reached[level] + 1) * SCALE
    }

    /// Prices to begin with: none on errands; a level reached before weighs by how far the two can differ.
    fn first_prices(&self, level: usize) -> Prices {
        let spans = &self.map.spans;
        let weigh = |span: &i64| (spans[level].max(1) / (*span).max(1)).clamp(1, 1 << 20) * SCALE;
        Prices { level, errands: vec![0; self.map.journey.errands], floors: spans[..level].iter().map(weigh).collect() }
    }

    /// A bound: many quick steps, then critical errands added as the best way repeats them, with a few steps each.
    fn relax(&mut self, level: usize) -> Relaxed {
        let beyond = self.beyond(level);
        let most_critical = self.effort.critical.min(Critical::most(self.map.journey.stops.len()));
        let mut critical = Critical::new(Vec::new(), self.map.journey.errands);
        let mut relaxed = self.improve(&critical, self.first_prices(level), self.effort.steps);
        while relaxed.most >= beyond && !self.stopped {
            let mut errands = critical.errands.clone();
            errands.extend(relaxed.repeated(self.map));
            errands.truncate(most_critical);
            if errands == critical.errands {
                break;
            }
            let worthwhile = relaxed.most - (relaxed.most - beyond) / WORTHWHILE;
            critical = Critical::new(errands, self.map.journey.errands);
            relaxed = self.improve(&critical, relaxed.prices, critical.steps());
            if relaxed.most > worthwhile {
                break;
            }
        }
        relaxed
    }

    /// A better bound, for a question that may have changed.
    fn improve(&mut self, critical: &Critical, prices: Prices, steps: usize) -> Relaxed {
        let beyond = self.beyond(prices.level);
        let steps = if self.stopped { 0 } else { steps };
        let (best, stopped) = (&self.best, &mut self.stopped);
        let mut go_on = || {
            *stopped = *stopped || !(self.go_on)(best);
            !*stopped
        };
        let question = Question { map: self.map, alive: &self.alive, reached: &best.reached, critical };
        question.improve(prices, steps, beyond, &mut go_on)
    }

    /// Searches; answers the most that a way not looked at can be worth, scaled.
    fn look(&mut self, relaxed: &Relaxed, need: i64, width: usize, ties: bool) -> i64 {
        if self.stopped {
            return i64::MAX;
        }
        let reach = Reach { need, width, most_labels: self.effort.most_labels, ties };
        let level = relaxed.prices.level;
        let weights = self.map.weights(level);
        let worth = self.map.total(&self.best.reached[..=level]);
        let (best, stopped) = (&self.best, &mut self.stopped);
        let mut go_on = || {
            *stopped = *stopped || !(self.go_on)(best);
            !*stopped
        };
        let ended = Search::new((self.map, &weights), (relaxed, &self.floors[..]), reach, worth, &mut go_on).run();
        if let Some(way) = ended.way {
            (self.best.reached, self.best.way) = (self.map.worth(&way), way);
        }
        ended.most
    }

    /// Strikes out stops that no journey as good as the best can use.
    fn strike(&mut self, relaxed: &Relaxed, level: usize) {
        let least = self.at_least(level);
        for (alive, most) in self.alive.iter_mut().zip(relaxed.through(self.map)) {
            *alive = *alive && most >= least;
        }
    }
}
