//! Spans that come again by a rule: every second Thursday, the first Monday of a month.
//!
//! Promises half-days on the local clock: a clock change moves none of them, because the rule counts dates and not
//! hours. Does not know time zones, machines, or whether a span is free.
//!
//! # Source
//! [RFC5545](crate::sources), sections 3.3.10 (the rule) and 3.8.5.1 (exceptions). The counting itself is the library's.

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use rrule::{Frequency, RRule, Tz, Unvalidated};
use thiserror::Error;

use crate::half_days::HalfDaySpan;

/// The most occurrences a rule may give: more than a season of every week, half-day by half-day for a month.
pub const MOST_OCCURRENCES: usize = 60;

/// The longest text of a rule that is read.
const LONGEST_RULE: usize = 200;

/// Why a rule was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum RecurrenceError {
    /// The text is no rule.
    #[error("this is no recurrence rule")]
    Unreadable,
    /// It counts hours or less.
    #[error("a rule counts days, weeks, months or years")]
    FinerThanDays,
    /// Neither an end nor a number.
    #[error("a rule ends at a date or after a number of times")]
    Endless,
    /// More than [`MOST_OCCURRENCES`].
    #[error("a rule gives at most {MOST_OCCURRENCES} occurrences")]
    TooMany,
    /// No date fits, or exceptions took them all.
    #[error("no date fits the rule")]
    Never,
    /// An occurrence begins before the one before it ends.
    #[error("the occurrences run into one another")]
    Overlapping,
}

/// The spans that a rule gives, beginning with the first date on or after `first` that fits it.
///
/// `rule` is the value of an `RRULE` with its end as a date (`FREQ=WEEKLY;INTERVAL=2;UNTIL=20270331`); the last date
/// itself still counts. Exceptions are taken from what the rule gives, so that `COUNT` counts them.
///
/// # Errors
/// See [`RecurrenceError`].
///
/// # Properties
/// All as long as `first` and at the same half of the day; in order; none overlaps another; at least one and at most
/// [`MOST_OCCURRENCES`].
///
/// # Example
/// ```
/// use chrono::NaiveDate;
/// use logistics::{half_days::HalfDaySpan, recurrence::occurrences};
/// let march = |day, hour| NaiveDate::from_ymd_opt(2027, 3, day).unwrap().and_hms_opt(hour, 0, 0).unwrap();
/// let morning = HalfDaySpan::parse(march(18, 0), march(18, 12)).unwrap();
/// let every_second = occurrences("FREQ=WEEKLY;INTERVAL=2;COUNT=2", &morning, &[])?;
/// assert_eq!(every_second[1].from().to_string(), "2027-04-01 00:00:00");
/// # Ok::<(), logistics::recurrence::RecurrenceError>(())
/// ```
pub fn occurrences(
    rule: &str,
    first: &HalfDaySpan,
    except_on: &[NaiveDate],
) -> Result<Vec<HalfDaySpan>, RecurrenceError> {
    let dates = dates(rule, first.from().date())?;
    let spans = dates
        .into_iter()
        .filter(|date| !except_on.contains(date))
        .map(|date| first.shifted_by_half_days(2 * (date - first.from().date()).num_days()))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|_| RecurrenceError::Unreadable)?;
    if spans.is_empty() {
        return Err(RecurrenceError::Never);
    }
    let collide = spans.iter().zip(spans.iter().skip(1)).any(|(one, next)| one.overlaps(next));
    if collide { Err(RecurrenceError::Overlapping) } else { Ok(spans) }
}

/// The dates of a rule from a date on.
fn dates(rule: &str, from: NaiveDate) -> Result<Vec<NaiveDate>, RecurrenceError> {
    let parsed = parse(rule)?;
    // Dates have no zone: they are counted on a clock that never changes.
    let start = at_midnight(from);
    let set = parsed.build(start).map_err(|_| RecurrenceError::Unreadable)?;
    let found = set.all(u16::try_from(MOST_OCCURRENCES + 1).unwrap_or(u16::MAX)).dates;
    if found.len() > MOST_OCCURRENCES {
        return Err(RecurrenceError::TooMany);
    }
    Ok(found.into_iter().map(|at| at.date_naive()).collect())
}

