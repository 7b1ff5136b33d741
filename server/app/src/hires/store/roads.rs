//! Queries on roads between grounds. Scope of all: the network.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::hires::words::RequestState;
use crate::ids::{ClubId, GroundId, NetworkId, RoundId};
use crate::schema::{clubs, grounds, roads, round_machines, round_requests};

/// A ground with its club and where it is.
#[derive(Debug, Clone, Queryable)]
pub(in crate::hires) struct GroundRow {
    pub(in crate::hires) id: GroundId,
    pub(in crate::hires) name: String,
    pub(in crate::hires) club_id: ClubId,
    pub(in crate::hires) club_name: String,
    pub(in crate::hires) latitude_deg: f64,
    pub(in crate::hires) longitude_deg: f64,
}

/// The grounds a round goes to: those of requests and owned machines, and all of clubs that lend a tractor. By club.
pub(in crate::hires) async fn grounds_of_round(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<GroundRow>> {
    let asked = || {
        round_requests::table
            .filter(round_requests::network_id.eq(network))
            .filter(round_requests::round_id.eq(round))
            .filter(round_requests::state.eq(RequestState::Asked))
    };
    let kept = round_machines::table
        .filter(round_machines::network_id.eq(network))
        .filter(round_machines::round_id.eq(round))
        .select(round_machines::kept_ground_id);
    let of_work = grounds::id.eq_any(asked().select(round_requests::ground_id));
    let of_machines = grounds::id.nullable().eq_any(kept);
    let of_helpers = grounds::club_id.nullable().eq_any(asked().select(round_requests::helper_club_id));
    let of_club = clubs::network_id.eq(grounds::network_id).and(clubs::id.eq(grounds::club_id));
    Ok(grounds::table
        .inner_join(clubs::table.on(of_club))
        .filter(grounds::network_id.eq(network))
        .filter(of_work.nullable().or(of_machines).or(of_helpers))
        .select((grounds::id, grounds::name, clubs::id, clubs::name, grounds::latitude_deg, grounds::longitude_deg))
        .order((clubs::name, grounds::name, grounds::id))
        .load(tx)
        .await?)
}

/// One ground.
pub(in crate::hires) async fn ground(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: GroundId,
) -> Result<GroundRow> {
    let of_club = clubs::network_id.eq(grounds::network_id).and(clubs::id.eq(grounds::club_id));
    Ok(grounds::table
        .inner_join(clubs::table.on(of_club))
        .filter(grounds::network_id.eq(network))
        .filter(grounds::id.eq(id))
        .select((grounds::id, grounds::name, clubs::id, clubs::name, grounds::latitude_deg, grounds::longitude_deg))
        .first(tx)
        .await?)
}

/// The roads that coordinators entered, each by its smaller and its greater ground.
pub(in crate::hires) async fn entered(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<Vec<((GroundId, GroundId), i32)>> {
    Ok(roads::table
        .filter(roads::network_id.eq(network))
        .select(((roads::from_ground_id, roads::to_ground_id), roads::road_hm))
        .load(tx)
        .await?)
}

/// Keeps the road between two grounds, the smaller first.
pub(in crate::hires) async fn put(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (from, to): (GroundId, GroundId),
    road_hm: i32,
) -> Result<()> {
    diesel::insert_into(roads::table)
        .values((
            roads::network_id.eq(network),
            roads::from_ground_id.eq(from),
            roads::to_ground_id.eq(to),
            roads::road_hm.eq(road_hm),
        ))
        .on_conflict((roads::network_id, roads::from_ground_id, roads::to_ground_id))
        .do_update()
        .set(roads::road_hm.eq(road_hm))
        .execute(tx)
        .await?;
    Ok(())
}

/// Forgets the road between two grounds, the smaller first.
pub(in crate::hires) async fn forget(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (from, to): (GroundId, GroundId),
) -> Result<()> {
    diesel::delete(roads::table.find((network, from, to))).execute(tx).await?;
    Ok(())
}
