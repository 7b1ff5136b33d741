//! The network itself: what it is, its people, and what needs doing.
//!
//! Promises: a network always has a coordinator, however many leave at once; who sees whom follows the role matrix.
//! The page of what needs doing reads everything and changes nothing.

mod http;
mod needs;
mod people;
mod store;

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::error::Result;
use crate::ids::NetworkId;
use crate::schema::networks;
use crate::text::name_parse;
use crate::time::zone_parse;

pub use needs::{Need, NeedKind, needs_of};
pub use people::{HeldRole, PersonInNetwork, end_membership};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::show_network)
        .service(http::list_people)
        .service(http::end_membership)
        .service(http::list_needs);
}

/// A network and how large it is.
#[derive(Debug, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = networks, check_for_backend(diesel::pg::Pg))]
pub struct Network {
    /// The network.
    #[diesel(select_expression = networks::id)]
    pub network_id: NetworkId,
    /// As members call it.
    pub name: String,
    /// IANA name; bookings are half-days of this zone.
    pub time_zone: String,
    /// How many clubs it has.
    #[diesel(select_expression = store::club_count())]
    pub club_count: i64,
    /// How many pitches its clubs have.
    #[diesel(select_expression = store::pitch_count())]
    pub pitch_count: i64,
    /// How many machines it has, retired ones not counted.
    #[diesel(select_expression = store::machine_count())]
    pub machine_count: i64,
    /// How many people belong to it.
    #[diesel(select_expression = store::people_count())]
    pub people_count: i64,
}

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
    crate::walks::start_scheme(tx, id).await
}
