//! Swaps: two clubs let their bookings change places, on one machine or two.
//!
//! Promises: it happens when both clubs want it and at once for both; nobody proposes or answers for another club, not
//! even a coordinator; the constraint that keeps bookings apart is checked when both are in their new places; a
//! proposal lapses when either booking has changed or begun since. Each booking keeps its club, pitches and note and
//! takes on the other's machine and time; its charge is reckoned anew.

mod exchange;
mod http;
mod letters;
mod proposals;
mod store;

use utoipa_actix_web::service_config::ServiceConfig;

pub(super) use store::{judge_overlaps_later, judge_overlaps_now};

pub use proposals::{ProposeSwap, Swap, SwapState, answer_swap, propose_swap, withdraw_swap};

/// The routes of swaps.
pub(super) fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_swaps)
        .service(http::propose_swap)
        .service(http::answer_swap)
        .service(http::withdraw_swap);
}
