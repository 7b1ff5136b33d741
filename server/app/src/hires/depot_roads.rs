//! Roads between the depot a hired machine is fetched from and the grounds of its round: reckoned from the map, or as a
//! coordinator knows them. Only where clubs haul: what a supplier brings drives on its own account.

use std::collections::BTreeMap;

use diesel_async::AsyncPgConnection;
use logistics::distance::Position;
use logistics::roads::reckoned_hm;
use serde::Serialize;
use utoipa::ToSchema;

use super::roads::{CorrectRoad, RoadEnd, end, position};
use super::store::roads::GroundRow;
use super::store::{self as rounds, HireRow, MachineRow, depot_roads as store, roads};
use super::words::HauledBy;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Refused, Result, invalid};
use crate::ids::{GroundId, HireId, NetworkId, RoundId};

/// The road between a depot and a ground.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DepotRoad {
    /// The hire whose depot it is.
    pub hire_id: HireId,
    /// What is hired.
    pub machine_name: String,
    /// From whom.
    pub supplier_name: String,
    /// The ground.
    pub to: RoadEnd,
    /// 1.3 times the distance as the crow flies, in hectometres (0.1 km).
    pub reckoned_hm: i64,
    /// As a coordinator knows it; null where the reckoned one counts.
    pub corrected_hm: Option<i32>,
}

/// A depot that clubs fetch a machine from.
struct Depot<'a> {
    hire: &'a HireRow,
    machine_name: &'a str,
    position: Position,
}

/// The roads from the depots of a round to its grounds, by hire, the shortest first. Scope: the network.
pub(super) async fn of_round(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<DepotRoad>> {
    rounds::find(tx, network, round).await?;
    let hires = rounds::hires_of(tx, network, &[round]).await?;
    let machines = rounds::machines_of(tx, network, &[round]).await?;
    let grounds = roads::grounds_of_round(tx, network, round).await?;
    let entered: BTreeMap<_, _> = store::entered(tx, network).await?.into_iter().collect();
    let mut all = Vec::new();
    for depot in hires.iter().filter_map(|hire| depot_of(hire, &machines)) {
        let mut of_hire = Vec::new();
        for ground in &grounds {
            of_hire.push(road(&depot, ground, entered.get(&(depot.hire.id, ground.id)).copied())?);
        }
        of_hire.sort_by_key(DepotRoad::length_hm);
        all.extend(of_hire);
    }
    Ok(all)
}

/// Every corrected road from a depot, by hire and ground, in hectometres. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn corrected_depot_roads(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<Vec<((HireId, GroundId), i32)>> {
    store::entered(tx, network).await
}

/// Says how long the road between the depot of a hire and a ground is; with nothing said, the reckoned one counts again.
///
/// # Errors
/// `not_found`, `not_your_role`; `invalid` for an impossible length, or a hire that no club fetches.
pub async fn correct_depot_road(
    tx: &mut Tx,
    member: &Member,
    (round, hire): (RoundId, HireId),
    ground: GroundId,
    said: Option<CorrectRoad>,
) -> Result<DepotRoad> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let hires = rounds::hires_of(tx, network, &[round]).await?;
    let machines = rounds::machines_of(tx, network, &[round]).await?;
    let hire = hires.iter().find(|each| each.id == hire).ok_or(diesel::result::Error::NotFound)?;
    let ground = roads::ground(tx, network, ground).await?;
    let depot = depot_of(hire, &machines).ok_or_else(unfetched)?;
    let said = said.map(|said| said.road_hm);
    match said {
        Some(road_hm) => store::put(tx, network, (hire.id, ground.id), road_hm).await?,
        None => store::forget(tx, network, (hire.id, ground.id)).await?,
    }
    road(&depot, &ground, said)
}

fn unfetched() -> Refused {
    invalid("hire_id", "The supplier brings and collects it: no club drives to the yard.")
}

/// The depot of a hire that clubs fetch.
fn depot_of<'a>(hire: &'a HireRow, machines: &'a [MachineRow]) -> Option<Depot<'a>> {
    let charges = &hire.charges;
    let at = charges.depot_latitude_deg.zip(charges.depot_longitude_deg)?;
    let machine = machines.iter().find(|machine| machine.hire_id == Some(hire.id))?;
    let position = Position::parse(at.0, at.1).ok()?;
    (charges.hauled_by == HauledBy::Clubs).then_some(Depot { hire, machine_name: &machine.name, position })
}

fn road(depot: &Depot<'_>, ground: &GroundRow, corrected_hm: Option<i32>) -> Result<DepotRoad> {
    Ok(DepotRoad {
        hire_id: depot.hire.id,
        machine_name: depot.machine_name.to_owned(),
        supplier_name: depot.hire.supplier_name.clone(),
        to: end(ground),
        reckoned_hm: reckoned_hm(depot.position, position(ground)?),
        corrected_hm,
    })
}

impl DepotRoad {
    /// What counts.
    fn length_hm(&self) -> i64 {
        self.corrected_hm.map_or(self.reckoned_hm, i64::from)
    }
}
