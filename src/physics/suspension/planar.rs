//! The drawing-board constructions: instant centres and roll centres from one view, for those who have only that view.
//!
//! Points are points of the car; a view leaves out the coordinate along its line of sight. In the front view both sides are
//! taken as mirrored.

use nalgebra::{Matrix2, Vector2};
use uom::si::angle::radian;
use uom::si::curvature::radian_per_meter;
use uom::si::f64::{Angle, Curvature, Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use crate::physics::range::{OutOfRange, positive};
use crate::physics::space::{Point, in_millimetres};

/// The front view of an independent suspension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrontView {
    /// Where the wheel turns about, in the front view (its x is that of the contact point).
    pub instant_centre: Point,
    /// Height of the roll centre above the ground.
    pub roll_centre_height: Length,
    /// Distance across the car from the contact point to the instant centre.
    pub swing_arm_length: Length,
    /// Camber change for each unit of wheel travel, without its sign.
    pub camber_gain: Curvature,
}

fn seen(point: Point, axis: usize) -> Vector2<f64> {
    Vector2::new(point[axis].get::<meter>(), point[2].get::<meter>())
}

/// The crossing of the line through `a` along `along_a` and that through `b` along `along_b`.
fn crossing(
    what: &'static str,
    a: Vector2<f64>,
    along_a: Vector2<f64>,
    b: Vector2<f64>,
    along_b: Vector2<f64>,
) -> Result<Vector2<f64>, OutOfRange> {
    let lines = Matrix2::from_columns(&[along_a, -along_b]);
    let parallel = lines.determinant().abs() <= 1e-9 * along_a.norm() * along_b.norm();
    match lines.try_inverse() {
        Some(inverse) if !parallel => Ok(a + along_a * (inverse * (b - a)).x),
        _ => Err(OutOfRange::new(what, "parallel in this view", "lines that cross")),
    }
}

fn front_view(centre: Vector2<f64>, contact: Point) -> Result<FrontView, OutOfRange> {
    let ground = seen(contact, 1);
    let across = ground.x - centre.x;
    if across.is_nan() || across.abs() < 1e-6 {
        return Err(OutOfRange::new(
            "the swing arm",
            in_millimetres(Length::new::<meter>(across)),
            "instant centres that do not stand above the contact point",
        ));
    }
    let length = Length::new::<meter>;
    Ok(FrontView {
        instant_centre: [contact[0], length(centre.x), length(centre.y)],
        roll_centre_height: length(ground.x * (centre.y - ground.y) / across),
        swing_arm_length: length(across.abs()),
        camber_gain: Curvature::new::<radian_per_meter>(1.0 / across.abs()),
    })
}

/// Front view of two wishbones: the instant centre is where the lines of the arms cross, the roll centre where the line from
/// the contact point through it meets the middle of the car.
///
/// Source: construction of the trade (Reimpell, The Automotive Chassis; memory).
///
/// # Errors
/// The arms are parallel (see [`parallel_arms_roll_centre`]), or the instant centre stands above the contact point.
pub fn double_wishbone_front_view(
    lower_inner: Point,
    lower_outer: Point,
    upper_inner: Point,
    upper_outer: Point,
    contact: Point,
) -> Result<FrontView, OutOfRange> {
    let [a, b, c, d] = [lower_inner, lower_outer, upper_inner, upper_outer].map(|p| seen(p, 1));
    front_view(crossing("the wishbones", a, b - a, c, d - c)?, contact)
}

/// Front view of a strut: the instant centre is where the line of the lower arm crosses the normal to the piston rod's axis
/// through the top mount.
///
/// # Errors
/// The lines are parallel, or the instant centre stands above the contact point.
pub fn strut_front_view(
    lower_inner: Point,
    lower_outer: Point,
    top: Point,
    rod_axis: Point,
    contact: Point,
) -> Result<FrontView, OutOfRange> {
    let [a, b, t, r] = [lower_inner, lower_outer, top, rod_axis].map(|p| seen(p, 1));
    let rod = t - r;
    front_view(
        crossing("the lower arm and the normal to the strut", a, b - a, t, Vector2::new(-rod.y, rod.x))?,
        contact,
    )
}

