//! The layouts of an independent suspension from their hard points, and the pose of the wheel over its travel.
//!
//! All points as drawn, that is at the ride height from which travel is counted; bump is positive. Left and right wheels
//! alike: the side follows from the wheel centre. Compliance of bushes is neglected.

use nalgebra::{Rotation3, Unit, Vector3};
use uom::si::f64::Length;
use uom::si::length::meter;

use super::linkage::{Constraint, Linkage, Settled};
use super::motion::{Motion, Placing};
use super::wheel_pose::{Wheel, WheelPose};
use crate::physics::range::{OutOfRange, within};
use crate::physics::space::{Point, in_millimetres, unit_between, vector};

/// A rod with a ball at each end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// The end at the body.
    pub inner: Point,
    /// The end at the upright or the axle.
    pub outer: Point,
}

/// Two wishbones and a tie rod (or, on an axle that is not steered, a toe link).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoubleWishbone {
    /// Front pivot of the lower arm.
    pub lower_front: Point,
    /// Rear pivot of the lower arm.
    pub lower_rear: Point,
    /// Lower ball joint.
    pub lower_ball: Point,
    /// Front pivot of the upper arm.
    pub upper_front: Point,
    /// Rear pivot of the upper arm.
    pub upper_rear: Point,
    /// Upper ball joint.
    pub upper_ball: Point,
    /// The tie rod or toe link.
    pub tie_rod: Link,
    /// The wheel.
    pub wheel: Wheel,
}

/// A strut whose tube is fixed to the upright, with a lower arm and a tie rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strut {
    /// Front pivot of the lower arm.
    pub arm_front: Point,
    /// Rear pivot of the lower arm.
    pub arm_rear: Point,
    /// The ball joint of the lower arm.
    pub ball: Point,
    /// The middle of the top mount.
    pub top: Point,
    /// A second point on the axis of the piston rod, lower down. It need not be the ball joint.
    pub rod_axis: Point,
    /// The tie rod or toe link.
    pub tie_rod: Link,
    /// The wheel.
    pub wheel: Wheel,
}

/// A strut on two links, which need not meet, with a tie rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrutOnLinks {
    /// The two links: the legs of its arm, or a lateral link and a radius rod.
    pub links: [Link; 2],
    /// The middle of the top mount.
    pub top: Point,
    /// A second point on the axis of the piston rod, lower down.
    pub rod_axis: Point,
    /// The tie rod or toe link.
    pub tie_rod: Link,
    /// The wheel.
    pub wheel: Wheel,
}

/// An upright on five rods.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FiveLink {
    /// The rods; the last one is moved by the rack on a steered axle.
    pub links: [Link; 5],
    /// The wheel.
    pub wheel: Wheel,
}

/// One arm that swings about a line of two pivots: trailing, semi-trailing and swing arms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingingArm {
    /// One pivot.
    pub inner_pivot: Point,
    /// The other pivot.
    pub outer_pivot: Point,
    /// The wheel.
    pub wheel: Wheel,
}

/// How an upright is guided, in the form in which it is solved.
#[derive(Debug, Clone)]
pub struct Guide {
    wheel: Wheel,
    means: Means,
}

#[derive(Debug, Clone)]
enum Means {
    Links(Box<Linkage>),
    Hinge { pivot: Vector3<f64>, axis: Vector3<f64> },
}

/// An independent suspension.
pub trait Independent {
    /// How it guides its upright.
    ///
    /// # Errors
    /// Points coincide, or a coordinate is not a finite number.
    fn guide(&self) -> Result<Guide, OutOfRange>;
}

fn tie_rod(rod: &Link) -> Result<Constraint, OutOfRange> {
    Constraint::rod("the tie rod", vector(rod.inner), vector(rod.outer), true)
}

