//! The orders slice.

use chrono::{DateTime, Utc};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::error::Result;
use crate::ids::{NetworkId, OrderId};
use crate::service::Service;

/// The routes of this slice.
pub fn routes(_config: &mut ServiceConfig) {}

/// Closes an order at its time.
///
/// # Errors
/// A failing database.
pub async fn close(_service: &Service, _network: NetworkId, _order: OrderId, _now: DateTime<Utc>) -> Result<()> {
    Ok(())
}

/// Tells the clubs that an order closes tomorrow.
///
/// # Errors
/// A failing database.
pub async fn remind(_service: &Service, _network: NetworkId, _order: OrderId, _now: DateTime<Utc>) -> Result<()> {
    Ok(())
}
