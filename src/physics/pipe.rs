//! Steady flow of a liquid through a round line: speed, Reynolds number, friction, and what pressure it costs.
//!
//! Lines of fuel, coolant and oil come in as bore, length, roughness and flow. Friction factors are Darcy's, which
//! are four times Fanning's.

use std::f64::consts::PI;

use uom::si::f64::{Acceleration, Area, DynamicViscosity, Length, MassDensity, Pressure, Ratio, Velocity, VolumeRate};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, not_negative, positive, within};

/// Reynolds number below which the flow in a line is laminar (Avila et al., Science 333, 2011: 2040).
const LAMINAR_TO: f64 = 2040.0;
/// Reynolds number above which the flow is taken as fully turbulent.
const TURBULENT_FROM: f64 = 4000.0;
/// Highest Reynolds number of the Moody chart.
const REYNOLDS_MOST: f64 = 1e8;
/// Greatest relative roughness of the Moody chart.
const ROUGHNESS_MOST: f64 = 0.05;

/// The state of flow that a friction factor rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regime {
    /// Reynolds number below 2040: friction follows from viscosity alone.
    Laminar,
    /// Between 2040 and 4000: the flow may be either; the turbulent, greater friction is used.
    Transition,
    /// Above 4000.
    Turbulent,
}

impl Regime {
    /// The regime at a Reynolds number.
    #[must_use]
    pub fn at(reynolds: Ratio) -> Regime {
        let re = reynolds.get::<ratio>();
        if re < LAMINAR_TO {
            Regime::Laminar
        } else if re <= TURBULENT_FROM {
            Regime::Transition
        } else {
            Regime::Turbulent
        }
    }
}

/// Flow through a line, and what it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PipeFlow {
    /// Mean speed over the bore.
    pub velocity: Velocity,
    /// Reynolds number.
    pub reynolds: Ratio,
    /// Darcy friction factor.
    pub friction_factor: Ratio,
    /// Loss by friction along the length.
    pub friction_loss: Pressure,
    /// Loss in entries, bends, fittings, valves.
    pub fitting_loss: Pressure,
    /// Both losses together.
    pub pressure_loss: Pressure,
    /// Whether the flow may be either laminar or turbulent, see [`Regime::Transition`]; the friction is then the greater.
    pub in_transition: bool,
}

/// Area of a round bore: `A = pi d^2 / 4`.
#[must_use]
pub fn bore_area(inner_diameter: Length) -> Area {
    inner_diameter * inner_diameter * (PI / 4.0)
}

/// Mean speed in a line: `v = Q / A`, with the flow `Q` and the bore's area `A`.
///
/// # Errors
/// The diameter is not above zero.
pub fn flow_velocity(volume_flow: VolumeRate, inner_diameter: Length) -> Result<Velocity, OutOfRange> {
    Ok(volume_flow / bore_area(positive("inner diameter", inner_diameter)?))
}

/// Reynolds number `Re = rho v d / mu` of the density `rho`, the speed `v`, the bore `d` and the dynamic viscosity
/// `mu`.
///
/// # Errors
/// The viscosity is not above zero.
pub fn reynolds_number(
    velocity: Velocity,
    inner_diameter: Length,
    density: MassDensity,
    viscosity: DynamicViscosity,
) -> Result<Ratio, OutOfRange> {
    let viscosity = positive("viscosity", viscosity)?;
    Ok(density * velocity.abs() * inner_diameter / viscosity)
}

