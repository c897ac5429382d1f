//! One cardan joint: what its bend does to the speed and the bending load of the shafts.
//!
//! In come the bend (the angle by which the shafts are off a straight line), the driving speed and the torque; out come
//! speeds, accelerations and couples. Turning angles of the driving shaft count from the position in which the driving
//! yoke's pins lie in the plane of the two shafts; there the driven shaft is at its fastest.

use uom::si::angle::{degree, radian};
use uom::si::angular_acceleration::radian_per_second_squared;
use uom::si::f64::{Angle, AngularAcceleration, AngularVelocity, MomentOfInertia, Ratio, Torque};
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Largest bend for which the joint still turns; a cross cannot work near a right angle.
const LARGEST_BEND_DEGREES: f64 = 85.0;

/// Speeds of the driven shaft over one turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedExtremes {
    /// The highest speed.
    pub highest: AngularVelocity,
    /// The lowest speed.
    pub lowest: AngularVelocity,
    /// The difference of both, as a share of the driving speed.
    pub fluctuation: Ratio,
}

/// Where the driven shaft stands and how fast it turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardanPosition {
    /// Angle that the driven shaft has turned since the driving pins lay in the plane of the shafts.
    pub output_angle: Angle,
    /// Driven speed over driving speed.
    pub speed_ratio: Ratio,
}

/// The couples which a bent joint puts across the shafts, twice in every turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondaryCouple {
    /// The greatest couple that bends the driving shaft.
    pub on_input_shaft: Torque,
    /// The greatest couple that bends the driven shaft.
    pub on_output_shaft: Torque,
}

pub(super) fn checked_bend(bend: Angle) -> Result<Angle, OutOfRange> {
    let show = |angle: Angle| format!("{:.2} deg", angle.get::<degree>());
    within("bend of a joint", bend, Angle::new::<radian>(0.0), Angle::new::<degree>(LARGEST_BEND_DEGREES), show)
}

/// Highest and lowest speed of the shaft behind a bent joint.
///
/// `w_max = w / cos beta`, `w_min = w cos beta`, `fluctuation = tan beta sin beta`
///
/// # Errors
/// A bend below zero or above 85 deg, a negative speed.
///
/// Source: kinematics of Hooke's joint, as in Khurmi and Gupta, Theory of Machines, chapter 9.
pub fn cardan_speed_extremes(bend: Angle, input_speed: AngularVelocity) -> Result<SpeedExtremes, OutOfRange> {
    let bend = checked_bend(bend)?;
    let input_speed = not_negative("speed of the driving shaft", input_speed)?;
    let cos = bend.value.cos();
    Ok(SpeedExtremes {
        highest: input_speed / cos,
        lowest: input_speed * cos,
        fluctuation: Ratio::new::<ratio>(bend.value.tan() * bend.value.sin()),
    })
}

/// Angle and speed ratio of the driven shaft at one angle of the driving shaft.
///
/// `tan phi_2 = tan phi_1 / cos beta`, `w_2 / w_1 = cos beta / (1 - sin^2 beta cos^2 phi_1)`, both angles counted from the
/// position in which the driving pins lie in the plane of the shafts.
///
/// # Errors
/// A bend below zero or above 85 deg.
///
/// Source: kinematics of Hooke's joint.
pub fn cardan_position(bend: Angle, input_angle: Angle) -> Result<CardanPosition, OutOfRange> {
    let bend = checked_bend(bend)?;
    let (advance, excess) = advance_and_excess(bend.value, input_angle.value);
    Ok(CardanPosition {
        output_angle: input_angle + Angle::new::<radian>(advance),
        speed_ratio: Ratio::new::<ratio>(1.0 + excess),
    })
}

/// How far the driven shaft is ahead of the driving one, and by how much the speed ratio exceeds one. The lead is written
/// out so that it goes on smoothly past every quarter turn, where the tangents jump.
pub(super) fn advance_and_excess(bend: f64, input_angle: f64) -> (f64, f64) {
    let (sin, cos) = input_angle.sin_cos();
    let versine = 2.0 * (bend / 2.0).sin().powi(2);
    let advance = (sin * cos * versine).atan2(1.0 - versine * cos * cos);
    let turned = (bend.sin() * cos).powi(2);
    (advance, (turned - versine) / (1.0 - turned))
}

/// The greatest angular acceleration of the shaft behind a bent joint, exactly.
///
/// `alpha = w^2 cos beta s sin 2 phi / (1 - s cos^2 phi)^2` with `s = sin^2 beta`, at its greatest where
/// `cos 2 phi = 4 s / ((2 - s) + sqrt((2 - s)^2 + 8 s^2))`.
///
/// # Errors
/// A bend below zero or above 85 deg, a negative speed.
///
/// Source: kinematics of Hooke's joint; Khurmi and Gupta, example 9.2, uses `2 s / (2 - s)` for the cosine, which is near.
pub fn cardan_peak_acceleration(bend: Angle, input_speed: AngularVelocity) -> Result<AngularAcceleration, OutOfRange> {
    let bend = checked_bend(bend)?;
    let speed = not_negative("speed of the driving shaft", input_speed)?.value;
    let s = bend.value.sin().powi(2);
    let near = 2.0 - s;
    let cos_twice = 4.0 * s / (near + (near * near + 8.0 * s * s).sqrt());
    let sin_twice = (1.0 - cos_twice * cos_twice).max(0.0).sqrt();
    let cos_squared = (1.0 + cos_twice) / 2.0;
    let peak = speed * speed * bend.value.cos() * s * sin_twice / (1.0 - s * cos_squared).powi(2);
    Ok(AngularAcceleration::new::<radian_per_second_squared>(peak))
}

