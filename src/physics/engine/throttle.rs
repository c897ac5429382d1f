//! Whether springs close a throttle, and how fast: reckoned once for each spring taken off.

use uom::si::f64::{Angle, MomentOfInertia, Time, Torque};
use uom::si::torque::newton_meter;
use uom::si::{angle::radian, time::second};

use crate::physics::range::{OutOfRange, not_negative, positive};

/// Time in which springs close a throttle from rest at the opening φ.
///
/// `closed_torque` T0 and `open_torque` T1 are what the springs pull at the closed stop and at the opening, `friction`
/// is what the spindle and the cable hold back, J the moment of inertia of all that turns with the spindle. With T =
/// T0 - friction and k = (T1 - T0) / φ: t = √(J / k) acos(T / (T + k φ)); √(2 φ J / T) for springs of constant torque.
///
/// # Errors
/// The opening or the inertia is not above zero, the friction is negative, the springs pull less when open than when
/// closed, or they do not overcome the friction at the closed stop: then the throttle stays open.
pub fn throttle_closing_time(
    closed_torque: Torque,
    open_torque: Torque,
    friction: Torque,
    opening: Angle,
    inertia: MomentOfInertia,
) -> Result<Time, OutOfRange> {
    let friction = not_negative("friction torque", friction)?;
    let net = positive("closing torque less friction at the closed stop", closed_torque - friction)?;
    let rise = not_negative("torque of the springs when open less when closed", open_torque - closed_torque)?;
    let opening = positive("opening of the throttle", opening)?.get::<radian>();
    let inertia = positive("moment of inertia", inertia)?.value;
    let (net, rise) = (net.get::<newton_meter>(), rise.get::<newton_meter>());
    // Half the angle, by its sine: the cosine form loses its digits for nearly constant torque.
    let half = (rise / (2.0 * (net + rise))).sqrt();
    let constant = (2.0 * opening * inertia / net).sqrt();
    if half < 1e-9 {
        return Ok(Time::new::<second>(constant));
    }
    Ok(Time::new::<second>(2.0 * half.asin() * (inertia * opening / rise).sqrt()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::moment_of_inertia::kilogram_square_meter;

    use super::*;

    fn closing(closed: f64, open: f64, friction: f64) -> Result<Time, OutOfRange> {
        throttle_closing_time(
            Torque::new::<newton_meter>(closed),
            Torque::new::<newton_meter>(open),
            Torque::new::<newton_meter>(friction),
            Angle::new::<radian>(1.5),
            MomentOfInertia::new::<kilogram_square_meter>(2e-4),
        )
    }

    #[test]
    fn a_throttle_that_friction_holds_stays_open() {
        assert!(closing(0.1, 0.3, 0.1).is_err());
        assert!(closing(0.1, 0.05, 0.02).is_err());
    }

    proptest! {
        #[test]
        fn the_law_of_motion_is_met(closed in 0.1..1.0f64, rise in 0.0..1.0f64, share in 0.0..0.9f64) {
            let time = closing(closed, closed + rise, share * closed).expect("in range").value;
            // The same motion marched in small steps (semi-implicit Euler).
            let (mut angle, mut speed, mut clock) = (1.5f64, 0.0f64, 0.0f64);
            let step = time / 20_000.0;
            while angle > 0.0 && clock < 2.0 * time {
                speed -= (closed - share * closed + rise * angle / 1.5) / 2e-4 * step;
                angle += speed * step;
                clock += step;
            }
            prop_assert!((clock / time - 1.0).abs() < 1e-3);
        }

        #[test]
        fn stronger_springs_close_sooner_and_friction_later(closed in 0.1..1.0f64, rise in 0.0..1.0f64) {
            let base = closing(closed, closed + rise, 0.05).expect("in range");
            prop_assert!(closing(closed * 1.1, closed * 1.1 + rise, 0.05).expect("in range") < base);
            prop_assert!(closing(closed, closed + rise, 0.06).expect("in range") > base);
        }
    }
}
