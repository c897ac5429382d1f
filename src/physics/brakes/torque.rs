//! From line pressure to the force at the road: clamp, effective radius, torque of discs and drums.
//!
//! Symbols: A_1 piston area of ONE side of a caliper (opposed pistons do not add, nor does a sliding housing), N clamp
//! force, mu pad friction, r_e effective radius, T torque of one wheel's brake, r rolling radius.
//! Sources: Limpert, Brake Design and Safety; Day, Braking of Road Vehicles (both from memory).

use uom::si::f64::{Area, Force, Length, Pressure, Ratio, Torque};
use uom::si::ratio::ratio;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Force with which each pad is pressed on the disc: N = p A_1.
///
/// # Errors
/// The pressure is negative or the area not above zero.
pub fn clamp_force(pressure: Pressure, area_one_side: Area) -> Result<Force, OutOfRange> {
    Ok(not_negative("line pressure", pressure)? * positive("piston area of one side", area_one_side)?)
}

/// Effective radius of an annular pad whose pressure has settled by wear (p r constant): the mean (r_o + r_i) / 2.
///
/// # Errors
/// The inner radius is negative or not below the outer.
pub fn mean_pad_radius(outer: Length, inner: Length) -> Result<Length, OutOfRange> {
    let (outer, inner) = pad_radii(outer, inner)?;
    Ok((outer + inner) / 2.0)
}

/// Effective radius of an annular pad under even pressure, as when new: 2/3 (r_o^3 - r_i^3) / (r_o^2 - r_i^2), written
/// without the difference that cancels: 2/3 (r_o^2 + r_o r_i + r_i^2) / (r_o + r_i).
///
/// # Errors
/// The inner radius is negative or not below the outer.
pub fn even_pressure_pad_radius(outer: Length, inner: Length) -> Result<Length, OutOfRange> {
    let (outer, inner) = pad_radii(outer, inner)?;
    Ok((outer * outer + outer * inner + inner * inner) / (outer + inner) * (2.0 / 3.0))
}

fn pad_radii(outer: Length, inner: Length) -> Result<(Length, Length), OutOfRange> {
    let inner = not_negative("inner radius of the pad", inner)?;
    positive("radial height of the pad", outer - inner)?;
    Ok((outer, inner))
}

/// Torque of one disc, two faces: T = 2 mu N r_e.
///
/// # Errors
/// A value is negative, or the friction above 1.5.
pub fn disc_torque(clamp: Force, friction: Ratio, effective_radius: Length) -> Result<Torque, OutOfRange> {
    let force = not_negative("clamp force", clamp)? * pad_friction(friction)? * 2.0;
    Ok((force * not_negative("effective radius", effective_radius)?).into())
}

/// Line pressure that gives a disc a torque: p = T / (2 mu A_1 r_e).
///
/// # Errors
/// The torque is negative, or friction, area or radius are not above zero.
pub fn pressure_for_torque(
    torque: Torque,
    effective_radius: Length,
    friction: Ratio,
    area_one_side: Area,
) -> Result<Pressure, OutOfRange> {
    let friction = positive("pad friction", pad_friction(friction)?)?;
    let lever = positive("effective radius", effective_radius)? * positive("piston area of one side", area_one_side)?;
    let torque: uom::si::f64::Energy = not_negative("brake torque", torque)?.into();
    Ok(torque / (lever * friction * 2.0))
}

/// Torque of one drum: T = C p A_c r_d, from the area of ONE piston of the wheel cylinder and the brake factor C, the
/// friction force of both shoes over the force of that piston (about 2 for one leading and one trailing shoe).
///
/// # Errors
/// A value is negative.
pub fn drum_torque(
    pressure: Pressure,
    cylinder_area: Area,
    brake_factor: Ratio,
    drum_radius: Length,
) -> Result<Torque, OutOfRange> {
    let push = not_negative("line pressure", pressure)? * not_negative("area of the wheel cylinder", cylinder_area)?;
    let drag = push * not_negative("brake factor", brake_factor)?;
    Ok((drag * not_negative("drum radius", drum_radius)?).into())
}

/// Friction force over actuating force of one pivoted shoe, taken as short: mu a / (n -+ mu m), minus for a leading
/// shoe. `actuation_arm` a, `normal_arm` n and `friction_arm` m are the distances from the shoe's pivot to the lines of
/// the cylinder's force, of the normal force through the middle of the lining and of its friction.
///
/// # Errors
/// A length is not above zero, or a leading shoe locks itself (n <= mu m).
pub fn shoe_factor(
    friction: Ratio,
    actuation_arm: Length,
    normal_arm: Length,
    friction_arm: Length,
    leading: bool,
) -> Result<Ratio, OutOfRange> {
    let friction = pad_friction(friction)?;
    let drag = friction * not_negative("arm of the shoe's friction", friction_arm)?;
    let normal = positive("arm of the shoe's normal force", normal_arm)?;
    let rest = if leading { normal - drag } else { normal + drag };
    let rest = positive("arm of the normal force less friction times arm of the friction (shoe locks itself)", rest)?;
    Ok(friction * positive("arm of the shoe's actuating force", actuation_arm)? / rest)
}