/// The torsional acceleration which a joint angle, or the equivalent angle of several joints, excites: the handbook's rule.
///
/// `alpha = w^2 theta^2`, theta in radian. Below 10 deg it is within 1 % of [`cardan_peak_acceleration`].
///
/// # Errors
/// An angle below zero or above 85 deg, a negative speed.
///
/// Source: SAE AE-7, Universal Joint and Driveshaft Design Manual, 3.1 (memory); its two-joint table follows from it.
pub fn torsional_acceleration(angle: Angle, speed: AngularVelocity) -> Result<AngularAcceleration, OutOfRange> {
    let angle = checked_bend(angle)?;
    let speed = not_negative("speed of the shaft", speed)?;
    Ok(AngularAcceleration::new::<radian_per_second_squared>((speed.value * angle.value).powi(2)))
}

/// The joint angle, or equivalent angle, at which the torsional acceleration reaches a limit.
///
/// `theta = sqrt(alpha) / w`; above 85 deg, which only a shaft that hardly turns allows, 85 deg.
///
/// # Errors
/// A negative acceleration, a speed that is not above zero.
///
/// Source: as [`torsional_acceleration`].
pub fn bend_for_acceleration(limit: AngularAcceleration, speed: AngularVelocity) -> Result<Angle, OutOfRange> {
    let limit = not_negative("angular acceleration", limit)?;
    let speed = positive("speed of the shaft", speed)?;
    let largest = Angle::new::<degree>(LARGEST_BEND_DEGREES);
    Ok(Angle::new::<radian>(limit.value.sqrt() / speed.value).min(largest))
}

/// The bend at which the driven shaft's speed swings by a given share of the driving speed, from its lowest to its highest.
///
/// `cos beta = (sqrt(q^2 + 4) - q) / 2`, which solves `tan beta sin beta = q`.
///
/// # Errors
/// A negative share, or one of more than 11 (beyond 85 deg).
///
/// Source: Khurmi and Gupta, Theory of Machines, chapter 9.
pub fn bend_for_fluctuation(fluctuation: Ratio) -> Result<Angle, OutOfRange> {
    let show = |share: Ratio| format!("{:.4}", share.value);
    let fluctuation = within("swing of speed", fluctuation, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(11.0), show)?;
    let q = fluctuation.value;
    // 1 - cos beta, free of cancellation for a small swing; beta by the half angle for the same reason.
    let versine = q * (1.0 - q / ((q * q + 4.0).sqrt() + 2.0)) / 2.0;
    Ok(Angle::new::<radian>(2.0 * (versine / 2.0).sqrt().asin()))
}

/// The angle of the driving shaft at which both shafts turn equally fast, counted from driving pins in the plane of the shafts.
///
/// `tan phi = sqrt(cos beta)`
///
/// # Errors
/// A bend below zero or above 85 deg.
///
/// Source: kinematics of Hooke's joint.
pub fn unity_ratio_angle(bend: Angle) -> Result<Angle, OutOfRange> {
    Ok(Angle::new::<radian>(checked_bend(bend)?.value.cos().sqrt().atan()))
}

/// The couples with which a bent joint bends its two shafts, with the driving torque held constant.
///
/// On the driving shaft `T tan beta`, on the driven one `T sin beta`; each swings from zero to that value twice a turn.
///
/// # Errors
/// A bend below zero or above 85 deg, a negative torque.
///
/// Source: statics of the cross.
pub fn secondary_couple(bend: Angle, torque: Torque) -> Result<SecondaryCouple, OutOfRange> {
    let bend = checked_bend(bend)?;
    let torque = not_negative("torque", torque)?;
    Ok(SecondaryCouple { on_input_shaft: torque * bend.value.tan(), on_output_shaft: torque * bend.value.sin() })
}

/// The torque which it takes to give a moment of inertia an angular acceleration, `T = J alpha`.
///
/// # Errors
/// A negative moment of inertia or acceleration.
///
/// Source: Newton's second law.
pub fn inertia_torque(inertia: MomentOfInertia, acceleration: AngularAcceleration) -> Result<Torque, OutOfRange> {
    let inertia = not_negative("moment of inertia", inertia)?;
    let acceleration = not_negative("angular acceleration", acceleration)?;
    Ok(Torque::new::<newton_meter>(inertia.value * acceleration.value))
}
