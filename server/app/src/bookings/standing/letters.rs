//! The mails of standing bookings: one for the whole of it, never one an occurrence.

use super::super::letters::{CAUTION, words};
use super::series::Standing;
use crate::figures::pounds;
use crate::ids::BookingId;
use crate::mail::Letter;

/// What happened to a standing booking.
#[derive(Debug, Clone, Copy)]
pub(super) enum News<'a> {
    /// It was made.
    Made,
    /// It waits for the answers of the one who reads this.
    ToAnswer,
    /// These of its bookings were given up.
    Ended(&'a [BookingId]),
}

/// Tells of a standing booking.
pub(super) fn letter(to: &str, standing: &Standing, news: News<'_>, public_url: &str) -> Letter {
    let (machine, club) = (&standing.machine_name, &standing.club_name);
    let told: Vec<_> = standing
        .bookings
        .iter()
        .filter(|booking| match news {
            News::Made | News::ToAnswer => true,
            News::Ended(ids) => ids.contains(&booking.booking_id),
        })
        .collect();
    let times = if told.len() == 1 { "once".to_owned() } else { format!("{} times", told.len()) };
    let dates: String = told.iter().map(|booking| format!("- {}\n", words(booking.span))).collect();
    let charge: i64 = told.iter().map(|booking| booking.charge_pence).sum();
    let charge = format!("\nCharge altogether: {}\n", pounds(charge));
    let (subject, sentence, charge, caution) = match news {
        News::Made => ("Booked", format!("{club} has {machine} {times}:"), charge.as_str(), CAUTION),
        News::ToAnswer => ("Please answer", format!("{club} asks for {machine} {times}:"), charge.as_str(), ""),
        News::Ended(_) => {
            ("Cancelled", format!("{club} gave {machine} back {times}. Others can have the time now."), "", "")
        }
    };
    let caution = if caution.is_empty() { String::new() } else { format!("\n{caution}") };
    Letter {
        to: to.to_owned(),
        subject: format!("{subject}: {machine}, {times}"),
        text: format!(
            "Hello,\n\n{sentence}\n\n{dates}{charge}{caution}\nThe standing booking:\n{public_url}/bookings/standing/{}\n",
            standing.standing_id
        ),
    }
}
