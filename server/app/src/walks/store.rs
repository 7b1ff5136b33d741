//! Queries on walks and their readings.

use std::collections::HashMap;

use anyhow::Context;
use chrono::NaiveDate;
use comparison::criteria::Criterion;
use comparison::score::WalkScore;
use diesel::AggregateExpressionMethods;
use diesel::dsl::AsSelect;
use diesel::pg::Pg;
use diesel::prelude::*;
use diesel::sql_types::Double;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::record::{Readings, Visit};
use super::schemes::StoredScheme;
use crate::access::Member;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, PitchId, SchemeId, WalkId};
use crate::schema::{clubs, people, pitches, readings, walks};
use crate::wire::PageQuery;

/// A walk as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = walks)]
pub(super) struct StoredWalk {
    pub(super) id: WalkId,
    pub(super) club_id: ClubId,
    pub(super) pitch_id: PitchId,
    pub(super) walked_on: NaiveDate,
    pub(super) scheme_id: SchemeId,
    pub(super) score: f64,
    pub(super) score_se: f64,
    pub(super) note: String,
}

/// A walk with the names of its pitch, its club and its walker; a walker who has left the network has none.
pub(super) type NamedWalk = (StoredWalk, String, String, Option<String>);

/// What a list of walks is ordered by.
pub(super) type ListKey = (NaiveDate, WalkId);

/// Whose walks to list.
pub(super) enum WalksOf {
    /// Of one pitch.
    Pitch(PitchId),
    /// Of some clubs.
    Clubs(Vec<ClubId>),
    /// Of the whole network.
    Network,
}

#[diesel::declare_sql_function]
extern "SQL" {
    #[aggregate]
    fn array_agg(value: Double) -> Array<Double>;
}

/// The club of a pitch. Scope: the network.
pub(super) async fn club_of_pitch(tx: &mut AsyncPgConnection, network: NetworkId, pitch: PitchId) -> Result<ClubId> {
    Ok(pitches::table.find((network, pitch)).select(pitches::club_id).first(tx).await?)
}

/// Keeps a walk with its readings, unless one with its id is there; tells whether it did.
pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    club: ClubId,
    visit: &Visit,
    scheme: &StoredScheme,
    score: &WalkScore,
) -> Result<bool> {
    let inserted = diesel::insert_into(walks::table)
        .values((
            walks::network_id.eq(member.network_id),
            walks::id.eq(visit.id),
            walks::club_id.eq(club),
            walks::pitch_id.eq(visit.pitch),
            walks::walked_on.eq(visit.walked_on),
            walks::walked_by.eq(member.person_id),
            walks::scheme_id.eq(scheme.id),
            walks::score.eq(score.score),
            walks::score_se.eq(score.score_se),
            walks::note.eq(&visit.note),
        ))
        .on_conflict((walks::network_id, walks::id))
        .do_nothing()
        .execute(tx)
        .await?;
    if inserted == 0 {
        return Ok(false);
    }
    insert_readings(tx, member.network_id, visit).await?;
    Ok(true)
}

/// One statement: nine criteria of 200 readings with five values each stay far below the 65,535 parameters it may have.
async fn insert_readings(tx: &mut AsyncPgConnection, network: NetworkId, visit: &Visit) -> Result<()> {
    let mut rows = Vec::new();
    for (criterion, values) in visit.readings.lists() {
        for (point, value) in (1_i16..).zip(values) {
            rows.push((
                readings::network_id.eq(network),
                readings::walk_id.eq(visit.id),
                readings::criterion.eq(criterion.key()),
                readings::point.eq(point),
                readings::value.eq(*value),
            ));
        }
    }
    diesel::insert_into(readings::table).values(rows).execute(tx).await?;
    Ok(())
}

#[diesel::dsl::auto_type(no_type_alias)]
fn named_walks(network: NetworkId) -> _ {
    let columns: AsSelect<StoredWalk, Pg> = StoredWalk::as_select();
    let of_pitch = pitches::network_id.eq(walks::network_id).and(pitches::id.eq(walks::pitch_id));
    let of_club = clubs::network_id.eq(walks::network_id).and(clubs::id.eq(walks::club_id));
    walks::table
        .inner_join(pitches::table.on(of_pitch))
        .inner_join(clubs::table.on(of_club))
        .left_join(people::table)
        .filter(walks::network_id.eq(network))
        .select((columns, pitches::name, clubs::name, people::name.nullable()))
}

/// A walk with its names. Scope: the network.
pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: WalkId) -> Result<NamedWalk> {
    Ok(named_walks(network).filter(walks::id.eq(id)).first(tx).await?)
}

/// Walks with their names, newest first. Scope: the network.
pub(super) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of: WalksOf,
    page: &PageQuery,
) -> Result<Vec<NamedWalk>> {
    let newest_first = (walks::walked_on.desc(), walks::id.desc());
    let mut query = named_walks(network).order(newest_first).limit(page.rows()).into_boxed();
    query = match of {
        WalksOf::Pitch(pitch) => query.filter(walks::pitch_id.eq(pitch)),
        WalksOf::Clubs(of_clubs) => query.filter(walks::club_id.eq_any(of_clubs)),
        WalksOf::Network => query,
    };
    if let Some((day, id)) = page.after::<ListKey>()? {
        query = query.filter(walks::walked_on.lt(day).or(walks::walked_on.eq(day).and(walks::id.lt(id))));
    }
    Ok(query.load(tx).await?)
}

/// The readings of walks, in one query. Scope: the network.
pub(super) async fn readings_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[WalkId],
) -> Result<HashMap<WalkId, Readings>> {
    let rows: Vec<(WalkId, String, Vec<f64>)> = readings::table
        .filter(readings::network_id.eq(network))
        .filter(readings::walk_id.eq_any(ids))
        .group_by((readings::walk_id, readings::criterion))
        .select((
            readings::walk_id,
            readings::criterion,
            array_agg(readings::value).aggregate_order(readings::point.asc()),
        ))
        .load(tx)
        .await?;
    let mut lists: HashMap<WalkId, Vec<(Criterion, Vec<f64>)>> = HashMap::new();
    for (walk, criterion, values) in rows {
        let criterion = Criterion::parse(&criterion).context("a stored criterion is known")?;
        lists.entry(walk).or_default().push((criterion, values));
    }
    Ok(lists.into_iter().map(|(walk, lists)| (walk, Readings::stored(lists))).collect())
}

/// A walk as it was sent, if there is one with this id. Scope: the network.
pub(super) async fn entered(tx: &mut AsyncPgConnection, network: NetworkId, id: WalkId) -> Result<Option<Visit>> {
    let row: Option<(PitchId, NaiveDate, String)> = walks::table
        .find((network, id))
        .select((walks::pitch_id, walks::walked_on, walks::note))
        .first(tx)
        .await
        .optional()?;
    let Some((pitch, walked_on, note)) = row else { return Ok(None) };
    let readings = readings_of(tx, network, &[id]).await?.remove(&id).context("a walk has readings")?;
    Ok(Some(Visit { id, pitch, walked_on, readings, note }))
}
