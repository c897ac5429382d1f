//! Sections of round tube: area, second moment, moduli, and how one tube compares with another.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length, LinearMassDensity, MassDensity, Pressure, Ratio, Torque, Volume};
use uom::si::torque::newton_meter;
use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{P4, Z0};

use super::range::{OutOfRange, positive};

/// Second moment of area, for which `uom` has no name.
pub type AreaMoment = Quantity<ISQ<P4, Z0, Z0, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// Properties of a round section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeSection {
    /// Area of the metal.
    pub area: Area,
    /// Second moment of area about a diameter.
    pub second_moment: AreaMoment,
    /// Elastic section modulus.
    pub section_modulus: Volume,
    /// Plastic section modulus.
    pub plastic_modulus: Volume,
    /// Polar moment of area.
    pub polar_moment: AreaMoment,
    /// Radius of gyration.
    pub radius_of_gyration: Length,
}

/// Section properties of a round tube of outside diameter `D` and wall `t`, with the bore `d = D - 2 t`; a wall of
/// half the diameter is a solid bar.
///
/// `A = pi/4 (D^2 - d^2)`, `I = pi/64 (D^4 - d^4)`, `W = 2 I / D`, `Z = (D^3 - d^3)/6`, `Ip = 2 I`, `i = sqrt(I/A)`.
///
/// # Errors
/// Diameter or wall not above zero; a wall over half of the diameter.
pub fn tube_section(outside: Length, wall: Length) -> Result<TubeSection, OutOfRange> {
    let outside = positive("outside diameter", outside)?;
    let bore = outside - positive("wall", wall)? * 2.0;
    if bore.value < -1e-9 * outside.value {
        let mm = |l: Length| l.get::<uom::si::length::millimeter>();
        return Err(OutOfRange::new(
            "wall",
            format_args!("{:.3} mm", mm(wall)),
            format_args!("0 to half of the diameter, {:.3} mm", mm(outside) / 2.0),
        ));
    }
    let bore = bore.max(Length::default());
    let area = (outside * outside - bore * bore) * (PI / 4.0);
    let second_moment = area * (outside * outside + bore * bore) / 16.0;
    Ok(TubeSection {
        area,
        second_moment,
        section_modulus: second_moment / outside * 2.0,
        plastic_modulus: (outside * outside * outside - bore * bore * bore) / 6.0,
        polar_moment: second_moment * 2.0,
        radius_of_gyration: (second_moment / area).sqrt(),
    })
}

/// Mass of a tube per length: `m = rho A`.
///
/// # Errors
/// As [`tube_section`].
pub fn tube_mass(outside: Length, wall: Length, density: MassDensity) -> Result<LinearMassDensity, OutOfRange> {
    Ok(tube_section(outside, wall)?.area * density)
}

/// Wall of a tube whose mass per length was weighed: `t = (D - sqrt(D^2 - 4 m / (pi rho))) / 2`, the inverse of
/// [`tube_mass`].
///
/// # Errors
/// A value not above zero; a mass above that of the solid bar.
pub fn tube_wall_from_mass(
    outside: Length,
    mass_per_length: LinearMassDensity,
    density: MassDensity,
) -> Result<Length, OutOfRange> {
    let outside = positive("outside diameter", outside)?;
    let metal: Area = positive("mass per length", mass_per_length)? / positive("density", density)?;
    let bore_squared = outside * outside - metal * (4.0 / PI);
    if bore_squared.value < 0.0 {
        let share: Ratio = metal / (outside * outside * (PI / 4.0));
        return Err(OutOfRange::new(
            "mass per length",
            format_args!("{:.2} solid bars", share.value),
            "0 to 1 solid bar",
        ));
    }
    Ok((outside - bore_squared.sqrt()) / 2.0)
}

/// Bending moment at which the outermost fibre yields: `M = W Re`.
///
/// # Errors
/// As [`tube_section`].
pub fn tube_yield_moment(outside: Length, wall: Length, yield_strength: Pressure) -> Result<Torque, OutOfRange> {
    let modulus = tube_section(outside, wall)?.section_modulus;
    Ok(Torque::new::<newton_meter>(modulus.value * yield_strength.value))
}

/// How one tube compares with another of the same modulus of elasticity and density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeComparison {
    /// Bending stiffness of the candidate over that of the baseline.
    pub bending_stiffness_ratio: Ratio,
    /// Yield moment of the candidate over that of the baseline.
    pub yield_moment_ratio: Ratio,
    /// Mass of the candidate over that of the baseline.
    pub mass_ratio: Ratio,
}

