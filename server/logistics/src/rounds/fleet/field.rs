//! Where the machines can stand: every choice of a block, and which may follow which on one machine.
//!
//! Built once for a problem; a search only ever takes choices away. Knows nothing of what a plan is worth.

use super::super::problem::{Block, Hectometres};
use super::super::rules::Rules;
use super::sweep::{Sweep, ready};

/// One way of serving one request.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice {
    /// The block it would be.
    pub block: Block,
    /// First slot after it.
    pub end: usize,
    /// Road of the crew.
    pub helper_hm: Hectometres,
    /// Its stop on the machine's lane.
    pub stop: usize,
}

/// A request at a slot of a machine, whichever crew comes.
#[derive(Debug, Clone)]
pub(super) struct Stop {
    pub request: usize,
    pub start: usize,
    pub end: usize,
    /// Its choices: one for every crew.
    pub choices: std::ops::Range<usize>,
}

/// The stops of one machine.
#[derive(Debug, Clone)]
pub(super) struct Lane {
    pub stops: Vec<Stop>,
    /// Road from where the machine starts, by request.
    pub begin_hm: Vec<Hectometres>,
    /// Road to where the machine ends, by request.
    pub finish_hm: Vec<Hectometres>,
    pub forward: Sweep,
    pub backward: Sweep,
    /// From this slot on any other request can follow a stop.
    ready: Vec<usize>,
}

impl Lane {
    /// Whether a stop may come straight after another.
    pub fn follows(&self, one: usize, next: usize) -> bool {
        self.ready[one] <= self.stops[next].start || self.forward.direct[next].contains(&one)
    }
}

/// A crew in a slot that more blocks may want than it can serve.
#[derive(Debug, Clone)]
pub(super) struct Crowd {
    pub count: i64,
    pub choices: Vec<usize>,
}

/// All that can be chosen.
#[derive(Debug, Clone)]
pub(super) struct Field {
    pub requests: usize,
    pub choices: Vec<Choice>,
    pub lanes: Vec<Lane>,
    pub crowds: Vec<Crowd>,
    /// Crowds of a choice, by choice.
    pub crowds_of: Vec<Vec<usize>>,
    /// Requests that must be served: what has begun.
    pub must: Vec<bool>,
    road_hm: Vec<Hectometres>,
}

impl Field {
    pub fn new(rules: &Rules<'_>) -> Self {
        let requests = rules.problem().requests.len();
        let mut field = Self {
            requests,
            choices: Vec::new(),
            lanes: Vec::new(),
            crowds: Vec::new(),
            crowds_of: Vec::new(),
            must: (0..requests).map(|request| rules.begun(request).is_some()).collect(),
            road_hm: (0..requests * requests).map(|pair| rules.road_hm(pair / requests, pair % requests)).collect(),
        };
        for machine in 0..rules.problem().machines.len() {
            field.add_lane(rules, machine);
        }
        field.add_crowds(rules);
        field
    }

    /// Road from one request's place to another's.
    pub fn road_hm(&self, from: usize, to: usize) -> Hectometres {
        self.road_hm[from * self.requests + to]
    }

    fn add_lane(&mut self, rules: &Rules<'_>, machine: usize) {
        let mut stops: Vec<Stop> = Vec::new();
        for request in 0..self.requests {
            for start in rules.starts(request, machine) {
                let first = self.choices.len();
                let end = start + rules.length(request);
                for (crew, helper_hm) in rules.crews(request, start) {
                    let block = Block { machine, start, request, crew };
                    self.choices.push(Choice { block, end, helper_hm, stop: stops.len() });
                }
                if self.choices.len() > first {
                    stops.push(Stop { request, start, end, choices: first..self.choices.len() });
                }
            }
        }
        let follows = |one: &Stop, next: &Stop| rules.can_follow((one.request, one.start), (next.request, next.start));
        let forward = Sweep::forward(&stops, &follows);
        let backward = Sweep::backward(&stops, &follows);
        let begin_hm = (0..self.requests).map(|request| rules.legs_hm(machine, request).0).collect();
        let finish_hm = (0..self.requests).map(|request| rules.legs_hm(machine, request).1).collect();
        self.lanes.push(Lane { ready: ready(&stops, &follows), stops, begin_hm, finish_hm, forward, backward });
    }

    fn add_crowds(&mut self, rules: &Rules<'_>) {
        let slots = self.choices.iter().map(|choice| choice.end).max().unwrap_or(0);
        let mut wanted = vec![Vec::new(); rules.problem().crews.len() * slots];
        for (id, choice) in self.choices.iter().enumerate() {
            for slot in choice.block.start..choice.end {
                wanted[choice.block.crew * slots + slot].push(id);
            }
        }
        self.crowds_of = vec![Vec::new(); self.choices.len()];
        for (place, choices) in wanted.into_iter().enumerate() {
            let crew = &rules.problem().crews[place / slots.max(1)];
            if self.most_at_once(&choices) > crew.count {
                for &choice in &choices {
                    self.crowds_of[choice].push(self.crowds.len());
                }
                self.crowds.push(Crowd { count: i64::try_from(crew.count).unwrap_or(i64::MAX), choices });
            }
        }
    }

    /// How many of the choices could be made together, one for each machine and request.
    fn most_at_once(&self, choices: &[usize]) -> usize {
        let distinct = |of: fn(&Block) -> usize| {
            let mut seen: Vec<usize> = choices.iter().map(|&choice| of(&self.choices[choice].block)).collect();
            seen.sort_unstable();
            seen.dedup();
            seen.len()
        };
        distinct(|block| block.machine).min(distinct(|block| block.request))
    }

    /// Road of a machine through these choices, in order, without helpers; 0 when there are none.
    pub fn route_hm(&self, lane: usize, route: &[usize]) -> Hectometres {
        let lane = &self.lanes[lane];
        let request = |choice: &usize| self.choices[*choice].block.request;
        let legs: Hectometres = route.windows(2).map(|pair| self.road_hm(request(&pair[0]), request(&pair[1]))).sum();
        let begin = route.first().map_or(0, |choice| lane.begin_hm[request(choice)]);
        let finish = route.last().map_or(0, |choice| lane.finish_hm[request(choice)]);
        begin + legs + finish
    }

    /// Whether a plan serves nobody twice, lets every block follow the one before, and overfills no crew.
    pub fn admits(&self, plan: &[usize]) -> bool {
        let mut served = vec![false; self.requests];
        let twice = |&choice: &usize| std::mem::replace(&mut served[self.choices[choice].block.request], true);
        if plan.iter().any(twice) {
            return false;
        }
        let load = |crowd: &Crowd| crowd.choices.iter().filter(|choice| plan.contains(choice)).count();
        if self.crowds.iter().any(|crowd| i64::try_from(load(crowd)).unwrap_or(i64::MAX) > crowd.count) {
            return false;
        }
        self.routes(plan).iter().enumerate().all(|(lane, route)| {
            let lane = &self.lanes[lane];
            route.windows(2).all(|pair| lane.follows(self.choices[pair[0]].stop, self.choices[pair[1]].stop))
        })
    }

    /// The choices of each machine in order of time.
    pub fn routes(&self, plan: &[usize]) -> Vec<Vec<usize>> {
        let mut routes = vec![Vec::new(); self.lanes.len()];
        let mut plan = plan.to_vec();
        plan.sort_unstable_by_key(|&choice| self.choices[choice].block.start);
        for choice in plan {
            routes[self.choices[choice].block.machine].push(choice);
        }
        routes
    }
}
