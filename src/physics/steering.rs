//! Steering: Ackermann geometry, the steering axis, the sweep of the tyre, the joints of the column.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::Vector3;
use uom::si::angle::{degree, radian};
use uom::si::f64::{Angle, Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::range::{OutOfRange, not_negative, positive, within};
use super::space::{Point, unit_between, vector};
use super::suspension::{Independent, wheel_pose};

fn in_degrees(angle: Angle) -> String {
    format!("{:.1} deg", angle.get::<degree>())
}

fn steer_angle(what: &'static str, angle: Angle) -> Result<Angle, OutOfRange> {
    within(what, angle, Angle::new::<degree>(0.01), Angle::new::<degree>(75.0), in_degrees)
}

/// The wheels of a front axle which roll without scrubbing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ackermann {
    /// Steer angle of the wheel inside the corner.
    pub inner_angle: Angle,
    /// Steer angle of the wheel outside the corner.
    pub outer_angle: Angle,
    /// Radius of the path of the outer steering pivot.
    pub outer_pivot_path_radius: Length,
}

/// Steer angles without scrub: `tan d_i = L / (R - t/2)`, `tan d_o = L / (R + t/2)`.
///
/// L wheelbase, t spacing of the kingpins at the ground (not the track), R radius of the path of the rear axle's middle.
/// Source: wheel normals that meet on the line of the rear axle.
///
/// # Errors
/// A length is not above zero, or the radius is not above half of the spacing.
pub fn ackermann(
    wheelbase: Length,
    kingpin_spacing: Length,
    rear_axle_radius: Length,
) -> Result<Ackermann, OutOfRange> {
    let (l, half) = (positive("wheelbase", wheelbase)?, positive("kingpin spacing", kingpin_spacing)? / 2.0);
    let inside = positive("radius of the rear axle's path inside the inner kingpin", rear_axle_radius - half)?;
    let outside = rear_axle_radius + half;
    Ok(Ackermann {
        inner_angle: l.atan2(inside),
        outer_angle: l.atan2(outside),
        outer_pivot_path_radius: l.hypot(outside),
    })
}

/// The outer angle that goes with an inner angle without scrub: `cot d_o = cot d_i + t / L`.
///
/// # Errors
/// A length is not above zero; the angle is not between 0.01 and 75 degrees.
pub fn ackermann_outer_angle(
    wheelbase: Length,
    kingpin_spacing: Length,
    inner_angle: Angle,
) -> Result<Angle, OutOfRange> {
    let inner = steer_angle("inner steer angle", inner_angle)?;
    let spread = positive("kingpin spacing", kingpin_spacing)? / positive("wheelbase", wheelbase)?;
    let cotangent = spread + Ratio::new::<ratio>(1.0) / inner.tan();
    Ok(Angle::new::<radian>((1.0 / cotangent.get::<ratio>()).atan()))
}

/// Share of Ackermann: `(d_i - d_o) / (d_i - d_o')`, d_o' being the outer angle without scrub; 0 for parallel steering, 1 for
/// none scrubbing, negative where the outer wheel turns further than the inner.
///
/// # Errors
/// A length is not above zero; an angle is not between 0.01 and 75 degrees.
pub fn ackermann_share(
    wheelbase: Length,
    kingpin_spacing: Length,
    inner_angle: Angle,
    outer_angle: Angle,
) -> Result<Ratio, OutOfRange> {
    let outer = steer_angle("outer steer angle", outer_angle)?;
    let ideal = ackermann_outer_angle(wheelbase, kingpin_spacing, inner_angle)?;
    Ok(Ratio::from((inner_angle - outer).value / (inner_angle - ideal).value))
}

/// Diameter of the circle that the outer front wheel draws: `2 (L / sin d_o + r_s)`, with the scrub radius r_s.
///
/// # Errors
/// The wheelbase is not above zero; the angle is not between 0.01 and 75 degrees.
pub fn turning_circle(wheelbase: Length, outer_angle: Angle, scrub_radius: Length) -> Result<Length, OutOfRange> {
    let outer = steer_angle("outer steer angle", outer_angle)?;
    Ok((positive("wheelbase", wheelbase)? / outer.sin() + scrub_radius) * 2.0)
}

/// Both wheels of a mirrored axle steered by its rack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteerAngles {
    /// Steer angle of the wheel inside the corner, from straight ahead.
    pub inner_angle: Angle,
    /// Steer angle of the wheel outside the corner, from straight ahead.
    pub outer_angle: Angle,
}

