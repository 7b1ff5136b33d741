//! The arithmetic of sharing: half-days, free spans, charges, splits, price breaks, distances.
//!
//! Promises: every function is pure, money and masses are integers, every split adds up exactly,
//! and every interval is half-open. Deliberately knows nothing of people, storage, HTTP or the
//! clock, and nothing of the other crates: whoever calls says what "now" is.

pub mod buying;
pub mod charges;
pub mod distance;
pub mod free_spans;
pub mod half_days;
pub mod hire_costs;
pub mod order_state;
pub mod price_breaks;
pub mod recurrence;
pub mod roads;
pub mod rounds;
pub mod servicing;
pub mod shares;
pub mod sources;
pub mod turns;
pub mod waiting;

#[cfg(test)]
mod test_spans;
