//! The boiling point of water under a given pressure, and the vapour pressure at a given temperature.
//!
//! The saturation line of the IAPWS Industrial Formulation 1997, region 4. Radiator caps are rated in gauge pressure:
//! the caller adds the air's pressure first.

use uom::si::f64::{Pressure, ThermodynamicTemperature};
use uom::si::pressure::{bar, megapascal, pascal};
use uom::si::thermodynamic_temperature::kelvin;

use crate::physics::range::{OutOfRange, within};
use crate::physics::temperature::in_words;

/// Coefficients n1 to n10 of IAPWS-IF97, table 34.
const N1: f64 = 0.116_705_214_527_67e4;
const N2: f64 = -0.724_213_167_032_06e6;
const N3: f64 = -0.170_738_469_400_92e2;
const N4: f64 = 0.120_208_247_024_70e5;
const N5: f64 = -0.323_255_503_223_33e7;
const N6: f64 = 0.149_151_086_135_30e2;
const N7: f64 = -0.482_326_573_615_91e4;
const N8: f64 = 0.405_113_405_420_57e6;
const N9: f64 = -0.238_555_575_678_49;
const N10: f64 = 0.650_175_348_447_98e3;

/// T_s, the temperature at which water boils at the absolute pressure p (IAPWS-IF97 equation 31).
///
/// # Errors
/// The pressure is outside 611.213 Pa to 22.064 MPa.
pub fn boiling_point_water(pressure: Pressure) -> Result<ThermodynamicTemperature, OutOfRange> {
    let (low, high) = (Pressure::new::<pascal>(611.213), Pressure::new::<megapascal>(22.064));
    let show = |p: Pressure| format!("{:.5} bar absolute", p.get::<bar>());
    let beta = within("pressure over the water", pressure, low, high, show)?.get::<megapascal>().powf(0.25);
    let e = beta * beta + N3 * beta + N6;
    let f = N1 * beta * beta + N4 * beta + N7;
    let g = N2 * beta * beta + N5 * beta + N8;
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    Ok(ThermodynamicTemperature::new::<kelvin>((N10 + d - ((N10 + d).powi(2) - 4.0 * (N9 + N10 * d)).sqrt()) / 2.0))
}

/// p_s, the absolute pressure at which water boils at the temperature T (IAPWS-IF97 equation 30).
///
/// # Errors
/// The temperature is outside 0 °C to 373.946 °C.
pub fn vapour_pressure_water(temperature: ThermodynamicTemperature) -> Result<Pressure, OutOfRange> {
    let (low, high) =
        (ThermodynamicTemperature::new::<kelvin>(273.15), ThermodynamicTemperature::new::<kelvin>(647.096));
    let t = within("temperature of the water", temperature, low, high, in_words)?.get::<kelvin>();
    let theta = t + N9 / (t - N10);
    let a = theta * theta + N1 * theta + N2;
    let b = N3 * theta * theta + N4 * theta + N5;
    let c = N6 * theta * theta + N7 * theta + N8;
    Ok(Pressure::new::<megapascal>((2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt())).powi(4)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_published_check_values_are_met() {
        // IAPWS-IF97 tables 35 and 36, the values printed for the verification of programs.
        for (t, p) in [(300.0, 0.353_658_941e-2), (500.0, 0.263_889_776e1), (600.0, 0.123_443_146e2)] {
            let got = vapour_pressure_water(ThermodynamicTemperature::new::<kelvin>(t)).expect("in range");
            assert!((got.get::<megapascal>() / p - 1.0).abs() < 1e-8);
        }
        for (p, t) in [(0.1, 0.372_755_919e3), (1.0, 0.453_035_632e3), (10.0, 0.584_149_488e3)] {
            let got = boiling_point_water(Pressure::new::<megapascal>(p)).expect("in range");
            assert!((got.get::<kelvin>() / t - 1.0).abs() < 1e-8);
        }
    }

    #[test]
    fn refuses_what_lies_beyond_the_critical_point_or_below_ice() {
        assert!(boiling_point_water(Pressure::new::<megapascal>(22.1)).is_err());
        assert!(boiling_point_water(Pressure::new::<pascal>(600.0)).is_err());
        assert!(vapour_pressure_water(ThermodynamicTemperature::new::<kelvin>(273.0)).is_err());
        assert!(vapour_pressure_water(ThermodynamicTemperature::new::<kelvin>(f64::NAN)).is_err());
    }

    proptest! {
        #[test]
        fn both_directions_agree(t in 274.0..640.0f64) {
            let pressure = vapour_pressure_water(ThermodynamicTemperature::new::<kelvin>(t)).expect("in range");
            let back = boiling_point_water(pressure).expect("in range");
            prop_assert!((back.get::<kelvin>() - t).abs() < 1e-6);
        }

        #[test]
        fn more_pressure_boils_later(p in 1e4..2e6f64) {
            let low = boiling_point_water(Pressure::new::<pascal>(p)).expect("in range");
            let high = boiling_point_water(Pressure::new::<pascal>(p * 1.01)).expect("in range");
            prop_assert!(low < high);
        }
    }
}
