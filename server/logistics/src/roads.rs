//! Road between two places where nobody has measured it.
//!
//! Promises one guess, the same wherever it is asked for. Knows no map: whoever knows the road better says so.

use crate::distance::{Position, geodesic_km};

/// Road for a way as the crow flies (common practice, no source).
pub const ROAD_FACTOR: f64 = 1.3;

/// Hectometres in a kilometre.
const HM_PER_KM: f64 = 10.0;

/// The road one would expect between two places: [`ROAD_FACTOR`] times the way as the crow flies.
///
/// # Units
/// Hectometres (0.1 km), to the nearest.
///
/// # Example
/// ```
/// use logistics::{distance::Position, roads::reckoned_hm};
/// let north = Position::parse(54.1, -1.5)?;
/// let south = Position::parse(54.0, -1.5)?;
/// // 11.13 km as the crow flies.
/// assert_eq!(reckoned_hm(south, north), 145);
/// # Ok::<(), logistics::distance::DistanceError>(())
/// ```
#[must_use]
#[expect(clippy::as_conversions, reason = "half the way round the earth is far below the largest integer")]
pub fn reckoned_hm(from: Position, to: Position) -> i64 {
    (ROAD_FACTOR * geodesic_km(from, to) * HM_PER_KM).round() as i64
}
