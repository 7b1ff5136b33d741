//! Rounds: in which order and when machines travel from club to club.
//!
//! Promises one reading of the rules ([`Rules`]), by which plans are searched, checked and scored. Integers
//! throughout. Does not know clubs, hires, mails or the clock.

mod clock;
mod faults;
mod problem;
mod rules;
mod score;

pub use faults::*;
pub use problem::*;
pub use rules::{Choice, Rules, counts_road, is_a_cost};
pub use score::BrokenRule;
