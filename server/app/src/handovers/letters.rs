//! The mails of this slice.

use chrono::NaiveDateTime;

use super::faults::NewFault;
use super::store_faults::Behind;
use super::words::{ServiceStanding, Severity};
use crate::ids::{BookingId, MachineId};
use crate::machines::Terms;
use crate::mail::Letter;
use crate::time::span_words;

/// Common practice; the maker's manual goes further.
const CAUTION: &str = "Nobody uses it until then. Engine stopped and key out before hands go near it; the maker's manual \
     comes first.\n\n";

/// To those who look after a machine: it has a fault, and what that means for the bookings behind it.
pub(super) fn told(to: &str, terms: &Terms, fault: &NewFault, behind: &[Behind], public_url: &str) -> Letter {
    let machine = &terms.facts.name;
    let (headline, means) = match fault.severity {
        Severity::Usable => ("Fault", "It can still be used.\n\n".to_owned()),
        Severity::OutOfService => {
            let bookings: String =
                behind.iter().map(|one| format!("- {}: {}\n", one.club, span_words(one.from, one.until))).collect();
            let bookings = match behind {
                [] => "No booking lies behind it.\n\n".to_owned(),
                _ => format!("These bookings need a decision by the coordinator:\n{bookings}\n"),
            };
            ("Out of service", format!("{CAUTION}{bookings}"))
        }
    };
    let link = format!("{public_url}/machines/{}/care", terms.machine_id);
    Letter {
        to: to.to_owned(),
        subject: format!("{headline}: {machine}"),
        text: format!("Hello,\n\n{machine} has a fault:\n\n{}\n\n{means}The machine:\n{link}\n", fault.what),
    }
}

/// To a club: the machine it booked is out of service.
pub(super) fn waits(to: &str, machine: &str, booking: &Behind, what: &str, public_url: &str) -> Letter {
    let when = span_words(booking.from, booking.until);
    Letter {
        to: to.to_owned(),
        subject: format!("Out of service: {machine}, {when}"),
        text: format!(
            "Hello,\n\n{machine}, which {} has booked for {when}, is out of service:\n\n{what}\n\nThe booking keeps its \
             place until the coordinator decides whether it stays, moves, or goes to another machine. You need not do \
             anything now.\n\nThe booking:\n{public_url}/bookings/{}\n",
            booking.club, booking.id
        ),
    }
}

/// To a club: the machine it booked serves again.
pub(super) fn serves_again(
    to: &str,
    machine: &str,
    (id, from, until): (BookingId, NaiveDateTime, NaiveDateTime),
    note: &str,
    public_url: &str,
) -> Letter {
    let when = span_words(from, until);
    Letter {
        to: to.to_owned(),
        subject: format!("In service again: {machine}, {when}"),
        text: format!(
            "Hello,\n\n{machine} is in service again:\n\n{note}\n\nYour booking for {when} stands as it did.\n\nThe \
             booking:\n{public_url}/bookings/{id}\n"
        ),
    }
}

/// To a club: the coordinator keeps its booking although the machine is out of service.
pub(super) fn kept(to: &str, machine: &str, booking: BookingId, when: &str, note: &str, public_url: &str) -> Letter {
    let note = if note.is_empty() { String::new() } else { format!(" The coordinator says:\n\n{note}") };
    Letter {
        to: to.to_owned(),
        subject: format!("It stays: {machine}, {when}"),
        text: format!(
            "Hello,\n\n{machine} is out of service, but your booking for {when} stays: it is to be mended by then.{note}\
             \n\nThe booking:\n{public_url}/bookings/{booking}\n"
        ),
    }
}

/// To those who look after a machine: a service is due.
pub(super) fn service(
    to: &str,
    (machine, id): (&str, MachineId),
    what: &str,
    standing: ServiceStanding,
    reason: &str,
    public_url: &str,
) -> Letter {
    let headline = match standing {
        ServiceStanding::Fine | ServiceStanding::Due => "Service due",
        ServiceStanding::Overdue => "Service overdue",
    };
    Letter {
        to: to.to_owned(),
        subject: format!("{headline}: {machine}, {what}"),
        text: format!(
            "Hello,\n\n{machine}: {what}. {reason}\n\nEngine stopped, key out and everything lowered before you begin; \
             the maker's manual comes first.\n\nEnter it when it is done:\n{public_url}/machines/{id}/care\n"
        ),
    }
}
