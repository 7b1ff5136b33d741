//! The mails of swaps. Each speaks to one of the two clubs: `own` is that club's booking, `other` the other's.

use super::super::booking::Booking;
use super::super::letters::{CAUTION, words};
use crate::figures::pounds;
use crate::mail::Letter;

/// What happened to a proposal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum News {
    /// It was made, and waits for whoever reads this.
    Proposed,
    /// The bookings have changed places.
    Accepted,
    /// The other club did not want it.
    Declined,
}

/// Tells one of the two clubs of a swap.
pub(super) fn letter(to: &str, own: &Booking, other: &Booking, note: &str, news: News, public_url: &str) -> Letter {
    let (club, them) = (&own.club_name, &other.club_name);
    let (ours, theirs) = (place(own), place(other));
    let said = if note.is_empty() || news != News::Proposed { String::new() } else { format!("\nThey say:\n{note}\n") };
    let (subject, text) = match news {
        News::Proposed => (
            format!("{them} proposes a swap: {}", own.machine_name),
            format!(
                "{them} would swap with you.\n\nYou give: {ours}\nYou get: {theirs}\n{said}\nIt happens only if you \
                 accept. Accept or decline here:"
            ),
        ),
        News::Accepted => (
            format!("Swapped: {}, {}", own.machine_name, words(own.span)),
            format!(
                "{club} and {them} have swapped.\n\nYou have: {ours}\nCharge: {}\n{them} has: {theirs}\n\n{CAUTION}The \
                 booking:",
                pounds(own.charge_pence)
            ),
        ),
        News::Declined => (
            format!("No swap: {}", own.machine_name),
            format!("{them} keeps {theirs}, and you keep {ours}.\n\nThe booking:"),
        ),
    };
    Letter { to: to.to_owned(), subject, text: format!("Hello,\n\n{text}\n{public_url}/bookings/{}\n", own.booking_id) }
}

fn place(booking: &Booking) -> String {
    format!("{}, {}", booking.machine_name, words(booking.span))
}
