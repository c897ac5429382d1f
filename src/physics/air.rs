//! Properties of dry air: what coolers, ducts, intakes and drag are reckoned with.
//!
//! In come absolute pressures and temperatures; out go density, heat capacity, viscosity, conductivity and the speed of
//! sound. Moisture is left out: at 40 °C and saturation it lowers the density by 3 %.

use uom::si::dynamic_viscosity::pascal_second;
use uom::si::f64::{
    DynamicViscosity, MassDensity, Pressure, Ratio, SpecificHeatCapacity, ThermalConductivity,
    ThermodynamicTemperature, Velocity,
};
use uom::si::specific_heat_capacity::joule_per_kilogram_kelvin;
use uom::si::thermal_conductivity::watt_per_meter_kelvin;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

use super::range::{OutOfRange, positive, within};
use super::temperature::{above_absolute_zero, in_words};

/// R, the specific gas constant of dry air: 287.05 J/(kg K) (ISO 2533, clause 2).
pub fn gas_constant_of_air() -> SpecificHeatCapacity {
    SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(287.05)
}

/// ρ = p / (R T), density of dry air at the absolute pressure p and the temperature T, as an ideal gas; within 0.4 % of
/// the real gas up to 2.5 bar and from -40 to 400 °C.
///
/// # Errors
/// The pressure or the temperature is not above zero.
pub fn air_density(pressure: Pressure, temperature: ThermodynamicTemperature) -> Result<MassDensity, OutOfRange> {
    gas_density(pressure, temperature, gas_constant_of_air())
}

/// ρ = p / (R T), density of an ideal gas of the specific gas constant R at the absolute pressure p and the
/// temperature T.
///
/// # Errors
/// The pressure, the temperature or the gas constant is not above zero.
pub fn gas_density(
    pressure: Pressure,
    temperature: ThermodynamicTemperature,
    gas_constant: SpecificHeatCapacity,
) -> Result<MassDensity, OutOfRange> {
    let pressure = positive("absolute pressure of the gas", pressure)?;
    let temperature = above_absolute_zero(positive("temperature of the gas", temperature)?);
    Ok(pressure / (positive("gas constant", gas_constant)? * temperature))
}

/// a = √(γ R T), speed of sound in an ideal gas of heat ratio γ and specific gas constant R at the temperature T.
///
/// # Errors
/// The temperature or the gas constant is not above zero, or the heat ratio is not between 1 and 5/3.
pub fn speed_of_sound(
    temperature: ThermodynamicTemperature,
    gas_constant: SpecificHeatCapacity,
    heat_ratio: Ratio,
) -> Result<Velocity, OutOfRange> {
    let show = |r: Ratio| r.value.to_string();
    let heat_ratio = within("heat ratio", heat_ratio, Ratio::from(1.0), Ratio::from(5.0 / 3.0), show)?;
    let temperature = above_absolute_zero(positive("temperature of the gas", temperature)?);
    Ok((heat_ratio * positive("gas constant", gas_constant)? * temperature).sqrt())
}

/// c_p of dry air, within 0.04 % of the equation of state of Lemmon et al. (2000) at 1 atm, from -40 to 400 °C: a cubic
/// in T fitted to CoolProp 8.0.0.
///
/// # Errors
/// The temperature is outside -40 to 400 °C.
pub fn air_specific_heat(temperature: ThermodynamicTemperature) -> Result<SpecificHeatCapacity, OutOfRange> {
    let value = cubic([1006.17983, 3.54853393, 4.87385864, -0.356387827], temperature)?;
    Ok(SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(value))
}

/// μ, dynamic viscosity of dry air, within 0.1 % of Lemmon and Jacobsen (2004) at 1 atm, from -40 to 400 °C: a cubic
/// in T fitted to CoolProp 8.0.0.
///
/// # Errors
/// The temperature is outside -40 to 400 °C.
pub fn air_viscosity(temperature: ThermodynamicTemperature) -> Result<DynamicViscosity, OutOfRange> {
    let value = cubic([1.85311729e-5, 4.81707175e-6, -3.11610782e-7, 2.16928637e-8], temperature)?;
    Ok(DynamicViscosity::new::<pascal_second>(value))
}

/// λ, thermal conductivity of dry air, within 0.1 % of Lemmon and Jacobsen (2004) at 1 atm, from -40 to 400 °C: a cubic
/// in T fitted to CoolProp 8.0.0.
///
/// # Errors
/// The temperature is outside -40 to 400 °C.
pub fn air_conductivity(temperature: ThermodynamicTemperature) -> Result<ThermalConductivity, OutOfRange> {
    let value = cubic([2.63774726e-2, 7.42487574e-3, -3.71779844e-4, 2.58987108e-5], temperature)?;
    Ok(ThermalConductivity::new::<watt_per_meter_kelvin>(value))
}

/// The cubic c0 + c1 x + c2 x² + c3 x³ in x = (T - 300 K) / 100 K, for temperatures inside the range of the fits.
fn cubic([c0, c1, c2, c3]: [f64; 4], temperature: ThermodynamicTemperature) -> Result<f64, OutOfRange> {
    let low = ThermodynamicTemperature::new::<degree_celsius>(-40.0);
    let high = ThermodynamicTemperature::new::<degree_celsius>(400.0);
    let x = (within("temperature of the air", temperature, low, high, in_words)?.get::<kelvin>() - 300.0) / 100.0;
    Ok(c0 + x * (c1 + x * (c2 + x * c3)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::pressure::pascal;

    use super::*;

    fn celsius(value: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(value)
    }

    #[test]
    fn sound_in_air_at_15_degrees_is_that_of_iso_2533() {
        let speed = speed_of_sound(celsius(15.0), gas_constant_of_air(), Ratio::from(1.4)).expect("in range");
        assert!((speed.value - 340.294).abs() < 0.01, "{}", speed.value); // ISO 2533 sea level (memory)
    }

    #[test]
    fn refuses_what_the_fits_do_not_cover() {
        assert!(air_specific_heat(celsius(-41.0)).is_err());
        assert!(air_viscosity(celsius(401.0)).is_err());
        assert!(air_density(Pressure::new::<pascal>(0.0), celsius(20.0)).is_err());
        assert!(speed_of_sound(celsius(20.0), gas_constant_of_air(), Ratio::from(0.9)).is_err());
    }

    proptest! {
        #[test]
        fn density_is_proportional_to_pressure_and_falls_with_heat(p in 5e4..5e5f64, t in -40.0..400.0f64) {
            let one = air_density(Pressure::new::<pascal>(p), celsius(t)).expect("in range");
            let two = air_density(Pressure::new::<pascal>(2.0 * p), celsius(t)).expect("in range");
            let hotter = air_density(Pressure::new::<pascal>(p), celsius(t + 1.0)).expect("in range");
            prop_assert!(((two / one).value - 2.0).abs() < 1e-12);
            prop_assert!(hotter < one);
        }

        #[test]
        fn viscosity_and_conductivity_grow_with_heat(t in -40.0..399.0f64) {
            prop_assert!(air_viscosity(celsius(t)).ok() < air_viscosity(celsius(t + 1.0)).ok());
            prop_assert!(air_conductivity(celsius(t)).ok() < air_conductivity(celsius(t + 1.0)).ok());
        }
    }
}
