//! How much ground a machine covers in an hour, and how many half-days a job takes.
//!
//! Promises the effective field capacity of the engineering practice and plain division by it.
//! Does not know turns at the touchline, refilling, weather or the driver: all of that is in the
//! field efficiency the caller states.

use crate::is_positive;
use thiserror::Error;

/// Hours of work that fill half a day.
///
/// # Units
/// Hours.
///
/// # Source
/// [PRACTICE](crate::sources)
pub const HOURS_PER_HALF_DAY: f64 = 4.0;

/// Square metres in a hectare.
const M2_PER_HA: f64 = 10_000.0;

/// km/h × m per ha/h: a machine one metre wide at 10 km/h covers one hectare an hour.
const KM_H_M_PER_HA_H: f64 = 10.0;

/// Share of a half-day that is rounding dust of floating point, not work.
const DUST_HALF_DAYS: f64 = 1e-9;

/// Why a field-work sum was refused.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum FieldWorkError {
    /// The speed is not a positive number.
    #[error("the speed must be a positive number of km/h")]
    SpeedNotPositive,
    /// The working width is not a positive number.
    #[error("the working width must be a positive number of metres")]
    WidthNotPositive,
    /// The field efficiency is not above 0 and at most 1.
    #[error("the field efficiency must be above 0 and at most 1")]
    EfficiencyOutOfRange,
    /// The area is negative or not a number.
    #[error("the area must be zero or a positive number of square metres")]
    AreaNegative,
    /// The capacity is not a positive number.
    #[error("the capacity must be a positive number of hectares an hour")]
    CapacityNotPositive,
}

/// Area a machine really covers in an hour: speed × width × efficiency ÷ 10.
///
/// # Units
/// km/h and m in; the efficiency is a fraction, not a percentage; ha/h out.
///
/// # Errors
/// A speed or width that is not positive and finite, or an efficiency outside (0, 1].
///
/// # Properties
/// Proportional to each of the three; never above the theoretical capacity (efficiency 1).
///
/// # Example
/// ```
/// use agronomy::field_work::effective_field_capacity_ha_per_h;
/// let capacity_ha_per_h = effective_field_capacity_ha_per_h(4.5, 2.7, 0.72)?;
/// assert!((capacity_ha_per_h - 0.8748).abs() < 0.0005);
/// # Ok::<(), agronomy::field_work::FieldWorkError>(())
/// ```
///
/// # Source
/// [EP496](crate::sources)
pub fn effective_field_capacity_ha_per_h(
    speed_km_h: f64,
    width_m: f64,
    field_efficiency: f64,
) -> Result<f64, FieldWorkError> {
    if !is_positive(speed_km_h) {
        return Err(FieldWorkError::SpeedNotPositive);
    }
    if !is_positive(width_m) {
        return Err(FieldWorkError::WidthNotPositive);
    }
    if !is_positive(field_efficiency) || field_efficiency > 1.0 {
        return Err(FieldWorkError::EfficiencyOutOfRange);
    }
    Ok(speed_km_h * width_m * field_efficiency / KM_H_M_PER_HA_H)
}

/// Hours that one pass over an area takes at a capacity.
///
/// # Units
/// m² and ha/h in, hours out.
///
/// # Errors
/// A negative area, or a capacity that is not positive and finite.
///
/// # Example
/// ```
/// use agronomy::field_work::hours_for_area;
/// let hours = hours_for_area(150_000.0, 0.8748)?;
/// assert!((hours - 17.15).abs() < 0.02);
/// # Ok::<(), agronomy::field_work::FieldWorkError>(())
/// ```
///
/// # Source
/// [EP496](crate::sources)
pub fn hours_for_area(area_m2: f64, capacity_ha_per_h: f64) -> Result<f64, FieldWorkError> {
    if !area_m2.is_finite() || area_m2 < 0.0 {
        return Err(FieldWorkError::AreaNegative);
    }
    if !is_positive(capacity_ha_per_h) {
        return Err(FieldWorkError::CapacityNotPositive);
    }
    Ok(area_m2 / M2_PER_HA / capacity_ha_per_h)
}

