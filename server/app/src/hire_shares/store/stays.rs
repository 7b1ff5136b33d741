//! Queries on who has a hired machine when, and what is done there. Scope of all: the network.

use std::collections::HashMap;

use diesel::dsl::sum;
use diesel::pg::sql_types::Range;
use diesel::prelude::*;
use diesel::sql_types::Timestamp;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::HireRow;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, GroundId, MachineId, NetworkId, PlanId, RequestId};
use crate::machines::{HoldState, StoredSpan};
use crate::schema::{bookings, grounds, pitches, plan_blocks, request_pitches, roads, round_requests};

/// A request and the time it has.
#[derive(Queryable)]
pub(in crate::hire_shares) struct StayRow {
    pub(in crate::hire_shares) request_id: RequestId,
    /// None where it is only planned.
    pub(in crate::hire_shares) booking_id: Option<BookingId>,
    pub(in crate::hire_shares) span: StoredSpan,
}

/// Where a request is worked, and who lends a tractor for it.
#[derive(Queryable)]
pub(in crate::hire_shares) struct RequestRow {
    pub(in crate::hire_shares) id: RequestId,
    pub(in crate::hire_shares) club_id: ClubId,
    pub(in crate::hire_shares) helper_club_id: Option<ClubId>,
    pub(in crate::hire_shares) ground: GroundRow,
}

/// A ground with its position.
#[derive(Debug, Clone, Queryable, Selectable)]
#[diesel(table_name = grounds)]
pub(in crate::hire_shares) struct GroundRow {
    pub(in crate::hire_shares) id: GroundId,
    pub(in crate::hire_shares) club_id: ClubId,
    pub(in crate::hire_shares) latitude_deg: f64,
    pub(in crate::hire_shares) longitude_deg: f64,
}

/// What is booked of a hire by its round and agreed, in order of time.
pub(in crate::hire_shares) async fn booked(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    hire: &HireRow,
) -> Result<Vec<StayRow>> {
    Ok(bookings::table
        .filter(bookings::network_id.eq(network))
        .filter(bookings::round_id.eq(hire.round_id))
        .filter(bookings::machine_id.eq(hire.machine_id))
        .filter(bookings::state.eq(HoldState::Agreed))
        .filter(bookings::span.is_contained_by(hire.span.into_sql::<Range<Timestamp>>()))
        .filter(bookings::request_id.is_not_null())
        .select((bookings::request_id.assume_not_null(), bookings::id.nullable(), bookings::span))
        .order((bookings::span, bookings::id))
        .load(tx)
        .await?)
}

/// What a plan gives of a machine, in order of time.
pub(in crate::hire_shares) async fn planned(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: PlanId,
    machine: MachineId,
) -> Result<Vec<StayRow>> {
    let rows: Vec<(RequestId, StoredSpan)> = plan_blocks::table
        .filter(plan_blocks::network_id.eq(network))
        .filter(plan_blocks::plan_id.eq(plan))
        .filter(plan_blocks::machine_id.eq(machine))
        .select((plan_blocks::request_id, plan_blocks::span))
        .order((plan_blocks::span, plan_blocks::request_id))
        .load(tx)
        .await?;
    Ok(rows.into_iter().map(|(request_id, span)| StayRow { request_id, booking_id: None, span }).collect())
}

/// Some requests.
pub(in crate::hire_shares) async fn requests(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RequestId],
) -> Result<HashMap<RequestId, RequestRow>> {
    let of_ground = grounds::network_id.eq(round_requests::network_id).and(grounds::id.eq(round_requests::ground_id));
    let rows: Vec<RequestRow> = round_requests::table
        .inner_join(grounds::table.on(of_ground))
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::id.eq_any(ids))
        .select((
            round_requests::id,
            round_requests::club_id,
            round_requests::helper_club_id,
            (grounds::id, grounds::club_id, grounds::latitude_deg, grounds::longitude_deg),
        ))
        .load(tx)
        .await?;
    Ok(rows.into_iter().map(|row| (row.id, row)).collect())
}

/// The ground that some requests are for, m².
pub(in crate::hire_shares) async fn areas(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RequestId],
) -> Result<HashMap<RequestId, i64>> {
    let of_pitch = pitches::network_id.eq(request_pitches::network_id).and(pitches::id.eq(request_pitches::pitch_id));
    let rows: Vec<(RequestId, Option<i64>)> = request_pitches::table
        .inner_join(pitches::table.on(of_pitch))
        .filter(request_pitches::network_id.eq(network))
        .filter(request_pitches::request_id.eq_any(ids))
        .group_by(request_pitches::request_id)
        .select((request_pitches::request_id, sum(pitches::area_m2)))
        .load(tx)
        .await?;
    Ok(rows.into_iter().map(|(id, area_m2)| (id, area_m2.unwrap_or(0))).collect())
}

/// The grounds of some clubs.
pub(in crate::hire_shares) async fn grounds_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[ClubId],
) -> Result<Vec<GroundRow>> {
    Ok(grounds::table
        .filter(grounds::network_id.eq(network))
        .filter(grounds::club_id.eq_any(ids))
        .select(GroundRow::as_select())
        .order(grounds::id)
        .load(tx)
        .await?)
}

/// The roads that a coordinator entered: the two grounds, the smaller id first, and 0.1 km.
pub(in crate::hire_shares) async fn roads(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<HashMap<(GroundId, GroundId), i32>> {
    let rows: Vec<(GroundId, GroundId, i32)> = roads::table
        .filter(roads::network_id.eq(network))
        .select((roads::from_ground_id, roads::to_ground_id, roads::road_hm))
        .load(tx)
        .await?;
    Ok(rows.into_iter().map(|(from, to, road_hm)| ((from, to), road_hm)).collect())
}
