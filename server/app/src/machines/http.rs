//! Handlers for machines and the times they can be booked.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, delete, get, post, put};
use chrono::Utc;

use super::facts::MachineEntry;
use super::span::Span;
use super::store;
use super::upkeep::{self, Availability, Machine};
use crate::access::{Caller, enter};
use crate::bookings;
use crate::error::Result;
use crate::ids::{AvailabilityId, MachineId, NetworkId};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// List machines
///
/// By name; retired ones too.
#[utoipa::path(tag = "machines", params(PageQuery), responses((status = 200, body = Page<Machine>)))]
#[get("/networks/{network_id}/machines")]
pub async fn list_machines(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Machine>>> {
    let (mut tx, _) = enter(&service, &caller, *network).await?;
    let rows = store::list(&mut tx, *network, &page).await?;
    let rows = Page::cut(rows, &page, |(row, _)| row.facts.name.clone(), |row| row);
    let items = upkeep::gather(&mut tx, *network, rows.items).await?;
    Ok(Json(Page { items, next_cursor: rows.next_cursor }))
}

/// Add a machine
#[utoipa::path(tag = "machines", params(OnceKey), responses((status = 201, body = Machine)))]
#[post("/networks/{network_id}/machines")]
pub async fn create_machine(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<MachineEntry>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let machine = upkeep::add_machine(&mut tx, &member, body.into_inner()).await?;
    let response = ticket.created(&mut tx, &member, &machine).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a machine
#[utoipa::path(tag = "machines", responses((status = 200, body = Machine)))]
#[get("/networks/{network_id}/machines/{machine_id}")]
pub async fn show_machine(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, _) = enter(&service, &caller, network).await?;
    let machine = upkeep::load(&mut tx, network, id).await?;
    Ok(tagged(machine.version, &machine))
}

/// Change a machine
///
/// Bookings made before keep their time and charge.
#[utoipa::path(tag = "machines", params(IfMatch), responses((status = 200, body = Machine)))]
#[put("/networks/{network_id}/machines/{machine_id}")]
pub async fn change_machine(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    seen: IfMatch,
    body: Json<MachineEntry>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let machine = upkeep::change_machine(&mut tx, &member, id, seen, body.into_inner()).await?;
    tx.commit().await?;
    Ok(tagged(machine.version, &machine))
}

/// Let a machine be booked in a span
///
/// Those on the waiting list are offered what they wait for before anybody else can have it.
#[utoipa::path(tag = "machines", responses((status = 201, body = Availability)))]
#[post("/networks/{network_id}/machines/{machine_id}/availabilities")]
pub async fn add_availability(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    body: Json<Span>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let availability = upkeep::add_availability(&mut tx, &member, id, body.into_inner()).await?;
    bookings::offer_places_of(&mut tx, network, id, &service.config.public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(HttpResponse::Created().json(availability))
}

/// Take such a span back
///
/// Refused while a booking lies in it.
#[utoipa::path(tag = "machines", responses((status = 204)))]
#[delete("/networks/{network_id}/machines/{machine_id}/availabilities/{availability_id}")]
pub async fn remove_availability(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId, AvailabilityId)>,
) -> Result<HttpResponse> {
    let (network, machine, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    upkeep::remove_availability(&mut tx, &member, machine, id).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}
