//! Springs, dampers and drop links between the body and a part that moves with the wheel, straight or through a rocker.

use nalgebra::Vector3;
use uom::si::f64::{Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::motion::{Motion, hinged};
use crate::physics::range::OutOfRange;
use crate::physics::space::{Direction, Point, unit, unit_between, vector};

/// A spring, damper or drop link at one pose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringTravel {
    /// Distance between its ends.
    pub length: Length,
    /// How much shorter it is than drawn.
    pub compression: Length,
    /// Spring travel over wheel travel: compression for each unit of wheel travel.
    pub motion_ratio: Ratio,
}

/// A spring or damper from `fixed` on the body to the point of a moving part that was drawn at `moving`.
///
/// `MR = -dL/dz = -u . v`, with u the unit vector from the fixed to the moving end and v the moving end's velocity for each
/// unit of wheel travel. For the motion of an axle in roll, it is for each unit of travel of the left wheel.
///
/// # Errors
/// The ends coincide.
pub fn spring_travel(part: &Motion, fixed: Point, moving: Point) -> Result<SpringTravel, OutOfRange> {
    let (fixed, drawn) = (vector(fixed), vector(moving));
    let now = part.placing.place(drawn);
    unit_between("a spring as drawn", fixed, drawn)?;
    let u = unit_between("a spring", fixed, now)?;
    let (length, before) = ((now - fixed).norm(), (drawn - fixed).norm());
    Ok(SpringTravel {
        length: Length::new::<meter>(length),
        compression: Length::new::<meter>(before - length),
        motion_ratio: Ratio::new::<ratio>(-u.dot(&part.velocity(drawn))),
    })
}

/// A rocker that turns about `pivot` in the body, pushed or pulled by a rod from `rod_outer` on a moving part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rocker {
    /// Its pivot.
    pub pivot: Point,
    /// The direction of its pivot's axis.
    pub axis: Direction,
    /// The rod's end at the rocker.
    pub rod_inner: Point,
    /// The rod's end at the moving part.
    pub rod_outer: Point,
}

/// The motion of a rocker, which carries its spring's and its bar's ends along.
///
/// The rod keeps its length: `|P + R(q) r - o| = L` for the rocker's arm r, which is `A cos q + B sin q = C`; of its two
/// solutions the one reached from the drawn position. The rate follows from `u . (w a x r - v) = 0`.
///
/// # Errors
/// The rod does not reach, stands in line with the rocker's arm, or points coincide.
pub fn rocker_motion(part: &Motion, rocker: &Rocker) -> Result<Motion, OutOfRange> {
    let axis = unit("the axis of the rocker", rocker.axis)?;
    let (pivot, inner, outer) = (vector(rocker.pivot), vector(rocker.rod_inner), vector(rocker.rod_outer));
    unit_between("the rod of the rocker", inner, outer)?;
    let arm = inner - pivot;
    let along = axis * axis.dot(&arm);
    let across = arm - along;
    let sideways = axis.cross(&across);
    // 2 d . r(q) = |d|^2 + |r|^2 - L^2, with d from the pivot to the rod's outer end; r(q) = along + across cos + sideways sin.
    let turn_for = |d: Vector3<f64>, branch: f64| -> (f64, f64) {
        let (a, b) = (d.dot(&across), d.dot(&sideways));
        let c = (d.norm_squared() + arm.norm_squared() - (outer - inner).norm_squared()) / 2.0 - d.dot(&along);
        let phase = b.atan2(a);
        let spread = (c / a.hypot(b)).acos();
        (phase + branch * spread, phase)
    };
    let drawn = outer - pivot;
    let (_, phase) = turn_for(drawn, 0.0);
    let branch = -phase.signum();
    let now_outer = part.placing.place(outer);
    let (angle, _) = turn_for(now_outer - pivot, branch);
    let turned = along + across * angle.cos() + sideways * angle.sin();
    let now = pivot + turned;
    let refuse = || {
        OutOfRange::new(
            "the rod of the rocker",
            "at an end of its reach",
            "rods that can turn their rocker at this travel",
        )
    };
    let u = (now - now_outer).try_normalize(1e-5).ok_or_else(refuse)?;
    let swing = axis.cross(&turned);
    let leverage = u.dot(&swing);
    if !(leverage.abs() > 1e-4 * swing.norm() && leverage.abs() > 1e-6) {
        return Err(refuse());
    }
    let rate = u.dot(&part.velocity(outer)) / leverage;
    hinged(pivot, axis, inner, now, swing * rate)
}
