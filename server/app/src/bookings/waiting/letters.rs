//! The mails of the waiting list.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::super::letters::words;
use super::super::store::Named;
use crate::figures::pounds;
use crate::mail::Letter;
use crate::time::instant_words;

/// Tells that a place came free and is held.
pub(super) fn offered(to: &str, offer: &Named, until: DateTime<Utc>, zone: Tz, public_url: &str) -> Letter {
    let Named { row, machine, club, .. } = offer;
    let (when, until) = (words(row.span.0.into()), instant_words(zone, until));
    Letter {
        to: to.to_owned(),
        subject: format!("Free for you until {until}: {machine}, {when}"),
        text: format!(
            "Hello,\n\n{machine} has come free, and {club} is first in line. It is held for you until {until}; after \
             that the next in line is asked.\n\nWhen: {when}\nClub: {club}\nCharge: {}\n\nTake it, or leave it to the \
             next:\n{public_url}/bookings/{}\n",
            pounds(row.charge_pence),
            row.id
        ),
    }
}

/// Tells that an offer is taken back because the machine went out of service.
pub(super) fn taken_back(to: &str, offer: &Named, public_url: &str) -> Letter {
    let Named { row, machine, club, .. } = offer;
    let when = words(row.span.0.into());
    Letter {
        to: to.to_owned(),
        subject: format!("Out of service: {machine}, {when}"),
        text: format!(
            "Hello,\n\n{machine} was held for {club} and is out of service now. {club} keeps its place on the waiting \
             list, and is offered the time again when the machine serves again. You need not do anything.\n\nWhen: \
             {when}\n\nThe machine:\n{public_url}/machines/{}\n",
            row.machine_id
        ),
    }
}

/// Tells that an offer was not taken in time.
pub(super) fn lapsed(to: &str, offer: &Named, public_url: &str) -> Letter {
    let Named { row, machine, club, .. } = offer;
    let when = words(row.span.0.into());
    Letter {
        to: to.to_owned(),
        subject: format!("No longer held: {machine}, {when}"),
        text: format!(
            "Hello,\n\n{machine} was held for {club}, and nobody took it in time. Your club is no longer on the list for \
             it.\n\nWhen: {when}\n\nIf you still want it, book it or join the list again:\n{public_url}/machines/{}\n",
            row.machine_id
        ),
    }
}
