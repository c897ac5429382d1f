//! Gas in intake and exhaust pipes: density, speed, Mach number, and the bore for a wanted Mach number.
//!
//! Exhaust has a gas constant R of 287 J/(kg K) and a heat ratio γ of 1.35 near enough, air 287.05 J/(kg K) and 1.4.
//! Means are over a cycle. In a pipe that serves one cylinder the speed during its stroke is about four times the
//! mean.

use uom::si::f64::{
    Area, Length, MassDensity, MassRate, Pressure, Ratio, SpecificHeatCapacity, ThermodynamicTemperature, Velocity,
};

use crate::physics::air::{gas_density, speed_of_sound};
use crate::physics::range::{OutOfRange, not_negative, positive};

/// Gas flowing in a pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasFlow {
    /// Density of the gas.
    pub density: MassDensity,
    /// Mean speed.
    pub speed: Velocity,
    /// Mean speed over the speed of sound in the gas.
    pub mach: Ratio,
}

/// Mean speed v = m / (n ρ A) of the mass flow m through n equal round pipes in parallel, and its Mach number.
///
/// # Errors
/// The mass flow is negative, the state, the bore or the number of pipes is not above zero, or the heat ratio is not
/// between 1 and 5/3.
pub fn gas_flow(
    mass_flow: MassRate,
    pressure: Pressure,
    temperature: ThermodynamicTemperature,
    gas_constant: SpecificHeatCapacity,
    heat_ratio: Ratio,
    bore: Length,
    pipes: Ratio,
) -> Result<GasFlow, OutOfRange> {
    let density = gas_density(pressure, temperature, gas_constant)?;
    let bore = positive("bore of the pipe", bore)?;
    let area: Area = bore * bore * (std::f64::consts::PI / 4.0) * positive("number of pipes", pipes)?;
    let speed: Velocity = not_negative("mass flow", mass_flow)? / (density * area);
    let mach = speed / speed_of_sound(temperature, gas_constant, heat_ratio)?;
    Ok(GasFlow { density, speed, mach })
}

/// The bore of each of n equal pipes in which the mass flow has the Mach number M: d = √(4 m / (π n ρ M a)).
///
/// # Errors
/// The mass flow or the Mach number is not above zero, and the errors of [`gas_flow`].
pub fn bore_for_mach(
    mass_flow: MassRate,
    pressure: Pressure,
    temperature: ThermodynamicTemperature,
    gas_constant: SpecificHeatCapacity,
    heat_ratio: Ratio,
    mach: Ratio,
    pipes: Ratio,
) -> Result<Length, OutOfRange> {
    let density = gas_density(pressure, temperature, gas_constant)?;
    let sound = speed_of_sound(temperature, gas_constant, heat_ratio)?;
    let speed = positive("Mach number", mach)? * sound;
    let area: Area = positive("mass flow", mass_flow)? / (density * speed * positive("number of pipes", pipes)?);
    Ok((area * (4.0 / std::f64::consts::PI)).sqrt())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;
    use uom::si::mass_rate::kilogram_per_second;
    use uom::si::pressure::kilopascal;
    use uom::si::specific_heat_capacity::joule_per_kilogram_kelvin;
    use uom::si::thermodynamic_temperature::degree_celsius;

    use super::*;

    /// Exhaust gas at 115 kPa.
    fn flow(kilograms_each_second: f64, temperature: f64, bore: Length, pipes: f64) -> Result<GasFlow, OutOfRange> {
        gas_flow(
            MassRate::new::<kilogram_per_second>(kilograms_each_second),
            Pressure::new::<kilopascal>(115.0),
            ThermodynamicTemperature::new::<degree_celsius>(temperature),
            SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(287.0),
            Ratio::from(1.35),
            bore,
            Ratio::from(pipes),
        )
    }

    #[test]
    fn refuses_absolute_cold_and_a_closed_pipe() {
        assert!(flow(0.1, 800.0, Length::new::<millimeter>(0.0), 1.0).is_err());
        assert!(flow(0.1, -273.15, Length::new::<millimeter>(50.0), 1.0).is_err());
        assert!(flow(-0.1, 800.0, Length::new::<millimeter>(50.0), 1.0).is_err());
    }

    proptest! {
        #[test]
        fn the_bore_gives_back_its_mach_number(
            m in 0.01..0.6f64, mach in 0.05..0.5f64, pipes in 1..8u32, t in 200.0..950.0f64,
        ) {
            let bore = bore_for_mach(
                MassRate::new::<kilogram_per_second>(m),
                Pressure::new::<kilopascal>(115.0),
                ThermodynamicTemperature::new::<degree_celsius>(t),
                SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(287.0),
                Ratio::from(1.35),
                Ratio::from(mach),
                Ratio::from(f64::from(pipes)),
            ).expect("in range");
            let back = flow(m, t, bore, f64::from(pipes)).expect("in range");
            prop_assert!((back.mach.value / mach - 1.0).abs() < 1e-9);
        }

        #[test]
        fn two_pipes_halve_the_speed_and_heat_raises_it(m in 0.01..0.6f64, d in 30.0..90.0f64, t in 200.0..900.0f64) {
            let at = |pipes: f64, t: f64| flow(m, t, Length::new::<millimeter>(d), pipes).expect("in range").speed;
            prop_assert!(((at(1.0, t) / at(2.0, t)).value - 2.0).abs() < 1e-9);
            prop_assert!(at(1.0, t + 50.0) > at(1.0, t));
        }
    }
}
