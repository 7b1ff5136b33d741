//! Comparing a pitch with others: gather, decide whether it may be shown, answer.

use std::collections::HashMap;

use anyhow::Context;
use comparison::piecewise::value_at;
use comparison::privacy::{FEWEST_OTHERS, enough_others};
use diesel_async::AsyncPgConnection;

use super::comparison_http::{Comparison, ComparisonBasis, OwnScore};
use super::neighbours::{self, Circle, LatestWalk, Place, Search};
use super::schemes;
use super::standing::{self, CriterionFigure, CriterionFigures, rounded};
use crate::error::Result;
use crate::ids::{NetworkId, WalkId};

const PERCENTILE_DEFINITION: &str = "How many in 100 of the other pitches score lower, those with the same score \
     counted half: the mean of the share below and the share no higher. Scores are taken to one decimal.";

const BASIS_NOTE: &str = "Each pitch counts by its latest walk, with the score it was given then. Walks of different \
     months are compared as they are. The club's own other pitches are left out.";

/// Where a pitch stands. The number of queries does not grow with the others. Scope: the network.
pub(super) async fn compare(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    place: Place,
    search: &Search,
) -> Result<Comparison> {
    let own = neighbours::latest_walk(tx, network, place.pitch_id, search.since).await?;
    let mut others = neighbours::neighbours(tx, network, &place, search).await?;
    let counted = others.len();
    let reason_not_shown = reason_not_shown(own.is_some(), counted);
    if reason_not_shown.is_some() {
        // What may not be shown is not even worked out.
        others.clear();
    }
    let standing = match &own {
        Some(own) if reason_not_shown.is_none() => Some(standing::standing(&place, own, &others)?),
        _ => None,
    };
    let walks: Vec<_> = own.iter().chain(others.iter().map(|other| &other.walk)).collect();
    let mut figures = figures(tx, network, &walks).await?;
    let own_figures = own.as_ref().and_then(|walk| figures.remove(&walk.id)).unwrap_or_default();
    let others_figures: Vec<_> = figures.into_values().collect();
    Ok(Comparison {
        pitch_id: place.pitch_id,
        pitch_name: place.pitch_name,
        own: own.as_ref().map(own_score),
        basis: basis(search),
        others: counted,
        fewest_others: FEWEST_OTHERS,
        shown: reason_not_shown.is_none(),
        reason_not_shown,
        percentile: standing.as_ref().map(|standing| standing.percentile),
        percentile_definition: PERCENTILE_DEFINITION,
        rank: standing.as_ref().map(|standing| standing.rank),
        marks: standing.map(|standing| standing.marks).unwrap_or_default(),
        criteria: standing::criteria(&own_figures, &others_figures),
    })
}

fn reason_not_shown(walked: bool, others: usize) -> Option<String> {
    if !enough_others(others) {
        let found = match others {
            0 => "No other pitch was".to_owned(),
            1 => "Only one other pitch was".to_owned(),
            some => format!("Only {some} other pitches were"),
        };
        return Some(format!(
            "{found} walked here in the past year; with fewer than {FEWEST_OTHERS} one could be told from another."
        ));
    }
    (!walked).then(|| "This pitch was not walked in the past year; walk it to see where it stands.".to_owned())
}

fn own_score(walk: &LatestWalk) -> OwnScore {
    OwnScore { score: rounded(walk.score), score_se: rounded(walk.score_se), walked_on: walk.walked_on }
}

fn basis(search: &Search) -> ComparisonBasis {
    let (within_km, nearest) = match search.circle {
        Circle::WithinKm(km) => (Some(km), None),
        Circle::Nearest(most) => (None, Some(most)),
    };
    ComparisonBasis {
        within_km,
        nearest,
        sport: search.sport,
        soil: search.soil,
        walked_since_on: search.since,
        note: BASIS_NOTE,
    }
}

/// What each walk says of each criterion, by the scheme it was scored with.
async fn figures(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    walks: &[&LatestWalk],
) -> Result<HashMap<WalkId, CriterionFigures>> {
    let ids: Vec<_> = walks.iter().map(|walk| walk.id).collect();
    let scheme_ids: Vec<_> = walks.iter().map(|walk| walk.scheme_id).collect();
    let schemes = schemes::load(tx, network, &scheme_ids).await?;
    let mut means = neighbours::means(tx, network, &ids).await?;
    let mut figures = HashMap::new();
    for walk in walks {
        let scheme = &schemes.get(&walk.scheme_id).context("a walk has a scheme")?.scheme;
        let of_walk = means.remove(&walk.id).unwrap_or_default().into_iter().map(|(criterion, mean)| {
            let scale = scheme.criteria().iter().find(|each| each.criterion == criterion);
            CriterionFigure { criterion, mean, score: scale.map(|scale| value_at(&scale.points, mean)) }
        });
        figures.insert(walk.id, CriterionFigures(of_walk.collect()));
    }
    Ok(figures)
}
