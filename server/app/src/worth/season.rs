//! A season: from 1 July to 30 June, named by the year it begins in.

use chrono::{Datelike, NaiveDate, NaiveTime, TimeDelta};
use logistics::half_days::HalfDaySpan;

use crate::error::{Refused, invalid};

/// The month in which a season begins: the pitches are renovated, play has not begun.
const FIRST_MONTH: u32 = 7;

/// The half-days of the season that began in a year.
///
/// # Errors
/// `invalid` for a year nobody plans for.
pub(super) fn season(year: i32) -> Result<HalfDaySpan, Refused> {
    let absurd = || invalid("season", "Seasons begin between 2000 and 2098.");
    if !(2000..=2098).contains(&year) {
        return Err(absurd());
    }
    let first = |year| NaiveDate::from_ymd_opt(year, FIRST_MONTH, 1).map(|day| day.and_time(NaiveTime::MIN));
    let (from, until) = first(year).zip(first(year + 1)).ok_or_else(absurd)?;
    HalfDaySpan::parse(from, until).map_err(|_| absurd())
}

/// The season in which a date lies.
pub(super) fn season_of(date: NaiveDate) -> i32 {
    if date.month() < FIRST_MONTH { date.year() - 1 } else { date.year() }
}

/// How many days of these spans lie in the season, each counted once, in part as much as in whole.
pub(super) fn days_within(season: HalfDaySpan, spans: &[HalfDaySpan]) -> i64 {
    let last = season.until() - TimeDelta::hours(12);
    let days = spans.iter().flat_map(HalfDaySpan::days).map(|part| part.date);
    let inside = days.filter(|date| (season.from().date()..=last.date()).contains(date));
    i64::try_from(inside.collect::<std::collections::BTreeSet<_>>().len()).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, month, day).unwrap()
    }

    #[test]
    fn june_belongs_to_the_season_before_and_july_begins_one() {
        assert_eq!((season_of(day(6, 30)), season_of(day(7, 1))), (2026, 2027));
        assert!(season(1999).is_err() && season(2099).is_err());
    }

    #[test]
    fn a_day_counts_once_and_only_within_the_season() {
        let noon = |date: NaiveDate| date.and_hms_opt(12, 0, 0).unwrap();
        let over_the_end = HalfDaySpan::parse(noon(day(6, 29)), noon(day(7, 2))).unwrap();
        let again = HalfDaySpan::parse(noon(day(6, 30)), noon(day(7, 1))).unwrap();
        assert_eq!(days_within(season(2026).unwrap(), &[over_the_end, again]), 2);
        assert_eq!(days_within(season(2027).unwrap(), &[over_the_end]), 2);
    }
}
