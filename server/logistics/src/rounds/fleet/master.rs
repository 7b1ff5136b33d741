//! The best mixture of journeys, and the proven bound that comes with it: column generation.
//!
//! # Source
//! Lübbecke, Desrosiers, *Selected topics in column generation*, Operations Research 53 (2005); prices are steadied
//! as in Pessoa, Sadykov, Uchoa, Vanderbeck, *Automation and combination of linear-programming based stabilization
//! techniques in column generation*, INFORMS Journal on Computing 30 (2018).

use std::collections::BTreeMap;

use super::aim::Aim;
use super::duals::{Duals, Priced, SCALE};
use super::field::Field;
use super::pool::{Column, Journey, LEFT_OUT, Pool};
use super::simplex::Simplex;

/// Most journeys drawn from the pool at a time.
const MOST_DRAWN: usize = 80;
/// Gains below this are rounding.
const LEAST_GAIN: f64 = 1e-6;

/// What may still be chosen.
#[derive(Debug, Clone)]
pub(super) struct Scope {
    /// By choice.
    pub alive: Vec<bool>,
    /// By request: it must be served.
    pub must: Vec<bool>,
}

/// What a relaxation says.
#[derive(Debug, Clone)]
pub(super) struct Relaxed {
    /// No plan in the scope brings more.
    pub bound: i64,
    /// Prices that prove it.
    pub duals: Duals,
    /// How much of each choice the mixture uses.
    pub used: Vec<(usize, f64)>,
    /// The mixture does not keep all rows: nothing seen so far does.
    pub falls_short: bool,
    /// The caller did not want to go on.
    pub halted: bool,
}

/// Column generation over a pool of journeys that only grows.
#[derive(Debug)]
pub(super) struct Master<'a> {
    field: &'a Field,
    pool: Pool<'a>,
    /// How often journeys were asked for: the measure of work done.
    pub work: usize,
}

/// One programme on its way to its best mixture.
#[derive(Debug, Clone)]
pub(super) struct Mixing<'s> {
    scope: &'s Scope,
    aim: &'s Aim,
    /// No plan up to this value is of interest.
    beaten: i64,
    programme: Simplex,
    /// Places in the pool of the programme's own columns.
    places: Vec<usize>,
    /// Places in the pool of the journeys not in the programme.
    waiting: Vec<usize>,
    /// The prices with the best bound so far, and that bound.
    centre: Option<(i64, Vec<f64>)>,
    /// How near to the centre the next prices are tried.
    pull: f64,
}

impl<'a> Master<'a> {
    pub fn new(field: &'a Field) -> Self {
        Self { field, pool: Pool::new(field), work: 0 }
    }

    /// Turns to another aim.
    pub fn turn_to(&mut self, aim: &Aim) {
        self.pool.turn_to(aim);
    }

    /// Adds the journeys of a plan.
    pub fn learn(&mut self, plan: &[usize], aim: &Aim) {
        self.pool.learn(plan, aim);
    }

    /// Takes from the scope what no plan better than `beaten` can use, at these prices; how much.
    pub fn narrow(&self, scope: &mut Scope, aim: &Aim, duals: &Duals, beaten: i64) -> usize {
        let start = scope.clone();
        Priced::new(self.field, &start, aim, duals).narrow(scope, &self.pool.memory, beaten)
    }

    /// Bound and mixture of a scope; stops early once no plan better than `beaten` can be left.
    pub fn relax(&mut self, scope: &Scope, aim: &Aim, beaten: i64, go_on: &mut dyn FnMut() -> bool) -> Relaxed {
        let mut best: Option<(i64, Duals)> = None;
        self.pool.thin();
        loop {
            let mut mixing = self.begin(scope, aim, beaten);
            let halted = self.mix(&mut mixing, &mut best, go_on);
            let mixture: Vec<(usize, f64)> = mixing.mixture().collect();
            let used = self.used(&mixture);
            let falls_short = mixing.programme.falls_short();
            let (bound, duals) = best.clone().unwrap_or_else(|| self.least_bound(scope, aim));
            let relaxed = Relaxed { bound: bound.div_euclid(SCALE), duals, used, falls_short, halted };
            self.pool.use_now(mixture.iter().map(|&(place, _)| place).collect());
            if halted || relaxed.bound <= beaten || falls_short {
                return relaxed;
            }
            let is_cyclic = self.pool.remember(&self.pool.recent.clone());
            if !self.pool.crowd(&relaxed.used, aim) && !is_cyclic {
                return relaxed;
            }
        }
    }

