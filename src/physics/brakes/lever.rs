//! From the foot to the push rods: pedal ratio, balance bar, servo.
//!
//! Symbols: F_foot pedal force, R pedal ratio, F push force behind the bar or cylinder, a distance from the bar's pivot
//! to the front clevis, c spacing of the clevises.

use std::f64::consts::PI;

use uom::si::angle::radian;
use uom::si::f64::{Angle, Force, Length, Pressure, Ratio};
use uom::si::length::millimeter;
use uom::si::ratio::{percent, ratio};

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Push forces behind the two cylinders of a balance bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarForces {
    /// Push on the front circuit's cylinder.
    pub front: Force,
    /// Push on the rear circuit's cylinder.
    pub rear: Force,
    /// Share of the whole push that goes to the front cylinder, 0 to 1.
    pub front_share: Ratio,
}

/// Pedal ratio R = l_foot / l_push, from the pivot to the middle of the foot pad and to the push rod's pin, both square
/// to their force.
///
/// # Errors
/// A length is zero or negative.
pub fn pedal_ratio(foot_arm: Length, push_arm: Length) -> Result<Ratio, OutOfRange> {
    Ok(positive("pedal arm to the foot pad", foot_arm)? / positive("pedal arm to the push rod", push_arm)?)
}

/// Push force behind the balance bar or the cylinder without a servo: F = F_foot R.
///
/// # Errors
/// The force is negative or the ratio not above zero.
pub fn push_force(pedal_force: Force, pedal_ratio: Ratio) -> Result<Force, OutOfRange> {
    Ok(not_negative("pedal force", pedal_force)? * positive("pedal ratio", pedal_ratio)?)
}

/// Share of the push that a balance bar gives to the front cylinder: (c - a) / c. The cylinder nearer the pivot gets more.
///
/// # Errors
/// The spacing is not above zero, or the pivot does not lie between the clevises.
pub fn bar_front_share(pivot_to_front: Length, spacing: Length) -> Result<Ratio, OutOfRange> {
    let spacing = positive("spacing of the balance bar's clevises", spacing)?;
    let show = |l: Length| format!("{} mm", l.get::<millimeter>());
    let zero = Length::new::<millimeter>(0.0);
    let a = within("distance from the balance bar's pivot to the front clevis", pivot_to_front, zero, spacing, show)?;
    Ok((spacing - a) / spacing)
}

/// Push forces of a balance bar in equilibrium of moments about its pivot.
///
/// # Errors
/// As [`bar_front_share`]; the push force is negative.
pub fn balance_bar(push_force: Force, pivot_to_front: Length, spacing: Length) -> Result<BarForces, OutOfRange> {
    let push = not_negative("push force", push_force)?;
    let front_share = bar_front_share(pivot_to_front, spacing)?;
    let front = push * front_share;
    Ok(BarForces { front, rear: push - front, front_share })
}

/// Angle of the balance bar against square once the cylinders have travelled by different strokes:
/// tan(angle) = |s_front - s_rear| / c. With one circuit bled its cylinder travels to the end of its bore.
///
/// # Errors
/// A stroke is negative or the spacing not above zero.
pub fn bar_tilt(front_stroke: Length, rear_stroke: Length, spacing: Length) -> Result<Angle, OutOfRange> {
    let front = not_negative("stroke of the front cylinder", front_stroke)?;
    let rear = not_negative("stroke of the rear cylinder", rear_stroke)?;
    let slope = (front - rear).abs() / positive("spacing of the balance bar's clevises", spacing)?;
    Ok(Angle::new::<radian>(slope.get::<ratio>().atan()))
}

