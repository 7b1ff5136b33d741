//! The waiting list: clubs that would have a machine for a span that is taken.
//!
//! Promises: whoever joined first is offered first, as soon as the whole of the wished span can be had; whom a place
//! does not fit keeps theirs; an offer is a booking in the state *offered*, so the same constraint that keeps bookings
//! apart holds the span for it; an offer is taken once, left, or lapses, and the place goes to the next in line in the
//! same transaction; one of a machine that goes out of service is taken back and costs nobody their place. Everything here happens while the machine's row is held.

mod http;
mod letters;
mod line;
mod offers;
mod store;

use utoipa_actix_web::service_config::ServiceConfig;

pub use line::{Waiter, WaitingState, join, leave};
pub(super) use offers::leave_by_offer;
pub use offers::{accept, lapse, offer_places, offer_places_of, take_offers_back};
pub(super) use store::offers_among;

/// The routes of the waiting list.
pub(super) fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_waiting)
        .service(http::join_waiting)
        .service(http::leave_waiting)
        .service(http::accept_offer);
}
