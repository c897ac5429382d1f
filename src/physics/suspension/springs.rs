//! Coil springs, torsion bars and anti-roll bars from their dimensions.

use std::f64::consts::PI;

use uom::si::angle::radian;
use uom::si::f64::{Angle, Force, Length, Pressure, Ratio, Torque};
use uom::si::ratio::ratio;

use crate::physics::range::{OutOfRange, not_negative, positive, within};
use crate::physics::rates::{RotationalStiffness, SpringRate};

fn as_number(value: Ratio) -> String {
    format!("{:.2}", value.get::<ratio>())
}

/// Spring index `C = D / d`.
fn index(wire_diameter: Length, mean_coil_diameter: Length) -> Result<Ratio, OutOfRange> {
    let index = positive("coil diameter", mean_coil_diameter)? / positive("wire diameter", wire_diameter)?;
    within("coil diameter over wire diameter", index, Ratio::new::<ratio>(2.0), Ratio::new::<ratio>(30.0), as_number)
}

/// Rate of a coil spring of round wire: `k = G d^4 / (8 D^3 n)`.
///
/// G shear modulus, d wire diameter, D mean coil diameter (middle of the wire), n active coils. Source: strain energy of a
/// closely coiled spring; EN 13906-1 (memory).
///
/// # Errors
/// A value is not above zero; D/d is outside 2 to 30, where the formula for a slender wire fails.
pub fn coil_rate(
    shear_modulus: Pressure,
    wire_diameter: Length,
    mean_coil_diameter: Length,
    active_coils: Ratio,
) -> Result<SpringRate, OutOfRange> {
    let index = index(wire_diameter, mean_coil_diameter)?;
    let coils = positive("active coils", active_coils)?;
    Ok(positive("shear modulus", shear_modulus)? * wire_diameter / (8.0 * index * index * index * coils))
}

/// Length of a coil spring when its coils touch: `n_t d` with ground ends, `(n_t + 1) d` otherwise.
///
/// Source: EN 13906-1 (memory), without its tolerance.
///
/// # Errors
/// A value is not above zero.
pub fn solid_length(wire_diameter: Length, total_coils: Ratio, ground_ends: bool) -> Result<Length, OutOfRange> {
    let coils = positive("coils", total_coils)? + Ratio::new::<ratio>(if ground_ends { 0.0 } else { 1.0 });
    Ok(positive("wire diameter", wire_diameter)? * coils)
}

/// Largest shear stress in the wire of a coil spring: `t = K 8 F D / (pi d^3)`, `K = (4C - 1)/(4C - 4) + 0.615/C`.
///
/// Source: Wahl's factor (memory).
///
/// # Errors
/// A dimension is not above zero, or D/d is outside 2 to 30.
pub fn coil_shear_stress(
    force: Force,
    wire_diameter: Length,
    mean_coil_diameter: Length,
) -> Result<Pressure, OutOfRange> {
    let c = index(wire_diameter, mean_coil_diameter)?.get::<ratio>();
    let wahl = (4.0 * c - 1.0) / (4.0 * c - 4.0) + 0.615 / c;
    Ok(force * (wahl * 8.0 * c / PI) / (wire_diameter * wire_diameter))
}

/// Torsional rate of a round bar: `G pi (d^4 - d_i^4) / (32 l)`.
///
/// # Errors
/// A dimension is not above zero, or the bore is not below the outside diameter.
pub fn torsion_bar_rate(
    shear_modulus: Pressure,
    outside_diameter: Length,
    bore: Length,
    length: Length,
) -> Result<RotationalStiffness, OutOfRange> {
    let d = positive("bar diameter", outside_diameter)?;
    let hollow = not_negative("bore of the bar", bore)? / d;
    within("bore over diameter", hollow, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(0.99), as_number)?;
    let length = positive("length of the bar", length)?;
    let solid: RotationalStiffness = positive("shear modulus", shear_modulus)? * d * d * d * (d / length) * (PI / 32.0);
    Ok(solid * (1.0 - hollow.get::<ratio>().powi(4)))
}

