//! What the label engine searches: one traveller, stops at fixed minutes, gains at stops, road between errands.
//!
//! Knows nothing of machines or clubs. An errand is done at most once, at one of its stops; whoever arrives early
//! waits at no cost. Tours with time windows and prizes are journeys too: one stop for each minute of a window.
#![expect(clippy::indexing_slicing, reason = "dense tables, indexed by the numbers they gave out")]

/// Errands, one bit each.
pub type Errands = u128;

/// The bit of an errand.
pub(super) const fn bit(errand: usize) -> Errands {
    1 << errand
}

/// A minute in which an errand may be begun.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// Which errand.
    pub errand: usize,
    /// The minute it begins.
    pub begins: i64,
    /// The minute it is done; never before it begins.
    pub done: i64,
    /// What it adds, by level; more is better.
    pub gains: Vec<i64>,
}

/// A journey to be planned.
#[derive(Debug, Clone)]
pub struct Journey {
    /// Stops in the order of begins, then errand.
    pub stops: Vec<Stop>,
    /// How many errands there are; at most 128.
    pub errands: usize,
    /// Minutes from errand to errand; none only to a later errand, or where both take time.
    pub minutes: Vec<Vec<i64>>,
    /// Road from errand to errand.
    pub road: Vec<Vec<i64>>,
    /// Road to the first errand.
    pub first_road: Vec<i64>,
    /// Road from the last errand.
    pub last_road: Vec<i64>,
    /// Whether a level loses a point for each unit of road; levels in the order they are settled.
    pub counts_road: Vec<bool>,
}

/// Levels in one number.
#[derive(Debug)]
pub(super) struct Weights {
    /// What each stop adds.
    pub gain: Vec<i128>,
    /// What a unit of road costs.
    pub road: i128,
}

/// What follows from a journey at once, for all that search it.
#[derive(Debug)]
pub(super) struct Map<'a> {
    pub journey: &'a Journey,
    /// Stops by errand, in order of time.
    pub of_errand: Vec<Vec<usize>>,
    /// By stop and errand: which of the errand's stops is the first that can come after.
    next: Vec<u32>,
    /// Errands that can still come after a stop, straight or later; its own too, if it has later stops.
    pub open: Vec<Errands>,
    /// Errands with a stop still to begin when a stop is settled, reachable or not.
    pub ahead: Vec<Errands>,
    /// Whether where a stop leaves the traveller does not matter, only when: by stop.
    pub is_free: Vec<bool>,
    /// The minute a stop is done; when it leaves the traveller free, the minute of the next begin.
    pub settled: Vec<i64>,
    /// The greatest change a level can see.
    pub spans: Vec<i64>,
}

impl<'a> Map<'a> {
    pub fn new(journey: &'a Journey) -> Self {
        let mut of_errand = vec![Vec::new(); journey.errands];
        journey.stops.iter().enumerate().for_each(|(id, stop)| of_errand[stop.errand].push(id));
        let next = journey.stops.iter().flat_map(|stop| nexts(journey, &of_errand, stop)).collect();
        let closest = closest(journey);
        let open = journey.stops.iter().map(|stop| opens(journey, &of_errand, &closest, stop)).collect();
        let spans = (0..journey.counts_road.len()).map(|level| span(journey, &of_errand, level)).collect();
        let mut map = Self {
            journey,
            of_errand,
            next,
            open,
            ahead: Vec::new(),
            is_free: Vec::new(),
            settled: journey.stops.iter().map(|stop| stop.done).collect(),
            spans,
        };
        for stop in 0..journey.stops.len() {
            let next = map.next_begin(stop);
            let is_free = map.leaves_free(stop, next);
            map.is_free.push(is_free);
            map.settled[stop] = if is_free { next } else { map.settled[stop] };
            map.ahead.push(map.ahead_of(map.settled[stop]));
        }
        map
    }

    /// The first minute in which another errand can begin after a stop.
    fn next_begin(&self, stop: usize) -> i64 {
        let first = |errand: usize| self.after(stop, errand).first().map(|&id| self.journey.stops[id].begins);
        (0..self.journey.errands).filter_map(first).min().unwrap_or(i64::MAX)
    }

    /// Whether the errands that can come next are all those that begin from some later minute on.
    fn leaves_free(&self, stop: usize, next_begin: i64) -> bool {
        let Stop { errand: own, done, .. } = self.journey.stops[stop];
        let mut others = (0..self.journey.errands).filter(|&errand| errand != own);
        let late =
            |errand: usize| self.of_errand[errand].partition_point(|&id| self.journey.stops[id].begins < next_begin);
        next_begin > done && others.all(|errand| self.first_after(stop, errand) == late(errand))
    }

    fn ahead_of(&self, minute: i64) -> Errands {
        let is_ahead = |stops: &Vec<usize>| stops.last().is_some_and(|&last| self.journey.stops[last].begins >= minute);
        let ahead = (0..self.journey.errands).filter(|&errand| is_ahead(&self.of_errand[errand]));
        ahead.fold(0, |ahead, errand| ahead | bit(errand))
    }

