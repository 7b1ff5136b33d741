//! Where a figure stands among others, and the figures that cut others into shares.
//!
//! Promises one named definition each: programs differ, and with ten pitches the difference
//! shows. Does not know whose figures they are, nor whether they may be
//! [shown](crate::privacy).

use crate::as_number;
use thiserror::Error;

/// All, in percent.
const ALL_PERCENT: f64 = 100.0;

/// Why a rank or a quantile was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PercentileError {
    /// There is nobody to compare with.
    #[error("there are no figures to compare with")]
    NoFigures,
    /// A figure is not a number.
    #[error("every figure must be a finite number")]
    NotFinite,
    /// The figures are not in order.
    #[error("the figures must be sorted from least to greatest")]
    NotSorted,
    /// The share is not between nothing and all.
    #[error("the share must be from 0 to 1")]
    ShareOutOfRange,
}

/// The percentage of the others that stand below, the equal ones counted half: the mean of the
/// share that is below and the share that is no higher.
///
/// # Units
/// Any unit, the same for all; percent out.
///
/// # Errors
/// No others, or a figure that is not finite.
///
/// # Properties
/// From 0 to 100; 50 among equals; never falls as `own` rises; the order of the others does not
/// matter; the ranks of a figure and of its mirror image sum to 100.
///
/// # Example
/// ```
/// use comparison::percentile::percentile_rank;
/// assert_eq!(percentile_rank(3.0, &[1.0, 2.0, 3.0, 4.0])?, 62.5);
/// # Ok::<(), comparison::percentile::PercentileError>(())
/// ```
///
/// # Source
/// [PRACTICE](crate::sources); statistical libraries call it the mean kind of percentile rank.
pub fn percentile_rank(own: f64, others: &[f64]) -> Result<f64, PercentileError> {
    if others.is_empty() {
        return Err(PercentileError::NoFigures);
    }
    if !own.is_finite() || !others.iter().all(|other| other.is_finite()) {
        return Err(PercentileError::NotFinite);
    }
    let below = others.iter().filter(|other| **other < own).count();
    let no_higher = others.iter().filter(|other| **other <= own).count();
    let halves = as_number(below) + as_number(no_higher);
    Ok(halves / (2.0 * as_number(others.len())) * ALL_PERCENT)
}

/// Quantile by definition 7: the one most programs take unasked.
///
/// # Units
/// The share from 0 to 1; the figures' own unit out.
///
/// # Errors
/// No figures, figures not finite or not sorted, a share outside 0 to 1.
///
/// # Properties
/// Never falls as the share rises; the least figure at 0, the greatest at 1.
///
/// # Example
/// ```
/// use comparison::percentile::quantile_type7;
/// assert_eq!(quantile_type7(&[15.0, 20.0, 35.0, 40.0, 50.0], 0.4)?, 29.0);
/// # Ok::<(), comparison::percentile::PercentileError>(())
/// ```
///
/// # Source
/// [HF1996](crate::sources)
pub fn quantile_type7(sorted: &[f64], share: f64) -> Result<f64, PercentileError> {
    quantile(sorted, share, 1.0 - share)
}

/// Quantile by definition 8: nearly unbiased about the median whatever the distribution, and the
/// one the authors recommend. Comparisons here use this.
///
/// # Units
/// As for [`quantile_type7`].
///
/// # Errors
/// As for [`quantile_type7`].
///
/// # Properties
/// As for [`quantile_type7`].
///
/// # Example
/// ```
/// use comparison::percentile::quantile_type8;
/// assert_eq!(quantile_type8(&[15.0, 20.0, 35.0, 40.0, 50.0], 0.4)?, 27.0);
/// # Ok::<(), comparison::percentile::PercentileError>(())
/// ```
///
/// # Source
/// [HF1996](crate::sources)
pub fn quantile_type8(sorted: &[f64], share: f64) -> Result<f64, PercentileError> {
    quantile(sorted, share, (share + 1.0) / 3.0)
}