/// An anti-roll bar at an axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AntiRollBar {
    /// Moment for each unit of twist of the bar's middle part.
    pub bar_torsional_rate: RotationalStiffness,
    /// Force at one end for each unit of its travel, both ends moving oppositely.
    pub end_rate: SpringRate,
    /// What it adds to the axle's roll stiffness.
    pub roll_stiffness: RotationalStiffness,
}

/// Rate of an anti-roll bar: ends moving oppositely by x twist the bar by `2 x / r`; hence `k_e = 2 K / r^2` at each end and
/// `K_roll = k_e (MR t)^2 / 2`.
///
/// K torsional rate of the middle part, r arm length (at right angles to the bar), MR drop link travel over wheel travel, t
/// track. Bending of the arms is neglected, which reads a few per cent too stiff. Source: virtual work.
///
/// # Errors
/// A dimension is not above zero, or the bore is not below the outside diameter.
pub fn anti_roll_bar(
    shear_modulus: Pressure,
    outside_diameter: Length,
    bore: Length,
    bar_length: Length,
    arm_length: Length,
    motion_ratio: Ratio,
    track: Length,
) -> Result<AntiRollBar, OutOfRange> {
    let torsional = torsion_bar_rate(shear_modulus, outside_diameter, bore, bar_length)?;
    let arm = positive("arm length", arm_length)?;
    let end_rate: SpringRate = torsional * 2.0 / (arm * arm);
    let ends = positive("track", track)? * motion_ratio;
    Ok(AntiRollBar { bar_torsional_rate: torsional, end_rate, roll_stiffness: end_rate * ends * ends / 2.0 })
}

/// Twist of a bar under a moment, and so how far a splined bar's marks must turn.
///
/// # Errors
/// The rate is not above zero.
pub fn bar_twist(moment: Torque, rate: RotationalStiffness) -> Result<Angle, OutOfRange> {
    let twist = moment.value / positive("torsional rate", rate)?.value;
    Ok(Angle::new::<radian>(twist))
}

#[cfg(test)]
mod tests {
    use uom::si::force::newton;
    use uom::si::length::millimeter;
    use uom::si::pressure::{gigapascal, megapascal};
    use uom::si::torque::newton_meter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn steel() -> Pressure {
        Pressure::new::<gigapascal>(79.3)
    }

    #[test]
    fn wahl_factor_of_index_eight() {
        // K = 31/28 + 0.615/8 = 1.1840 (Shigley's table of factors gives 1.184; memory); 8 F C / (pi d^2) = 63.66 MPa.
        let t = coil_shear_stress(Force::new::<newton>(312.5), mm(10.0), mm(80.0)).expect("in range");
        assert!((t.get::<megapascal>() - 63.66198 * 1.184018).abs() < 1e-3, "{}", t.get::<megapascal>());
    }

    #[test]
    fn a_bore_of_half_the_diameter_costs_a_sixteenth() {
        let rate = |bore| torsion_bar_rate(steel(), mm(20.0), mm(bore), mm(900.0)).expect("in range");
        assert!(((rate(10.0) / rate(0.0)).get::<ratio>() - 15.0 / 16.0).abs() < 1e-12);
        assert!(torsion_bar_rate(steel(), mm(20.0), mm(20.0), mm(900.0)).is_err());
    }

    #[test]
    fn a_bar_twists_by_its_moment_over_its_rate() {
        let rate = torsion_bar_rate(steel(), mm(20.0), mm(0.0), mm(900.0)).expect("in range");
        let twist = bar_twist(Torque::new::<newton_meter>(1384.0461), rate).expect("in range");
        assert!((twist.get::<radian>() - 1.0).abs() < 1e-6);
    }

    #[test]
    fn solid_length_counts_coils() {
        let solid = |ground| solid_length(mm(12.0), Ratio::new::<ratio>(9.5), ground).expect("in range");
        assert!((solid(true) - mm(114.0)).abs() < mm(1e-9) && (solid(false) - mm(126.0)).abs() < mm(1e-9));
    }

    #[test]
    fn a_stubby_spring_is_refused() {
        assert!(coil_rate(steel(), mm(20.0), mm(35.0), Ratio::new::<ratio>(6.0)).is_err());
    }
}
