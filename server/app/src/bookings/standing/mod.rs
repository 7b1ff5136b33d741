//! Standing bookings: a machine booked again and again by a rule (RFC 5545).
//!
//! Promises: what the preview shows is what saving would do, because both lay the same occurrences down and the
//! constraint judges each; saving keeps every occurrence that is not left out by name, or none; each occurrence is an
//! ordinary booking that can be moved, swapped or cancelled by itself. Knows no time of day but halves.

mod http;
mod laying;
mod letters;
mod series;
mod store;

use utoipa_actix_web::service_config::ServiceConfig;

pub use laying::StandingWish;
pub use series::{Standing, end_standing, make_standing, preview_standing};

/// The routes of standing bookings.
pub(super) fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_standing)
        .service(http::show_standing)
        .service(http::preview_standing)
        .service(http::create_standing)
        .service(http::end_standing);
}
