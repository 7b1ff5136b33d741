//! Half-days: the spans in which machines are booked.
//!
//! Promises that a [`HalfDaySpan`] is never empty and begins and ends at midnight or noon of a
//! network's local time. Does not know time zones, clock changes, opening hours or bookings: a
//! morning is the half-day from 00:00, an afternoon the one from 12:00, every day of the year.

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use thiserror::Error;

/// Half-days in a day.
const HALF_DAYS_PER_DAY: i64 = 2;

/// How long a half-day lasts on the local clock.
const HALF_DAY: TimeDelta = TimeDelta::hours(12);

/// Why a span was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum SpanError {
    /// An end is neither midnight nor noon.
    #[error("a span begins and ends at 00:00 or 12:00")]
    NotOnHalfDay,
    /// The span ends at or before its beginning.
    #[error("a span must end after it begins")]
    EndsBeforeItBegins,
    /// The span would leave the calendar.
    #[error("the span lies outside the calendar")]
    OutsideCalendar,
}

/// A half-open span of whole half-days in local time.
///
/// # Properties
/// `from < until`; both at 00:00 or 12:00. Spans that only touch do not overlap. Ordered by
/// beginning, then by end.
///
/// # Example
/// ```
/// use chrono::NaiveDate;
/// use logistics::half_days::HalfDaySpan;
/// let tuesday = NaiveDate::from_ymd_opt(2027, 5, 4).unwrap();
/// let span = HalfDaySpan::parse(
///     tuesday.and_hms_opt(12, 0, 0).unwrap(),
///     tuesday.succ_opt().unwrap().and_hms_opt(12, 0, 0).unwrap(),
/// )?;
/// assert_eq!(span.half_days(), 2);
/// # Ok::<(), logistics::half_days::SpanError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HalfDaySpan {
    from: NaiveDateTime,
    until: NaiveDateTime,
}

/// One date that a span touches, and which halves of it.
///
/// # Properties
/// At least one of the two is true.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayPart {
    /// The local date.
    pub date: NaiveDate,
    /// Whether the span holds the half-day from 00:00.
    pub morning: bool,
    /// Whether the span holds the half-day from 12:00.
    pub afternoon: bool,
}

impl HalfDaySpan {
    /// Makes a span of two local times.
    ///
    /// # Errors
    /// An end that is not on 00:00 or 12:00 to the nanosecond, or an end not after the beginning.
    pub fn parse(from: NaiveDateTime, until: NaiveDateTime) -> Result<Self, SpanError> {
        if !is_on_half_day(from) || !is_on_half_day(until) {
            return Err(SpanError::NotOnHalfDay);
        }
        if from >= until {
            return Err(SpanError::EndsBeforeItBegins);
        }
        Ok(Self { from, until })
    }

    /// When the span begins, itself within the span.
    #[must_use]
    pub fn from(&self) -> NaiveDateTime {
        self.from
    }

    /// When the span ends, itself no longer within the span.
    #[must_use]
    pub fn until(&self) -> NaiveDateTime {
        self.until
    }

    /// How many half-days the span holds.
    ///
    /// # Properties
    /// At least 1.
    #[must_use]
    pub fn half_days(&self) -> i64 {
        self.end() - self.start()
    }

    /// Whether the two spans share a half-day.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.from < other.until && other.from < self.until
    }

    /// Whether the other span lies wholly within this one.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.from <= other.from && other.until <= self.until
    }

    /// The dates that the span touches, in order, each with its halves.
    ///
    /// # Properties
    /// The halves that are true number [`half_days`](Self::half_days).
    #[must_use]
    pub fn days(&self) -> Vec<DayPart> {
        let holds = |instant: NaiveDateTime| self.from <= instant && instant < self.until;
        self.from
            .date()
            .iter_days()
            .map(|date| DayPart { date, morning: holds(midnight(date)), afternoon: holds(midnight(date) + HALF_DAY) })
            .take_while(|day| day.morning || day.afternoon)
            .collect()
    }

    /// The same length of time, so many half-days later (or earlier, if negative).
    ///
    /// # Errors
    /// A shift that leaves the calendar.
    pub fn shifted_by_half_days(&self, half_days: i64) -> Result<Self, SpanError> {
        Self::of_half_days(self.start().saturating_add(half_days), self.end().saturating_add(half_days))
    }

    /// The span with so many half-days more at its end: the time a machine needs to move on.
    ///
    /// # Errors
    /// A gap that leaves the calendar.
    pub fn with_gap(&self, gap_half_days: u32) -> Result<Self, SpanError> {
        Self::of_half_days(self.start(), self.end().saturating_add(i64::from(gap_half_days)))
    }

    /// The number of the first half-day of the span.
    pub(crate) fn start(&self) -> i64 {
        half_day_number(self.from)
    }

    /// The number of the first half-day after the span.
    pub(crate) fn end(&self) -> i64 {
        half_day_number(self.until)
    }

    /// The span from one numbered half-day to another.
    pub(crate) fn of_half_days(start: i64, end: i64) -> Result<Self, SpanError> {
        let from = half_day_begins(start).ok_or(SpanError::OutsideCalendar)?;
        let until = half_day_begins(end).ok_or(SpanError::OutsideCalendar)?;
        Self::parse(from, until)
    }
}

/// Half-days numbered without gaps from the first day of the common era, so that searches are
/// sums of integers. An instant within a half-day has its number.
pub(crate) fn half_day_number(instant: NaiveDateTime) -> i64 {
    let afternoon = i64::from(since_midnight(instant) >= HALF_DAY);
    i64::from(instant.date().num_days_from_ce()) * HALF_DAYS_PER_DAY + afternoon
}

