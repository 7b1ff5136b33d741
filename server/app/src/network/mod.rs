//! The network itself: what it is, its people, and what needs doing.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::error::Result;
use crate::ids::NetworkId;
use crate::schema::networks;
use crate::text::name_parse;
use crate::time::zone_parse;

/// The routes of this slice.
pub fn routes(_config: &mut ServiceConfig) {}

/// Makes a network. Scope: that network.
///
/// # Errors
/// `invalid` for a name or time zone that will not do.
pub async fn found(tx: &mut AsyncPgConnection, id: NetworkId, name: &str, time_zone: &str) -> Result<()> {
    let name = name_parse("name", name)?;
    zone_parse(time_zone)?;
    diesel::insert_into(networks::table)
        .values((networks::id.eq(id), networks::name.eq(name), networks::time_zone.eq(time_zone)))
        .execute(tx)
        .await?;
    Ok(())
}
