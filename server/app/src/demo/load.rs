//! Loads a region.

use chrono::{DateTime, Utc};

use super::region::Region;
use crate::service::Service;

/// Loads everything.
pub(super) async fn load(_service: &Service, _region: Region, _now: DateTime<Utc>) -> anyhow::Result<()> {
    Ok(())
}
