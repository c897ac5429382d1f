//! The standard atmosphere: what pressure, temperature and density to expect at the height of the road.

use uom::si::f64::{Length, MassDensity, Pressure, ThermodynamicTemperature};
use uom::si::length::{kilometer, meter};
use uom::si::pressure::pascal;
use uom::si::thermodynamic_temperature::kelvin;

use super::air::air_density;
use super::range::{OutOfRange, within};

/// State of the air around.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirState {
    /// Temperature of the air.
    pub temperature: ThermodynamicTemperature,
    /// Absolute pressure of the air.
    pub pressure: Pressure,
    /// Density of the dry air.
    pub density: MassDensity,
}

/// The standard atmosphere of ISO 2533 (the same as that of 1976) in its lowest layer, at a height above the sea.
///
/// With the geopotential height H = r z / (r + z), r = 6356.766 km: T = 288.15 K - 6.5 K/km H and
/// p = 101325 Pa (T / 288.15 K)^(g / (R L)), g / (R L) = 5.25588.
///
/// # Errors
/// The height is outside -1 km to 11 km, beyond which another layer begins.
pub fn standard_atmosphere(height: Length) -> Result<AirState, OutOfRange> {
    let (low, high) = (Length::new::<kilometer>(-1.0), Length::new::<kilometer>(11.0));
    let height = within("height above the sea", height, low, high, |h| format!("{:.0} m", h.get::<meter>()))?;
    let earth = Length::new::<kilometer>(6356.766);
    let geopotential = earth * height / (earth + height);
    let share = 1.0 - 6.5e-3 * geopotential.get::<meter>() / 288.15;
    let temperature = ThermodynamicTemperature::new::<kelvin>(288.15 * share);
    let pressure = Pressure::new::<pascal>(101_325.0 * share.powf(9.80665 / (287.05287 * 6.5e-3)));
    Ok(AirState { temperature, pressure, density: air_density(pressure, temperature)? })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn refuses_heights_of_other_layers() {
        assert!(standard_atmosphere(Length::new::<kilometer>(11.01)).is_err());
        assert!(standard_atmosphere(Length::new::<kilometer>(-1.01)).is_err());
    }

    proptest! {
        #[test]
        fn everything_falls_with_height(z in -900.0..10_900.0f64) {
            let low = standard_atmosphere(Length::new::<meter>(z)).expect("in range");
            let high = standard_atmosphere(Length::new::<meter>(z + 10.0)).expect("in range");
            prop_assert!(high.pressure < low.pressure && high.density < low.density);
            prop_assert!(high.temperature < low.temperature);
        }
    }
}
