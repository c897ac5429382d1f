//! What the crankshaft drives by belt: speeds, wrap and length of an open belt.

use uom::si::angle::radian;
use uom::si::f64::{Angle, AngularVelocity, Length, Ratio};

use crate::physics::range::{OutOfRange, not_negative, positive};

/// Speed of a driven pulley: n2 = n1 D1 / D2. A belt's slip lowers it by 1 to 2 %; a toothed belt has none.
///
/// # Errors
/// The speed is negative, or a diameter is not above zero.
pub fn driven_pulley_speed(
    driving_speed: AngularVelocity,
    driving_diameter: Length,
    driven_diameter: Length,
) -> Result<AngularVelocity, OutOfRange> {
    let ratio: Ratio = positive("diameter of the driving pulley", driving_diameter)?
        / positive("diameter of the driven pulley", driven_diameter)?;
    Ok((not_negative("speed of the driving pulley", driving_speed)? * ratio).into())
}

/// How an open belt lies on two pulleys.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenBelt {
    /// Length of the belt.
    pub length: Length,
    /// Angle by which it wraps the smaller pulley.
    pub least_wrap: Angle,
}

/// An open belt over two pulleys whose axes are C apart: with sin β = (D - d) / (2 C), the wrap of the smaller one is
/// π - 2 β and the length 2 C cos β + π (D + d) / 2 + β (D - d).
///
/// # Errors
/// A diameter is not above zero, or the pulleys overlap.
pub fn open_belt(one_diameter: Length, other_diameter: Length, centres: Length) -> Result<OpenBelt, OutOfRange> {
    let one = positive("diameter of a pulley", one_diameter)?;
    let other = positive("diameter of a pulley", other_diameter)?;
    positive("gap between the pulleys", centres - (one + other) / 2.0)?;
    let (large, small) = (one.max(other), one.min(other));
    let tilt = ((large - small) / (centres * 2.0)).asin();
    let arcs = (large + small) * (std::f64::consts::PI / 2.0) + (large - small) * tilt.get::<radian>();
    Ok(OpenBelt { length: centres * 2.0 * tilt.cos() + arcs, least_wrap: Angle::HALF_TURN - tilt * 2.0 })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angle::degree;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::length::millimeter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn equal_pulleys_are_wrapped_halfway() {
        let belt = open_belt(mm(100.0), mm(100.0), mm(300.0)).expect("in range");
        assert!((belt.least_wrap.get::<degree>() - 180.0).abs() < 1e-9);
        assert!((belt.length.get::<millimeter>() - (600.0 + std::f64::consts::PI * 100.0)).abs() < 1e-9);
        assert!(open_belt(mm(100.0), mm(100.0), mm(100.0)).is_err());
    }

    proptest! {
        #[test]
        fn a_belt_is_longer_than_its_shortest_path_and_wraps_less_than_half(
            a in 30.0..200.0f64, b in 30.0..200.0f64, gap in 5.0..400.0f64,
        ) {
            let centres = (a + b) / 2.0 + gap;
            let belt = open_belt(mm(a), mm(b), mm(centres)).expect("in range");
            prop_assert!(belt.length.get::<millimeter>() > 2.0 * centres);
            prop_assert!(belt.least_wrap <= Angle::HALF_TURN);
            prop_assert_eq!(belt, open_belt(mm(b), mm(a), mm(centres)).expect("in range"));
        }

        #[test]
        fn the_rim_speeds_are_equal(n in 500.0..9000.0f64, a in 30.0..200.0f64, b in 30.0..200.0f64) {
            let speed = AngularVelocity::new::<revolution_per_minute>(n);
            let driven = driven_pulley_speed(speed, mm(a), mm(b)).expect("in range");
            prop_assert!((driven.get::<revolution_per_minute>() * b / (n * a) - 1.0).abs() < 1e-9);
        }
    }
}
