//! The angles at the ends of a link: what its rod ends must allow, and what its rubber ends must twist.

use nalgebra::Vector3;
use uom::si::angle::radian;
use uom::si::f64::Angle;

use super::motion::Motion;
use crate::physics::range::OutOfRange;
use crate::physics::space::{Direction, Point, unit, unit_between, vector};

/// The end angles of a link between the body and a moving part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinkAngles {
    /// Tilt at the body: between the link and the plane across the bolt. It is what a rod end must allow.
    pub tilt_at_body: Angle,
    /// Tilt at the moving part.
    pub tilt_at_part: Angle,
    /// Turn about the bolt at the body since the drawn position.
    pub swing_at_body: Angle,
    /// Turn about the bolt at the moving part since the drawn position.
    pub swing_at_part: Angle,
    /// Twist of the link's two eyes against each other since the drawn position: what rubber ends must allow together.
    pub twist: Angle,
}

/// The end angles of a link from `inner` on the body, with its bolt along `bolt_at_body`, to the point of a moving part drawn
/// at `outer`, with its bolt along `bolt_at_part`.
///
/// Tilt is `asin |d . b|` for the link's direction d and the bolt's direction b. The link is taken as free to turn about
/// itself; then each end's tilt is the least that its rod end must allow.
///
/// # Errors
/// The ends coincide, a direction has no length, or a link lies along its bolt.
pub fn link_angles(
    part: &Motion,
    inner: Point,
    bolt_at_body: Direction,
    outer: Point,
    bolt_at_part: Direction,
) -> Result<LinkAngles, OutOfRange> {
    let (near, drawn) = (vector(inner), vector(outer));
    let before = unit_between("a link as drawn", near, drawn)?;
    let now = unit_between("a link", near, part.placing.place(drawn))?;
    let body_bolt = unit("the bolt at the body", bolt_at_body)?;
    let part_bolt = unit("the bolt at the moving part", bolt_at_part)?;
    let part_bolt_now = part.placing.turn * part_bolt;
    // The link as the moving part sees it.
    let seen_from_part = part.placing.turn.inverse() * now;
    let twist = about(now, body_bolt, part_bolt_now)? - about(before, body_bolt, part_bolt)?;
    Ok(LinkAngles {
        tilt_at_body: tilt(now, body_bolt),
        tilt_at_part: tilt(now, part_bolt_now),
        swing_at_body: Angle::new::<radian>(about(body_bolt, before, now)?.abs()),
        swing_at_part: Angle::new::<radian>(about(part_bolt, before, seen_from_part)?.abs()),
        twist: Angle::new::<radian>(folded(twist).abs()),
    })
}

/// The angle between a link and the plane across a bolt.
pub(super) fn tilt(link: Vector3<f64>, bolt: Vector3<f64>) -> Angle {
    Angle::new::<radian>(link.dot(&bolt).abs().min(1.0).asin())
}

/// The angle from one direction to another, seen along `axis`.
pub(super) fn about(axis: Vector3<f64>, from: Vector3<f64>, to: Vector3<f64>) -> Result<f64, OutOfRange> {
    let across = |v: Vector3<f64>| v - axis * axis.dot(&v);
    let (from, to) = (across(from), across(to));
    if from.norm() < 1e-3 || to.norm() < 1e-3 {
        return Err(OutOfRange::new("the bolt of a link", "along the link", "bolts that stand across their link"));
    }
    Ok(axis.dot(&from.cross(&to)).atan2(from.dot(&to)))
}

/// An angle within half a turn either way.
pub(super) fn folded(angle: f64) -> f64 {
    let half = std::f64::consts::PI;
    (angle + half).rem_euclid(2.0 * half) - half
}
