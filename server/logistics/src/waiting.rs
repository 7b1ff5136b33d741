//! How long the first in line has to take a place that came free.
//!
//! Promises that an offer leaves time for the next in line, and that nobody has less than an hour. Does not know who
//! waits, for what, or the clock.
//!
//! # Source
//! [HOUSE](crate::sources): a day is long enough for a volunteer who works, and halving what is left lets several in
//! line be asked before the machine stands idle.

use chrono::{DateTime, TimeDelta, Utc};

/// The longest an offer holds.
pub const LONGEST_OFFER: TimeDelta = TimeDelta::hours(24);

/// The shortest an offer holds, even where the time has begun.
pub const SHORTEST_OFFER: TimeDelta = TimeDelta::hours(1);

/// Until when a place that begins at an instant is offered: a day, or half of what is left until it begins where that
/// is less, but never less than an hour.
///
/// # Example
/// ```
/// use logistics::waiting::offered_until;
/// let at = |text: &str| text.parse().unwrap();
/// let until = offered_until(at("2027-05-03T08:00:00Z"), at("2027-05-03T23:00:00Z"));
/// assert_eq!(until.to_rfc3339(), "2027-05-03T15:30:00+00:00");
/// ```
#[must_use]
pub fn offered_until(now: DateTime<Utc>, begins_at: DateTime<Utc>) -> DateTime<Utc> {
    now + ((begins_at - now) / 2).clamp(SHORTEST_OFFER, LONGEST_OFFER)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offer_holds_a_day_or_half_of_what_is_left_but_never_less_than_an_hour() {
        let now: DateTime<Utc> = "2027-05-03T08:00:00Z".parse().unwrap();
        // In minutes: until it begins, and until the offer ends.
        for (begins_in, holds) in [(1440, 720), (48, 60), (0, 60), (-300, 60), (180, 90), (2880, 1440), (60_000, 1440)]
        {
            let minutes = TimeDelta::minutes;
            assert_eq!(offered_until(now, now + minutes(begins_in)) - now, minutes(holds), "begins in {begins_in} min");
        }
    }
}
