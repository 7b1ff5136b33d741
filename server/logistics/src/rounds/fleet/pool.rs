//! Journeys met so far and their columns, and how much of the past each request's place remembers.

use std::collections::HashSet;

use super::aim::Aim;
use super::field::Field;
use super::master::Scope;
use super::pricing::{Memory, bit};
use super::simplex::Sense;

/// Most journeys kept; then only the half last in use.
const MOST_KEPT: usize = 5_000;
/// Most requests remembered at one place.
const MOST_REMEMBERED: u32 = 18;
/// What it costs a mixture to leave out a request that must be served.
pub(super) const LEFT_OUT: f64 = 1e5;
/// What it costs a mixture to miss a floor by a tenth of it.
const BELOW_FLOOR: f64 = 1e6;

/// A way of one machine through some choices.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Journey {
    pub lane: usize,
    pub choices: Vec<usize>,
}

/// A journey in the rows of an aim.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub brings: f64,
    pub entries: Vec<(u32, f64)>,
}

impl Column {
    /// What a unit of it brings at these prices.
    pub fn gain(&self, duals: &[f64]) -> f64 {
        self.brings - self.entries.iter().map(|&(row, part)| duals[row as usize] * part).sum::<f64>()
    }
}

/// Journeys and columns, with the same places.
#[derive(Debug)]
pub(super) struct Pool<'a> {
    field: &'a Field,
    pub journeys: Vec<Journey>,
    pub columns: Vec<Column>,
    known: HashSet<Journey>,
    /// When each was last in use, in mixtures.
    used: Vec<usize>,
    now: usize,
    /// Places of the journeys last in use.
    pub recent: Vec<usize>,
    /// What each request's place remembers.
    pub memory: Vec<Memory>,
    /// Crowds that have a row.
    pub crowds: Vec<usize>,
}

impl<'a> Pool<'a> {
    pub fn new(field: &'a Field) -> Self {
        let memory = (0..field.requests).map(bit).collect();
        let (journeys, columns, known) = (Vec::new(), Vec::new(), HashSet::new());
        Self {
            field,
            journeys,
            columns,
            known,
            used: Vec::new(),
            now: 0,
            recent: Vec::new(),
            memory,
            crowds: Vec::new(),
        }
    }

    /// Writes all columns for another aim.
    pub fn turn_to(&mut self, aim: &Aim) {
        self.columns = self.journeys.iter().map(|journey| self.column(journey, aim)).collect();
    }

    /// Adds a journey unless it is known; whether it was new.
    pub fn note(&mut self, journey: Journey, column: Column) -> bool {
        let is_new = self.known.insert(journey.clone());
        if is_new {
            self.columns.push(column);
            self.used.push(self.now);
            self.journeys.push(journey);
        }
        is_new
    }

    /// Adds the journeys of a plan.
    pub fn learn(&mut self, plan: &[usize], aim: &Aim) {
        for (lane, choices) in self.field.routes(plan).into_iter().enumerate() {
            if !choices.is_empty() {
                let journey = Journey { lane, choices };
                let column = self.column(&journey, aim);
                self.note(journey, column);
            }
        }
    }

    /// Places of the journeys a scope allows: those last in use, and the others.
    pub fn alive(&self, scope: &Scope) -> (Vec<usize>, Vec<usize>) {
        let mut is_recent = vec![false; self.journeys.len()];
        self.recent.iter().for_each(|&place| is_recent[place] = true);
        (0..self.journeys.len()).filter(|&place| self.is_alive(place, scope)).partition(|&place| is_recent[place])
    }

    /// Whether a scope allows a journey.
    pub fn is_alive(&self, place: usize, scope: &Scope) -> bool {
        self.journeys[place].choices.iter().all(|&choice| scope.alive[choice])
    }

    /// Notes which journeys are in use.
    pub fn use_now(&mut self, places: Vec<usize>) {
        self.now += 1;
        places.iter().for_each(|&place| self.used[place] = self.now);
        self.recent = places;
    }

    /// Drops the journeys longest out of use when there are too many.
    pub fn thin(&mut self) {
        if self.journeys.len() <= MOST_KEPT {
            return;
        }
        let mut used = self.used.clone();
        used.sort_unstable_by_key(|&used| std::cmp::Reverse(used));
        let limit = used[MOST_KEPT / 2];
        let is_kept: Vec<bool> = self.used.iter().map(|&used| used > limit).collect();
        self.keep(&is_kept);
    }

    fn keep(&mut self, is_kept: &[bool]) {
        let place: Vec<usize> = (0..is_kept.len()).filter(|&place| is_kept[place]).collect();
        self.journeys = place.iter().map(|&place| self.journeys[place].clone()).collect();
        self.columns = place.iter().map(|&place| self.columns[place].clone()).collect();
        self.used = place.iter().map(|&place| self.used[place]).collect();
        self.known = self.journeys.iter().cloned().collect();
        self.recent.clear();
    }

