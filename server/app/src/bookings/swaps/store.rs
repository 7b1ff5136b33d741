//! Queries on swaps. Scope of all: the network.

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection};

use super::super::store::Place;
use super::proposals::SwapState;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, PersonId, SwapId};
use crate::schema::{bookings, swaps};

/// A proposal as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = swaps)]
pub(super) struct Row {
    pub(super) id: SwapId,
    pub(super) given_club_id: ClubId,
    pub(super) given_booking_id: BookingId,
    pub(super) given_version: i32,
    pub(super) wanted_club_id: ClubId,
    pub(super) wanted_booking_id: BookingId,
    pub(super) wanted_version: i32,
    pub(super) state: SwapState,
    pub(super) note: String,
    pub(super) created_at: DateTime<Utc>,
}

/// A proposal to insert.
#[derive(Insertable)]
#[diesel(table_name = swaps)]
pub(super) struct NewSwap {
    pub(super) id: SwapId,
    pub(super) given_club_id: ClubId,
    pub(super) given_booking_id: BookingId,
    pub(super) given_version: i32,
    pub(super) wanted_club_id: ClubId,
    pub(super) wanted_booking_id: BookingId,
    pub(super) wanted_version: i32,
    pub(super) note: String,
    pub(super) proposed_by: PersonId,
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    new: &NewSwap,
    now: DateTime<Utc>,
) -> Result<()> {
    let state = swaps::state.eq(SwapState::Proposed);
    diesel::insert_into(swaps::table)
        .values((swaps::network_id.eq(network), new, state, swaps::created_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(())
}

pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: SwapId) -> Result<Row> {
    Ok(swaps::table.find((network, id)).select(Row::as_select()).first(tx).await?)
}

/// A proposal, locked until the transaction ends.
pub(super) async fn lock(tx: &mut AsyncPgConnection, network: NetworkId, id: SwapId) -> Result<Row> {
    Ok(swaps::table.find((network, id)).select(Row::as_select()).for_update().first(tx).await?)
}

/// Those not answered, of one booking on either side or of all, first proposed first.
pub(super) async fn proposed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    booking: Option<BookingId>,
) -> Result<Vec<Row>> {
    let mut query = swaps::table
        .filter(swaps::network_id.eq(network))
        .filter(swaps::state.eq(SwapState::Proposed))
        .select(Row::as_select())
        .order(swaps::id)
        .into_boxed();
    if let Some(booking) = booking {
        query = query.filter(swaps::given_booking_id.eq(booking).or(swaps::wanted_booking_id.eq(booking)));
    }
    Ok(query.load(tx).await?)
}

/// Ends a proposal.
pub(super) async fn end(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: SwapId,
    state: SwapState,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(swaps::table.find((network, id)))
        .set((swaps::state.eq(state), swaps::answered_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Ends the proposals that give a booking and that a change of either booking has overtaken.
pub(super) async fn lapse_overtaken(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    given: BookingId,
    now: DateTime<Utc>,
) -> Result<()> {
    for row in proposed(tx, network, Some(given)).await? {
        let mut unchanged = 0;
        for (booking, version) in
            [(row.given_booking_id, row.given_version), (row.wanted_booking_id, row.wanted_version)]
        {
            let as_proposed = bookings::table.find((network, booking)).filter(bookings::version.eq(version));
            unchanged += as_proposed.count().get_result::<i64>(tx).await?;
        }
        if unchanged < 2 {
            end(tx, network, row.id, SwapState::Lapsed, now).await?;
        }
    }
    Ok(())
}

/// Puts a booking in another's place.
pub(super) async fn take_place(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    machine: MachineId,
    place: &Place,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(bookings::table.find((network, id)))
        .set((
            bookings::machine_id.eq(machine),
            place,
            bookings::changed_at.eq(now),
            bookings::version.eq(bookings::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Lets overlaps be until [`judge_overlaps_now`]: while two bookings change places the first is where the second still is.
pub(in crate::bookings) async fn judge_overlaps_later(tx: &mut AsyncPgConnection) -> Result<()> {
    Ok(tx.batch_execute("SET CONSTRAINTS bookings_no_overlap DEFERRED").await?)
}

/// Judges overlaps, and from here on each at once again.
pub(in crate::bookings) async fn judge_overlaps_now(tx: &mut AsyncPgConnection) -> Result<()> {
    Ok(tx.batch_execute("SET CONSTRAINTS bookings_no_overlap IMMEDIATE").await?)
}
