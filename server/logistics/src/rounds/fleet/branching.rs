//! How a scope is split in two: a request is served or not, by a machine or not, early or late, just so or not.

use std::collections::BTreeMap;

use super::field::Field;
use super::master::Scope;

/// Most ways of one kind that are weighed against each other.
const MOST_OF_A_KIND: usize = 5;

/// One side of a split.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decision {
    Served {
        request: usize,
    },
    LeftOut {
        request: usize,
    },
    On {
        request: usize,
        machine: usize,
    },
    Off {
        request: usize,
        machine: usize,
    },
    Until {
        request: usize,
        start: usize,
    },
    After {
        request: usize,
        start: usize,
    },
    /// The request is served just so.
    Only(usize),
    Not(usize),
}

/// What a decision is about; where road does not count, the first decides soonest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    Whom,
    When,
    How,
}

impl Decision {
    /// The scope with the decision made.
    pub fn apply(self, field: &Field, scope: &Scope) -> Scope {
        let mut scope = scope.clone();
        match self {
            Self::Served { request } => scope.must[request] = true,
            Self::Only(choice) => scope.must[field.choices[choice].block.request] = true,
            _ => {}
        }
        let choices = scope.alive.iter_mut().enumerate();
        choices.filter(|(choice, _)| !self.allows(field, *choice)).for_each(|(_, alive)| *alive = false);
        scope
    }

    /// What it decides.
    pub const fn rank(self) -> Rank {
        match self {
            Self::Served { .. } | Self::LeftOut { .. } => Rank::Whom,
            Self::Until { .. } | Self::After { .. } => Rank::When,
            Self::On { .. } | Self::Off { .. } | Self::Only(_) | Self::Not(_) => Rank::How,
        }
    }

    fn allows(self, field: &Field, choice: usize) -> bool {
        let block = field.choices[choice].block;
        match self {
            Self::Served { .. } => true,
            Self::LeftOut { request } => block.request != request,
            Self::On { request, machine } => block.request != request || block.machine == machine,
            Self::Off { request, machine } => block.request != request || block.machine != machine,
            Self::Until { request, start } => block.request != request || block.start <= start,
            Self::After { request, start } => block.request != request || block.start > start,
            Self::Only(only) => block.request != field.choices[only].block.request || choice == only,
            Self::Not(not) => choice != not,
        }
    }
}

fn is_open(value: f64) -> bool {
    value > 1e-3 && value < 1.0 - 1e-3
}

/// The entries nearest to one half among those that are neither 0 nor 1.
fn least_decided<K: Copy>(values: impl Iterator<Item = (K, f64)>) -> Vec<(K, f64)> {
    let half = |value: f64| (value - 0.5).abs();
    let mut open: Vec<(K, f64)> = values.filter(|&(_, value)| is_open(value)).collect();
    open.sort_by(|one, two| half(one.1).total_cmp(&half(two.1)));
    open.truncate(MOST_OF_A_KIND);
    open
}

/// Ways to split a scope where the mixture is undecided; the likelier side first. None when all is decided.
pub(super) fn splits(field: &Field, scope: &Scope, used: &[(usize, f64)]) -> Vec<[Decision; 2]> {
    let mut served = BTreeMap::new();
    let mut by_machine = BTreeMap::new();
    for &(choice, value) in used {
        let block = field.choices[choice].block;
        *served.entry(block.request).or_insert(0.0) += value;
        *by_machine.entry((block.request, block.machine)).or_insert(0.0) += value;
    }
    let served = least_decided(served.into_iter().filter(|&(request, _)| !scope.must[request])).into_iter();
    let mut splits: Vec<[Decision; 2]> = served
        .map(|(request, value)| likelier(value, Decision::Served { request }, Decision::LeftOut { request }))
        .collect();
    splits.extend(least_decided(by_machine.into_iter()).into_iter().map(|((request, machine), value)| {
        likelier(value, Decision::On { request, machine }, Decision::Off { request, machine })
    }));
    splits.extend(least_decided(early(field, used).into_iter()).into_iter().map(|((request, start), value)| {
        likelier(value, Decision::Until { request, start }, Decision::After { request, start })
    }));
    if splits.is_empty() {
        let loose = least_decided(used.iter().copied()).into_iter();
        splits.extend(loose.map(|(choice, value)| likelier(value, Decision::Only(choice), Decision::Not(choice))));
    }
    splits
}

fn likelier(value: f64, yes: Decision, no: Decision) -> [Decision; 2] {
    if value >= 0.5 { [yes, no] } else { [no, yes] }
}

/// How much of each request begins in a slot or before.
fn early(field: &Field, used: &[(usize, f64)]) -> Vec<((usize, usize), f64)> {
    let mut starts: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for &(choice, value) in used {
        let block = field.choices[choice].block;
        *starts.entry((block.request, block.start)).or_insert(0.0) += value;
    }
    let mut sum = (usize::MAX, 0.0);
    let running = starts.into_iter().map(|((request, start), value)| {
        sum = (request, if sum.0 == request { sum.1 + value } else { value });
        ((request, start), sum.1)
    });
    running.collect()
}
