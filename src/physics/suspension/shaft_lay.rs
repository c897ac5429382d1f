//! A shaft between a joint on the body and one that moves with an axle or an upright: plunge and joint angles.

use nalgebra::Vector3;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length};
use uom::si::length::meter;

use super::motion::Motion;
use crate::physics::range::OutOfRange;
use crate::physics::space::{Direction, Point, unit, unit_between, vector};

/// A shaft between a joint on the body and a joint on a moving part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShaftLay {
    /// Distance between the joints.
    pub length: Length,
    /// How much longer the shaft is than drawn: positive pulls the slip joint apart.
    pub extension: Length,
    /// Angle at the joint on the body.
    pub angle_at_body: Angle,
    /// Angle at the joint on the moving part.
    pub angle_at_part: Angle,
    /// Where the joint on the moving part now is.
    pub joint_at_part: Point,
}

/// How a shaft lies between a joint on the body, whose member points along `axis_at_body`, and the joint of a moving part
/// (axle nose, upright) that was drawn at `joint_at_part` with its member along `axis_at_part`. Of the directions only the
/// line counts: a joint's angle is never above a right angle.
///
/// # Errors
/// The joints coincide, or a direction has no length.
pub fn shaft_lay(
    part: &Motion,
    joint_at_body: Point,
    axis_at_body: Direction,
    joint_at_part: Point,
    axis_at_part: Direction,
) -> Result<ShaftLay, OutOfRange> {
    let (near, drawn) = (vector(joint_at_body), vector(joint_at_part));
    let far = part.placing.place(drawn);
    unit_between("a shaft as drawn", near, drawn)?;
    let shaft = unit_between("a shaft", near, far)?;
    let between = |axis: Vector3<f64>| Angle::new::<radian>(shaft.cross(&axis).norm().atan2(shaft.dot(&axis).abs()));
    let length = (far - near).norm();
    Ok(ShaftLay {
        length: Length::new::<meter>(length),
        extension: Length::new::<meter>(length - (drawn - near).norm()),
        angle_at_body: between(unit("the member at the body", axis_at_body)?),
        angle_at_part: between(part.placing.turn * unit("the member at the moving part", axis_at_part)?),
        joint_at_part: part.place(joint_at_part),
    })
}