/// Darcy friction factor of a round line.
///
/// Laminar (`Re < 2040`): `f = 64 / Re`. Above: the equation of Colebrook, `1/sqrt(f) = -2 log10( (e/d)/3.7 + 2.51 /
/// (Re sqrt(f)) )`, solved to the last digits. Between 2040 and 4000 the flow may be either; Colebrook's greater
/// value is given, and [`Regime::at`] says so.
///
/// Source: Colebrook, J. Inst. Civ. Eng. 11 (1939); the Moody chart's range.
///
/// # Errors
/// Reynolds number not above zero or over 1e8; relative roughness below zero or over 0.05.
pub fn darcy_friction_factor(reynolds: Ratio, relative_roughness: Ratio) -> Result<Ratio, OutOfRange> {
    let plain = |r: Ratio| format!("{:e}", r.get::<ratio>());
    let re = positive("Reynolds number", reynolds)?.get::<ratio>();
    within("Reynolds number", reynolds, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(REYNOLDS_MOST), plain)?;
    let rough = within(
        "relative roughness",
        relative_roughness,
        Ratio::new::<ratio>(0.0),
        Ratio::new::<ratio>(ROUGHNESS_MOST),
        plain,
    )?
    .get::<ratio>();
    if Regime::at(reynolds) == Regime::Laminar {
        return Ok(Ratio::new::<ratio>(64.0 / re));
    }
    // Newton on x = 1/sqrt(f): F(x) = x + 2 log10(a + b x) has F' > 0 everywhere, so it converges from above.
    let (a, b) = (rough / 3.7, 2.51 / re);
    let mut x = 8.0;
    for _ in 0..50 {
        let inner = a + b * x;
        let step = (x + 2.0 * inner.log10()) / (1.0 + 2.0 * b / (std::f64::consts::LN_10 * inner));
        x -= step;
        if step.abs() <= 1e-13 * x.abs() {
            break;
        }
    }
    Ok(Ratio::new::<ratio>(1.0 / (x * x)))
}

/// Pressure that a fitting, bend, valve or entry costs: `dp = K rho v^2 / 2` with the loss coefficient `K`.
#[must_use]
pub fn fitting_loss(loss_coefficient: Ratio, density: MassDensity, velocity: Velocity) -> Pressure {
    loss_coefficient * (density * velocity * velocity) / 2.0
}

/// Speed, friction and pressure loss of a flow through a round line with its fittings (Darcy and Weisbach):
/// `dp = (f l / d + K) rho v^2 / 2`.
///
/// `length` l, `roughness` e of the wall, `loss_coefficients` K the sum of all entries, bends and fittings.
/// Without flow all is zero.
///
/// # Errors
/// A diameter, density or viscosity not above zero; a length, roughness or coefficient below zero; friction outside
/// the range of [`darcy_friction_factor`].
pub fn pipe_flow(
    volume_flow: VolumeRate,
    inner_diameter: Length,
    length: Length,
    roughness: Length,
    loss_coefficients: Ratio,
    density: MassDensity,
    viscosity: DynamicViscosity,
) -> Result<PipeFlow, OutOfRange> {
    let flow = not_negative("flow", volume_flow)?;
    let density = positive("density", density)?;
    let length = not_negative("length of the line", length)?;
    let roughness = not_negative("roughness", roughness)?;
    let coefficients = not_negative("sum of the loss coefficients", loss_coefficients)?;
    let velocity = flow_velocity(flow, inner_diameter)?;
    let reynolds = reynolds_number(velocity, inner_diameter, density, viscosity)?;
    let friction_factor = if reynolds.get::<ratio>() > 0.0 {
        darcy_friction_factor(reynolds, roughness / inner_diameter)?
    } else {
        Ratio::new::<ratio>(0.0)
    };
    let friction_loss = fitting_loss(friction_factor * length / inner_diameter, density, velocity);
    let fitting_loss = fitting_loss(coefficients, density, velocity);
    Ok(PipeFlow {
        velocity,
        reynolds,
        friction_factor,
        friction_loss,
        fitting_loss,
        pressure_loss: friction_loss + fitting_loss,
        in_transition: Regime::at(reynolds) == Regime::Transition,
    })
}

