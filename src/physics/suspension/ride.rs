//! The car on its springs: wheel rate, ride rate, ride frequency, static deflection, damping.

use uom::si::angle::radian;
use uom::si::f64::{Acceleration, Angle, Force, Frequency, Length, Mass, Ratio};
use uom::si::ratio::ratio;

use crate::physics::range::{OutOfRange, not_negative, positive};
use crate::physics::rates::{Damping, RotationalStiffness, SpringRate};

/// One corner of a car on its spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ride {
    /// Rate of the spring at the wheel.
    pub wheel_rate: SpringRate,
    /// Rate of spring and tyre in series.
    pub ride_rate: SpringRate,
    /// Frequency of the sprung mass on the wheel rate.
    pub frequency_on_wheel_rate: Frequency,
    /// Frequency of the sprung mass on the ride rate.
    pub frequency_with_tyre: Frequency,
    /// Deflection under the sprung mass on the wheel rate, as of a linear spring.
    pub static_deflection: Length,
}

/// `k_w = k_s MR^2`, with MR = spring travel over wheel travel.
///
/// Source: virtual work. The term `F dMR/dz` of a spring with force F and a changing ratio is [`ratio_change_rate`].
#[must_use]
pub fn wheel_rate(spring_rate: SpringRate, motion_ratio: Ratio) -> SpringRate {
    spring_rate * motion_ratio * motion_ratio
}

/// What a changing motion ratio adds to the wheel rate: `F dMR/dz`, for the spring's force and the change of the motion ratio
/// between two wheel travels.
///
/// # Errors
/// The two travels are the same or reversed.
pub fn ratio_change_rate(
    spring_force: Force,
    motion_ratio_below: Ratio,
    motion_ratio_above: Ratio,
    between: Length,
) -> Result<SpringRate, OutOfRange> {
    Ok(spring_force * (motion_ratio_above - motion_ratio_below) / positive("travel between two ratios", between)?)
}

/// Two springs in series: `1/k = 1/a + 1/b`.
///
/// # Errors
/// A rate is not above zero.
pub fn in_series(first: SpringRate, second: SpringRate) -> Result<SpringRate, OutOfRange> {
    let (a, b) = (positive("spring rate", first)?, positive("spring rate", second)?);
    Ok(a * (b / (a + b)))
}

/// `f = sqrt(k / m) / 2 pi`.
///
/// # Errors
/// Rate or mass is not above zero.
pub fn natural_frequency(rate: SpringRate, mass: Mass) -> Result<Frequency, OutOfRange> {
    let angular = (positive("spring rate", rate)? / positive("mass", mass)?).sqrt();
    Ok(Frequency::from(angular) / std::f64::consts::TAU)
}

/// The ride of one corner. Source of the formulas: textbooks (Gillespie); `f = sqrt(k/m) / 2 pi`, deflection `m g / k_w`.
///
/// # Errors
/// A rate, the ratio or the mass is not above zero.
pub fn ride(
    spring_rate: SpringRate,
    motion_ratio: Ratio,
    tyre_rate: SpringRate,
    sprung_mass: Mass,
    gravity: Acceleration,
) -> Result<Ride, OutOfRange> {
    let wheel_rate = wheel_rate(positive("spring rate", spring_rate)?, motion_ratio);
    let ride_rate = in_series(wheel_rate, tyre_rate)?;
    Ok(Ride {
        wheel_rate,
        ride_rate,
        frequency_on_wheel_rate: natural_frequency(wheel_rate, sprung_mass)?,
        frequency_with_tyre: natural_frequency(ride_rate, sprung_mass)?,
        static_deflection: sprung_mass * gravity / wheel_rate,
    })
}

/// Deflection of a linear spring under the mass that it carries at that frequency: `d = g / (2 pi f)^2`.
///
/// # Errors
/// The frequency is not above zero.
pub fn static_deflection_for_frequency(frequency: Frequency, gravity: Acceleration) -> Result<Length, OutOfRange> {
    let angular = positive("ride frequency", frequency)? * std::f64::consts::TAU;
    Ok(gravity / (angular * angular))
}

/// Frequency of the wheel between body and tyre: `f = sqrt((k_w + k_t) / m_u) / 2 pi`.
///
/// # Errors
/// A rate or the mass is not above zero.
pub fn wheel_hop_frequency(
    wheel_rate: SpringRate,
    tyre_rate: SpringRate,
    unsprung_mass: Mass,
) -> Result<Frequency, OutOfRange> {
    natural_frequency(positive("wheel rate", wheel_rate)? + positive("tyre rate", tyre_rate)?, unsprung_mass)
}

