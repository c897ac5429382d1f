//! Directions of shafts and the true angle of the joint between two of them.
//!
//! A builder knows a shaft's direction in one of two ways: slope and sweep read with an angle finder and a string, or
//! the coordinates of points on its axis. Both come in here; joint angles and the planes in which joints bend come out.

use nalgebra::Vector3;
use uom::si::angle::{degree, radian};
use uom::si::f64::{Angle, Length};
use uom::si::length::millimeter;

use crate::physics::range::{OutOfRange, within};

/// A point `[x, y, z]` in the axes of ISO 8855.
pub type Point = [Length; 3];

/// Steepest slope and sweep that are taken for those of a shaft.
const STEEPEST_DEGREES: f64 = 80.0;

/// Unit-free direction `(1, tan sweep, tan slope)`: both angles are those seen in a view, so each gives one component.
/// The front end pointing left or up is the positive sense.
fn along(slope: Angle, sweep: Angle) -> Result<Vector3<f64>, OutOfRange> {
    let steepest = Angle::new::<degree>(STEEPEST_DEGREES);
    let show = |angle: Angle| format!("{:.2} deg", angle.get::<degree>());
    let slope = within("slope of a shaft", slope, -steepest, steepest, show)?;
    let sweep = within("sweep of a shaft", sweep, -steepest, steepest, show)?;
    Ok(Vector3::new(1.0, sweep.value.tan(), slope.value.tan()))
}

fn vector(from: Point, to: Point) -> Vector3<f64> {
    Vector3::new(to[0].value - from[0].value, to[1].value - from[1].value, to[2].value - from[2].value)
}

/// The angle between two vectors by cross and dot product: the arc cosine alone loses every digit near zero.
fn between(one: &Vector3<f64>, other: &Vector3<f64>) -> Angle {
    Angle::new::<radian>(one.cross(other).norm().atan2(one.dot(other)))
}

/// The true angle of a joint, from slope and sweep of the members before and after it.
///
/// `cos beta = a.b / (|a| |b|)` with `a = (1, tan sweep, tan slope)` of each member. It is not the sum of the two views;
/// for small angles it is close to the root of the sum of their squares.
///
/// # Errors
/// A slope or sweep beyond 80 deg either way.
///
/// Source: vector algebra; the views as in SAE AE-7 (memory).
pub fn joint_angle(
    before_slope: Angle,
    before_sweep: Angle,
    after_slope: Angle,
    after_sweep: Angle,
) -> Result<Angle, OutOfRange> {
    Ok(between(&along(before_slope, before_sweep)?, &along(after_slope, after_sweep)?))
}

/// The plane in which a joint bends, as its angle about the line of shafts, from the left towards up, above -90 deg and
/// at most 90 deg. A joint without bend has no plane; 0 deg is returned and weighs nothing in [`super::equivalent_angle`].
///
/// `psi = atan2(tan slope_b - tan slope_a, tan sweep_b - tan sweep_a)`, modulo 180 deg. The planes of joints that stand on
/// one nearly straight line can be compared; slopes and sweeps of 10 deg put less than 1 deg of error into the comparison.
///
/// # Errors
/// A slope or sweep beyond 80 deg either way.
///
/// Source: vector algebra.
pub fn joint_plane(
    before_slope: Angle,
    before_sweep: Angle,
    after_slope: Angle,
    after_sweep: Angle,
) -> Result<Angle, OutOfRange> {
    let turn = along(after_slope, after_sweep)? - along(before_slope, before_sweep)?;
    Ok(half_turn(Angle::new::<radian>(turn.z.atan2(turn.y))))
}

/// The angle brought into the range above -90 deg and up to 90 deg by whole half turns: planes and yokes look the same
/// after half a turn.
pub(super) fn half_turn(angle: Angle) -> Angle {
    let half = std::f64::consts::PI;
    Angle::new::<radian>(angle.value - half * (angle.value / half - 0.5).ceil())
}

/// The true angle of a joint, from a point on the axis before it, its own centre, and a point on the axis after it.
///
/// # Errors
/// Two neighbouring points closer than 1 mm: they give no direction.
///
/// Source: vector algebra.
pub fn joint_angle_at(before: Point, joint: Point, after: Point) -> Result<Angle, OutOfRange> {
    let (one, other) = (vector(before, joint), vector(joint, after));
    apart(one.norm())?;
    apart(other.norm())?;
    Ok(between(&one, &other))
}

fn apart(distance: f64) -> Result<(), OutOfRange> {
    let show = |l: Length| format!("{} mm", l.get::<millimeter>());
    let furthest = Length::new::<millimeter>(1e6);
    within(
        "distance between two points of a shaft's axis",
        Length::new::<uom::si::length::meter>(distance),
        Length::new::<millimeter>(1.0),
        furthest,
        show,
    )
    .map(|_| ())
}

/// Slope of the line through two points of a shaft's axis, as seen from the side; positive when the front end is higher.
/// The order of the points does not matter.
///
/// `atan((z_1 - z_2) / (x_1 - x_2))`
///
/// # Errors
/// Points less than 1 mm apart along the car.
///
/// Source: ISO 8855 axes.
pub fn slope_between(one: Point, other: Point) -> Result<Angle, OutOfRange> {
    seen(one, other, 2)
}

/// Sweep of the line through two points of a shaft's axis, as seen from above; positive when the front end points left.
/// The order of the points does not matter.
///
/// `atan((y_1 - y_2) / (x_1 - x_2))`
///
/// # Errors
/// Points less than 1 mm apart along the car.
///
/// Source: ISO 8855 axes.
pub fn sweep_between(one: Point, other: Point) -> Result<Angle, OutOfRange> {
    seen(one, other, 1)
}

fn seen(one: Point, other: Point, axis: usize) -> Result<Angle, OutOfRange> {
    let line = vector(other, one);
    apart(line.x.abs())?;
    Ok(Angle::new::<radian>((line[axis] / line.x).atan()))
}

/// The bend of both joints of a half shaft, from the centres of its joints: the angle of the shaft to a line straight across
/// the car, where the axes of differential and hub are taken to lie. Camber and toe of the hub come on top.
///
/// `atan(sqrt((x_1 - x_2)^2 + (z_1 - z_2)^2) / |y_1 - y_2|)`
///
/// # Errors
/// Points less than 1 mm apart.
///
/// Source: vector algebra.
pub fn lateral_angle(inner: Point, outer: Point) -> Result<Angle, OutOfRange> {
    let line = vector(inner, outer);
    apart(line.norm())?;
    Ok(Angle::new::<radian>(f64::hypot(line.x, line.z).atan2(line.y.abs())))
}
