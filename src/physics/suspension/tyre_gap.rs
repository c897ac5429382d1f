//! The gap between a tyre and a straight part of the car.

use uom::si::f64::Length;
use uom::si::length::meter;

use crate::physics::range::OutOfRange;
use crate::physics::space::{Direction, Point, in_millimetres, unit, vector};

/// The clearance of a link or another straight part, as a segment, to a tyre.
///
/// The tyre is a cylinder of `radius` and `width` about the spin axis through the wheel's centre, which is conservative at
/// the shoulders. The distance to a convex body along a segment has one minimum; it is found by golden section. Negative
/// inside: then how deep the nearest face lies.
///
/// # Errors
/// The spin axis has no length.
pub fn tyre_gap(
    wheel_centre: Point,
    spin_axis: Direction,
    radius: Length,
    width: Length,
    from: Point,
    to: Point,
) -> Result<Length, OutOfRange> {
    let axis = unit("the spin axis", spin_axis)?;
    let (centre, a, b) = (vector(wheel_centre), vector(from), vector(to));
    let (r, half) = (radius.get::<meter>(), width.get::<meter>() / 2.0);
    if !(r > 0.0 && half > 0.0 && (b - a).norm().is_finite()) {
        return Err(OutOfRange::new("a tyre's size", in_millimetres(radius.min(width)), "sizes above zero"));
    }
    let gap = |share: f64| {
        let p = a + (b - a) * share - centre;
        let beside = p.dot(&axis).abs() - half;
        let beyond = (p - axis * p.dot(&axis)).norm() - r;
        if beside > 0.0 && beyond > 0.0 { beside.hypot(beyond) } else { beside.max(beyond) }
    };
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let (x, y) = (high - golden * (high - low), low + golden * (high - low));
        if gap(x) < gap(y) { high = y } else { low = x }
    }
    Ok(Length::new::<meter>(gap((low + high) / 2.0).min(gap(0.0)).min(gap(1.0))))
}
