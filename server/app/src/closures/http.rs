//! Closed grounds over HTTP.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;
use serde::Deserialize;
use utoipa::IntoParams;

use super::closing::{self, CloseGround};
use super::view::{Closure, list};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClosureId, ClubId, GroundId, NetworkId};
use crate::service::Service;
use crate::time::{local, zone_of};
use crate::wire::{Claim, OnceKey};

/// Whose grounds.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct OfClub {
    /// Only this club's; all clubs' without.
    club_id: Option<ClubId>,
}

/// List closed grounds
///
/// Those closed now or later, in order of time, each with the bookings that lie on closed days.
#[utoipa::path(tag = "closures", params(OfClub), responses((status = 200, body = Vec<Closure>)))]
#[get("/networks/{network_id}/closures")]
pub async fn list_closures(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    of: Query<OfClub>,
) -> Result<Json<Vec<Closure>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let wall = local(zone_of(&mut tx, *network).await?, Utc::now());
    Ok(Json(list(&mut tx, &member, of.club_id, wall).await?))
}

/// Close a ground
///
/// No machine may go onto it then. The club and the coordinators are mailed which bookings lie on closed days; none is
/// moved by this.
#[utoipa::path(tag = "closures", params(OnceKey), responses((status = 201, body = Closure)))]
#[post("/networks/{network_id}/grounds/{ground_id}/closures")]
pub async fn close_ground(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, GroundId)>,
    key: OnceKey,
    body: Json<CloseGround>,
) -> Result<HttpResponse> {
    let (network, ground) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let public_url = &service.config.public_url;
    let closure = closing::close_ground(&mut tx, &member, ground, &body, public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &closure).await?;
    tx.commit().await?;
    Ok(response)
}

/// Open a ground again before its time
///
/// The closure stays on record. One that is lifted already stays as it is.
#[utoipa::path(tag = "closures", responses((status = 200, body = Closure)))]
#[post("/networks/{network_id}/closures/{closure_id}/lifting")]
pub async fn lift_closure(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ClosureId)>,
) -> Result<Json<Closure>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let closure = closing::lift_closure(&mut tx, &member, id, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(closure))
}
