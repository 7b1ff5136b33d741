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
        .map_or(*greatest, |(before, (left, right))| {
            left + (place - before) * (right - left)
        }))
}