/// Roll centre height of two parallel arms, which rise by `slope` from their inner to their outer ends, over their length in
/// the front view: `h = -slope y` for the contact point's distance y from the middle.
#[must_use]
pub fn parallel_arms_roll_centre(slope: Ratio, contact_from_middle: Length) -> Length {
    -slope * contact_from_middle
}

/// Side view of an axle's or upright's links.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideView {
    /// Where the axle turns about, in the side view (its y is that of the contact point).
    pub instant_centre: Point,
    /// Slope of the line from the contact point to it, positive when it rises forward.
    pub side_slope_at_contact: Ratio,
    /// Slope of the line from the wheel centre to it.
    pub side_slope_at_centre: Ratio,
}

/// Side view of a lower and an upper link, each from the body to the axle: the instant centre is where their lines cross.
///
/// # Errors
/// The links are parallel in the side view, or the instant centre stands above the contact point.
pub fn links_side_view(
    lower_body: Point,
    lower_axle: Point,
    upper_body: Point,
    upper_axle: Point,
    contact: Point,
    wheel_centre: Point,
) -> Result<SideView, OutOfRange> {
    let [a, b, c, d] = [lower_body, lower_axle, upper_body, upper_axle].map(|p| seen(p, 0));
    let centre = crossing("the links", a, b - a, c, d - c)?;
    let slope = |from: Point| {
        let to = centre - seen(from, 0);
        if to.x.abs() > 1e-6 {
            Ok(Ratio::new::<ratio>(to.y / to.x))
        } else {
            Err(OutOfRange::new("the instant centre", "above the wheel", "places ahead of the wheel or behind it"))
        }
    };
    Ok(SideView {
        instant_centre: [Length::new::<meter>(centre.x), contact[1], Length::new::<meter>(centre.y)],
        side_slope_at_contact: slope(contact)?,
        side_slope_at_centre: slope(wheel_centre)?,
    })
}

/// Anti-squat of a driven rear axle: the share of the squat that the links take up.
///
/// `AS = s L / h * p`, with the slope s of the line to the side view's instant centre, from the contact point for a live axle
/// and for brakes at the wheel, from the wheel centre for a final drive on the body; L wheelbase, h height of the centre of
/// gravity, p the axle's share of the drive. Source: Gillespie, Fundamentals of Vehicle Dynamics (memory).
///
/// # Errors
/// Wheelbase or height is not above zero.
pub fn anti_squat(
    side_slope: Ratio,
    wheelbase: Length,
    centre_of_gravity_height: Length,
    drive_share: Ratio,
) -> Result<Ratio, OutOfRange> {
    positive("wheelbase", wheelbase)?;
    positive("height of the centre of gravity", centre_of_gravity_height)?;
    Ok(side_slope * drive_share * (wheelbase / centre_of_gravity_height))
}

/// Anti-dive of a braked front axle: the share of the dive that the links take up.
///
/// `AD = -s L / h * p`: the same as [`anti_squat`] with the share p of the braking; the slope s falls forward when the
/// instant centre lies behind the axle and above the ground. From the contact point with brakes at the wheel, from the
/// wheel centre with brakes on the body. Source: Gillespie; Milliken, Race Car Vehicle Dynamics (memory).
///
/// # Errors
/// Wheelbase or height is not above zero.
pub fn anti_dive(
    side_slope: Ratio,
    wheelbase: Length,
    centre_of_gravity_height: Length,
    brake_share: Ratio,
) -> Result<Ratio, OutOfRange> {
    anti_squat(-side_slope, wheelbase, centre_of_gravity_height, brake_share)
}

/// The angle of the line to a side view's instant centre.
#[must_use]
pub fn slope_angle(side_slope: Ratio) -> Angle {
    Angle::new::<radian>(side_slope.get::<ratio>().atan())
}