    /// The rows: requests, machines, floors, crowds; each with its right side and the cost of missing it.
    pub fn rows(&self, scope: &Scope, aim: &Aim) -> Vec<(Sense, f64, f64)> {
        let must = |&must: &bool| if must { (Sense::Equal, 1.0, LEFT_OUT) } else { (Sense::AtMost, 1.0, 0.0) };
        let mut rows: Vec<(Sense, f64, f64)> = scope.must.iter().map(must).collect();
        rows.extend(self.field.lanes.iter().map(|_| (Sense::AtMost, 1.0, 0.0)));
        for floor in &aim.floors {
            let right = floor.least as f64 / floor.size();
            rows.push(if right > 0.0 { (Sense::AtLeast, right, BELOW_FLOOR) } else { (Sense::AtMost, -right, 0.0) });
        }
        rows.extend(self.crowds.iter().map(|&crowd| (Sense::AtMost, self.field.crowds[crowd].count as f64, 0.0)));
        rows
    }

    /// A journey in the rows.
    pub fn column(&self, journey: &Journey, aim: &Aim) -> Column {
        let field = self.field;
        let mut entries: Vec<(u32, f64)> = Vec::with_capacity(journey.choices.len() + aim.floors.len() + 1);
        let mut put = |row: usize, part: f64| {
            let row = u32::try_from(row).unwrap_or(u32::MAX);
            match entries.iter_mut().find(|entry| entry.0 == row) {
                Some(entry) => entry.1 += part,
                None => entries.push((row, part)),
            }
        };
        journey.choices.iter().for_each(|&choice| put(field.choices[choice].block.request, 1.0));
        put(field.requests + journey.lane, 1.0);
        let first_floor = field.requests + field.lanes.len();
        for (index, floor) in aim.floors.iter().enumerate() {
            let value = floor.measure.of_route(field, journey.lane, &journey.choices) as f64 / floor.size();
            if value != 0.0 {
                put(first_floor + index, if floor.least > 0 { value } else { -value });
            }
        }
        for (index, crowd) in self.crowds.iter().enumerate() {
            let times = journey.choices.iter().filter(|&&choice| field.crowds_of[choice].contains(crowd)).count();
            if times > 0 {
                put(first_floor + aim.floors.len() + index, times as f64);
            }
        }
        Column { brings: aim.measure.of_route(field, journey.lane, &journey.choices) as f64, entries }
    }

    /// Widens the memory so that the cycles of these journeys cannot come again; whether there were any.
    ///
    /// # Source
    /// Roberti, Mingozzi, *Dynamic ng-path relaxation for the delivery man problem*, Transportation Science 48 (2014).
    pub fn remember(&mut self, mixture: &[usize]) -> bool {
        let mut changed = false;
        for &place in mixture {
            let requests: Vec<usize> = self.requests(place);
            for (second, &request) in requests.iter().enumerate() {
                let first = requests[..second].iter().rposition(|&other| other == request);
                changed |= first.is_some_and(|first| self.widen(request, &requests[first + 1..second]));
            }
        }
        if changed {
            self.forget_cycles();
        }
        changed
    }

    fn requests(&self, place: usize) -> Vec<usize> {
        let choices = self.journeys[place].choices.iter();
        choices.map(|&choice| self.field.choices[choice].block.request).collect()
    }

    fn widen(&mut self, request: usize, between: &[usize]) -> bool {
        let own = bit(request);
        let forgets = |&&other: &&usize| self.memory[other] & own == 0;
        let is_full = |&other: &usize| self.memory[other].count_ones() >= MOST_REMEMBERED;
        let forgetful: Vec<usize> = between.iter().filter(forgets).copied().collect();
        if own == 0 || forgetful.is_empty() || forgetful.iter().any(is_full) {
            return false;
        }
        forgetful.iter().for_each(|&other| self.memory[other] |= own);
        true
    }

    /// Drops the journeys that the memory no longer lets pass.
    fn forget_cycles(&mut self) {
        let (field, memory) = (self.field, &self.memory);
        let is_honest = |journey: &Journey| {
            let mut seen: Memory = 0;
            journey.choices.iter().all(|&choice| {
                let request = field.choices[choice].block.request;
                let is_fresh = seen & bit(request) == 0;
                seen = seen & memory[request] | bit(request);
                is_fresh
            })
        };
        let is_kept: Vec<bool> = self.journeys.iter().map(is_honest).collect();
        self.keep(&is_kept);
    }

    /// Gives a row to the crowds the mixture overfills; whether there were any.
    pub fn crowd(&mut self, used: &[(usize, f64)], aim: &Aim) -> bool {
        let mut load = vec![0.0; self.field.crowds.len()];
        for &(choice, value) in used {
            self.field.crowds_of[choice].iter().for_each(|&crowd| load[crowd] += value);
        }
        let is_over = |crowd: &usize| load[*crowd] > self.field.crowds[*crowd].count as f64 + 1e-4;
        let over: Vec<usize> = (0..load.len()).filter(is_over).filter(|crowd| !self.crowds.contains(crowd)).collect();
        if !over.is_empty() {
            self.crowds.extend(&over);
            self.turn_to(aim);
        }
        !over.is_empty()
    }
}
