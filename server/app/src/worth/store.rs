//! Queries on the use of a machine. Scope of all: the network.

use diesel::dsl::{exists, not};
use diesel::pg::sql_types::Range;
use diesel::prelude::*;
use diesel::sql_types::Timestamp;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::half_days::HalfDaySpan;

use crate::error::Result;
use crate::hire_shares::Pace;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId};
use crate::machines::{HoldState, StoredSpan};
use crate::schema::{
    booking_pitches, bookings, clubs, hire_shares, hire_statements, hires, machine_availabilities, machines, pitches,
};

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

/// What clubs were charged for hires of the machine that begin in the season, by statements that stand: club, pence.
/// What the fund carried has no club.
pub(super) async fn hire_money(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    season: HalfDaySpan,
) -> Result<Vec<(Option<ClubId>, i64)>> {
    let later = diesel::alias!(hire_statements as later);
    let countered = later
        .filter(later.field(hire_statements::network_id).eq(network))
        .filter(later.field(hire_statements::counters).eq(hire_statements::id.nullable()));
    let of_hire = hires::network_id.eq(hire_statements::network_id).and(hires::id.eq(hire_statements::hire_id));
    let statements: Vec<(crate::ids::HireStatementId, StoredSpan, i64)> = hire_statements::table
        .inner_join(hires::table.on(of_hire))
        .filter(hire_statements::network_id.eq(network))
        .filter(hires::machine_id.eq(machine))
        .filter(not(exists(countered)))
        .select((hire_statements::id, hires::span, hire_statements::fund_pence))
        .load(tx)
        .await?;
    let in_season: Vec<_> = statements.into_iter().filter(|(_, span, _)| begins_in(*span, season)).collect();
    let ids: Vec<_> = in_season.iter().map(|(id, ..)| *id).collect();
    let shares: Vec<(ClubId, i64)> = hire_shares::table
        .filter(hire_shares::network_id.eq(network))
        .filter(hire_shares::statement_id.eq_any(&ids))
        .select((hire_shares::club_id, hire_shares::share_pence + hire_shares::helper_pence))
        .load(tx)
        .await?;
    let by_fund = in_season.iter().map(|&(_, _, fund_pence)| (None, fund_pence));
    Ok(shares.into_iter().map(|(club, pence)| (Some(club), pence)).chain(by_fund).collect())
}
