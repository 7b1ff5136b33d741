//! Whole-number prices of the rows, and the bound they prove whatever they are.
//!
//! # Source
//! Geoffrion, *Lagrangean relaxation for integer programming*, Mathematical Programming Study 2 (1974).

use super::aim::Aim;
use super::field::{Field, Stop};
use super::master::Scope;
use super::pool::{Journey, Pool};
use super::pricing::{self, CLOSED, Memory, Prices};

/// Prices are whole multiples of one part in so many.
pub(super) const SCALE: i64 = 1 << 16;
/// Most journeys taken from one machine at a time.
const MOST_NEW: usize = 12;

/// Prices of the rows.
#[derive(Debug, Clone)]
pub(super) struct Duals {
    requests: Vec<i64>,
    /// What each machine's journeys are worth anyway.
    lanes: Vec<i64>,
    floors: Vec<i64>,
    crowds: Vec<(usize, i64)>,
}

impl Duals {
    /// Prices of nothing.
    pub fn none(field: &Field, aim: &Aim) -> Self {
        let (requests, lanes) = (vec![0; field.requests], vec![0; field.lanes.len()]);
        Self { requests, lanes, floors: vec![0; aim.floors.len()], crowds: Vec::new() }
    }

    /// Rounds the prices of a programme's rows, and sets right those of the wrong sign.
    pub fn round(duals: &[f64], pool: &Pool<'_>, field: &Field, scope: &Scope, aim: &Aim) -> Self {
        let whole = |dual: f64| (dual * SCALE as f64).round() as i64;
        let first_floor = field.requests + field.lanes.len();
        let first_crowd = first_floor + aim.floors.len();
        let at_request = |request: usize| {
            let dual = whole(duals[request]);
            if scope.must[request] { dual } else { dual.max(0) }
        };
        let at_floor = |index: usize| {
            let floor = &aim.floors[index];
            let dual = duals[first_floor + index] / floor.size();
            whole(if floor.least > 0 { -dual } else { dual }).max(0)
        };
        let at_crowd = |(index, &crowd): (usize, &usize)| (crowd, whole(duals[first_crowd + index]).max(0));
        Self {
            requests: (0..field.requests).map(at_request).collect(),
            lanes: duals[field.requests..first_floor].iter().map(|&dual| whole(dual).max(0)).collect(),
            floors: (0..aim.floors.len()).map(at_floor).collect(),
            crowds: pool.crowds.iter().enumerate().map(at_crowd).filter(|&(_, price)| price > 0).collect(),
        }
    }

    fn constant(&self, field: &Field, aim: &Aim) -> i64 {
        let requests: i64 = self.requests.iter().sum();
        let floors: i64 = self.floors.iter().zip(&aim.floors).map(|(price, floor)| price * floor.least).sum();
        let crowds: i64 = self.crowds.iter().map(|&(crowd, price)| price * field.crowds[crowd].count).sum();
        requests + crowds - floors
    }
}

/// What choices and stops bring at given prices.
pub(super) struct Priced<'a> {
    field: &'a Field,
    duals: &'a Duals,
    constant: i64,
    profit: Vec<i64>,
    /// The choice that makes each stop's worth, by lane and stop.
    choice: Vec<Vec<Option<usize>>>,
    worth: Vec<Vec<i64>>,
    road: i64,
}