/// Whether the numbered half-day is a morning.
pub(crate) fn is_morning(number: i64) -> bool {
    number.rem_euclid(HALF_DAYS_PER_DAY) == 0
}

/// Whether an instant is exactly the beginning of a half-day.
pub(crate) fn is_on_half_day(instant: NaiveDateTime) -> bool {
    let since_midnight = since_midnight(instant);
    since_midnight.is_zero() || since_midnight == HALF_DAY
}

fn half_day_begins(number: i64) -> Option<NaiveDateTime> {
    let days = i32::try_from(number.div_euclid(HALF_DAYS_PER_DAY)).ok()?;
    let midnight = midnight(NaiveDate::from_num_days_from_ce_opt(days)?);
    Some(if is_morning(number) { midnight } else { midnight + HALF_DAY })
}

fn midnight(date: NaiveDate) -> NaiveDateTime {
    date.and_time(NaiveTime::MIN)
}

fn since_midnight(instant: NaiveDateTime) -> TimeDelta {
    instant.time().signed_duration_since(NaiveTime::MIN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_spans::{instant, span};
    use proptest::prelude::*;

    #[test]
    fn a_span_begins_and_ends_at_midnight_or_noon() {
        let noon = instant("2027-05-04 12:00:00");
        for off in ["2027-05-05 11:59:59", "2027-05-05 12:00:01", "2027-05-05 06:00:00"] {
            assert_eq!(HalfDaySpan::parse(noon, instant(off)), Err(SpanError::NotOnHalfDay));
            let ends = instant("2027-05-06 00:00:00");
            assert_eq!(HalfDaySpan::parse(instant(off), ends), Err(SpanError::NotOnHalfDay));
        }
        let dust = noon + TimeDelta::nanoseconds(1);
        assert_eq!(HalfDaySpan::parse(noon, dust), Err(SpanError::NotOnHalfDay));
    }

    #[test]
    fn a_span_is_never_empty_or_backwards() {
        let noon = instant("2027-05-04 12:00:00");
        let earlier = instant("2027-05-04 00:00:00");
        assert_eq!(HalfDaySpan::parse(noon, noon), Err(SpanError::EndsBeforeItBegins));
        assert_eq!(HalfDaySpan::parse(noon, earlier), Err(SpanError::EndsBeforeItBegins));
    }

    #[test]
    fn the_clock_change_in_march_does_not_shorten_a_span() {
        // h014: the clocks go forward on 28 March 2027; half-days are counted on the local clock.
        assert_eq!(span("2027-03-27 12", "2027-03-29 12").half_days(), 4);
    }

    #[test]
    fn a_span_names_the_halves_of_each_date_it_touches() {
        let days = span("2027-05-04 12", "2027-05-06 12").days();
        let halves: Vec<_> = days.iter().map(|day| (day.date.to_string(), day.morning, day.afternoon)).collect();
        assert_eq!(
            halves,
            [
                ("2027-05-04".to_owned(), false, true),
                ("2027-05-05".to_owned(), true, true),
                ("2027-05-06".to_owned(), true, false),
            ]
        );
    }

    #[test]
    fn spans_that_touch_do_not_overlap() {
        let first = span("2027-05-04 00", "2027-05-05 00");
        let second = span("2027-05-05 00", "2027-05-05 12");
        assert!(!first.overlaps(&second) && !second.overlaps(&first));
        assert!(first.with_gap(1).unwrap().overlaps(&second));
    }

    #[test]
    fn a_shift_out_of_the_calendar_is_refused() {
        let span = span("2027-05-04 00", "2027-05-05 00");
        assert_eq!(span.shifted_by_half_days(i64::MAX), Err(SpanError::OutsideCalendar));
        assert_eq!(span.shifted_by_half_days(i64::MIN), Err(SpanError::OutsideCalendar));
        assert_eq!(span.with_gap(u32::MAX), Err(SpanError::OutsideCalendar));
    }

    prop_compose! {
        fn any_span()(start in 1_478_000i64..1_482_000, length in 1i64..60) -> HalfDaySpan {
            HalfDaySpan::of_half_days(start, start + length).unwrap()
        }
    }

    proptest! {
        #[test]
        fn the_halves_of_the_dates_number_the_half_days(span in any_span()) {
            let halves: i64 = span
                .days()
                .iter()
                .map(|day| i64::from(day.morning) + i64::from(day.afternoon))
                .sum();
            prop_assert_eq!(halves, span.half_days());
            let hours = (span.until() - span.from()).num_hours();
            prop_assert_eq!(hours, span.half_days() * 12);
        }

        #[test]
        fn overlap_is_mutual_and_means_a_shared_half_day(a in any_span(), b in any_span()) {
            let shared = (a.start()..a.end()).any(|number| (b.start()..b.end()).contains(&number));
            prop_assert_eq!(a.overlaps(&b), shared);
            prop_assert_eq!(b.overlaps(&a), shared);
        }

        #[test]
        fn a_shift_and_back_is_no_shift(span in any_span(), half_days in -2000i64..2000) {
            let shifted = span.shifted_by_half_days(half_days).unwrap();
            prop_assert_eq!(shifted.half_days(), span.half_days());
            prop_assert_eq!(shifted.shifted_by_half_days(-half_days), Ok(span));
        }

        #[test]
        fn a_gap_only_moves_the_end(span in any_span(), gap in 0u32..40) {
            let longer = span.with_gap(gap).unwrap();
            prop_assert_eq!(longer.from(), span.from());
            prop_assert_eq!(longer.half_days(), span.half_days() + i64::from(gap));
            prop_assert!(longer.contains(&span));
        }
    }
}
