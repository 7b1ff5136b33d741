//! Distances between grounds as the crow flies, and a box to search before measuring.
//!
//! Promises the geodesic on the WGS84 ellipsoid: on a sphere the distance between neighbouring
//! clubs is 0.1 to 0.3 % short. Does not know roads, lorries or travelling time.

use geographiclib_rs::{Geodesic, InverseGeodesic};
use std::ops::RangeInclusive;
use std::sync::LazyLock;
use thiserror::Error;

/// Latitudes there are.
const LATITUDES_DEG: RangeInclusive<f64> = -90.0..=90.0;

/// Longitudes there are; the date line may be written either way.
const LONGITUDES_DEG: RangeInclusive<f64> = -180.0..=180.0;

/// Metres in a kilometre.
const M_PER_KM: f64 = 1_000.0;

/// The least radius of curvature of the ellipsoid: north and south at the equator, a (1 − e²),
/// rounded down. WGS84.
const LEAST_RADIUS_KM: f64 = 6_335.439;

static WGS84: LazyLock<Geodesic> = LazyLock::new(Geodesic::wgs84);

/// Why a position or a search was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum DistanceError {
    /// The latitude is not between the poles.
    #[error("the latitude must be from -90 to 90 degrees")]
    LatitudeOutOfRange,
    /// The longitude is not once round the earth.
    #[error("the longitude must be from -180 to 180 degrees")]
    LongitudeOutOfRange,
    /// The search distance is negative or not a number.
    #[error("the distance to search must be zero or a positive number of kilometres")]
    DistanceNegative,
}

/// A place on the earth, WGS84.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    lat_deg: f64,
    lon_deg: f64,
}

impl Position {
    /// Makes a position of degrees north and degrees east.
    ///
    /// # Errors
    /// A latitude outside −90 to 90 or a longitude outside −180 to 180.
    pub fn parse(lat_deg: f64, lon_deg: f64) -> Result<Self, DistanceError> {
        if !LATITUDES_DEG.contains(&lat_deg) {
            return Err(DistanceError::LatitudeOutOfRange);
        }
        if !LONGITUDES_DEG.contains(&lon_deg) {
            return Err(DistanceError::LongitudeOutOfRange);
        }
        Ok(Self { lat_deg, lon_deg })
    }

    /// Degrees north of the equator.
    #[must_use]
    pub fn lat_deg(&self) -> f64 {
        self.lat_deg
    }

    /// Degrees east of Greenwich.
    #[must_use]
    pub fn lon_deg(&self) -> f64 {
        self.lon_deg
    }
}

/// A box of latitudes and longitudes, all four sides within it.
///
/// # Units
/// Degrees.
///
/// # Properties
/// `south_deg <= north_deg` and `west_deg <= east_deg`: a box that would reach the date line
/// goes all the way round instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoundingBox {
    /// The least latitude.
    pub south_deg: f64,
    /// The greatest latitude.
    pub north_deg: f64,
    /// The least longitude.
    pub west_deg: f64,
    /// The greatest longitude.
    pub east_deg: f64,
}

/// The shortest way between two positions along the ground.
///
/// # Units
/// Kilometres.
///
/// # Properties
/// Never negative; the same there and back; nothing from a place to itself.
///
/// # Example
/// ```
/// use logistics::distance::{Position, geodesic_km};
/// let north = Position::parse(54.1, -1.5)?;
/// let south = Position::parse(54.0, -1.5)?;
/// assert!((geodesic_km(south, north) - 11.130593).abs() < 0.000002);
/// # Ok::<(), logistics::distance::DistanceError>(())
/// ```
///
/// # Source
/// [KARNEY](crate::sources), [WGS84](crate::sources)
#[must_use]
pub fn geodesic_km(a: Position, b: Position) -> f64 {
    let distance_m: f64 = WGS84.inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg);
    distance_m / M_PER_KM
}

/// A box that holds every position within a distance of a centre, and some that are not.
///
/// Ask an index for the box, then measure what comes back.
///
/// # Units
/// Kilometres in, degrees out.
///
/// # Errors
/// A distance that is negative or not finite.
///
/// # Properties
/// Conservative: a way of length d changes latitude by at most d over the least radius of
/// curvature, and so stays in a band; within the band it changes longitude by at most d over that
/// radius times the least cosine of latitude.
///
/// # Example
/// ```
/// use logistics::distance::{Position, bounding_box};
/// let near = bounding_box(Position::parse(53.8, -1.55)?, 25.0)?;
/// assert!(near.south_deg < 53.6 && near.east_deg > -1.2);
/// # Ok::<(), logistics::distance::DistanceError>(())
/// ```
///
/// # Source
/// [WGS84](crate::sources)
pub fn bounding_box(centre: Position, within_km: f64) -> Result<BoundingBox, DistanceError> {
    if !within_km.is_finite() || within_km < 0.0 {
        return Err(DistanceError::DistanceNegative);
    }
    let reach_deg = (within_km / LEAST_RADIUS_KM).to_degrees();
    let (south_deg, north_deg) = (centre.lat_deg - reach_deg, centre.lat_deg + reach_deg);
    let (west_deg, east_deg) = longitudes(centre.lon_deg, south_deg, north_deg, within_km);
    Ok(BoundingBox {
        south_deg: south_deg.max(*LATITUDES_DEG.start()),
        north_deg: north_deg.min(*LATITUDES_DEG.end()),
        west_deg,
        east_deg,
    })
}

fn longitudes(lon_deg: f64, south_deg: f64, north_deg: f64, within_km: f64) -> (f64, f64) {
    let all_round = (*LONGITUDES_DEG.start(), *LONGITUDES_DEG.end());
    let highest_deg = south_deg.abs().max(north_deg.abs());
    if highest_deg >= *LATITUDES_DEG.end() {
        return all_round;
    }
    let reach_km = LEAST_RADIUS_KM * highest_deg.to_radians().cos();
    let reach_deg = (within_km / reach_km).to_degrees();
    let (west_deg, east_deg) = (lon_deg - reach_deg, lon_deg + reach_deg);
    if west_deg <= all_round.0 || east_deg >= all_round.1 {
        return all_round;
    }
    (west_deg, east_deg)
}
