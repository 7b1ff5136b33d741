//! Queries on clubs, grounds and pitches. All in the scope of their network.

use std::collections::HashMap;

use chrono::NaiveDate;
use diesel::dsl::auto_type;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::club::{Club, ClubFacts};
use super::ground::{Ground, GroundFacts};
use super::pitch::{LatestScore, PitchFacts, PitchOnGround};
use crate::error::Result;
use crate::ids::{ClubId, GroundId, NetworkId, PitchId, WalkId};
use crate::schema::{clubs, grounds, pitches, walks};
use crate::wire::PageQuery;

/// How many grounds a club has.
#[auto_type]
pub(super) fn ground_count() -> _ {
    grounds::table
        .filter(grounds::network_id.eq(clubs::network_id))
        .filter(grounds::club_id.eq(clubs::id))
        .count()
        .single_value()
        .assume_not_null()
}

/// How many pitches a club has.
#[auto_type]
pub(super) fn pitch_count() -> _ {
    pitches::table
        .filter(pitches::network_id.eq(clubs::network_id))
        .filter(pitches::club_id.eq(clubs::id))
        .count()
        .single_value()
        .assume_not_null()
}

/// One club.
pub(super) async fn club(tx: &mut AsyncPgConnection, network: NetworkId, id: ClubId) -> Result<Club> {
    Ok(clubs::table.find((network, id)).select(Club::as_select()).first(tx).await?)
}

/// Clubs by name.
pub(super) async fn list_clubs(tx: &mut AsyncPgConnection, network: NetworkId, page: &PageQuery) -> Result<Vec<Club>> {
    let mut query = clubs::table
        .filter(clubs::network_id.eq(network))
        .select(Club::as_select())
        .order(clubs::name)
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<String>()? {
        query = query.filter(clubs::name.gt(after));
    }
    Ok(query.load(tx).await?)
}

