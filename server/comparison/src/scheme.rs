//! How measurements become a score: which criteria count, how much, and what is good.
//!
//! Promises that a [`Scheme`] makes sense: a rising scale for each criterion and positive
//! weights. Does not know any pitch. A network may agree its own; the default is this project's
//! own opinion and says so.

use crate::criteria::{Criterion, NO_SOURCE};
use thiserror::Error;

/// The best score.
pub const BEST_SCORE: f64 = 100.0;

/// The least points that make a scale.
const FEWEST_POINTS: usize = 2;

/// What a user is told of the default scheme.
pub const DEFAULT_SCHEME_NOTE: &str = "A proposal of this service, not a published grading: the \
    weights and scales are our own opinion, and each scale says what it leans on.";

/// Why a scheme was refused.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SchemeError {
    /// Nothing is to be scored.
    #[error("a scheme needs at least one criterion")]
    NoCriteria,
    /// A criterion stands in the scheme twice.
    #[error("{} stands in the scheme twice", criterion.key())]
    CriterionTwice {
        /// Which one.
        criterion: Criterion,
    },
    /// A weight is not a positive number.
    #[error("the weight of {} must be a positive number", criterion.key())]
    WeightNotPositive {
        /// Of which criterion.
        criterion: Criterion,
    },
    /// A scale has fewer than two points.
    #[error("the scale of {} needs at least two points", criterion.key())]
    TooFewPoints {
        /// Of which criterion.
        criterion: Criterion,
    },
    /// The measures of a scale do not strictly rise.
    #[error("the measures on the scale of {} must rise", criterion.key())]
    MeasuresNotRising {
        /// Of which criterion.
        criterion: Criterion,
    },
    /// A scale gives less than 0 or more than 100.
    #[error("the scores on the scale of {} must be from 0 to 100", criterion.key())]
    ScoreOutOfRange {
        /// Of which criterion.
        criterion: Criterion,
    },
}

/// How one criterion counts.
#[derive(Debug, Clone, PartialEq)]
pub struct SchemeCriterion {
    /// What is measured.
    pub criterion: Criterion,
    /// How much it counts beside the others; the weights need not sum to anything.
    pub weight: f64,
    /// Measure, in the criterion's unit, and the score from 0 to 100 it earns; a straight line
    /// between, level beyond the ends.
    pub points: Vec<(f64, f64)>,
}

/// A scheme that makes sense.
///
/// # Properties
/// At least one criterion, none twice; weights positive; measures strictly rising; scores from 0
/// to 100.
#[derive(Debug, Clone, PartialEq)]
pub struct Scheme {
    criteria: Vec<SchemeCriterion>,
}

impl Scheme {
    /// Makes a scheme of its criteria.
    ///
    /// # Errors
    /// The first rule of the [properties](Self) that is broken, with the criterion that breaks it.
    ///
    /// # Example
    /// ```
    /// use comparison::{criteria::Criterion, scheme::{Scheme, SchemeCriterion}};
    /// let scheme = Scheme::parse(vec![SchemeCriterion {
    ///     criterion: Criterion::GroundCover,
    ///     weight: 1.0,
    ///     points: vec![(50.0, 0.0), (95.0, 100.0)],
    /// }])?;
    /// assert_eq!(scheme.criteria().len(), 1);
    /// # Ok::<(), comparison::scheme::SchemeError>(())
    /// ```
    pub fn parse(criteria: Vec<SchemeCriterion>) -> Result<Self, SchemeError> {
        if criteria.is_empty() {
            return Err(SchemeError::NoCriteria);
        }
        for (place, each) in criteria.iter().enumerate() {
            let before = criteria.iter().take(place);
            if before.into_iter().any(|other| other.criterion == each.criterion) {
                return Err(SchemeError::CriterionTwice { criterion: each.criterion });
            }
            check(each)?;
        }
        Ok(Self { criteria })
    }

