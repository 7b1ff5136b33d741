//! Bookings: a club holds a machine for half-days, and nobody else can. And calendars of them for phones.
//!
//! Promises: no two bookings of a machine overlap, handover included; a booking lies within one availability; moving is
//! all or nothing; whoever is too late is told what is free instead; every change is mailed to the club in the same
//! transaction. A place that comes free is offered to the first on the waiting list it fits, before anybody else can have
//! it. Knows the terms and times of machines only through their front door.

mod booking;
mod calendar;
mod changes;
mod feeds;
mod feeds_http;
mod http;
mod letters;
mod round_places;
mod standing;
mod store;
mod swaps;
mod waiting;

use utoipa_actix_web::service_config::ServiceConfig;

pub use booking::{BookedPitch, Booking, BookingState, load};
pub use changes::{AnswerBooking, CreateBooking, answer, book, cancel, move_booking};
pub use feeds::{FeedOf, make_feed, read_feed};
pub use feeds_http::show_calendar;
pub use round_places::{
    Clash, RoundBooking, RoundChange, RoundPlace, SeenBooking, booked_for_round, change_for_round, stale,
};
pub use standing::{Standing, StandingWish, end_standing, make_standing, preview_standing};
pub use swaps::{ProposeSwap, Swap, SwapState, answer_swap, propose_swap, withdraw_swap};
pub use waiting::{Waiter, WaitingState, accept, join, lapse, leave, offer_places, offer_places_of, take_offers_back};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_bookings)
        .service(http::show_booking)
        .service(http::create_booking)
        .service(http::move_booking)
        .service(http::cancel_booking)
        .service(http::answer_booking)
        .service(feeds_http::show_calendar_feed)
        .service(feeds_http::make_calendar_feed);
    waiting::routes(config);
    standing::routes(config);
    swaps::routes(config);
}
