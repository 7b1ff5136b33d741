//! Queries on the use of a machine. Scope of all: the network.

use diesel::pg::sql_types::Range;
use diesel::prelude::*;
use diesel::sql_types::Timestamp;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::half_days::HalfDaySpan;

use crate::error::Result;
use crate::hire_shares::Pace;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId};
use crate::machines::{HoldState, StoredSpan};
use crate::schema::{booking_pitches, bookings, clubs, machine_availabilities, machines, pitches};

/// A booking that was agreed.
#[derive(Queryable)]
pub(super) struct UseRow {
    pub(super) id: BookingId,
    pub(super) club_id: ClubId,
    pub(super) club_name: String,
    pub(super) span: StoredSpan,
    pub(super) charge_pence: i64,
}

/// A machine's name and pace.
pub(super) async fn machine(tx: &mut AsyncPgConnection, network: NetworkId, id: MachineId) -> Result<(String, Pace)> {
    Ok(machines::table.find((network, id)).select((machines::name, Pace::as_select())).first(tx).await?)
}

/// Agreed bookings that begin in a season.
pub(super) async fn uses(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    season: HalfDaySpan,
) -> Result<Vec<UseRow>> {
    let of_club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id));
    let rows: Vec<UseRow> = bookings::table
        .inner_join(clubs::table.on(of_club))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::machine_id.eq(machine))
        .filter(bookings::state.eq(HoldState::Agreed.as_str()))
        .filter(bookings::span.overlaps_with(StoredSpan(season).into_sql::<Range<Timestamp>>()))
        .select((bookings::id, bookings::club_id, clubs::name, bookings::span, bookings::charge_pence))
        .order((clubs::name, bookings::id))
        .load(tx)
        .await?;
    Ok(rows.into_iter().filter(|row| begins_in(row.span, season)).collect())
}

/// A span counts for the season in which it begins.
fn begins_in(span: StoredSpan, season: HalfDaySpan) -> bool {
    (season.from()..season.until()).contains(&span.0.from())
}

/// The ground of bookings, m².
pub(super) async fn areas(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[BookingId],
) -> Result<Vec<(BookingId, i32)>> {
    let of_pitch = pitches::network_id.eq(booking_pitches::network_id).and(pitches::id.eq(booking_pitches::pitch_id));
    Ok(booking_pitches::table
        .inner_join(pitches::table.on(of_pitch))
        .filter(booking_pitches::network_id.eq(network))
        .filter(booking_pitches::booking_id.eq_any(ids))
        .select((booking_pitches::booking_id, pitches::area_m2))
        .load(tx)
        .await?)
}

/// When the machine could be booked, as far as it touches the season.
pub(super) async fn availabilities(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    season: HalfDaySpan,
) -> Result<Vec<StoredSpan>> {
    Ok(machine_availabilities::table
        .filter(machine_availabilities::network_id.eq(network))
        .filter(machine_availabilities::machine_id.eq(machine))
        .filter(machine_availabilities::span.overlaps_with(StoredSpan(season).into_sql::<Range<Timestamp>>()))
        .select(machine_availabilities::span)
        .load(tx)
        .await?)
}
