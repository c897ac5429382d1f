//! Gearing: speeds of engine, shaft, wheels and road, and the pull at the tyres.
//!
//! In come ratios (turns of the input for one of the output), speeds and the rolling radius; out come speeds and forces.

use uom::si::angular_velocity::radian_per_second;
use uom::si::f64::{AngularVelocity, Force, Length, Ratio, Torque, Velocity};
use uom::si::force::newton;
use uom::si::ratio::ratio;
use uom::si::velocity::meter_per_second;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// The overall ratio from engine to wheels, `i = i_gear i_final`.
///
/// # Errors
/// A ratio that is not above zero.
pub fn overall_ratio(gear_ratio: Ratio, final_drive: Ratio) -> Result<Ratio, OutOfRange> {
    Ok(positive("ratio of the gear", gear_ratio)? * positive("ratio of the final drive", final_drive)?)
}

/// The speed of the propeller shaft, `w_engine / i_gear`: faster than the engine in an overdrive gear.
///
/// # Errors
/// A negative speed; a ratio that is not above zero.
pub fn shaft_speed(engine_speed: AngularVelocity, gear_ratio: Ratio) -> Result<AngularVelocity, OutOfRange> {
    Ok(not_negative("speed of the engine", engine_speed)? / positive("ratio of the gear", gear_ratio)?.value)
}

/// The speed of the driven wheels, running straight, `w_engine / (i_gear i_final)`.
///
/// # Errors
/// A negative speed; a ratio that is not above zero.
pub fn wheel_speed(
    engine_speed: AngularVelocity,
    gear_ratio: Ratio,
    final_drive: Ratio,
) -> Result<AngularVelocity, OutOfRange> {
    shaft_speed(engine_speed, overall_ratio(gear_ratio, final_drive)?)
}

/// The road speed in one gear, `v = w_engine r / (i_gear i_final)`, without slip.
///
/// # Errors
/// A negative speed; a ratio or radius that is not above zero.
///
/// Source: rolling without slip; `rolling_radius` is the distance of one turn over two pi, not the height of the hub.
pub fn road_speed(
    engine_speed: AngularVelocity,
    gear_ratio: Ratio,
    final_drive: Ratio,
    rolling_radius: Length,
) -> Result<Velocity, OutOfRange> {
    let wheel = wheel_speed(engine_speed, gear_ratio, final_drive)?;
    let radius = positive("rolling radius", rolling_radius)?;
    Ok(Velocity::new::<meter_per_second>(wheel.value * radius.value))
}

/// The engine speed at a road speed in one gear, `w = v i_gear i_final / r`.
///
/// # Errors
/// A negative speed; a ratio or radius that is not above zero.
pub fn engine_speed_at(
    road_speed: Velocity,
    gear_ratio: Ratio,
    final_drive: Ratio,
    rolling_radius: Length,
) -> Result<AngularVelocity, OutOfRange> {
    let speed = not_negative("road speed", road_speed)?;
    let radius = positive("rolling radius", rolling_radius)?;
    let overall = overall_ratio(gear_ratio, final_drive)?;
    Ok(AngularVelocity::new::<radian_per_second>(speed.value * overall.value / radius.value))
}

/// The rolling radius from a tyre's outside diameter and the share of it that counts in rolling, `r = f D / 2`.
///
/// # Errors
/// A diameter that is not above zero; a factor outside 0.9 to 1.
///
/// Source: the factor of a radial tyre is about 0.96 to 0.97 (practice); 1 takes the tyre for a rigid wheel.
pub fn rolling_radius(diameter: Length, rolling_factor: Ratio) -> Result<Length, OutOfRange> {
    let show = |factor: Ratio| format!("{:.3}", factor.value);
    let factor = within("rolling factor", rolling_factor, Ratio::new::<ratio>(0.9), Ratio::new::<ratio>(1.0), show)?;
    Ok(positive("diameter of a tyre", diameter)? * factor.value / 2.0)
}

/// The pull at the driven tyres, `F = T i_gear i_final eta / r`.
///
/// # Errors
/// A negative torque; a ratio or radius that is not above zero; an efficiency outside 0 to 1.
pub fn tractive_force(
    engine_torque: Torque,
    gear_ratio: Ratio,
    final_drive: Ratio,
    rolling_radius: Length,
    efficiency: Ratio,
) -> Result<Force, OutOfRange> {
    let torque = not_negative("torque of the engine", engine_torque)?;
    let overall = overall_ratio(gear_ratio, final_drive)?;
    let radius = positive("rolling radius", rolling_radius)?;
    let show = |share: Ratio| format!("{:.3}", share.value);
    let efficiency = within("efficiency", efficiency, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)?;
    Ok(Force::new::<newton>(torque.value * overall.value * efficiency.value / radius.value))
}
