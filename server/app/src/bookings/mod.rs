//! The bookings slice.

use actix_web::{HttpResponse, get};
use utoipa_actix_web::service_config::ServiceConfig;

/// The routes of this slice.
pub fn routes(_config: &mut ServiceConfig) {}

/// A calendar behind its secret address.
#[get("/calendars/{network_id}/{secret}.ics")]
pub async fn show_calendar() -> HttpResponse {
    HttpResponse::NotFound().finish()
}
