//! Handlers for swaps.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;
use serde::Deserialize;
use utoipa::IntoParams;

use super::proposals::{self, AnswerSwap, ProposeSwap, Swap};
use crate::access::{Caller, enter};
use crate::error::Result;
use crate::ids::{BookingId, NetworkId, SwapId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey, Page};

/// Which proposals to list.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct SwapFilter {
    /// Those that concern this booking.
    booking_id: Option<BookingId>,
}

/// List proposals to swap
///
/// Those that wait for an answer, of the own clubs; of all clubs for coordinators.
#[utoipa::path(tag = "bookings", params(SwapFilter), responses((status = 200, body = Page<Swap>)))]
#[get("/networks/{network_id}/swaps")]
pub async fn list_swaps(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    filter: Query<SwapFilter>,
) -> Result<Json<Page<Swap>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let items = proposals::list(&mut tx, &member, filter.booking_id, Utc::now()).await?;
    Ok(Json(Page { items, next_cursor: None }))
}

/// Propose a swap
///
/// Nothing changes until the other club accepts.
#[utoipa::path(tag = "bookings", params(OnceKey), responses((status = 201, body = Swap)))]
#[post("/networks/{network_id}/swaps")]
pub async fn propose_swap(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<ProposeSwap>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let public_url = &service.config.public_url;
    let swap = proposals::propose_swap(&mut tx, &member, body.into_inner(), public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &swap).await?;
    tx.commit().await?;
    Ok(response)
}

/// Answer a proposal to swap
///
/// Accepted, both bookings change places at once. Only the club that is asked can answer.
#[utoipa::path(tag = "bookings", responses((status = 200, body = Swap)))]
#[post("/networks/{network_id}/swaps/{swap_id}/answer")]
pub async fn answer_swap(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, SwapId)>,
    body: Json<AnswerSwap>,
) -> Result<Json<Swap>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let swap = proposals::answer_swap(&mut tx, &member, id, *body, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(swap))
}

/// Withdraw a proposal to swap
#[utoipa::path(tag = "bookings", responses((status = 200, body = Swap)))]
#[post("/networks/{network_id}/swaps/{swap_id}/withdrawal")]
pub async fn withdraw_swap(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, SwapId)>,
) -> Result<Json<Swap>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let swap = proposals::withdraw_swap(&mut tx, &member, id, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(swap))
}
