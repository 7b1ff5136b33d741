//! Re-plans of agreed rounds: what a new plan would change for whom, and putting it into force as a whole.
//!
//! Promises: a re-plan is accepted whole or not at all, once (`plan_in_force` for whoever comes second), and only while
//! the facts it was made from still hold; what has begun stays; bookings, offers, turns and mails change in one
//! transaction. Does not make plans (slice `rounds`) and closes no ground (slice `closures`).

mod accepting;
mod difference;
mod http;
mod letters;
mod picture;
mod view;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use accepting::accept_replan;
pub use view::{PlaceThen, Replan, ReplanChange};
pub use words::ChangeKind;

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config.service(http::show_replan).service(http::accept_replan);
}