/// Head lost by a flow of known friction factor: `h = (f l / d + K) v^2 / (2 g)`.
///
/// # Errors
/// The diameter or the gravity is not above zero.
pub fn head_loss(
    velocity: Velocity,
    friction_factor: Ratio,
    length: Length,
    inner_diameter: Length,
    loss_coefficients: Ratio,
    gravity: Acceleration,
) -> Result<Length, OutOfRange> {
    let coefficients = friction_factor * length / positive("inner diameter", inner_diameter)? + loss_coefficients;
    Ok(coefficients * (velocity * velocity) / (positive("gravity", gravity)? * 2.0))
}

/// Height of a column of liquid that presses with `pressure`: `h = p / (rho g)`.
///
/// # Errors
/// The density or the gravity is not above zero.
pub fn pressure_head(pressure: Pressure, density: MassDensity, gravity: Acceleration) -> Result<Length, OutOfRange> {
    Ok(pressure / (positive("density", density)? * positive("gravity", gravity)?))
}

/// Flow of a liquid through a sharp opening: `Q = C A sqrt(2 dp / rho)` with the discharge coefficient `C`.
///
/// # Errors
/// The density is not above zero; the pressure difference is below zero.
pub fn orifice_flow(
    discharge_coefficient: Ratio,
    area: Area,
    pressure_difference: Pressure,
    density: MassDensity,
) -> Result<VolumeRate, OutOfRange> {
    let difference = not_negative("pressure difference", pressure_difference)?;
    let speed: Velocity = (difference * 2.0 / positive("density", density)?).sqrt();
    Ok(discharge_coefficient * area * speed)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::dynamic_viscosity::pascal_second;
    use uom::si::length::{meter, millimeter};
    use uom::si::mass_density::kilogram_per_cubic_meter;
    use uom::si::pressure::pascal;
    use uom::si::velocity::meter_per_second;
    use uom::si::volume_rate::cubic_meter_per_hour;

    use super::*;

    fn petrol_line(flow: f64, bore: f64, length: f64, roughness: f64, coefficients: f64) -> PipeFlow {
        pipe_flow(
            VolumeRate::new::<cubic_meter_per_hour>(flow * 1e-3),
            Length::new::<millimeter>(bore),
            Length::new::<meter>(length),
            Length::new::<millimeter>(roughness),
            Ratio::new::<ratio>(coefficients),
            MassDensity::new::<kilogram_per_cubic_meter>(745.0),
            DynamicViscosity::new::<pascal_second>(0.0005),
        )
        .expect("within the range")
    }

    #[test]
    fn smooth_line_follows_prandtl() {
        // Prandtl and von Karman, 1/sqrt(f) = 2 log10(Re sqrt(f)) - 0.8; Schlichting prints f = 0.0180 at Re = 1e5
        // (memory).
        let f = darcy_friction_factor(Ratio::new::<ratio>(1e5), Ratio::new::<ratio>(0.0)).expect("in range");
        assert!((f.get::<ratio>() - 0.0180).abs() < 5e-5, "{f:?}");
    }

    #[test]
    fn rough_line_follows_nikuradse() {
        // Fully rough: f = (2 log10(3.7 d/e))^-2; at e/d = 0.01 the Moody chart reads 0.038 (memory).
        let f = darcy_friction_factor(Ratio::new::<ratio>(1e8), Ratio::new::<ratio>(0.01)).expect("in range");
        assert!((f.get::<ratio>() - (2.0 * 370.0_f64.log10()).powi(-2)).abs() < 1e-6, "{f:?}");
    }

    #[test]
    fn regimes_are_told() {
        let at = |re: f64| Regime::at(Ratio::new::<ratio>(re));
        assert_eq!(at(2039.0), Regime::Laminar);
        assert_eq!(at(2041.0), Regime::Transition);
        assert_eq!(at(4001.0), Regime::Turbulent);
    }

    #[test]
    fn no_flow_costs_nothing() {
        assert_eq!(petrol_line(0.0, 8.0, 3.0, 0.0015, 4.0).pressure_loss, Pressure::new::<pascal>(0.0));
    }

    #[test]
    fn outside_the_moody_chart_is_refused() {
        let f = |re: f64, rough: f64| darcy_friction_factor(Ratio::new::<ratio>(re), Ratio::new::<ratio>(rough));
        assert!(f(2e8, 0.0).is_err());
        assert!(f(1e5, 0.06).is_err());
        assert!(f(0.0, 0.0).is_err());
        assert!(f(f64::NAN, 0.0).is_err());
    }

    #[test]
    fn orifice_follows_torricelli() {
        // Half of the opening's area at the speed of a free fall: v = sqrt(2 dp / rho) = 10 m/s at 50 kPa and 1000
        // kg/m3.
        let area = Area::new::<uom::si::area::square_millimeter>(2.0);
        let rho = MassDensity::new::<kilogram_per_cubic_meter>(1000.0);
        let q = orifice_flow(Ratio::new::<ratio>(0.5), area, Pressure::new::<pascal>(50_000.0), rho).expect("in range");
        assert!((q.value - 1e-6 * 10.0).abs() < 1e-15);
    }

    proptest! {
        #[test]
        fn colebrook_is_solved(log_re in 3.4_f64..8.0, rough in 0.0_f64..0.05) {
            let re = 10.0_f64.powf(log_re);
            let f = darcy_friction_factor(Ratio::new::<ratio>(re), Ratio::new::<ratio>(rough)).expect("in range");
            let f = f.get::<ratio>();
            let residual = 1.0 / f.sqrt() + 2.0 * (rough / 3.7 + 2.51 / (re * f.sqrt())).log10();
            prop_assert!(residual.abs() < 1e-10, "{residual}");
        }

        #[test]
        fn slow_flow_follows_poiseuille(flow in 0.5_f64..8.0, bore in 6.0_f64..12.0, length in 0.1_f64..6.0) {
            let line = petrol_line(flow, bore, length, 0.0, 0.0);
            prop_assume!(Regime::at(line.reynolds) == Regime::Laminar);
            // dp = 128 mu l Q / (pi d^4)
            let by_hand = 128.0 * 0.0005 * length * (flow / 3.6e6) / (PI * (bore * 1e-3).powi(4));
            prop_assert!((line.pressure_loss.get::<pascal>() - by_hand).abs() <= 1e-9 * by_hand);
        }

        #[test]
        fn loss_grows_with_flow_length_and_roughness(
            flow in 1.0_f64..900.0,
            bore in 4.0_f64..20.0,
            rough in 0.0015_f64..0.1,
        ) {
            let base = petrol_line(flow, bore, 2.0, rough, 3.0);
            prop_assert!(petrol_line(flow * 1.05, bore, 2.0, rough, 3.0).pressure_loss > base.pressure_loss);
            prop_assert!(petrol_line(flow, bore, 2.1, rough, 3.0).pressure_loss > base.pressure_loss);
            prop_assert!(petrol_line(flow, bore, 2.0, rough * 1.5, 3.0).pressure_loss >= base.pressure_loss);
            prop_assert!(petrol_line(flow, bore * 0.97, 2.0, rough, 3.0).pressure_loss > base.pressure_loss);
        }

        #[test]
        fn friction_and_fittings_add_up(
            flow in 1.0_f64..900.0,
            coefficients in 0.0_f64..20.0,
            length in 0.0_f64..8.0,
        ) {
            let line = petrol_line(flow, 8.0, length, 0.0015, coefficients);
            let speed: Velocity = Velocity::new::<meter_per_second>(flow / 3.6e6 / (PI / 4.0 * 0.008_f64.powi(2)));
            let fittings = 0.5 * 745.0 * speed.value.powi(2) * coefficients;
            prop_assert!((line.fitting_loss.value - fittings).abs() <= 1e-9 * fittings.max(1e-9));
            prop_assert_eq!(line.pressure_loss, line.friction_loss + line.fitting_loss);
        }
    }
}
