//! Whom to write to for a club, or for the network. Scope: the network.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::roles::Role;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId};
use crate::schema::{clubs, memberships, people};

/// A person who is written to for a club.
#[derive(Debug, Clone, Queryable)]
pub struct Recipient {
    /// For which club.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// The person's name.
    pub name: String,
    /// Where to write to.
    pub email: String,
}

/// The people who hold one of these roles, once for each club; of some clubs or of all.
///
/// # Errors
/// A failing database.
pub async fn recipients(
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

/// Where to write to those who hold one of these roles, each address once: in a club, or without one in the network.
///
/// # Errors
/// A failing database.
pub async fn addresses(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_club: Option<ClubId>,
    roles: &[Role],
) -> Result<Vec<String>> {
    let roles: Vec<&str> = roles.iter().map(|role| role.as_str()).collect();
    Ok(memberships::table
        .inner_join(people::table)
        .filter(memberships::network_id.eq(network))
        .filter(memberships::role.eq_any(roles))
        .filter(memberships::club_id.is_not_distinct_from(of_club))
        .select(people::email)
        .distinct()
        .order(people::email)
        .load(tx)
        .await?)
}
