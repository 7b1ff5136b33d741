//! Hour meters: hours with one decimal on the wire, whole tenths inside.

use crate::error::{Refused, invalid};

/// The highest reading, in hours: no garden machine runs a hundredth of it.
const HIGHEST_H: f64 = 999_999.9;

/// Reads an hour meter, in hours with one decimal; more decimals are rounded.
///
/// # Errors
/// `invalid` on `field`.
pub(super) fn meter_parse(field: &str, meter_h: f64) -> Result<i32, Refused> {
    let refused = || invalid(field, "An hour meter shows 0 to 999,999.9 hours.");
    if !(0.0..=HIGHEST_H).contains(&meter_h) {
        return Err(refused());
    }
    // Through text, because no lossless conversion from a float exists.
    format!("{:.0}", meter_h * 10.0).parse().map_err(|_| refused())
}

/// Hours, as on the wire.
pub(super) fn hours(tenth_hours: i32) -> f64 {
    f64::from(tenth_hours) / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tenths_survive_the_way_there_and_back() {
        for tenths in [0, 1, 1234, 9_999_999] {
            assert_eq!(meter_parse("meter_h", hours(tenths)), Ok(tenths));
        }
        for absurd in [-0.1, 1_000_000.0, f64::NAN, f64::INFINITY] {
            assert!(meter_parse("meter_h", absurd).is_err(), "{absurd}");
        }
    }
}
