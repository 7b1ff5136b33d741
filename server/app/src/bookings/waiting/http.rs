//! Handlers for the waiting list.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, delete, get, post};
use chrono::Utc;
use serde::Deserialize;
use utoipa::IntoParams;

use super::super::booking::Booking;
use super::super::changes::CreateBooking;
use super::line::{self, Waiter};
use super::offers;
use crate::access::{Caller, enter};
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, WaitingId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey, Page, tagged};

/// Whose places to list.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct WaitingFilter {
    /// Those for this machine.
    machine_id: Option<MachineId>,
    /// Those of this club.
    club_id: Option<ClubId>,
}

/// List who waits
///
/// Machine by machine, first come first. Everybody sees the line, so that everybody sees that it is kept.
#[utoipa::path(tag = "bookings", params(WaitingFilter), responses((status = 200, body = Page<Waiter>)))]
#[get("/networks/{network_id}/waiting")]
pub async fn list_waiting(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    filter: Query<WaitingFilter>,
) -> Result<Json<Page<Waiter>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let items = line::list(&mut tx, &member, filter.machine_id, filter.club_id, Utc::now()).await?;
    Ok(Json(Page { items, next_cursor: None }))
}

/// Join the waiting list
///
/// For a span that somebody holds. When the whole of it comes free it is held for the first in line and offered by
/// mail: for 24 hours, or half of the time left until it begins where that is less, but never less than an hour.
#[utoipa::path(tag = "bookings", params(OnceKey), responses((status = 201, body = Waiter)))]
#[post("/networks/{network_id}/waiting")]
pub async fn join_waiting(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateBooking>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let waiter = line::join(&mut tx, &member, body.into_inner(), Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &waiter).await?;
    tx.commit().await?;
    Ok(response)
}

/// Leave the waiting list
///
/// An offer goes to the next in line at once.
#[utoipa::path(tag = "bookings", responses((status = 204)))]
#[delete("/networks/{network_id}/waiting/{waiting_id}")]
pub async fn leave_waiting(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, WaitingId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    line::leave(&mut tx, &member, id, &service.config.public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Take an offer
///
/// After its time it is refused with `offer_lapsed`, since the next in line is asked.
#[utoipa::path(tag = "bookings", responses((status = 200, body = Booking)))]
#[post("/networks/{network_id}/bookings/{booking_id}/acceptance")]
pub async fn accept_offer(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let booking = offers::accept(&mut tx, &member, id, &service.config.public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(booking.version, &booking))
}