/// Force at the road of `wheels` wheels that are each braked with a torque: F = n T / r.
///
/// # Errors
/// The torque is negative, or the count or radius not above zero.
pub fn road_force(torque_per_wheel: Torque, wheels: Ratio, rolling_radius: Length) -> Result<Force, OutOfRange> {
    let torque: uom::si::f64::Energy = not_negative("brake torque", torque_per_wheel)?.into();
    let radius = positive("rolling radius", rolling_radius)?;
    Ok(torque * positive("number of braked wheels", wheels)? / radius)
}

/// Clamp force of a cable brake, each wheel: half of F_hand i_lever i_caliper eta, an equaliser sharing it out.
///
/// # Errors
/// A value is negative, or the efficiency above 1.
pub fn cable_clamp_force(
    hand_force: Force,
    lever_ratio: Ratio,
    caliper_ratio: Ratio,
    efficiency: Ratio,
) -> Result<Force, OutOfRange> {
    let show = |r: Ratio| format!("{}", r.get::<ratio>());
    let eta = within("efficiency of the cable", efficiency, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)?;
    let cable = not_negative("hand force", hand_force)? * not_negative("ratio of the hand lever", lever_ratio)?;
    Ok(cable * not_negative("ratio of the caliper's lever", caliper_ratio)? * eta / 2.0)
}

/// The friction of a pad or lining, refused below 0 and above 1.5, which no known material reaches.
fn pad_friction(friction: Ratio) -> Result<Ratio, OutOfRange> {
    let show = |r: Ratio| format!("{}", r.get::<ratio>());
    within("pad friction", friction, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.5), show)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;
    use uom::si::torque::newton_meter;

    use super::*;

    fn mm(l: f64) -> Length {
        Length::new::<millimeter>(l)
    }

    fn r(v: f64) -> Ratio {
        Ratio::new::<ratio>(v)
    }

    #[test]
    fn a_pad_turned_inside_out_is_refused() {
        assert!(mean_pad_radius(mm(90.0), mm(140.0)).is_err());
        assert!(even_pressure_pad_radius(mm(90.0), mm(90.0)).is_err());
    }

    #[test]
    fn a_shoe_that_locks_itself_is_refused() {
        assert!(shoe_factor(r(0.8), mm(200.0), mm(80.0), mm(110.0), true).is_err());
        assert!(shoe_factor(r(0.8), mm(200.0), mm(80.0), mm(110.0), false).is_ok());
    }

    proptest! {
        #[test]
        fn even_pressure_acts_further_out_than_wear(inner in 1.0..150.0f64, height in 1.0..80.0f64) {
            let (outer, inner) = (mm(inner + height), mm(inner));
            let even = even_pressure_pad_radius(outer, inner).expect("valid");
            prop_assert!(even >= mean_pad_radius(outer, inner).expect("valid"));
            prop_assert!(even < outer);
        }

        #[test]
        fn torque_scales_with_each_factor(p in 1e5..2e7f64, a in 1e-4..8e-3f64, mu in 0.1..0.7f64, re in 60.0..180.0f64) {
            let (p, a) = (Pressure::new::<uom::si::pressure::pascal>(p), Area::new::<uom::si::area::square_meter>(a));
            let torque = disc_torque(clamp_force(p, a).expect("valid"), r(mu), mm(re)).expect("valid");
            let double = disc_torque(clamp_force(p, a * 2.0).expect("valid"), r(mu), mm(re)).expect("valid");
            prop_assert!(((double / torque).get::<ratio>() - 2.0).abs() < 1e-12);
            let back = pressure_for_torque(torque, mm(re), r(mu), a).expect("valid");
            prop_assert!(((back / p).get::<ratio>() - 1.0).abs() < 1e-12);
        }

        #[test]
        fn leading_shoe_helps_itself(mu in 0.1..0.5f64, a in 120.0..220.0f64, m in 60.0..130.0f64) {
            let leading = shoe_factor(r(mu), mm(a), mm(80.0), mm(m), true).expect("valid");
            let trailing = shoe_factor(r(mu), mm(a), mm(80.0), mm(m), false).expect("valid");
            prop_assert!(leading > trailing);
        }
    }

    #[test]
    fn road_force_of_two_wheels() {
        let force = road_force(Torque::new::<newton_meter>(300.0), r(2.0), mm(300.0)).expect("valid");
        assert!((force.get::<uom::si::force::newton>() - 2000.0).abs() < 1e-9);
    }
}
