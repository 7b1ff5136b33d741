//! Why a plan is as it is, in sentences: what stands where a club would rather be, what moving it there would cost, why
//! one goes without and what would serve it.
//!
//! What stands in the way is read off the plan; what a change costs is found by asking the planner again, for a limited
//! time: where that is too short, the reason says that the price is not known.

use std::ops::{ControlFlow, Range};
use std::time::Instant;

use logistics::half_days::HalfDaySpan;
use logistics::hire_costs::{HireTerms, Tariff, bill};
use logistics::rounds::{
    Level, Obstacle, Order, Outcome, Place, Rules, changes, keeps_pins, obstacle, plan, room_elsewhere,
    room_with_a_crew, served_only_by, slots_of_day, tried, with_a_day_more,
};

use super::facts::Facts;
use crate::figures::pounds;
use crate::hires::{HireCharges, PlaceFacts, RoundMachineFacts};
use crate::ids::RequestId;
use crate::time::{day_words, half_day_words};

/// What is said in place of a price that is not known.
const UNPRICED: &str = "What that would cost the others could not be worked out in the time there is.";

/// The reasons of a plan.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Reasons {
    /// Of requests that have another place than their first wish, or none.
    pub(super) of_requests: Vec<(RequestId, String)>,
    /// What would serve those who go without; none where nobody does or nothing was found.
    pub(super) of_plan: Option<String>,
}

/// A plan that is being explained.
struct Told<'a> {
    facts: &'a Facts,
    rules: Rules<'a>,
    order: Order,
    outcome: &'a Outcome,
    until: Instant,
}

/// Explains a plan of some facts, until a time.
pub(super) fn explain(facts: &Facts, order: Order, outcome: &Outcome, until: Instant) -> Reasons {
    let Ok(rules) = Rules::new(&facts.problem) else { return Reasons::default() };
    let told = Told { facts, rules, order, outcome, until };
    let requests = || facts.index.round.requests.iter().enumerate();
    let reason = |(number, request): (usize, &PlaceFacts)| Some((request.request_id, told.reason(number, request)?));
    Reasons { of_requests: requests().filter_map(reason).collect(), of_plan: told.one_day_more() }
}

impl Told<'_> {
    /// Why a request has no better place; none where it has its first wish, or wished for no day.
    fn reason(&self, number: usize, request: &PlaceFacts) -> Option<String> {
        let Some(block) = self.outcome.blocks.iter().find(|block| block.request == number) else {
            return Some(self.why_left_out(number));
        };
        let first = request.wishes.first()?;
        if self.facts.index.begins(block.start).date() == *first {
            return None;
        }
        let day = usize::try_from((*first - self.facts.index.round.from_on).num_days()).ok()?;
        let slots = slots_of_day(self.facts.problem.grain, day);
        let what = self.what_stands(number, slots.clone(), &day_words(*first));
        Some(join(&what, &self.price(number, &Place::Within { starts: slots, machine: None })))
    }

    fn why_left_out(&self, number: usize) -> String {
        let what = self.what_stands(number, 0..self.rules.slots(), "the days it allows");
        let mut words = join(&what, &self.price(number, &Place::Anywhere));
        if let Some(block) = room_elsewhere(&self.facts.problem, &self.outcome.blocks, number) {
            let at = half_day_words(self.facts.index.begins(block.start));
            words = join(&words, &format!("There is room from {at}, which it does not allow."));
        } else if let Some(block) = room_with_a_crew(&self.facts.problem, &self.outcome.blocks, number) {
            let at = half_day_words(self.facts.index.begins(block.start));
            words = join(&words, &format!("With one more tractor and operator it could be served from {at}."));
        }
        words
    }

    fn name(&self, number: usize) -> &str {
        self.facts.index.round.requests.get(number).map_or("", |request| &request.club_name)
    }

    fn weight(&self, number: usize) -> i64 {
        self.facts.problem.requests.get(number).map_or(0, |request| request.weight)
    }

    /// What keeps a request from beginning in some slots, called `when`.
    fn what_stands(&self, number: usize, starts: Range<usize>, when: &str) -> String {
        match obstacle(&self.rules, &self.outcome.blocks, number, starts) {
            Obstacle::NoMachine => "No machine of the round suits it.".to_owned(),
            Obstacle::NotAllowed => format!("The work does not fit into the half-days it allows on {when}."),
            Obstacle::MachineAway => format!("The machine is away or booked on {when}."),
            Obstacle::Forbidden => format!("The coordinator ruled {when} out."),
            Obstacle::NoCrew => format!("No tractor can come on {when}."),
            Obstacle::Taken { by } => self.who_has(number, &by, when),
            Obstacle::TooFar { from } => {
                format!("On {when} the machine cannot be there in time between {} and it.", self.name(from))
            }
            Obstacle::CrewAtWork { with } => {
                format!("On {when} the tractor it would use works for {}.", self.name(with))
            }
            Obstacle::Room { block } => {
                let at = half_day_words(self.facts.index.begins(block.start));
                format!("There is room from {at}.")
            }
        }
    }

    fn who_has(&self, number: usize, by: &[usize], when: &str) -> String {
        let names: Vec<&str> = by.iter().map(|other| self.name(*other)).collect();
        let who = listed(&names);
        let weights = (by.iter().map(|other| self.weight(*other)).min().unwrap_or(0), self.weight(number));
        let more = match weights {
            (theirs, own) if by.len() == 1 && theirs > own => {
                format!(", whose weight is higher ({theirs} against {own})")
            }
            _ => String::new(),
        };
        let capital = when.chars().take(1).flat_map(char::to_uppercase).chain(when.chars().skip(1));
        format!("{} went to {who}{more}.", capital.collect::<String>())
    }

    /// The best plan of another problem, if it is found and proven in time.
    fn proven(&self, problem: &logistics::rounds::Problem) -> Option<Outcome> {
        if Instant::now() >= self.until {
            return None;
        }
        let watch = &mut |_: &logistics::rounds::Progress<'_>| match Instant::now() < self.until {
            true => ControlFlow::Continue(()),
            false => ControlFlow::Break(()),
        };
        plan(problem, self.order, watch).ok().filter(Outcome::is_proven)
    }

    /// What it would cost to have a request somewhere, or that it is not known.
    fn price(&self, number: usize, place: &Place) -> String {
        let moved = tried(&self.facts.problem, number, place);
        let Some(other) = self.proven(&moved) else { return UNPRICED.to_owned() };
        if !keeps_pins(&moved, &other) {
            return "No plan can place it there.".to_owned();
        }
        let before: Vec<(Level, i64)> =
            self.outcome.levels.iter().map(|reached| (reached.level, reached.value)).collect();
        let dearest = changes(&before, &other.levels).into_iter().find(|change| change.worse_by() != 0);
        let Some(change) = dearest.filter(|change| change.worse_by() > 0) else {
            return "A plan with it there is as good; a fixed rule decides between equals.".to_owned();
        };
        let lost = change.worse_by();
        match change.level {
            Level::Pinned => "The coordinator has pinned another place.".to_owned(),
            Level::Guaranteed => "For that a club that must be served would go without.".to_owned(),
            Level::Weight | Level::NewWeight => match listed_lost(self, &other) {
                Some(names) => format!("For that {names} would go without."),
                None => format!("For that the round would serve {lost} less in weight."),
            },
            Level::KeptWeight => "For that a confirmed place would be lost.".to_owned(),
            Level::Disruption => "For that other confirmed places would have to move.".to_owned(),
            Level::Points => format!("For that the clubs together would lose {lost} wish {}.", points(lost)),
            Level::PointsLessHaul | Level::Haul => {
                format!("For that it would be {} more on the road, all in all.", km(lost))
            }
        }
    }

    /// What one more day of a hire would do for those who go without.
    fn one_day_more(&self) -> Option<String> {
        let problem = &self.facts.problem;
        let served = |number: &usize| self.outcome.blocks.iter().any(|block| block.request == *number);
        let left_out: Vec<usize> = (0..problem.requests.len()).filter(|number| !served(number)).collect();
        if left_out.is_empty() {
            return None;
        }
        let hired = self.facts.index.round.machines.iter().enumerate();
        let offers = hired.filter_map(|(number, machine)| {
            let (_, charges) = machine.hire.as_ref()?;
            let Some(longer) = self.proven(&with_a_day_more(problem, number, &left_out)) else {
                return Some(format!(
                    "Whether one more day of {} would serve more clubs could not be worked out in the time there is.",
                    machine.name
                ));
            };
            let more = served_only_by(&longer.blocks, &self.outcome.blocks).len();
            let lost = served_only_by(&self.outcome.blocks, &longer.blocks).len();
            let more = more.checked_sub(lost).filter(|more| *more > 0)?;
            Some(one_day_words(machine, charges, more))
        });
        let words: Vec<String> = offers.collect();
        (!words.is_empty()).then(|| words.join(" "))
    }
}

