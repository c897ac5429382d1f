//! The solved suspensions as plain calls: points and lengths in, a pose out, and parts carried along by points alone.
//!
//! For callers that have no structs of hard points. A pose says where four points of its part now are (`origin`, and the
//! points drawn one metre ahead, to the left and above); with these [`carried_point`] moves any other point of that part.

use nalgebra::{Matrix3, Rotation3, Vector3};
use uom::si::angle::radian;
use uom::si::f64::{Acceleration, Angle, Length, Mass};

use super::axle::{CrankOn, LiveAxle, Watt, axle_pose};
use super::axle_pose::AxlePose;
use super::by_links::links;
use super::layouts::{DoubleWishbone, FiveLink, Link, Strut, SwingingArm, wheel_pose};
use super::link_angles::{about, folded, tilt};
use super::load_transfer::{CorneringAxle, LoadTransfer, lateral_load_transfer};
use super::motion::{Motion, Placing, hinged};
use super::spring_travel::{Rocker, rocker_motion};
use super::wheel_pose::{Wheel, WheelPose};
use crate::physics::range::OutOfRange;
use crate::physics::rates::RotationalStiffness;
use crate::physics::space::{Point, direction, unit_between, vector};

/// [`wheel_pose`] of a [`DoubleWishbone`].
///
/// # Errors
/// As [`wheel_pose`].
#[allow(clippy::too_many_arguments)]
pub fn double_wishbone_pose(
    lower_front: Point,
    lower_rear: Point,
    lower_ball: Point,
    upper_front: Point,
    upper_rear: Point,
    upper_ball: Point,
    tie_rod_inner: Point,
    tie_rod_outer: Point,
    wheel_centre: Point,
    loaded_radius: Length,
    camber: Angle,
    toe_in: Angle,
    travel: Length,
    rack: Length,
) -> Result<WheelPose, OutOfRange> {
    let layout = DoubleWishbone {
        lower_front,
        lower_rear,
        lower_ball,
        upper_front,
        upper_rear,
        upper_ball,
        tie_rod: Link { inner: tie_rod_inner, outer: tie_rod_outer },
        wheel: Wheel { centre: wheel_centre, loaded_radius, camber, toe_in },
    };
    wheel_pose(&layout, travel, rack)
}

/// [`wheel_pose`] of a [`Strut`].
///
/// # Errors
/// As [`wheel_pose`].
#[allow(clippy::too_many_arguments)]
pub fn strut_pose(
    arm_front: Point,
    arm_rear: Point,
    ball: Point,
    top: Point,
    rod_axis: Point,
    tie_rod_inner: Point,
    tie_rod_outer: Point,
    wheel_centre: Point,
    loaded_radius: Length,
    camber: Angle,
    toe_in: Angle,
    travel: Length,
    rack: Length,
) -> Result<WheelPose, OutOfRange> {
    let layout = Strut {
        arm_front,
        arm_rear,
        ball,
        top,
        rod_axis,
        tie_rod: Link { inner: tie_rod_inner, outer: tie_rod_outer },
        wheel: Wheel { centre: wheel_centre, loaded_radius, camber, toe_in },
    };
    wheel_pose(&layout, travel, rack)
}

/// [`wheel_pose`] of a [`FiveLink`]: the inner ends of its links and their outer ends in the same order, the toe link last.
///
/// # Errors
/// As [`wheel_pose`], or there are not five of each.
#[allow(clippy::too_many_arguments)]
pub fn five_link_pose(
    inner: &[Point],
    outer: &[Point],
    wheel_centre: Point,
    loaded_radius: Length,
    camber: Angle,
    toe_in: Angle,
    travel: Length,
    rack: Length,
) -> Result<WheelPose, OutOfRange> {
    let links: [Link; 5] = links(inner, outer)?.try_into().map_err(|found: Vec<Link>| {
        OutOfRange::new("the number of links of an upright", found.len(), "five, the toe link counted")
    })?;
    let wheel = Wheel { centre: wheel_centre, loaded_radius, camber, toe_in };
    wheel_pose(&FiveLink { links, wheel }, travel, rack)
}

