//! Planning rounds: what a round is planned from, plans in each order of wishes and haulage, why they are as they are,
//! and what the coordinator pins, forbids and tries.
//!
//! Promises: a plan is made by the queue and belongs to the facts it was made from, so that one whose facts have changed
//! is known and not offered ([`require_fresh`]); one plan at most is chosen for a round and purpose (partial unique index
//! `round_plans_one_chosen`). Does not offer places or book: the slice `offers` does, and for re-plans `replans`.

mod asking;
mod explaining;
mod facts;
mod http;
mod offered;
mod pins;
mod places;
mod replanning;
mod standing;
mod store;
mod trying;
mod view;
mod words;
mod working;

use utoipa_actix_web::service_config::ServiceConfig;

pub use asking::{ask_plans, ask_refill, choose, require_fresh, stop};
pub use offered::{
    PlacedRequest, choose_refill, chosen_plan, end_refills, places_of_plan, ready_refill, refill_awaited,
};
pub use pins::{MakePin, Pin, drop_pin, make_pin};
pub use replanning::{latest_replan, put_into_force};
pub use trying::{Trial, TriedPlace, TryPlace, try_place};
pub use view::{Plan, PlanLevel, PlannedPlace, PlannedRound, RoundPlace, UnservedRequest};
pub use words::{LevelName, PinKind, PlanOrder, PlanPurpose, PlanState};
pub use working::make_plan;

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_plans)
        .service(http::ask_for_plans)
        .service(http::stop_plan)
        .service(http::choose_plan)
        .service(http::try_in_plan)
        .service(http::pin_request)
        .service(http::unpin_request);
}
