//! Branch and bound over the choices: splits what may be chosen until every part is proven or beaten.
//!
//! # Source
//! Barnhart, Johnson, Nemhauser, Savelsbergh, Vance, *Branch-and-price: column generation for solving huge integer
//! programs*, Operations Research 46 (1998). The most promising branch is looked at first.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::aim::Aim;
use super::branching::{Decision, Rank, splits};
use super::field::Field;
use super::improve::Turns;
use super::master::{Master, Relaxed, Scope};

/// What a search found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// The best plan.
    pub plan: Vec<usize>,
    /// What it is worth.
    pub value: i64,
    /// No plan in the scope is better.
    pub bound: i64,
    /// Where the search ended, each with its bound: all plans as good as the best are under one of these.
    pub ends: Vec<(i64, Vec<Decision>)>,
}

/// A part of the scope still to be looked at.
#[derive(Debug)]
struct Branch {
    scope: Scope,
    decisions: Vec<Decision>,
    bound: i64,
}

/// Branches still to be looked at, the most promising first: by bound, then depth, then age.
#[derive(Debug, Default)]
struct Open {
    branches: BTreeMap<(Reverse<i64>, Reverse<usize>, usize), Branch>,
    made: usize,
}

impl Open {
    fn push(&mut self, branch: Branch) {
        self.made += 1;
        self.branches.insert((Reverse(branch.bound), Reverse(branch.decisions.len()), self.made), branch);
    }

    fn pop(&mut self) -> Option<Branch> {
        self.branches.pop_first().map(|(_, branch)| branch)
    }

    fn into_ends(self) -> impl Iterator<Item = (i64, Vec<Decision>)> {
        self.branches.into_values().map(|branch| (branch.bound, branch.decisions))
    }
}

/// A search for the best plan of a scope.
pub(super) struct Search<'s, 'a> {
    pub field: &'a Field,
    pub master: &'s mut Master<'a>,
    pub aim: &'s Aim,
    pub go_on: &'s mut dyn FnMut() -> bool,
    /// Most work one run may do.
    pub most_work: usize,
}

impl Search<'_, '_> {
    /// The best plan of a scope, at least as good as the one given, taken up from the ends of a search before if there
    /// are any; at most so many branches are looked at, and with `turns` parts of the best plan are searched between.
    pub fn run(&mut self, scope: &Scope, mut found: Found, most: usize, mut turns: Option<&mut Turns>) -> Found {
        let mut open = Open::default();
        let mut ends = std::mem::take(&mut found.ends);
        if ends.is_empty() {
            ends.push((found.bound, Vec::new()));
        }
        for (bound, decisions) in ends {
            let scope = decisions.iter().fold(scope.clone(), |scope, decision| decision.apply(self.field, &scope));
            open.push(Branch { scope, decisions, bound });
        }
        let mut looked = 0;
        let from = self.master.work;
        let mut aside = 0;
        while let Some(mut branch) = open.pop() {
            found.bound = branch.bound;
            if branch.bound <= found.value {
                found.ends.push((branch.bound, branch.decisions));
                continue;
            }
            if looked >= most || self.master.work - from >= self.most_work {
                found.ends.push((branch.bound, branch.decisions));
                break;
            }
            looked += 1;
            let (relaxed, kids) = self.look(&mut branch, &mut found);
            match kids {
                Some(kids) if !relaxed.halted => {
                    for decision in kids {
                        let scope = decision.apply(self.field, &branch.scope);
                        let mut decisions = branch.decisions.clone();
                        decisions.push(decision);
                        open.push(Branch { scope, decisions, bound: relaxed.bound });
                    }
                }
                _ => found.ends.push((relaxed.bound, branch.decisions)),
            }
            if relaxed.halted {
                break;
            }
            if let Some(turns) = &mut turns {
                let best_open = open.branches.keys().next().map_or(i64::MIN, |key| key.0.0);
                while best_open > found.value && aside * 2 < self.master.work - from && (self.go_on)() {
                    let before = self.master.work;
                    self.improve(scope, &mut found, turns);
                    aside += self.master.work - before;
                }
            }
        }
        found.ends.extend(open.into_ends());
        found.ends.retain(|end| end.0 >= found.value);
        found.bound = found.ends.iter().map(|end| end.0).max().unwrap_or(found.value).max(found.value);
        found
    }

    /// Bounds a branch, narrows it, and says how to split what is left.
    fn look(&mut self, branch: &mut Branch, found: &mut Found) -> (Relaxed, Option<[Decision; 2]>) {
        loop {
            let mut relaxed = self.master.relax(&branch.scope, self.aim, found.value, self.go_on);
            relaxed.bound = relaxed.bound.min(branch.bound);
            self.take_if_whole(&relaxed, found);
            if relaxed.halted || relaxed.bound <= found.value {
                return (relaxed, None);
            }
            let before = branch.scope.alive.iter().filter(|alive| **alive).count();
            // Plans that tie must stay: the levels to come choose among them.
            let taken = self.master.narrow(&mut branch.scope, self.aim, &relaxed.duals, found.value - 1);
            // Where much was taken away the mixture is a new one.
            if taken * 5 <= before {
                let kids = self.split(&branch.scope, &relaxed, found.value);
                return (relaxed, kids);
            }
            branch.bound = relaxed.bound;
        }
    }

