//! Where a part of a suspension stands and how it moves on: the displacement of a rigid body from its drawn place, with
//! the velocity of that displacement for each unit of wheel travel.

use nalgebra::{Rotation3, Unit, Vector3};
use uom::si::f64::Ratio;
use uom::si::ratio::ratio;

use crate::physics::range::OutOfRange;
use crate::physics::space::{Direction, Point, direction, point, unit_between, vector};

/// The displacement of a rigid body from its drawn place: `p -> a + s + R (p - a)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placing {
    /// The rotation `R`.
    pub turn: Rotation3<f64>,
    /// The shift `s` of the point that it turns about.
    pub shift: Vector3<f64>,
    /// The point `a`, as drawn.
    pub about: Vector3<f64>,
}

impl Placing {
    /// As drawn.
    pub fn drawn(about: Vector3<f64>) -> Placing {
        Placing { turn: Rotation3::identity(), shift: Vector3::zeros(), about }
    }

    /// From the place of the point turned about to the place of the body's point that was drawn at `drawn`.
    pub fn lever(&self, drawn: Vector3<f64>) -> Vector3<f64> {
        self.turn * (drawn - self.about)
    }

    /// The place of the body's point that was drawn at `drawn`.
    pub fn place(&self, drawn: Vector3<f64>) -> Vector3<f64> {
        self.about + self.shift + self.lever(drawn)
    }

    /// Moved on by a small shift and a small turn (axis times angle).
    pub fn moved(&self, shift: Vector3<f64>, turn: Vector3<f64>) -> Placing {
        Placing { turn: Rotation3::new(turn) * self.turn, shift: self.shift + shift, about: self.about }
    }
}

/// Where a part stands at a wheel travel, and how it moves for each unit of further travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    pub(super) placing: Placing,
    /// Velocity of the point turned about, as length per length of travel.
    pub(super) speed: Vector3<f64>,
    /// Rate of turning, as angle per length of travel.
    pub(super) spin: Vector3<f64>,
}

impl Motion {
    /// Where the part's point now is that was drawn at `drawn`.
    #[must_use]
    pub fn place(&self, drawn: Point) -> Point {
        point(self.placing.place(vector(drawn)))
    }

    /// Where the part's direction now points that was drawn as `drawn`.
    #[must_use]
    pub fn face(&self, drawn: Direction) -> Direction {
        direction(self.placing.turn * Vector3::from(drawn.map(|c| c.get::<ratio>())))
    }

    /// How far the part's point that was drawn at `drawn` moves in x, y and z for each unit of wheel travel.
    #[must_use]
    pub fn path(&self, drawn: Point) -> [Ratio; 3] {
        direction(self.velocity(vector(drawn)))
    }

    pub(super) fn velocity(&self, drawn: Vector3<f64>) -> Vector3<f64> {
        self.speed + self.spin.cross(&self.placing.lever(drawn))
    }

    /// The velocity of the part's point that now is at `place`.
    pub(super) fn velocity_at(&self, place: Vector3<f64>) -> Vector3<f64> {
        self.speed + self.spin.cross(&(place - self.placing.about - self.placing.shift))
    }
}

/// The motion of an arm that swings about the line through `pivot` and `other_pivot` and carries `joint`, which also
/// belongs to `carrier`.
///
/// The arm's angle is that between the joint's drawn and present arms about the pivots' line; its rate is
/// `(a x r) . v / |a x r|^2` for the line's direction a, the joint's lever r and its velocity v.
///
/// # Errors
/// The pivots coincide, or the joint lies on their line.
pub fn arm_motion(pivot: Point, other_pivot: Point, joint: Point, carrier: &Motion) -> Result<Motion, OutOfRange> {
    let (a, j) = (vector(pivot), vector(joint));
    let axis = unit_between("the pivot line of an arm", a, vector(other_pivot))?;
    hinged(a, axis, j, carrier.placing.place(j), carrier.velocity(j))
}

/// The motion about a hinge that takes a point from `drawn` to `now`.
pub(super) fn hinged(
    hinge: Vector3<f64>,
    axis: Vector3<f64>,
    drawn: Vector3<f64>,
    now: Vector3<f64>,
    velocity: Vector3<f64>,
) -> Result<Motion, OutOfRange> {
    let across = |p: Vector3<f64>| (p - hinge) - axis * axis.dot(&(p - hinge));
    let (before, after) = (across(drawn), across(now));
    unit_between("the swinging length of an arm", Vector3::zeros(), before)?;
    let angle = axis.dot(&before.cross(&after)).atan2(before.dot(&after));
    let sideways = axis.cross(&after);
    let rate = sideways.dot(&velocity) / sideways.norm_squared();
    Ok(Motion {
        placing: Placing {
            turn: Rotation3::from_axis_angle(&Unit::new_unchecked(axis), angle),
            shift: Vector3::zeros(),
            about: hinge,
        },
        speed: Vector3::zeros(),
        spin: axis * rate,
    })
}
