//! The score of a walk, and how sure it is.
//!
//! Promises a score from 0 to 100 with its standard error, and the same for every criterion, so
//! that a user can see where it comes from. Does not know who walked, when, or other pitches. The
//! error is that of the readings only: not of the tool, and not of the choice of spots.

use crate::as_number;
use crate::criteria::Criterion;
use crate::piecewise::{slope_at, value_at};
use crate::scheme::{BEST_SCORE, Scheme, SchemeCriterion};
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
pub fn score_walk(scheme: &Scheme, readings: &[(Criterion, Vec<f64>)]) -> Result<WalkScore, ScoreError> {
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
    // Shares that sum to a hair over 1 would give a perfect pitch more than the best score.
    let score = criteria.iter().map(|each| each.weight * each.score).sum::<f64>().min(BEST_SCORE);
    let variance: f64 = criteria.iter().map(|each| (each.weight * each.score_se).powi(2)).sum();
    let missing = scheme.required().filter(|criterion| readings_of(*criterion, readings).is_empty()).collect();
    Ok(WalkScore { score, score_se: variance.sqrt(), criteria, missing })
}

fn check_readings(readings: &[(Criterion, Vec<f64>)]) -> Result<(), ScoreError> {
    for (place, (criterion, values)) in readings.iter().enumerate() {
        let criterion = *criterion;
        if readings.iter().take(place).any(|(other, _)| *other == criterion) {
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
    readings.iter().find(|(other, _)| *other == criterion).map_or(&[], |(_, values)| values)
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
        let squares: f64 = readings.iter().map(|reading| (reading - mean).powi(2)).sum();
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scheme::default_scheme;
    use proptest::prelude::*;

    fn straight(criterion: Criterion, weight: f64) -> SchemeCriterion {
        SchemeCriterion { criterion, weight, points: vec![(0.0, 0.0), (100.0, 100.0)] }
    }

    fn cover_and_weeds() -> Scheme {
        Scheme::parse(vec![straight(Criterion::GroundCover, 3.0), straight(Criterion::LiveWeeds, 1.0)]).unwrap()
    }

    fn is_close(left: f64, right: f64) -> bool {
        (left - right).abs() < 1e-9
    }

    #[test]
    fn a_walk_of_two_criteria_is_weighed_by_hand() {
        let readings = [(Criterion::GroundCover, vec![78.0, 82.0]), (Criterion::LiveWeeds, vec![10.0, 20.0, 30.0])];
        let walk = score_walk(&cover_and_weeds(), &readings).unwrap();
        let [cover, weeds] = walk.criteria.as_slice() else {
            panic!("two criteria were measured");
        };
        // Spread √8 over √2 readings, and 10 over √3.
        assert!(is_close(cover.mean_se, 2.0));
        assert!(is_close(weeds.mean_se, 10.0 / 3f64.sqrt()));
        assert!(is_close(cover.weight, 0.75) && is_close(weeds.weight, 0.25));
        assert!(is_close(walk.score, 0.75 * 80.0 + 0.25 * 20.0));
        // √((0.75 × 2)² + (0.25 × 10 ÷ √3)²), one point of score for each per cent.
        let variance = 1.5f64.powi(2) + 2.5f64.powi(2) / 3.0;
        assert!(is_close(walk.score_se, variance.sqrt()));
        assert_eq!(walk.missing, []);
    }

    #[test]
    fn the_standard_error_of_twenty_hardness_readings_is_known() {
        // d036: standard deviation 137 g, 20 readings, 30.6 g. Ten readings 137 × √(19/20) above
        // and ten below a middle have just that deviation.
        let off = 137.0 * (19.0f64 / 20.0).sqrt();
        let readings: Vec<f64> = (0..20).map(|place| if place % 2 == 0 { 500.0 + off } else { 500.0 - off }).collect();
        let scheme = Scheme::parse(vec![straight(Criterion::Hardness, 1.0)]).unwrap();
        let walk = score_walk(&scheme, &[(Criterion::Hardness, readings)]).unwrap();
        assert!((walk.criteria[0].sd - 137.0).abs() < 1e-9);
        assert!((walk.criteria[0].mean_se - 30.6).abs() < 0.05);
    }

    #[test]
    fn a_single_reading_is_as_unsure_as_readings_usually_spread() {
        let readings = [(Criterion::GroundCover, vec![80.0])];
        let walk = score_walk(&cover_and_weeds(), &readings).unwrap();
        let usual = Criterion::GroundCover.facts().typical_sd;
        assert_eq!(walk.criteria[0].sd, usual);
        assert!(is_close(walk.score_se, usual));
    }

    #[test]
    fn what_was_not_measured_is_named_and_does_not_weigh() {
        let readings = [(Criterion::GroundCover, vec![80.0, 80.0]), (Criterion::LiveWeeds, vec![])];
        let walk = score_walk(&cover_and_weeds(), &readings).unwrap();
        assert_eq!(walk.score, 80.0);
        assert_eq!(walk.criteria[0].weight, 1.0);
        assert_eq!(walk.missing, [Criterion::LiveWeeds]);
    }

    #[test]
    fn a_walk_without_a_rare_tool_misses_nothing() {
        let readings: Vec<_> = default_scheme().required().map(|criterion| (criterion, vec![20.0, 25.0])).collect();
        let walk = score_walk(&default_scheme(), &readings).unwrap();
        assert_eq!(walk.missing, []);
        assert_eq!(walk.criteria.len(), 7);
    }

    #[test]
    fn on_a_level_part_of_the_scale_the_score_is_sure() {
        let readings = [(Criterion::SwardHeight, vec![55.0, 60.0, 70.0])];
        let walk = score_walk(&default_scheme(), &readings).unwrap();
        assert_eq!((walk.score, walk.score_se), (100.0, 0.0));
        assert!(walk.criteria[0].mean_se > 0.0);
    }

    #[test]
    fn a_perfect_pitch_scores_no_more_than_the_best() {
        let best = |criterion, weight| SchemeCriterion { criterion, weight, points: vec![(0.0, 100.0), (1.0, 100.0)] };
        for weights in 1..500 {
            let weights = f64::from(weights) / 7.0;
            let parts = Criterion::ALL.into_iter().zip(1..).map(|(each, nth)| best(each, weights / f64::from(nth)));
            let readings: Vec<_> = Criterion::ALL.into_iter().map(|criterion| (criterion, vec![20.0])).collect();
            let walk = score_walk(&Scheme::parse(parts.collect()).unwrap(), &readings).unwrap();
            assert!(walk.score <= BEST_SCORE && is_close(walk.score, BEST_SCORE), "{}", walk.score);
        }
    }

    #[test]
    fn readings_no_pitch_can_have_are_refused_even_outside_the_scheme() {
        for reading in [-0.1, 100.1, f64::NAN, f64::INFINITY] {
            let readings = [(Criterion::GroundCover, vec![80.0]), (Criterion::BareGround, vec![5.0, reading])];
            let refused = score_walk(&cover_and_weeds(), &readings).unwrap_err();
            let ScoreError::ImpossibleReading { criterion, .. } = refused else {
                panic!("{refused}");
            };
            assert_eq!(criterion, Criterion::BareGround);
        }
    }

    #[test]
    fn a_walk_that_cannot_be_scored_is_refused_by_name() {
        let of = |readings: &[(Criterion, Vec<f64>)]| score_walk(&cover_and_weeds(), readings);
        assert_eq!(of(&[]), Err(ScoreError::NothingMeasured));
        assert_eq!(of(&[(Criterion::GroundCover, vec![])]), Err(ScoreError::NothingMeasured));
        let outside = [(Criterion::RootDepth, vec![90.0])];
        assert_eq!(of(&outside), Err(ScoreError::NothingMeasured));
        let twice = [(Criterion::GroundCover, vec![80.0]), (Criterion::GroundCover, vec![70.0])];
        let criterion = Criterion::GroundCover;
        assert_eq!(of(&twice), Err(ScoreError::CriterionTwice { criterion }));
    }

    prop_compose! {
        /// Some readings, all possible, of every criterion.
        fn any_walk()(
            shares in proptest::collection::vec(
                proptest::collection::vec(0.0..=1.0f64, 0..12), Criterion::ALL.len(),
            ),
        ) -> Vec<(Criterion, Vec<f64>)> {
            let reading = |criterion: Criterion, share: f64| {
                let possible = &criterion.facts().possible;
                possible.start() + share * (possible.end() - possible.start())
            };
            Criterion::ALL
                .into_iter()
                .zip(shares)
                .map(|(criterion, shares)| {
                    (criterion, shares.into_iter().map(|share| reading(criterion, share)).collect())
                })
                .collect()
        }
    }

    proptest! {
        #[test]
        fn a_score_lies_among_its_parts_and_says_how_sure_it_is(readings in any_walk()) {
            prop_assume!(readings.iter().any(|(_, values)| !values.is_empty()));
            let walk = score_walk(&default_scheme(), &readings).unwrap();
            let scores = || walk.criteria.iter().map(|each| each.score);
            let least = scores().fold(f64::INFINITY, f64::min);
            let greatest = scores().fold(f64::NEG_INFINITY, f64::max);
            prop_assert!(least - 1e-9 <= walk.score && walk.score <= greatest + 1e-9);
            prop_assert!((0.0..=BEST_SCORE).contains(&walk.score));
            prop_assert!(walk.score_se >= 0.0 && walk.score_se.is_finite());
            let weights: f64 = walk.criteria.iter().map(|each| each.weight).sum();
            prop_assert!(is_close(weights, 1.0));
            for each in &walk.criteria {
                prop_assert!(each.score_se >= 0.0 && each.mean_se >= 0.0);
                prop_assert!(!walk.missing.contains(&each.criterion));
            }
        }

        #[test]
        fn the_order_of_readings_and_lists_does_not_matter(mut readings in any_walk()) {
            prop_assume!(readings.iter().any(|(_, values)| !values.is_empty()));
            let there = score_walk(&default_scheme(), &readings).unwrap();
            readings.reverse();
            for (_, values) in &mut readings {
                values.reverse();
            }
            let back = score_walk(&default_scheme(), &readings).unwrap();
            prop_assert!(is_close(there.score, back.score));
            // Near a corner rounding may take the slope of the other side.
            for (one, other) in there.criteria.iter().zip(&back.criteria) {
                prop_assert_eq!(one.criterion, other.criterion);
                prop_assert!((one.mean_se - other.mean_se).abs() < 1e-6);
            }
            prop_assert_eq!(there.missing, back.missing);
        }

        #[test]
        fn weights_count_by_their_ratio_only(readings in any_walk(), scale in 0.01..100.0f64) {
            prop_assume!(readings.iter().any(|(_, values)| !values.is_empty()));
            let mut criteria = default_scheme().criteria().to_vec();
            for each in &mut criteria {
                each.weight *= scale;
            }
            let scaled = score_walk(&Scheme::parse(criteria).unwrap(), &readings).unwrap();
            let plain = score_walk(&default_scheme(), &readings).unwrap();
            prop_assert!(is_close(scaled.score, plain.score));
            prop_assert!(is_close(scaled.score_se, plain.score_se));
        }
    }
}
