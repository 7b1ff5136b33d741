//! Handlers for calendars and their secret addresses.

use actix_web::http::header;
use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::feeds::{self, FeedOf};
use crate::access::{Act, Caller, enter};
use crate::database::Scope;
use crate::error::{Refused, Result, invalid, not_found};
use crate::ids::{ClubId, MachineId, NetworkId};
use crate::service::Service;

/// Whose calendar: a club's or a machine's.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct CalendarOf {
    /// The club, or
    club_id: Option<ClubId>,
    /// the machine.
    machine_id: Option<MachineId>,
}

impl CalendarOf {
    fn parse(self) -> Result<FeedOf, Refused> {
        match (self.club_id, self.machine_id) {
            (Some(club), None) => Ok(FeedOf::Club(club)),
            (None, Some(machine)) => Ok(FeedOf::Machine(machine)),
            _ => Err(invalid("club_id", "Name either a club or a machine.")),
        }
    }
}

/// The secret address of a calendar.
#[derive(Debug, Serialize, ToSchema)]
pub struct CalendarFeed {
    /// For a phone to subscribe to; null while none was made.
    address: Option<String>,
}

fn address(service: &Service, network: NetworkId, secret: &str) -> String {
    format!("{}/calendars/{network}/{secret}.ics", service.config.public_url)
}

/// Show the address of a calendar
#[utoipa::path(tag = "bookings", params(CalendarOf), responses((status = 200, body = CalendarFeed)))]
#[get("/networks/{network_id}/calendar-feed")]
pub async fn show_calendar_feed(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    of: Query<CalendarOf>,
) -> Result<Json<CalendarFeed>> {
    let of = of.parse()?;
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::ManageCalendar, feeds::keeper(&mut tx, *network, of).await?)?;
    let secret = feeds::secret(&mut tx, *network, of).await?;
    Ok(Json(CalendarFeed { address: secret.map(|secret| address(&service, *network, &secret)) }))
}

/// Make an address for a calendar
///
/// In place of the one before, which stops working.
#[utoipa::path(tag = "bookings", responses((status = 200, body = CalendarFeed)))]
#[post("/networks/{network_id}/calendar-feed")]
pub async fn make_calendar_feed(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    body: Json<CalendarOf>,
) -> Result<Json<CalendarFeed>> {
    let of = body.parse()?;
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::ManageCalendar, feeds::keeper(&mut tx, *network, of).await?)?;
    let secret = feeds::make_feed(&mut tx, *network, of, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(CalendarFeed { address: Some(address(&service, *network, &secret)) }))
}

/// A calendar behind its secret address (RFC 5545). Whoever has the address may read it; nothing tells a wrong one
/// from one that was replaced.
#[get("/calendars/{network_id}/{secret}.ics")]
pub async fn show_calendar(service: Data<Service>, path: Path<(String, String)>) -> Result<HttpResponse> {
    let (network, secret) = path.into_inner();
    let network = NetworkId(network.parse().map_err(|_| not_found())?);
    // Ours are base64url; what is not may hold characters that the database does not even take.
    if !secret.chars().all(|character| character.is_ascii_alphanumeric() || "-_".contains(character)) {
        return Err(not_found().into());
    }
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let text = feeds::read_feed(&mut tx, network, &secret, &service.config.public_url, Utc::now()).await?;
    Ok(HttpResponse::Ok()
        .content_type("text/calendar; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "private, no-cache"))
        .body(text))
}