/// Share of critical damping: `z = c MR^2 / (2 sqrt(k m))`, for the damper's own damping c and its motion ratio, the wheel's
/// rate k and the mass m that rides on it.
///
/// # Errors
/// Damping is negative; rate or mass is not above zero.
pub fn damping_ratio(
    damper: Damping,
    damper_motion_ratio: Ratio,
    wheel_rate: SpringRate,
    mass: Mass,
) -> Result<Ratio, OutOfRange> {
    let at_wheel = not_negative("damping", damper)? * damper_motion_ratio * damper_motion_ratio;
    let critical: Damping = (positive("wheel rate", wheel_rate)? * positive("mass", mass)?).sqrt() * 2.0;
    Ok(at_wheel / critical)
}

/// Roll stiffness of an axle's two springs: `K = k t^2 / 2`, for the rate k of each at the spacing t (independent suspension:
/// wheel rate and track; live axle: spring rate in heave at the spring, and the springs' spacing).
///
/// # Errors
/// Rate or spacing is not above zero.
pub fn roll_stiffness_from_wheel_rate(
    wheel_rate: SpringRate,
    spacing: Length,
) -> Result<RotationalStiffness, OutOfRange> {
    let spacing = positive("spacing", spacing)?;
    Ok(positive("wheel rate", wheel_rate)? * spacing * spacing / 2.0)
}

/// Roll gradient: roll for each unit of lateral acceleration, `d(phi)/d(a) = m h / (K - m g h)`, for the sprung mass, the height
/// h of its centre above the roll axis and the whole roll stiffness. In radian; `a` counted in units of `gravity`.
///
/// # Errors
/// The stiffness does not exceed the gravity term: the car would fall over on its springs.
pub fn roll_gradient(
    sprung_mass: Mass,
    height_above_roll_axis: Length,
    roll_stiffness: RotationalStiffness,
    gravity: Acceleration,
) -> Result<Angle, OutOfRange> {
    let moment: RotationalStiffness = sprung_mass * gravity * height_above_roll_axis;
    let left: Ratio = moment / positive("roll stiffness left by gravity", roll_stiffness - moment)?;
    Ok(Angle::new::<radian>(left.get::<ratio>()))
}

#[cfg(test)]
mod tests {
    use uom::si::acceleration::standard_gravity;
    use uom::si::force::newton;
    use uom::si::frequency::hertz;
    use uom::si::length::{inch, meter};
    use uom::si::mass::kilogram;

    use super::*;

    fn rate(value: f64) -> SpringRate {
        Force::new::<newton>(value) / Length::new::<meter>(1.0)
    }

    #[test]
    fn one_hertz_sinks_about_ten_inches() {
        // Gillespie, Fundamentals of Vehicle Dynamics, ch. 5 (memory): about 10 in for 1 Hz, 5 in for 1.4 Hz.
        let g = Acceleration::new::<standard_gravity>(1.0);
        let sunk = |f| static_deflection_for_frequency(Frequency::new::<hertz>(f), g).expect("in range").get::<inch>();
        assert!((sunk(1.0) - 9.78).abs() < 0.01 && (sunk(1.4) - 5.0).abs() < 0.05);
    }

    #[test]
    fn critical_damping_is_one() {
        // x'' + 2 w x' + w^2 x = 0 with m = 4, k = 100 (w = 5): c = 2 m w = 40; through a ratio of one half four times that.
        let c: Damping =
            Force::new::<newton>(160.0) / uom::si::f64::Velocity::new::<uom::si::velocity::meter_per_second>(1.0);
        let z = damping_ratio(c, Ratio::new::<ratio>(0.5), rate(100.0), Mass::new::<kilogram>(4.0)).expect("in range");
        assert!((z.get::<ratio>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_rides_on_no_spring() {
        let g = Acceleration::new::<standard_gravity>(1.0);
        let m = Mass::new::<kilogram>(250.0);
        assert!(ride(rate(0.0), Ratio::new::<ratio>(0.7), rate(2e5), m, g).is_err());
        assert!(ride(rate(4e4), Ratio::new::<ratio>(0.0), rate(2e5), m, g).is_err());
        assert!(
            roll_gradient(
                m,
                Length::new::<meter>(0.5),
                RotationalStiffness::from(rate(1000.0) * Length::new::<meter>(1.0) * Length::new::<meter>(1.0)),
                g
            )
            .is_err()
        );
    }
}
