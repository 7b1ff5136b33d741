//! Bounds by Lagrangean relaxation: an errand may be done twice, but each time has its price.
//!
//! With prices on errands and on falling short of the levels reached before, the best way through the stops is found
//! in O(stops × errands × 2^c), and no honest journey is worth more. The c critical errands, those that ways most
//! like to do twice, are remembered and done at most once. Prices are made better by subgradient steps. Whole
//! numbers, so a bound is a proof.
//!
//! # Source
//! Held, Karp, *The traveling-salesman problem and minimum spanning trees II*, Mathematical Programming 1 (1971);
//! Fisher, *The Lagrangian relaxation method for solving integer programming problems*, Management Science 27 (1981);
//! Righini, Salani, *New dynamic programming algorithms for the resource constrained elementary shortest path
//! problem*, Networks 51 (2008): critical nodes of a relaxed state space.
#![expect(clippy::indexing_slicing, reason = "dense tables, indexed by the numbers they gave out")]
#![expect(clippy::as_conversions, reason = "steps are taken in floats and rounded once; any prices give a bound")]

use super::journey::{Errands, Map};

/// Prices are whole parts of one in so many.
pub(super) const SCALE: i64 = 1 << 12;
/// Steps taken without gain before they are shortened.
const PATIENCE: usize = 12;
/// Values reckoned between two looks at the watch.
const LOOK_EVERY: usize = 1 << 22;
/// Most values of a table: critical errands are held to as many as fit.
const MOST_VALUES: usize = 1 << 23;
/// What a stop that is out of the question brings.
pub(super) const CLOSED: i64 = i64::MIN / 8;

/// Prices for one level, those before it held at the values reached.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    /// The level whose value is bounded.
    pub level: usize,
    /// By errand.
    pub errands: Vec<i64>,
    /// By level before.
    pub floors: Vec<i64>,
}

/// Errands that are done at most once even in the relaxation, a bit each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Critical {
    pub errands: Vec<usize>,
    /// By errand, its bit, or none.
    bits: Vec<usize>,
}

impl Critical {
    pub fn new(errands: Vec<usize>, of: usize) -> Self {
        let mut bits = vec![0; of];
        errands.iter().enumerate().for_each(|(place, &errand)| bits[errand] = 1 << place);
        Self { errands, bits }
    }

    /// How many there may be among so many stops.
    pub fn most(stops: usize) -> usize {
        (MOST_VALUES / stops.max(1)).checked_ilog2().map_or(0, |most| usize::try_from(most).unwrap_or(0))
    }

    /// Steps that are worth their time: the more sets there are, the fewer.
    pub fn steps(&self) -> usize {
        (2048 >> self.errands.len()).clamp(3, 24)
    }

    /// How many sets of critical errands there are.
    const fn sets(&self) -> usize {
        1 << self.errands.len()
    }

    /// The bit of an errand among the critical ones.
    pub fn bit(&self, errand: usize) -> usize {
        self.bits[errand]
    }
}

/// A relaxation solved.
#[derive(Debug, Clone)]
pub(super) struct Relaxed {
    pub prices: Prices,
    /// What each stop brings at these prices, or [`CLOSED`].
    pub brings: Vec<i64>,
    /// What a unit of road costs.
    pub road: i64,
    pub critical: Critical,
    /// The most that can come after a stop, by stop and critical errands not yet done.
    rest: Vec<i64>,
    /// What is added to every way: all errands' prices, less the floors.
    pub ground: i64,
    /// No journey is worth more at the level, scaled.
    pub most: i64,
}

/// What a relaxation is asked: stops still in question, values reached.
#[derive(Debug, Clone, Copy)]
pub(super) struct Question<'a> {
    pub map: &'a Map<'a>,
    pub alive: &'a [bool],
    pub reached: &'a [i64],
    pub critical: &'a Critical,
}

