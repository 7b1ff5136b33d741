//! A ground: what may be said of it, adding and changing one.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store;
use super::words::{Drainage, LorryAccess, Soil};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Refused, Result, invalid};
use crate::ids::{ClubId, GroundId};
use crate::schema::{clubs, grounds};
use crate::text::name_parse;
use crate::wire::IfMatch;

/// More than any tractor has that a club would keep, kW.
const TRACTOR_BELOW_KW: f64 = 1000.0;

/// What is said of a ground, new or changed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateGround {
    /// Unique in the club.
    pub name: String,
    /// WGS84, degrees north.
    pub latitude_deg: f64,
    /// WGS84, degrees east.
    pub longitude_deg: f64,
    /// Topsoil texture.
    pub soil: Soil,
    /// What lies under the pitches.
    pub drainage: Drainage,
    /// The largest lorry that gets in.
    pub lorry_access: LorryAccess,
    /// Whether a load can be tipped on hard ground.
    pub hard_standing: bool,
    /// The tractor kept on site, kW; null for none.
    pub tractor_kw: Option<f64>,
}

/// A place with pitches.
#[derive(Debug, Clone, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = grounds, check_for_backend(diesel::pg::Pg))]
pub struct Ground {
    /// The ground.
    #[diesel(select_expression = grounds::id)]
    pub ground_id: GroundId,
    /// Whose ground.
    pub club_id: ClubId,
    /// Its name.
    #[diesel(select_expression = clubs::name)]
    pub club_name: String,
    /// Unique in the club.
    pub name: String,
    /// WGS84, degrees north.
    pub latitude_deg: f64,
    /// WGS84, degrees east.
    pub longitude_deg: f64,
    /// Topsoil texture.
    pub soil: Soil,
    /// What lies under the pitches.
    pub drainage: Drainage,
    /// The largest lorry that gets in.
    pub lorry_access: LorryAccess,
    /// Whether a load can be tipped on hard ground.
    pub hard_standing: bool,
    /// The tractor kept on site, kW; null for none.
    pub tractor_kw: Option<f64>,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A ground as it will be kept.
#[derive(Debug, Clone, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = grounds, treat_none_as_null = true, check_for_backend(diesel::pg::Pg))]
pub(super) struct GroundFacts {
    name: String,
    latitude_deg: f64,
    longitude_deg: f64,
    soil: Soil,
    drainage: Drainage,
    lorry_access: LorryAccess,
    hard_standing: bool,
    tractor_kw: Option<f64>,
}

impl GroundFacts {
    /// Reads what is said of a ground.
    pub(super) fn parse(said: &CreateGround) -> Result<Self, Refused> {
        if !(-90.0..=90.0).contains(&said.latitude_deg) {
            return Err(invalid("latitude_deg", "Latitude is −90 to 90 degrees."));
        }
        if !(-180.0..=180.0).contains(&said.longitude_deg) {
            return Err(invalid("longitude_deg", "Longitude is −180 to 180 degrees."));
        }
        if said.tractor_kw.is_some_and(|kw| !(kw > 0.0 && kw < TRACTOR_BELOW_KW)) {
            return Err(invalid(
                "tractor_kw",
                "A tractor has more than 0 and less than 1,000 kW; leave it out if none.",
            ));
        }
        Ok(Self {
            name: name_parse("name", &said.name)?,
            latitude_deg: said.latitude_deg,
            longitude_deg: said.longitude_deg,
            soil: said.soil,
            drainage: said.drainage,
            lorry_access: said.lorry_access,
            hard_standing: said.hard_standing,
            tractor_kw: said.tractor_kw,
        })
    }

    /// The ground's name.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// What is said of the ground besides its name, by column, as a spreadsheet says it.
    pub(super) fn spoken(&self) -> [(&'static str, String); 7] {
        [
            ("latitude_deg", self.latitude_deg.to_string()),
            ("longitude_deg", self.longitude_deg.to_string()),
            ("soil", self.soil.as_str().to_owned()),
            ("drainage", self.drainage.as_str().to_owned()),
            ("lorry_access", self.lorry_access.as_str().to_owned()),
            ("hard_standing", self.hard_standing.to_string()),
            ("tractor_kw", self.tractor_kw.map(|kw| kw.to_string()).unwrap_or_default()),
        ]
    }
}

/// Adds a ground to a club.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`.
pub async fn add_ground(tx: &mut Tx, member: &Member, club: ClubId, said: &CreateGround) -> Result<Ground> {
    store::club(tx, member.network_id, club).await?;
    member.require(Act::EditClub, Some(club))?;
    let facts = GroundFacts::parse(said)?;
    let id = store::insert_ground(tx, member.network_id, club, &facts).await?;
    store::ground(tx, member.network_id, id).await
}

/// Changes a ground that is still at the version seen.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`, `changed_meanwhile`.
pub async fn alter_ground(
    tx: &mut Tx,
    member: &Member,
    id: GroundId,
    seen: IfMatch,
    said: &CreateGround,
) -> Result<Ground> {
    let before = store::ground(tx, member.network_id, id).await?;
    member.require(Act::EditClub, Some(before.club_id))?;
    let facts = GroundFacts::parse(said)?;
    if !store::update_ground(tx, member.network_id, id, seen.0, &facts).await? {
        return Err(seen.stale().into());
    }
    store::ground(tx, member.network_id, id).await
}
