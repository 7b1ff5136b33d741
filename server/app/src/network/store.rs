//! Queries on the network itself. All in its own scope.

use diesel::dsl::{auto_type, count};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::Network;
use crate::error::Result;
use crate::ids::NetworkId;
use crate::schema::{clubs, machines, memberships, networks, pitches};

/// How many clubs it has.
#[auto_type]
pub(super) fn club_count() -> _ {
    clubs::table.filter(clubs::network_id.eq(networks::id)).count().single_value().assume_not_null()
}

/// How many pitches its clubs have.
#[auto_type]
pub(super) fn pitch_count() -> _ {
    pitches::table.filter(pitches::network_id.eq(networks::id)).count().single_value().assume_not_null()
}

/// How many machines can be booked in it.
#[auto_type]
pub(super) fn machine_count() -> _ {
    machines::table
        .filter(machines::network_id.eq(networks::id))
        .filter(machines::retired.eq(false))
        .count()
        .single_value()
        .assume_not_null()
}

/// How many people belong to it.
#[auto_type]
pub(super) fn people_count() -> _ {
    memberships::table
        .filter(memberships::network_id.eq(networks::id))
        .select(count(memberships::person_id).aggregate_distinct())
        .single_value()
        .assume_not_null()
}

/// The network.
pub(super) async fn network(tx: &mut AsyncPgConnection, id: NetworkId) -> Result<Network> {
    Ok(networks::table.filter(networks::id.eq(id)).select(Network::as_select()).first(tx).await?)
}
