//! Engine mounts: what torque puts on them, how far it rocks the engine, and how much shaking they pass on.

use uom::si::angle::radian;
use uom::si::f64::{Angle, Force, Length, Ratio, Torque};
use uom::si::force::newton;
use uom::si::torque::newton_meter;
use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N2, P1, Z0};

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Force per travel of a spring or a mount, for which `uom` has no name.
pub type SpringRate = Quantity<ISQ<Z0, P1, N2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// What the two sides of an engine's mounting carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MountLoads {
    /// Load of the side that torque lifts; negative where it is pulled upwards.
    pub lifted: Force,
    /// Load of the side that torque presses down.
    pub pressed: Force,
    /// What torque alone adds to one side and takes from the other.
    pub by_torque: Force,
}

/// Loads of two mounts (or pairs of mounts in line) a span s apart, under the weight W whose line stands the distance a
/// from the lifted side, and the torque T about the crank's axis: pressed = W a / s + T / s, lifted = W - pressed.
///
/// T is the reaction to the output torque: engine torque times the gear's ratio, and times the final drive's for a
/// transaxle.
///
/// # Errors
/// The span is not above zero, the weight is negative, or its line stands outside the span.
pub fn mount_loads(
    weight: Force,
    weight_from_lifted: Length,
    span: Length,
    torque: Torque,
) -> Result<MountLoads, OutOfRange> {
    let span = positive("span of the mounts", span)?;
    let share: Ratio = weight_from_lifted / span;
    let show = |r: Ratio| format!("{:.2} of the span", r.value);
    let share =
        within("distance of the weight from the lifted mount", share, Ratio::from(0.0), Ratio::from(1.0), show)?;
    let weight = not_negative("weight", weight)?;
    let by_torque = Force::new::<newton>(torque.get::<newton_meter>() / span.value);
    let pressed = weight * share + by_torque;
    Ok(MountLoads { lifted: weight - pressed, pressed, by_torque })
}

/// θ, the angle by which torque rolls an engine on two mounts of the rate k (or two sides of that rate), a span s
/// apart: θ = T / (k s² / 2). Small angles, linear rubber.
///
/// # Errors
/// The rate or the span is not above zero, or the angle comes out above 0.35 rad (20 deg).
pub fn engine_roll(torque: Torque, rate_of_a_side: SpringRate, span: Length) -> Result<Angle, OutOfRange> {
    let span = positive("span of the mounts", span)?;
    let stiffness = positive("rate of a mount", rate_of_a_side)? * span * span / 2.0;
    let roll = Angle::new::<radian>(torque.get::<newton_meter>() / stiffness.value);
    let most = Angle::new::<radian>(0.35);
    within("roll of the engine", roll, -most, most, |a| format!("{:.1} deg", a.get::<uom::si::angle::degree>()))
}

/// How far a point at the radius r from the axis of roll moves when the engine rolls by θ: the chord 2 r sin(θ / 2).
///
/// # Errors
/// The radius is negative.
pub fn rock_travel(roll: Angle, radius: Length) -> Result<Length, OutOfRange> {
    Ok(not_negative("radius", radius)? * 2.0 * (roll / 2.0).sin().abs())
}

/// The share of a shaking force that mounts pass on: √((1 + (2 D r)²) / ((1 - r²)² + (2 D r)²)), r the shaking
/// frequency over the natural frequency on the mounts, D the damping ratio. Below 1 only for r above √2.
///
/// # Errors
/// The frequency ratio is negative, or the damping ratio is not above zero.
pub fn transmissibility(frequency_ratio: Ratio, damping_ratio: Ratio) -> Result<Ratio, OutOfRange> {
    let r = not_negative("frequency ratio", frequency_ratio)?.value;
    let damped = (2.0 * positive("damping ratio", damping_ratio)?.value * r).powi(2);
    Ok(Ratio::from(((1.0 + damped) / ((1.0 - r * r).powi(2) + damped)).sqrt()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::{meter, millimeter};

    use super::*;

    fn rate(value: f64) -> SpringRate {
        Force::new::<newton>(value) / Length::new::<meter>(1.0)
    }

    #[test]
    fn everything_is_passed_on_at_rest_and_at_root_two() {
        for damping in [0.05, 0.3, 1.0] {
            let at = |r: f64| transmissibility(Ratio::from(r), Ratio::from(damping)).expect("in range").value;
            assert!((at(0.0) - 1.0).abs() < 1e-12);
            assert!((at(2.0f64.sqrt()) - 1.0).abs() < 1e-12); // the crossing of all curves, in any book on vibration
            assert!(at(3.0) < 1.0);
        }
    }

    #[test]
    fn refuses_a_roll_that_is_no_small_angle() {
        let torque = Torque::new::<newton_meter>(2000.0);
        assert!(engine_roll(torque, rate(20e3), Length::new::<meter>(0.5)).is_err());
        let span = Length::new::<meter>(0.6);
        assert!(mount_loads(Force::new::<newton>(1500.0), Length::new::<meter>(0.7), span, torque).is_err());
    }

    proptest! {
        #[test]
        fn loads_balance_weight_and_torque(
            w in 0.0..3000.0f64, share in 0.0..1.0f64, s in 0.2..1.0f64, t in -3000.0..3000.0f64,
        ) {
            let loads = mount_loads(
                Force::new::<newton>(w), Length::new::<meter>(share * s), Length::new::<meter>(s),
                Torque::new::<newton_meter>(t),
            ).expect("in range");
            prop_assert!(((loads.lifted + loads.pressed).value - w).abs() < 1e-6);
            let moment = loads.pressed.value * s - w * share * s - t;
            prop_assert!(moment.abs() < 1e-6);
        }

        #[test]
        fn roll_grows_with_torque_and_falls_with_the_square_of_the_span(
            t in 1.0..200.0f64, k in 1e5..1e6f64, s in 0.3..0.8f64,
        ) {
            let roll = |t: f64, s: f64| {
                let torque = Torque::new::<newton_meter>(t);
                engine_roll(torque, rate(k), Length::new::<meter>(s)).expect("in range").value
            };
            prop_assert!((roll(2.0 * t, s) / roll(t, s) - 2.0).abs() < 1e-9);
            prop_assert!((roll(t, s) / roll(t, 2.0 * s) - 4.0).abs() < 1e-9);
            let angle = Angle::new::<radian>(roll(t, s));
            let travel = rock_travel(angle, Length::new::<millimeter>(300.0)).expect("in range");
            prop_assert!(travel.value <= 0.3 * roll(t, s) + 1e-15);
        }
    }
}
