//! How a scope is split in two: a request is served or not, by a machine or not, early or late, just so or not.

use std::collections::BTreeMap;

use super::field::Field;
use super::master::Scope;

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

/// The entry nearest to one half among those that are neither 0 nor 1.
fn least_decided<K: Copy>(values: impl Iterator<Item = (K, f64)>) -> Option<(K, f64)> {
    let half = |value: f64| (value - 0.5).abs();
    values.filter(|&(_, value)| is_open(value)).min_by(|one, two| half(one.1).total_cmp(&half(two.1)))
}

/// Splits a scope where the mixture is least decided; the likelier side first. `None` when all is decided.
pub(super) fn split(field: &Field, scope: &Scope, used: &[(usize, f64)]) -> Option<[Decision; 2]> {
    let mut served = BTreeMap::new();
    let mut by_machine = BTreeMap::new();
    for &(choice, value) in used {
        let block = field.choices[choice].block;
        *served.entry(block.request).or_insert(0.0) += value;
        *by_machine.entry((block.request, block.machine)).or_insert(0.0) += value;
    }
    let served = served.into_iter().filter(|&(request, _)| !scope.must[request]);
    if let Some((request, value)) = least_decided(served) {
        return Some(likelier(value, Decision::Served { request }, Decision::LeftOut { request }));
    }
    if let Some(((request, machine), value)) = least_decided(by_machine.into_iter()) {
        return Some(likelier(value, Decision::On { request, machine }, Decision::Off { request, machine }));
    }
    split_start(field, used).or_else(|| {
        let (choice, value) = least_decided(used.iter().copied())?;
        Some(likelier(value, Decision::Only(choice), Decision::Not(choice)))
    })
}

fn likelier(value: f64, yes: Decision, no: Decision) -> [Decision; 2] {
    if value >= 0.5 { [yes, no] } else { [no, yes] }
}

/// Splits the starts of the request whose mixture can be halved best.
fn split_start(field: &Field, used: &[(usize, f64)]) -> Option<[Decision; 2]> {
    let mut starts: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
    for &(choice, value) in used {
        let block = field.choices[choice].block;
        *starts.entry(block.request).or_default().entry(block.start).or_insert(0.0) += value;
    }
    let mut early = Vec::new();
    for (request, starts) in starts {
        let mut sum = 0.0;
        for (start, value) in starts {
            sum += value;
            early.push(((request, start), sum));
        }
    }
    let ((request, start), value) = least_decided(early.into_iter())?;
    Some(likelier(value, Decision::Until { request, start }, Decision::After { request, start }))
}
