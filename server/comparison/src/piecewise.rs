//! A line through given points, level beyond the first and the last.
//!
//! Promises the value and the slope of the line anywhere. Does not know what the points mean, and
//! expects them strictly rising in the first figure: the [scheme](crate::scheme) sees to that.

/// The height of the line at a place.
///
/// # Properties
/// Level beyond the ends; never above the highest point or below the lowest. No points, no line:
/// the height is 0.
///
/// # Example
/// ```
/// use comparison::piecewise::value_at;
/// let points = [(0.0, 0.0), (50.0, 100.0)];
/// assert_eq!(value_at(&points, 25.0), 50.0);
/// assert_eq!(value_at(&points, 90.0), 100.0);
/// ```
#[must_use]
pub fn value_at(points: &[(f64, f64)], place: f64) -> f64 {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return 0.0;
    };
    if place <= first.0 {
        return first.1;
    }
    segments(points).find(|(_, right)| place <= right.0).map_or(last.1, |(left, right)| {
        let share = (place - left.0) / (right.0 - left.0);
        left.1 + share * (right.1 - left.1)
    })
}

/// The slope of the line at a place.
///
/// On a corner it is the average of the slopes on either side, the level parts beyond the ends
/// included: just left and just right of the corner a mean is equally likely to lie.
///
/// # Example
/// ```
/// use comparison::piecewise::slope_at;
/// let points = [(0.0, 0.0), (50.0, 100.0)];
/// assert_eq!(slope_at(&points, 25.0), 2.0);
/// assert_eq!(slope_at(&points, 50.0), 1.0);
/// assert_eq!(slope_at(&points, 60.0), 0.0);
/// ```
#[must_use]
pub fn slope_at(points: &[(f64, f64)], place: f64) -> f64 {
    let slope_where = |is_there: &dyn Fn(f64, f64) -> bool| {
        segments(points)
            .find(|(left, right)| is_there(left.0, right.0))
            .map_or(0.0, |(left, right)| (right.1 - left.1) / (right.0 - left.0))
    };
    let before = slope_where(&|left, right| left < place && place <= right);
    let after = slope_where(&|left, right| left <= place && place < right);
    (before + after) / 2.0
}

/// A point with its measure and its height.
type Point = (f64, f64);

fn segments(points: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    points.iter().copied().zip(points.iter().copied().skip(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A scale with a level top: good grass is neither short nor long.
    const SWARD: [Point; 4] = [(20.0, 0.0), (50.0, 100.0), (75.0, 100.0), (120.0, 0.0)];

    #[test]
    fn the_line_goes_through_its_points_and_is_level_beyond_them() {
        for (place, height) in SWARD {
            assert_eq!(value_at(&SWARD, place), height);
        }
        assert_eq!(value_at(&SWARD, 5.0), 0.0);
        assert_eq!(value_at(&SWARD, 35.0), 50.0);
        assert_eq!(value_at(&SWARD, 60.0), 100.0);
        assert_eq!(value_at(&SWARD, 500.0), 0.0);
    }

    #[test]
    fn the_slope_on_a_corner_is_the_average_of_both_sides() {
        let rise = 100.0 / 30.0;
        let fall = -100.0 / 45.0;
        for (place, slope) in [
            (10.0, 0.0),
            (20.0, rise / 2.0),
            (35.0, rise),
            (50.0, rise / 2.0),
            (60.0, 0.0),
            (75.0, fall / 2.0),
            (100.0, fall),
            (120.0, fall / 2.0),
            (130.0, 0.0),
        ] {
            assert_eq!(slope_at(&SWARD, place), slope, "at {place}");
        }
    }

    #[test]
    fn without_points_there_is_no_line() {
        assert_eq!(value_at(&[], 3.0), 0.0);
        assert_eq!(slope_at(&[], 3.0), 0.0);
        assert_eq!(value_at(&[(1.0, 7.0)], 3.0), 7.0);
        assert_eq!(slope_at(&[(1.0, 7.0)], 1.0), 0.0);
    }

    prop_compose! {
        fn any_line()(
            steps in proptest::collection::vec((0.1..20.0f64, 0.0..=100.0f64), 2..8),
        ) -> Vec<Point> {
            let mut place = 0.0;
            let mut step = |(width, height)| {
                place += width;
                (place, height)
            };
            steps.into_iter().map(&mut step).collect()
        }
    }

    proptest! {
        #[test]
        fn the_line_stays_between_its_lowest_and_highest_point(
            points in any_line(),
            place in -10.0..200.0f64,
        ) {
            let heights = || points.iter().map(|point| point.1);
            let lowest = heights().fold(f64::INFINITY, f64::min);
            let highest = heights().fold(f64::NEG_INFINITY, f64::max);
            let value = value_at(&points, place);
            prop_assert!(lowest - 1e-9 <= value && value <= highest + 1e-9);
        }

        #[test]
        fn the_slope_is_what_a_small_step_either_way_shows(
            points in any_line(),
            place in -10.0..200.0f64,
        ) {
            let step = 1e-6;
            prop_assume!(points.iter().all(|point| (point.0 - place).abs() > 2.0 * step));
            let rise = value_at(&points, place + step) - value_at(&points, place - step);
            prop_assert!((slope_at(&points, place) - rise / (2.0 * step)).abs() < 1e-3);
        }
    }
}