/// Steer angles of both wheels when the rack has moved by `rack`, from the links of one side; the other side mirrors it.
///
/// # Errors
/// As [`wheel_pose`].
pub fn steer_angles(layout: &impl Independent, travel: Length, rack: Length) -> Result<SteerAngles, OutOfRange> {
    let straight = wheel_pose(layout, travel, Length::default())?.toe_in;
    let one = wheel_pose(layout, travel, rack)?.toe_in - straight;
    let other = wheel_pose(layout, travel, -rack)?.toe_in - straight;
    // In a corner the inner wheel points away from the car, the outer one towards it.
    let (inner, outer) = if one < other { (one, other) } else { (other, one) };
    Ok(SteerAngles { inner_angle: -inner, outer_angle: outer })
}

/// The steering axis of a wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kingpin {
    /// Kingpin inclination in the front view, positive with the top towards the car.
    pub inclination: Angle,
    /// Caster in the side view, positive with the top rearward.
    pub caster: Angle,
    /// Scrub radius: positive when the axis meets the ground inboard of the contact point.
    pub scrub_radius: Length,
    /// Mechanical trail: positive when the axis meets the ground ahead of the contact point.
    pub mechanical_trail: Length,
}

/// The steering axis through two points (ball joints; ball joint and top mount), against the tyre's contact point, which also
/// tells left from right.
///
/// # Errors
/// The upper point is not above the lower one, or the axis lies flatter than 45 degrees.
pub fn kingpin_geometry(lower: Point, upper: Point, contact: Point) -> Result<Kingpin, OutOfRange> {
    let (low, top, ground) = (vector(lower), vector(upper), vector(contact));
    let axis = unit_between("the steering axis", low, top)?;
    if axis.z < std::f64::consts::FRAC_1_SQRT_2 {
        let lean = Angle::new::<radian>(axis.z.acos());
        return Err(OutOfRange::new("lean of the steering axis", in_degrees(lean), "0 deg to 45 deg, top over bottom"));
    }
    let side = ground.y.signum();
    let foot = low + axis * ((ground.z - low.z) / axis.z);
    Ok(Kingpin {
        inclination: Angle::new::<radian>((-side * axis.y).atan2(axis.z)),
        caster: Angle::new::<radian>((-axis.x).atan2(axis.z)),
        scrub_radius: Length::new::<meter>(side * (ground.y - foot.y)),
        mechanical_trail: Length::new::<meter>(foot.x - ground.x),
    })
}

/// How far a steered tyre reaches, from the kingpin, in the plan view at hub height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TyreSweep {
    /// Reach towards the car at this angle.
    pub inboard_reach: Length,
    /// Reach towards the car straight ahead.
    pub straight_ahead_reach: Length,
    /// The greatest reach towards the car from straight ahead to this angle.
    pub greatest_inboard_reach: Length,
    /// The greatest reach forward and rearward from straight ahead to this angle either way.
    pub greatest_forward_reach: Length,
}

/// The sweep of a tyre about an upright kingpin: its rectangle of radius R and width w, with the wheel's centre plane at s
/// outboard of the kingpin, turned by d: inboard `R sin d + (w/2 - s) cos d`.
///
/// Square shoulders and hub height: conservative. Source: geometry.
///
/// # Errors
/// A size is not above zero; the angle is not between 0 and 75 degrees.
pub fn tyre_sweep(
    tyre_radius: Length,
    tyre_width: Length,
    kingpin_to_centre_plane: Length,
    steer: Angle,
) -> Result<TyreSweep, OutOfRange> {
    let r = positive("tyre radius", tyre_radius)?;
    let half = positive("tyre width", tyre_width)? / 2.0;
    let steer = within("steer angle", steer, Angle::default(), Angle::new::<degree>(75.0), in_degrees)?;
    let inner = half - kingpin_to_centre_plane;
    let outer = half + kingpin_to_centre_plane;
    // A corner at (along, beside) reaches `along sin d + beside cos d`, most where tan d = along / beside.
    let reach = |along: Length, beside: Length, angle: Angle| along * angle.sin() + beside * angle.cos();
    let most = |along: Length, beside: Length| {
        let peak = along.atan2(beside);
        reach(along, beside, if peak < steer { peak } else { steer })
    };
    let beside = inner.max(outer);
    let forward_peak = beside.atan2(r);
    Ok(TyreSweep {
        inboard_reach: reach(r, inner, steer),
        straight_ahead_reach: inner,
        greatest_inboard_reach: most(r, inner),
        greatest_forward_reach: reach(beside, r, if forward_peak < steer { forward_peak } else { steer }),
    })
}

