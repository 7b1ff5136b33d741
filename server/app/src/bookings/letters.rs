//! The mails of this slice: one shape, filled with what happened.

use super::booking::{Booking, BookingState};
use crate::figures::pounds;
use crate::machines::Span;
use crate::mail::Letter;
use crate::time::span_words;

/// What happened to a booking.
#[derive(Debug, Clone, Copy)]
pub(super) enum News<'a> {
    /// It was made.
    Made,
    /// It was moved from here.
    Moved(Span),
    /// The club gave it up.
    Cancelled,
    /// The coordinator agreed.
    Agreed,
    /// The coordinator refused, for this reason.
    Refused(&'a str),
    /// It waits for the answer of the one who reads this.
    ToAnswer,
}

/// What everybody forgets once. (Common practice; the maker's manual goes further.)
pub(super) const CAUTION: &str = "Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may \
     tow and the local rules. The maker's manual comes first.\n\n";

/// Tells of a booking.
pub(super) fn letter(to: &str, booking: &Booking, news: News<'_>, public_url: &str) -> Letter {
    let (machine, club) = (&booking.machine_name, &booking.club_name);
    let when = words(booking.span);
    let charge = format!("Charge: {}\n", pounds(booking.charge_pence));
    let (charge, caution, invitation) = match news {
        News::Made | News::Moved(_) | News::Agreed => (charge.as_str(), CAUTION, "The booking:"),
        News::Cancelled | News::Refused(_) => ("", "", "The booking:"),
        News::ToAnswer => (charge.as_str(), "", "Agree or refuse here:"),
    };
    let link = format!("{public_url}/bookings/{}", booking.booking_id);
    Letter {
        to: to.to_owned(),
        subject: format!("{}: {machine}, {when}", headline(booking, news)),
        text: format!(
            "Hello,\n\n{}\n\nWhen: {when}\nClub: {club}\n{charge}\n{caution}{invitation}\n{link}\n",
            sentence(booking, news)
        ),
    }
}

fn headline(booking: &Booking, news: News<'_>) -> &'static str {
    match news {
        News::Made if booking.state == BookingState::Asked => "Asked for",
        News::Made => "Booked",
        News::Moved(_) => "Moved",
        News::Cancelled => "Cancelled",
        News::Agreed => "Agreed",
        News::Refused(_) => "Refused",
        News::ToAnswer => "Please answer",
    }
}

fn sentence(booking: &Booking, news: News<'_>) -> String {
    let (machine, club) = (&booking.machine_name, &booking.club_name);
    let asked = booking.state == BookingState::Asked;
    let waits = if asked { " The time is held for you; it stands when the coordinator agrees." } else { "" };
    match news {
        News::Made if booking.state == BookingState::Asked => format!("{club} has asked for: {machine}.{waits}"),
        News::Made => format!("{club} has booked: {machine}."),
        News::Moved(from) => {
            format!("The booking of {club} for {machine} was moved. It was {}.{waits}", words(from))
        }
        News::Cancelled => format!("The booking of {club} for {machine} was cancelled. Others can have the time now."),
        News::Agreed => format!("The coordinator agreed: {club} has {machine}."),
        News::Refused("") => format!("The coordinator refused the booking of {club} for {machine}."),
        News::Refused(why) => format!("The coordinator refused the booking of {club} for {machine}, saying:\n\n{why}"),
        News::ToAnswer => format!("{club} asks for: {machine}. The time is held until you answer."),
    }
}

pub(super) fn words(span: Span) -> String {
    span_words(span.from, span.until)
}
