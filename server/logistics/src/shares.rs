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
        .map(|scaled| Place { whole: scaled / sum, remainder: scaled % sum })
        .collect();
    hand_out_odd_units(i128::from(total), &mut places);
    Ok(places
        .into_iter()
        // No part exceeds the total, so every part fits.
        .map(|place| i64::try_from(place.whole).unwrap_or(total))
        .collect())
}

/// Rounds exact fractions `numerators ÷ denominator`, whose sum is whole, to whole units with the same sum.
///
/// As [`largest_remainder`] does: the whole part for each, the units still missing to the largest remainders, on ties
/// to the earlier place. A fraction below zero is rounded down first like any other.
///
/// # Properties
/// Each part lies less than one unit from its fraction. A `denominator` below 1 gives nothing to anybody.
#[must_use]
pub fn whole_parts(numerators: &[i128], denominator: i128) -> Vec<i64> {
    if denominator < 1 {
        return vec![0; numerators.len()];
    }
    let mut places: Vec<Place> = numerators
        .iter()
        .map(|exact| Place { whole: exact.div_euclid(denominator), remainder: exact.rem_euclid(denominator) })
        .collect();
    hand_out_odd_units(numerators.iter().sum::<i128>() / denominator, &mut places);
    places.into_iter().map(|place| i64::try_from(place.whole).unwrap_or(i64::MAX)).collect()
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn ten_seats_fall_as_in_the_worked_example() {
        // g001: votes of the worked example for largest remainders with the Hare quota.
        let votes = [47_000, 16_000, 15_800, 12_000, 6_100, 3_100];
        assert_eq!(largest_remainder(10, &votes), Ok(vec![5, 2, 1, 1, 1, 0]));
    }

    #[test]
    fn sixty_seats_fall_as_in_the_1790_census() {
        // g002: 1790 United States census apportionment, 15 states.
        let people = [
            630_560, 475_327, 432_879, 353_523, 331_589, 278_514, 236_841, 206_236, 179_570, 141_822, 85_533, 70_835,
            68_705, 68_446, 55_540,
        ];
        let seats = vec![11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1];
        assert_eq!(largest_remainder(60, &people), Ok(seats));
    }

    #[test]
    fn forty_two_seats_fall_as_in_the_county_example() {
        // g003: county apportionment worked example.
        let people = [247_000, 185_000, 459_000, 400_000, 413_000];
        assert_eq!(largest_remainder(42, &people), Ok(vec![6, 5, 11, 10, 10]));
    }

    #[test]
    fn the_earlier_place_gets_the_odd_penny_on_a_tie() {
        assert_eq!(largest_remainder(5, &[1, 1, 1]), Ok(vec![2, 2, 1]));
        assert_eq!(largest_remainder(1, &[0, 7, 7]), Ok(vec![0, 1, 0]));
    }

    #[test]
    fn nothing_can_be_split_among_nobody_and_something_cannot() {
        assert_eq!(largest_remainder(0, &[]), Ok(vec![]));
        assert_eq!(largest_remainder(0, &[0, 0]), Ok(vec![0, 0]));
        assert_eq!(largest_remainder(1, &[]), Err(ShareError::NoWeight));
        assert_eq!(largest_remainder(1, &[0, 0]), Err(ShareError::NoWeight));
        assert_eq!(largest_remainder(-1, &[1]), Err(ShareError::NegativeTotal));
    }

    #[test]
    fn the_largest_numbers_there_are_split_exactly() {
        let parts = largest_remainder(i64::MAX, &[u64::MAX, u64::MAX, u64::MAX]).unwrap();
        assert_eq!(parts.iter().map(|part| i128::from(*part)).sum::<i128>(), i128::from(i64::MAX));
        assert_eq!(largest_remainder(i64::MAX, &[u64::MAX]), Ok(vec![i64::MAX]));
    }

    proptest! {
        #[test]
        fn parts_sum_to_the_total_and_keep_to_their_quota(
            total in 0i64..=i64::MAX,
            weights in proptest::collection::vec(0u64..1_000_000, 1..30),
        ) {
            let sum: i128 = weights.iter().map(|weight| i128::from(*weight)).sum();
            prop_assume!(sum > 0);
            let parts = largest_remainder(total, &weights).unwrap();
            prop_assert_eq!(parts.iter().sum::<i64>(), total);
            for (part, weight) in parts.iter().zip(&weights) {
                let quota = i128::from(total) * i128::from(*weight);
                let taken = i128::from(*part) * sum;
                prop_assert!((taken - quota).abs() < sum);
                prop_assert!(*weight > 0 || *part == 0);
            }
        }

        #[test]
        fn a_heavier_place_never_gets_less(
            total in 0i64..1_000_000,
            weights in proptest::collection::vec(1u64..1_000, 2..20),
        ) {
            let parts = largest_remainder(total, &weights).unwrap();
            for (part, weight) in parts.iter().zip(&weights) {
                for (other_part, other_weight) in parts.iter().zip(&weights) {
                    prop_assert!(weight <= other_weight || part >= other_part);
                }
            }
        }

        #[test]
        fn the_order_of_places_moves_at_most_odd_pennies_between_equals(
            total in 0i64..1_000_000,
            weights in proptest::collection::vec(1u64..20, 2..20),
        ) {
            let by_weight = |weights: &[u64]| {
                let parts = largest_remainder(total, weights).unwrap();
                let mut pairs: Vec<_> = weights.iter().copied().zip(parts).collect();
                pairs.sort_unstable();
                pairs
            };
            let backwards: Vec<u64> = weights.iter().rev().copied().collect();
            let (there, back) = (by_weight(&weights), by_weight(&backwards));
            for (one, other) in there.iter().zip(&back) {
                prop_assert!((one.1 - other.1).abs() <= 1);
            }
        }
    }
}
