//! Air and rolling resistance: drag, the power it takes, and the speed that a power reaches.

use uom::si::f64::{Acceleration, Area, Force, Mass, MassDensity, Power, Ratio, Velocity};
use uom::si::velocity::meter_per_second;

use super::range::{OutOfRange, not_negative, positive};
use crate::search::root_between;

/// Force of the air in one direction: F = ρ/2 c A v², c the coefficient of drag or of lift (negative presses down).
///
/// # Errors
/// The area or the density is not above zero, or the speed is negative.
pub fn air_force(
    coefficient: Ratio,
    frontal_area: Area,
    density: MassDensity,
    speed: Velocity,
) -> Result<Force, OutOfRange> {
    let speed = not_negative("speed", speed)?;
    let area = positive("frontal area", frontal_area)?;
    Ok(coefficient * positive("density of the air", density)? * area * speed * speed / 2.0)
}

/// c, the coefficient that belongs to a force: c = 2 F / (ρ A v²).
///
/// # Errors
/// The area, the density or the speed is not above zero.
pub fn air_force_coefficient(
    force: Force,
    frontal_area: Area,
    density: MassDensity,
    speed: Velocity,
) -> Result<Ratio, OutOfRange> {
    let speed = positive("speed", speed)?;
    let pressure = positive("density of the air", density)? * speed * speed / 2.0;
    Ok(force / (pressure * positive("frontal area", frontal_area)?))
}

/// What a vehicle has to overcome on a level road.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoadLoad {
    /// Drag of the air.
    pub drag: Force,
    /// Rolling resistance.
    pub rolling: Force,
    /// Power that both take together.
    pub power: Power,
}

/// Resistance on a level road without wind: F = ρ/2 c A v² + f m g, and the power F v.
///
/// # Errors
/// The area, the density or the mass is not above zero, or the speed, the drag or the rolling coefficient is negative.
pub fn road_load(
    drag_coefficient: Ratio,
    frontal_area: Area,
    density: MassDensity,
    speed: Velocity,
    mass: Mass,
    rolling_coefficient: Ratio,
    gravity: Acceleration,
) -> Result<RoadLoad, OutOfRange> {
    let drag = air_force(not_negative("drag coefficient", drag_coefficient)?, frontal_area, density, speed)?;
    let weight: Force = positive("mass", mass)? * positive("acceleration of free fall", gravity)?;
    let rolling = not_negative("rolling coefficient", rolling_coefficient)? * weight;
    Ok(RoadLoad { drag, rolling, power: (drag + rolling) * speed })
}

/// The speed at which the power at the wheels is all taken by drag and rolling on a level road; gearing may keep the
/// vehicle below it.
///
/// # Errors
/// The power or the drag coefficient is not above zero, the speed would be above 200 m/s, and the errors of
/// [`road_load`].
pub fn power_limited_speed(
    power: Power,
    drag_coefficient: Ratio,
    frontal_area: Area,
    density: MassDensity,
    mass: Mass,
    rolling_coefficient: Ratio,
    gravity: Acceleration,
) -> Result<Velocity, OutOfRange> {
    let power = positive("power", power)?;
    let taken = |speed: Velocity| -> Result<Power, OutOfRange> {
        Ok(road_load(drag_coefficient, frontal_area, density, speed, mass, rolling_coefficient, gravity)?.power)
    };
    let lacking = |speed: f64| Ok((taken(Velocity::new::<meter_per_second>(speed))? - power).value);
    // Power grows with speed without a turn.
    let speed = root_between(0.0, 200.0, lacking)?.map(Velocity::new::<meter_per_second>);
    speed.ok_or_else(|| OutOfRange::new("speed that the power reaches", "above 200 m/s", "0 to 200 m/s"))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::acceleration::meter_per_second_squared;
    use uom::si::area::square_meter;
    use uom::si::mass::kilogram;
    use uom::si::mass_density::kilogram_per_cubic_meter;
    use uom::si::power::kilowatt;

    use super::*;

    fn load(c: f64, v: f64) -> RoadLoad {
        road_load(
            Ratio::from(c),
            Area::new::<square_meter>(1.95),
            MassDensity::new::<kilogram_per_cubic_meter>(1.2),
            Velocity::new::<meter_per_second>(v),
            Mass::new::<kilogram>(1100.0),
            Ratio::from(0.012),
            Acceleration::new::<meter_per_second_squared>(9.80665),
        )
        .expect("in range")
    }

    fn reached(power: Power, c: f64) -> Result<Velocity, OutOfRange> {
        power_limited_speed(
            power,
            Ratio::from(c),
            Area::new::<square_meter>(1.95),
            MassDensity::new::<kilogram_per_cubic_meter>(1.2),
            Mass::new::<kilogram>(1100.0),
            Ratio::from(0.012),
            Acceleration::new::<meter_per_second_squared>(9.80665),
        )
    }

    #[test]
    fn refuses_a_rocket() {
        assert!(reached(Power::new::<kilowatt>(1e5), 0.3).is_err());
        assert!(reached(Power::new::<kilowatt>(0.0), 0.3).is_err());
        let still = air_force_coefficient(
            Force::default(),
            Area::new::<square_meter>(2.0),
            MassDensity::new::<kilogram_per_cubic_meter>(1.2),
            Velocity::default(),
        );
        assert!(still.is_err());
    }

    proptest! {
        #[test]
        fn the_speed_takes_just_the_power(c in 0.2..1.0f64, v in 5.0..120.0f64) {
            let back = reached(load(c, v).power, c).expect("in range");
            prop_assert!((back.value / v - 1.0).abs() < 1e-9);
        }

        #[test]
        fn drag_goes_with_the_square_of_speed(c in 0.2..1.0f64, v in 5.0..60.0f64) {
            prop_assert!(((load(c, 2.0 * v).drag / load(c, v).drag).value - 4.0).abs() < 1e-9);
            let back = air_force_coefficient(
                load(c, v).drag, Area::new::<square_meter>(1.95),
                MassDensity::new::<kilogram_per_cubic_meter>(1.2), Velocity::new::<meter_per_second>(v),
            ).expect("in range");
            prop_assert!((back.value - c).abs() < 1e-12);
        }
    }
}
