//! Closed grounds: half-days on which no machine may go onto a ground, because it is too wet or for any other reason.
//!
//! Promises: two closures of a ground never overlap (`ground_closures_no_overlap`); a closure stands as entered until it
//! is lifted, once (`ground_closures_immutable`); the club and the coordinators are told in the same transaction which
//! bookings lie on closed days. Moves no booking: a club moves its own, and a round is planned again.

mod closing;
mod http;
mod letters;
mod store;
mod view;

use utoipa_actix_web::service_config::ServiceConfig;

pub use closing::{CloseGround, close_ground, lift_closure};
pub use store::{OnClosedDays, on_closed_days};
pub use view::{BookingOnClosedDays, Closure};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config.service(http::list_closures).service(http::close_ground).service(http::lift_closure);
}
