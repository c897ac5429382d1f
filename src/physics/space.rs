//! Points and directions of the car as the computations take and return them, and their way into vector algebra.
//!
//! Axes are those of ISO 8855: x forward, y left, z up, with the origin on the ground below the middle of the front axle.
//! Inside, coordinates are held in the base unit of length.

use nalgebra::Vector3;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length, Ratio};
use uom::si::length::{meter, millimeter};
use uom::si::ratio::ratio;

use super::range::OutOfRange;

/// A place on the car.
pub type Point = [Length; 3];

/// A direction in the axes of the car. Its length does not matter, only that it is not zero.
pub type Direction = [Ratio; 3];

/// The vector from the origin to `point`.
pub(crate) fn vector(point: Point) -> Vector3<f64> {
    Vector3::from(point.map(|c| c.get::<meter>()))
}

/// The point at the end of `vector`.
pub(crate) fn point(vector: Vector3<f64>) -> Point {
    [vector.x, vector.y, vector.z].map(Length::new::<meter>)
}

/// The direction of `vector`.
pub(crate) fn direction(vector: Vector3<f64>) -> Direction {
    [vector.x, vector.y, vector.z].map(Ratio::new::<ratio>)
}

/// Normalising a vector with an infinite length gives zeros, and with no number gives none.
fn is_unit(vector: &Vector3<f64>) -> bool {
    (vector.norm() - 1.0).abs() < 1e-6
}

/// The unit vector along `direction`.
///
/// # Errors
/// The direction has no length.
pub(crate) fn unit(what: &'static str, direction: Direction) -> Result<Vector3<f64>, OutOfRange> {
    let along = Vector3::from(direction.map(|c| c.get::<ratio>()));
    along
        .try_normalize(1e-9)
        .filter(is_unit)
        .ok_or_else(|| OutOfRange::new(what, "a direction without length", "the directions in which something points"))
}

/// The unit vector from `from` to `to`.
///
/// # Errors
/// The points are nearer to each other than a hundredth of a millimetre, or a coordinate is not a finite number.
pub(crate) fn unit_between(
    what: &'static str,
    from: Vector3<f64>,
    to: Vector3<f64>,
) -> Result<Vector3<f64>, OutOfRange> {
    (to - from).try_normalize(1e-5).filter(is_unit).ok_or_else(|| {
        OutOfRange::new(what, "given by two points that coincide", "lengths of at least 0.01 mm between its points")
    })
}

/// The direction of a member from its side and plan views: x forward, seen from its rear end to its front end.
///
/// `d = (1, tan sweep, tan slope)`, made one long, for the slope in the side view (positive when the front end is higher)
/// and the sweep in the plan view (positive when the front end points left).
#[must_use]
pub fn direction_of(slope: Angle, sweep: Angle) -> Direction {
    direction(Vector3::new(1.0, sweep.get::<radian>().tan(), slope.get::<radian>().tan()).normalize())
}

/// A length in words.
pub(crate) fn in_millimetres(length: Length) -> String {
    format!("{:.1} mm", length.get::<millimeter>())
}

#[cfg(test)]
mod tests {
    use uom::si::angle::degree;

    use super::*;

    #[test]
    fn a_member_in_the_side_view_keeps_its_slope() {
        let d = direction_of(Angle::new::<degree>(3.0), Angle::new::<degree>(0.0));
        assert!((d[2] / d[0]).get::<ratio>() - 3f64.to_radians().tan() < 1e-15);
        assert_eq!(d[1].get::<ratio>(), 0.0);
    }

    #[test]
    fn a_direction_needs_a_length() {
        assert!(unit("axis", [Ratio::new::<ratio>(0.0); 3]).is_err());
        assert!(unit("axis", [Ratio::new::<ratio>(f64::NAN); 3]).is_err());
        assert!(unit_between("axis", Vector3::zeros(), Vector3::zeros()).is_err());
    }
}
