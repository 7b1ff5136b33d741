//! Plans, pins and trials over HTTP: for coordinators.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpResponse, delete, get, post};
use chrono::Utc;

use super::asking::{ask_plans, choose, stop};
use super::pins::{MakePin, drop_pin, make_pin};
use super::trying::{Trial, TryPlace, try_place};
use super::view::{PlannedRound, load};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{NetworkId, PinId, PlanId, RoundId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey};

/// Show a round's plans
#[utoipa::path(tag = "plans", responses((status = 200, body = PlannedRound)))]
#[get("/networks/{network_id}/rounds/{round_id}/plans")]
pub async fn list_plans(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<Json<PlannedRound>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::RunRound, None)?;
    Ok(Json(load(&mut tx, &member, round, Utc::now()).await?))
}

/// Have a round planned
///
/// Once requests have closed: three plans, with wishes first, with haulage first, and one between. Once it is agreed: a
/// re-plan. They are made by the queue; ask again to see how far they are.
#[utoipa::path(tag = "plans", params(OnceKey), responses((status = 201, body = PlannedRound)))]
#[post("/networks/{network_id}/rounds/{round_id}/plans")]
pub async fn ask_for_plans(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    key: OnceKey,
) -> Result<HttpResponse> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &round).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let planned = ask_plans(&mut tx, &member, round, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &planned).await?;
    tx.commit().await?;
    Ok(response)
}

/// Find a plan good enough
///
/// The search ends with the best it has.
#[utoipa::path(tag = "plans", responses((status = 200, body = PlannedRound)))]
#[post("/networks/{network_id}/rounds/{round_id}/plans/{plan_id}/stop")]
pub async fn stop_plan(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, PlanId)>,
) -> Result<Json<PlannedRound>> {
    let (network, round, plan) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let planned = stop(&mut tx, &member, (round, plan), Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(planned))
}

/// Choose a plan
///
/// It is the one to offer, in place of one chosen before.
#[utoipa::path(tag = "plans", responses((status = 200, body = PlannedRound)))]
#[post("/networks/{network_id}/rounds/{round_id}/plans/{plan_id}/choice")]
pub async fn choose_plan(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, PlanId)>,
) -> Result<Json<PlannedRound>> {
    let (network, round, plan) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let planned = choose(&mut tx, &member, (round, plan), Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(planned))
}

/// Try a request elsewhere in a plan
///
/// Says whether that is possible, what it would cost, and who else would move. Nothing is kept.
#[utoipa::path(tag = "plans", responses((status = 200, body = Trial)))]
#[post("/networks/{network_id}/rounds/{round_id}/plans/{plan_id}/trial")]
pub async fn try_in_plan(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, PlanId)>,
    body: Json<TryPlace>,
) -> Result<Json<Trial>> {
    Ok(Json(try_place(&service, &caller, path.into_inner(), &body, Utc::now()).await?))
}

/// Pin a request to a place, or keep it from one
///
/// Plans made before are out of date then.
#[utoipa::path(tag = "plans", params(OnceKey), responses((status = 201, body = PlannedRound)))]
#[post("/networks/{network_id}/rounds/{round_id}/pins")]
pub async fn pin_request(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    key: OnceKey,
    body: Json<MakePin>,
) -> Result<HttpResponse> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &(round, &*body)).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let planned = make_pin(&mut tx, &member, round, &body, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &planned).await?;
    tx.commit().await?;
    Ok(response)
}

/// Take a pin away
#[utoipa::path(tag = "plans", responses((status = 200, body = PlannedRound)))]
#[delete("/networks/{network_id}/rounds/{round_id}/pins/{pin_id}")]
pub async fn unpin_request(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, PinId)>,
) -> Result<Json<PlannedRound>> {
    let (network, round, pin) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let planned = drop_pin(&mut tx, &member, (round, pin), Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(planned))
}
