//! What a machine was used for in a season, what that cost, and the numbers for buying one.
//!
//! Promises: hours say what they come from; money of a club is shown to those who may see it; where an input is missing,
//! it says which, and nothing is worked out in its place. Gives numbers, never advice. Does not know loans, grants or
//! where a machine would be kept.

mod http;
mod season;
mod store;
mod view;

use utoipa_actix_web::service_config::ServiceConfig;

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config.service(http::show_machine_worth);
}
