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
    segments(points)
        .find(|(_, right)| place <= right.0)
        .map_or(last.1, |(left, right)| {
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