fn arm(what: &'static str, pivots: [Point; 2], ball: Point) -> Result<[Constraint; 2], OutOfRange> {
    let ball = vector(ball);
    let [front, rear] = pivots.map(vector);
    unit_between(what, front, rear)?;
    Ok([Constraint::rod(what, front, ball, false)?, Constraint::rod(what, rear, ball, false)?])
}

fn linked(wheel: Wheel, constraints: [Constraint; 5]) -> Guide {
    Guide { wheel, means: Means::Links(Box::new(Linkage { wheel_centre: vector(wheel.centre), constraints })) }
}

impl Independent for DoubleWishbone {
    fn guide(&self) -> Result<Guide, OutOfRange> {
        let [a, b] = arm("the lower arm", [self.lower_front, self.lower_rear], self.lower_ball)?;
        let [c, d] = arm("the upper arm", [self.upper_front, self.upper_rear], self.upper_ball)?;
        Ok(linked(self.wheel, [a, b, c, d, tie_rod(&self.tie_rod)?]))
    }
}

/// The two constraints of a piston rod: its top stays on the axis.
fn piston_rod(top: Point, rod_axis: Point) -> Result<[Constraint; 2], OutOfRange> {
    let (top, low) = (vector(top), vector(rod_axis));
    let axis = Unit::new_unchecked(unit_between("the axis of the piston rod", low, top)?);
    // Any two directions across the axis do: the top mount stays on both planes, hence on the axis.
    let across = axis.cross(&if axis.x.abs() < 0.7 { Vector3::x() } else { Vector3::y() }).normalize();
    let plane = |normal| Constraint::Plane { fixed: top, on_axis: low, normal };
    Ok([plane(across), plane(axis.cross(&across))])
}

impl Independent for Strut {
    fn guide(&self) -> Result<Guide, OutOfRange> {
        let [a, b] = arm("the lower arm", [self.arm_front, self.arm_rear], self.ball)?;
        let [c, d] = piston_rod(self.top, self.rod_axis)?;
        Ok(linked(self.wheel, [a, b, c, d, tie_rod(&self.tie_rod)?]))
    }
}

impl Independent for StrutOnLinks {
    fn guide(&self) -> Result<Guide, OutOfRange> {
        let rod = |link: Link| Constraint::rod("a link of the strut", vector(link.inner), vector(link.outer), false);
        let [a, b] = self.links;
        let [c, d] = piston_rod(self.top, self.rod_axis)?;
        Ok(linked(self.wheel, [rod(a)?, rod(b)?, c, d, tie_rod(&self.tie_rod)?]))
    }
}

impl Independent for FiveLink {
    fn guide(&self) -> Result<Guide, OutOfRange> {
        let [a, b, c, d, e] = self.links;
        let rod = |link: Link, steered| Constraint::rod("a link", vector(link.inner), vector(link.outer), steered);
        Ok(linked(self.wheel, [rod(a, false)?, rod(b, false)?, rod(c, false)?, rod(d, false)?, rod(e, true)?]))
    }
}

impl Independent for SwingingArm {
    fn guide(&self) -> Result<Guide, OutOfRange> {
        let pivot = vector(self.inner_pivot);
        let axis = unit_between("the pivot line of the arm", pivot, vector(self.outer_pivot))?;
        Ok(Guide { wheel: self.wheel, means: Means::Hinge { pivot, axis } })
    }
}

/// The pose of a wheel at a wheel travel and a rack travel.
///
/// `travel` is the rise of the wheel centre against the body from the drawn position, `rack` the movement of the tie rod's
/// inner end to the left. Always walked from the drawn position, so that equal questions have equal answers.
///
/// # Errors
/// The points are no suspension (see [`Independent::guide`]), or the links do not reach: the error says how far they do.
pub fn wheel_pose(layout: &impl Independent, travel: Length, rack: Length) -> Result<WheelPose, OutOfRange> {
    let guide = layout.guide()?;
    let path = Walk::start(&guide)?;
    path.to(travel, rack).map(|(pose, _)| pose)
}