/// The figure at place `n × share + offset`, counted from 1, on straight lines between figures.
fn quantile(sorted: &[f64], share: f64, offset: f64) -> Result<f64, PercentileError> {
    let (Some(least), Some(greatest)) = (sorted.first(), sorted.last()) else {
        return Err(PercentileError::NoFigures);
    };
    if !sorted.iter().all(|figure| figure.is_finite()) {
        return Err(PercentileError::NotFinite);
    }
    if !sorted.is_sorted() {
        return Err(PercentileError::NotSorted);
    }
    if !(0.0..=1.0).contains(&share) {
        return Err(PercentileError::ShareOutOfRange);
    }
    let place = as_number(sorted.len()) * share + offset;
    if place < 1.0 {
        return Ok(*least);
    }
    let pairs = sorted.iter().zip(sorted.iter().skip(1));
    Ok((1usize..)
        .map(as_number)
        .zip(pairs)
        .find(|(before, _)| place < before + 1.0)
        .map_or(*greatest, |(before, (left, right))| left + (place - before) * (right - left)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    type Quantile = fn(&[f64], f64) -> Result<f64, PercentileError>;

    fn assert_quantiles(row: &str, quantile: Quantile, sorted: &[f64], expected: &[(f64, f64)]) {
        for (share, figure) in expected {
            let found = quantile(sorted, *share).unwrap();
            assert!((found - figure).abs() < 0.0005, "{row}: {found} at {share}");
        }
    }

    #[test]
    fn quantiles_match_the_nine_definitions_table() {
        let small = [15.0, 20.0, 35.0, 40.0, 50.0];
        // f007 and f008: the small data set of the percentile literature, by numpy and R.
        let shares = [0.05, 0.30, 0.40, 0.50, 0.75, 1.0];
        let f007 = [16.0, 23.0, 29.0, 35.0, 40.0, 50.0];
        let f008 = [15.0, 19.6667, 27.0, 35.0, 43.3333, 50.0];
        let pairs = |figures: [f64; 6]| shares.into_iter().zip(figures).collect::<Vec<_>>();
        assert_quantiles("f007", quantile_type7, &small, &pairs(f007));
        assert_quantiles("f008", quantile_type8, &small, &pairs(f008));
    }

    #[test]
    fn quantiles_of_ten_and_of_a_lopsided_six_match() {
        // f012: 1 to 10, type 8. With ten pitches the 90 % point is 9.63, not type 7's 9.1.
        let ten: Vec<f64> = (1..=10).map(f64::from).collect();
        let f012 = [(0.25, 2.9167), (0.5, 5.5), (0.75, 8.0833), (0.9, 9.6333)];
        assert_quantiles("f012", quantile_type8, &ten, &f012);
        assert_quantiles("f012", quantile_type7, &ten, &[(0.9, 9.1)]);
        // f013: R summary() teaching page, type 7.
        let six = [1.0, 3.0, 12.0, 14.0, 96.0, 111.0];
        let quarters = [(0.25, 5.25), (0.5, 13.0), (0.75, 75.5)];
        assert_quantiles("f013", quantile_type7, &six, &quarters);
    }

    #[test]
    fn a_rank_counts_equals_half() {
        let others = [40.0, 50.0, 50.0, 60.0, 70.0];
        assert_eq!(percentile_rank(50.0, &others), Ok(40.0));
        assert_eq!(percentile_rank(10.0, &others), Ok(0.0));
        assert_eq!(percentile_rank(90.0, &others), Ok(100.0));
        assert_eq!(percentile_rank(5.0, &[5.0, 5.0]), Ok(50.0));
    }

    #[test]
    fn what_cannot_be_ranked_is_refused_by_name() {
        use PercentileError::*;
        assert_eq!(percentile_rank(1.0, &[]), Err(NoFigures));
        assert_eq!(percentile_rank(f64::NAN, &[1.0]), Err(NotFinite));
        assert_eq!(percentile_rank(1.0, &[f64::INFINITY]), Err(NotFinite));
        for quantile in [quantile_type7, quantile_type8] {
            assert_eq!(quantile(&[], 0.5), Err(NoFigures));
            assert_eq!(quantile(&[2.0, 1.0], 0.5), Err(NotSorted));
            assert_eq!(quantile(&[1.0, f64::NAN], 0.5), Err(NotFinite));
            for share in [-0.1, 1.1, f64::NAN] {
                assert_eq!(quantile(&[1.0, 2.0], share), Err(ShareOutOfRange));
            }
            assert_eq!(quantile(&[7.0], 0.3), Ok(7.0));
        }
    }

    prop_compose! {
        fn sorted_figures()(
            mut figures in proptest::collection::vec(0.0..=100.0f64, 1..40),
        ) -> Vec<f64> {
            figures.sort_by(f64::total_cmp);
            figures
        }
    }

    proptest! {
        #[test]
        fn quantiles_rise_from_the_least_to_the_greatest(
            figures in sorted_figures(),
            low in 0.0..=1.0f64,
            high in 0.0..=1.0f64,
        ) {
            let (low, high) = (low.min(high), low.max(high));
            for quantile in [quantile_type7, quantile_type8] {
                // Rounding may undo the last digit of a rise.
                let rise = quantile(&figures, high).unwrap() - quantile(&figures, low).unwrap();
                prop_assert!(rise > -1e-9);
                prop_assert_eq!(quantile(&figures, 0.0).ok(), figures.first().copied());
                prop_assert_eq!(quantile(&figures, 1.0).ok(), figures.last().copied());
            }
        }

        #[test]
        fn a_rank_rises_with_the_figure_and_mirrors(
            others in proptest::collection::vec(-20i32..20, 1..40),
            own in -20i32..20,
        ) {
            let others: Vec<f64> = others.into_iter().map(f64::from).collect();
            let mirrored: Vec<f64> = others.iter().map(|other| -other).collect();
            let own = f64::from(own);
            let rank = percentile_rank(own, &others).unwrap();
            prop_assert!((0.0..=100.0).contains(&rank));
            prop_assert!(rank <= percentile_rank(own + 1.0, &others).unwrap());
            let mirror = percentile_rank(-own, &mirrored).unwrap();
            prop_assert!((rank + mirror - 100.0).abs() < 1e-9);
        }
    }
}
