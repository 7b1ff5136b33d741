//! Booking, moving, cancelling and answering, for whoever calls: a handler or the demo region.
//!
//! Each holds the machine's terms first and then decides, so that changes to the bookings of one machine come one
//! after another. Who is too late is told by the exclusion constraint, not by a look beforehand.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel_async::AsyncConnection;
use logistics::half_days::HalfDaySpan;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::booking::{Booking, BookingState, load};
use super::letters::{News, letter};
use super::store::{self, NewBooking, Place};
use super::waiting;
use crate::access::{Act, Member, Role, addresses};
use crate::database::Tx;
use crate::error::{Code, Error, Refused, Result, refuse};
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, PitchId};
use crate::machines::{Span, StoredSpan, Terms, Timetable, half_day_of};
use crate::mail;
use crate::text::note_parse;
use crate::time::{local, zone_of};
use crate::wire::IfMatch;

/// A booking to make.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateBooking {
    /// Of which machine.
    pub machine_id: MachineId,
    /// For which club.
    pub club_id: ClubId,
    /// The half-days.
    pub span: Span,
    /// For which of the club's pitches.
    #[serde(default)]
    pub pitch_ids: Vec<PitchId>,
    /// Free text for the club and the coordinator.
    #[serde(default)]
    pub note: String,
}

/// The coordinator's answer to a booking that was asked for.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub struct AnswerBooking {
    /// Whether the club may have it.
    pub agreed: bool,
    /// Why not.
    #[serde(default)]
    pub reason: Option<String>,
}

