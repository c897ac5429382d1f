//! What heat does to parts: how much they grow, and what stress they feel where they cannot.

use uom::si::f64::{Length, Pressure, Ratio, TemperatureCoefficient, TemperatureInterval};

use super::range::{OutOfRange, not_negative, positive, within};

/// Growth of a length: α L ΔT, with the coefficient α of linear expansion; negative where it cools.
///
/// # Errors
/// The length is negative, or the coefficient is outside -1e-5 to 3e-4 per kelvin, where solids lie.
pub fn thermal_growth(
    expansion: TemperatureCoefficient,
    length: Length,
    rise: TemperatureInterval,
) -> Result<Length, OutOfRange> {
    let strain: Ratio = coefficient(expansion)? * rise;
    Ok(not_negative("length", length)? * strain)
}

/// Compression in a part that is heated and held at both ends: E α ΔT, while it does not yield.
///
/// # Errors
/// The modulus is not above zero, or the coefficient is outside -1e-5 to 3e-4 per kelvin.
pub fn restrained_growth_stress(
    modulus: Pressure,
    expansion: TemperatureCoefficient,
    rise: TemperatureInterval,
) -> Result<Pressure, OutOfRange> {
    let strain: Ratio = coefficient(expansion)? * rise;
    Ok(positive("modulus of elasticity", modulus)? * strain)
}

fn coefficient(expansion: TemperatureCoefficient) -> Result<TemperatureCoefficient, OutOfRange> {
    use uom::si::temperature_coefficient::per_kelvin;
    let (low, high) =
        (TemperatureCoefficient::new::<per_kelvin>(-1e-5), TemperatureCoefficient::new::<per_kelvin>(3e-4));
    within("coefficient of expansion", expansion, low, high, |a| format!("{:e} per kelvin", a.get::<per_kelvin>()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::{meter, millimeter};
    use uom::si::pressure::{gigapascal, megapascal};
    use uom::si::temperature_coefficient::per_kelvin;
    use uom::si::temperature_interval::kelvin;

    use super::*;

    fn expansion(value: f64) -> TemperatureCoefficient {
        TemperatureCoefficient::new::<per_kelvin>(value)
    }

    fn kelvins(value: f64) -> TemperatureInterval {
        TemperatureInterval::new::<kelvin>(value)
    }

    #[test]
    fn a_steel_rail_held_fast_feels_what_the_textbooks_say() {
        // E 200 GPa, 11.7e-6 per kelvin, 35 K: 81.9 MPa (Hibbeler's rail and like examples; by hand, memory).
        let stress = restrained_growth_stress(Pressure::new::<gigapascal>(200.0), expansion(11.7e-6), kelvins(35.0));
        assert!(stress.is_ok_and(|s| (s.get::<megapascal>() - 81.9).abs() < 0.01));
    }

    #[test]
    fn refuses_a_coefficient_that_no_solid_has() {
        assert!(thermal_growth(expansion(12.0), Length::new::<meter>(1.0), kelvins(10.0)).is_err());
        assert!(thermal_growth(expansion(f64::NAN), Length::new::<meter>(1.0), kelvins(10.0)).is_err());
    }

    proptest! {
        #[test]
        fn growth_is_linear_in_length_and_heat(l in 1.0..5000.0f64, t in -50.0..900.0f64, a in 0.0..3e-5f64) {
            let growth = |l: f64, t: f64| {
                let length = Length::new::<millimeter>(l);
                thermal_growth(expansion(a), length, kelvins(t)).expect("in range").value
            };
            prop_assert!((growth(2.0 * l, t) - 2.0 * growth(l, t)).abs() < 1e-12);
            prop_assert!((growth(l, t) + growth(l, -t)).abs() < 1e-12);
        }
    }
}
