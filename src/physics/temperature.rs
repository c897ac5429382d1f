//! Temperatures as `uom` has them are points on a scale and differences of points; this is the one place where the
//! computations go from the first to the second.

use uom::si::f64::{TemperatureInterval, ThermodynamicTemperature};
use uom::si::temperature_interval::kelvin as kelvin_apart;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

/// How much hotter `hot` is than `cold`; negative if it is colder.
pub fn difference(hot: ThermodynamicTemperature, cold: ThermodynamicTemperature) -> TemperatureInterval {
    TemperatureInterval::new::<kelvin_apart>(hot.get::<kelvin>() - cold.get::<kelvin>())
}

/// The height of a temperature above absolute zero, as products such as R T need it.
pub fn above_absolute_zero(temperature: ThermodynamicTemperature) -> TemperatureInterval {
    TemperatureInterval::new::<kelvin_apart>(temperature.get::<kelvin>())
}

/// The temperature in words, for messages.
pub(crate) fn in_words(temperature: ThermodynamicTemperature) -> String {
    format!("{:.1} °C", temperature.get::<degree_celsius>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_has_a_sign() {
        let warm = ThermodynamicTemperature::new::<degree_celsius>(35.0);
        let hot = ThermodynamicTemperature::new::<degree_celsius>(95.0);
        assert!((difference(hot, warm).value - 60.0).abs() < 1e-9);
        assert!((difference(warm, hot).value + 60.0).abs() < 1e-9);
    }
}
