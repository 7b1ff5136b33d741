//! What one level wants, and what the levels before it hold.

use super::field::Field;

/// A sum over the choices of a plan and its road, of which more is better.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Measure {
    /// What each choice brings.
    pub gain: Vec<i64>,
    /// What a hectometre of the machines' road costs: 0 or 1.
    pub per_hm: i64,
}

/// A measure that must not fall below what was reached.
#[derive(Debug, Clone)]
pub(super) struct Floor {
    pub measure: Measure,
    pub least: i64,
}

/// What is looked for.
#[derive(Debug, Clone)]
pub(super) struct Aim {
    pub measure: Measure,
    pub floors: Vec<Floor>,
}

impl Floor {
    /// What its row is measured in: a tenth of it.
    pub fn size(&self) -> f64 {
        self.least.abs().max(10) as f64 / 10.0
    }
}

impl Measure {
    /// No plan is worth more.
    pub fn heaven(&self, field: &Field) -> i64 {
        let mut most = vec![0; field.requests];
        for (choice, &gain) in field.choices.iter().zip(&self.gain) {
            most[choice.block.request] = gain.max(most[choice.block.request]);
        }
        most.iter().sum()
    }

    /// Of one machine's route.
    pub fn of_route(&self, field: &Field, lane: usize, route: &[usize]) -> i64 {
        let gain: i64 = route.iter().map(|&choice| self.gain[choice]).sum();
        gain - if self.per_hm == 0 { 0 } else { self.per_hm * field.route_hm(lane, route) }
    }

    /// Of a whole plan.
    pub fn of(&self, field: &Field, plan: &[usize]) -> i64 {
        field.routes(plan).iter().enumerate().map(|(lane, route)| self.of_route(field, lane, route)).sum()
    }
}

impl Aim {
    /// Whether a plan holds the floors.
    pub fn is_held(&self, field: &Field, plan: &[usize]) -> bool {
        self.floors.iter().all(|floor| floor.measure.of(field, plan) >= floor.least)
    }
}