    /// Its criteria, in the given order.
    #[must_use]
    pub fn criteria(&self) -> &[SchemeCriterion] {
        &self.criteria
    }

    /// The criteria without which a walk is incomplete: those that need no rare tool.
    pub fn required(&self) -> impl Iterator<Item = Criterion> {
        self.criteria.iter().map(|each| each.criterion).filter(|criterion| !criterion.facts().optional)
    }
}

fn check(each: &SchemeCriterion) -> Result<(), SchemeError> {
    let criterion = each.criterion;
    if !each.weight.is_finite() || each.weight <= 0.0 {
        return Err(SchemeError::WeightNotPositive { criterion });
    }
    if each.points.len() < FEWEST_POINTS {
        return Err(SchemeError::TooFewPoints { criterion });
    }
    let all_finite = each.points.iter().all(|point| point.0.is_finite());
    let rising = each.points.is_sorted_by(|left, right| left.0 < right.0);
    if !all_finite || !rising {
        return Err(SchemeError::MeasuresNotRising { criterion });
    }
    if !each.points.iter().all(|point| (0.0..=BEST_SCORE).contains(&point.1)) {
        return Err(SchemeError::ScoreOutOfRange { criterion });
    }
    Ok(())
}

/// The scheme a network starts with: our own proposal.
///
/// # Source
/// Weights: [PRACTICE](crate::sources). Scales: what [`default_basis`] says of each.
#[must_use]
pub fn default_scheme() -> Scheme {
    let criteria = Criterion::ALL
        .into_iter()
        .map(|criterion| {
            let (weight, points) = default_scale(criterion);
            SchemeCriterion { criterion, weight, points: points.to_vec() }
        })
        .collect();
    // Written here rather than parsed: a test parses it, so that no caller has to.
    Scheme { criteria }
}

fn default_scale(criterion: Criterion) -> (f64, &'static [(f64, f64)]) {
    match criterion {
        Criterion::GroundCover => (25.0, &[(40.0, 0.0), (70.0, 50.0), (85.0, 80.0), (95.0, 100.0)]),
        Criterion::LiveWeeds => (5.0, &[(5.0, 100.0), (10.0, 80.0), (25.0, 40.0), (50.0, 0.0)]),
        Criterion::BareGround => (15.0, &[(2.0, 100.0), (15.0, 60.0), (40.0, 0.0)]),
        Criterion::SwardHeight => (10.0, &[(20.0, 0.0), (37.0, 80.0), (50.0, 100.0), (75.0, 100.0), (120.0, 0.0)]),
        Criterion::Evenness => (15.0, &[(5.0, 100.0), (15.0, 70.0), (40.0, 0.0)]),
        Criterion::RootDepth => (15.0, &[(20.0, 0.0), (100.0, 80.0), (150.0, 100.0)]),
        Criterion::StickPenetration => (5.0, &[(2.0, 0.0), (8.0, 80.0), (12.0, 100.0), (20.0, 100.0), (40.0, 30.0)]),
        Criterion::Hardness => (5.0, &[(30.0, 0.0), (70.0, 100.0), (85.0, 100.0), (120.0, 30.0), (200.0, 0.0)]),
        Criterion::Infiltration => (5.0, &[(0.0, 0.0), (5.0, 50.0), (30.0, 90.0), (60.0, 100.0)]),
    }
}

