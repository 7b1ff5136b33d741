//! Requests for places over HTTP.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, delete, get, post, put};

use super::preview::{self, PreviewRequest, RequestPreview};
use super::request_view::{PlaceRequest, gather, load};
use super::requests::{self, CreateRequest};
use super::store::{self as rounds, requests as store};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{NetworkId, RequestId, RoundId};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// List the requests of a round
///
/// As they were made; those taken back as well.
#[utoipa::path(tag = "rounds", params(PageQuery), responses((status = 200, body = Page<PlaceRequest>)))]
#[get("/networks/{network_id}/rounds/{round_id}/requests")]
pub async fn list_requests(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    page: Query<PageQuery>,
) -> Result<Json<Page<PlaceRequest>>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    rounds::find(&mut tx, network, round).await?;
    let rows = store::list(&mut tx, network, round, &page).await?;
    let Page { items, next_cursor } = Page::cut(rows, &page, |row| row.id, |row| row);
    Ok(Json(Page { items: gather(&mut tx, &member, round, items).await?, next_cursor }))
}

/// Ask for a place in a round
#[utoipa::path(tag = "rounds", params(OnceKey), responses((status = 201, body = PlaceRequest)))]
#[post("/networks/{network_id}/rounds/{round_id}/requests")]
pub async fn ask_for_place(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    key: OnceKey,
    body: Json<CreateRequest>,
) -> Result<HttpResponse> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &(round, &*body)).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let request = requests::ask(&mut tx, &member, round, &body).await?;
    let response = ticket.created(&mut tx, &member, &request).await?;
    tx.commit().await?;
    Ok(response)
}

/// Reckon what a request would come to
///
/// Writes nothing.
#[utoipa::path(tag = "rounds", responses((status = 200, body = RequestPreview)))]
#[post("/networks/{network_id}/rounds/{round_id}/requests/preview")]
pub async fn preview_request(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    body: Json<PreviewRequest>,
) -> Result<Json<RequestPreview>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    Ok(Json(preview::preview(&mut tx, &member, round, &body).await?))
}

/// Show a request
#[utoipa::path(tag = "rounds", responses((status = 200, body = PlaceRequest)))]
#[get("/networks/{network_id}/requests/{request_id}")]
pub async fn show_request(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RequestId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let request = load(&mut tx, &member, id).await?;
    Ok(tagged(request.version, &request))
}

/// Change a request
///
/// Until the round's deadline.
#[utoipa::path(tag = "rounds", params(IfMatch), responses((status = 200, body = PlaceRequest)))]
#[put("/networks/{network_id}/requests/{request_id}")]
pub async fn change_request(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RequestId)>,
    seen: IfMatch,
    body: Json<CreateRequest>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let request = requests::change(&mut tx, &member, id, seen, &body).await?;
    tx.commit().await?;
    Ok(tagged(request.version, &request))
}

/// Take a request back
///
/// Until the round's deadline. One that is taken back already is left as it is.
#[utoipa::path(tag = "rounds", responses((status = 200, body = PlaceRequest)))]
#[delete("/networks/{network_id}/requests/{request_id}")]
pub async fn withdraw_request(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RequestId)>,
) -> Result<Json<PlaceRequest>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let request = requests::withdraw(&mut tx, &member, id).await?;
    tx.commit().await?;
    Ok(Json(request))
}