    /// The split after which both sides look least promising, by their mixtures of journeys already known.
    ///
    /// # Source
    /// Pecin, Pessoa, Poggi, Uchoa, *Improved branch-cut-and-price for capacitated vehicle routing*, Mathematical
    /// Programming Computation 9 (2017): the first phase of hierarchical strong branching.
    fn split(&self, scope: &Scope, relaxed: &Relaxed, beaten: i64) -> Option<[Decision; 2]> {
        let mut ways = splits(self.field, scope, &relaxed.used);
        if self.aim.measure.per_hm == 0 {
            // Machines that are alike make splits between them useless where road does not count.
            let soonest = ways.iter().map(|[one, _]| one.rank()).min();
            ways.retain(|[one, _]| Some(one.rank()) == soonest);
            // The mixtures of both sides mostly bring the same while it is open whom to serve: weighing tells nothing.
            ways.truncate(if soonest == Some(Rank::Whom) { 1 } else { ways.len() });
        }
        if ways.len() < 2 {
            return ways.pop();
        }
        let mixture = self.master.glance(scope, self.aim);
        let now = mixture.worth();
        let most = (now - beaten as f64).max(0.0) + 1.0;
        let fall = |decision: Decision| {
            let kid = decision.apply(self.field, scope);
            (now - self.master.worth_in(&mixture, &kid)).clamp(0.0, most) + 1e-3
        };
        let rated = ways.into_iter().map(|[one, two]| (fall(one) * fall(two), [one, two]));
        rated.reduce(|best, next| if next.0 > best.0 { next } else { best }).map(|(_, way)| way)
    }

    /// Keeps the mixture's plan if it is whole, allowed and better.
    fn take_if_whole(&mut self, relaxed: &Relaxed, found: &mut Found) {
        if !relaxed.falls_short && relaxed.used.iter().all(|&(_, value)| (value - 1.0).abs() < 1e-3) {
            let plan: Vec<usize> = relaxed.used.iter().map(|&(choice, _)| choice).collect();
            self.offer(plan, found);
        }
    }

    fn offer(&mut self, plan: Vec<usize>, found: &mut Found) {
        let value = self.aim.measure.of(self.field, &plan);
        if value > found.value && self.field.admits(&plan) && self.aim.is_held(self.field, &plan) {
            self.master.learn(&plan, self.aim);
            (found.plan, found.value) = (plan, value);
        }
    }

    /// Follows the mixture down, making its surest choices, to a whole plan.
    pub fn dive(&mut self, scope: &Scope, found: &mut Found) {
        let mut scope = scope.clone();
        let mut is_first = true;
        loop {
            let relaxed = self.master.relax(&scope, self.aim, found.value, self.go_on);
            if std::mem::take(&mut is_first) {
                found.bound = relaxed.bound.min(found.bound);
            }
            self.take_if_whole(&relaxed, found);
            if relaxed.halted || relaxed.bound <= found.value || relaxed.falls_short {
                return;
            }
            self.master.narrow(&mut scope, self.aim, &relaxed.duals, found.value);
            let sure = relaxed.used.iter().filter(|used| used.1 >= 1.0 - 1e-3 && scope.alive[used.0]);
            let loose = relaxed.used.iter().filter(|used| used.1 < 1.0 - 1e-3 && scope.alive[used.0]);
            let Some(surest) = loose.max_by(|one, two| one.1.total_cmp(&two.1).then(two.0.cmp(&one.0))) else { return };
            let fixed: Vec<usize> = sure.chain([surest]).map(|used| used.0).collect();
            for choice in fixed {
                scope = Decision::Only(choice).apply(self.field, &scope);
            }
        }
    }

    /// What is left of a scope for plans as good as the best: the ends of the search, narrowed by prices.
    pub fn ties(&mut self, scope: &Scope, found: &Found) -> Scope {
        let mut left = Scope { alive: vec![false; scope.alive.len()], must: vec![true; scope.must.len()] };
        for (_, decisions) in found.ends.iter().filter(|end| end.0 >= found.value) {
            let start = scope.clone();
            let part = decisions.iter().fold(start, |scope, decision| decision.apply(self.field, &scope));
            left.alive.iter_mut().zip(part.alive).for_each(|(left, part)| *left |= part);
            left.must.iter_mut().zip(part.must).for_each(|(left, part)| *left &= part);
        }
        while (self.go_on)() {
            let relaxed = self.master.relax(&left, self.aim, found.value - 1, self.go_on);
            let taken = self.master.narrow(&mut left, self.aim, &relaxed.duals, found.value - 1);
            if relaxed.halted || taken == 0 {
                break;
            }
        }
        left
    }
}
