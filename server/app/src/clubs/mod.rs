//! The clubs slice.

use utoipa_actix_web::service_config::ServiceConfig;

/// The routes of this slice.
pub fn routes(_config: &mut ServiceConfig) {}
