//! How much fuel an engine asks for, and how long its injectors stay open to give it.

use uom::si::angle::revolution;
use uom::si::angular_velocity::radian_per_second;
use uom::si::available_energy::joule_per_kilogram;
use uom::si::f64::{
    AngularVelocity, AvailableEnergy, MassDensity, MassPerEnergy, MassRate, Power, Pressure, Ratio, Time, Volume,
    VolumeRate,
};
use uom::si::mass_per_energy::kilogram_per_joule;
use uom::si::ratio::ratio;
use uom::si::time::second;

use super::range::{OutOfRange, not_negative, positive};

/// Mass of fuel per time: `m = P b`, with the brake power `P` and the brake specific consumption `b`.
#[must_use]
pub fn fuel_mass_flow(power: Power, specific_consumption: MassPerEnergy) -> MassRate {
    power * specific_consumption
}

/// Volume of fuel per time: `Q = P b / rho`.
///
/// # Errors
/// The density is not above zero.
pub fn fuel_volume_flow(
    power: Power,
    specific_consumption: MassPerEnergy,
    density: MassDensity,
) -> Result<VolumeRate, OutOfRange> {
    Ok(fuel_mass_flow(power, specific_consumption) / positive("density", density)?)
}

/// Brake specific consumption from a measured fuel flow: `b = m / P`.
///
/// # Errors
/// The power is not above zero.
pub fn specific_consumption(mass_flow: MassRate, power: Power) -> Result<MassPerEnergy, OutOfRange> {
    Ok(mass_flow / positive("power", power)?)
}

/// Brake thermal efficiency: `eta = 1 / (b H)`, with the lower heating value `H` of the fuel.
///
/// # Errors
/// The consumption or the heating value is not above zero.
pub fn brake_thermal_efficiency(
    specific_consumption: MassPerEnergy,
    heating_value: AvailableEnergy,
) -> Result<Ratio, OutOfRange> {
    let use_ = positive("specific consumption", specific_consumption)?.get::<kilogram_per_joule>();
    let heat = positive("heating value", heating_value)?.get::<joule_per_kilogram>();
    Ok(Ratio::new::<ratio>(1.0 / (use_ * heat)))
}

/// Static flow of an injector at another pressure: `Q = Q0 sqrt(dp / dp0)`, the law of an orifice. The pressures are
/// the differences across the injector: rail less manifold.
///
/// # Errors
/// The rated difference is not above zero; the new one is below zero.
pub fn injector_flow(
    static_flow: VolumeRate,
    rated_difference: Pressure,
    pressure_difference: Pressure,
) -> Result<VolumeRate, OutOfRange> {
    let rated = positive("rated pressure across the injector", rated_difference)?;
    let difference = not_negative("pressure across the injector", pressure_difference)?;
    let share: Ratio = difference / rated;
    Ok(static_flow * share.get::<ratio>().sqrt())
}

/// Share of the time for which the injectors have to be open: `D = Q / (n Qi)`, with the engine's demand `Q`, the
/// number `n` of injectors and the flow `Qi` of each when open. Above 1 the injectors are too small.
///
/// # Errors
/// The number or the flow is not above zero.
pub fn injector_duty(demand: VolumeRate, injectors: Ratio, flow_of_each: VolumeRate) -> Result<Ratio, OutOfRange> {
    let all = positive("number of injectors", injectors)? * positive("flow of an injector", flow_of_each)?;
    Ok(demand / all)
}

/// Time between two openings of an injector: `T = n 2 pi / w`, with the number `n` of turns of the crankshaft from
/// one opening to the next (2 for sequential injection into a four-stroke).
///
/// # Errors
/// The engine speed or the number of turns is not above zero.
pub fn injection_period(engine_speed: AngularVelocity, turns: Ratio) -> Result<Time, OutOfRange> {
    let speed = positive("engine speed", engine_speed)?.get::<radian_per_second>();
    let turn = uom::si::f64::Angle::new::<revolution>(positive("turns between injections", turns)?.get::<ratio>());
    Ok(Time::new::<second>(turn.value / speed))
}

/// Time for which an injector has to flow in each cycle: `t = D T`, without its dead time.
///
/// # Errors
/// As [`injection_period`].
pub fn injector_pulse_width(duty: Ratio, engine_speed: AngularVelocity, turns: Ratio) -> Result<Time, OutOfRange> {
    Ok(injection_period(engine_speed, turns)? * duty)
}