impl Question<'_> {
    pub fn relax(&self, prices: Prices) -> Relaxed {
        let journey = self.map.journey;
        let bring = |(id, stop): (usize, &super::journey::Stop)| {
            let floors = stop.gains.iter().zip(&prices.floors).map(|(gain, price)| gain * price);
            let own = stop.gains[prices.level] * SCALE - prices.errands[stop.errand];
            if self.alive[id] { own + floors.sum::<i64>() } else { CLOSED }
        };
        let brings: Vec<i64> = journey.stops.iter().enumerate().map(bring).collect();
        let of_road = |(level, price): (usize, &i64)| if journey.counts_road[level] { *price } else { 0 };
        let road = prices.floors.iter().chain([&SCALE]).enumerate().map(of_road).sum();
        let owed: i64 = prices.floors.iter().zip(self.reached).map(|(price, value)| price * value).sum();
        let ground = prices.errands.iter().sum::<i64>() - owed;
        let mut relaxed =
            Relaxed { prices, brings, road, critical: self.critical.clone(), rest: Vec::new(), ground, most: ground };
        relaxed.rest = relaxed.look_back(self.map);
        relaxed.most += relaxed.best_first(self.map).map_or(0, |(worth, _)| worth.max(0));
        relaxed
    }

    /// Better prices from old ones: the lowest bound of so many steps; stops when `enough` is reached, or when told.
    pub fn improve(&self, from: Prices, steps: usize, enough: i64, go_on: &mut dyn FnMut() -> bool) -> Relaxed {
        let mut best = self.relax(from);
        let mut stride = 1.0;
        let mut idle = 0;
        let mut reckoned = 0;
        let mut now = best.clone();
        for _ in 0..steps {
            reckoned += now.rest.len() * self.map.journey.errands;
            let is_told = reckoned >= LOOK_EVERY && !go_on();
            if is_told || best.most < enough || stride < 1e-4 {
                break;
            }
            reckoned %= LOOK_EVERY;
            let Some(prices) = self.step(&now, stride, enough) else { break };
            now = self.relax(prices);
            idle += 1;
            if now.most < best.most {
                best = now.clone();
                idle = 0;
            } else if idle >= PATIENCE {
                (stride, idle, now) = (stride / 2.0, 0, best.clone());
            }
        }
        best
    }

    /// A step against the subgradient; `None` when there is none: the way is honest and keeps all floors exactly.
    fn step(&self, now: &Relaxed, stride: f64, target: i64) -> Option<Prices> {
        let way = now.way(self.map);
        let mut slack = vec![1_i64; self.map.journey.errands];
        way.iter().for_each(|&stop| slack[self.map.journey.stops[stop].errand] -= 1);
        let worth = self.map.worth(&way);
        let level = now.prices.level;
        let unit = |floor: usize| self.map.spans[level].max(1) as f64 / self.map.spans[floor].max(1) as f64;
        let over: Vec<i64> = worth.iter().zip(self.reached).take(level).map(|(value, least)| value - least).collect();
        let of_errands = slack.iter().zip(&now.prices.errands).filter(|(slack, price)| **slack < 0 || **price > 0);
        let of_floors = over.iter().enumerate().filter(|(floor, over)| **over < 0 || now.prices.floors[*floor] > 0);
        let length = of_errands.map(|(slack, _)| (slack * slack) as f64).sum::<f64>()
            + of_floors.map(|(floor, over)| (*over as f64 * unit(floor)).powi(2)).sum::<f64>();
        if length == 0.0 {
            return None;
        }
        let size = stride * (now.most - target + SCALE / 2).max(1) as f64 / length;
        let moved = |price: i64, by: f64| ((price as f64 - by).round() as i64).clamp(0, i64::MAX >> 24);
        let errands = now.prices.errands.iter().zip(&slack);
        let floors = now.prices.floors.iter().zip(&over).enumerate();
        Some(Prices {
            level,
            errands: errands.map(|(price, slack)| moved(*price, size * *slack as f64)).collect(),
            floors: floors
                .map(|(floor, (price, over))| moved(*price, size * *over as f64 * unit(floor).powi(2)))
                .collect(),
        })
    }
}

impl Relaxed {
    /// The most that can come after a stop when these critical errands have been done.
    pub fn rest(&self, stop: usize, done: usize) -> i64 {
        let sets = self.critical.sets();
        self.rest[stop * sets + ((sets - 1) & !done)]
    }