/// Keeps a new club.
pub(super) async fn insert_club(tx: &mut AsyncPgConnection, network: NetworkId, facts: &ClubFacts) -> Result<ClubId> {
    let id = ClubId::new();
    diesel::insert_into(clubs::table)
        .values((clubs::network_id.eq(network), clubs::id.eq(id), facts))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Changes a club; false when it is no longer at that version.
pub(super) async fn update_club(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: ClubId,
    version: i32,
    facts: &ClubFacts,
) -> Result<bool> {
    let changed = diesel::update(clubs::table.find((network, id)).filter(clubs::version.eq(version)))
        .set((facts, clubs::version.eq(version + 1)))
        .execute(tx)
        .await?;
    Ok(changed == 1)
}

/// Grounds with their clubs.
#[auto_type(no_type_alias)]
fn grounds_of_clubs() -> _ {
    grounds::table
        .inner_join(clubs::table.on(clubs::network_id.eq(grounds::network_id).and(clubs::id.eq(grounds::club_id))))
}

/// One ground.
pub(super) async fn ground(tx: &mut AsyncPgConnection, network: NetworkId, id: GroundId) -> Result<Ground> {
    Ok(grounds_of_clubs()
        .filter(grounds::network_id.eq(network))
        .filter(grounds::id.eq(id))
        .select(Ground::as_select())
        .first(tx)
        .await?)
}

/// Grounds by club and name, of one club or of all.
pub(super) async fn list_grounds(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_club: Option<ClubId>,
    page: &PageQuery,
) -> Result<Vec<Ground>> {
    let mut query = grounds_of_clubs()
        .filter(grounds::network_id.eq(network))
        .select(Ground::as_select())
        .order((clubs::name, grounds::name))
        .limit(page.rows())
        .into_boxed();
    if let Some(club) = of_club {
        query = query.filter(grounds::club_id.eq(club));
    }
    if let Some((club, name)) = page.after::<(String, String)>()? {
        query = query.filter(clubs::name.gt(club.clone()).or(clubs::name.eq(club).and(grounds::name.gt(name))));
    }
    Ok(query.load(tx).await?)
}

/// Keeps a new ground.
pub(super) async fn insert_ground(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    club: ClubId,
    facts: &GroundFacts,
) -> Result<GroundId> {
    let id = GroundId::new();
    diesel::insert_into(grounds::table)
        .values((grounds::network_id.eq(network), grounds::id.eq(id), grounds::club_id.eq(club), facts))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Changes a ground; false when it is no longer at that version.
pub(super) async fn update_ground(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: GroundId,
    version: i32,
    facts: &GroundFacts,
) -> Result<bool> {
    let changed = diesel::update(grounds::table.find((network, id)).filter(grounds::version.eq(version)))
        .set((facts, grounds::version.eq(version + 1)))
        .execute(tx)
        .await?;
    Ok(changed == 1)
}

/// Pitches with their grounds and clubs.
#[auto_type(no_type_alias)]
fn pitches_on_grounds() -> _ {
    pitches::table
        .inner_join(
            grounds::table.on(grounds::network_id.eq(pitches::network_id).and(grounds::id.eq(pitches::ground_id))),
        )
        .inner_join(clubs::table.on(clubs::network_id.eq(pitches::network_id).and(clubs::id.eq(pitches::club_id))))
}

/// One pitch.
pub(super) async fn pitch(tx: &mut AsyncPgConnection, network: NetworkId, id: PitchId) -> Result<PitchOnGround> {
    Ok(pitches_on_grounds()
        .filter(pitches::network_id.eq(network))
        .filter(pitches::id.eq(id))
        .select(PitchOnGround::as_select())
        .first(tx)
        .await?)
}

/// Where a page of pitches continues: club, ground and pitch by name.
pub(super) type AfterPitch = (String, String, String);

/// The key of a pitch in its list.
pub(super) fn pitch_key(pitch: &PitchOnGround) -> AfterPitch {
    (pitch.club_name.clone(), pitch.ground_name.clone(), pitch.name.clone())
}

/// Pitches by club, ground and name, of one club or of all.
pub(super) async fn list_pitches(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_club: Option<ClubId>,
    page: &PageQuery,
) -> Result<Vec<PitchOnGround>> {
    let mut query = pitches_on_grounds()
        .filter(pitches::network_id.eq(network))
        .select(PitchOnGround::as_select())
        .order((clubs::name, grounds::name, pitches::name))
        .limit(page.rows())
        .into_boxed();
    if let Some(club) = of_club {
        query = query.filter(pitches::club_id.eq(club));
    }
    if let Some((club, ground, name)) = page.after::<AfterPitch>()? {
        let on_ground = grounds::name.gt(ground.clone()).or(grounds::name.eq(ground).and(pitches::name.gt(name)));
        query = query.filter(clubs::name.gt(club.clone()).or(clubs::name.eq(club).and(on_ground)));
    }
    Ok(query.load(tx).await?)
}

/// Keeps a new pitch.
pub(super) async fn insert_pitch(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    club: ClubId,
    ground: GroundId,
    facts: &PitchFacts,
) -> Result<PitchId> {
    let id = PitchId::new();
    diesel::insert_into(pitches::table)
        .values((
            pitches::network_id.eq(network),
            pitches::id.eq(id),
            pitches::club_id.eq(club),
            pitches::ground_id.eq(ground),
            facts,
        ))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Changes a pitch; false when it is no longer at that version.
pub(super) async fn update_pitch(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: PitchId,
    version: i32,
    facts: &PitchFacts,
) -> Result<bool> {
    let changed = diesel::update(pitches::table.find((network, id)).filter(pitches::version.eq(version)))
        .set((facts, pitches::version.eq(version + 1)))
        .execute(tx)
        .await?;
    Ok(changed == 1)
}

/// The newest walk's score of each pitch that has one, for the clubs whose walks may be seen (`None`: all). The one
/// look of this slice into another's table: a list of pitches without it would be answered by a request a pitch.
pub(super) async fn latest_scores(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_pitches: &[PitchId],
    seen_clubs: Option<Vec<ClubId>>,
) -> Result<HashMap<PitchId, LatestScore>> {
    let mut query = walks::table
        .filter(walks::network_id.eq(network))
        .filter(walks::pitch_id.eq_any(of_pitches))
        .distinct_on(walks::pitch_id)
        .select((walks::pitch_id, walks::id, walks::score, walks::score_se, walks::walked_on))
        .order((walks::pitch_id, walks::walked_on.desc(), walks::id.desc()))
        .into_boxed();
    if let Some(clubs) = seen_clubs {
        query = query.filter(walks::club_id.eq_any(clubs));
    }
    let rows: Vec<(PitchId, WalkId, f64, f64, NaiveDate)> = query.load(tx).await?;
    let scores = rows.into_iter().map(|(pitch, walk_id, score, score_se, walked_on)| {
        (pitch, LatestScore { walk_id, score, score_se, walked_on })
    });
    Ok(scores.collect())
}
