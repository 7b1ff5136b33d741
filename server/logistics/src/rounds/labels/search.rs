//! The search itself: labels, one for each way of having come to a stop that no other way outdoes.
//!
//! Promises, when it ends whole, the best journey among those worth at least what was asked. Takes its bounds as given.
//!
//! Labels of one errand are a group in which one can outdo another (`rivals`); where road does not count, so are all
//! that are free to go anywhere. Errands out of reach are forgotten, so the labels follow how much the windows
//! overlap: O(stops × 2^w) labels with w done errands still open at once, O(errands × stops of an errand) extensions
//! each, and the worst case, all windows open always, is 2^errands. A label is dropped by the bound of its level, and
//! by those of the levels before, which must still allow what was reached there.
//!
//! # Source
//! Held, Karp, *A dynamic programming approach to sequencing problems*, Journal of SIAM 10 (1962); Righini, Salani,
//! *Decremental state space relaxation strategies and initialization heuristics for solving the orienteering problem
//! with time windows with dynamic programming*, Computers & Operations Research 36 (2009): unreachable nodes,
//! dominance; Fisher (1981, see `prices`): labels dropped by Lagrangean bound.
#![expect(clippy::indexing_slicing, reason = "dense tables, indexed by the numbers they gave out")]

use std::cmp::{Ordering, Reverse};
use std::collections::BTreeMap;

use super::journey::{Errands, Map, Weights, bit};
use super::prices::{CLOSED, Relaxed, SCALE};
use super::rivals::{Came, Rivals};

/// Labels made between two looks at the watch.
const LOOK_EVERY: usize = 1 << 12;
/// The group of stops that leave the traveller free to go anywhere; those of an errand have the next one up.
const FREE: usize = 0;
/// No label came before.
const NONE: u32 = u32::MAX;
/// Levels before that a label is held against: the last few, being the tightest.
pub(super) const MOST_FLOORS: usize = 3;

/// A way of having come to a stop.
#[derive(Debug, Clone, Copy)]
struct Label {
    came: Came,
    /// Errands done that could still be reached.
    done: Errands,
    /// By bound, this level's first: what of it is settled.
    priced: [Priced; MOST_FLOORS + 1],
    /// What the journey can come to at most at this level, scaled.
    bound: i64,
}

/// What a bound says of a label so far.
#[derive(Debug, Clone, Copy, Default)]
struct Priced {
    /// Worth at the prices of the bound, less what errands out of reach had added to it.
    worth: i64,
    /// Critical errands done, by the bits of the bound.
    critical: usize,
}

/// A label's next stop.
#[derive(Debug, Clone, Copy)]
struct Step {
    stop: usize,
    errand: usize,
    road: i64,
    /// Errands that are out of reach from now on, not done.
    lost: Errands,
}

/// How far a search goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// Journeys bounded below this, scaled, are of no interest.
    pub need: i64,
    /// Most labels extended at one stop; fewer than all gives good journeys quickly, but no proof.
    pub width: usize,
    /// Most labels in all.
    pub most_labels: usize,
    /// Look for the earliest among the best, rather than for something better than the best.
    pub ties: bool,
}

/// What a level before must still allow.
#[derive(Debug, Clone)]
pub(super) struct Floor {
    pub relaxed: Relaxed,
    /// Scaled.
    pub need: i64,
}

/// What a search came to.
#[derive(Debug, Clone)]
pub(super) struct Ended {
    /// The better way, if one was found.
    pub way: Option<Vec<usize>>,
    /// No way is worth more at the level than this, scaled, or than the best way known.
    pub most: i64,
}

/// A search under way.
pub(super) struct Search<'a, 'w> {
    map: &'a Map<'a>,
    weights: &'a Weights,
    relaxed: &'a Relaxed,
    /// At most [`MOST_FLOORS`].
    floors: &'a [Floor],
    reach: Reach,
    best: i128,
    found: Option<u32>,
    /// The labels extended, by stop and label before.
    made: Vec<(usize, u32)>,
    waiting: Vec<Vec<Label>>,
    /// By stop, the errands remembered there.
    open: &'a [Errands],
    groups: Vec<Rivals>,
    go_on: &'w mut dyn FnMut() -> bool,
}

