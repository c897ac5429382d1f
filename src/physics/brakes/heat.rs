//! Heat in discs: energy of a stop, bulk rise, cooling, a run of stops.
//!
//! Symbols: E energy, m mass, c specific heat, h heat transfer coefficient, A cooled area, tau cooling time constant.
//! Source: Limpert, Brake Design and Safety (memory).

use uom::si::f64::{
    Area, Energy, HeatTransfer, KinematicViscosity, Length, Mass, Ratio, SpecificHeatCapacity, TemperatureInterval,
    ThermalConductivity, ThermodynamicTemperature, Time, Velocity,
};
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermodynamic_temperature::kelvin;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Energy that the brakes take from the car between two speeds: E = m (v_1^2 - v_2^2) / 2. Turning parts are left out
/// (they add 3 to 10 %), and so is what drag and the engine take.
///
/// # Errors
/// A value is negative, or the second speed above the first.
pub fn braking_energy(mass: Mass, from: Velocity, to: Velocity) -> Result<Energy, OutOfRange> {
    let (from, to) = (not_negative("first speed", from)?, not_negative("last speed", to)?);
    Ok(not_negative("mass", mass)? * not_negative("fall of the square of the speed", from * from - to * to)? / 2.0)
}

/// Bulk rise of a disc or drum that takes up heat and gives none off: dT = E / (m c).
///
/// # Errors
/// The energy is negative, or mass or specific heat not above zero.
pub fn bulk_temperature_rise(
    heat: Energy,
    mass: Mass,
    specific_heat: SpecificHeatCapacity,
) -> Result<TemperatureInterval, OutOfRange> {
    let store = positive("mass of the disc", mass)? * positive("specific heat", specific_heat)?;
    Ok(not_negative("heat", heat)? / store)
}

/// Time constant of a disc's cooling: tau = m c / (h A).
///
/// # Errors
/// A value is not above zero.
pub fn cooling_time_constant(
    mass: Mass,
    specific_heat: SpecificHeatCapacity,
    heat_transfer: HeatTransfer,
    cooled_area: Area,
) -> Result<Time, OutOfRange> {
    let store = positive("mass of the disc", mass)? * positive("specific heat", specific_heat)?;
    Ok(store / (positive("heat transfer coefficient", heat_transfer)? * positive("cooled area", cooled_area)?))
}

/// Heat transfer from the faces of a disc in the air stream: h = 0.70 (k_a / D) Re^0.55 up to Re = 2.4e5, above it
/// 0.04 (k_a / D) Re^0.8, with Re = v D / nu. Source: Limpert, Brake Design and Safety (memory).
///
/// # Errors
/// A value is not above zero, or Re is outside 1e3 to 2e6.
pub fn disc_heat_transfer(
    disc_diameter: Length,
    air_speed: Velocity,
    air_conductivity: ThermalConductivity,
    air_viscosity: KinematicViscosity,
) -> Result<HeatTransfer, OutOfRange> {
    let diameter = positive("disc diameter", disc_diameter)?;
    let flow = positive("air speed", air_speed)?.value * diameter.value;
    let reynolds = Ratio::new::<ratio>(flow / positive("viscosity of the air", air_viscosity)?.value);
    let show = |r: Ratio| format!("{}", r.get::<ratio>());
    let what = "Reynolds number of the disc";
    let re = within(what, reynolds, Ratio::new::<ratio>(1e3), Ratio::new::<ratio>(2e6), show)?.get::<ratio>();
    let nusselt = if re <= 2.4e5 { 0.70 * re.powf(0.55) } else { 0.04 * re.powf(0.8) };
    Ok(positive("conductivity of the air", air_conductivity)? * nusselt / diameter)
}

