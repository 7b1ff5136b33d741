//! Where a pitch stands among others: what may be shown, and the figures of it. No queries here.

use anyhow::Context;
use comparison::criteria::Criterion;
use comparison::percentile::{percentile_rank, quantile_type8};
use comparison::privacy::enough_others;

use super::comparison_http::{ComparisonCriterion, ComparisonMark};
use super::criteria_http::CriterionKey;
use super::neighbours::{LatestWalk, Neighbour, Place};
use crate::clubs::Sharing;
use crate::error::Result;

/// Scores are compared as they are shown, with one decimal: the place can be counted off the marks, and nobody knows a
/// pitch again by its further decimals.
const DECIMALS: f64 = 10.0;

/// The share below which lie half of the others.
const HALF: f64 = 0.5;

/// What one walk says of each criterion measured.
#[derive(Default)]
pub(super) struct CriterionFigures(pub(super) Vec<CriterionFigure>);

/// One criterion of a walk: its mean, and the score of the mean where the walk's scheme scores it.
pub(super) struct CriterionFigure {
    pub(super) criterion: Criterion,
    pub(super) mean: f64,
    pub(super) score: Option<f64>,
}

/// A place among others.
pub(super) struct Standing {
    pub(super) percentile: f64,
    /// 1 is best; equals share the better one.
    pub(super) rank: usize,
    /// Every pitch, best first.
    pub(super) marks: Vec<ComparisonMark>,
}

impl CriterionFigures {
    fn of(&self, criterion: Criterion) -> Option<&CriterionFigure> {
        self.0.iter().find(|figure| figure.criterion == criterion)
    }
}

/// A score as compared and shown.
pub(super) fn rounded(score: f64) -> f64 {
    (score * DECIMALS).round() / DECIMALS
}

/// Where a walk stands among the latest of others.
pub(super) fn standing(place: &Place, own: &LatestWalk, others: &[Neighbour]) -> Result<Standing> {
    let score = rounded(own.score);
    let scores: Vec<_> = others.iter().map(|other| rounded(other.walk.score)).collect();
    let percentile = percentile_rank(score, &scores).context("there are others, and scores are numbers")?;
    let better = scores.iter().filter(|other| **other > score).count();
    Ok(Standing { percentile, rank: better + 1, marks: marks(place, own, others) })
}

/// Every pitch as a mark, best first. A club that is only counted gives a score and nothing else.
///
/// The order follows from what is shown, so that it says nothing more.
fn marks(place: &Place, own: &LatestWalk, others: &[Neighbour]) -> Vec<ComparisonMark> {
    let own = ComparisonMark {
        score: rounded(own.score),
        score_se: rounded(own.score_se),
        yours: true,
        club_name: Some(place.club_name.clone()),
        pitch_name: Some(place.pitch_name.clone()),
        distance_km: Some(0.0),
    };
    let mut marks: Vec<_> = others.iter().map(mark).chain([own]).collect();
    marks.sort_by(|a, b| {
        b.score
            .total_cmp(&a.score)
            .then(a.score_se.total_cmp(&b.score_se))
            .then_with(|| (&a.club_name, &a.pitch_name).cmp(&(&b.club_name, &b.pitch_name)))
    });
    marks
}

fn mark(other: &Neighbour) -> ComparisonMark {
    let named = other.sharing == Sharing::Named;
    ComparisonMark {
        score: rounded(other.walk.score),
        score_se: rounded(other.walk.score_se),
        yours: false,
        club_name: named.then(|| other.club_name.clone()),
        pitch_name: named.then(|| other.pitch_name.clone()),
        distance_km: named.then(|| other.distance_km.round()),
    }
}

/// Each criterion that was measured here or by enough others; no others, no medians.
pub(super) fn criteria(own: &CriterionFigures, others: &[CriterionFigures]) -> Vec<ComparisonCriterion> {
    let row = |criterion: Criterion| {
        let figure = own.of(criterion);
        let median = median(criterion, others);
        (figure.is_some() || median.is_some()).then(|| ComparisonCriterion {
            criterion: CriterionKey(criterion),
            name: criterion.facts().name,
            unit: criterion.facts().unit,
            own_mean: figure.map(|figure| figure.mean),
            own_score: figure.and_then(|figure| figure.score).map(rounded),
            others_median_score: median.map(rounded),
        })
    };
    Criterion::ALL.into_iter().filter_map(row).collect()
}

fn median(criterion: Criterion, others: &[CriterionFigures]) -> Option<f64> {
    let mut scores: Vec<_> = others.iter().filter_map(|other| other.of(criterion)?.score).collect();
    scores.sort_by(f64::total_cmp);
    if enough_others(scores.len()) { quantile_type8(&scores, HALF).ok() } else { None }
}
