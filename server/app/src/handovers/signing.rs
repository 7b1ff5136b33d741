//! Signing a handover, for whoever calls: a handler or the demo region.
//!
//! The machine is held first, so that readings, faults and bookings of one machine come one after another.

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Version;

use super::faults::{CreateFault, NewFault, parse_faults, tell};
use super::meter::{hours, meter_parse};
use super::store::{self, Row};
use super::view::{Handover, load};
use super::words::Direction;
use crate::access::{Act, Member};
use crate::bookings::{self, Booking, BookingState};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::{BookingId, HandoverId};
use crate::jobs::{self, Job};
use crate::machines::Terms;
use crate::text::{name_parse, note_parse};

/// A phone's clock may run ahead by this much.
const CLOCKS_DIFFER: TimeDelta = TimeDelta::minutes(10);
/// What was signed without signal is sent within this time.
const SENT_WITHIN: TimeDelta = TimeDelta::days(31);

/// A handover to sign.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateHandover {
    /// A UUID of version 7 that the phone minted: sent again, it is signed once.
    pub handover_id: HandoverId,
    /// For which booking.
    pub booking_id: BookingId,
    /// Whether the club takes the machine over or gives it back.
    pub direction: Direction,
    /// The handover this one puts right; without, it is the first.
    #[serde(default)]
    pub counters: Option<HandoverId>,
    /// The hour meter, in hours with one decimal; none for a machine without.
    #[serde(default)]
    pub meter_h: Option<f64>,
    /// Why the meter stands lower than before, or was not read.
    #[serde(default)]
    pub meter_reason: String,
    /// Whether tines, blades or brushes were looked at and are sound; none for a machine without.
    #[serde(default)]
    pub tines_sound: Option<bool>,
    /// Whether guards and shaft cover were looked at and are sound.
    pub guards_sound: bool,
    /// Whether soil and grass are washed off.
    pub washed_down: bool,
    /// Free text.
    #[serde(default)]
    pub note: String,
    /// The name of who signs.
    pub signed_name: String,
    /// When, by the clock of the phone.
    pub signed_at: DateTime<Utc>,
    /// What is wrong with the machine.
    #[serde(default)]
    pub faults: Vec<CreateFault>,
}

