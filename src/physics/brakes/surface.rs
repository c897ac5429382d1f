//! The rubbed surface in one stop: a thick disc, and a plate through which the heat passes.
//!
//! Symbols: q_0 heat flux at the start of a stop, falling evenly to nothing at its end t_s; k conductivity, rho density,
//! c specific heat, alpha = k / (rho c), l thickness. The rises are exact Duhamel integrals; the handbooks' rounded form is
//! Limpert's, Brake Design and Safety (memory).

use std::f64::consts::PI;

use uom::si::f64::{
    Area, Energy, HeatFluxDensity, Length, MassDensity, Ratio, SpecificHeatCapacity, TemperatureInterval,
    ThermalConductivity, Time,
};
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvin_difference;

use crate::physics::range::{OutOfRange, not_negative, positive, within};
use crate::search::root_between;

/// Rise of the rubbed surface in one stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceRise {
    /// Greatest rise above the first temperature: 4 / (3 sqrt(2 pi)) q_0 sqrt(t_s / (k rho c)).
    pub peak: TemperatureInterval,
    /// Moment of the greatest rise, half of the stopping time.
    pub time_of_peak: Time,
    /// The handbooks' rounded form sqrt(5 / 18) q_0 sqrt(t_s / (k rho c)), 0.9 % lower.
    pub handbook: TemperatureInterval,
}

/// Heat flux into one face at the start of a stop at even deceleration: q_0 = 2 E / (A t_s), E the heat into that face.
///
/// # Errors
/// The heat is negative, or area or time not above zero.
pub fn initial_heat_flux(heat_into_face: Energy, face: Area, stop_time: Time) -> Result<HeatFluxDensity, OutOfRange> {
    let divisor = positive("rubbed area", face)? * positive("stopping time", stop_time)?;
    Ok(not_negative("heat", heat_into_face)? * 2.0 / divisor)
}

/// Rise of the surface of a thick disc in one stop: with x = t / t_s the rise is
/// 2 q_0 sqrt(alpha t / pi) / k (1 - 2 x / 3), greatest at x = 1/2.
///
/// # Errors
/// The flux is negative, or another value not above zero.
pub fn surface_temperature_rise(
    initial_flux: HeatFluxDensity,
    stop_time: Time,
    conductivity: ThermalConductivity,
    density: MassDensity,
    specific_heat: SpecificHeatCapacity,
) -> Result<SurfaceRise, OutOfRange> {
    let flux = not_negative("heat flux", initial_flux)?.value;
    let time = positive("stopping time", stop_time)?;
    let effusivity_squared = positive("conductivity", conductivity)?.value
        * positive("density", density)?.value
        * positive("specific heat", specific_heat)?.value;
    let scale = flux * (time.value / effusivity_squared).sqrt();
    let exact = 4.0 / (3.0 * (2.0 * PI).sqrt());
    Ok(SurfaceRise {
        peak: TemperatureInterval::new::<kelvin_difference>(exact * scale),
        time_of_peak: time / 2.0,
        handbook: TemperatureInterval::new::<kelvin_difference>((5.0f64 / 18.0).sqrt() * scale),
    })
}

/// As [`surface_temperature_rise`], for a disc whose half thickness (of one cheek, where vented) is known.
///
/// # Errors
/// As [`surface_temperature_rise`]; the heat has reached the middle plane: k t_s / (rho c l^2) above 0.5.
pub fn disc_surface_temperature_rise(
    initial_flux: HeatFluxDensity,
    stop_time: Time,
    half_thickness: Length,
    conductivity: ThermalConductivity,
    density: MassDensity,
    specific_heat: SpecificHeatCapacity,
) -> Result<SurfaceRise, OutOfRange> {
    let fourier = fourier_number(stop_time, half_thickness, conductivity, density, specific_heat)?;
    let show = |r: Ratio| format!("{}", r.get::<ratio>());
    let what = "Fourier number of the half thickness over the stop";
    within(what, fourier, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(0.5), show)?;
    surface_temperature_rise(initial_flux, stop_time, conductivity, density, specific_heat)
}

