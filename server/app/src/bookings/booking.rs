//! A booking as shown, and what its state allows.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel_async::AsyncPgConnection;
use serde::Serialize;
use utoipa::ToSchema;

use super::store::{self, Named};
use super::waiting;
use crate::access::{Act, Member};
use crate::error::{Code, Refused, Result, refuse};
use crate::ids::{BookingId, ClubId, MachineId, PitchId, StandingId};
use crate::machines::Span;
use crate::words::words;

words! {
    /// Where a booking stands.
    BookingState {
        /// It is offered to the first on the waiting list; nobody else can have the time meanwhile.
        Offered = "offered",
        /// It waits for the coordinator; nobody else can have the time meanwhile.
        Asked = "asked",
        /// It stands.
        Agreed = "agreed",
        /// The coordinator refused it.
        Refused = "refused",
        /// The club gave it up.
        Cancelled = "cancelled",
        /// It was an offer, and nobody took it in time.
        Lapsed = "lapsed",
    }
}

/// A club's booking of a machine.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Booking {
    /// The booking.
    pub booking_id: BookingId,
    /// Of which machine.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// By which club.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// The half-days.
    pub span: Span,
    /// How many.
    pub half_days: i64,
    /// The end of the handover after it.
    #[schema(value_type = String, example = "2027-05-05T12:00:00")]
    pub held_until: NaiveDateTime,
    /// Where it stands.
    pub state: BookingState,
    /// By the charges of the machine when it was booked or moved.
    pub charge_pence: i64,
    /// Until when an offer holds; null for all else.
    pub offered_until: Option<DateTime<Utc>>,
    /// The standing booking it is an occurrence of.
    pub standing_id: Option<StandingId>,
    /// For which pitches.
    pub pitches: Vec<BookedPitch>,
    /// Free text; empty for those who are neither of the club nor coordinator.
    pub note: String,
    /// What the coordinator said when refusing; null as well for those who may not read the note.
    pub answer_reason: Option<String>,
    /// Who booked.
    pub booked_by_name: String,
    /// Whether it is a club of yours.
    pub yours: bool,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A pitch a booking is for.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BookedPitch {
    /// The pitch.
    pub pitch_id: PitchId,
    /// Its name.
    pub name: String,
}

/// Stands in for the name of a person who is no longer in the network.
const SOMEBODY: &str = "A former member";

impl Booking {
    /// Refuses to change a booking that was let go, or that has ended by a local time.
    pub(super) fn must_stand(&self, now: NaiveDateTime) -> Result<(), Refused> {
        let detail = match self.state {
            BookingState::Cancelled => "It was cancelled.",
            BookingState::Refused => "It was refused.",
            BookingState::Lapsed => "The offer was not taken in time.",
            BookingState::Offered => return Err(refuse(Code::OfferOpen, "Take the offer first, or leave it.")),
            BookingState::Asked | BookingState::Agreed if self.span.until <= now => "Its time is over.",
            BookingState::Asked | BookingState::Agreed => return Ok(()),
        };
        Err(refuse(Code::BookingEnded, detail))
    }
}

/// One booking, as the member may see it. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn load(tx: &mut AsyncPgConnection, member: &Member, id: BookingId) -> Result<Booking> {
    let row = store::find(tx, member.network_id, id).await?;
    let mut bookings = gather(tx, member, vec![row]).await?;
    Ok(bookings.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// Bookings with their pitches, in two further queries however many there are. Scope: the network.
pub(super) async fn gather(tx: &mut AsyncPgConnection, member: &Member, rows: Vec<Named>) -> Result<Vec<Booking>> {
    let ids: Vec<BookingId> = rows.iter().map(|named| named.row.id).collect();
    let pitches = store::pitches_of(tx, member.network_id, &ids).await?;
    let offers = waiting::offers_among(tx, member.network_id, &ids).await?;
    Ok(rows.into_iter().map(|named| view(named, &pitches, &offers, member)).collect())
}

fn view(
    named: Named,
    pitches: &[(BookingId, PitchId, String)],
    offers: &[(BookingId, DateTime<Utc>)],
    member: &Member,
) -> Booking {
    let Named { row, machine, club, booked_by } = named;
    let pitches = pitches.iter().filter(|(booking, ..)| *booking == row.id);
    let yours = member.belongs_to(row.club_id);
    let reads_notes = yours || member.may(Act::AnswerBooking, None);
    Booking {
        booking_id: row.id,
        machine_id: row.machine_id,
        machine_name: machine,
        club_id: row.club_id,
        club_name: club,
        span: row.span.0.into(),
        half_days: row.span.0.half_days(),
        held_until: row.held.0.until(),
        state: row.state,
        charge_pence: row.charge_pence,
        offered_until: offers.iter().find(|(booking, _)| *booking == row.id).map(|(_, until)| *until),
        standing_id: row.standing_id,
        pitches: pitches.map(|(_, id, name)| BookedPitch { pitch_id: *id, name: name.clone() }).collect(),
        note: if reads_notes { row.note } else { String::new() },
        answer_reason: row.answer_reason.filter(|_| reads_notes),
        booked_by_name: booked_by.unwrap_or_else(|| SOMEBODY.to_owned()),
        yours,
        version: row.version,
    }
}
