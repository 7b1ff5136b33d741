//! Whom to write to about an order.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::access::Role;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId};
use crate::schema::{clubs, memberships, people};

/// A person who is written to for a club.
#[derive(Queryable)]
pub(in crate::orders) struct Recipient {
    pub(in crate::orders) club_id: ClubId,
    pub(in crate::orders) club_name: String,
    pub(in crate::orders) name: String,
    pub(in crate::orders) email: String,
}

/// The people who hold one of these roles, once for each club; of some clubs or of all.
pub(in crate::orders) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    roles: &[Role],
) -> Result<Vec<Recipient>> {
    let of_club = clubs::network_id.eq(memberships::network_id).and(clubs::id.nullable().eq(memberships::club_id));
    let roles: Vec<&str> = roles.iter().map(|role| role.as_str()).collect();
    let mut query = memberships::table
        .inner_join(clubs::table.on(of_club))
        .inner_join(people::table)
        .filter(memberships::network_id.eq(network))
        .filter(memberships::role.eq_any(roles))
        .select((clubs::id, clubs::name, people::name, people::email))
        .distinct()
        .order((clubs::name, people::email))
        .into_boxed();
    if let Some(of_clubs) = of_clubs {
        query = query.filter(clubs::id.eq_any(of_clubs.to_vec()));
    }
    Ok(query.load(tx).await?)
}