    /// A scope's best mixture of the journeys already known.
    pub fn glance<'s>(&self, scope: &'s Scope, aim: &'s Aim) -> Mixing<'s> {
        let mut mixing = self.begin(scope, aim, i64::MIN);
        mixing.settle(&self.pool);
        mixing
    }

    /// What such a mixture brings when only a part of its scope is left.
    pub fn worth_in(&self, mixture: &Mixing<'_>, part: &Scope) -> f64 {
        let mut mixing = mixture.clone();
        let own = mixing.programme.own();
        let is_dead = |column: &usize| !self.pool.is_alive(mixture.places[*column], part);
        for column in (0..mixture.places.len()).filter(is_dead) {
            mixing.programme.shun(own + column, LEFT_OUT);
        }
        for request in (0..part.must.len()).filter(|&request| part.must[request] && !mixture.scope.must[request]) {
            mixing.programme.shun(mixing.programme.filler(request), LEFT_OUT);
        }
        mixing.waiting.retain(|&place| self.pool.is_alive(place, part));
        mixing.settle(&self.pool);
        mixing.worth()
    }

    /// A bound at no prices and with no memory: quick, and always true.
    fn least_bound(&self, scope: &Scope, aim: &Aim) -> (i64, Duals) {
        let none = Duals::none(self.field, aim);
        let memory = vec![0; self.field.requests];
        (Priced::new(self.field, scope, aim, &none).bound(&memory).0, none)
    }

    fn begin<'s>(&self, scope: &'s Scope, aim: &'s Aim, beaten: i64) -> Mixing<'s> {
        let programme = Simplex::new(&self.pool.rows(scope, aim));
        let (recent, waiting) = self.pool.alive(scope);
        let (places, centre, pull) = (Vec::new(), None, 0.6);
        let mut mixing = Mixing { scope, aim, beaten, programme, places, waiting, centre, pull };
        mixing.take_in(&self.pool, &recent);
        mixing
    }

    /// Adds journeys until none improves the mixture or the bound says enough; whether it was halted.
    fn mix(
        &mut self,
        mixing: &mut Mixing<'_>,
        best: &mut Option<(i64, Duals)>,
        go_on: &mut dyn FnMut() -> bool,
    ) -> bool {
        let mut is_rough = true;
        loop {
            mixing.settle(&self.pool);
            if !go_on() {
                return true;
            }
            let duals = mixing.programme.duals().to_vec();
            if is_rough {
                self.work += 1;
                let whole = Duals::round(&duals, &self.pool, self.field, mixing.scope, mixing.aim);
                let found = Priced::new(self.field, mixing.scope, mixing.aim, &whole).rough(&self.pool.memory);
                is_rough = self.take_up(mixing, found, &duals);
                if is_rough {
                    continue;
                }
            }
            if self.price(mixing, &duals, best) {
                return false;
            }
        }
    }

