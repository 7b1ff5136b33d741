//! Queries on the waiting list. Scope of all: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::dsl::lower;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::super::booking::BookingState;
use super::line::WaitingState;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, PersonId, PitchId, WaitingId};
use crate::machines::StoredSpan;
use crate::schema::{bookings, clubs, machines, waiting, waiting_pitches};

/// The states of a place that is still in line.
const IN_LINE: [WaitingState; 2] = [WaitingState::Waiting, WaitingState::Offered];

/// A place in line as it is shown.
#[derive(Queryable, Selectable)]
#[diesel(table_name = waiting)]
pub(super) struct Row {
    pub(super) id: WaitingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) span: StoredSpan,
    pub(super) state: WaitingState,
    pub(super) offered_until: Option<DateTime<Utc>>,
    pub(super) booking_id: Option<BookingId>,
    pub(super) joined_at: DateTime<Utc>,
}

/// A place in line with the names of its machine and club.
#[derive(Queryable)]
pub(super) struct InLine {
    pub(super) row: Row,
    pub(super) machine: String,
    pub(super) club: String,
}

/// What a club waits for.
#[derive(Queryable, Selectable)]
#[diesel(table_name = waiting)]
pub(super) struct Waiting {
    pub(super) id: WaitingId,
    pub(super) club_id: ClubId,
    pub(super) span: StoredSpan,
    pub(super) note: String,
    pub(super) joined_by: PersonId,
}

/// A place in line to insert.
#[derive(Insertable)]
#[diesel(table_name = waiting)]
pub(super) struct NewWish {
    pub(super) id: WaitingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) span: StoredSpan,
    pub(super) note: String,
    pub(super) joined_by: PersonId,
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    new: &NewWish,
    pitches: &[PitchId],
    now: DateTime<Utc>,
) -> Result<()> {
    let state = waiting::state.eq(WaitingState::Waiting);
    diesel::insert_into(waiting::table)
        .values((waiting::network_id.eq(network), new, state, waiting::joined_at.eq(now)))
        .execute(tx)
        .await?;
    let pitches: Vec<_> = pitches
        .iter()
        .map(|pitch| {
            (
                waiting_pitches::network_id.eq(network),
                waiting_pitches::waiting_id.eq(new.id),
                waiting_pitches::club_id.eq(new.club_id),
                waiting_pitches::pitch_id.eq(pitch),
            )
        })
        .collect();
    diesel::insert_into(waiting_pitches::table).values(pitches).on_conflict_do_nothing().execute(tx).await?;
    Ok(())
}

/// Those in line whose time begins with a half-day or later, in the order of joining.
pub(super) async fn in_line(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: Option<MachineId>,
    from: NaiveDateTime,
) -> Result<Vec<InLine>> {
    let of_machine = machines::network_id.eq(waiting::network_id).and(machines::id.eq(waiting::machine_id));
    let of_club = clubs::network_id.eq(waiting::network_id).and(clubs::id.eq(waiting::club_id));
    let mut query = waiting::table
        .inner_join(machines::table.on(of_machine))
        .inner_join(clubs::table.on(of_club))
        .filter(waiting::network_id.eq(network))
        .filter(waiting::state.eq_any(IN_LINE))
        .filter(lower(waiting::span).ge(from))
        .select((Row::as_select(), machines::name, clubs::name))
        .order((machines::name, waiting::place))
        .into_boxed();
    if let Some(machine) = machine {
        query = query.filter(waiting::machine_id.eq(machine));
    }
    Ok(query.load(tx).await?)
}

/// Those who wait for a machine and are offered nothing yet, in the order of joining.
pub(super) async fn waiting_for(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    from: NaiveDateTime,
) -> Result<Vec<Waiting>> {
    Ok(waiting::table
        .filter(waiting::network_id.eq(network))
        .filter(waiting::machine_id.eq(machine))
        .filter(waiting::state.eq(WaitingState::Waiting))
        .filter(lower(waiting::span).ge(from))
        .select(Waiting::as_select())
        .order(waiting::place)
        .load(tx)
        .await?)
}

