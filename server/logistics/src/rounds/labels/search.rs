//! The search itself: labels, one for each way of having come to a stop that no other way outdoes.
//!
//! Promises, when it ends whole, the best journey among those worth at least what was asked. Takes its bounds as given.
//!
//! A label outdoes another of its group when it is done no later, has done the same errands of those still open, or
//! all but one of them, and is worth more (or as much, its way being earlier). Labels of one errand are a group; where
//! road does not count, so are all that are free to go anywhere. Errands out of reach are forgotten, so
//! the labels follow how much the windows overlap: O(stops × 2^w) labels with w done errands still open at once,
//! O(errands × stops of an errand) extensions each, and the worst case, all windows open always, is 2^errands.
//!
//! # Source
//! Held, Karp, *A dynamic programming approach to sequencing problems*, Journal of SIAM 10 (1962); Righini, Salani,
//! *Decremental state space relaxation strategies and initialization heuristics for solving the orienteering problem
//! with time windows with dynamic programming*, Computers & Operations Research 36 (2009): unreachable nodes,
//! dominance; Fisher (1981, see `prices`): labels dropped by Lagrangean bound.
#![expect(clippy::indexing_slicing, reason = "dense tables, indexed by the numbers they gave out")]

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::journey::{Errands, Map, Weights, bit};
use super::prices::{CLOSED, Relaxed, SCALE};

/// Labels made between two looks at the watch.
const LOOK_EVERY: usize = 1 << 12;
/// No label came before.
const NONE: u32 = u32::MAX;

/// A way of having come to a stop.
#[derive(Debug, Clone, Copy)]
struct Label {
    stop: usize,
    before: u32,
    /// Errands done that could still be reached.
    done: Errands,
    /// All levels in one number, the road back aside.
    worth: i128,
    /// Critical errands done, by the bits of the bound; of this level and of the one before.
    critical: [usize; 2],
    /// Worth at the prices of the bound, less what errands out of reach had added to it.
    priced: [i64; 2],
    /// What the journey can come to at most at this level, scaled.
    bound: i64,
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

/// What the level before must still allow.
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
    /// The bound of the level before, and what it must allow.
    floor: Option<&'a Floor>,
    reach: Reach,
    best: i128,
    found: Option<u32>,
    made: Vec<Label>,
    waiting: Vec<Vec<Label>>,
    /// The best label of each set of errands done, in order of sets, by group.
    groups: Vec<Vec<Label>>,
    go_on: &'w mut dyn FnMut() -> bool,
}

