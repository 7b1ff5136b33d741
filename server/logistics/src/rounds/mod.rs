//! Rounds: in which order and when machines travel from club to club.
//!
//! Promises one reading of the rules ([`Rules`]), by which plans are searched, checked and scored. Integers
//! throughout. Does not know clubs, hires, mails or the clock.

mod clock;
mod faults;
mod fleet;
pub mod labels;
mod one_machine;
mod plan;
mod problem;
mod rules;
mod score;
#[cfg(test)]
mod tests;

pub use clock::Clock;
pub use faults::*;
pub use plan::plan;
pub use problem::*;
pub use rules::{Choice, Rules, counts_road, is_a_cost};
pub use score::BrokenRule;
