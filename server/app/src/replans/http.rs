//! Re-plans over HTTP: for coordinators.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;

use super::accepting;
use super::view::{Replan, load};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{NetworkId, PlanId, RoundId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey};

/// Show what planning an agreed round again would change
///
/// The latest re-plan, club by club against the bookings as they are. Ask for one where plans are asked for.
#[utoipa::path(tag = "plans", responses((status = 200, body = Replan)))]
#[get("/networks/{network_id}/rounds/{round_id}/replan")]
pub async fn show_replan(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<Json<Replan>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::RunRound, None)?;
    Ok(Json(load(&mut tx, &member, round, Utc::now()).await?))
}

/// Accept a re-plan as a whole
///
/// All its bookings change at once or none does. Every club whose days or neighbours change is mailed. One that is out
/// of date is refused (`plan_stale`), and one that somebody accepted already (`plan_in_force`).
#[utoipa::path(tag = "plans", params(OnceKey), responses((status = 201, body = Replan)))]
#[post("/networks/{network_id}/rounds/{round_id}/plans/{plan_id}/acceptance")]
pub async fn accept_replan(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, PlanId)>,
    key: OnceKey,
) -> Result<HttpResponse> {
    let (network, round, plan) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &plan).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let public_url = &service.config.public_url;
    let replan = accepting::accept_replan(&mut tx, &member, (round, plan), public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &replan).await?;
    tx.commit().await?;
    Ok(response)
}
