//! The versions of a network's scoring scheme: queries, and making the next one. A version is never changed.

use std::collections::HashMap;

use anyhow::Context;
use chrono::{DateTime, Utc};
use comparison::criteria::Criterion;
use comparison::scheme::{DEFAULT_SCHEME_NOTE, Scheme, SchemeCriterion, default_scheme};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::ids::{NetworkId, PersonId, SchemeId};
use crate::schema::{people, scheme_criteria, schemes};
use crate::wire::{IfMatch, PageQuery};

/// What the first version of a scheme counts as.
const FIRST_VERSION: i32 = 1;

/// A version of the scheme, read back.
pub(super) struct StoredScheme {
    pub(super) id: SchemeId,
    pub(super) version: i32,
    pub(super) note: String,
    pub(super) scheme: Scheme,
}

/// A version without its content: number, note, when, by whom.
pub(super) type Version = (i32, String, DateTime<Utc>, Option<String>);

/// Gives a new network the scheme it starts with. Scope: that network.
///
/// # Errors
/// A failing database.
pub async fn start_scheme(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<()> {
    insert(tx, network, FIRST_VERSION, DEFAULT_SCHEME_NOTE, None, &default_scheme()).await
}

/// Makes the version after the one the caller has seen.
///
/// # Errors
/// `changed_meanwhile` when that is no longer the current one; of two at once the database lets one through.
pub(super) async fn replace(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    seen: IfMatch,
    note: &str,
    by: PersonId,
    scheme: &Scheme,
) -> Result<()> {
    let current: i32 = schemes::table
        .filter(schemes::network_id.eq(network))
        .order(schemes::version.desc())
        .select(schemes::version)
        .first(tx)
        .await?;
    if current != seen.0 {
        return Err(seen.stale().into());
    }
    insert(tx, network, current + 1, note, Some(by), scheme).await
}

async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    version: i32,
    note: &str,
    by: Option<PersonId>,
    scheme: &Scheme,
) -> Result<()> {
    let id = SchemeId::new();
    diesel::insert_into(schemes::table)
        .values((
            schemes::network_id.eq(network),
            schemes::id.eq(id),
            schemes::version.eq(version),
            schemes::note.eq(note),
            schemes::created_by.eq(by),
        ))
        .execute(tx)
        .await?;
    let mut rows = Vec::new();
    for each in scheme.criteria() {
        rows.push((
            scheme_criteria::network_id.eq(network),
            scheme_criteria::scheme_id.eq(id),
            scheme_criteria::criterion.eq(each.criterion.key()),
            scheme_criteria::weight.eq(each.weight),
            scheme_criteria::points.eq(serde_json::to_value(&each.points).context("points are plain numbers")?),
        ));
    }
    diesel::insert_into(scheme_criteria::table).values(rows).execute(tx).await?;
    Ok(())
}

/// The current scheme. Scope: the network.
pub(super) async fn current(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<StoredScheme> {
    let id: SchemeId = schemes::table
        .filter(schemes::network_id.eq(network))
        .order(schemes::version.desc())
        .select(schemes::id)
        .first(tx)
        .await?;
    Ok(load(tx, network, &[id]).await?.remove(&id).context("a scheme has criteria")?)
}

/// Schemes by id, in one query; an id may come often. Scope: the network.
pub(super) async fn load(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[SchemeId],
) -> Result<HashMap<SchemeId, StoredScheme>> {
    type Row = (SchemeId, i32, String, String, f64, serde_json::Value);
    let in_scheme = scheme_criteria::network_id.eq(schemes::network_id).and(scheme_criteria::scheme_id.eq(schemes::id));
    let rows: Vec<Row> = schemes::table
        .inner_join(scheme_criteria::table.on(in_scheme))
        .filter(schemes::network_id.eq(network))
        .filter(schemes::id.eq_any(ids))
        .select((
            schemes::id,
            schemes::version,
            schemes::note,
            scheme_criteria::criterion,
            scheme_criteria::weight,
            scheme_criteria::points,
        ))
        .load(tx)
        .await?;
    let mut parts: HashMap<SchemeId, (i32, String, Vec<SchemeCriterion>)> = HashMap::new();
    for (id, version, note, criterion, weight, points) in rows {
        let criterion = Criterion::parse(&criterion).context("a stored criterion is known")?;
        let points = serde_json::from_value(points).context("a stored scale is a list of points")?;
        let (_, _, criteria) = parts.entry(id).or_insert((version, note, Vec::new()));
        criteria.push(SchemeCriterion { criterion, weight, points });
    }
    parts.into_iter().map(|(id, (version, note, criteria))| read_back(id, version, note, criteria)).collect()
}

fn read_back(
    id: SchemeId,
    version: i32,
    note: String,
    mut criteria: Vec<SchemeCriterion>,
) -> Result<(SchemeId, StoredScheme)> {
    criteria.sort_by_key(|each| each.criterion);
    let scheme = Scheme::parse(criteria).context("a stored scheme makes sense")?;
    Ok((id, StoredScheme { id, version, note, scheme }))
}

/// Versions, newest first. Scope: the network.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId, page: &PageQuery) -> Result<Vec<Version>> {
    let mut query = schemes::table
        .left_join(people::table)
        .filter(schemes::network_id.eq(network))
        .select((schemes::version, schemes::note, schemes::created_at, people::name.nullable()))
        .order(schemes::version.desc())
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<i32>()? {
        query = query.filter(schemes::version.lt(after));
    }
    Ok(query.load(tx).await?)
}
