//! Bookings as an iCalendar text (RFC 5545), for the calendars of phones. Knows no database.

use chrono::TimeDelta;
use chrono_tz::Tz;
use icalendar::{Calendar, Component, Event, EventLike, EventStatus, Property};

use super::booking::BookingState;
use super::store::{Named, Row};
use crate::time::{instant, span_words};

/// Who writes the calendar (RFC 5545 §3.7.3).
const PRODUCT: &str = "-//Turfring//Bookings//EN";

/// How often a phone should look again.
const LOOK_AGAIN: TimeDelta = TimeDelta::hours(1);

/// The longest line, in octets without its break (RFC 5545 §3.1).
const LONGEST_LINE: usize = 75;

/// Writes a calendar of bookings. Half-days of the zone become instants, so that no phone has to know the zone.
pub(super) fn write(name: &str, bookings: &[Named], zone: Tz, public_url: &str) -> String {
    let mut calendar = Calendar::empty();
    for (key, value) in [("VERSION", "2.0"), ("PRODID", PRODUCT), ("CALSCALE", "GREGORIAN"), ("X-WR-CALNAME", name)] {
        calendar.append_property(Property::new(key, value));
    }
    calendar.ttl(&LOOK_AGAIN);
    for booking in bookings {
        calendar.push(event(booking, zone, public_url));
    }
    fold(&calendar.to_string())
}

fn event(booking: &Named, zone: Tz, public_url: &str) -> Event {
    let Named { row, machine, club, .. } = booking;
    let span = row.span.0;
    let (status, words) = standing(row);
    Event::with_uid(&row.id.to_string())
        .summary(&format!("{machine} — {club}"))
        .description(&format!("{}. {words}", span_words(span.from(), span.until())))
        .starts(instant(zone, span.from()))
        .ends(instant(zone, span.until()))
        .status(status)
        .url(&format!("{public_url}/bookings/{}", row.id))
        // Versions count from 1, sequence numbers from 0 (RFC 5545 §3.8.7.4).
        .sequence(u32::try_from(row.version - 1).unwrap_or_default())
        // In a calendar that is no message both say when the booking last changed (RFC 5545 §3.8.7.2).
        .timestamp(row.changed_at)
        .last_modified(row.changed_at)
        .done()
}

fn standing(row: &Row) -> (EventStatus, &'static str) {
    match row.state {
        BookingState::Offered => (EventStatus::Tentative, "Offered to the club; it must be taken in time."),
        BookingState::Lapsed => (EventStatus::Cancelled, "The offer was not taken in time."),
        BookingState::Asked => (EventStatus::Tentative, "Waits for the coordinator."),
        BookingState::Agreed => (EventStatus::Confirmed, "Booked."),
        BookingState::Refused => (EventStatus::Cancelled, "The coordinator refused it."),
        BookingState::Cancelled => (EventStatus::Cancelled, "Cancelled."),
    }
}

/// Folds lines anew, at the end of a character (RFC 5545 §3.1): the library lets some last pieces grow to 76 octets.
fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for line in text.replace("\r\n ", "").split_terminator("\r\n") {
        let mut octets = 0;
        for character in line.chars() {
            if octets + character.len_utf8() > LONGEST_LINE {
                folded.push_str("\r\n ");
                octets = 1;
            }
            folded.push(character);
            octets += character.len_utf8();
        }
        folded.push_str("\r\n");
    }
    folded
}

/// How long a booking that was let go is still shown as cancelled.
pub(super) const SHOWS_CANCELLED: TimeDelta = TimeDelta::days(30);

/// How far back a calendar reaches.
pub(super) const REACHES_BACK: TimeDelta = TimeDelta::days(366);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_longer_than_75_octets_and_no_character_is_cut() {
        for length in 60..240 {
            for character in ["a", "ü", "—", "🏉"] {
                let line = format!("SUMMARY:{}", character.repeat(length));
                let folded = fold(&format!("{line}\r\nEND:VCALENDAR\r\n"));
                assert!(folded.split("\r\n").all(|line| line.len() <= LONGEST_LINE), "{folded}");
                assert_eq!(folded.replace("\r\n ", ""), format!("{line}\r\nEND:VCALENDAR\r\n"));
            }
        }
    }
}