/// Duty that the injector's driver has to command: `D + t0 / T`, the flowing share and the dead time `t0` in which
/// the needle moves.
///
/// # Errors
/// As [`injection_period`]; a dead time below zero.
pub fn commanded_duty(
    duty: Ratio,
    dead_time: Time,
    engine_speed: AngularVelocity,
    turns: Ratio,
) -> Result<Ratio, OutOfRange> {
    Ok(duty + not_negative("dead time", dead_time)? / injection_period(engine_speed, turns)?)
}

/// Time for which a collector feeds the engine when nothing flows in: `t = V / Q`.
///
/// # Errors
/// The flow is not above zero.
pub fn dwell_time(volume: Volume, flow: VolumeRate) -> Result<Time, OutOfRange> {
    Ok(not_negative("volume", volume)? / positive("flow", flow)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::mass_density::kilogram_per_cubic_meter;
    use uom::si::power::kilowatt;
    use uom::si::pressure::bar;
    use uom::si::time::millisecond;
    use uom::si::volume_rate::liter_per_minute;

    use super::*;

    fn share(value: f64) -> Ratio {
        Ratio::new::<ratio>(value)
    }

    fn rpm(value: f64) -> AngularVelocity {
        AngularVelocity::new::<revolution_per_minute>(value)
    }

    #[test]
    fn a_four_stroke_at_6000_opens_every_20_ms() {
        let period = injection_period(rpm(6000.0), share(2.0)).expect("in range");
        assert!((period.get::<millisecond>() - 20.0).abs() < 1e-9);
        let commanded = commanded_duty(share(0.7), Time::new::<millisecond>(1.0), rpm(6000.0), share(2.0));
        assert!((commanded.expect("in range").get::<ratio>() - 0.75).abs() < 1e-12);
    }

    #[test]
    fn nothing_divides_by_nothing() {
        let none = VolumeRate::default();
        assert!(injector_duty(none, share(4.0), none).is_err());
        assert!(dwell_time(Volume::default(), none).is_err());
        assert!(injection_period(rpm(0.0), share(2.0)).is_err());
        assert!(specific_consumption(MassRate::default(), Power::default()).is_err());
    }

    proptest! {
        #[test]
        fn demand_scales_with_power_and_consumption(
            kw in 10.0_f64..600.0,
            g_per_kwh in 200.0_f64..800.0,
            factor in 0.5_f64..2.0,
        ) {
            let b = MassPerEnergy::new::<kilogram_per_joule>(g_per_kwh / 3.6e9);
            let rho = MassDensity::new::<kilogram_per_cubic_meter>(745.0);
            let power = Power::new::<kilowatt>(kw);
            let base = fuel_volume_flow(power, b, rho).expect("in range");
            let more = fuel_volume_flow(power * factor, b, rho).expect("in range");
            prop_assert!((more.value / base.value / factor - 1.0).abs() < 1e-12);
            let back = specific_consumption(fuel_mass_flow(power, b), power).expect("in range");
            prop_assert!((back.value / b.value - 1.0).abs() < 1e-12);
        }

        #[test]
        fn four_times_the_pressure_is_twice_the_flow(dp in 0.5_f64..5.0, q in 5.0_f64..60.0) {
            let flow = VolumeRate::new::<liter_per_minute>(q / 60.0);
            let rated = Pressure::new::<bar>(dp);
            let doubled = injector_flow(flow, rated, rated * 4.0).expect("in range");
            prop_assert!((doubled.value / flow.value - 2.0).abs() < 1e-12);
            prop_assert_eq!(injector_flow(flow, rated, rated).expect("in range"), flow);
        }

        #[test]
        fn twice_the_injectors_is_half_the_duty(n in 1.0_f64..8.0, q in 5.0_f64..60.0, demand in 1.0_f64..200.0) {
            let each = VolumeRate::new::<liter_per_minute>(q / 60.0);
            let all = VolumeRate::new::<liter_per_minute>(demand / 60.0);
            let one = injector_duty(all, share(n), each).expect("in range");
            let two = injector_duty(all, share(2.0 * n), each).expect("in range");
            prop_assert!((one.value / two.value - 2.0).abs() < 1e-12);
        }
    }
}
