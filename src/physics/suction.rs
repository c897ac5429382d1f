//! The suction side of a pump: what head is left above boiling, what pressure stands at the inlet, how high it may
//! lift.
//!
//! A liquid that reaches its vapour pressure on the way to the pump boils there, and the pump runs on vapour. All
//! pressures are absolute; the level is positive where the liquid stands above the pump.

use uom::si::f64::{Acceleration, Length, MassDensity, Pressure, Velocity};

use super::pipe::pressure_head;
use super::range::{OutOfRange, not_negative};

/// Net positive suction head at a pump's inlet: `h = (p0 - pv) / (rho g) + z - dp / (rho g)`.
///
/// `surface_pressure` p0 on the liquid in the tank and `vapour_pressure` pv are absolute; `level_above_pump` z is
/// negative where the pump has to lift; `line_loss` dp includes the entry. A result below zero means that the liquid
/// boils.
///
/// # Errors
/// Density or gravity not above zero; a pressure or loss below zero.
pub fn net_suction_head(
    surface_pressure: Pressure,
    vapour_pressure: Pressure,
    density: MassDensity,
    level_above_pump: Length,
    line_loss: Pressure,
    gravity: Acceleration,
) -> Result<Length, OutOfRange> {
    let surface = not_negative("pressure on the surface", surface_pressure)?;
    let vapour = not_negative("vapour pressure", vapour_pressure)?;
    let loss = not_negative("loss in the suction line", line_loss)?;
    Ok(pressure_head(surface - vapour - loss, density, gravity)? + level_above_pump)
}

/// Static absolute pressure at a pump's inlet: `p = p0 + rho g z - dp - rho v^2 / 2`, with the symbols of
/// [`net_suction_head`] and the speed `v` in the inlet.
///
/// # Errors
/// A loss or pressure below zero.
pub fn inlet_pressure(
    surface_pressure: Pressure,
    density: MassDensity,
    level_above_pump: Length,
    line_loss: Pressure,
    velocity: Velocity,
    gravity: Acceleration,
) -> Result<Pressure, OutOfRange> {
    let surface = not_negative("pressure on the surface", surface_pressure)?;
    let loss = not_negative("loss in the suction line", line_loss)?;
    let dynamic: Pressure = density * velocity * velocity / 2.0;
    Ok(surface + density * gravity * level_above_pump - loss - dynamic)
}

/// Greatest height of a pump above the level it draws from: `z = (p0 - pv - dp) / (rho g) - h`, with the symbols of
/// [`net_suction_head`] and the suction head `h` that the pump needs. Below zero: the pump has to stand lower than
/// the level.
///
/// # Errors
/// Density or gravity not above zero; a pressure or loss below zero.
pub fn greatest_suction_lift(
    surface_pressure: Pressure,
    vapour_pressure: Pressure,
    density: MassDensity,
    line_loss: Pressure,
    head_needed: Length,
    gravity: Acceleration,
) -> Result<Length, OutOfRange> {
    let no_lift = Length::default();
    Ok(net_suction_head(surface_pressure, vapour_pressure, density, no_lift, line_loss, gravity)? - head_needed)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::meter;
    use uom::si::mass_density::kilogram_per_cubic_meter;
    use uom::si::pressure::kilopascal;
    use uom::si::velocity::meter_per_second;

    use super::super::gravity::standard_gravity;
    use super::*;

    fn kpa(value: f64) -> Pressure {
        Pressure::new::<kilopascal>(value)
    }

    fn rho() -> MassDensity {
        MassDensity::new::<kilogram_per_cubic_meter>(745.0)
    }

    #[test]
    fn boiling_fuel_leaves_no_head() {
        let nothing = net_suction_head(kpa(84.0), kpa(84.0), rho(), Length::default(), kpa(0.0), standard_gravity());
        assert_eq!(nothing.expect("in range"), Length::default());
    }

    #[test]
    fn a_loss_below_zero_is_refused() {
        assert!(
            net_suction_head(kpa(101.0), kpa(60.0), rho(), Length::default(), kpa(-1.0), standard_gravity()).is_err()
        );
    }

    proptest! {
        #[test]
        fn head_is_total_pressure_above_boiling(
            level in -1.0_f64..1.0,
            loss in 0.0_f64..20.0,
            vapour in 10.0_f64..90.0,
            speed in 0.0_f64..3.0,
        ) {
            let (z, v, g) = (Length::new::<meter>(level), Velocity::new::<meter_per_second>(speed), standard_gravity());
            let head = net_suction_head(kpa(101.3), kpa(vapour), rho(), z, kpa(loss), g).expect("in range");
            let inlet = inlet_pressure(kpa(101.3), rho(), z, kpa(loss), v, g).expect("in range");
            // Bernoulli: static and dynamic pressure at the inlet, less the vapour pressure, is the head.
            let total = inlet.value + 0.5 * 745.0 * speed * speed - vapour * 1e3;
            prop_assert!((head.value * 745.0 * g.value - total).abs() < 1e-6);
        }

        #[test]
        fn at_the_greatest_lift_the_needed_head_is_left(
            need in 0.1_f64..5.0,
            loss in 0.0_f64..20.0,
            vapour in 10.0_f64..90.0,
        ) {
            let (h, g) = (Length::new::<meter>(need), standard_gravity());
            let lift = greatest_suction_lift(kpa(101.3), kpa(vapour), rho(), kpa(loss), h, g).expect("in range");
            let left = net_suction_head(kpa(101.3), kpa(vapour), rho(), -lift, kpa(loss), g).expect("in range");
            prop_assert!((left - h).value.abs() < 1e-9);
        }
    }
}