/// Temperature of a disc after the n-th of n even stops, cooling between them:
/// T_n = T_a + (T_0 - T_a) q^(n-1) + dT (1 - q^n) / (1 - q), q = exp(-t / tau). The first stop starts at T_0; the time
/// of the stops themselves and radiation are left out, which errs to the hot side.
///
/// # Errors
/// Fewer than one stop or more than 1,000; the rise is negative; interval or time constant not above zero.
pub fn fade_temperature(
    start: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    rise_per_stop: TemperatureInterval,
    stops: Ratio,
    interval: Time,
    time_constant: Time,
) -> Result<ThermodynamicTemperature, OutOfRange> {
    let show = |r: Ratio| format!("{}", r.get::<ratio>());
    let (one, most) = (Ratio::new::<ratio>(1.0), Ratio::new::<ratio>(1000.0));
    let n = within("number of stops", stops, one, most, show)?.get::<ratio>();
    let rise = not_negative("rise of one stop", rise_per_stop)?.get::<kelvin_difference>();
    let step = positive("time between stops", interval)? / positive("time constant", time_constant)?;
    let step = step.get::<ratio>();
    let (air, start) = (air.get::<kelvin>(), start.get::<kelvin>());
    let piled = rise * (-n * step).exp_m1() / (-step).exp_m1();
    Ok(ThermodynamicTemperature::new::<kelvin>(air + (start - air) * (-(n - 1.0) * step).exp() + piled))
}

/// Temperatures of a disc right after each of n even stops; see [`fade_temperature`].
///
/// # Errors
/// As [`fade_temperature`]; the number of stops is cut to a whole one.
pub fn fade_run(
    start: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    rise_per_stop: TemperatureInterval,
    stops: Ratio,
    interval: Time,
    time_constant: Time,
) -> Result<Vec<ThermodynamicTemperature>, OutOfRange> {
    fade_temperature(start, air, rise_per_stop, stops, interval, time_constant)?;
    let last = stops.get::<ratio>().floor() as u32;
    let at = |n: u32| {
        let n = Ratio::new::<ratio>(f64::from(n));
        fade_temperature(start, air, rise_per_stop, n, interval, time_constant)
    };
    (1..=last).map(at).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::time::second;

    use super::*;

    fn t(v: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<kelvin>(v)
    }

    fn k(v: f64) -> TemperatureInterval {
        TemperatureInterval::new::<kelvin_difference>(v)
    }

    fn s(v: f64) -> Time {
        Time::new::<second>(v)
    }

    fn n(v: f64) -> Ratio {
        Ratio::new::<ratio>(v)
    }

    #[test]
    fn no_stop_at_all_is_refused() {
        assert!(fade_temperature(t(300.0), t(293.0), k(50.0), n(0.0), s(45.0), s(300.0)).is_err());
    }

    proptest! {
        #[test]
        fn run_agrees_with_stop_by_stop(t0 in 280.0..500.0f64, dt in 5.0..120.0f64, gap in 5.0..120.0f64, tau in 60.0..900.0f64) {
            let run = fade_run(t(t0), t(293.0), k(dt), n(12.0), s(gap), s(tau)).expect("valid");
            let mut now = t0;
            for (i, found) in run.iter().enumerate() {
                if i > 0 {
                    now = 293.0 + (now - 293.0) * (-gap / tau).exp();
                }
                now += dt;
                prop_assert!((found.get::<kelvin>() - now).abs() < 1e-8);
            }
            prop_assert_eq!(run.len(), 12);
        }

        #[test]
        fn energy_is_additive_over_speeds(m in 400.0..3000.0f64, v in 20.0..70.0f64, u in 0.0..20.0f64) {
            let e = |a: f64, b: f64| {
                let v = |x: f64| Velocity::new::<uom::si::velocity::meter_per_second>(x);
                braking_energy(Mass::new::<uom::si::mass::kilogram>(m), v(a), v(b)).expect("valid")
            };
            prop_assert!(((e(v, u) + e(u, 0.0)) / e(v, 0.0)).get::<ratio>() - 1.0 < 1e-12);
        }
    }
}