impl<'a> Priced<'a> {
    pub fn new(field: &'a Field, scope: &Scope, aim: &Aim, duals: &'a Duals) -> Self {
        let mut crowd_price = vec![0; field.crowds.len()];
        duals.crowds.iter().for_each(|&(crowd, price)| crowd_price[crowd] = price);
        let floors = || aim.floors.iter().zip(&duals.floors);
        let profit_of = |id: usize| {
            let held: i64 = floors().map(|(floor, price)| price * floor.measure.gain[id]).sum();
            let crowds: i64 = field.crowds_of[id].iter().map(|&crowd| crowd_price[crowd]).sum();
            aim.measure.gain[id] * SCALE + held - duals.requests[field.choices[id].block.request] - crowds
        };
        let profit: Vec<i64> = (0..field.choices.len()).map(profit_of).collect();
        let held: i64 = floors().map(|(floor, price)| price * floor.measure.per_hm).sum();
        let pick = |stop: &Stop| {
            let alive = stop.choices.clone().filter(|&id| scope.alive[id]);
            alive.max_by_key(|&id| (profit[id], std::cmp::Reverse(id)))
        };
        let choice: Vec<Vec<Option<usize>>> =
            field.lanes.iter().map(|lane| lane.stops.iter().map(pick).collect()).collect();
        let worth_of = |id: &Option<usize>| id.map_or(CLOSED, |id| profit[id]);
        let worth = choice.iter().map(|lane| lane.iter().map(worth_of).collect()).collect();
        let constant = duals.constant(field, aim);
        Self { field, duals, constant, choice, worth, road: aim.measure.per_hm * SCALE + held, profit }
    }

    fn prices<'p>(&'p self, lane: usize, memory: &'p [Memory], least: i64) -> Prices<'p> {
        Prices { worth: &self.worth[lane], road: self.road, memory, least, rough: false }
    }

    /// The bound these prices prove, in parts of [`SCALE`], and the journeys worth most.
    pub fn bound(&self, memory: &[Memory]) -> (i64, Vec<Journey>) {
        let mut total = self.constant;
        let mut found = Vec::new();
        for (index, &least) in self.duals.lanes.iter().enumerate() {
            let (most, journeys) = self.best(index, self.prices(index, memory, least));
            total += most.max(least);
            found.extend(journeys);
        }
        (total, found)
    }

    /// Good journeys found quickly, without a bound.
    pub fn rough(&self, memory: &[Memory]) -> Vec<Journey> {
        let lanes = self.duals.lanes.iter().enumerate();
        let best = lanes.flat_map(|(index, &least)| {
            let prices = Prices { rough: true, ..self.prices(index, memory, least) };
            self.best(index, prices).1
        });
        best.collect()
    }

    fn best(&self, index: usize, prices: Prices<'_>) -> (i64, Vec<Journey>) {
        let lane = &self.field.lanes[index];
        let best = pricing::forward(self.field, lane, prices).best(lane, self.road, MOST_NEW);
        let most = best.first().map_or(CLOSED, |&(value, _)| value);
        let choices = |stops: Vec<usize>| stops.into_iter().filter_map(|stop| self.choice[index][stop]).collect();
        (most, best.into_iter().map(|(_, stops)| Journey { lane: index, choices: choices(stops) }).collect())
    }

    /// Takes from the scope what no plan better than `beaten` can use; how much.
    ///
    /// A choice goes when even the best journeys through it, with the best of all other machines, bring too little;
    /// a request must be served when its price is all that lifts the bound above.
    pub fn narrow(&self, scope: &mut Scope, memory: &[Memory], beaten: i64) -> usize {
        let lanes = || self.field.lanes.iter().enumerate();
        let tops = lanes().map(|(index, lane)| pricing::most(self.field, lane, self.prices(index, memory, 0)));
        let tops: Vec<i64> = tops.collect();
        let total = self.constant + tops.iter().sum::<i64>();
        let limit = beaten.saturating_add(1).saturating_mul(SCALE);
        let through = lanes().map(|(index, lane)| {
            let prices = self.prices(index, memory, limit - 1 - (total - tops[index]));
            let (ahead, back) = pricing::both(self.field, lane, prices);
            ahead.through(&back, lane, &self.worth[index])
        });
        let through: Vec<Vec<i64>> = through.collect();
        let mut taken = 0;
        for (id, choice) in self.field.choices.iter().enumerate().filter(|(id, _)| scope.alive[*id]).collect::<Vec<_>>()
        {
            let lane = choice.block.machine;
            let lost = self.worth[lane][choice.stop] - self.profit[id];
            if total - tops[lane] + through[lane][choice.stop] - lost < limit {
                scope.alive[id] = false;
                taken += 1;
            }
        }
        for (must, price) in scope.must.iter_mut().zip(&self.duals.requests) {
            if !*must && total - price < limit {
                *must = true;
                taken += 1;
            }
        }
        taken
    }
}