/// Half-days to book for so many hours of work: rounded up, and never none.
///
/// # Units
/// Hours in; a count of half-days of [`HOURS_PER_HALF_DAY`] out.
///
/// # Properties
/// Never falls as the hours rise. Exactly n half-days of hours book n, even when floating point
/// left a speck over. Zero, negative or unknown hours book one: a machine that comes at all takes
/// a half-day.
///
/// # Example
/// ```
/// use agronomy::field_work::half_days_for;
/// assert_eq!(half_days_for(3.89), 1);
/// assert_eq!(half_days_for(4.1), 2);
/// ```
///
/// # Source
/// [PRACTICE](crate::sources)
#[must_use]
pub fn half_days_for(hours: f64) -> u32 {
    let half_days = (hours / HOURS_PER_HALF_DAY - DUST_HALF_DAYS).ceil();
    #[expect(
        clippy::as_conversions,
        reason = "float to integer has no From; the cast saturates and turns NaN into 0, as wanted"
    )]
    let whole = half_days as u32;
    whole.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn capacity_matches_the_worked_examples() {
        // b001: worked farm-power example using EP496 (theoretical 1.215 ha/h).
        let b001 = effective_field_capacity_ha_per_h(4.5, 2.7, 0.72).unwrap();
        assert!((b001 - 0.8748).abs() < 0.0005);
        // b003 and b004: farm-power e-course, lesson 6.
        assert_eq!(effective_field_capacity_ha_per_h(5.0, 20.0, 1.0), Ok(10.0));
        assert_eq!(effective_field_capacity_ha_per_h(5.0, 20.0, 0.925), Ok(9.25));
    }

    #[test]
    fn hours_match_the_worked_examples() {
        // b002: 15 ha at 0.8748 ha/h (the source prints 17.14; the quotient is 17.147).
        assert!((hours_for_area(150_000.0, 0.8748).unwrap() - 17.15).abs() < 0.02);
        // b072 and b073: EP496 with assumed turf values, one deep-tine pass over 7000 m².
        for (speed_km_h, width_m, hours) in [(1.5, 1.6, 3.89), (2.0, 2.0, 2.33)] {
            let capacity = effective_field_capacity_ha_per_h(speed_km_h, width_m, 0.75).unwrap();
            assert!((hours_for_area(7000.0, capacity).unwrap() - hours).abs() < 0.01);
        }
    }

    #[test]
    fn each_impossible_number_is_refused_by_name() {
        use FieldWorkError::*;
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let capacity = effective_field_capacity_ha_per_h;
            assert_eq!(capacity(bad, 2.0, 0.7), Err(SpeedNotPositive));
            assert_eq!(capacity(2.0, bad, 0.7), Err(WidthNotPositive));
            assert_eq!(capacity(2.0, 2.0, bad), Err(EfficiencyOutOfRange));
            assert_eq!(hours_for_area(7000.0, bad), Err(CapacityNotPositive));
        }
        assert_eq!(effective_field_capacity_ha_per_h(2.0, 2.0, 1.01), Err(EfficiencyOutOfRange));
        assert_eq!(hours_for_area(-1.0, 1.0), Err(AreaNegative));
        assert_eq!(hours_for_area(f64::NAN, 1.0), Err(AreaNegative));
        assert_eq!(hours_for_area(0.0, 1.0), Ok(0.0));
    }

    #[test]
    fn half_days_round_up_and_are_never_none() {
        for (hours, half_days) in [
            (0.0, 1),
            (-3.0, 1),
            (f64::NAN, 1),
            (0.1, 1),
            (4.0, 1),
            (4.0 + 1e-12, 1),
            (4.001, 2),
            (8.0, 2),
            (12.5, 4),
            (f64::INFINITY, u32::MAX),
        ] {
            assert_eq!(half_days_for(hours), half_days, "{hours} h");
        }
    }

    proptest! {
        #[test]
        fn time_times_capacity_gives_the_area_back(
            area_m2 in 1.0..50_000.0f64,
            speed_km_h in 0.5..15.0f64,
            width_m in 0.5..12.0f64,
            efficiency in 0.3..=1.0f64,
        ) {
            let capacity =
                effective_field_capacity_ha_per_h(speed_km_h, width_m, efficiency).unwrap();
            let hours = hours_for_area(area_m2, capacity).unwrap();
            prop_assert!((hours * capacity * M2_PER_HA - area_m2).abs() < area_m2 * 1e-12);
        }

        #[test]
        fn whole_half_days_of_work_book_exactly_that_many(count in 1u32..10_000) {
            // A tenth of an hour added up forty times is not quite four hours.
            let hours: f64 = (0..count.min(200)).map(|_| (0..40).map(|_| 0.1).sum::<f64>()).sum();
            prop_assert_eq!(half_days_for(hours), count.min(200));
            prop_assert_eq!(half_days_for(f64::from(count) * HOURS_PER_HALF_DAY), count);
        }

        #[test]
        fn booked_half_days_hold_the_work_and_no_more(hours in 0.01..1000.0f64) {
            let booked = f64::from(half_days_for(hours)) * HOURS_PER_HALF_DAY;
            prop_assert!(booked >= hours - 1e-6);
            prop_assert!(booked < hours + HOURS_PER_HALF_DAY);
        }
    }
}