/// Surface temperatures of a plate in one stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateRise {
    /// Greatest rise of the rubbed surface above the first temperature.
    pub peak: TemperatureInterval,
    /// Moment of the greatest rise.
    pub time_of_peak: Time,
    /// Rise of the surface at the end of the stop.
    pub at_end: TemperatureInterval,
    /// Rise of the mean temperature of the plate at the end of the stop: q_0 t_s / (2 rho c l).
    pub mean_at_end: TemperatureInterval,
}

/// Rise of the surface of a plate of thickness l in one stop, flux falling evenly from q_0 to nothing, no heat through the
/// other side: half of a solid disc rubbed on both faces, or one cheek of a vented one. With Fo = alpha t / l^2 and the
/// response to a unit flux u(t) = l / k (Fo + 1/3 - 2/pi^2 sum exp(-n^2 pi^2 Fo) / n^2) the rise is
/// q_0 (u(t) - 1/t_s integral of u from 0 to t). Source: Carslaw and Jaeger, Conduction of heat in solids (memory).
///
/// # Errors
/// The flux is negative, or another value not above zero.
pub fn plate_surface_temperature_rise(
    initial_flux: HeatFluxDensity,
    stop_time: Time,
    thickness: Length,
    conductivity: ThermalConductivity,
    density: MassDensity,
    specific_heat: SpecificHeatCapacity,
) -> Result<PlateRise, OutOfRange> {
    let flux = not_negative("heat flux", initial_flux)?.value;
    // Checks every other value; the whole stop's Fourier number scales all that follows.
    let fourier = fourier_number(stop_time, thickness, conductivity, density, specific_heat)?.get::<ratio>();
    let scale = flux * thickness.value / conductivity.value;
    // In parts x of the stop: the surface rises as long as the slope of u exceeds u / t_s.
    // A thick plate is hottest at half the stop, a thinner one later.
    let rising = |x: f64| Ok::<f64, OutOfRange>(fourier * plate_slope(fourier * x) - plate_response(fourier * x));
    let hottest = root_between(0.25, 1.0, rising)?.unwrap_or(1.0);
    let rise = |x: f64| scale * (plate_response(fourier * x) - plate_integral(fourier * x) / fourier);
    Ok(PlateRise {
        peak: TemperatureInterval::new::<kelvin_difference>(rise(hottest)),
        time_of_peak: stop_time * hottest,
        at_end: TemperatureInterval::new::<kelvin_difference>(rise(1.0)),
        mean_at_end: TemperatureInterval::new::<kelvin_difference>(scale * fourier / 2.0),
    })
}

/// Below this Fourier number the far side does not matter, and the series would need many terms.
const THICK: f64 = 1e-3;

/// Sum of exp(-n^2 pi^2 fo) / n^power over n.
fn plate_series(fourier: f64, power: i32) -> f64 {
    let term = |n: i32| (-f64::from(n * n) * PI * PI * fourier).exp() / f64::from(n).powi(power);
    (1..=100).map(term).sum()
}

/// The response to a unit flux over l / k.
fn plate_response(fourier: f64) -> f64 {
    if fourier < THICK {
        return 2.0 * (fourier / PI).sqrt();
    }
    fourier + 1.0 / 3.0 - 2.0 / (PI * PI) * plate_series(fourier, 2)
}

/// The slope of [`plate_response`] by the Fourier number.
fn plate_slope(fourier: f64) -> f64 {
    if fourier < THICK { 1.0 / (PI * fourier).sqrt() } else { 1.0 + 2.0 * plate_series(fourier, 0) }
}

/// The integral of [`plate_response`] over the Fourier number.
fn plate_integral(fourier: f64) -> f64 {
    if fourier < THICK {
        return 4.0 / 3.0 * fourier * (fourier / PI).sqrt();
    }
    let zeta_4 = PI.powi(4) / 90.0;
    fourier * fourier / 2.0 + fourier / 3.0 - 2.0 / PI.powi(4) * (zeta_4 - plate_series(fourier, 4))
}

