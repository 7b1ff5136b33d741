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

#[cfg(test)]
mod tests {
    use super::*;
    use geographiclib_rs::DirectGeodesic;
    use proptest::prelude::*;

    fn at(lat_deg: f64, lon_deg: f64) -> Position {
        Position::parse(lat_deg, lon_deg).unwrap()
    }

    #[test]
    fn distances_match_the_published_geodesics() {
        for (row, a, b, metres) in [
            // h001 and h003: GeographicLib documentation examples.
            ("h001", at(-41.32, 174.81), at(40.96, -5.50), 19_959_679.267),
            ("h003", at(40.6, -73.8), at(51.6, -0.5), 5_551_759.400),
            // h008: the sphere is 0.2 % short here.
            ("h008", at(36.12, -86.67), at(33.94, -118.40), 2_892_777.0),
            // h010 and h012: short distances in the United Kingdom.
            ("h010", at(54.0, -1.5), at(54.1, -1.5), 11_130.593),
            ("h012", at(51.5, 0.0), at(51.6, 0.1), 13_111.043),
        ] {
            let tolerance_m = if row == "h008" { 1.0 } else { 0.002 };
            let off_m = geodesic_km(a, b) * M_PER_KM - metres;
            assert!(off_m.abs() < tolerance_m, "{row} is {off_m} m off");
        }
    }

    #[test]
    fn a_position_off_the_map_is_refused() {
        for bad in [-90.1, 90.1, f64::NAN, f64::INFINITY] {
            assert_eq!(Position::parse(bad, 0.0), Err(DistanceError::LatitudeOutOfRange));
        }
        for bad in [-180.1, 180.1, f64::NAN, f64::INFINITY] {
            assert_eq!(Position::parse(0.0, bad), Err(DistanceError::LongitudeOutOfRange));
        }
        for bad in [-0.1, f64::NAN, f64::INFINITY] {
            assert_eq!(bounding_box(at(54.0, -1.5), bad), Err(DistanceError::DistanceNegative));
        }
    }

    #[test]
    fn a_box_that_reaches_a_pole_or_the_date_line_goes_all_round() {
        for (centre, within_km) in [
            (at(89.9, 0.0), 50.0),
            (at(-90.0, 10.0), 0.0),
            (at(-17.8, 179.9), 50.0),
            (at(-17.8, -180.0), 0.0),
            (at(0.0, 0.0), 25_000.0),
        ] {
            let found = bounding_box(centre, within_km).unwrap();
            assert_eq!((found.west_deg, found.east_deg), (-180.0, 180.0));
            assert!(found.south_deg >= -90.0 && found.north_deg <= 90.0);
        }
    }

    #[test]
    fn the_box_reaches_far_enough_north_where_the_earth_curves_most() {
        let equator = at(0.0, 20.0);
        let (lat_deg, _): (f64, f64) = WGS84.direct(0.0, 20.0, 0.0, 50.0 * M_PER_KM);
        let found = bounding_box(equator, 50.0).unwrap();
        assert!(found.north_deg >= lat_deg && found.south_deg <= -lat_deg);
    }

    prop_compose! {
        fn any_position()(lat_deg in -90.0..=90.0f64, lon_deg in -180.0..=180.0f64) -> Position {
            at(lat_deg, lon_deg)
        }
    }

    proptest! {
        #[test]
        fn a_way_is_as_long_there_as_back(a in any_position(), b in any_position()) {
            let there_km = geodesic_km(a, b);
            // Half a meridian is the longest way there is.
            prop_assert!((0.0..20_004.0).contains(&there_km));
            prop_assert!((there_km - geodesic_km(b, a)).abs() < 1e-9);
            prop_assert!(geodesic_km(a, a) < 1e-9);
        }

        #[test]
        fn a_place_within_the_distance_is_within_the_box(
            centre in any_position(),
            azimuth_deg in 0.0..360.0f64,
            within_km in 0.0..500.0f64,
            share in 0.0..=1.0f64,
        ) {
            let distance_m = within_km * share * M_PER_KM;
            let (lat_deg, lon_deg): (f64, f64) =
                WGS84.direct(centre.lat_deg, centre.lon_deg, azimuth_deg, distance_m);
            let found = bounding_box(centre, within_km).unwrap();
            // The library's own rounding, far below a millimetre.
            let dust_deg = 1e-12;
            prop_assert!(found.south_deg <= lat_deg + dust_deg);
            prop_assert!(found.north_deg >= lat_deg - dust_deg);
            prop_assert!(found.west_deg <= lon_deg + dust_deg);
            prop_assert!(found.east_deg >= lon_deg - dust_deg);
        }
    }
}
