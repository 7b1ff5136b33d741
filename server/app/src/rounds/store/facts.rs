//! Queries on what a round is planned from beyond hires and requests. Scope of all: the network.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::half_days::HalfDaySpan;

use crate::error::Result;
use crate::ids::{ClubId, GroundId, MachineId, NetworkId, PersonId, PinId, RequestId, RoundId};
use crate::machines::{HoldState, StoredSpan};
use crate::rounds::words::PinKind;
use crate::schema::{
    bookings, ground_closures, grounds, machine_availabilities, roads, round_crews, round_offers, round_pins,
};

/// The states of a booking that holds its machine, as the exclusion constraint counts them.
const STANDING: [HoldState; 3] = [HoldState::Offered, HoldState::Asked, HoldState::Agreed];

/// A ground with its position.
#[derive(Queryable, Selectable)]
#[diesel(table_name = grounds)]
pub(in crate::rounds) struct GroundRow {
    pub(in crate::rounds) id: GroundId,
    pub(in crate::rounds) club_id: ClubId,
    pub(in crate::rounds) name: String,
    pub(in crate::rounds) latitude_deg: f64,
    pub(in crate::rounds) longitude_deg: f64,
}

/// A road that a coordinator entered.
#[derive(Queryable, Selectable)]
#[diesel(table_name = roads)]
pub(in crate::rounds) struct RoadRow {
    pub(in crate::rounds) from_ground_id: GroundId,
    pub(in crate::rounds) to_ground_id: GroundId,
    pub(in crate::rounds) road_hm: i32,
}

/// A pin or ban.
#[derive(Queryable, Selectable)]
#[diesel(table_name = round_pins)]
pub(in crate::rounds) struct PinRow {
    pub(in crate::rounds) id: PinId,
    pub(in crate::rounds) request_id: RequestId,
    pub(in crate::rounds) kind: PinKind,
    pub(in crate::rounds) machine_id: Option<MachineId>,
    pub(in crate::rounds) half_day: Option<NaiveDateTime>,
}

/// Some grounds, and all grounds of some clubs; by id.
pub(in crate::rounds) async fn grounds_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    clubs: &BTreeSet<ClubId>,
    ids: &BTreeSet<GroundId>,
) -> Result<Vec<GroundRow>> {
    let of_clubs = grounds::club_id.eq_any(clubs.iter().copied().collect::<Vec<_>>());
    let named = grounds::id.eq_any(ids.iter().copied().collect::<Vec<_>>());
    Ok(grounds::table
        .filter(grounds::network_id.eq(network))
        .filter(of_clubs.or(named))
        .select(GroundRow::as_select())
        .order(grounds::id)
        .load(tx)
        .await?)
}

/// The roads entered.
pub(in crate::rounds) async fn roads(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Vec<RoadRow>> {
    Ok(roads::table.filter(roads::network_id.eq(network)).select(RoadRow::as_select()).load(tx).await?)
}

/// When some machines are available.
pub(in crate::rounds) async fn available(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[MachineId],
) -> Result<Vec<(MachineId, StoredSpan)>> {
    Ok(machine_availabilities::table
        .filter(machine_availabilities::network_id.eq(network))
        .filter(machine_availabilities::machine_id.eq_any(ids))
        .select((machine_availabilities::machine_id, machine_availabilities::span))
        .load(tx)
        .await?)
}

/// What bookings of others than a round hold of some machines within a span, handovers included.
pub(in crate::rounds) async fn held(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[MachineId],
    round: RoundId,
    span: HalfDaySpan,
) -> Result<Vec<(MachineId, StoredSpan)>> {
    Ok(bookings::table
        .filter(bookings::network_id.eq(network))
        .filter(bookings::machine_id.eq_any(ids))
        .filter(bookings::state.eq_any(STANDING))
        .filter(bookings::round_id.is_distinct_from(round))
        .filter(bookings::held.overlaps_with(StoredSpan(span)))
        .select((bookings::machine_id, bookings::held))
        .load(tx)
        .await?)
}

/// A place that a request has: offered, accepted or booked.
#[derive(Queryable)]
pub(in crate::rounds) struct PlacedRow {
    pub(in crate::rounds) request_id: Option<RequestId>,
    pub(in crate::rounds) machine_id: MachineId,
    pub(in crate::rounds) span: StoredSpan,
    /// Whose crew; none where nobody said.
    pub(in crate::rounds) crew_club_id: Option<ClubId>,
}

/// The places of a round that clubs are offered or have accepted, by request.
pub(in crate::rounds) async fn on_offer(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<PlacedRow>> {
    Ok(round_offers::table
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::round_id.eq(round))
        .filter(round_offers::state.eq_any(["offered", "accepted"]))
        .order(round_offers::request_id)
        .select((
            round_offers::request_id.nullable(),
            round_offers::machine_id,
            round_offers::span,
            round_offers::crew_club_id.nullable(),
        ))
        .load(tx)
        .await?)
}

/// The bookings that a round made and that stand, by request, with the crew of the offer they came of.
pub(in crate::rounds) async fn confirmed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<PlacedRow>> {
    let of_offer =
        round_offers::network_id.eq(bookings::network_id).and(round_offers::booking_id.eq(bookings::id.nullable()));
    Ok(bookings::table
        .left_join(round_offers::table.on(of_offer))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::round_id.eq(round))
        .filter(bookings::state.eq_any(STANDING))
        .order(bookings::request_id)
        .select((bookings::request_id, bookings::machine_id, bookings::span, round_offers::crew_club_id.nullable()))
        .load(tx)
        .await?)
}

