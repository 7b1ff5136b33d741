//! Of the plans that tie at every level, the first.
//!
//! Plans are compared machine by machine, each machine's blocks in order of time, as words in a dictionary: the
//! earlier block comes first, then the lower request, then the lower crew, and a list before those that go on after
//! it. Place by place, all that would come before what the plan has there is tried: each try is a search for a plan
//! just as good, cut short by the bounds at once in most cases.

use super::Settling;
use super::branching::Decision;
use super::master::Scope;
use super::search::Found;

impl Settling<'_, '_, '_> {
    /// Takes the first of the plans that tie. All levels must be proven.
    pub(super) fn take_first_of_ties(&mut self) {
        let Some(last) = self.stages.len().checked_sub(1) else { return };
        let mut scope = self.left_after(last);
        for lane in 0..self.field.lanes.len() {
            let mut place = 0;
            while let Some(own) = self.earliest_at(lane, place, &mut scope) {
                scope = Decision::Only(own).apply(self.field, &scope);
                place += 1;
            }
        }
    }

    /// The first choice a plan as good as the best can have at a place of a machine's list, those before it given;
    /// `None` when the list can end there. What cannot be there leaves the scope.
    fn earliest_at(&mut self, lane: usize, place: usize, scope: &mut Scope) -> Option<usize> {
        let route = self.field.routes(&self.plan)[lane].clone();
        let rank = |choice: usize| self.field.choices[choice].block;
        let is_later = |choice: &usize| rank(*choice).machine == lane && !route[..place].contains(choice);
        let mut later: Vec<usize> =
            (0..scope.alive.len()).filter(|choice| scope.alive[*choice]).filter(is_later).collect();
        later.sort_unstable_by_key(|&choice| rank(choice));
        let ended = without(scope, &later);
        let own = route.get(place).copied().filter(|_| !self.is_stopped && !self.try_within(&ended));
        if own.is_none() {
            *scope = ended;
        }
        let own = own?;
        for choice in later.into_iter().take_while(|&choice| choice != own) {
            let only = Decision::Only(choice).apply(self.field, scope);
            if self.try_within(&only) {
                return Some(choice);
            }
            scope.alive[choice] = false;
        }
        Some(own)
    }

    /// Takes a plan as good as the best from a part of what may be chosen; whether there is one.
    fn try_within(&mut self, part: &Scope) -> bool {
        let Some(last) = self.stages.len().checked_sub(1) else { return false };
        let (aim, best) = (self.aim(last), self.stages[last].found.value);
        let found = Found { plan: self.plan.clone(), value: best - 1, bound: best, ends: Vec::new() };
        let found = self.search(&aim, usize::MAX, |search| search.run(part, found, usize::MAX, None));
        let is_there = found.value == best;
        if is_there {
            self.plan = found.plan;
        }
        is_there
    }
}

fn without(scope: &Scope, choices: &[usize]) -> Scope {
    let mut scope = scope.clone();
    choices.iter().for_each(|&choice| scope.alive[choice] = false);
    scope
}
