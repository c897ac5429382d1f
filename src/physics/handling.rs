//! The balance of grip that follows from where the mass sits: axle loads, understeer gradient, critical speed.

use uom::si::angle::radian;
use uom::si::f64::{Acceleration, Angle, Force, Length, Mass, Velocity};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, positive};

/// Mass on each axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleLoads {
    /// On the front axle.
    pub front: Mass,
    /// On the rear axle.
    pub rear: Mass,
}

/// Masses on the axles of a mass whose centre lies behind the front axle: `m_r = m x / L`. A load behind the rear axle lifts
/// the front.
///
/// # Errors
/// The wheelbase is not above zero.
pub fn axle_loads(mass: Mass, behind_front_axle: Length, wheelbase: Length) -> Result<AxleLoads, OutOfRange> {
    let rear = mass * (behind_front_axle / positive("wheelbase", wheelbase)?);
    Ok(AxleLoads { front: mass - rear, rear })
}

/// Understeer gradient `K = W_f / C_f - W_r / C_r`: steer angle for each unit of lateral acceleration (in units of gravity).
///
/// W loads of the axles, C cornering stiffness of both tyres of an axle, as force for one radian of slip. Positive understeers.
/// Source: Gillespie, Fundamentals of Vehicle Dynamics (memory).
///
/// # Errors
/// A stiffness is not above zero.
pub fn understeer_gradient(
    front_load: Force,
    rear_load: Force,
    front_cornering_stiffness: Force,
    rear_cornering_stiffness: Force,
) -> Result<Angle, OutOfRange> {
    let front = front_load / positive("front cornering stiffness", front_cornering_stiffness)?;
    let rear = rear_load / positive("rear cornering stiffness", rear_cornering_stiffness)?;
    Ok(Angle::new::<radian>((front - rear).get::<ratio>()))
}

/// Speed above which an oversteering car needs no steering to spin: `v = sqrt(g L / -K)`. For an understeering car the same
/// formula with `K` gives its characteristic speed: see [`characteristic_speed`].
///
/// # Errors
/// The gradient is not below zero: there is no critical speed.
pub fn critical_speed(wheelbase: Length, understeer: Angle, gravity: Acceleration) -> Result<Velocity, OutOfRange> {
    let oversteer = positive("oversteer gradient", -understeer)?;
    Ok((gravity * positive("wheelbase", wheelbase)? / oversteer.get::<radian>()).sqrt())
}

/// Speed at which an understeering car needs twice the steer angle of a neutral one: `v = sqrt(g L / K)`.
///
/// # Errors
/// The gradient is not above zero.
pub fn characteristic_speed(
    wheelbase: Length,
    understeer: Angle,
    gravity: Acceleration,
) -> Result<Velocity, OutOfRange> {
    critical_speed(wheelbase, -understeer, gravity)
}

#[cfg(test)]
mod tests {
    use uom::si::acceleration::meter_per_second_squared;
    use uom::si::force::newton;
    use uom::si::length::meter;
    use uom::si::mass::kilogram;
    use uom::si::velocity::meter_per_second;

    use super::*;

    fn m(value: f64) -> Length {
        Length::new::<meter>(value)
    }

    #[test]
    fn a_load_behind_the_rear_axle_lifts_the_front() {
        let kg = Mass::new::<kilogram>;
        let loads = axle_loads(kg(100.0), m(3.0), m(2.5)).expect("in range");
        assert!((loads.rear - kg(120.0)).abs() < kg(1e-9) && (loads.front + kg(20.0)).abs() < kg(1e-9));
    }

    #[test]
    fn only_an_oversteering_car_has_a_critical_speed() {
        let n = Force::new::<newton>;
        let k = understeer_gradient(n(5000.0), n(6000.0), n(100_000.0), n(100_000.0)).expect("in range");
        let g = Acceleration::new::<meter_per_second_squared>(9.81);
        // sqrt(9.81 * 2.5 / 0.01) = 49.52 m/s
        let v = critical_speed(m(2.5), k, g).expect("oversteers").get::<meter_per_second>();
        assert!((v - 49.523).abs() < 1e-3);
        assert!(critical_speed(m(2.5), -k, g).is_err() && characteristic_speed(m(2.5), -k, g).is_ok());
    }
}
