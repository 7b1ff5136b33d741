//! What a tine pattern does to the surface: holes per square metre, share of turf opened.
//!
//! Promises plane geometry for round tines on a rectangular pattern. Does not know heave, torn
//! edges, tine wear or two passes that happen to meet in the same holes.

use crate::is_positive;
use std::f64::consts::PI;
use thiserror::Error;

/// Square millimetres in a square metre.
const MM2_PER_M2: f64 = 1_000_000.0;

/// Parts in a whole.
const PERCENT: f64 = 100.0;

/// Why a tine sum was refused.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TineError {
    /// A spacing is not a positive number.
    #[error("both spacings must be positive numbers of millimetres")]
    SpacingNotPositive,
    /// The tine diameter is not a positive number.
    #[error("the tine diameter must be a positive number of millimetres")]
    DiameterNotPositive,
    /// The tine is wider than a spacing, so the holes run into each other.
    #[error("the tine is wider than its spacing, so the holes would overlap")]
    HolesOverlap,
}

/// Holes in a square metre on a rectangular pattern.
///
/// # Units
/// Spacing across the machine and forward, both in mm; holes per m² out.
///
/// # Errors
/// A spacing that is not positive and finite.
///
/// # Properties
/// The two spacings can change places; halving one doubles the holes.
///
/// # Example
/// ```
/// use agronomy::tines::holes_per_m2;
/// assert_eq!(holes_per_m2(100.0, 100.0)?, 100.0);
/// # Ok::<(), agronomy::tines::TineError>(())
/// ```
///
/// # Source
/// [GEOMETRY](crate::sources)
pub fn holes_per_m2(across_mm: f64, forward_mm: f64) -> Result<f64, TineError> {
    if !is_positive(across_mm) || !is_positive(forward_mm) {
        return Err(TineError::SpacingNotPositive);
    }
    Ok(MM2_PER_M2 / (across_mm * forward_mm))
}

/// Share of the surface that the tines open, as a percentage.
///
/// # Units
/// Diameter and spacings in mm; percent of the area out.
///
/// # Errors
/// A measure that is not positive and finite, or a tine wider than a spacing: overlapping holes
/// would be counted twice.
///
/// # Properties
/// Never above π/4 of the surface (78.5 %), when the holes just touch both ways.
///
/// # Example
/// ```
/// use agronomy::tines::surface_affected_percent;
/// let percent = surface_affected_percent(18.0, 100.0, 100.0)?;
/// assert!((percent - 2.545).abs() < 0.001);
/// # Ok::<(), agronomy::tines::TineError>(())
/// ```
///
/// # Source
/// [GEOMETRY](crate::sources)
pub fn surface_affected_percent(diameter_mm: f64, across_mm: f64, forward_mm: f64) -> Result<f64, TineError> {
    let holes = holes_per_m2(across_mm, forward_mm)?;
    if !is_positive(diameter_mm) {
        return Err(TineError::DiameterNotPositive);
    }
    if diameter_mm > across_mm.min(forward_mm) {
        return Err(TineError::HolesOverlap);
    }
    let hole_mm2 = PI * diameter_mm * diameter_mm / 4.0;
    Ok(holes * hole_mm2 / MM2_PER_M2 * PERCENT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn hole_counts_match_plane_geometry() {
        // b062 to b066: 1e6 / (across × forward).
        for (across_mm, forward_mm, holes) in [
            (65.0, 65.0, 236.69),
            (75.0, 75.0, 177.78),
            (100.0, 100.0, 100.0),
            (130.0, 130.0, 59.17),
            (130.0, 100.0, 76.92),
        ] {
            assert!((holes_per_m2(across_mm, forward_mm).unwrap() - holes).abs() < 0.01);
        }
    }

    #[test]
    fn an_18_mm_solid_tine_opens_a_fortieth_of_the_surface() {
        // b068: 18 mm solid tine on 100 × 100 mm.
        assert!((surface_affected_percent(18.0, 100.0, 100.0).unwrap() - 2.545).abs() < 0.001);
    }

    #[test]
    fn each_impossible_number_is_refused_by_name() {
        for bad in [0.0, -5.0, f64::NAN, f64::INFINITY] {
            assert_eq!(holes_per_m2(bad, 50.0), Err(TineError::SpacingNotPositive));
            assert_eq!(holes_per_m2(50.0, bad), Err(TineError::SpacingNotPositive));
            assert_eq!(surface_affected_percent(bad, 50.0, 50.0), Err(TineError::DiameterNotPositive));
        }
        assert_eq!(surface_affected_percent(51.0, 50.0, 80.0), Err(TineError::HolesOverlap));
    }

    proptest! {
        #[test]
        fn touching_holes_open_at_most_pi_quarters(
            across_mm in 10.0..300.0f64,
            forward_mm in 10.0..300.0f64,
            share in 0.01..=1.0f64,
        ) {
            let diameter_mm = share * across_mm.min(forward_mm);
            let percent = surface_affected_percent(diameter_mm, across_mm, forward_mm).unwrap();
            prop_assert!(percent > 0.0 && percent <= PI / 4.0 * PERCENT + 1e-9);
        }

        #[test]
        fn spacings_can_change_places(a_mm in 10.0..300.0f64, b_mm in 10.0..300.0f64) {
            prop_assert_eq!(holes_per_m2(a_mm, b_mm), holes_per_m2(b_mm, a_mm));
        }
    }
}
