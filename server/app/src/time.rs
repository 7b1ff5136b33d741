//! Local time of a network: which day it is there, and how a half-day reads. Instants stay UTC everywhere else.

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeZone, Timelike, Utc};
use chrono_tz::Tz;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::{Refused, Result, invalid};
use crate::ids::NetworkId;
use crate::schema::networks;

/// Reads an IANA time zone name.
///
/// # Errors
/// `invalid` for an unknown name.
pub fn zone_parse(name: &str) -> Result<Tz, Refused> {
    name.parse().map_err(|_| invalid("time_zone", "This is no IANA time zone, such as Europe/London."))
}

/// The time zone of a network. Scope: that network.
///
/// # Errors
/// A failing database.
pub async fn zone_of(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Tz> {
    let name: String = networks::table.find(network).select(networks::time_zone).first(tx).await?;
    Ok(zone_parse(&name)?)
}

/// Wall time there.
#[must_use]
pub fn local(zone: Tz, at: DateTime<Utc>) -> NaiveDateTime {
    zone.from_utc_datetime(&at.naive_utc()).naive_local()
}

/// The date there.
#[must_use]
pub fn today(zone: Tz, at: DateTime<Utc>) -> NaiveDate {
    local(zone, at).date()
}

/// The instant of a wall time there; of one that occurs twice the first, of one that is skipped the next that exists.
#[must_use]
pub fn instant(zone: Tz, wall: NaiveDateTime) -> DateTime<Utc> {
    let mut wall = wall;
    // Zones skip at most a few hours; the loop ends because every day has an existing hour.
    loop {
        if let Some(at) = zone.from_local_datetime(&wall).earliest() {
            return at.with_timezone(&Utc);
        }
        wall += chrono::TimeDelta::minutes(15);
    }
}

/// "Tue 4 May".
#[must_use]
pub fn day_words(day: NaiveDate) -> String {
    day.format("%a %-d %b").to_string()
}

/// "Tue 4 May, morning" for the half-day that begins at `at`.
#[must_use]
pub fn half_day_words(at: NaiveDateTime) -> String {
    let half = if at.hour() < 12 { "morning" } else { "afternoon" };
    format!("{}, {half}", day_words(at.date()))
}

/// "Tue 4 May, morning" or "Tue 4 May, morning, to Wed 5 May, afternoon" for a half-open span of half-days.
#[must_use]
pub fn span_words(from: NaiveDateTime, until: NaiveDateTime) -> String {
    let last = until - chrono::TimeDelta::hours(12);
    if last <= from {
        return half_day_words(from);
    }
    if from.date() == last.date() {
        return format!("{}, all day", day_words(from.date()));
    }
    format!("{} to {}", half_day_words(from), half_day_words(last))
}

/// "Thu 10 Dec, 20:00" there.
#[must_use]
pub fn instant_words(zone: Tz, at: DateTime<Utc>) -> String {
    local(zone, at).format("%a %-d %b, %H:%M").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_changes_move_the_instant_not_the_wall_time() {
        // Europe/London goes forward on 28 March 2027 at 01:00Z (IANA tz database; reference row h014).
        let zone = zone_parse("Europe/London").unwrap();
        let wall = |day, hour| NaiveDate::from_ymd_opt(2027, 3, day).unwrap().and_hms_opt(hour, 30, 0).unwrap();
        assert_eq!(instant(zone, wall(27, 9)).to_rfc3339(), "2027-03-27T09:30:00+00:00");
        assert_eq!(instant(zone, wall(28, 9)).to_rfc3339(), "2027-03-28T08:30:00+00:00");
        // 01:30 does not exist that day: the next wall time that does is 02:00.
        assert_eq!(instant(zone, wall(28, 1)).to_rfc3339(), "2027-03-28T01:00:00+00:00");
    }

    #[test]
    fn spans_read_as_people_say_them() {
        let at = |day, hour| NaiveDate::from_ymd_opt(2027, 5, day).unwrap().and_hms_opt(hour, 0, 0).unwrap();
        assert_eq!(span_words(at(4, 0), at(4, 12)), "Tue 4 May, morning");
        assert_eq!(span_words(at(4, 0), at(5, 0)), "Tue 4 May, all day");
        assert_eq!(span_words(at(4, 12), at(5, 12)), "Tue 4 May, afternoon to Wed 5 May, morning");
    }
}
