//! Rounds: in which order and when machines travel from club to club.

mod problem;

pub use problem::*;
