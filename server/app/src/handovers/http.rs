//! Handlers for handovers, faults, and what they mean for bookings.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;

use super::decisions::{self, DecideBooking};
use super::faults::{self, ClearFault, CreateFault};
use super::signing::{self, CreateHandover};
use super::view::{self, BookingHandovers, Fault, Handover};
use crate::access::{Caller, enter};
use crate::bookings::{self, Booking};
use crate::error::Result;
use crate::ids::{BookingId, FaultId, MachineId, NetworkId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey, tagged};

/// Show the handovers of a booking
///
/// And all that is to be known when its machine passes on: the last hours, open faults, manuals, who may operate it.
#[utoipa::path(tag = "handovers", responses((status = 200, body = BookingHandovers)))]
#[get("/networks/{network_id}/bookings/{booking_id}/handovers")]
pub async fn show_booking_handovers(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
) -> Result<Json<BookingHandovers>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let booking = bookings::load(&mut tx, &member, id).await?;
    Ok(Json(view::of_booking(&mut tx, &member, &booking).await?))
}

/// Sign a handover
///
/// For the club, when it takes the machine over and when it gives it back. It stands as signed; one that is wrong is
/// countered by a new one that names it.
#[utoipa::path(tag = "handovers", params(OnceKey), responses((status = 201, body = Handover)))]
#[post("/networks/{network_id}/handovers")]
pub async fn sign_handover(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateHandover>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let public_url = &service.config.public_url;
    let handover = signing::sign(&mut tx, &member, body.into_inner(), public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &handover).await?;
    tx.commit().await?;
    Ok(response)
}

/// Tell of a fault
///
/// At any time. One that takes the machine out of service puts every booking behind it before the coordinator.
#[utoipa::path(tag = "handovers", params(OnceKey), responses((status = 201, body = Fault)))]
#[post("/networks/{network_id}/machines/{machine_id}/faults")]
pub async fn tell_of_fault(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    key: OnceKey,
    body: Json<CreateFault>,
) -> Result<HttpResponse> {
    let (network, machine) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let public_url = &service.config.public_url;
    let fault = faults::tell_of_fault(&mut tx, &member, machine, body.into_inner(), public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &fault).await?;
    tx.commit().await?;
    Ok(response)
}

/// Clear a fault
///
/// By the coordinator or the machine's owner. The bookings it put before the coordinator stand as they did.
#[utoipa::path(tag = "handovers", responses((status = 200, body = Fault)))]
#[post("/networks/{network_id}/faults/{fault_id}/clearing")]
pub async fn clear_fault(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, FaultId)>,
    body: Json<ClearFault>,
) -> Result<Json<Fault>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let fault = faults::clear_fault(&mut tx, &member, id, body.into_inner(), public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(fault))
}

/// Decide about a booking whose machine is out of service
///
/// Answers with the booking that stands now.
#[utoipa::path(tag = "handovers", responses((status = 200, body = Booking)))]
#[post("/networks/{network_id}/bookings/{booking_id}/decision")]
pub async fn decide_booking(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
    body: Json<DecideBooking>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let booking = decisions::decide(&mut tx, &member, id, body.into_inner(), public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(booking.version, &booking))
}