    /// Prices near the centre, then at the mixture's own prices; whether nothing more is to be had.
    fn price(&mut self, mixing: &mut Mixing<'_>, duals: &[f64], best: &mut Option<(i64, Duals)>) -> bool {
        let mut pull = if mixing.centre.is_some() { mixing.pull } else { 0.0 };
        loop {
            self.work += 1;
            let at = mixing.between(duals, pull);
            let whole = Duals::round(&at, &self.pool, self.field, mixing.scope, mixing.aim);
            let (bound, found) = Priced::new(self.field, mixing.scope, mixing.aim, &whole).bound(&self.pool.memory);
            if mixing.centre.as_ref().is_none_or(|centre| bound < centre.0) {
                mixing.centre = Some((bound, at));
            }
            if best.as_ref().is_none_or(|best| bound < best.0) {
                *best = Some((bound, whole));
            }
            let proven = best.as_ref().map_or(i64::MAX, |best| best.0.div_euclid(SCALE));
            // Nothing better is left, or no journey can lower the bound by a whole unit.
            if proven <= mixing.beaten || proven as f64 <= mixing.programme.value() + LEAST_GAIN {
                return true;
            }
            if self.take_up(mixing, found, duals) {
                mixing.pull = if pull > 0.0 { (mixing.pull + 0.05).min(0.85) } else { mixing.pull };
                return false;
            }
            if pull == 0.0 {
                return true;
            }
            pull = 0.0;
            mixing.pull = (mixing.pull - 0.1).max(0.0);
        }
    }

    /// Adds the journeys that improve the mixture at these prices; whether there were any.
    fn take_up(&mut self, mixing: &mut Mixing<'_>, found: Vec<Journey>, duals: &[f64]) -> bool {
        let before = mixing.places.len();
        for journey in found {
            let column = self.pool.column(&journey, mixing.aim);
            if column.gain(duals) > LEAST_GAIN && self.pool.note(journey, column) {
                mixing.take_in(&self.pool, &[self.pool.journeys.len() - 1]);
            }
        }
        mixing.places.len() > before
    }

    fn used(&self, mixture: &[(usize, f64)]) -> Vec<(usize, f64)> {
        let mut used = BTreeMap::new();
        for &(place, value) in mixture {
            for &choice in &self.pool.journeys[place].choices {
                *used.entry(choice).or_insert(0.0) += value;
            }
        }
        used.into_iter().filter(|&(_, value)| value > 1e-3).collect()
    }
}

impl Mixing<'_> {
    /// What it brings.
    pub fn worth(&self) -> f64 {
        self.programme.value()
    }

    /// Mixes the journeys it has and those that wait as well as can be.
    fn settle(&mut self, pool: &Pool<'_>) {
        self.programme.solve();
        while self.draw(pool) {
            self.programme.solve();
        }
    }

    fn take_in(&mut self, pool: &Pool<'_>, places: &[usize]) {
        for &place in places {
            let Column { brings, entries } = &pool.columns[place];
            self.programme.add(*brings, entries.iter().copied());
            self.places.push(place);
        }
    }

    /// Draws the most promising journeys of the pool into the programme; whether there were any.
    fn draw(&mut self, pool: &Pool<'_>) -> bool {
        let duals = self.programme.duals();
        let rated = self.waiting.iter().enumerate().map(|(at, &place)| (pool.columns[place].gain(duals), at));
        let mut promising: Vec<(f64, usize)> = rated.filter(|&(gain, _)| gain > LEAST_GAIN).collect();
        promising.sort_unstable_by(|one, two| two.0.total_cmp(&one.0).then(one.1.cmp(&two.1)));
        promising.truncate(MOST_DRAWN);
        // From the back, so that the places to come keep theirs.
        promising.sort_unstable_by_key(|&(_, at)| std::cmp::Reverse(at));
        let places: Vec<usize> = promising.into_iter().map(|(_, at)| self.waiting.swap_remove(at)).collect();
        self.take_in(pool, &places);
        !places.is_empty()
    }

    /// Prices on the way from the mixture's own to the centre.
    fn between(&self, duals: &[f64], pull: f64) -> Vec<f64> {
        match &self.centre {
            Some((_, centre)) if pull > 0.0 => {
                centre.iter().zip(duals).map(|(old, new)| pull * old + (1.0 - pull) * new).collect()
            }
            _ => duals.to_vec(),
        }
    }

    /// Places in the pool of the journeys in use, and how much of each.
    fn mixture(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let own = self.programme.own();
        let used = self.programme.in_use().into_iter();
        used.filter_map(move |(column, value)| Some((self.places[column.checked_sub(own)?], value)))
    }
}
