//! Walks as the API shows them: each result worked out again from the readings, by the scheme the walk was scored with.

use anyhow::Context;
use comparison::criteria::Criterion;
use comparison::score::{CriterionScore, score_walk};
use diesel_async::AsyncPgConnection;

use super::criteria_http::CriterionKey;
use super::http::{UnscoredReadings, Walk, WalkCriterion};
use super::record::Readings;
use super::schemes::{self, StoredScheme};
use super::store::{self, NamedWalk};
use crate::error::Result;
use crate::ids::NetworkId;

/// Stands in for the name of a walker who has left the network.
const SOMEBODY_GONE: &str = "somebody who has left";

/// One walk. Scope: the network.
pub(super) async fn walk(tx: &mut AsyncPgConnection, network: NetworkId, row: NamedWalk) -> Result<Walk> {
    Ok(walks(tx, network, vec![row]).await?.pop().context("one walk in, one walk out")?)
}

/// Walks in their given order; the number of queries does not grow with theirs. Scope: the network.
pub(super) async fn walks(tx: &mut AsyncPgConnection, network: NetworkId, rows: Vec<NamedWalk>) -> Result<Vec<Walk>> {
    let ids: Vec<_> = rows.iter().map(|(walk, ..)| walk.id).collect();
    let scheme_ids: Vec<_> = rows.iter().map(|(walk, ..)| walk.scheme_id).collect();
    let mut readings = store::readings_of(tx, network, &ids).await?;
    let schemes = schemes::load(tx, network, &scheme_ids).await?;
    rows.into_iter()
        .map(|row| {
            let scheme = schemes.get(&row.0.scheme_id).context("a walk has a scheme")?;
            let readings = readings.remove(&row.0.id).context("a walk has readings")?;
            view(row, &readings, scheme)
        })
        .collect()
}

fn view(row: NamedWalk, readings: &Readings, scheme: &StoredScheme) -> Result<Walk> {
    let (walk, pitch_name, club_name, walker) = row;
    let scored = score_walk(&scheme.scheme, readings.lists()).context("an entered walk can be scored")?;
    let in_scheme: Vec<Criterion> = scheme.scheme.criteria().iter().map(|each| each.criterion).collect();
    let missing = in_scheme.iter().copied().filter(|criterion| readings.of(*criterion).is_empty());
    let unscored = readings.lists().iter().filter(|(criterion, _)| !in_scheme.contains(criterion));
    Ok(Walk {
        walk_id: walk.id,
        pitch_id: walk.pitch_id,
        pitch_name,
        club_id: walk.club_id,
        club_name,
        walked_on: walk.walked_on,
        walked_by_name: walker.unwrap_or_else(|| SOMEBODY_GONE.to_owned()),
        scheme_version: scheme.version,
        score: walk.score,
        score_se: walk.score_se,
        criteria: scored.criteria.iter().map(|each| criterion(each, readings)).collect(),
        missing: missing.map(CriterionKey).collect(),
        unscored: unscored.map(|(criterion, values)| UnscoredReadings::new(*criterion, values)).collect(),
        note: walk.note,
    })
}

fn criterion(scored: &CriterionScore, readings: &Readings) -> WalkCriterion {
    WalkCriterion {
        criterion: CriterionKey(scored.criterion),
        name: scored.criterion.facts().name,
        unit: scored.criterion.facts().unit,
        n: scored.n,
        mean: scored.mean,
        sd: scored.sd,
        score: scored.score,
        score_se: scored.score_se,
        weight: scored.weight,
        values: readings.of(scored.criterion).to_vec(),
    }
}