pub(super) async fn pitches_of(tx: &mut AsyncPgConnection, network: NetworkId, id: WaitingId) -> Result<Vec<PitchId>> {
    Ok(waiting_pitches::table
        .filter(waiting_pitches::network_id.eq(network))
        .filter(waiting_pitches::waiting_id.eq(id))
        .select(waiting_pitches::pitch_id)
        .load(tx)
        .await?)
}

/// The machine and club of a place in line; they never change.
pub(super) async fn whose(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: WaitingId,
) -> Result<(MachineId, ClubId)> {
    Ok(waiting::table.find((network, id)).select((waiting::machine_id, waiting::club_id)).first(tx).await?)
}

/// Where a place in line stands, and the offer it has or had.
pub(super) async fn state_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: WaitingId,
) -> Result<(WaitingState, Option<BookingId>)> {
    Ok(waiting::table.find((network, id)).select((waiting::state, waiting::booking_id)).first(tx).await?)
}

/// Notes which booking is offered until when.
pub(super) async fn offer(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: WaitingId,
    booking: BookingId,
    until: DateTime<Utc>,
) -> Result<()> {
    diesel::update(waiting::table.find((network, id)))
        .set((
            waiting::state.eq(WaitingState::Offered),
            waiting::booking_id.eq(booking),
            waiting::offered_until.eq(until),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// What is offered of a machine: the places in line and the offers, in the order of joining.
pub(super) async fn offered_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
) -> Result<Vec<(WaitingId, BookingId)>> {
    Ok(waiting::table
        .filter(waiting::network_id.eq(network))
        .filter(waiting::machine_id.eq(machine))
        .filter(waiting::state.eq(WaitingState::Offered))
        .select((waiting::id, waiting::booking_id.assume_not_null()))
        .order(waiting::place)
        .load(tx)
        .await?)
}

/// Lets a place in line wait on, as if nothing had been offered.
pub(super) async fn back_in_line(tx: &mut AsyncPgConnection, network: NetworkId, id: WaitingId) -> Result<()> {
    diesel::update(waiting::table.find((network, id)))
        .set((
            waiting::state.eq(WaitingState::Waiting),
            waiting::booking_id.eq(None::<BookingId>),
            waiting::offered_until.eq(None::<DateTime<Utc>>),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Ends a place in line.
pub(super) async fn end(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: WaitingId,
    state: WaitingState,
) -> Result<()> {
    diesel::update(waiting::table.find((network, id))).set(waiting::state.eq(state)).execute(tx).await?;
    Ok(())
}

/// Ends the place in line that an offer was made to.
pub(super) async fn end_by_offer(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    booking: BookingId,
    state: WaitingState,
) -> Result<()> {
    let offered = waiting::table.filter(waiting::network_id.eq(network)).filter(waiting::booking_id.eq(booking));
    diesel::update(offered).set(waiting::state.eq(state)).execute(tx).await?;
    Ok(())
}

/// Whether a booking is still offered although its time is over.
pub(super) async fn is_over(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    booking: BookingId,
    now: DateTime<Utc>,
) -> Result<bool> {
    let offer = bookings::network_id.eq(waiting::network_id).and(bookings::id.nullable().eq(waiting::booking_id));
    let over: Option<WaitingId> = waiting::table
        .inner_join(bookings::table.on(offer))
        .filter(waiting::network_id.eq(network))
        .filter(bookings::id.eq(booking))
        .filter(bookings::state.eq(BookingState::Offered))
        .filter(waiting::offered_until.le(now))
        .select(waiting::id)
        .first(tx)
        .await
        .optional()?;
    Ok(over.is_some())
}

/// Which of some bookings are offers that hold, and until when.
pub(in crate::bookings) async fn offers_among(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[BookingId],
) -> Result<Vec<(BookingId, DateTime<Utc>)>> {
    Ok(waiting::table
        .filter(waiting::network_id.eq(network))
        .filter(waiting::state.eq(WaitingState::Offered))
        .filter(waiting::booking_id.eq_any(ids))
        .select((waiting::booking_id.assume_not_null(), waiting::offered_until.assume_not_null()))
        .load(tx)
        .await?)
}
