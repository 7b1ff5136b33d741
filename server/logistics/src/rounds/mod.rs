//! Rounds: in which order and when machines travel from club to club.
//!
//! Promises one reading of the rules ([`Rules`]), by which plans are searched, checked and scored. Integers
//! throughout. Does not know clubs, hires, mails or the clock.

mod clock;
mod faults;
mod fleet;
mod problem;
mod rules;
mod score;

pub use clock::Clock;
pub use faults::*;
pub use problem::*;
pub use rules::{Choice, Rules, counts_road, is_a_cost};
pub use score::BrokenRule;

/// The best round for a problem, as far as the watch lets it be proven.
///
/// # Errors
/// When the problem or the order contradicts itself or is larger than a plan can hold.
pub fn plan(problem: &Problem, order: Order, watch: &mut Watch<'_>) -> Result<Outcome, ProblemError> {
    check_order(order)?;
    Ok(fleet::plan(&Rules::new(problem)?, order, watch))
}