/// [`wheel_pose`] of a [`SwingingArm`].
///
/// # Errors
/// As [`wheel_pose`].
pub fn swinging_arm_pose(
    inner_pivot: Point,
    outer_pivot: Point,
    wheel_centre: Point,
    loaded_radius: Length,
    camber: Angle,
    toe_in: Angle,
    travel: Length,
) -> Result<WheelPose, OutOfRange> {
    let wheel = Wheel { centre: wheel_centre, loaded_radius, camber, toe_in };
    wheel_pose(&SwingingArm { inner_pivot, outer_pivot, wheel }, travel, Length::default())
}

fn axle(
    links: Vec<Link>,
    watt: Option<Watt>,
    left_centre: Point,
    right_centre: Point,
    loaded_radius: Length,
) -> LiveAxle {
    let wheel = |centre| Wheel { centre, loaded_radius, camber: Angle::default(), toe_in: Angle::default() };
    LiveAxle { links, watt, left: wheel(left_centre), right: wheel(right_centre) }
}

/// [`axle_pose`] of a [`LiveAxle`] on four or five links, a Panhard rod among them: their inner ends and their outer ends in
/// the same order.
///
/// # Errors
/// As [`axle_pose`], or the lists differ in length.
pub fn live_axle_pose(
    inner: &[Point],
    outer: &[Point],
    left_centre: Point,
    right_centre: Point,
    loaded_radius: Length,
    left_travel: Length,
    right_travel: Length,
) -> Result<AxlePose, OutOfRange> {
    let axle = axle(links(inner, outer)?, None, left_centre, right_centre, loaded_radius);
    axle_pose(&axle, left_travel, right_travel)
}

/// [`axle_pose`] of a [`LiveAxle`] on three or four links and a [`Watt`] linkage.
///
/// # Errors
/// As [`axle_pose`], or the lists differ in length.
#[allow(clippy::too_many_arguments)]
pub fn live_axle_with_watt_pose(
    inner: &[Point],
    outer: &[Point],
    crank_on_axle: bool,
    pivot: Point,
    first_end: Point,
    first_far: Point,
    second_end: Point,
    second_far: Point,
    left_centre: Point,
    right_centre: Point,
    loaded_radius: Length,
    left_travel: Length,
    right_travel: Length,
) -> Result<AxlePose, OutOfRange> {
    let crank_on = if crank_on_axle { CrankOn::Axle } else { CrankOn::Body };
    let watt = Watt { crank_on, pivot, first_end, first_far, second_end, second_far };
    let axle = axle(links(inner, outer)?, Some(watt), left_centre, right_centre, loaded_radius);
    axle_pose(&axle, left_travel, right_travel)
}

/// Where a part's point now is that was drawn at `drawn`, from four points of the part: where its origin (drawn at
/// `drawn_origin`) and the points drawn one metre ahead of it, to its left and above it now are.
#[must_use]
pub fn carried_point(
    origin: Point,
    metre_ahead: Point,
    metre_left: Point,
    metre_up: Point,
    drawn_origin: Point,
    drawn: Point,
) -> Point {
    let middle = vector(origin);
    let turn = Matrix3::from_columns(&[metre_ahead, metre_left, metre_up].map(|p| vector(p) - middle));
    crate::physics::space::point(middle + turn * (vector(drawn) - vector(drawn_origin)))
}

/// Where a point of an arm now is, which swings about the line of its two pivots and carries a joint from `joint` to
/// `joint_now`.
///
/// # Errors
/// The pivots coincide, or the joint lies on their line.
pub fn carried_by_arm(
    pivot: Point,
    other_pivot: Point,
    joint: Point,
    joint_now: Point,
    drawn: Point,
) -> Result<Point, OutOfRange> {
    let hinge = vector(pivot);
    let axis = unit_between("the pivot line of an arm", hinge, vector(other_pivot))?;
    Ok(hinged(hinge, axis, vector(joint), vector(joint_now), Vector3::zeros())?.place(drawn))
}