impl<'a, 'w> Search<'a, 'w> {
    /// A search for ways worth more than `best`, by the weights.
    pub fn new(
        (map, weights): (&'a Map<'a>, &'a Weights),
        (relaxed, floors): (&'a Relaxed, &'a [Floor]),
        reach: Reach,
        best: i128,
        go_on: &'w mut dyn FnMut() -> bool,
    ) -> Self {
        Self {
            map,
            weights,
            relaxed,
            floors,
            reach,
            best,
            found: None,
            made: Vec::new(),
            waiting: vec![Vec::new(); map.journey.stops.len()],
            open: if weights.road == 0 { &map.ahead } else { &map.open },
            groups: vec![Rivals::default(); map.journey.errands + 1],
            go_on,
        }
    }

    pub fn run(mut self) -> Ended {
        self.begin();
        for stops in self.turns() {
            let labels = self.best_of(&stops);
            for (place, label) in labels.iter().enumerate() {
                if label.bound < self.reach.need {
                    continue;
                }
                if self.made.len() >= self.reach.most_labels || (self.is_time_to_look() && !(self.go_on)()) {
                    let left = labels.iter().skip(place).chain(self.waiting.iter().flatten());
                    let most = left.map(|label| label.bound).max().unwrap_or(CLOSED);
                    return self.end(most);
                }
                self.extend(label);
            }
        }
        let whole = self.reach.width == usize::MAX;
        let most = if whole { CLOSED } else { self.relaxed.most };
        self.end(most)
    }

    /// Stops in the order they are looked at, those of one minute and group together; none comes before one it follows.
    fn turns(&self) -> Vec<Vec<usize>> {
        let mut turns: BTreeMap<(i64, usize), Vec<usize>> = BTreeMap::new();
        for (stop, facts) in self.map.journey.stops.iter().enumerate() {
            let group = self.group(stop);
            let minute = if group == FREE { self.map.settled[stop] } else { facts.done };
            turns.entry((minute, group)).or_default().push(stop);
        }
        turns.into_values().collect()
    }

    fn is_time_to_look(&self) -> bool {
        !self.made.is_empty() && self.made.len().is_multiple_of(LOOK_EVERY)
    }

    fn end(self, most: i64) -> Ended {
        Ended { way: self.found.map(|label| self.way(label)), most }
    }

    /// The group of a stop.
    fn group(&self, stop: usize) -> usize {
        let is_free = self.weights.road == 0 && self.map.is_free[stop];
        if is_free { FREE } else { self.map.journey.stops[stop].errand + 1 }
    }

    /// The labels at some stops of a group that no other outdoes; they join the group.
    fn best_of(&mut self, stops: &[usize]) -> Vec<Label> {
        let mut labels: Vec<Label> = stops.iter().flat_map(|&stop| std::mem::take(&mut self.waiting[stop])).collect();
        labels.retain(|label| label.bound >= self.reach.need);
        let Some(stop) = labels.first().map(|label| label.came.stop) else { return labels };
        if labels.len() > self.reach.width {
            labels.sort_by_key(|label| (Reverse(label.bound), label.came.stop, label.came.before));
            labels.truncate(self.reach.width);
        }
        let group = self.group(stop);
        let mut rivals = std::mem::take(&mut self.groups[group]);
        let facts = |label: &Label| (label.done, label.came);
        rivals.join(&mut labels, self.open[stop], facts, |one, two| self.prefer(one, two));
        self.groups[group] = rivals;
        labels
    }

    /// Which of two labels that did the same is preferred.
    fn prefer(&self, one: &Came, two: &Came) -> Ordering {
        let ways = || go_on_first(&self.way_to(one), &self.way_to(two));
        two.worth.cmp(&one.worth).then_with(|| if self.reach.ties { ways() } else { Ordering::Equal })
    }

    fn begin(&mut self) {
        let all: Errands = (0..self.map.journey.errands).fold(0, |all, errand| all | bit(errand));
        let came = Came { stop: 0, before: NONE, worth: 0 };
        let start = Label { came, done: 0, priced: Default::default(), bound: 0 };
        for errand in 0..self.map.journey.errands {
            let road = self.map.journey.first_road[errand];
            self.come(&start, all, (errand, road), &self.map.of_errand[errand]);
        }
    }

    fn extend(&mut self, label: &Label) {
        let place = u32::try_from(self.made.len()).unwrap_or(NONE);
        let stop = label.came.stop;
        let from = self.map.journey.stops[stop].errand;
        self.made.push((stop, label.came.before));
        self.note(&label.came, place);
        let label = Label { came: Came { before: place, ..label.came }, ..*label };
        let mut left = self.open[stop] & !label.done;
        while left != 0 {
            let errand = usize::try_from(left.trailing_zeros()).unwrap_or(0);
            left &= left - 1;
            let road = self.map.journey.road[from][errand];
            self.come(&label, self.open[stop], (errand, road), self.map.after(stop, errand));
        }
    }

    /// Labels at the stops of an errand; a later stop only when it brings more.
    fn come(&mut self, from: &Label, was_open: Errands, (errand, road): (usize, i64), stops: &[usize]) {
        let mut most = i128::MIN;
        let done = from.done | bit(errand);
        for &stop in stops {
            let gain = self.weights.gain[stop];
            if gain <= most || self.relaxed.brings[stop] == CLOSED {
                continue;
            }
            most = gain;
            let open = self.open[stop];
            let step = Step { stop, errand, road, lost: was_open & !open & !done };
            let Some((priced, bound)) = self.price(&from.priced, &step) else { continue };
            let worth = from.came.worth + gain - self.weights.road * i128::from(road);
            let came = Came { stop, worth, ..from.came };
            self.waiting[stop].push(Label { came, done: done & open, priced, bound });
        }
    }

    /// Prices a step at every bound; answers the level's own too, or nothing where one of them rules the step out.
    fn price(&self, from: &[Priced; MOST_FLOORS + 1], step: &Step) -> Option<([Priced; MOST_FLOORS + 1], i64)> {
        let mut all = *from;
        let own = all[0].take(self.relaxed, step);
        if own < self.reach.need {
            return None;
        }
        let mut floors = self.floors.iter().zip(&mut all[1..]).rev();
        floors.all(|(floor, priced)| priced.take(&floor.relaxed, step) >= floor.need).then_some((all, own))
    }

    /// Keeps a label that makes the best journey by going home.
    fn note(&mut self, came: &Came, place: u32) {
        let errand = self.map.journey.stops[came.stop].errand;
        let worth = came.worth - self.weights.road * i128::from(self.map.journey.last_road[errand]);
        let better = match worth.cmp(&self.best) {
            Ordering::Greater => true,
            Ordering::Equal if self.reach.ties => self.found.is_none_or(|found| self.way(place) < self.way(found)),
            Ordering::Equal | Ordering::Less => false,
        };
        if !better {
            return;
        }
        (self.best, self.found) = (worth, Some(place));
        let level = self.relaxed.prices.level;
        let value = self.map.worth(&self.way(place))[level] + i64::from(!self.reach.ties);
        self.reach.need = self.reach.need.max(value * SCALE);
    }

    fn way(&self, place: u32) -> Vec<usize> {
        let mut way = Vec::new();
        let mut at = place;
        while let Some(&(stop, before)) = usize::try_from(at).ok().and_then(|place| self.made.get(place)) {
            way.push(stop);
            at = before;
        }
        way.reverse();
        way
    }

    fn way_to(&self, came: &Came) -> Vec<usize> {
        let mut way = self.way(came.before);
        way.push(came.stop);
        way
    }
}

/// Which of two ways comes first once both go on to the same stop, which is later than all of theirs.
fn go_on_first(one: &[usize], two: &[usize]) -> Ordering {
    let differ = one.iter().zip(two).map(|(one, two)| one.cmp(two)).find(|order| order.is_ne());
    differ.unwrap_or_else(|| two.len().cmp(&one.len()))
}

impl Priced {
    /// Takes a step at the prices of a bound; answers the bound.
    fn take(&mut self, relaxed: &Relaxed, step: &Step) -> i64 {
        self.critical |= relaxed.critical.bit(step.errand);
        self.worth += relaxed.brings[step.stop] - relaxed.road * step.road - relaxed.price_of(step.lost);
        self.worth + relaxed.rest(step.stop, self.critical) + relaxed.ground
    }
}