/// Greatest force that a vacuum servo can add: F_a = eta p pi d^2 / 4, from the diaphragm's effective diameter and the
/// vacuum below the pressure of the air (a difference of pressures).
///
/// # Errors
/// A value is negative, or the efficiency above 100 %.
pub fn servo_assist(diaphragm: Length, vacuum: Pressure, efficiency: Ratio) -> Result<Force, OutOfRange> {
    let diameter = not_negative("diameter of the servo's diaphragm", diaphragm)?;
    let vacuum = not_negative("vacuum at the servo", vacuum)?;
    let show = |r: Ratio| format!("{} %", r.get::<percent>());
    let eta = within("efficiency of the servo", efficiency, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)?;
    Ok(eta * vacuum * (PI / 4.0) * diameter * diameter)
}

/// Push force behind a servo: F = b F_in until the assistance (b - 1) F_in has reached its greatest force, above that
/// F = F_in + F_a, newton for newton (the run-out point). A dead servo has F_a = 0 and hands the force through.
///
/// # Errors
/// A force is negative, or the boost ratio below 1.
pub fn servo_push(input: Force, boost_ratio: Ratio, greatest_assist: Force) -> Result<Force, OutOfRange> {
    let input = not_negative("force into the servo", input)?;
    let greatest = not_negative("greatest assistance of the servo", greatest_assist)?;
    let added = not_negative("boost ratio of the servo less 1", boost_ratio - Ratio::new::<ratio>(1.0))?;
    let assist = input * added;
    Ok(input + if assist < greatest { assist } else { greatest })
}

/// Force into a servo that makes a push, the inverse of [`servo_push`].
///
/// # Errors
/// As [`servo_push`].
pub fn servo_input(push: Force, boost_ratio: Ratio, greatest_assist: Force) -> Result<Force, OutOfRange> {
    let push = not_negative("push behind the servo", push)?;
    let greatest = not_negative("greatest assistance of the servo", greatest_assist)?;
    not_negative("boost ratio of the servo less 1", boost_ratio - Ratio::new::<ratio>(1.0))?;
    let before_run_out = push / boost_ratio;
    let assist = push - before_run_out;
    Ok(if assist < greatest { before_run_out } else { push - greatest })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;

    use super::*;

    fn mm(l: f64) -> Length {
        Length::new::<millimeter>(l)
    }

    fn n(f: f64) -> Force {
        Force::new::<newton>(f)
    }

    #[test]
    fn pivot_outside_the_clevises_is_refused() {
        assert!(bar_front_share(mm(61.0), mm(60.0)).is_err());
        assert!(bar_front_share(mm(-1.0), mm(60.0)).is_err());
    }

    #[test]
    fn servo_hands_on_newton_for_newton_above_its_run_out() {
        let boost = Ratio::new::<ratio>(4.0);
        let below = servo_push(n(100.0), boost, n(600.0)).expect("valid");
        let above = servo_push(n(300.0), boost, n(600.0)).expect("valid");
        assert!((below.get::<newton>() - 400.0).abs() < 1e-9);
        assert!((above.get::<newton>() - 900.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn bar_keeps_the_force_and_mirrors(push in 0.0..5000.0f64, spacing in 40.0..90.0f64, at in 0.01..0.99f64) {
            let left = balance_bar(n(push), mm(spacing * at), mm(spacing)).expect("inside");
            let right = balance_bar(n(push), mm(spacing * (1.0 - at)), mm(spacing)).expect("inside");
            prop_assert!(((left.front + left.rear).get::<newton>() - push).abs() < 1e-9 * (1.0 + push));
            prop_assert!((left.front - right.rear).get::<newton>().abs() < 1e-9 * (1.0 + push));
        }

        #[test]
        fn servo_never_weakens(input in 0.0..3000.0f64, boost in 1.0..8.0f64, assist in 0.0..5000.0f64) {
            let boost = Ratio::new::<ratio>(boost);
            let out = servo_push(n(input), boost, n(assist)).expect("valid");
            let more = servo_push(n(input + 1.0), boost, n(assist)).expect("valid");
            prop_assert!(out >= n(input));
            let back = servo_input(out, boost, n(assist)).expect("valid");
            prop_assert!((back.get::<newton>() - input).abs() < 1e-9 * (1.0 + input));
            prop_assert!(more > out);
        }
    }
}
