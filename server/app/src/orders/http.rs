//! Orders and their lines over HTTP.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, delete, get, post, put};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::gathering::{alter_order, open_order, set_line, show_order, take_line_back};
use super::steps::{TakeStep, take_step};
use super::store::{self, WholeOrder};
use super::terms::CreateOrder;
use super::view::PooledOrder;
use super::words::OrderState;
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, OrderId};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// Which orders.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct OrdersQuery {
    /// Only those in this state.
    state: Option<OrderState>,
}

/// How much a club wants.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
pub struct SetOrderLine {
    /// Whole packs, kg.
    pub quantity_kg: i64,
}

/// List pooled orders
///
/// Those that close soonest come first.
#[utoipa::path(tag = "orders", params(OrdersQuery, PageQuery), responses((status = 200, body = Page<PooledOrder>)))]
#[get("/networks/{network_id}/pooled-orders")]
pub async fn list_pooled_orders(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    wanted: Query<OrdersQuery>,
    page: Query<PageQuery>,
) -> Result<Json<Page<PooledOrder>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list(&mut tx, *network, wanted.state, &page).await?;
    let key = |row: &WholeOrder| (row.order.closes_at, row.order.id);
    let page = Page::cut(rows, &page, key, |row| PooledOrder::seen_by(&member, row));
    let items = page.items.into_iter().collect::<Result<_>>()?;
    Ok(Json(Page { items, next_cursor: page.next_cursor }))
}

/// Open a pooled order
///
/// It closes by itself at its closing time.
#[utoipa::path(tag = "orders", params(OnceKey), responses((status = 201, body = PooledOrder)))]
#[post("/networks/{network_id}/pooled-orders")]
pub async fn open_pooled_order(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateOrder>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let order = open_order(&mut tx, &member, &body, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &order).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a pooled order
#[utoipa::path(tag = "orders", responses((status = 200, body = PooledOrder)))]
#[get("/networks/{network_id}/pooled-orders/{order_id}")]
pub async fn show_pooled_order(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OrderId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let order = show_order(&mut tx, &member, id).await?;
    Ok(tagged(order.version, &order))
}

/// Change the terms of a pooled order
///
/// Only while it gathers. The product and the pack must fit the lines that clubs have in it.
#[utoipa::path(tag = "orders", params(IfMatch), responses((status = 200, body = PooledOrder)))]
#[put("/networks/{network_id}/pooled-orders/{order_id}")]
pub async fn change_pooled_order(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OrderId)>,
    seen: IfMatch,
    body: Json<CreateOrder>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let order = alter_order(&mut tx, &member, id, seen, &body, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(order.version, &order))
}

/// Put a club's line into a pooled order, or change it
#[utoipa::path(tag = "orders", responses((status = 200, body = PooledOrder)))]
#[put("/networks/{network_id}/pooled-orders/{order_id}/lines/{club_id}")]
pub async fn set_order_line(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OrderId, ClubId)>,
    body: Json<SetOrderLine>,
) -> Result<Json<PooledOrder>> {
    let (network, id, club) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let order = set_line(&mut tx, &member, id, club, body.quantity_kg, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(order))
}

/// Take a club's line back
///
/// Without a line there is nothing to do, and nothing is refused.
#[utoipa::path(tag = "orders", responses((status = 200, body = PooledOrder)))]
#[delete("/networks/{network_id}/pooled-orders/{order_id}/lines/{club_id}")]
pub async fn take_order_line_back(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OrderId, ClubId)>,
) -> Result<Json<PooledOrder>> {
    let (network, id, club) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let order = take_line_back(&mut tx, &member, id, club).await?;
    tx.commit().await?;
    Ok(Json(order))
}

/// Take a step with a pooled order
///
/// Closing is no step: it happens at its time by itself.
#[utoipa::path(tag = "orders", responses((status = 200, body = PooledOrder)))]
#[post("/networks/{network_id}/pooled-orders/{order_id}/steps")]
pub async fn take_order_step(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OrderId)>,
    body: Json<TakeStep>,
) -> Result<Json<PooledOrder>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let order = take_step(&mut tx, &member, &service.config.public_url, id, &body, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(order))
}
