//! Queries on roads between depots and grounds. Scope of all: the network.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::ids::{GroundId, HireId, NetworkId};
use crate::schema::depot_roads;

/// The roads that coordinators entered, each by hire and ground, in hectometres.
pub(in crate::hires) async fn entered(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<Vec<((HireId, GroundId), i32)>> {
    Ok(depot_roads::table
        .filter(depot_roads::network_id.eq(network))
        .select(((depot_roads::hire_id, depot_roads::ground_id), depot_roads::road_hm))
        .load(tx)
        .await?)
}

/// Keeps the road between the depot of a hire and a ground.
pub(in crate::hires) async fn put(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (hire, ground): (HireId, GroundId),
    road_hm: i32,
) -> Result<()> {
    diesel::insert_into(depot_roads::table)
        .values((
            depot_roads::network_id.eq(network),
            depot_roads::hire_id.eq(hire),
            depot_roads::ground_id.eq(ground),
            depot_roads::road_hm.eq(road_hm),
        ))
        .on_conflict((depot_roads::network_id, depot_roads::hire_id, depot_roads::ground_id))
        .do_update()
        .set(depot_roads::road_hm.eq(road_hm))
        .execute(tx)
        .await?;
    Ok(())
}

/// Forgets the road between the depot of a hire and a ground.
pub(in crate::hires) async fn forget(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (hire, ground): (HireId, GroundId),
) -> Result<()> {
    diesel::delete(depot_roads::table.find((network, hire, ground))).execute(tx).await?;
    Ok(())
}

/// Forgets all roads from the depot of a hire, which is elsewhere now.
pub(in crate::hires) async fn forget_all(tx: &mut AsyncPgConnection, network: NetworkId, hire: HireId) -> Result<()> {
    let of_hire = depot_roads::table.filter(depot_roads::network_id.eq(network)).filter(depot_roads::hire_id.eq(hire));
    diesel::delete(of_hire).execute(tx).await?;
    Ok(())
}