/// Signs a handover, and tells of its faults.
///
/// # Errors
/// `not_found`, `not_your_role`; `booking_ended` for one that does not stand; `handover_signed` when it was signed or put
/// right by somebody else; `meter_runs_back` with the reading before; `date_in_future` or `invalid` for what was sent;
/// `never_edited` when its id belongs to another handover.
pub async fn sign(
    tx: &mut Tx,
    member: &Member,
    wish: CreateHandover,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Handover> {
    let network = member.network_id;
    let booking = bookings::load(tx, member, wish.booking_id).await?;
    member.require(Act::HandOver, Some(booking.club_id))?;
    let terms = Terms::hold(tx, network, booking.machine_id).await?;
    if let Some(first) = store::find(tx, network, wish.handover_id).await? {
        return again(tx, member, &wish, &first).await;
    }
    must_stand(&booking)?;
    let current = store::current(tx, network, booking.booking_id, wish.direction).await?;
    must_be_next(current.as_ref(), &wish)?;
    let before = store::last_meter(tx, network, booking.machine_id, Some(wish.signed_at), wish.counters).await?;
    let faults = parse_faults(tx, network, &wish.faults).await?;
    let row = parse(&wish, &booking, member, current.as_ref(), before, now)?;
    must_explain(&row, current.as_ref(), &faults)?;
    store::insert(tx, network, &row).await?;
    let spared = (wish.direction == Direction::In).then_some(booking.booking_id);
    for fault in faults {
        tell(tx, member, &terms, NewFault { handover: Some(row.id), spared, ..fault }, public_url, now).await?;
    }
    if store::is_serviced(tx, network, booking.machine_id).await? {
        jobs::enqueue(tx, Some(network), &Job::CheckServices { check_services: booking.machine_id }, now).await?;
    }
    load(tx, network, row.id).await
}

/// What was signed already, if it is this.
async fn again(tx: &mut Tx, member: &Member, wish: &CreateHandover, first: &Row) -> Result<Handover> {
    let same = first.signed_by == member.person_id
        && first.booking_id == wish.booking_id
        && first.direction == wish.direction
        && first.counters == wish.counters;
    if !same {
        return Err(refuse(Code::NeverEdited, "This handover is signed and stands; counter it by a new one.").into());
    }
    load(tx, member.network_id, first.id).await
}

fn must_stand(booking: &Booking) -> Result<(), Refused> {
    match booking.state {
        BookingState::Agreed => Ok(()),
        BookingState::Asked => Err(refuse(Code::BookingEnded, "It still waits for the coordinator's answer.")),
        BookingState::Offered => Err(refuse(Code::BookingEnded, "It is an offer that nobody has taken yet.")),
        BookingState::Refused | BookingState::Cancelled | BookingState::Lapsed => {
            Err(refuse(Code::BookingEnded, "The booking was let go."))
        }
    }
}

/// A first handover has none before it; a later one names the one that counts.
fn must_be_next(current: Option<&Row>, wish: &CreateHandover) -> Result<(), Refused> {
    match (current.map(|row| row.id), wish.counters) {
        (None, None) => Ok(()),
        (Some(current), Some(countered)) if current == countered => Ok(()),
        (None, Some(_)) => Err(invalid("counters", "There is no such handover of this booking.")),
        (Some(_), _) => {
            let detail = "Somebody signed it first. Look at what they entered, and correct that if need be.";
            Err(refuse(Code::HandoverSigned, detail))
        }
    }
}

fn parse(
    wish: &CreateHandover,
    booking: &Booking,
    member: &Member,
    current: Option<&Row>,
    before: Option<i32>,
    now: DateTime<Utc>,
) -> Result<Row, Refused> {
    if wish.handover_id.0.get_version() != Some(Version::SortRand) {
        return Err(invalid("handover_id", "The id of a handover is a UUID of version 7."));
    }
    if wish.signed_at > now + CLOCKS_DIFFER {
        return Err(refuse(Code::DateInFuture, "The phone's clock runs ahead: set it right.").field("signed_at"));
    }
    if wish.signed_at < now - SENT_WITHIN {
        return Err(invalid("signed_at", "A handover is sent within a month of its signing."));
    }
    let meter_reason = note_parse("meter_reason", &wish.meter_reason)?;
    Ok(Row {
        id: wish.handover_id,
        booking_id: booking.booking_id,
        machine_id: booking.machine_id,
        club_id: booking.club_id,
        direction: wish.direction,
        revision: current.map_or(1, |row| row.revision + 1),
        counters: wish.counters,
        meter_tenth_hours: meter(wish.meter_h, &meter_reason, before)?,
        previous_tenth_hours: before,
        meter_reason,
        tines_sound: wish.tines_sound,
        guards_sound: wish.guards_sound,
        washed_down: wish.washed_down,
        note: note_parse("note", &wish.note)?,
        signed_name: name_parse("signed_name", &wish.signed_name)?,
        signed_by: member.person_id,
        signed_at: wish.signed_at,
        received_at: now,
    })
}

/// An hour meter runs one way, and one that was read once is read again, unless somebody says why not.
fn meter(read_h: Option<f64>, reason: &str, before: Option<i32>) -> Result<Option<i32>, Refused> {
    let read = read_h.map(|read_h| meter_parse("meter_h", read_h)).transpose()?;
    match (read, before) {
        (Some(read), Some(before)) if read < before && reason.is_empty() => {
            let detail =
                format!("It stood at {:.1} hours before. Read it again, or say why it stands lower.", hours(before));
            Err(refuse(Code::MeterRunsBack, detail).field("meter_h").with("before_h", hours(before)))
        }
        (None, Some(_)) if reason.is_empty() => {
            Err(invalid("meter_h", "Read the hour meter, or say why it cannot be read."))
        }
        (read, _) => Ok(read),
    }
}

/// What was found wrong is said in words: with this handover, or with the one it counters, whose faults stand.
fn must_explain(row: &Row, countered: Option<&Row>, faults: &[NewFault]) -> Result<(), Refused> {
    let wrong = |row: &Row| !row.guards_sound || row.tines_sound == Some(false);
    if wrong(row) && faults.is_empty() && !countered.is_some_and(wrong) {
        return Err(invalid("faults", "Say what is wrong with the guards or tines."));
    }
    Ok(())
}