/// Books a machine for a club.
///
/// # Errors
/// `not_your_role`; `not_found`; `machine_not_open_to_club`; a span that breaks a rule of the machine; `machine_taken`
/// with what is free instead; `invalid` for pitches of others.
pub async fn book(
    tx: &mut Tx,
    member: &Member,
    wish: CreateBooking,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Booking> {
    member.require(Act::Book, Some(wish.club_id))?;
    let span = wish.span.parse()?;
    let note = note_parse("note", &wish.note)?;
    let wall = local(zone_of(tx, member.network_id).await?, now);
    if span.from() < half_day_of(wall) {
        return Err(past().into());
    }
    let terms = Terms::hold(tx, member.network_id, wish.machine_id).await?;
    let place = place(tx, member.network_id, &terms, wish.club_id, &span, state_of_new(member, &terms)).await?;
    let new = NewBooking {
        id: BookingId::new(),
        machine_id: wish.machine_id,
        club_id: wish.club_id,
        place,
        pitch_ids: wish.pitch_ids,
        note,
        booked_by: member.person_id,
        standing_id: None,
    };
    let network = member.network_id;
    // In a savepoint: after a refusal the transaction can still look for what is free.
    let written = (**tx).transaction::<_, Error, _>(async |tx| store::insert(tx, network, &new, now).await);
    if let Err(error) = written.await {
        return Err(with_free(tx, member, error, &terms, &span, wall, None).await?);
    }
    let booking = load(tx, member, new.id).await?;
    tell(tx, member, &booking, News::Made, public_url, now).await?;
    Ok(booking)
}

/// Moves a booking to another span, or leaves it where it is.
///
/// # Errors
/// As [`book`]; `booking_ended`; `changed_meanwhile`.
pub async fn move_booking(
    tx: &mut Tx,
    member: &Member,
    id: BookingId,
    seen: IfMatch,
    to: Span,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Booking> {
    let span = to.parse()?;
    let (before, terms, wall) = hold(tx, member, id, now).await?;
    member.require(Act::Book, Some(before.club_id))?;
    before.must_stand(wall)?;
    let running = half_day_of(wall);
    // A booking that has begun keeps its beginning: only its end can move.
    let begun = span.from() == before.span.from && span.until() > running;
    if span.from() < running && !begun {
        return Err(past().into());
    }
    let place = place(tx, member.network_id, &terms, before.club_id, &span, state_of_new(member, &terms)).await?;
    let network = member.network_id;
    let moved =
        (**tx).transaction::<_, Error, _>(async |tx| store::set_place(tx, network, id, seen, &place, now).await);
    if let Err(error) = moved.await {
        return Err(with_free(tx, member, error, &terms, &span, wall, Some(id)).await?);
    }
    let booking = load(tx, member, id).await?;
    tell(tx, member, &booking, News::Moved(before.span), public_url, now).await?;
    waiting::offer_places(tx, network, &terms, public_url, now).await?;
    Ok(booking)
}

/// Gives a booking up, or an offer. One that is cancelled already stays as it is.
///
/// # Errors
/// `not_found`, `not_your_role`, `booking_ended`.
pub async fn cancel(
    tx: &mut Tx,
    member: &Member,
    id: BookingId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Booking> {
    let (before, terms, wall) = hold(tx, member, id, now).await?;
    member.require(Act::Book, Some(before.club_id))?;
    match before.state {
        BookingState::Cancelled => return Ok(before),
        BookingState::Offered => waiting::leave_by_offer(tx, member.network_id, id, now).await?,
        _ => before.must_stand(wall)?,
    }
    store::release(tx, member.network_id, id, BookingState::Cancelled, None, now).await?;
    let booking = load(tx, member, id).await?;
    if before.state != BookingState::Offered {
        tell(tx, member, &booking, News::Cancelled, public_url, now).await?;
    }
    waiting::offer_places(tx, member.network_id, &terms, public_url, now).await?;
    Ok(booking)
}

/// Answers a booking that was asked for. The same answer given again changes nothing.
///
/// # Errors
/// `not_found`, `not_your_role`, `booking_ended`, `booking_answered`.
pub async fn answer(
    tx: &mut Tx,
    member: &Member,
    id: BookingId,
    answer: AnswerBooking,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Booking> {
    member.require(Act::AnswerBooking, None)?;
    let (before, terms, wall) = hold(tx, member, id, now).await?;
    let reason = note_parse("reason", answer.reason.as_deref().unwrap_or_default())?;
    match (before.state, answer.agreed) {
        (BookingState::Agreed, true) | (BookingState::Refused, false) => return Ok(before),
        (BookingState::Agreed, false) => {
            return Err(refuse(Code::BookingAnswered, "It stands; cancel it if it cannot stay.").into());
        }
        _ => before.must_stand(wall)?,
    }
    let news = if answer.agreed {
        store::set_state(tx, member.network_id, id, BookingState::Agreed, now).await?;
        News::Agreed
    } else {
        let kept = Some(reason.as_str()).filter(|reason| !reason.is_empty());
        store::release(tx, member.network_id, id, BookingState::Refused, kept, now).await?;
        News::Refused(&reason)
    };
    let booking = load(tx, member, id).await?;
    tell(tx, member, &booking, news, public_url, now).await?;
    if booking.state == BookingState::Refused {
        waiting::offer_places(tx, member.network_id, &terms, public_url, now).await?;
    }
    Ok(booking)
}

/// A booking as it stands, its machine's terms held, and the local time.
pub(super) async fn hold(
    tx: &mut Tx,
    member: &Member,
    id: BookingId,
    now: DateTime<Utc>,
) -> Result<(Booking, Terms, NaiveDateTime)> {
    let wall = local(zone_of(tx, member.network_id).await?, now);
    let machine = store::machine_of(tx, member.network_id, id).await?;
    let terms = Terms::hold(tx, member.network_id, machine).await?;
    let booking = load(tx, member, id).await?;
    if booking.machine_id != machine {
        // A swap took it to another machine while this waited.
        return Err(IfMatch(booking.version).stale().into());
    }
    Ok((booking, terms, wall))
}

/// The state a new booking begins in: nobody asks a coordinator who books for leave.
pub(super) fn state_of_new(member: &Member, terms: &Terms) -> BookingState {
    let asks = terms.facts.coordinator_agrees && !member.may(Act::AnswerBooking, None);
    if asks { BookingState::Asked } else { BookingState::Agreed }
}

pub(super) fn past() -> Refused {
    refuse(Code::InThePast, "A booking begins with the running half-day or later.")
}

/// Where a booking of this club would stand, by all rules of the machine.
pub(super) async fn place(
    tx: &mut Tx,
    network: NetworkId,
    terms: &Terms,
    club: ClubId,
    span: &HalfDaySpan,
    state: BookingState,
) -> Result<Place> {
    terms.admit(club)?;
    terms.fit(span)?;
    let (availability_id, available) = terms.availability_of(tx, network, span).await?;
    Ok(Place {
        span: StoredSpan(*span),
        gap_half_days: terms.facts.gap_half_days,
        availability_id,
        available: StoredSpan(available),
        state,
        charge_pence: terms.charge(span)?.total_pence,
    })
}

/// Adds to `machine_taken` what is free instead; any other error passes as it is.
async fn with_free(
    tx: &mut Tx,
    member: &Member,
    error: Error,
    terms: &Terms,
    wanted: &HalfDaySpan,
    wall: NaiveDateTime,
    except: Option<BookingId>,
) -> Result<Error> {
    match error {
        Error::Refused(refused) if refused.code == Code::MachineTaken => {
            let timetable = Timetable::read(tx, member.network_id, terms, wall, except).await?;
            let free: Vec<Span> = timetable.nearest(wanted).into_iter().map(Span::from).collect();
            Ok(refused.with("free", free).into())
        }
        other => Ok(other),
    }
}

/// Tells the grounds leads of the club, and the coordinators while they are asked.
pub(super) async fn tell(
    tx: &mut Tx,
    member: &Member,
    booking: &Booking,
    news: News<'_>,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    for to in addresses(tx, network, Some(booking.club_id), &[Role::GroundsLead]).await? {
        mail::post(tx, Some(network), letter(&to, booking, news, public_url), now).await?;
    }
    if booking.state == BookingState::Asked {
        for to in addresses(tx, network, None, &[Role::Coordinator]).await? {
            mail::post(tx, Some(network), letter(&to, booking, News::ToAnswer, public_url), now).await?;
        }
    }
    Ok(())
}
