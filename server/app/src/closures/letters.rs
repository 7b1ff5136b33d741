//! The mails of this slice.

use super::view::{BookingOnClosedDays, Closure};
use crate::mail::Letter;
use crate::time::span_words;

/// What happened to a ground.
#[derive(Debug, Clone, Copy)]
pub(super) enum News {
    /// It was closed.
    Closed,
    /// It was opened before its time.
    OpenAgain,
}

/// Tells of a closed ground.
pub(super) fn about(to: &str, closure: &Closure, news: News, public_url: &str) -> Letter {
    let when = span_words(closure.span.from, closure.span.until);
    let (ground, club) = (&closure.ground_name, &closure.club_name);
    let (headline, text) = match news {
        News::Closed => ("Closed", closed(closure, &when)),
        News::OpenAgain => ("Open again", format!("{ground} of {club} is open again. It had been closed: {when}.\n")),
    };
    Letter {
        to: to.to_owned(),
        subject: format!("{headline}: {ground} of {club}, {when}"),
        text: format!("Hello,\n\n{text}\nThe ground:\n{public_url}/grounds/{}/close\n", closure.ground_id),
    }
}

fn closed(closure: &Closure, when: &str) -> String {
    let (ground, club) = (&closure.ground_name, &closure.club_name);
    format!(
        "{ground} of {club} is closed: {when}. No machine goes onto it then.\n\nWhy: {}\n\n{}",
        closure.reason,
        lying_on_it(&closure.bookings)
    )
}

fn lying_on_it(bookings: &[BookingOnClosedDays]) -> String {
    if bookings.is_empty() {
        return "No booking lies on these days.\n".to_owned();
    }
    let lines: String = bookings.iter().map(line).collect();
    format!(
        "These bookings lie on closed days:\n{lines}\nA booking of a round moves when the coordinator plans the round \
         again. Any other the club moves or cancels.\n"
    )
}

fn line(booking: &BookingOnClosedDays) -> String {
    let when = span_words(booking.span.from, booking.span.until);
    match &booking.round_title {
        Some(round) => format!("- {}, {when}, in the round “{round}”\n", booking.machine_name),
        None => format!("- {}, {when}\n", booking.machine_name),
    }
}
