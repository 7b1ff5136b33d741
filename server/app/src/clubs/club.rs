//! A club: what may be said of it, adding and changing one.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store;
use super::words::Sharing;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Refused, Result};
use crate::ids::ClubId;
use crate::schema::clubs;
use crate::text::name_parse;
use crate::wire::IfMatch;

/// What is said of a club, new or changed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateClub {
    /// Unique in the network.
    pub name: String,
    /// How the club appears in the comparisons of others.
    pub sharing: Sharing,
}

/// A member club.
#[derive(Debug, Clone, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = clubs, check_for_backend(diesel::pg::Pg))]
pub struct Club {
    /// The club.
    #[diesel(select_expression = clubs::id)]
    pub club_id: ClubId,
    /// Unique in the network.
    pub name: String,
    /// How the club appears in the comparisons of others.
    pub sharing: Sharing,
    /// How many grounds it has.
    #[diesel(select_expression = store::ground_count())]
    pub ground_count: i64,
    /// How many pitches lie on them.
    #[diesel(select_expression = store::pitch_count())]
    pub pitch_count: i64,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A club as it will be kept.
#[derive(Debug, Clone, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = clubs, check_for_backend(diesel::pg::Pg))]
pub(super) struct ClubFacts {
    name: String,
    sharing: Sharing,
}

impl ClubFacts {
    /// Reads what is said of a club.
    pub(super) fn parse(said: &CreateClub) -> Result<Self, Refused> {
        Ok(Self { name: name_parse("name", &said.name)?, sharing: said.sharing })
    }

    /// The club's name.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// What is said of the club besides its name, by column, as a spreadsheet says it.
    pub(super) fn spoken(&self) -> [(&'static str, String); 1] {
        [("sharing", self.sharing.as_str().to_owned())]
    }
}

/// Adds a club.
///
/// # Errors
/// `not_your_role`, `invalid`, `name_taken`.
pub async fn add_club(tx: &mut Tx, member: &Member, said: &CreateClub) -> Result<Club> {
    member.require(Act::AddClub, None)?;
    let facts = ClubFacts::parse(said)?;
    let id = store::insert_club(tx, member.network_id, &facts).await?;
    store::club(tx, member.network_id, id).await
}

/// Changes a club that is still at the version seen.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`, `changed_meanwhile`.
pub async fn alter_club(tx: &mut Tx, member: &Member, id: ClubId, seen: IfMatch, said: &CreateClub) -> Result<Club> {
    store::club(tx, member.network_id, id).await?;
    member.require(Act::EditClub, Some(id))?;
    let facts = ClubFacts::parse(said)?;
    if !store::update_club(tx, member.network_id, id, seen.0, &facts).await? {
        return Err(seen.stale().into());
    }
    store::club(tx, member.network_id, id).await
}
