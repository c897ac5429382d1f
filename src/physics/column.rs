//! A straight link in compression: at which load it buckles or yields, and its stress when the load is off its
//! centre.

use std::f64::consts::PI;

use uom::si::f64::{Area, Force, Length, Pressure, Ratio, Torque};
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use super::range::{OutOfRange, not_negative, positive};
use super::tube::{AreaMoment, tube_section};

/// Load at which a perfect slender column buckles (Euler): `P = pi^2 E I / (K l)^2`, with the modulus `E`, the second
/// moment `I`, the length `l` and the effective length factor `K` (1 for pinned ends, as rod ends are; 0.7 fixed and
/// pinned; 2 fixed and free).
///
/// # Errors
/// The length or the factor is not above zero.
pub fn euler_load(
    modulus: Pressure,
    second_moment: AreaMoment,
    length: Length,
    length_factor: Ratio,
) -> Result<Force, OutOfRange> {
    let effective = positive("length", length)? * positive("effective length factor", length_factor)?;
    Ok(modulus * (second_moment / (effective * effective)) * (PI * PI))
}

/// Slenderness `K l / i`, with the radius of gyration `i`.
///
/// # Errors
/// The radius of gyration is not above zero.
pub fn slenderness(length: Length, length_factor: Ratio, radius_of_gyration: Length) -> Result<Ratio, OutOfRange> {
    Ok(length * length_factor / positive("radius of gyration", radius_of_gyration)?)
}

/// Slenderness at which Euler's load equals the yield load: `pi sqrt(E / Re)`.
///
/// # Errors
/// The yield strength is not above zero, the modulus below zero.
pub fn euler_yield_slenderness(modulus: Pressure, yield_strength: Pressure) -> Result<Ratio, OutOfRange> {
    let share: Ratio = not_negative("modulus of elasticity", modulus)? / positive("yield strength", yield_strength)?;
    Ok(Ratio::new::<ratio>(PI * share.get::<ratio>().sqrt()))
}

/// Load that a straight column carries: Euler's above the slenderness `pi sqrt(2 E / Re)`, and below it Johnson's
/// parabola `P = A Re (1 - Re (K l / i)^2 / (4 pi^2 E))`, which meets Euler's curve there at half of the yield load.
///
/// Source: J. B. Johnson's formula as in machine design handbooks.
///
/// # Errors
/// A length, area, strength or modulus is not above zero.
pub fn column_load(
    modulus: Pressure,
    yield_strength: Pressure,
    area: Area,
    second_moment: AreaMoment,
    length: Length,
    length_factor: Ratio,
) -> Result<Force, OutOfRange> {
    let area = positive("area", area)?;
    let modulus = positive("modulus of elasticity", modulus)?;
    let gyration: Length = (positive("second moment of area", second_moment)? / area).sqrt();
    let ratio_ =
        slenderness(positive("length", length)?, positive("effective length factor", length_factor)?, gyration)?;
    let meeting = euler_yield_slenderness(modulus, yield_strength)?.get::<ratio>() * 2.0_f64.sqrt();
    if ratio_.get::<ratio>() >= meeting {
        return euler_load(modulus, second_moment, length, length_factor);
    }
    let fall: Ratio = yield_strength / modulus;
    let lost = fall.get::<ratio>() * ratio_.get::<ratio>().powi(2) / (4.0 * PI * PI);
    Ok(area * yield_strength * (1.0 - lost))
}

/// Bending and stress of a column whose load is off its centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EccentricColumn {
    /// Greatest bending moment, at mid length.
    pub moment: Torque,
    /// Greatest compressive stress.
    pub stress: Pressure,
    /// The same without the growth of the deflection under load.
    pub stress_without_growth: Pressure,
}

