//! Turf arithmetic: how long a machine needs, what a tine does, how big a field is.
//!
//! Promises: every function is pure, carries its units in its names, and refuses numbers that
//! cannot be measured on a ground. Deliberately knows nothing of clubs, money, dates, storage or
//! the clock, and nothing of the other crates.

pub mod area;
pub mod field_work;
pub mod sources;
pub mod tines;

/// Whether a measure is a number above nothing: what every length, speed and diameter must be.
fn is_positive(measure: f64) -> bool {
    measure.is_finite() && measure > 0.0
}
