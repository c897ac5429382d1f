//! Holding on a grade: force needed, what the tyres of one axle can hold, grade held by a force.
//!
//! A grade is rise over run, so 20 % is an angle of atan 0.2. Symbols as in `balance`; theta angle of the grade.

use uom::si::f64::{Force, Length, Ratio};
use uom::si::ratio::{percent, ratio};

use super::balance::shape;
use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Greatest holding forces of each axle's tyres, standing on a grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldingLimits {
    /// Rear wheels braked, the car facing uphill.
    pub rear_facing_up: Force,
    /// Rear wheels braked, facing downhill.
    pub rear_facing_down: Force,
    /// Front wheels braked, facing uphill.
    pub front_facing_up: Force,
    /// Front wheels braked, facing downhill.
    pub front_facing_down: Force,
}

/// Sine and cosine of a grade, refused outside 0 to 100 %.
fn grade_angle(grade: Ratio) -> Result<(f64, f64), OutOfRange> {
    let show = |r: Ratio| format!("{} %", r.get::<percent>());
    let rise = within("grade", grade, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)?.get::<ratio>();
    let along = rise.hypot(1.0);
    Ok((rise / along, 1.0 / along))
}

/// Force along the road that holds a weight on a grade: F = W sin theta.
///
/// # Errors
/// The weight is negative or the grade outside 0 to 100 %.
pub fn grade_force(weight: Force, grade: Ratio) -> Result<Force, OutOfRange> {
    Ok(not_negative("weight", weight)? * grade_angle(grade)?.0)
}

/// What the tyres of one braked axle can hold: mu N, with N_r = W (a cos theta +- h sin theta) / L for the rear axle,
/// plus where the car faces uphill, and the rest of W cos theta at the front.
///
/// # Errors
/// The centre of gravity does not stand between the axles, a value is negative, the grade is outside 0 to 100 %, or the
/// car would tip over an axle.
pub fn holding_limits(
    weight: Force,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
    friction: Ratio,
    grade: Ratio,
) -> Result<HoldingLimits, OutOfRange> {
    let grip = positive("weight", weight)? * positive("friction between tyre and road", friction)?;
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let (sine, cosine) = grade_angle(grade)?;
    let shift = shape.height * sine;
    let least = Ratio::new::<ratio>((shape.front * cosine - shift).min(shape.rear * cosine - shift));
    positive("load share of the upper axle on the grade", least)?;
    Ok(HoldingLimits {
        rear_facing_up: grip * (shape.rear * cosine + shift),
        rear_facing_down: grip * (shape.rear * cosine - shift),
        front_facing_up: grip * (shape.front * cosine - shift),
        front_facing_down: grip * (shape.front * cosine + shift),
    })
}

/// Grade on which a force along the road just holds a weight: tan(asin(F / W)).
///
/// # Errors
/// A value is negative, or the force not below the weight.
pub fn grade_held(force: Force, weight: Force) -> Result<Ratio, OutOfRange> {
    let sine = (not_negative("holding force", force)? / positive("weight", weight)?).get::<ratio>();
    positive("weight less the holding force", weight - force)?;
    Ok(Ratio::new::<ratio>(sine / ((1.0 - sine) * (1.0 + sine)).sqrt()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;
    use uom::si::length::meter;

    use super::*;

    fn w(v: f64) -> Force {
        Force::new::<newton>(v)
    }

    fn r(v: f64) -> Ratio {
        Ratio::new::<ratio>(v)
    }

    #[test]
    fn grades_above_one_in_one_are_refused() {
        assert!(grade_force(w(1e4), r(1.01)).is_err());
    }

    proptest! {
        #[test]
        fn force_and_grade_are_inverse(weight in 3e3..4e4f64, grade in 0.0..1.0f64) {
            let force = grade_force(w(weight), r(grade)).expect("valid");
            let back = grade_held(force, w(weight)).expect("valid");
            prop_assert!((back.get::<ratio>() - grade).abs() < 1e-9);
        }

        #[test]
        fn axles_share_the_whole_load(at in 0.35..0.65f64, h in 0.2..0.7f64, grade in 0.0..0.4f64) {
            let l = |v: f64| Length::new::<meter>(v);
            let hold = holding_limits(w(1e4), l(2.5), l(2.5 * at), l(h), r(0.8), r(grade)).expect("valid");
            let normal = 0.8e4 / grade.hypot(1.0);
            prop_assert!(((hold.rear_facing_up + hold.front_facing_up).get::<newton>() - normal).abs() < 1e-6);
            prop_assert!(((hold.rear_facing_down + hold.front_facing_down).get::<newton>() - normal).abs() < 1e-6);
            prop_assert!(hold.rear_facing_up >= hold.rear_facing_down);
        }
    }
}
