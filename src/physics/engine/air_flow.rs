//! What an engine breathes: air and fuel flow from displacement and speed, exhaust flow, piston speed, firing
//! frequency.

use std::f64::consts::TAU;

use uom::si::f64::{AngularVelocity, Frequency, Length, MassDensity, MassRate, Ratio, Velocity, Volume, VolumeRate};
use uom::si::frequency::hertz;

use crate::physics::range::{OutOfRange, not_negative, positive};

/// Air and fuel that an engine takes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineAirFlow {
    /// Volume flow of the air, at the density that was given.
    pub volume_flow: VolumeRate,
    /// Mass flow of the air.
    pub mass_flow: MassRate,
    /// Mass flow of the fuel.
    pub fuel_flow: MassRate,
    /// Mass flow of the exhaust: air and fuel.
    pub exhaust_flow: MassRate,
}

/// Air flow V = η D n / i, with the displacement D, the speed n in turns per time, i turns per cycle (2 for a
/// four-stroke) and the volumetric efficiency η, which refers to the air density ρ; fuel flow ρ V / λ', λ' the air-fuel
/// ratio by mass.
///
/// # Errors
/// The speed is negative, or another argument is not above zero.
pub fn engine_air_flow(
    displacement: Volume,
    engine_speed: AngularVelocity,
    turns_per_cycle: Ratio,
    volumetric_efficiency: Ratio,
    air_density: MassDensity,
    air_fuel_ratio: Ratio,
) -> Result<EngineAirFlow, OutOfRange> {
    let swept = positive("displacement", displacement)? * positive("volumetric efficiency", volumetric_efficiency)?;
    let cycles = turns_per_time(engine_speed)? / positive("turns per cycle", turns_per_cycle)?;
    let volume_flow: VolumeRate = swept * cycles;
    let mass_flow: MassRate = volume_flow * positive("density of the air", air_density)?;
    let fuel_flow = mass_flow / positive("air-fuel ratio", air_fuel_ratio)?;
    Ok(EngineAirFlow { volume_flow, mass_flow, fuel_flow, exhaust_flow: mass_flow + fuel_flow })
}

/// Mean speed of the piston, v = 2 s n, with the stroke s.
///
/// # Errors
/// The stroke is not above zero, or the speed is negative.
pub fn piston_speed(stroke: Length, engine_speed: AngularVelocity) -> Result<Velocity, OutOfRange> {
    Ok(positive("stroke", stroke)? * 2.0 * turns_per_time(engine_speed)?)
}

/// The engine speed at which the piston has the mean speed v: n = v / (2 s), as stationary sound tests prescribe.
///
/// # Errors
/// The stroke is not above zero, or the piston's speed is negative.
pub fn engine_speed_at_piston_speed(stroke: Length, piston_speed: Velocity) -> Result<AngularVelocity, OutOfRange> {
    let turns: Frequency = not_negative("piston speed", piston_speed)? / (positive("stroke", stroke)? * 2.0);
    Ok((turns * TAU).into())
}

/// How often a cylinder fires: f = z n / i, with z cylinders and i turns per cycle.
///
/// # Errors
/// The number of cylinders or of turns is not above zero, or the speed is negative.
pub fn firing_frequency(
    engine_speed: AngularVelocity,
    cylinders: Ratio,
    turns_per_cycle: Ratio,
) -> Result<Frequency, OutOfRange> {
    let cylinders = positive("number of cylinders", cylinders)?;
    Ok(turns_per_time(engine_speed)? * cylinders / positive("turns per cycle", turns_per_cycle)?)
}

fn turns_per_time(engine_speed: AngularVelocity) -> Result<Frequency, OutOfRange> {
    Ok(Frequency::new::<hertz>(not_negative("engine speed", engine_speed)?.value / TAU))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::length::millimeter;
    use uom::si::mass_density::kilogram_per_cubic_meter;
    use uom::si::velocity::meter_per_second;
    use uom::si::volume::cubic_centimeter;

    use super::*;

    fn rpm(value: f64) -> AngularVelocity {
        AngularVelocity::new::<revolution_per_minute>(value)
    }

    #[test]
    fn four_cylinders_fire_twice_a_turn() {
        let fires = firing_frequency(rpm(3000.0), Ratio::from(4.0), Ratio::from(2.0)).expect("in range");
        assert!((fires.get::<hertz>() - 100.0).abs() < 1e-9);
    }

    #[test]
    fn a_test_at_914_m_per_minute_is_turned_into_engine_speed() {
        // Formula SAE Rules 2026 IN.12.5 (read): (914.4 m/min) / (2 x stroke), here 60.9624 mm.
        let speed = engine_speed_at_piston_speed(
            Length::new::<millimeter>(60.96),
            Velocity::new::<meter_per_second>(914.4 / 60.0),
        );
        assert!(speed.is_ok_and(|n| (n.get::<revolution_per_minute>() - 7500.0).abs() < 0.1));
    }

    #[test]
    fn refuses_no_engine() {
        let density = MassDensity::new::<kilogram_per_cubic_meter>(1.2);
        let (one, two) = (Ratio::from(1.0), Ratio::from(2.0));
        let none =
            engine_air_flow(Volume::new::<cubic_centimeter>(0.0), rpm(3000.0), two, one, density, Ratio::from(14.7));
        assert!(none.is_err());
        assert!(piston_speed(Length::new::<millimeter>(-80.0), rpm(3000.0)).is_err());
    }

    proptest! {
        #[test]
        fn flow_scales_with_displacement_and_speed(d in 200.0..8000.0f64, n in 500.0..12_000.0f64, k in 1.1..3.0f64) {
            let density = MassDensity::new::<kilogram_per_cubic_meter>(1.18);
            let flow = |d: f64, n: f64| engine_air_flow(
                Volume::new::<cubic_centimeter>(d), rpm(n), Ratio::from(2.0), Ratio::from(0.9), density,
                Ratio::from(13.0),
            ).expect("in range");
            prop_assert!(((flow(d * k, n).mass_flow / flow(d, n).mass_flow).value / k - 1.0).abs() < 1e-9);
            prop_assert!(((flow(d, n * k).mass_flow / flow(d, n).mass_flow).value / k - 1.0).abs() < 1e-9);
            prop_assert!((flow(d, n).exhaust_flow - flow(d, n).mass_flow - flow(d, n).fuel_flow).value.abs() < 1e-12);
        }

        #[test]
        fn piston_speed_goes_both_ways(stroke in 40.0..120.0f64, n in 500.0..12_000.0f64) {
            let stroke = Length::new::<millimeter>(stroke);
            let back = engine_speed_at_piston_speed(stroke, piston_speed(stroke, rpm(n)).expect("in range"));
            prop_assert!(back.is_ok_and(|b| ((b / rpm(n)).value - 1.0).abs() < 1e-9));
        }
    }
}
