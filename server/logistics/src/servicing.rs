//! When a machine's service is due: after so many hours, after so many months, or whichever comes first.
//!
//! Knows nothing of what is done, nor of the maker's advice: the interval is given.

use chrono::{Months, NaiveDate, TimeDelta};

/// How long before its date a service counts as due, so that there is time to plan it.
pub const DAYS_BEFORE: TimeDelta = TimeDelta::days(14);
/// Which part of the hours before its reading a service counts as due: a tenth.
const PART_BEFORE: i64 = 10;

/// How often a service comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    /// Hours run between two; none: hours do not count.
    pub every_hours: Option<u16>,
    /// Months between two; none: dates do not count.
    pub every_months: Option<u16>,
}

/// What is counted from: the last time it was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Since {
    /// The date.
    pub on: NaiveDate,
    /// The hour meter then, in tenths of an hour.
    pub tenth_hours: i32,
}

/// How a service stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// There is time.
    Fine,
    /// Within two weeks of its date, or the last tenth of its hours.
    Due,
    /// Past its date or its hours.
    Overdue,
}

/// A service, reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reckoned {
    /// How it stands.
    pub standing: Standing,
    /// Tenths of an hour left; negative when past. None where hours do not count or no meter was read.
    pub tenth_hours_left: Option<i64>,
    /// By which date; none where dates do not count.
    pub due_on: Option<NaiveDate>,
}

/// Reckons how a service stands: whichever of hours and date is worse.
///
/// # Example
/// ```
/// use chrono::NaiveDate;
/// use logistics::servicing::{Interval, Since, Standing, reckon};
///
/// let on = NaiveDate::from_ymd_opt(2027, 1, 31).unwrap();
/// let every_month = Interval { every_hours: None, every_months: Some(1) };
/// // February has no 31st: its last day counts.
/// let reckoned = reckon(every_month, Since { on, tenth_hours: 0 }, None, on);
/// assert_eq!(reckoned.due_on, NaiveDate::from_ymd_opt(2027, 2, 28));
/// assert_eq!(reckoned.standing, Standing::Fine);
/// ```
#[must_use]
pub fn reckon(interval: Interval, since: Since, meter_tenth_hours: Option<i32>, today: NaiveDate) -> Reckoned {
    let (by_hours, tenth_hours_left) = by_hours(interval, since, meter_tenth_hours);
    let due_on = interval.every_months.and_then(|months| since.on.checked_add_months(Months::new(months.into())));
    let by_date = match due_on {
        Some(due_on) if today > due_on => Standing::Overdue,
        Some(due_on) if due_on - today <= DAYS_BEFORE => Standing::Due,
        _ => Standing::Fine,
    };
    Reckoned { standing: by_hours.max(by_date), tenth_hours_left, due_on }
}

fn by_hours(interval: Interval, since: Since, meter_tenth_hours: Option<i32>) -> (Standing, Option<i64>) {
    let (Some(every), Some(meter)) = (interval.every_hours, meter_tenth_hours) else { return (Standing::Fine, None) };
    let whole = i64::from(every) * 10;
    let left = whole - (i64::from(meter) - i64::from(since.tenth_hours));
    let standing = match left {
        left if left < 0 => Standing::Overdue,
        left if left * PART_BEFORE <= whole => Standing::Due,
        _ => Standing::Fine,
    };
    (standing, Some(left))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    #[test]
    fn hours_count_from_the_last_time() {
        let every = Interval { every_hours: Some(50), every_months: None };
        let since = Since { on: day(2027, 1, 1), tenth_hours: 1200 };
        let at = |meter| reckon(every, since, Some(meter), day(2029, 1, 1));
        assert_eq!(at(1200), Reckoned { standing: Standing::Fine, tenth_hours_left: Some(500), due_on: None });
        assert_eq!(
            [1649, 1650, 1700, 1701].map(|meter| at(meter).standing),
            [Standing::Fine, Standing::Due, Standing::Due, Standing::Overdue,]
        );
        assert_eq!(reckon(every, since, None, day(2029, 1, 1)).standing, Standing::Fine, "nothing was read");
    }

    /// Python's dateutil, `date(2024, 2, 29) + relativedelta(months=12)` and the like, gave these dates.
    #[test]
    fn a_date_that_the_month_lacks_is_its_last() {
        for (on, months, due_on) in [
            (day(2024, 2, 29), 12, day(2025, 2, 28)),
            (day(2027, 1, 31), 1, day(2027, 2, 28)),
            (day(2027, 8, 31), 6, day(2028, 2, 29)),
            (day(2027, 5, 15), 3, day(2027, 8, 15)),
        ] {
            let every = Interval { every_hours: None, every_months: Some(months) };
            assert_eq!(reckon(every, Since { on, tenth_hours: 0 }, None, on).due_on, Some(due_on));
        }
    }

    #[test]
    fn whichever_comes_first_decides() {
        let every = Interval { every_hours: Some(100), every_months: Some(12) };
        let since = Since { on: day(2027, 3, 1), tenth_hours: 0 };
        let at = |meter, today| reckon(every, since, Some(meter), today).standing;
        assert_eq!(at(0, day(2028, 2, 15)), Standing::Fine);
        assert_eq!(at(0, day(2028, 2, 16)), Standing::Due);
        assert_eq!(at(0, day(2028, 3, 2)), Standing::Overdue);
        assert_eq!(at(950, day(2027, 3, 2)), Standing::Due);
        assert_eq!(at(1001, day(2027, 3, 2)), Standing::Overdue);
    }
}