/// A steering column with two joints, from four points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Angle at the joint nearer to the steering wheel.
    pub first_angle: Angle,
    /// Angle at the joint nearer to the box or rack.
    pub second_angle: Angle,
    /// How far the second yoke of the middle shaft must be turned from in line with its first, right-handed about the shaft
    /// from the first joint to the second; -90 to 90 degrees.
    pub yoke_phase: Angle,
}

/// Joint angles and right clocking of a column from the steering wheel through two joints to the box.
///
/// The steering is even when each yoke of the middle shaft lies in the plane of its joint at the same moment; these planes
/// stand at the angle between the two bends, seen along the middle shaft.
///
/// # Errors
/// Neighbouring points coincide. A joint without an angle has no plane: then the phase is given as zero.
pub fn steering_column(
    wheel: Point,
    first_joint: Point,
    second_joint: Point,
    steering_box: Point,
) -> Result<Column, OutOfRange> {
    let [a, b, c, d] = [wheel, first_joint, second_joint, steering_box].map(vector);
    let upper = unit_between("the upper shaft of the column", a, b)?;
    let middle = unit_between("the middle shaft of the column", b, c)?;
    let lower = unit_between("the lower shaft of the column", c, d)?;
    let bend = |u: Vector3<f64>, v: Vector3<f64>| Angle::new::<radian>(u.cross(&v).norm().atan2(u.dot(&v)));
    let (first, second) = (upper.cross(&middle), middle.cross(&lower));
    let phase = middle.dot(&first.cross(&second)).atan2(first.dot(&second));
    let straight = first.norm() < 1e-9 || second.norm() < 1e-9;
    // A yoke turned by half a turn is the same yoke.
    let folded = (phase + FRAC_PI_2).rem_euclid(PI) - FRAC_PI_2;
    Ok(Column {
        first_angle: bend(upper, middle),
        second_angle: bend(middle, lower),
        yoke_phase: Angle::new::<radian>(if straight { 0.0 } else { folded }),
    })
}

/// Unevenness of a column with two cardan joints: the greatest output speed over the least, less one.
///
/// With `A = 1 - sin^2 b / 2`, `B = sin^2 b / 2` of each joint's angle b and the error e of the middle shaft's clocking, the
/// extremes of the speed ratio are the roots of `r^2 - 2 M r + 1 = 0`, `M = (A_1 A_2 - B_1 B_2 cos 2e) / (cos b_1 cos b_2)`.
/// Source: the cardan joint's closed form for each joint, put in series; extremes of a quotient of two cosines.
///
/// # Errors
/// An angle is not between 0 and 60 degrees.
pub fn column_unevenness(first_angle: Angle, second_angle: Angle, clocking_error: Angle) -> Result<Ratio, OutOfRange> {
    let limit = Angle::new::<degree>(60.0);
    let part = |what, angle| -> Result<(f64, f64, f64), OutOfRange> {
        let angle = within(what, angle, Angle::default(), limit, in_degrees)?.get::<radian>();
        let b = angle.sin().powi(2) / 2.0;
        Ok((1.0 - b, b, angle.cos()))
    };
    let (a1, b1, c1) = part("first joint angle", first_angle)?;
    let (a2, b2, c2) = part("second joint angle", second_angle)?;
    let m = (a1 * a2 - b1 * b2 * (2.0 * clocking_error.get::<radian>()).cos()) / (c1 * c2);
    let spread = (m * m - 1.0).max(0.0).sqrt();
    Ok(Ratio::new::<ratio>((m + spread) / (m - spread) - 1.0))
}

/// Rim of the steering wheel moved by free play, from the angle of play: `s = D a / 2`.
///
/// # Errors
/// The diameter is not above zero, or the play is negative.
pub fn free_play_at_rim(wheel_diameter: Length, play: Angle) -> Result<Length, OutOfRange> {
    let play = not_negative("free play", play)?;
    Ok(positive("steering wheel diameter", wheel_diameter)? * (play.get::<radian>() / 2.0))
}

#[cfg(test)]
mod tests {
    use uom::si::length::millimeter;

    use super::*;

    fn deg(value: f64) -> Angle {
        Angle::new::<degree>(value)
    }

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn at(x: f64, y: f64, z: f64) -> Point {
        [mm(x), mm(y), mm(z)]
    }

