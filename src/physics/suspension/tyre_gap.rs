//! The gap between a tyre and a straight part of the car.

use uom::si::f64::Length;
use uom::si::length::meter;

use crate::physics::range::OutOfRange;
use crate::physics::space::{Direction, Point, in_millimetres, unit, vector};
use crate::search::lowest_about;

/// The clearance of a link or another straight part, as a segment, to a tyre.
///
/// The tyre is a cylinder of `radius` and `width` about the spin axis through the wheel's centre, which is conservative at
/// the shoulders. The distance to a convex body along a segment has one minimum. Negative inside: then how
/// deep the nearest face lies.
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
    let [start, middle, end] = [0.0, 0.5, 1.0].map(|share| (share, gap(share)));
    let about = if middle.1 < start.1 && middle.1 < end.1 {
        [start, middle, end]
    } else if start.1 <= end.1 {
        [start, start, middle]
    } else {
        [middle, end, end]
    };
    let (_, least) = lowest_about(about, 1e-12, 100, |share| Some(gap(share)));
    Ok(Length::new::<meter>(least))
}