/// The poses of a wheel at a list of travels and rack travels, each solved from the one before it.
///
/// # Errors
/// As [`wheel_pose`], at the first pair that cannot be reached.
pub fn wheel_poses(layout: &impl Independent, at: &[(Length, Length)]) -> Result<Vec<WheelPose>, OutOfRange> {
    let guide = layout.guide()?;
    let mut poses = Vec::with_capacity(at.len());
    let mut walk = Walk::start(&guide)?;
    for (travel, rack) in at {
        let (pose, on) = walk.to(*travel, *rack)?;
        poses.push(pose);
        walk = on;
    }
    Ok(poses)
}

/// A walk along the travel: the guide and where it has got to.
struct Walk<'a> {
    guide: &'a Guide,
    here: Option<Settled>,
}

impl<'a> Walk<'a> {
    fn start(guide: &'a Guide) -> Result<Self, OutOfRange> {
        guide.wheel.check()?;
        let here = match &guide.means {
            Means::Links(linkage) => Some(linkage.drawn()?),
            Means::Hinge { .. } => None,
        };
        Ok(Walk { guide, here })
    }

    fn to(self, travel: Length, rack: Length) -> Result<(WheelPose, Self), OutOfRange> {
        let reach = Length::new::<meter>(1.0);
        within("wheel travel", travel, -reach, reach, in_millimetres)?;
        within("rack travel", rack, -reach, reach, in_millimetres)?;
        let (motion, here) = match (&self.guide.means, self.here) {
            (Means::Links(linkage), Some(near)) => {
                let settled = linkage.settled(near, travel, rack)?;
                (settled.motion(), Some(settled))
            }
            (Means::Links(_), None) => (None, None),
            (Means::Hinge { pivot, axis }, _) => {
                (Some(swing(*pivot, *axis, vector(self.guide.wheel.centre), travel)?), None)
            }
        };
        let motion = motion.ok_or_else(|| {
            OutOfRange::new("wheel travel", in_millimetres(travel), "the travels at which the links hold the wheel")
        })?;
        let pose = WheelPose::new(&self.guide.wheel, travel, rack, motion)?;
        Ok((pose, Walk { guide: self.guide, here }))
    }
}

/// The motion of an arm that has lifted its wheel centre by `travel`.
///
/// With the lever's part r across the pivot line a, the height is `A cos q + B sin q` for `A = r_z`, `B = (a x r)_z`;
/// hence `q = f - sign(f) acos((A + travel) / sqrt(A^2 + B^2))`, `f = atan2(B, A)`, the branch on which q = 0 at rest.
fn swing(
    pivot: Vector3<f64>,
    axis: Vector3<f64>,
    wheel_centre: Vector3<f64>,
    travel: Length,
) -> Result<Motion, OutOfRange> {
    let lever = wheel_centre - pivot;
    let across = lever - axis * axis.dot(&lever);
    let (a, b) = (across.z, axis.cross(&across).z);
    let (reach, phase) = (a.hypot(b), b.atan2(a));
    let height = (a + travel.get::<meter>()) / reach;
    let angle = phase - phase.signum() * height.acos();
    let rise = b * angle.cos() - a * angle.sin();
    // Beyond its reach the arm has no angle.
    if rise.is_nan() || rise.abs() < 1e-6 {
        return Err(OutOfRange::new(
            "wheel travel",
            in_millimetres(travel),
            format_args!(
                "what the arm reaches, {} to {}",
                in_millimetres(Length::new::<meter>(-reach - a)),
                in_millimetres(Length::new::<meter>(reach - a))
            ),
        ));
    }
    let placing = Placing {
        turn: Rotation3::from_axis_angle(&Unit::new_unchecked(axis), angle),
        shift: Vector3::zeros(),
        about: pivot,
    };
    Ok(Motion { placing, speed: Vector3::zeros(), spin: axis / rise })
}
