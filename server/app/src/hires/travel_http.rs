//! What a round travels by over HTTP: clubs' tractors, and the roads between grounds.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{delete, get, put};
use serde::Deserialize;
use utoipa::IntoParams;

use super::crews::{self, ClubCrews, SayCrews};
use super::depot_roads::{self, DepotRoad};
use super::roads::{self, CorrectRoad, Road};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, GroundId, HireId, NetworkId, RoundId};
use crate::service::Service;

/// Which roads.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct RoadQuery {
    /// Only those from this ground.
    ground_id: Option<GroundId>,
}

/// List the clubs that do not have the usual tractor in a round
///
/// A club that is not listed has one tractor with operator and lends it.
#[utoipa::path(tag = "rounds", responses((status = 200, body = Vec<ClubCrews>)))]
#[get("/networks/{network_id}/rounds/{round_id}/crews")]
pub async fn list_crews(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<Json<Vec<ClubCrews>>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    Ok(Json(crews::said(&mut tx, network, round).await?))
}

/// Say how many tractors with operators a club has in a round
///
/// Until places are offered. One that is lent is the usual and is no longer listed.
#[utoipa::path(tag = "rounds", responses((status = 200, body = ClubCrews)))]
#[put("/networks/{network_id}/rounds/{round_id}/crews/{club_id}")]
pub async fn say_crews(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, ClubId)>,
    body: Json<SayCrews>,
) -> Result<Json<ClubCrews>> {
    let (network, round, club) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let said = crews::say_crews(&mut tx, &member, round, club, *body).await?;
    tx.commit().await?;
    Ok(Json(said))
}

/// List the roads among the grounds of a round
///
/// The shortest first, at most 200 of those that are reckoned; those corrected are always among them.
#[utoipa::path(tag = "rounds", params(RoadQuery), responses((status = 200, body = Vec<Road>)))]
#[get("/networks/{network_id}/rounds/{round_id}/roads")]
pub async fn list_roads(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    query: Query<RoadQuery>,
) -> Result<Json<Vec<Road>>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    Ok(Json(roads::of_round(&mut tx, network, round, query.ground_id).await?))
}

/// Correct the road between two grounds
///
/// The same both ways, in every round planned from now on.
#[utoipa::path(tag = "rounds", responses((status = 200, body = Road)))]
#[put("/networks/{network_id}/roads/{ground_id}/{other_ground_id}")]
pub async fn correct_road(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, GroundId, GroundId)>,
    body: Json<CorrectRoad>,
) -> Result<Json<Road>> {
    let (network, one, other) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let road = roads::correct_road(&mut tx, &member, (one, other), *body).await?;
    tx.commit().await?;
    Ok(Json(road))
}

/// Let the reckoned road between two grounds count again
#[utoipa::path(tag = "rounds", responses((status = 200, body = Road)))]
#[delete("/networks/{network_id}/roads/{ground_id}/{other_ground_id}")]
pub async fn forget_road(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, GroundId, GroundId)>,
) -> Result<Json<Road>> {
    let (network, one, other) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let road = roads::forget_road(&mut tx, &member, (one, other)).await?;
    tx.commit().await?;
    Ok(Json(road))
}

/// List the roads from the depots that clubs fetch machines from
///
/// By hire, the shortest first. A machine that its supplier brings has none.
#[utoipa::path(tag = "rounds", responses((status = 200, body = Vec<DepotRoad>)))]
#[get("/networks/{network_id}/rounds/{round_id}/depot-roads")]
pub async fn list_depot_roads(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<Json<Vec<DepotRoad>>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    Ok(Json(depot_roads::of_round(&mut tx, network, round).await?))
}

/// Correct the road between the depot of a hire and a ground
///
/// The same both ways; forgotten when the depot is said to be elsewhere.
#[utoipa::path(tag = "rounds", responses((status = 200, body = DepotRoad)))]
#[put("/networks/{network_id}/rounds/{round_id}/hires/{hire_id}/roads/{ground_id}")]
pub async fn correct_depot_road(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, HireId, GroundId)>,
    body: Json<CorrectRoad>,
) -> Result<Json<DepotRoad>> {
    let (network, round, hire, ground) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let road = depot_roads::correct_depot_road(&mut tx, &member, (round, hire), ground, Some(*body)).await?;
    tx.commit().await?;
    Ok(Json(road))
}

/// Let the reckoned road between the depot of a hire and a ground count again
#[utoipa::path(tag = "rounds", responses((status = 200, body = DepotRoad)))]
#[delete("/networks/{network_id}/rounds/{round_id}/hires/{hire_id}/roads/{ground_id}")]
pub async fn forget_depot_road(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, HireId, GroundId)>,
) -> Result<Json<DepotRoad>> {
    let (network, round, hire, ground) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let road = depot_roads::correct_depot_road(&mut tx, &member, (round, hire), ground, None).await?;
    tx.commit().await?;
    Ok(Json(road))
}