/// Greatest moment and stress in a pinned round tube under a compression `P` with the eccentricity `e` (secant
/// formula): `M = P e sec( (l/2) sqrt(P/(E I)) )`, `s = P/A + M/W`.
///
/// # Errors
/// A compression below zero, or at or above Euler's load, where no equilibrium is left; a length, modulus or section
/// not above zero.
pub fn eccentric_column(
    compression: Force,
    eccentricity: Length,
    length: Length,
    modulus: Pressure,
    outside: Length,
    wall: Length,
) -> Result<EccentricColumn, OutOfRange> {
    let section = tube_section(outside, wall)?;
    let force = not_negative("compression", compression)?;
    let modulus = positive("modulus of elasticity", modulus)?;
    let critical = euler_load(modulus, section.second_moment, length, Ratio::new::<ratio>(1.0))?;
    if force >= critical {
        let newtons = |f: Force| f.get::<uom::si::force::newton>();
        return Err(OutOfRange::new(
            "compression",
            format_args!("{:.0} N", newtons(force)),
            format_args!("the values below the buckling load, {:.0} N", newtons(critical)),
        ));
    }
    let share: Ratio = force / critical;
    let growth = 1.0 / (PI / 2.0 * share.get::<ratio>().sqrt()).cos();
    let straight = Torque::new::<newton_meter>(force.value * eccentricity.value);
    let bending = |moment: Torque| -> Pressure {
        Pressure::new::<uom::si::pressure::pascal>(moment.value / section.section_modulus.value)
    };
    let direct: Pressure = force / section.area;
    let moment = straight * growth;
    Ok(EccentricColumn { moment, stress: direct + bending(moment), stress_without_growth: direct + bending(straight) })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;
    use uom::si::length::millimeter;
    use uom::si::pressure::{gigapascal, megapascal};

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn load(length: f64, strength: f64) -> f64 {
        let section = tube_section(mm(20.0), mm(2.0)).expect("a tube");
        let (e, re) = (Pressure::new::<gigapascal>(206.0), Pressure::new::<megapascal>(strength));
        let k = Ratio::new::<ratio>(1.0);
        column_load(e, re, section.area, section.second_moment, mm(length), k).expect("a column").get::<newton>()
    }

    #[test]
    fn a_short_column_yields_and_a_long_one_buckles() {
        let section = tube_section(mm(20.0), mm(2.0)).expect("a tube");
        let yield_load = section.area.value * 350e6;
        assert!((load(1.0, 350.0) / yield_load - 1.0).abs() < 1e-3);
        let euler = PI * PI * 206e9 * section.second_moment.value / 1.2_f64.powi(2);
        assert!((load(1200.0, 350.0) / euler - 1.0).abs() < 1e-12);
    }

    #[test]
    fn johnson_meets_euler_at_half_of_the_yield_load() {
        let section = tube_section(mm(20.0), mm(2.0)).expect("a tube");
        let meeting = PI * (2.0 * 206e9 / 350e6_f64).sqrt() * section.radius_of_gyration.value * 1e3;
        let half = section.area.value * 350e6 / 2.0;
        assert!((load(meeting * 0.999_999, 350.0) / half - 1.0).abs() < 1e-5);
        assert!((load(meeting * 1.000_001, 350.0) / half - 1.0).abs() < 1e-5);
    }

    #[test]
    fn beyond_buckling_there_is_no_stress_to_give() {
        let e = Pressure::new::<gigapascal>(206.0);
        let bent = eccentric_column(Force::new::<newton>(1e6), mm(1.0), mm(500.0), e, mm(20.0), mm(2.0));
        assert!(bent.is_err());
    }

    proptest! {
        #[test]
        fn longer_carries_less(length in 50.0_f64..2000.0, strength in 200.0_f64..900.0) {
            prop_assert!(load(length * 1.02, strength) < load(length, strength));
        }

        #[test]
        fn without_eccentricity_there_is_no_bending(force in 0.0_f64..5000.0) {
            let e = Pressure::new::<gigapascal>(206.0);
            let pressed = Force::new::<newton>(force);
            let straight = eccentric_column(pressed, mm(0.0), mm(450.0), e, mm(20.0), mm(2.0)).expect("in range");
            prop_assert_eq!(straight.moment.value, 0.0);
            prop_assert_eq!(straight.stress, straight.stress_without_growth);
        }
    }
}