    /// Levels up to one put into one number: a level outweighs all below it.
    pub fn weights(&self, level: usize) -> Weights {
        let mut weights = Weights { gain: vec![0; self.journey.stops.len()], road: 0 };
        let mut unit = 1_i128;
        for level in (0..=level).rev() {
            for (gain, stop) in weights.gain.iter_mut().zip(&self.journey.stops) {
                *gain += unit * i128::from(stop.gains[level]);
            }
            weights.road += if self.journey.counts_road[level] { unit } else { 0 };
            unit *= i128::from(self.spans[level]) * 2 + 1;
        }
        weights
    }

    /// Stops of an errand that can come after a stop, in order of time.
    pub fn after(&self, stop: usize, errand: usize) -> &[usize] {
        let first = usize::try_from(self.next[stop * self.journey.errands + errand]).unwrap_or(usize::MAX);
        self.of_errand[errand].get(first..).unwrap_or_default()
    }

    /// Place among the errand's stops of the first that can come after a stop.
    pub fn first_after(&self, stop: usize, errand: usize) -> usize {
        usize::try_from(self.next[stop * self.journey.errands + errand]).unwrap_or(usize::MAX)
    }

    /// The levels' values in one number.
    pub fn total(&self, values: &[i64]) -> i128 {
        let join = |total: i128, (value, span): (&i64, &i64)| total * (i128::from(*span) * 2 + 1) + i128::from(*value);
        values.iter().zip(&self.spans).fold(0, join)
    }

    /// What a way is worth at each level.
    pub fn worth(&self, way: &[usize]) -> Vec<i64> {
        let errand = |stop: &usize| self.journey.stops[*stop].errand;
        let moves: i64 = way.windows(2).map(|pair| self.journey.road[errand(&pair[0])][errand(&pair[1])]).sum();
        let first = way.first().map_or(0, |stop| self.journey.first_road[errand(stop)]);
        let last = way.last().map_or(0, |stop| self.journey.last_road[errand(stop)]);
        let level = |(level, counts): (usize, &bool)| {
            let gains: i64 = way.iter().map(|&stop| self.journey.stops[stop].gains[level]).sum();
            gains - if *counts { first + moves + last } else { 0 }
        };
        self.journey.counts_road.iter().enumerate().map(level).collect()
    }
}

/// By errand, the place of the first stop that can come straight after this one.
fn nexts(journey: &Journey, of_errand: &[Vec<usize>], stop: &Stop) -> Vec<u32> {
    let first = |(errand, stops): (usize, &Vec<usize>)| {
        let arrives = stop.done + journey.minutes[stop.errand][errand];
        let first = stops.partition_point(|&other| journey.stops[other].begins < arrives);
        u32::try_from(if errand == stop.errand { stops.len() } else { first }).unwrap_or(u32::MAX)
    };
    of_errand.iter().enumerate().map(first).collect()
}

fn opens(journey: &Journey, of_errand: &[Vec<usize>], closest: &[Vec<i64>], stop: &Stop) -> Errands {
    let is_open = |(errand, stops): &(usize, &Vec<usize>)| {
        let last = stops.last().map(|&last| journey.stops[last].begins);
        last.is_some_and(|last| {
            last >= stop.done + if *errand == stop.errand { 0 } else { closest[stop.errand][*errand] }
        })
    };
    of_errand.iter().enumerate().filter(is_open).fold(0, |open, (errand, _)| open | bit(errand))
}

/// Fewest minutes from errand to errand by any way, errands between taking no time: once out of reach, always.
///
/// # Source
/// Floyd, *Algorithm 97: shortest path*, Communications of the ACM 5 (1962).
fn closest(journey: &Journey) -> Vec<Vec<i64>> {
    let mut closest = journey.minutes.clone();
    for via in 0..journey.errands {
        let onward = closest[via].clone();
        for row in &mut closest {
            let there = row[via];
            row.iter_mut().zip(&onward).for_each(|(direct, on)| *direct = (*direct).min(there + on));
        }
    }
    closest
}

/// No two ways differ by more at a level.
fn span(journey: &Journey, of_errand: &[Vec<usize>], level: usize) -> i64 {
    let gains = |stops: &Vec<usize>| {
        let gains = stops.iter().map(|&stop| journey.stops[stop].gains[level]);
        gains.clone().max().unwrap_or(0).max(0) - gains.min().unwrap_or(0).min(0)
    };
    let legs = |errand: usize| {
        let arrivals = journey.road.iter().map(|row| row[errand]).chain([journey.first_road[errand]]);
        arrivals.max().unwrap_or(0)
    };
    let gains: i64 = of_errand.iter().map(gains).sum();
    if !journey.counts_road[level] {
        return gains;
    }
    gains + (0..journey.errands).map(legs).sum::<i64>() + journey.last_road.iter().copied().max().unwrap_or(0)
}