/// Where a point of a rocker now is, which turns about the line from `pivot` to `axis_end` and is moved by a rod whose outer
/// end went from `rod_outer` to `rod_outer_now`.
///
/// # Errors
/// As [`rocker_motion`], or the two points of the axis coincide.
#[allow(clippy::too_many_arguments)]
pub fn carried_by_rocker(
    pivot: Point,
    axis_end: Point,
    rod_inner: Point,
    rod_outer: Point,
    rod_outer_now: Point,
    drawn: Point,
) -> Result<Point, OutOfRange> {
    let axis = direction(unit_between("the axis of the rocker", vector(pivot), vector(axis_end))?);
    let about = vector(rod_outer);
    let shift = vector(rod_outer_now) - about;
    let placing = Placing { turn: Rotation3::identity(), shift, about };
    let outer_end = Motion { placing, speed: Vector3::zeros(), spin: Vector3::zeros() };
    Ok(rocker_motion(&outer_end, &Rocker { pivot, axis, rod_inner, rod_outer })?.place(drawn))
}

/// Tilt of a rod end: the angle between the link from `end` to `far_end` and the plane across the bolt, which is given by two
/// points of its middle line as they now are.
///
/// # Errors
/// Two points coincide.
pub fn rod_end_tilt(end: Point, far_end: Point, bolt_from: Point, bolt_to: Point) -> Result<Angle, OutOfRange> {
    let along = unit_between("a link", vector(end), vector(far_end))?;
    let bolt = unit_between("the bolt of a rod end", vector(bolt_from), vector(bolt_to))?;
    Ok(tilt(along, bolt))
}

/// Twist of a link's two eyes against each other, from where its ends and two points of each bolt are as drawn and now. The
/// body's ends do not move.
///
/// # Errors
/// Two points coincide, or a bolt lies along the link.
#[allow(clippy::too_many_arguments)]
pub fn link_twist(
    inner: Point,
    inner_bolt_end: Point,
    outer: Point,
    outer_bolt_end: Point,
    outer_now: Point,
    outer_bolt_end_now: Point,
) -> Result<Angle, OutOfRange> {
    let [inner, inner_bolt_end, outer, outer_bolt_end, outer_now, outer_bolt_end_now] =
        [inner, inner_bolt_end, outer, outer_bolt_end, outer_now, outer_bolt_end_now].map(vector);
    let body_bolt = unit_between("the bolt at the body", inner, inner_bolt_end)?;
    let eyes = |outer: Vector3<f64>, bolt_end: Vector3<f64>| -> Result<f64, OutOfRange> {
        let along = unit_between("a link", inner, outer)?;
        let bolt = unit_between("the bolt at the moving part", outer, bolt_end)?;
        about(along, body_bolt, bolt)
    };
    let twist = eyes(outer_now, outer_bolt_end_now)? - eyes(outer, outer_bolt_end)?;
    Ok(Angle::new::<radian>(folded(twist).abs()))
}

/// The gap between a tyre and the straight part from `from` to `to`: see [`super::tyre_gap()`]; the spin axis is given by a
/// second point on it.
///
/// # Errors
/// The two points of the axis coincide, or a size is not above zero.
pub fn tyre_gap_to(
    wheel_centre: Point,
    on_spin_axis: Point,
    radius: Length,
    width: Length,
    from: Point,
    to: Point,
) -> Result<Length, OutOfRange> {
    let axis = unit_between("the spin axis", vector(wheel_centre), vector(on_spin_axis))?;
    super::tyre_gap(wheel_centre, direction(axis), radius, width, from, to)
}

/// [`lateral_load_transfer`], with the moment of the leaning weight.
///
/// # Errors
/// As [`lateral_load_transfer`].
#[allow(clippy::too_many_arguments)]
pub fn load_transfer(
    mass: Mass,
    lateral_acceleration: Acceleration,
    wheelbase: Length,
    centre_of_gravity_behind_front_axle: Length,
    centre_of_gravity_height: Length,
    front_track: Length,
    front_roll_centre_height: Length,
    front_roll_stiffness: RotationalStiffness,
    rear_track: Length,
    rear_roll_centre_height: Length,
    rear_roll_stiffness: RotationalStiffness,
    gravity: Acceleration,
) -> Result<LoadTransfer, OutOfRange> {
    let axle = |track, roll_centre_height, roll_stiffness| CorneringAxle { track, roll_centre_height, roll_stiffness };
    lateral_load_transfer(
        mass,
        lateral_acceleration,
        wheelbase,
        centre_of_gravity_behind_front_axle,
        centre_of_gravity_height,
        axle(front_track, front_roll_centre_height, front_roll_stiffness),
        axle(rear_track, rear_roll_centre_height, rear_roll_stiffness),
        gravity,
        true,
    )
}