    /// The most that can come after each stop, by critical errands left.
    fn look_back(&self, map: &Map<'_>) -> Vec<i64> {
        let (journey, sets) = (map.journey, self.critical.sets());
        let mut rest = vec![CLOSED; journey.stops.len() * sets];
        // The best from an errand's stop on, by place among its stops and errands left; filled from the end.
        let table = |stops: &Vec<usize>| vec![CLOSED; (stops.len() + 1) * sets];
        let mut best_from: Vec<Vec<i64>> = map.of_errand.iter().map(table).collect();
        let mut places: Vec<usize> = map.of_errand.iter().map(Vec::len).collect();
        for (id, stop) in journey.stops.iter().enumerate().rev() {
            places[stop.errand] -= 1;
            let after = &mut rest[id * sets..(id + 1) * sets];
            if self.brings[id] > CLOSED {
                let road = &journey.road[stop.errand];
                after.fill(-self.road * journey.last_road[stop.errand]);
                for (errand, best) in best_from.iter().enumerate() {
                    let (first, cost) = (map.first_after(id, errand) * sets, self.road * road[errand]);
                    if first + sets < best.len() {
                        after
                            .iter_mut()
                            .zip(&best[first..])
                            .for_each(|(after, best)| *after = (*after).max(best - cost));
                    }
                }
            }
            let (place, own) = (places[stop.errand] * sets, self.critical.bit(stop.errand));
            let (here, later) = best_from[stop.errand].split_at_mut(place + sets);
            let here = here[place..].iter_mut().zip(later.iter()).enumerate();
            here.for_each(|(left, (best, later))| {
                let may = self.brings[id] > CLOSED && left & own == own;
                *best = if may { (self.brings[id] + after[left & !own]).max(*later) } else { *later };
            });
        }
        rest
    }

    fn best_first(&self, map: &Map<'_>) -> Option<(i64, usize)> {
        let stops = map.journey.stops.iter().enumerate().filter(|(id, _)| self.brings[*id] > CLOSED);
        let worth = stops.map(|(id, stop)| {
            let rest = self.rest(id, self.critical.bit(stop.errand));
            (self.brings[id] + rest - self.road * map.journey.first_road[stop.errand], id)
        });
        worth.max_by_key(|(worth, id)| (*worth, std::cmp::Reverse(*id)))
    }

    /// A best way; it may do errands twice that are not critical.
    fn way(&self, map: &Map<'_>) -> Vec<usize> {
        let journey = map.journey;
        let (mut way, mut done) = (Vec::new(), 0);
        let mut at = self.best_first(map).filter(|(worth, _)| *worth > 0).map(|(_, id)| id);
        while let Some(id) = at {
            way.push(id);
            let errand = journey.stops[id].errand;
            done |= self.critical.bit(errand);
            let rest = self.rest(id, done);
            let comes_next = |next: &usize| {
                let other = journey.stops[*next].errand;
                let own = self.critical.bit(other);
                let road = self.road * journey.road[errand][other];
                self.brings[*next] > CLOSED
                    && done & own == 0
                    && self.brings[*next] + self.rest(*next, done | own) - road == rest
            };
            let next = |other: usize| map.after(id, other).iter().copied().find(comes_next);
            let ends_here = rest == -self.road * journey.last_road[errand];
            at = if ends_here { None } else { (0..journey.errands).find_map(next) };
        }
        way
    }

    /// The errands a best way does more than once.
    pub fn repeated(&self, map: &Map<'_>) -> Vec<usize> {
        let mut times = vec![0; map.journey.errands];
        self.way(map).iter().for_each(|&stop| times[map.journey.stops[stop].errand] += 1);
        (0..times.len()).filter(|&errand| times[errand] > 1).collect()
    }

    /// The most a journey through each stop is worth, scaled.
    pub fn through(&self, map: &Map<'_>) -> Vec<i64> {
        let journey = map.journey;
        let mut most = vec![CLOSED; journey.stops.len()];
        // By errand, what can be come from: the best of its stops so far that are early enough for the stop asked.
        let mut best_to: Vec<Vec<i64>> = map.of_errand.iter().map(|stops| vec![CLOSED; stops.len() + 1]).collect();
        for (id, stop) in journey.stops.iter().enumerate() {
            if self.brings[id] == CLOSED {
                continue;
            }
            let place = map.of_errand[stop.errand].partition_point(|&other| other < id);
            let reached = best_to[stop.errand][..=place].iter().copied().max().unwrap_or(CLOSED);
            let here = self.brings[id] + reached.max(-self.road * journey.first_road[stop.errand]);
            most[id] = (here + self.rest(id, self.critical.bit(stop.errand)) + self.ground).max(CLOSED);
            for (errand, best) in best_to.iter_mut().enumerate() {
                let first = map.first_after(id, errand);
                if first < best.len() {
                    best[first] = best[first].max(here - self.road * journey.road[stop.errand][errand]);
                }
            }
        }
        most
    }

    /// Prices of the errands in a set.
    pub fn price_of(&self, mut errands: Errands) -> i64 {
        let mut sum = 0;
        while errands != 0 {
            sum += self.prices.errands[errands.trailing_zeros() as usize];
            errands &= errands - 1;
        }
        sum
    }
}
