//! Walks: what was measured on a pitch and what it scores, the scheme that scores it, and where a pitch stands among
//! others.
//!
//! Promises: a walk is entered once, however often it is sent, and stands as entered; it keeps the version of the
//! scheme it was scored with, and every figure it shows can be worked out again from its readings. A comparison names
//! nobody who did not choose to be named, and shows nothing when it would rest on too few. Knows nothing of what a
//! good pitch is: that is the scheme's, and the arithmetic is the `comparison` crate's. It does not promise that a
//! person with a map, who asks for many overlapping circles, can tell no unnamed mark from another.

mod comparing;
mod comparison_http;
mod criteria_http;
mod http;
mod neighbours;
mod record;
mod schemes;
mod schemes_http;
mod standing;
mod store;
mod view;

use utoipa_actix_web::service_config::ServiceConfig;

pub use criteria_http::CriterionKey;
pub use http::{CreateReadings, CreateWalk};
pub use record::record;
pub use schemes::start_scheme;

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(criteria_http::list_criteria)
        .service(schemes_http::list_schemes)
        .service(schemes_http::show_current_scheme)
        .service(schemes_http::replace_scheme)
        .service(http::list_walks)
        .service(http::create_walk)
        .service(http::show_walk)
        .service(comparison_http::compare_pitch);
}
