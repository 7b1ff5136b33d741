//! Handlers for bookings.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post, put};
use chrono::{NaiveDate, NaiveTime, Utc};
use serde::Deserialize;
use utoipa::IntoParams;

use super::booking::{Booking, gather, load};
use super::changes::{self, AnswerBooking, CreateBooking};
use super::store::{self, Wanted};
use crate::access::{Caller, enter};
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId};
use crate::machines::{Span, date_parse};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// Which bookings to list.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct BookingFilter {
    /// Those of this club.
    club_id: Option<ClubId>,
    /// Those of this machine.
    machine_id: Option<MachineId>,
    /// Those that have not ended before this date.
    from: Option<NaiveDate>,
}

/// List bookings
///
/// Of all clubs, in any state, in order of time.
#[utoipa::path(tag = "bookings", params(BookingFilter, PageQuery), responses((status = 200, body = Page<Booking>)))]
#[get("/networks/{network_id}/bookings")]
pub async fn list_bookings(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    filter: Query<BookingFilter>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Booking>>> {
    let from = filter.from.map(|date| date_parse("from", date)).transpose()?;
    let after = from.map(|date| date.and_time(NaiveTime::MIN));
    let wanted = Wanted { club: filter.club_id, machine: filter.machine_id, after, standing: None, let_go_since: None };
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let rows = store::list(&mut tx, *network, wanted, Some(&page)).await?;
    let rows = Page::cut(rows, &page, |named| (named.row.span.0.from(), named.row.id), |named| named);
    let items = gather(&mut tx, &member, rows.items).await?;
    Ok(Json(Page { items, next_cursor: rows.next_cursor }))
}

/// Show a booking
#[utoipa::path(tag = "bookings", responses((status = 200, body = Booking)))]
#[get("/networks/{network_id}/bookings/{booking_id}")]
pub async fn show_booking(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let booking = load(&mut tx, &member, id).await?;
    Ok(tagged(booking.version, &booking))
}

/// Book a machine
///
/// Whoever is too late gets `machine_taken` with the nearest spans that are free and long enough.
#[utoipa::path(tag = "bookings", params(OnceKey), responses((status = 201, body = Booking)))]
#[post("/networks/{network_id}/bookings")]
pub async fn create_booking(
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
    let booking = changes::book(&mut tx, &member, body.into_inner(), &service.config.public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &booking).await?;
    tx.commit().await?;
    Ok(response)
}

/// Move a booking
///
/// The booking holds its old span until it holds the new one. Its charge is reckoned anew.
#[utoipa::path(tag = "bookings", params(IfMatch), responses((status = 200, body = Booking)))]
#[put("/networks/{network_id}/bookings/{booking_id}/span")]
pub async fn move_booking(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
    seen: IfMatch,
    body: Json<Span>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let booking = changes::move_booking(&mut tx, &member, id, seen, body.into_inner(), public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(booking.version, &booking))
}

/// Cancel a booking
///
/// Until it has ended. Cancelling again changes nothing.
#[utoipa::path(tag = "bookings", responses((status = 200, body = Booking)))]
#[post("/networks/{network_id}/bookings/{booking_id}/cancellation")]
pub async fn cancel_booking(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let booking = changes::cancel(&mut tx, &member, id, &service.config.public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(booking.version, &booking))
}

/// Answer a booking that was asked for
#[utoipa::path(tag = "bookings", responses((status = 200, body = Booking)))]
#[post("/networks/{network_id}/bookings/{booking_id}/answer")]
pub async fn answer_booking(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, BookingId)>,
    body: Json<AnswerBooking>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let booking = changes::answer(&mut tx, &member, id, body.into_inner(), public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(booking.version, &booking))
}