/// Compares a candidate tube with a baseline: stiffness by the second moments, strength by section modulus and yield
/// strength, mass by the areas.
///
/// # Errors
/// As [`tube_section`]; a yield strength not above zero.
pub fn compare_tubes(
    baseline_outside: Length,
    baseline_wall: Length,
    baseline_yield: Pressure,
    candidate_outside: Length,
    candidate_wall: Length,
    candidate_yield: Pressure,
) -> Result<TubeComparison, OutOfRange> {
    let baseline = tube_section(baseline_outside, baseline_wall)?;
    let candidate = tube_section(candidate_outside, candidate_wall)?;
    let strength: Ratio = candidate_yield / positive("yield strength of the baseline", baseline_yield)?;
    Ok(TubeComparison {
        bending_stiffness_ratio: candidate.second_moment / baseline.second_moment,
        yield_moment_ratio: candidate.section_modulus / baseline.section_modulus * strength,
        mass_ratio: candidate.area / baseline.area,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;

    use super::*;

    fn section(outside: f64, wall: f64) -> TubeSection {
        tube_section(Length::new::<millimeter>(outside), Length::new::<millimeter>(wall)).expect("a tube")
    }

    #[test]
    fn a_wall_of_half_the_diameter_is_a_bar() {
        // Solid round bar: I = pi d^4 / 64, W = pi d^3 / 32, plastic modulus d^3 / 6.
        let bar = section(20.0, 10.0);
        assert!((bar.second_moment.value - PI * 0.02_f64.powi(4) / 64.0).abs() < 1e-18);
        assert!((bar.section_modulus.value - PI * 0.02_f64.powi(3) / 32.0).abs() < 1e-15);
        assert!((bar.plastic_modulus.value - 0.02_f64.powi(3) / 6.0).abs() < 1e-15);
    }

    #[test]
    fn a_wall_thicker_than_the_bar_is_refused() {
        assert!(tube_section(Length::new::<millimeter>(20.0), Length::new::<millimeter>(10.1)).is_err());
        assert!(tube_section(Length::new::<millimeter>(20.0), Length::new::<millimeter>(0.0)).is_err());
    }

    #[test]
    fn a_tube_equals_itself() {
        let (d, t) = (Length::new::<millimeter>(38.0), Length::new::<millimeter>(2.5));
        let strength = Pressure::new::<uom::si::pressure::megapascal>(350.0);
        let same = compare_tubes(d, t, strength, d, t, strength).expect("tubes");
        for share in [same.bending_stiffness_ratio, same.yield_moment_ratio, same.mass_ratio] {
            assert!((share.value - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn more_than_a_solid_bar_has_no_wall() {
        let steel = MassDensity::new::<uom::si::mass_density::kilogram_per_cubic_meter>(7850.0);
        let heavy = LinearMassDensity::new::<uom::si::linear_mass_density::kilogram_per_meter>(2.5);
        assert!(tube_wall_from_mass(Length::new::<millimeter>(20.0), heavy, steel).is_err());
        assert!(tube_wall_from_mass(Length::new::<millimeter>(38.0), LinearMassDensity::default(), steel).is_err());
    }

    proptest! {
        #[test]
        fn the_wall_is_found_again_from_the_mass(d in 10.0_f64..80.0, share in 0.01_f64..0.49) {
            let steel = MassDensity::new::<uom::si::mass_density::kilogram_per_cubic_meter>(7850.0);
            let (outside, wall) = (Length::new::<millimeter>(d), Length::new::<millimeter>(d * share));
            let mass = tube_mass(outside, wall, steel).expect("a tube");
            let back = tube_wall_from_mass(outside, mass, steel).expect("a tube");
            prop_assert!((back / wall).value - 1.0 < 1e-9 && (back / wall).value - 1.0 > -1e-9);
        }

        #[test]
        fn a_thin_tube_follows_the_thin_formula(d in 20.0_f64..80.0) {
            // I = pi r^3 t at the mean radius, to the second order of t/r.
            let thin = section(d, d / 200.0);
            let mean = (d - d / 200.0) / 2000.0;
            let by_hand = PI * mean.powi(3) * d / 200_000.0;
            prop_assert!((thin.second_moment.value / by_hand - 1.0).abs() < 1e-4);
        }

        #[test]
        fn twice_the_size_is_sixteen_times_the_stiffness(d in 10.0_f64..60.0, share in 0.02_f64..0.5) {
            let (one, two) = (section(d, d * share), section(2.0 * d, 2.0 * d * share));
            prop_assert!((two.second_moment.value / one.second_moment.value - 16.0).abs() < 1e-9);
            prop_assert!((two.section_modulus.value / one.section_modulus.value - 8.0).abs() < 1e-9);
            prop_assert!((two.area.value / one.area.value - 4.0).abs() < 1e-9);
        }
    }
}
