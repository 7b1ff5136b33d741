//! What becomes of a booking whose machine went out of service.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use serde::Deserialize;
use utoipa::ToSchema;

use super::letters;
use super::store_faults as store;
use super::words::Decision;
use crate::access::{Act, Member, Role, addresses};
use crate::bookings::{self, Booking, CreateBooking};
use crate::database::Tx;
use crate::error::{Code, Result, invalid, refuse};
use crate::ids::{BookingId, MachineId, NetworkId};
use crate::machines::{Span, Terms};
use crate::mail;
use crate::text::note_parse;
use crate::time::span_words;
use crate::wire::IfMatch;

/// The coordinator's decision about a booking.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub struct DecideBooking {
    /// What becomes of it.
    pub decision: Decision,
    /// To which time it moves; only for `move`.
    #[serde(default)]
    pub span: Option<Span>,
    /// Which machine is booked in its place; only for `other_machine`.
    #[serde(default)]
    pub machine_id: Option<MachineId>,
    /// For the club.
    #[serde(default)]
    pub note: String,
}

/// Decides about a booking that waits for it, in one go: moving, booking another machine and cancelling follow their own
/// rules and are mailed as ever. Gives the booking that stands now.
///
/// # Errors
/// `not_found`, `not_your_role`, `nothing_to_decide`, `invalid`; whatever moving, booking or cancelling refuses.
pub async fn decide(
    tx: &mut Tx,
    member: &Member,
    id: BookingId,
    wish: DecideBooking,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Booking> {
    member.require(Act::AnswerBooking, None)?;
    let note = note_parse("note", &wish.note)?;
    let before = bookings::load(tx, member, id).await?;
    hold(tx, member.network_id, before.machine_id, wish.machine_id).await?;
    if !store::decide(tx, member, id, wish.decision, &note, now).await? {
        return Err(refuse(Code::NothingToDecide, "It was decided, or the fault was cleared meanwhile.").into());
    }
    match wish.decision {
        Decision::Keep => {
            tell_kept(tx, member, &before, &note, public_url, now).await?;
            Ok(before)
        }
        Decision::Move => {
            let to = wish.span.ok_or_else(|| invalid("span", "Say to which time it moves."))?;
            bookings::move_booking(tx, member, id, IfMatch(before.version), to, public_url, now).await
        }
        Decision::Cancel => bookings::cancel(tx, member, id, public_url, now).await,
        Decision::OtherMachine => {
            let machine_id = wish.machine_id.ok_or_else(|| invalid("machine_id", "Choose the other machine."))?;
            let pitch_ids = before.pitches.iter().map(|pitch| pitch.pitch_id).collect();
            let Booking { club_id, span, note, .. } = before;
            let other = CreateBooking { machine_id, club_id, span, pitch_ids, note };
            let booked = bookings::book(tx, member, other, public_url, now).await?;
            bookings::cancel(tx, member, id, public_url, now).await?;
            Ok(booked)
        }
        Decision::FaultCleared => {
            Err(invalid("decision", "That follows from clearing the fault; choose another.").into())
        }
    }
}

/// Holds the machine, so that decisions about it come one after another and the clearing of its fault among them; and the
/// other one, in the order of their ids, so that two decisions at once never wait for each other.
async fn hold(tx: &mut Tx, network: NetworkId, machine: MachineId, other: Option<MachineId>) -> Result<()> {
    let machines: BTreeSet<MachineId> = std::iter::once(machine).chain(other).collect();
    for machine in machines {
        Terms::hold(tx, network, machine).await?;
    }
    Ok(())
}

async fn tell_kept(
    tx: &mut Tx,
    member: &Member,
    booking: &Booking,
    note: &str,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    let when = span_words(booking.span.from, booking.span.until);
    for to in addresses(tx, network, Some(booking.club_id), &[Role::GroundsLead]).await? {
        let letter = letters::kept(&to, &booking.machine_name, booking.booking_id, &when, note, public_url);
        mail::post(tx, Some(network), letter, now).await?;
    }
    Ok(())
}
