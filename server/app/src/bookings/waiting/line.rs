//! Joining the line, leaving it, and how it is shown.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;

use super::super::booking::BookingState;
use super::super::changes::{CreateBooking, past, place, state_of_new};
use super::super::store as bookings;
use super::offers::offer_places;
use super::store::{self, InLine, NewWish};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Result, refuse};
use crate::ids::{BookingId, ClubId, MachineId, WaitingId};
use crate::machines::{Span, StoredSpan, Terms, half_day_of};
use crate::text::note_parse;
use crate::time::{local, zone_of};
use crate::words::words;

words! {
    /// Where a place on the waiting list stands.
    WaitingState {
        /// It waits.
        Waiting = "waiting",
        /// The time is offered to the club and held for it.
        Offered = "offered",
        /// The club took the offer.
        Taken = "taken",
        /// The club did not answer in time.
        Lapsed = "lapsed",
        /// The club gave the place up.
        Left = "left",
    }
}

/// A club's place on the waiting list of a machine.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Waiter {
    /// The place.
    pub waiting_id: WaitingId,
    /// For which machine.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// Which club.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// For which half-days.
    pub span: Span,
    /// 1 is the first of those who wait for this machine.
    pub position: usize,
    /// Whether it waits or is offered the time.
    pub state: WaitingState,
    /// Until when the offer holds.
    pub offered_until: Option<DateTime<Utc>>,
    /// The offer: a booking to take or to leave.
    pub booking_id: Option<BookingId>,
    /// Since when it waits.
    pub joined_at: DateTime<Utc>,
    /// Whether it is a club of yours.
    pub yours: bool,
}

/// Joins the waiting list of a machine for a span that somebody holds.
///
/// # Errors
/// Those of booking; `machine_free` where it could be booked at once; `already_waiting`.
pub async fn join(tx: &mut Tx, member: &Member, wish: CreateBooking, now: DateTime<Utc>) -> Result<Waiter> {
    member.require(Act::Book, Some(wish.club_id))?;
    let network = member.network_id;
    let span = wish.span.parse()?;
    let note = note_parse("note", &wish.note)?;
    let wall = local(zone_of(tx, network).await?, now);
    if span.from() < half_day_of(wall) {
        return Err(past().into());
    }
    let terms = Terms::hold(tx, network, wish.machine_id).await?;
    // Whoever waits must be able to take it: by every rule but that it is taken.
    let place = place(tx, network, &terms, wish.club_id, &span, state_of_new(member, &terms)).await?;
    if !bookings::is_held(tx, network, wish.machine_id, &place).await? {
        return Err(refuse(Code::MachineFree, "Nobody holds it then: book it.").into());
    }
    let new = NewWish {
        id: WaitingId::new(),
        machine_id: wish.machine_id,
        club_id: wish.club_id,
        span: StoredSpan(span),
        note,
        joined_by: member.person_id,
    };
    store::insert(tx, network, &new, &wish.pitch_ids, now).await?;
    let line = list(tx, member, Some(wish.machine_id), None, now).await?;
    let joined = line.into_iter().find(|waiter| waiter.waiting_id == new.id);
    Ok(joined.ok_or(diesel::result::Error::NotFound)?)
}

/// Gives a place on the list up, and with it an offer. One that has ended stays as it is.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn leave(tx: &mut Tx, member: &Member, id: WaitingId, public_url: &str, now: DateTime<Utc>) -> Result<()> {
    let network = member.network_id;
    let (machine, club) = store::whose(tx, network, id).await?;
    member.require(Act::Book, Some(club))?;
    let terms = Terms::hold(tx, network, machine).await?;
    // Read again while the machine is held: an offer may have come meanwhile.
    let (state, booking) = store::state_of(tx, network, id).await?;
    match state {
        WaitingState::Waiting | WaitingState::Offered => store::end(tx, network, id, WaitingState::Left).await?,
        WaitingState::Taken | WaitingState::Lapsed | WaitingState::Left => return Ok(()),
    }
    if let Some(booking) = booking {
        bookings::release(tx, network, booking, BookingState::Cancelled, None, now).await?;
        offer_places(tx, network, &terms, public_url, now).await?;
    }
    Ok(())
}

/// Those in line whose time has not begun, first come first: of one machine or all, of one club or all. Scope: the
/// network.
pub(super) async fn list(
    tx: &mut Tx,
    member: &Member,
    machine: Option<MachineId>,
    club: Option<ClubId>,
    now: DateTime<Utc>,
) -> Result<Vec<Waiter>> {
    let wall = local(zone_of(tx, member.network_id).await?, now);
    let line = store::in_line(tx, member.network_id, machine, half_day_of(wall)).await?;
    let mut before: HashMap<MachineId, usize> = HashMap::new();
    let placed = line.into_iter().map(|waiting| {
        let count = before.entry(waiting.row.machine_id).or_default();
        *count += 1;
        view(waiting, *count, member)
    });
    Ok(placed.filter(|waiter| club.is_none_or(|club| club == waiter.club_id)).collect())
}

fn view(waiting: InLine, position: usize, member: &Member) -> Waiter {
    let InLine { row, machine, club } = waiting;
    let yours = member.belongs_to(row.club_id);
    Waiter {
        waiting_id: row.id,
        machine_id: row.machine_id,
        machine_name: machine,
        club_id: row.club_id,
        club_name: club,
        span: row.span.0.into(),
        position,
        state: row.state,
        offered_until: row.offered_until,
        booking_id: row.booking_id,
        joined_at: row.joined_at,
        yours,
    }
}