/// The requests of a round whose club let a place go: it declined, did not answer, or its booking no longer stands.
pub(in crate::rounds) async fn given_up(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<RequestId>> {
    let of_booking =
        bookings::network_id.eq(round_offers::network_id).and(bookings::id.nullable().eq(round_offers::booking_id));
    let let_go = round_offers::state
        .eq_any(["declined", "lapsed"])
        .or(bookings::state.is_not_null().and(bookings::state.nullable().ne_all(STANDING.map(Some))));
    Ok(round_offers::table
        .left_join(bookings::table.on(of_booking))
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::round_id.eq(round))
        .filter(let_go.assume_not_null())
        .select(round_offers::request_id)
        .distinct()
        .order(round_offers::request_id)
        .load(tx)
        .await?)
}

/// When grounds are closed within a span.
pub(in crate::rounds) async fn closures(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    span: HalfDaySpan,
) -> Result<Vec<(GroundId, StoredSpan)>> {
    Ok(ground_closures::table
        .filter(ground_closures::network_id.eq(network))
        .filter(ground_closures::lifted_at.is_null())
        .filter(ground_closures::span.overlaps_with(StoredSpan(span)))
        .order((ground_closures::ground_id, ground_closures::span))
        .select((ground_closures::ground_id, ground_closures::span))
        .load(tx)
        .await?)
}

/// Clubs with other than one crew in a round.
pub(in crate::rounds) async fn crews(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<(ClubId, i32)>> {
    Ok(round_crews::table
        .filter(round_crews::network_id.eq(network))
        .filter(round_crews::round_id.eq(round))
        .select((round_crews::club_id, round_crews::crews))
        .load(tx)
        .await?)
}

/// The pins and bans of a round, as they were made.
pub(in crate::rounds) async fn pins(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<PinRow>> {
    Ok(round_pins::table
        .filter(round_pins::network_id.eq(network))
        .filter(round_pins::round_id.eq(round))
        .order(round_pins::id)
        .select(PinRow::as_select())
        .load(tx)
        .await?)
}

/// Keeps a pin or ban; a pin takes the place of the one before.
pub(in crate::rounds) async fn put_pin(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    made_by: PersonId,
    pin: &PinRow,
) -> Result<()> {
    if pin.kind == PinKind::Pin {
        let before = round_pins::table
            .filter(round_pins::network_id.eq(network))
            .filter(round_pins::round_id.eq(round))
            .filter(round_pins::request_id.eq(pin.request_id))
            .filter(round_pins::kind.eq(PinKind::Pin));
        diesel::delete(before).execute(tx).await?;
    }
    diesel::insert_into(round_pins::table)
        .values((
            round_pins::network_id.eq(network),
            round_pins::id.eq(pin.id),
            round_pins::round_id.eq(round),
            round_pins::request_id.eq(pin.request_id),
            round_pins::kind.eq(pin.kind),
            round_pins::machine_id.eq(pin.machine_id),
            round_pins::half_day.eq(pin.half_day),
            round_pins::made_by.eq(made_by),
        ))
        .on_conflict_do_nothing()
        .execute(tx)
        .await?;
    Ok(())
}

/// Takes a pin or ban away, if it is there.
pub(in crate::rounds) async fn drop_pin(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    pin: PinId,
) -> Result<()> {
    let one = round_pins::table.find((network, pin)).filter(round_pins::round_id.eq(round));
    diesel::delete(one).execute(tx).await?;
    Ok(())
}