impl<'a, 'w> Search<'a, 'w> {
    /// A search for ways worth more than `best`, by the weights.
    pub fn new(
        (map, weights): (&'a Map<'a>, &'a Weights),
        (relaxed, floor): (&'a Relaxed, Option<&'a Floor>),
        reach: Reach,
        best: i128,
        go_on: &'w mut dyn FnMut() -> bool,
    ) -> Self {
        let waiting = vec![Vec::new(); map.journey.stops.len()];
        let groups = vec![Vec::new(); map.journey.errands + 1];
        Self { map, weights, relaxed, floor, reach, best, found: None, made: Vec::new(), waiting, groups, go_on }
    }

    pub fn run(mut self) -> Ended {
        self.begin();
        for stops in self.turns() {
            let labels = self.best_of(&stops);
            for (place, label) in labels.iter().enumerate() {
                if label.bound < self.reach.need {
                    break;
                }
                if self.made.len() >= self.reach.most_labels || (self.is_time_to_look() && !(self.go_on)()) {
                    let left = labels.iter().skip(place).chain(self.waiting.iter().flatten());
                    let most = left.map(|label| label.bound).max().unwrap_or(CLOSED);
                    return self.end(most);
                }
                self.extend(*label);
            }
        }
        let whole = self.reach.width == usize::MAX;
        let most = if whole { CLOSED } else { self.relaxed.most };
        self.end(most)
    }

    /// Stops in the order they are looked at, those of one minute and group together.
    fn turns(&self) -> Vec<Vec<usize>> {
        let mut turns: BTreeMap<(i64, usize), Vec<usize>> = BTreeMap::new();
        for stop in 0..self.waiting.len() {
            turns.entry((self.map.settled[stop], self.group(stop))).or_default().push(stop);
        }
        turns.into_values().collect()
    }

    fn is_time_to_look(&self) -> bool {
        !self.made.is_empty() && self.made.len().is_multiple_of(LOOK_EVERY)
    }

    fn end(self, most: i64) -> Ended {
        Ended { way: self.found.map(|label| self.way(label)), most }
    }

    /// Errands that are remembered at a stop.
    fn open(&self, stop: usize) -> Errands {
        if self.weights.road == 0 { self.map.ahead[stop] } else { self.map.open[stop] }
    }

    /// The group of a stop.
    fn group(&self, stop: usize) -> usize {
        let is_free = self.weights.road == 0 && self.map.is_free[stop];
        if is_free { 0 } else { self.map.journey.stops[stop].errand + 1 }
    }

    /// The labels at some stops of a group that no other outdoes, most promising first; they join the group.
    fn best_of(&mut self, stops: &[usize]) -> Vec<Label> {
        let mut labels: Vec<Label> = stops.iter().flat_map(|&stop| std::mem::take(&mut self.waiting[stop])).collect();
        labels.retain(|label| label.bound >= self.reach.need);
        let Some(stop) = labels.first().map(|label| label.stop) else { return labels };
        labels.sort_by_key(|label| (std::cmp::Reverse(label.bound), label.stop, label.before));
        labels.truncate(self.reach.width);
        let (group, open) = (self.group(stop), self.open(stop));
        let mut rivals = std::mem::take(&mut self.groups[group]);
        rivals.iter_mut().for_each(|rival| rival.done &= open);
        rivals.append(&mut labels);
        rivals.sort_by(|one, two| one.done.cmp(&two.done).then_with(|| self.better(one, two)));
        rivals.dedup_by_key(|label| label.done);
        let mut best: Vec<Label> = rivals.iter().filter(|label| stops.contains(&label.stop)).copied().collect();
        best.retain(|label| !self.is_outdone(label, &rivals));
        best.sort_by_key(|label| (std::cmp::Reverse(label.bound), label.stop, label.before));
        self.groups[group] = rivals;
        best
    }

    /// Which of two labels that did the same is preferred.
    fn better(&self, one: &Label, two: &Label) -> Ordering {
        two.worth
            .cmp(&one.worth)
            .then_with(|| if self.reach.ties { self.way_to(one).cmp(&self.way_to(two)) } else { Ordering::Equal })
    }

    fn is_outdone(&self, label: &Label, rivals: &[Label]) -> bool {
        let mut left = label.done;
        while left != 0 {
            let done = label.done & !(left & left.wrapping_neg());
            left &= left - 1;
            let rival = rivals.binary_search_by_key(&done, |rival| rival.done).ok().map(|place| &rivals[place]);
            if rival.is_some_and(|rival| rival.worth > label.worth || self.is_as_good(rival, label)) {
                return true;
            }
        }
        false
    }

    fn is_as_good(&self, rival: &Label, label: &Label) -> bool {
        rival.worth == label.worth && (!self.reach.ties || self.way_to(rival) <= self.way_to(label))
    }

    fn begin(&mut self) {
        let all: Errands = (0..self.map.journey.errands).fold(0, |all, errand| all | bit(errand));
        for errand in 0..self.map.journey.errands {
            let road = self.map.journey.first_road[errand];
            let start = Label { stop: 0, before: NONE, done: 0, worth: 0, critical: [0; 2], priced: [0; 2], bound: 0 };
            self.come(&start, all, errand, road, &self.map.of_errand[errand]);
        }
    }

    fn extend(&mut self, label: Label) {
        let place = u32::try_from(self.made.len()).unwrap_or(NONE);
        let from = self.map.journey.stops[label.stop].errand;
        self.made.push(label);
        self.note(&label, place);
        let open = self.open(label.stop);
        let label = Label { before: place, ..label };
        let mut left = open & !label.done;
        while left != 0 {
            let errand = usize::try_from(left.trailing_zeros()).unwrap_or(0);
            left &= left - 1;
            let road = self.map.journey.road[from][errand];
            self.come(&label, open, errand, road, self.map.after(label.stop, errand));
        }
    }

    /// Labels at the stops of an errand; a later stop only when it brings more.
    fn come(&mut self, from: &Label, was_open: Errands, errand: usize, road: i64, stops: &[usize]) {
        let mut most = i128::MIN;
        let done = from.done | bit(errand);
        for &stop in stops {
            let gain = self.weights.gain[stop];
            if self.relaxed.brings[stop] == CLOSED || gain <= most {
                continue;
            }
            most = gain;
            let open = self.open(stop);
            let mut label = Label { stop, done: done & open, ..*from };
            label.worth += gain - self.weights.road * i128::from(road);
            let lost = was_open & !open & !done;
            label.bound = priced(&mut label, 0, self.relaxed, errand, road, lost);
            if label.bound < self.reach.need {
                continue;
            }
            let floor = self.floor.as_ref();
            if floor.is_none_or(|floor| priced(&mut label, 1, &floor.relaxed, errand, road, lost) >= floor.need) {
                self.waiting[stop].push(label);
            }
        }
    }

    /// Keeps a label that makes the best journey by going home.
    fn note(&mut self, label: &Label, place: u32) {
        let errand = self.map.journey.stops[label.stop].errand;
        let worth = label.worth - self.weights.road * i128::from(self.map.journey.last_road[errand]);
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
        let label = usize::try_from(place).ok().and_then(|place| self.made.get(place));
        label.map(|label| self.way_to(label)).unwrap_or_default()
    }

    fn way_to(&self, label: &Label) -> Vec<usize> {
        let mut way = vec![label.stop];
        let mut before = label.before;
        while let Some(label) = usize::try_from(before).ok().and_then(|place| self.made.get(place)) {
            way.push(label.stop);
            before = label.before;
        }
        way.reverse();
        way
    }
}

/// Prices a label's last stop at one of its bounds; answers the bound.
fn priced(label: &mut Label, place: usize, relaxed: &Relaxed, errand: usize, road: i64, lost: Errands) -> i64 {
    label.critical[place] |= relaxed.critical.bit(errand);
    label.priced[place] += relaxed.brings[label.stop] - relaxed.road * road - relaxed.price_of(lost);
    label.priced[place] + relaxed.rest(label.stop, label.critical[place]) + relaxed.ground
}
