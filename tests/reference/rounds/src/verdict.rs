//! What is wrong with an outcome, held against the rules and the reference.

use logistics::rounds::{Order, Outcome, Rules, is_a_cost};

use crate::instance::{Reached, name};

/// Faults of an outcome: a broken rule, a value that is not so, a proven level missed, a bound passed.
///
/// A plan that was stopped `may_fall_short` of the reference, if it does not claim otherwise.
pub fn faults(
    rules: &Rules<'_>,
    order: Order,
    outcome: &Outcome,
    reference: Option<&Reached>,
    may_fall_short: bool,
) -> Vec<String> {
    let mut faults = Vec::new();
    if let Err(broken) = rules.check(&outcome.blocks) {
        faults.push(format!("breaks a rule: {broken}"));
        return faults;
    }
    for (reached, (level, value)) in outcome.levels.iter().zip(rules.score(order, &outcome.blocks)) {
        let better = |one: i64, two: i64| if is_a_cost(level) { one < two } else { one > two };
        if reached.level != level || reached.value != value {
            faults.push(format!("says {} {} where the plan has {value}", name(reached.level), reached.value));
        }
        if better(reached.value, reached.bound) {
            faults.push(format!("passes its own bound at {}: {} and {}", name(level), reached.value, reached.bound));
        }
    }
    faults.extend(reference.and_then(|reference| against(outcome, reference, may_fall_short)));
    faults
}

/// Levels are compared up to the first where the two differ: what comes after is another question.
fn against(outcome: &Outcome, reference: &Reached, may_fall_short: bool) -> Option<String> {
    for (ours, theirs) in outcome.levels.iter().zip(&reference.levels) {
        let level = name(ours.level);
        let value = reference.parts.get(level).copied()?;
        let better = |one: i64, two: i64| if is_a_cost(ours.level) { one < two } else { one > two };
        if theirs.level != level {
            return Some(format!("settles {level} where the reference settles {}", theirs.level));
        }
        let is_proven = theirs.status == "optimal";
        if better(value, ours.bound) {
            return Some(format!("claims {level} cannot pass {}, and the reference reached {value}", ours.bound));
        }
        if theirs.bound.is_some_and(|bound| better(ours.value, bound)) {
            return Some(format!("passes the reference's bound at {level}: {}", ours.value));
        }
        if better(value, ours.value) && !may_fall_short {
            let proven = if is_proven { "proven " } else { "" };
            return Some(format!("falls short of the reference's {proven}{level} {value} with {}", ours.value));
        }
        if ours.value != value {
            return None;
        }
    }
    None
}
