//! Vapour pressure of petrol in the tank, from the pressure that its class or data sheet states at 37.8 °C.

use uom::si::f64::{Pressure, ThermodynamicTemperature};
use uom::si::pressure::{kilopascal, psi};
use uom::si::thermodynamic_temperature::{degree_celsius, degree_rankine};

use super::range::{OutOfRange, within};
use super::temperature::in_words;

/// Slope of the distillation curve at 10 % evaporated that EPA AP-42 gives for motor petrol, in °F per percent.
const PETROL_SLOPE: f64 = 3.0;

/// True (absolute) vapour pressure of petrol at a temperature, from its Reid vapour pressure (ASTM D323; the dry
/// equivalent of EN 13016-1 is taken as equal).
///
/// `ln p = (0.7553 - 413/T) sqrt(S) log10(R) - (1.854 - 1042/T) sqrt(S) + (2416/T - 2.013) log10(R) - 8742/T + 15.64`
/// with `T` in degrees Rankine, the Reid vapour pressure `R` and the result `p` in psi, and the distillation slope `S
/// = 3`.
///
/// Source: EPA AP-42 chapter 7.1, equation behind the nomograph for refined petroleum stocks (from memory). It
/// follows the chapter's own table within 3 %; fuel with more than 15 % of ethanol is not a petrol of this curve.
///
/// # Errors
/// Temperature outside -18 °C to 60 °C, or Reid vapour pressure outside 14 kPa to 138 kPa: the nomograph's range.
pub fn petrol_vapour_pressure(
    reid_vapour_pressure: Pressure,
    temperature: ThermodynamicTemperature,
) -> Result<Pressure, OutOfRange> {
    let low = ThermodynamicTemperature::new::<degree_celsius>(-18.0);
    let high = ThermodynamicTemperature::new::<degree_celsius>(60.0);
    let t = within("temperature of the petrol", temperature, low, high, in_words)?.get::<degree_rankine>();
    let kpa = |p: Pressure| format!("{:.1} kPa", p.get::<kilopascal>());
    let least = Pressure::new::<kilopascal>(14.0);
    let most = Pressure::new::<kilopascal>(138.0);
    let reid = within("Reid vapour pressure", reid_vapour_pressure, least, most, kpa)?;
    let log = reid.get::<psi>().log10();
    let root = PETROL_SLOPE.sqrt();
    let exponent = (0.7553 - 413.0 / t) * root * log - (1.854 - 1042.0 / t) * root + (2416.0 / t - 2.013) * log
        - 8742.0 / t
        + 15.64;
    Ok(Pressure::new::<psi>(exponent.exp()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::thermodynamic_temperature::degree_fahrenheit;

    use super::*;

    fn at(reid: f64, fahrenheit: f64) -> Result<f64, OutOfRange> {
        let temperature = ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit);
        petrol_vapour_pressure(Pressure::new::<psi>(reid), temperature).map(|p| p.get::<psi>())
    }

    #[test]
    fn follows_the_printed_table() {
        // EPA AP-42 chapter 7.1, table of selected petroleum liquids, petrol of 7, 10 and 13 psi from 40 °F to 100 °F
        // in steps of 10 °F, in psi (memory).
        let table = [
            (7.0, [2.3, 2.9, 3.5, 4.3, 5.2, 6.2, 7.4]),
            (10.0, [3.4, 4.2, 5.2, 6.2, 7.4, 8.8, 10.5]),
            (13.0, [4.7, 5.7, 6.9, 8.3, 9.9, 11.7, 13.8]),
        ];
        for (reid, row) in table {
            for (step, printed) in row.into_iter().enumerate() {
                let got = at(reid, 40.0 + 10.0 * step as f64).expect("in range");
                assert!((got / printed - 1.0).abs() < 0.03, "{reid} psi, step {step}: {got} for {printed}");
            }
        }
    }

    #[test]
    fn outside_the_nomograph_is_refused() {
        assert!(at(10.0, 145.0).is_err());
        assert!(at(10.0, -5.0).is_err());
        assert!(at(1.5, 60.0).is_err());
        assert!(at(21.0, 60.0).is_err());
    }

    proptest! {
        #[test]
        fn rises_with_temperature_and_volatility(reid in 3.0_f64..18.0, fahrenheit in 5.0_f64..130.0) {
            let base = at(reid, fahrenheit).expect("in range");
            prop_assert!(at(reid, fahrenheit + 2.0).expect("in range") > base);
            prop_assert!(at(reid * 1.02, fahrenheit).expect("in range") > base);
        }
    }
}
