//! Better plans near a plan: most of it stays, the rest is searched to the end.
//!
//! # Source
//! Shaw, *Using constraint programming and local search methods to solve vehicle routing problems*, CP-98: large
//! neighbourhoods; the part set free is searched by the branch and bound of `search`.

use super::branching::Decision;
use super::field::Field;
use super::master::Scope;
use super::search::{Found, Search};

/// Branches looked at in one neighbourhood.
const BRANCHES: usize = 25;

/// Which part of a plan is set free next; the same every time.
#[derive(Debug)]
pub(super) struct Turns {
    turn: u64,
    state: u64,
    /// How many served requests are set free.
    pub free: usize,
}

impl Default for Turns {
    fn default() -> Self {
        Self { turn: 0, state: 0x9e37_79b9_7f4a_7c15, free: 14 }
    }
}

impl Turns {
    fn draw(&mut self, below: usize) -> usize {
        // Marsaglia, Xorshift RNGs, Journal of Statistical Software 8 (2003).
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        (self.state % below.max(1) as u64) as usize
    }

    /// The choices of a plan that stay.
    fn staying(&mut self, field: &Field, plan: &[usize]) -> Vec<usize> {
        self.turn += 1;
        let block = |choice: usize| field.choices[choice].block;
        let seed = block(plan[self.draw(plan.len())]);
        let mut near: Vec<(i64, usize)> = plan
            .iter()
            .map(|&choice| {
                let other = block(choice);
                let noise = self.draw(200) as i64;
                let road = field.road_hm(seed.request, other.request);
                let apart = 40 * other.start.abs_diff(seed.start) as i64;
                let same = if other.machine == seed.machine { 0 } else { 300 };
                let far = match self.turn % 3 {
                    0 => apart,
                    1 => road + same,
                    _ => road + apart,
                };
                (far + noise, choice)
            })
            .collect();
        near.sort_unstable();
        near.into_iter().skip(self.free).map(|(_, choice)| choice).collect()
    }
}

impl Search<'_, '_> {
    /// Sets a part of the plan free and searches it.
    pub fn improve(&mut self, scope: &Scope, found: &mut Found, turns: &mut Turns) {
        if found.plan.is_empty() {
            self.master.work += 1;
            return;
        }
        let staying = turns.staying(self.field, &found.plan);
        let only = |scope: Scope, &choice: &usize| Decision::Only(choice).apply(self.field, &scope);
        let part = staying.iter().fold(scope.clone(), only);
        let start = Found { plan: found.plan.clone(), ends: Vec::new(), ..*found };
        let better = self.run(&part, start, BRANCHES, None);
        turns.free = if better.bound > better.value { turns.free.saturating_sub(1).max(4) } else { turns.free + 1 };
        if better.value > found.value {
            (found.plan, found.value) = (better.plan, better.value);
        }
    }
}