/// How far heat gets in a time against a thickness: Fo = k t / (rho c l^2).
///
/// # Errors
/// A value is not above zero.
pub fn fourier_number(
    time: Time,
    half_thickness: Length,
    conductivity: ThermalConductivity,
    density: MassDensity,
    specific_heat: SpecificHeatCapacity,
) -> Result<Ratio, OutOfRange> {
    let thickness = positive("half thickness", half_thickness)?.value;
    let store = positive("density", density)?.value * positive("specific heat", specific_heat)?.value;
    let reach = positive("conductivity", conductivity)?.value * positive("time", time)?.value / store;
    Ok(Ratio::new::<ratio>(reach / (thickness * thickness)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::time::second;

    use super::*;

    fn s(v: f64) -> Time {
        Time::new::<second>(v)
    }

    #[test]
    fn thin_cheeks_are_refused_where_heat_passes_through() {
        let (flux, c) = (HeatFluxDensity::new::<uom::si::heat_flux_density::watt_per_square_meter>(2.5e6), 460.0);
        let (k, rho) = (48.0, 7200.0);
        let rise = |half: f64| {
            disc_surface_temperature_rise(
                flux,
                s(4.0),
                Length::new::<uom::si::length::millimeter>(half),
                ThermalConductivity::new::<uom::si::thermal_conductivity::watt_per_meter_kelvin>(k),
                MassDensity::new::<uom::si::mass_density::kilogram_per_cubic_meter>(rho),
                SpecificHeatCapacity::new::<uom::si::specific_heat_capacity::joule_per_kilogram_kelvin>(c),
            )
        };
        // alpha t = 1.449e-5 * 4; Fo = 0.5 at l = 10.77 mm.
        assert!(rise(10.7).is_err());
        assert!(rise(10.8).is_ok());
    }

    fn plate(flux: f64, time: f64, thickness: f64) -> PlateRise {
        plate_surface_temperature_rise(
            HeatFluxDensity::new::<uom::si::heat_flux_density::watt_per_square_meter>(flux),
            s(time),
            Length::new::<uom::si::length::millimeter>(thickness),
            ThermalConductivity::new::<uom::si::thermal_conductivity::watt_per_meter_kelvin>(48.0),
            MassDensity::new::<uom::si::mass_density::kilogram_per_cubic_meter>(7200.0),
            SpecificHeatCapacity::new::<uom::si::specific_heat_capacity::joule_per_kilogram_kelvin>(460.0),
        )
        .expect("valid")
    }

    #[test]
    fn a_very_thick_plate_is_a_half_space() {
        // brake-heat-03: 210.93713 K at 2 s.
        let rise = plate(2.5e6, 4.0, 400.0);
        assert!((rise.peak.get::<kelvin_difference>() - 210.937_13).abs() < 1e-3);
        assert!((rise.time_of_peak.get::<second>() - 2.0).abs() < 1e-6);
    }

    proptest! {
        #[test]
        fn surface_is_hotter_than_the_mean_and_ends_near_it_when_thin(time in 0.5..9.0f64, thickness in 2.0..40.0f64) {
            let rise = plate(2.5e6, time, thickness);
            prop_assert!(rise.peak >= rise.mean_at_end);
            prop_assert!(rise.peak >= rise.at_end);
            let fourier = 48.0 / (7200.0 * 460.0) * time / (thickness * thickness * 1e-6);
            // Late in a long stop the surface leads the mean by q_0 l / k times (0 - 1/3 of what the flux has lost since).
            if fourier > 5.0 {
                let lead = (rise.at_end - rise.mean_at_end).get::<kelvin_difference>().abs();
                prop_assert!(lead < 0.05 * rise.mean_at_end.get::<kelvin_difference>());
            }
        }
    }
}
