//! Spans of half-days as they cross our borders: [`Span`] on the wire, [`StoredSpan`] in the database. Inside, a span
//! is always a [`HalfDaySpan`], which cannot be anything but whole half-days.

use std::ops::Bound;

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use diesel::deserialize::{self, FromSql, FromSqlRow};
use diesel::expression::AsExpression;
use diesel::pg::{Pg, PgValue};
use diesel::serialize::{self, Output, ToSql};
use diesel::sql_types::Tsrange;
use logistics::half_days::{HalfDaySpan, SpanError};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::error::{Code, Refused, invalid, refuse};

/// The years in which anything can be planned; other dates are slips of the finger.
const YEARS: std::ops::RangeInclusive<i32> = 2000..=2099;

const HALF_DAY: TimeDelta = TimeDelta::hours(12);

/// Half-days in local time of the network, half-open: both ends at 00:00 or 12:00.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Span {
    /// When the first half-day begins.
    #[schema(value_type = String, example = "2027-05-04T00:00:00", pattern = r"^\d{4}-\d\d-\d\dT(00|12):00:00$")]
    #[param(value_type = String, example = "2027-05-04T00:00:00", pattern = r"^\d{4}-\d\d-\d\dT(00|12):00:00$")]
    pub from: NaiveDateTime,
    /// When the last half-day ends.
    #[schema(value_type = String, example = "2027-05-05T12:00:00", pattern = r"^\d{4}-\d\d-\d\dT(00|12):00:00$")]
    #[param(value_type = String, example = "2027-05-05T12:00:00", pattern = r"^\d{4}-\d\d-\d\dT(00|12):00:00$")]
    pub until: NaiveDateTime,
}

impl Span {
    /// Reads the span.
    ///
    /// # Errors
    /// `not_half_days`; `invalid` for an end before the beginning or a year nobody plans for.
    pub fn parse(self) -> Result<HalfDaySpan, Refused> {
        date_parse("from", self.from.date())?;
        date_parse("until", self.until.date())?;
        HalfDaySpan::parse(self.from, self.until).map_err(|error| match error {
            SpanError::NotOnHalfDay => refuse(Code::NotHalfDays, "Times begin and end at 00:00 or 12:00."),
            SpanError::EndsBeforeItBegins => invalid("until", "It must end after it begins."),
            SpanError::OutsideCalendar => invalid("until", "There is no such date."),
        })
    }
}

impl From<HalfDaySpan> for Span {
    fn from(span: HalfDaySpan) -> Self {
        Self { from: span.from(), until: span.until() }
    }
}

/// Reads a date people plan for.
///
/// # Errors
/// `invalid` for a year nobody plans for.
pub fn date_parse(field: &str, date: NaiveDate) -> Result<NaiveDate, Refused> {
    if YEARS.contains(&date.year()) { Ok(date) } else { Err(invalid(field, "Dates lie between 2000 and 2099.")) }
}

/// The beginning of the half-day that is running at a local time.
#[must_use]
pub fn half_day_of(at: NaiveDateTime) -> NaiveDateTime {
    let midnight = at.date().and_time(NaiveTime::MIN);
    if at - midnight < HALF_DAY { midnight } else { midnight + HALF_DAY }
}

/// The part of a span that lies between two half-days, if any.
#[must_use]
pub fn within(span: &HalfDaySpan, from: NaiveDateTime, until: NaiveDateTime) -> Option<HalfDaySpan> {
    HalfDaySpan::parse(span.from().max(from), span.until().min(until)).ok()
}

/// A span as `tsrange` columns keep it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, AsExpression, FromSqlRow)]
#[diesel(sql_type = Tsrange)]
pub struct StoredSpan(pub HalfDaySpan);

type Bounds = (Bound<NaiveDateTime>, Bound<NaiveDateTime>);

impl ToSql<Tsrange, Pg> for StoredSpan {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> serialize::Result {
        let bounds: Bounds = (Bound::Included(self.0.from()), Bound::Excluded(self.0.until()));
        ToSql::<Tsrange, Pg>::to_sql(&bounds, &mut out.reborrow())
    }
}

impl FromSql<Tsrange, Pg> for StoredSpan {
    fn from_sql(bytes: PgValue<'_>) -> deserialize::Result<Self> {
        match <Bounds as FromSql<Tsrange, Pg>>::from_sql(bytes)? {
            (Bound::Included(from), Bound::Excluded(until)) => Ok(Self(HalfDaySpan::parse(from, until)?)),
            bounds => Err(format!("no half-open span: {bounds:?}").into()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(day: u32, hour: u32) -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2027, 5, day).unwrap().and_hms_opt(hour, 0, 0).unwrap()
    }

    #[test]
    fn each_bad_span_is_refused_by_name() {
        let code = |from, until| Span { from, until }.parse().unwrap_err().code;
        assert_eq!(code(at(4, 6), at(5, 0)), Code::NotHalfDays);
        assert_eq!(code(at(5, 0), at(4, 0)), Code::Invalid);
        assert_eq!(code(at(5, 0), at(5, 0)), Code::Invalid);
        assert_eq!(code(NaiveDateTime::MIN, at(5, 0)), Code::Invalid);
    }

    #[test]
    fn the_running_half_day_began_at_midnight_or_noon() {
        assert_eq!(half_day_of(at(4, 11)), at(4, 0));
        assert_eq!(half_day_of(at(4, 12)), at(4, 12));
        assert_eq!(half_day_of(at(4, 23)), at(4, 12));
    }
}
