//! The area of a playing surface, and what the law allows a rugby field to measure.
//!
//! Promises rectangles only: a pitch is a rectangle in law. Does not judge a pitch: many a club
//! plays on a field shorter than the law says, and it is still mown.

use crate::is_positive;
use std::ops::RangeInclusive;
use thiserror::Error;

/// Length of the field of play from goal line to goal line that the law allows.
///
/// # Units
/// Metres; both ends allowed.
///
/// # Source
/// [LAW1](crate::sources)
pub const FIELD_LENGTH_M: RangeInclusive<f64> = 94.0..=100.0;

/// Width of the field of play that the law allows.
///
/// # Units
/// Metres; both ends allowed.
///
/// # Source
/// [LAW1](crate::sources)
pub const FIELD_WIDTH_M: RangeInclusive<f64> = 68.0..=70.0;

/// Depth of each in-goal that the law allows.
///
/// # Units
/// Metres; both ends allowed.
///
/// # Source
/// [LAW1](crate::sources)
pub const IN_GOAL_DEPTH_M: RangeInclusive<f64> = 6.0..=22.0;

/// Clear strip that the law asks for around the field.
///
/// # Units
/// Metres.
///
/// # Source
/// [LAW1](crate::sources)
pub const PERIMETER_M: f64 = 5.0;

/// Why an area was refused.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum AreaError {
    /// A side is not a positive number.
    #[error("length and width must be positive numbers of metres")]
    SideNotPositive,
}

/// Area of a rectangle.
///
/// # Units
/// Metres in, m² out.
///
/// # Errors
/// A side that is not positive and finite.
///
/// # Example
/// ```
/// use agronomy::area::rectangle_m2;
/// // The largest field in law with both in-goals: (100 + 2 × 22) × 70 m.
/// assert_eq!(rectangle_m2(144.0, 70.0)?, 10_080.0);
/// # Ok::<(), agronomy::area::AreaError>(())
/// ```
///
/// # Source
/// [GEOMETRY](crate::sources)
pub fn rectangle_m2(length_m: f64, width_m: f64) -> Result<f64, AreaError> {
    if is_positive(length_m) && is_positive(width_m) { Ok(length_m * width_m) } else { Err(AreaError::SideNotPositive) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_area_of_an_adult_football_pitch_is_known() {
        // c059: 110 × 70 yd, at 0.9144 m a yard.
        let area_m2 = rectangle_m2(110.0 * 0.9144, 70.0 * 0.9144).unwrap();
        assert!((area_m2 - 6438.2).abs() < 0.5);
    }

    #[test]
    fn the_largest_field_in_law_has_the_area_the_sand_sums_use() {
        // c048 gives the limits; c042 uses the area.
        let length_m = FIELD_LENGTH_M.end() + 2.0 * IN_GOAL_DEPTH_M.end();
        assert_eq!(rectangle_m2(length_m, *FIELD_WIDTH_M.end()), Ok(10_080.0));
    }

    #[test]
    fn a_side_that_is_not_a_length_is_refused() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(rectangle_m2(bad, 70.0), Err(AreaError::SideNotPositive));
            assert_eq!(rectangle_m2(100.0, bad), Err(AreaError::SideNotPositive));
        }
    }
}
