//! Rounds: in which order and when machines travel from club to club.
//!
//! Promises one reading of the rules ([`Rules`]), by which plans are searched, checked and scored, and with [`plan()`]
//! the best plan with the proof that it is, or how much better another could be. Integers throughout. Does not know
//! clubs, hires, mails or the clock.
//!
//! # What is best
//! [`Rules::levels`] are compared one after another; a level never gives way to one after it.
//!
//! # The tie rule
//! Of plans equal at every level the first is taken. Plans are compared machine by machine, the blocks of a machine in
//! order of time, as words in a dictionary: the earlier start comes first, then the lower request, then the lower crew,
//! and a machine's list comes before those that go on after it. No two plans are equal under this rule, so a problem
//! that was planned to the end has one answer. A plan stopped before that is the best found, by the levels.
//!
//! # How it is found
//! Machines that share no request and no crew are planned apart. One machine alone is a journey: labels over its
//! possible blocks with dominance, dropped by Lagrangean bounds (`labels`; Held and Karp 1962, Righini and Salani 2008,
//! Fisher 1981). O(n·s·2^w) labels for n requests of s possible starts each, where w requests already served could
//! at one moment still be served again; at worst 2^n. Several machines are mixtures of journeys: branch and price
//! (`fleet`; Barnhart and others 1998, Baldacci and others 2011), exponential at worst in the number of splits. Both
//! keep what they reached when they are stopped, and say so in the bounds.
//!
//! # What a bound is worth
//! A bound is a certificate in whole numbers, whatever floating point arithmetic proposed it: with any prices of at
//! least 0 for serving a request twice, for falling below a level reached and for overfilling a crew, no plan is worth
//! more than what the prices themselves come to, and the best journey of each machine at these prices (Geoffrion 1974).
//! A wrong price makes a bound weak, never false. A part of the search is left only when its bound says that nothing
//! better is in it.

mod clock;
mod faults;
pub mod fleet;
pub mod labels;
mod one_machine;
mod plan;
mod problem;
mod reasons;
mod rules;
mod score;
#[cfg(test)]
mod test_plans;
#[cfg(test)]
mod test_rounds;
#[cfg(test)]
mod tests;
mod trials;

pub use clock::Clock;
pub use faults::*;
pub use plan::plan;
pub use problem::*;
pub use reasons::{Obstacle, obstacle};
pub use rules::{Choice, Rules, counts_road, is_a_cost};
pub use score::BrokenRule;
pub use trials::*;