/// Reads a rule and refuses what a diary of half-days cannot hold.
fn parse(rule: &str) -> Result<RRule<Unvalidated>, RecurrenceError> {
    // The value of one rule and nothing else: the library would read whole calendars.
    if rule.len() > LONGEST_RULE || rule.contains([':', '\n', '\r']) {
        return Err(RecurrenceError::Unreadable);
    }
    let parsed: RRule<Unvalidated> = rule.parse().map_err(|_| RecurrenceError::Unreadable)?;
    let finer = parsed.get_freq() > Frequency::Daily
        || !(parsed.get_by_hour().is_empty() && parsed.get_by_minute().is_empty() && parsed.get_by_second().is_empty());
    if finer {
        return Err(RecurrenceError::FinerThanDays);
    }
    match (parsed.get_until(), parsed.get_count()) {
        (None, None) => Err(RecurrenceError::Endless),
        (Some(until), _) => {
            let last = at_midnight(until.date_naive());
            Ok(parsed.until(last))
        }
        (None, Some(_)) => Ok(parsed),
    }
}

fn at_midnight(date: NaiveDate) -> DateTime<Tz> {
    DateTime::<Utc>::from_naive_utc_and_offset(date.and_time(NaiveTime::MIN), Utc).with_timezone(&Tz::UTC)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_spans::span;
    use chrono::Datelike;
    use proptest::prelude::*;

    /// Month and day of what the rule gives from a date on, as RFC 5545 prints its examples.
    fn given(from: &str, rule: &str) -> Vec<(u32, u32)> {
        let morning = span(&format!("{from} 00"), &format!("{from} 12"));
        occurrences(rule, &morning, &[]).unwrap().iter().map(|span| (span.from().month(), span.from().day())).collect()
    }

    #[test]
    fn examples_of_the_standard_come_out_as_printed() {
        // RFC 5545, section 3.8.5.3, examples with dates as printed there.
        let from = "1997-09-02";
        assert_eq!(given(from, "FREQ=DAILY;INTERVAL=10;COUNT=5"), [(9, 2), (9, 12), (9, 22), (10, 2), (10, 12)]);
        assert_eq!(
            given(from, "FREQ=WEEKLY;UNTIL=19971007;WKST=SU;BYDAY=TU,TH"),
            [(9, 2), (9, 4), (9, 9), (9, 11), (9, 16), (9, 18), (9, 23), (9, 25), (9, 30), (10, 2), (10, 7)]
        );
        assert_eq!(
            given(from, "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH"),
            [(9, 2), (9, 4), (9, 16), (9, 18), (9, 30), (10, 2), (10, 14), (10, 16)]
        );
        let ten_fridays = [(9, 5), (10, 3), (11, 7), (12, 5), (1, 2), (2, 6), (3, 6), (4, 3), (5, 1), (6, 5)];
        assert_eq!(given("1997-09-05", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR"), ten_fridays);
        assert_eq!(
            given("1997-09-22", "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO"),
            [(9, 22), (10, 20), (11, 17), (12, 22), (1, 19), (2, 16)]
        );
        assert_eq!(given("1997-09-04", "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3"), [(9, 4), (10, 7), (11, 6)]);
        // The same section: what the week's beginning changes.
        assert_eq!(
            given("1997-08-05", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO"),
            [(8, 5), (8, 10), (8, 19), (8, 24)]
        );
        assert_eq!(
            given("1997-08-05", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU"),
            [(8, 5), (8, 17), (8, 19), (8, 31)]
        );
        // An invalid date is ignored and not counted.
        assert_eq!(
            given("2007-01-15", "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5"),
            [(1, 15), (1, 30), (2, 15), (3, 15), (3, 30)]
        );
    }

    #[test]
    fn exceptions_are_taken_from_what_is_counted() {
        let thursday = span("2027-03-04 12", "2027-03-05 00");
        let except = [NaiveDate::from_ymd_opt(2027, 3, 18).unwrap()];
        let spans = occurrences("FREQ=WEEKLY;INTERVAL=2;COUNT=3", &thursday, &except).unwrap();
        assert_eq!(spans, [thursday, span("2027-04-01 12", "2027-04-02 00")]);
    }

    #[test]
    fn a_rule_that_begins_elsewhere_begins_with_the_first_date_that_fits() {
        assert_eq!(given("2027-03-01", "FREQ=WEEKLY;COUNT=2;BYDAY=TH"), [(3, 4), (3, 11)]);
    }

    #[test]
    fn each_bad_rule_is_refused_by_name() {
        let morning = span("2027-03-04 00", "2027-03-04 12");
        let week = span("2027-03-04 00", "2027-03-12 00");
        for (rule, first, error) in [
            ("every Thursday", &morning, RecurrenceError::Unreadable),
            ("", &morning, RecurrenceError::Unreadable),
            ("FREQ=WEEKLY;COUNT=2\nEXDATE:20270304", &morning, RecurrenceError::Unreadable),
            ("FREQ=WEEKLY;COUNT=2;INTERVAL=0", &morning, RecurrenceError::Never),
            ("FREQ=HOURLY;COUNT=2", &morning, RecurrenceError::FinerThanDays),
            ("FREQ=DAILY;COUNT=2;BYHOUR=9,10", &morning, RecurrenceError::FinerThanDays),
            ("FREQ=WEEKLY", &morning, RecurrenceError::Endless),
            ("FREQ=DAILY;COUNT=61", &morning, RecurrenceError::TooMany),
            ("FREQ=DAILY;UNTIL=20990101", &morning, RecurrenceError::TooMany),
            ("FREQ=WEEKLY;UNTIL=20270303", &morning, RecurrenceError::Unreadable),
            ("FREQ=YEARLY;COUNT=2;BYMONTH=2;BYMONTHDAY=30", &morning, RecurrenceError::Never),
            ("FREQ=WEEKLY;COUNT=2", &week, RecurrenceError::Overlapping),
        ] {
            assert_eq!(occurrences(rule, first, &[]), Err(error), "{rule}");
        }
        let all = [NaiveDate::from_ymd_opt(2027, 3, 4).unwrap()];
        assert_eq!(occurrences("FREQ=WEEKLY;COUNT=1", &morning, &all), Err(RecurrenceError::Never));
    }

    #[test]
    fn the_clock_change_moves_no_half_day() {
        // h014: the clocks go forward on 28 March 2027.
        let spans = occurrences("FREQ=WEEKLY;COUNT=3", &span("2027-03-21 12", "2027-03-22 00"), &[]).unwrap();
        assert_eq!(spans[1], span("2027-03-28 12", "2027-03-29 00"));
        assert_eq!(spans[2], span("2027-04-04 12", "2027-04-05 00"));
    }

    proptest! {
        #[test]
        fn weeks_apart_are_weeks_apart(start in 0i64..9000, length in 1i64..13, every in 1u16..5, count in 1usize..=60) {
            let first = span("2025-01-01 00", "2025-01-01 12");
            let first = HalfDaySpan::of_half_days(first.start() + start, first.start() + start + length).unwrap();
            let spans = occurrences(&format!("FREQ=WEEKLY;INTERVAL={every};COUNT={count}"), &first, &[]).unwrap();
            prop_assert_eq!(spans.len(), count);
            for (number, span) in spans.iter().enumerate() {
                let weeks = i64::from(every) * i64::try_from(number).unwrap();
                prop_assert_eq!(Ok(*span), first.shifted_by_half_days(14 * weeks));
            }
        }

        #[test]
        fn no_text_makes_it_panic(rule in "[A-Z0-9=;,+-]{0,60}") {
            let _ = occurrences(&rule, &span("2027-03-04 00", "2027-03-04 12"), &[]);
        }
    }
}
