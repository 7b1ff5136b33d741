//! What is measured on a pitch, the score that comes of it, and where it stands among others.
//!
//! Promises: every score says how sure it is, every criterion says how it is measured and by what
//! published method, and refuses readings that no pitch can have. Deliberately knows nothing of
//! clubs, pitches, storage or the clock, and nothing of the other crates: whoever calls chooses
//! the readings and the others to compare with.

pub mod criteria;
pub mod percentile;
pub mod piecewise;
pub mod privacy;
pub mod scheme;
pub mod score;
pub mod sources;

/// A count as a number to divide by.
#[expect(clippy::as_conversions, reason = "usize has no From to f64; exact below 2^53, more than memory holds")]
fn as_number(count: usize) -> f64 {
    count as f64
}
