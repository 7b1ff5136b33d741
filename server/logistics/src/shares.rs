//! Splitting whole pence among clubs so that nothing is lost.
//!
//! Promises that the parts sum to the whole. Does not know what the weights mean, who the clubs
//! are or what is fair: the caller chooses the weights and the order.

use std::cmp::Reverse;
use thiserror::Error;

/// Why a split was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ShareError {
    /// There is something to split and nobody to bear it.
    #[error("the weights are all zero, so nobody can bear the total")]
    NoWeight,
    /// Less than nothing cannot be split.
    #[error("the total to split must not be negative")]
    NegativeTotal,
}

/// Splits a total in proportion to weights, by largest remainders.
///
/// Each place gets the whole part of its exact quota `total × weight ÷ sum of weights`; the units
/// still missing go one each to the largest remainders. **On equal remainders the earlier place
/// gets the odd unit**: the caller sorts the places by something that never changes, such as the
/// club's id, so that the same split always falls the same way.
///
/// # Units
/// Any whole unit, the same out as in; here mostly pence.
///
/// # Errors
/// A negative total, or a total above zero with no weight at all.
///
/// # Properties
/// The parts sum to the total. Each part lies less than one unit from its exact quota. A place
/// without weight gets nothing. All sums are exact: `i64::MAX` times `u64::MAX` fits `i128`.
///
/// # Example
/// ```
/// use logistics::shares::largest_remainder;
/// assert_eq!(largest_remainder(100, &[1, 1, 1])?, [34, 33, 33]);
/// # Ok::<(), logistics::shares::ShareError>(())
/// ```
///
/// # Source
/// [HARE](crate::sources)
pub fn largest_remainder(total: i64, weights: &[u64]) -> Result<Vec<i64>, ShareError> {
    if total < 0 {
        return Err(ShareError::NegativeTotal);
    }
    if total == 0 {
        return Ok(vec![0; weights.len()]);
    }
    let sum: i128 = weights.iter().copied().map(i128::from).sum();
    if sum == 0 {
        return Err(ShareError::NoWeight);
    }
    let mut places: Vec<Place> = weights
        .iter()
        .map(|weight| i128::from(total) * i128::from(*weight))
        .map(|scaled| Place {
            whole: scaled / sum,
            remainder: scaled % sum,
        })
        .collect();
    hand_out_odd_units(i128::from(total), &mut places);
    Ok(places
        .into_iter()
        // No part exceeds the total, so every part fits.
        .map(|place| i64::try_from(place.whole).unwrap_or(total))
        .collect())
}

/// One place's share so far.
struct Place {
    whole: i128,
    remainder: i128,
}

fn hand_out_odd_units(total: i128, places: &mut [Place]) {
    let handed_out: i128 = places.iter().map(|place| place.whole).sum();
    // Each place lacks less than one unit, so fewer units than places are left.
    let odd_units = usize::try_from(total - handed_out).unwrap_or(places.len());
    let mut by_remainder: Vec<&mut Place> = places.iter_mut().collect();
    // A stable sort: places with equal remainders keep the caller's order.
    by_remainder.sort_by_key(|place| Reverse(place.remainder));
    for place in by_remainder.into_iter().take(odd_units) {
        place.whole += 1;
    }
}