/// "One more day of the aerator would serve two more clubs, for £180.00."
fn one_day_words(machine: &RoundMachineFacts, charges: &HireCharges, more: usize) -> String {
    let clubs = if more == 1 { "1 more club".to_owned() } else { format!("{more} more clubs") };
    let price = day_pence(charges, &machine.span).map_or(String::new(), |pence| format!(", for {}", pounds(pence)));
    format!("One more day of {} would serve {clubs}{price}.", machine.name)
}

/// What one more day of a hire costs.
fn day_pence(charges: &HireCharges, span: &HalfDaySpan) -> Option<i64> {
    let tariff = Tariff {
        per_week_pence: charges.per_week_pence,
        per_day_pence: charges.per_day_pence,
        per_half_day_pence: charges.per_half_day_pence,
        per_ha_pence: None,
    };
    let terms = HireTerms { tariff, ..HireTerms::default() };
    let longer = HalfDaySpan::parse(span.from(), span.until() + chrono::TimeDelta::days(1)).ok()?;
    let total = |span: HalfDaySpan| Some(bill(&terms, &[span], &[], &[]).ok()?.total_pence);
    Some(total(longer)? - total(*span)?).filter(|pence| *pence > 0)
}

/// The clubs that another plan no longer serves.
fn listed_lost(told: &Told<'_>, other: &Outcome) -> Option<String> {
    let lost: Vec<&str> =
        served_only_by(&told.outcome.blocks, &other.blocks).into_iter().map(|number| told.name(number)).collect();
    (!lost.is_empty()).then(|| listed(&lost))
}

fn join(words: &str, more: &str) -> String {
    format!("{words} {more}")
}

/// "A", "A and B", "A, B and C".
fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn points(count: i64) -> &'static str {
    if count == 1 { "point" } else { "points" }
}

/// Hectometres as kilometres: "12.3 km".
pub(super) fn km(hm: i64) -> String {
    format!("{}.{} km", hm / 10, hm % 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_listed_as_people_say_them() {
        assert_eq!(listed(&["A"]), "A");
        assert_eq!(listed(&["A", "B", "C"]), "A, B and C");
        assert_eq!((km(0), km(123)), ("0.0 km".to_owned(), "12.3 km".to_owned()));
    }
}
