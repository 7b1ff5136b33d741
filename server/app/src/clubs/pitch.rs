//! A pitch: what may be said of it, adding and changing one.

use std::ops::RangeInclusive;

use agronomy::area::rectangle_m2;
use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store;
use super::words::{Drainage, Soil, Sport};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Refused, Result, invalid};
use crate::ids::{ClubId, GroundId, PitchId, WalkId};
use crate::schema::{clubs, grounds, pitches};
use crate::text::name_parse;
use crate::wire::IfMatch;

/// Length or width of the turf that is worked, m.
const SIDE_M: RangeInclusive<f64> = 10.0..=300.0;
/// Turf worked, m²: the square of either side.
const AREA_M2: RangeInclusive<i32> = 100..=90_000;

/// What is said of a pitch, new or changed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreatePitch {
    /// Unique on its ground.
    pub name: String,
    /// What is played on it.
    pub sport: Sport,
    /// Of the turf that is worked, in-goal and margins included.
    pub length_m: f64,
    /// Of the turf that is worked, margins included.
    pub width_m: f64,
    /// Turf worked; length × width unless stated.
    pub area_m2: Option<i32>,
}

/// The score of a pitch's newest walk.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LatestScore {
    /// The walk.
    pub walk_id: WalkId,
    /// 0 to 100.
    pub score: f64,
    /// Standard error of the score.
    pub score_se: f64,
    /// When it was walked.
    pub walked_on: NaiveDate,
}

/// A pitch and the ground it lies on.
#[derive(Debug, Clone, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = pitches, check_for_backend(diesel::pg::Pg))]
pub struct PitchOnGround {
    /// The pitch.
    #[diesel(select_expression = pitches::id)]
    pub pitch_id: PitchId,
    /// Where it lies.
    pub ground_id: GroundId,
    /// The ground's name.
    #[diesel(select_expression = grounds::name)]
    pub ground_name: String,
    /// Whose ground.
    pub club_id: ClubId,
    /// The club's name.
    #[diesel(select_expression = clubs::name)]
    pub club_name: String,
    /// Unique on its ground.
    pub name: String,
    /// What is played on it.
    pub sport: Sport,
    /// Of the turf that is worked, in-goal and margins included.
    pub length_m: f64,
    /// Of the turf that is worked, margins included.
    pub width_m: f64,
    /// Turf worked, m².
    pub area_m2: i32,
    /// Topsoil texture of the ground.
    #[diesel(select_expression = grounds::soil)]
    pub soil: Soil,
    /// What lies under the ground's pitches.
    #[diesel(select_expression = grounds::drainage)]
    pub drainage: Drainage,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A playing surface and how it scored last.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Pitch {
    /// The surface itself.
    #[serde(flatten)]
    pub surface: PitchOnGround,
    /// The score of the newest walk; null before the first, and for who may not see the club's walks.
    pub latest_score: Option<LatestScore>,
}

/// A pitch as it will be kept.
#[derive(Debug, Insertable, AsChangeset)]
#[diesel(table_name = pitches)]
pub(super) struct PitchFacts {
    name: String,
    sport: Sport,
    length_m: f64,
    width_m: f64,
    area_m2: i32,
}

impl PitchFacts {
    /// Reads what is said of a pitch.
    pub(super) fn parse(said: &CreatePitch) -> Result<Self, Refused> {
        for (field, side_m) in [("length_m", said.length_m), ("width_m", said.width_m)] {
            if !SIDE_M.contains(&side_m) {
                return Err(invalid(field, "A pitch is 10 to 300 m long and wide."));
            }
        }
        let area_m2 = match said.area_m2 {
            Some(area_m2) => area_m2,
            None => whole_m2(said.length_m, said.width_m)?,
        };
        if !AREA_M2.contains(&area_m2) {
            return Err(invalid("area_m2", "A pitch is 100 to 90,000 m²."));
        }
        Ok(Self {
            name: name_parse("name", &said.name)?,
            sport: said.sport,
            length_m: said.length_m,
            width_m: said.width_m,
            area_m2,
        })
    }

    /// The pitch's name.
    pub(super) fn name(&self) -> &str {
        &self.name
    }
}

/// Length times width in whole square metres.
#[expect(clippy::as_conversions, clippy::cast_possible_truncation, reason = "the sides' range bounds it to 90,000")]
fn whole_m2(length_m: f64, width_m: f64) -> Result<i32, Refused> {
    let area_m2 = rectangle_m2(length_m, width_m).map_err(|broken| invalid("length_m", broken.to_string()))?;
    Ok(area_m2.round() as i32)
}

/// Adds a pitch to a ground.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`.
pub async fn add_pitch(tx: &mut Tx, member: &Member, ground: GroundId, said: &CreatePitch) -> Result<Pitch> {
    let ground = store::ground(tx, member.network_id, ground).await?;
    member.require(Act::EditClub, Some(ground.club_id))?;
    let facts = PitchFacts::parse(said)?;
    let id = store::insert_pitch(tx, member.network_id, ground.club_id, ground.ground_id, &facts).await?;
    seen_by(tx, member, id).await
}

/// Changes a pitch that is still at the version seen.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`, `changed_meanwhile`.
pub async fn alter_pitch(
    tx: &mut Tx,
    member: &Member,
    id: PitchId,
    seen: IfMatch,
    said: &CreatePitch,
) -> Result<Pitch> {
    let before = store::pitch(tx, member.network_id, id).await?;
    member.require(Act::EditClub, Some(before.club_id))?;
    let facts = PitchFacts::parse(said)?;
    if !store::update_pitch(tx, member.network_id, id, seen.0, &facts).await? {
        return Err(seen.stale().into());
    }
    seen_by(tx, member, id).await
}

/// One pitch, as the member may see it.
pub(super) async fn seen_by(tx: &mut Tx, member: &Member, id: PitchId) -> Result<Pitch> {
    let surface = store::pitch(tx, member.network_id, id).await?;
    let mut scores = store::latest_scores(tx, member.network_id, &[id], member.clubs_for(Act::SeeWalks)).await?;
    Ok(Pitch { surface, latest_score: scores.remove(&id) })
}
