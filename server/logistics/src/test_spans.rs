//! Spans written as people write them, for the tests of this crate only.

use crate::half_days::HalfDaySpan;
use chrono::NaiveDateTime;

/// A local time such as `2027-05-04 12:00:00`.
pub(crate) fn instant(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M:%S").unwrap()
}

/// A span between two half-days such as `2027-05-04 12`.
pub(crate) fn span(from: &str, until: &str) -> HalfDaySpan {
    let at = |text: &str| instant(&format!("{text}:00:00"));
    HalfDaySpan::parse(at(from), at(until)).unwrap()
}