/// What the default scale of a criterion leans on, for whoever asks where a score comes from.
#[must_use]
pub fn default_basis(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::GroundCover | Criterion::LiveWeeds | Criterion::RootDepth => {
            "bands recalled from memory, not confirmed"
        }
        Criterion::SwardHeight => {
            "club rugby is cut at 37 to 75 mm and kept at 50 to 75 mm in season, by groundsmanship \
             articles and diaries; the rest is our own"
        }
        Criterion::Hardness => {
            "70 to 85 g in an international football programme, above 120 g unacceptably hard in \
             a study of community fields; the lower end recalled from memory, not confirmed"
        }
        Criterion::Infiltration => {
            "30 and 60 mm/h from the discussion of a stadium standard; 5 mm/h recalled from \
             memory, not confirmed"
        }
        Criterion::BareGround | Criterion::Evenness | Criterion::StickPenetration => NO_SOURCE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::piecewise::value_at;

    fn cover(weight: f64, points: &[(f64, f64)]) -> SchemeCriterion {
        SchemeCriterion { criterion: Criterion::GroundCover, weight, points: points.to_vec() }
    }

    #[test]
    fn the_default_scheme_is_one_that_would_be_accepted() {
        let scheme = default_scheme();
        assert_eq!(Scheme::parse(scheme.criteria().to_vec()), Ok(scheme));
    }

    #[test]
    fn the_default_scheme_scores_every_criterion_and_tells_what_it_leans_on() {
        let scheme = default_scheme();
        let scored: Vec<_> = scheme.criteria().iter().map(|each| each.criterion).collect();
        assert_eq!(scored, Criterion::ALL);
        for criterion in Criterion::ALL {
            assert!(!default_basis(criterion).is_empty());
        }
        assert!(DEFAULT_SCHEME_NOTE.contains("our own opinion"));
    }

    #[test]
    fn the_default_scales_agree_with_what_was_read() {
        let scheme = default_scheme();
        let score = |criterion: Criterion, measured: f64| {
            let each = scheme.criteria().iter().find(|each| each.criterion == criterion);
            value_at(&each.unwrap().points, measured)
        };
        // d042: 50 to 75 mm in season; d041: club rugby from 37 mm.
        assert_eq!(score(Criterion::SwardHeight, 50.0), BEST_SCORE);
        assert_eq!(score(Criterion::SwardHeight, 75.0), BEST_SCORE);
        assert!(score(Criterion::SwardHeight, 37.0) >= 75.0);
        // d025: 70 to 85 g; d027: above 120 g is unacceptably hard.
        assert_eq!(score(Criterion::Hardness, 70.0), BEST_SCORE);
        assert_eq!(score(Criterion::Hardness, 85.0), BEST_SCORE);
        assert!(score(Criterion::Hardness, 120.0) <= 30.0);
        // d017: 60 mm/h to be accepted.
        assert_eq!(score(Criterion::Infiltration, 60.0), BEST_SCORE);
    }

    #[test]
    fn what_needs_a_rare_tool_is_not_required() {
        let required: Vec<_> = default_scheme().required().collect();
        assert_eq!(required.len(), 7);
        assert!(!required.contains(&Criterion::Hardness));
        assert!(!required.contains(&Criterion::Infiltration));
    }

    #[test]
    fn a_scheme_that_makes_no_sense_is_refused_by_name() {
        use SchemeError::*;
        let criterion = Criterion::GroundCover;
        let scale = [(50.0, 0.0), (95.0, 100.0)];
        assert_eq!(Scheme::parse(vec![]), Err(NoCriteria));
        let twice = vec![cover(1.0, &scale), cover(2.0, &scale)];
        assert_eq!(Scheme::parse(twice), Err(CriterionTwice { criterion }));
        for weight in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let refused = Scheme::parse(vec![cover(weight, &scale)]);
            assert_eq!(refused, Err(WeightNotPositive { criterion }));
        }
        let short = Scheme::parse(vec![cover(1.0, &[(50.0, 0.0)])]);
        assert_eq!(short, Err(TooFewPoints { criterion }));
        for second in [50.0, 49.0, f64::NAN, f64::INFINITY] {
            let refused = Scheme::parse(vec![cover(1.0, &[(50.0, 0.0), (second, 100.0)])]);
            assert_eq!(refused, Err(MeasuresNotRising { criterion }));
        }
        for score in [-0.1, 100.1, f64::NAN] {
            let refused = Scheme::parse(vec![cover(1.0, &[(50.0, 0.0), (95.0, score)])]);
            assert_eq!(refused, Err(ScoreOutOfRange { criterion }));
        }
    }
}