    #[test]
    fn the_ideal_angle_has_a_whole_share_and_parallel_steering_none() {
        let (l, t) = (mm(2400.0), mm(1200.0));
        let outer = ackermann_outer_angle(l, t, deg(30.0)).expect("in range");
        let share = |outer| ackermann_share(l, t, deg(30.0), outer).expect("in range").get::<ratio>();
        assert!((share(outer) - 1.0).abs() < 1e-12);
        assert!(share(deg(30.0)).abs() < 1e-12);
        assert!(share(deg(31.0)) < 0.0);
    }

    #[test]
    fn the_turning_circle_agrees_with_the_pivot_path() {
        let a = ackermann(mm(2450.0), mm(1300.0), mm(5000.0)).expect("in range");
        let circle = turning_circle(mm(2450.0), a.outer_angle, mm(0.0)).expect("in range");
        assert!((circle - a.outer_pivot_path_radius * 2.0).abs() < mm(1e-6));
    }

    #[test]
    fn equal_angles_in_phase_cancel_and_out_of_phase_double() {
        let uneven = |a, b, e| column_unevenness(deg(a), deg(b), deg(e)).expect("in range").get::<ratio>();
        assert!(uneven(25.0, 25.0, 0.0).abs() < 1e-7);
        // A single joint: greatest over least is 1 / cos^2.
        assert!((uneven(25.0, 0.0, 0.0) - (1.0 / deg(25.0).cos().get::<ratio>().powi(2) - 1.0)).abs() < 1e-12);
        // A quarter turn out of phase the fluctuations multiply.
        assert!((uneven(25.0, 25.0, 90.0) - (1.0 / deg(25.0).cos().get::<ratio>().powi(4) - 1.0)).abs() < 1e-12);
    }

    #[test]
    fn unevenness_agrees_with_a_turn_in_small_steps() {
        let (b1, b2, e) = (0.4_f64, 0.3_f64, 0.5_f64);
        // tan out = tan in / cos b for each joint, in counted from the pin in the plane of the shafts.
        let through = |angle: f64, b: f64| {
            angle
                + (angle.sin() * angle.cos() * (1.0 - b.cos()))
                    .atan2(b.cos() * angle.cos().powi(2) + angle.sin().powi(2))
        };
        let out = |angle: f64| through(through(angle, b1) + FRAC_PI_2 + e, b2);
        let speeds: Vec<f64> = (0..20_000)
            .map(|i| f64::from(i) * PI / 20_000.0)
            .map(|angle| (out(angle + 1e-5) - out(angle - 1e-5)) / 2e-5)
            .collect();
        let (low, high) = speeds.iter().fold((f64::MAX, 0.0_f64), |(l, h), s| (l.min(*s), h.max(*s)));
        let angle = Angle::new::<radian>;
        let uneven = column_unevenness(angle(b1), angle(b2), angle(e)).expect("in range").get::<ratio>();
        assert!((uneven - (high / low - 1.0)).abs() < 1e-6, "{uneven} {}", high / low - 1.0);
    }

    #[test]
    fn a_column_in_one_plane_needs_yokes_in_line() {
        let z =
            steering_column(at(0.0, 0.0, 0.0), at(0.0, 0.0, -300.0), at(200.0, 0.0, -600.0), at(200.0, 0.0, -900.0));
        let z = z.expect("in range");
        assert!((z.first_angle - z.second_angle).abs() < deg(1e-9) && z.yoke_phase.abs() < deg(1e-9));
        // The second bend at right angles to the first, seen along the middle shaft.
        let turned = steering_column(at(0.0, 0.0, 0.0), at(1.0, 0.0, 0.0), at(1.0, 0.0, -300.0), at(1.0, 50.0, -600.0));
        assert!((turned.expect("in range").yoke_phase.abs() - deg(90.0)).abs() < deg(1e-9));
    }

    #[test]
    fn the_sweep_peaks_before_full_lock_on_a_wide_tyre() {
        let sweep = tyre_sweep(mm(280.0), mm(300.0), mm(-20.0), deg(70.0)).expect("in range");
        assert!(sweep.greatest_inboard_reach > sweep.inboard_reach);
        assert!((sweep.greatest_inboard_reach - mm(280.0).hypot(mm(170.0))).abs() < mm(1e-9));
    }

    #[test]
    fn a_flat_steering_axis_is_refused() {
        assert!(kingpin_geometry(at(0.0, 680.0, 180.0), at(0.0, 400.0, 200.0), at(0.0, 720.0, 0.0)).is_err());
        assert!(kingpin_geometry(at(0.0, 680.0, 380.0), at(0.0, 680.0, 200.0), at(0.0, 720.0, 0.0)).is_err());
    }
}
