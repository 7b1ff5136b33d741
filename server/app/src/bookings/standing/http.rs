//! Handlers for standing bookings.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;
use serde::Deserialize;
use utoipa::IntoParams;

use super::laying::StandingWish;
use super::series::{self, EndStanding, Standing, StandingPreview};
use crate::access::{Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, StandingId};
use crate::machines::date_parse;
use crate::service::Service;
use crate::wire::{Claim, OnceKey, Page};

/// Whose standing bookings to list.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct StandingFilter {
    /// Those of this club.
    club_id: Option<ClubId>,
}

/// List standing bookings
///
/// Last made first, without their bookings.
#[utoipa::path(tag = "bookings", params(StandingFilter), responses((status = 200, body = Page<Standing>)))]
#[get("/networks/{network_id}/standing-bookings")]
pub async fn list_standing(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    filter: Query<StandingFilter>,
) -> Result<Json<Page<Standing>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let items = series::list(&mut tx, &member, filter.club_id).await?;
    Ok(Json(Page { items, next_cursor: None }))
}

/// Show a standing booking
#[utoipa::path(tag = "bookings", responses((status = 200, body = Standing)))]
#[get("/networks/{network_id}/standing-bookings/{standing_id}")]
pub async fn show_standing(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, StandingId)>,
) -> Result<Json<Standing>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    Ok(Json(series::load(&mut tx, &member, id).await?))
}

/// Preview a standing booking
///
/// Every occurrence and every clash, with what is free instead. Nothing is kept.
#[utoipa::path(tag = "bookings", responses((status = 200, body = StandingPreview)))]
#[post("/networks/{network_id}/standing-bookings/preview")]
pub async fn preview_standing(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    body: Json<StandingWish>,
) -> Result<Json<StandingPreview>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let preview = series::preview_standing(&mut tx, &member, &body, Utc::now()).await?;
    // The transaction ends without being committed: what was laid down is undone.
    drop(tx);
    Ok(Json(preview))
}

/// Make a standing booking
///
/// Every occurrence that is not left out by name, or nothing: `standing_clashes` names all that cannot be had.
#[utoipa::path(tag = "bookings", params(OnceKey), responses((status = 201, body = Standing)))]
#[post("/networks/{network_id}/standing-bookings")]
pub async fn create_standing(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<StandingWish>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let standing = series::make_standing(&mut tx, &member, &body, &service.config.public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &standing).await?;
    tx.commit().await?;
    Ok(response)
}

/// End a standing booking
///
/// Cancels what lies on the date or after it and has not begun.
#[utoipa::path(tag = "bookings", responses((status = 200, body = Standing)))]
#[post("/networks/{network_id}/standing-bookings/{standing_id}/ending")]
pub async fn end_standing(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, StandingId)>,
    body: Json<EndStanding>,
) -> Result<Json<Standing>> {
    let (network, id) = path.into_inner();
    let from_on = date_parse("from_on", body.from_on)?;
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let standing = series::end_standing(&mut tx, &member, id, from_on, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(standing))
}
