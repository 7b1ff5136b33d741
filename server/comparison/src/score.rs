//! The score of a walk, and how sure it is.
//!
//! Promises a score from 0 to 100 with its standard error, and the same for every criterion, so
//! that a user can see where it comes from. Does not know who walked, when, or other pitches. The
//! error is that of the readings only: not of the tool, and not of the choice of spots.

use crate::as_number;
use crate::criteria::Criterion;
use crate::piecewise::{slope_at, value_at};
use crate::scheme::{Scheme, SchemeCriterion};
use thiserror::Error;

/// Readings from which their own spread is used.
const FEWEST_FOR_SPREAD: usize = 2;

/// Why a walk was not scored.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ScoreError {
    /// The readings of a criterion come in two lists.
    #[error("the readings of {} are given twice", criterion.key())]
    CriterionTwice {
        /// Of which criterion.
        criterion: Criterion,
    },
    /// A reading is one that no pitch can have.
    #[error("{reading} is not a possible reading of {}", criterion.key())]
    ImpossibleReading {
        /// Of which criterion.
        criterion: Criterion,
        /// The reading.
        reading: f64,
    },
    /// Nothing in the scheme was measured.
    #[error("nothing that the scheme scores was measured")]
    NothingMeasured,
}

/// What a walk says of one criterion.
#[derive(Debug, Clone, PartialEq)]
pub struct CriterionScore {
    /// What was measured.
    pub criterion: Criterion,
    /// How many readings.
    pub n: usize,
    /// Their mean, in the criterion's unit.
    pub mean: f64,
    /// Their standard deviation (divisor n − 1); of a single reading the criterion's usual spread.
    pub sd: f64,
    /// The standard error of the mean: `sd ÷ √n`.
    pub mean_se: f64,
    /// The score of the mean, 0 to 100.
    pub score: f64,
    /// The standard error of the score.
    pub score_se: f64,
    /// Its share in the score of the walk; the shares sum to 1.
    pub weight: f64,
}

/// What a walk says of a pitch.
#[derive(Debug, Clone, PartialEq)]
pub struct WalkScore {
    /// The score, 0 to 100.
    pub score: f64,
    /// Its standard error.
    pub score_se: f64,
    /// What it is made of, in the order of the scheme.
    pub criteria: Vec<CriterionScore>,
    /// What the scheme requires and the walk lacks, in the order of the scheme.
    pub missing: Vec<Criterion>,
}

/// Scores a walk.
///
/// Each criterion: the mean of its readings, with standard error sd ÷ √n, read on the scheme's
/// scale; the error of the score is the error of the mean times the slope of the scale there (on
/// a corner the average of the slopes on either side). The walk: the mean of the scores by weight,
/// the weights of what was measured scaled to sum to 1, with standard error √Σ(weight × error)².
///
/// Readings of criteria outside the scheme must be possible, and are then left aside. An empty
/// list is a criterion not measured.
///
/// # Errors
/// Two lists for one criterion; a reading that is impossible or not a number; nothing measured
/// that the scheme scores.
///
/// # Properties
/// The score lies between the least and the greatest score of its criteria. The order of readings
/// and of lists does not matter. On a level part of a scale the error is 0, however wide the
/// readings spread: there the score would not change.
///
/// # Example
/// ```
/// use comparison::{criteria::Criterion, scheme::{Scheme, SchemeCriterion}, score::score_walk};
/// let scheme = Scheme::parse(vec![SchemeCriterion {
///     criterion: Criterion::GroundCover,
///     weight: 1.0,
///     points: vec![(50.0, 0.0), (100.0, 100.0)],
/// }]).unwrap();
/// let walk = score_walk(&scheme, &[(Criterion::GroundCover, vec![78.0, 82.0])])?;
/// // Mean 80, standard error 2, two points of score for each point of cover.
/// assert_eq!(walk.score, 60.0);
/// assert!((walk.score_se - 4.0).abs() < 1e-12);
/// # Ok::<(), comparison::score::ScoreError>(())
/// ```
///
/// # Source
/// [DELTA](crate::sources)
pub fn score_walk(
    scheme: &Scheme,
    readings: &[(Criterion, Vec<f64>)],
) -> Result<WalkScore, ScoreError> {
    check_readings(readings)?;
    let mut criteria: Vec<CriterionScore> = scheme
        .criteria()
        .iter()
        .filter_map(|each| score_criterion(each, readings_of(each.criterion, readings)))
        .collect();
    if criteria.is_empty() {
        return Err(ScoreError::NothingMeasured);
    }
    let weights: f64 = criteria.iter().map(|each| each.weight).sum();
    for each in &mut criteria {
        each.weight /= weights;
    }
    let score = criteria.iter().map(|each| each.weight * each.score).sum();
    let variance: f64 = criteria
        .iter()
        .map(|each| (each.weight * each.score_se).powi(2))
        .sum();
    let missing = scheme
        .required()
        .filter(|criterion| readings_of(*criterion, readings).is_empty())
        .collect();
    Ok(WalkScore {
        score,
        score_se: variance.sqrt(),
        criteria,
        missing,
    })
}

fn check_readings(readings: &[(Criterion, Vec<f64>)]) -> Result<(), ScoreError> {
    for (place, (criterion, values)) in readings.iter().enumerate() {
        let criterion = *criterion;
        if readings
            .iter()
            .take(place)
            .any(|(other, _)| *other == criterion)
        {
            return Err(ScoreError::CriterionTwice { criterion });
        }
        // A range contains neither NaN nor infinity.
        let possible = &criterion.facts().possible;
        if let Some(reading) = values.iter().copied().find(|each| !possible.contains(each)) {
            return Err(ScoreError::ImpossibleReading { criterion, reading });
        }
    }
    Ok(())
}

fn readings_of(criterion: Criterion, readings: &[(Criterion, Vec<f64>)]) -> &[f64] {
    readings
        .iter()
        .find(|(other, _)| *other == criterion)
        .map_or(&[], |(_, values)| values)
}

/// The score of one criterion with the scheme's weight as given, or nothing if not measured.
fn score_criterion(each: &SchemeCriterion, readings: &[f64]) -> Option<CriterionScore> {
    if readings.is_empty() {
        return None;
    }
    let n = as_number(readings.len());
    let mean = readings.iter().sum::<f64>() / n;
    let sd = if readings.len() < FEWEST_FOR_SPREAD {
        each.criterion.facts().typical_sd
    } else {
        let squares: f64 = readings
            .iter()
            .map(|reading| (reading - mean).powi(2))
            .sum();
        (squares / (n - 1.0)).sqrt()
    };
    let mean_se = sd / n.sqrt();
    Some(CriterionScore {
        criterion: each.criterion,
        n: readings.len(),
        mean,
        sd,
        mean_se,
        score: value_at(&each.points, mean),
        score_se: slope_at(&each.points, mean).abs() * mean_se,
        weight: each.weight,
    })
}
