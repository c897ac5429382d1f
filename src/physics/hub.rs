//! Hubs: the bolt circle from what a calliper can reach, and the moment on the bearings.

use uom::si::f64::{Force, Length, Ratio, Torque};
use uom::si::length::meter;

use super::range::{OutOfRange, not_negative, positive};
use super::wheel::bolt_circle;

/// The bolt circle from the distance of neighbouring studs, which can be measured where there is no stud opposite.
///
/// # Errors
/// Not a number of studs as [`bolt_circle`] asks, or the distance is not above zero.
pub fn bolt_circle_from_adjacent(stud_count: Ratio, adjacent: Length) -> Result<Length, OutOfRange> {
    let whole = Length::new::<meter>(1.0);
    Ok(positive("distance of studs", adjacent)? * (whole / bolt_circle(stud_count, whole)?.adjacent))
}

/// Moment on the hub's bearings: `M = F_y r + F_z e`, of the side load at the ground and of the wheel load, for the rolling
/// radius r and the wheel's centre plane e outboard of the middle of the bearings.
///
/// # Errors
/// A load is negative, or the radius is not above zero.
pub fn bearing_moment(
    side_load: Force,
    wheel_load: Force,
    rolling_radius: Length,
    plane_outboard_of_bearings: Length,
) -> Result<Torque, OutOfRange> {
    let tipping = not_negative("side load", side_load)? * positive("rolling radius", rolling_radius)?;
    let overhung = not_negative("wheel load", wheel_load)? * plane_outboard_of_bearings;
    Ok(Torque::from(tipping + overhung))
}

#[cfg(test)]
mod tests {
    use uom::si::force::newton;
    use uom::si::length::millimeter;
    use uom::si::ratio::ratio;
    use uom::si::torque::newton_meter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn the_circle_comes_back_from_its_chord() {
        for n in 3..=12 {
            let n = Ratio::new::<ratio>(f64::from(n));
            let chord = bolt_circle(n, mm(108.0)).expect("in range").adjacent;
            assert!((bolt_circle_from_adjacent(n, chord).expect("in range") - mm(108.0)).abs() < mm(1e-9));
        }
        assert!(bolt_circle_from_adjacent(Ratio::new::<ratio>(4.5), mm(67.0)).is_err());
    }

    #[test]
    fn moments_add() {
        let n = Force::new::<newton>;
        let m = bearing_moment(n(3000.0), n(4000.0), mm(300.0), mm(25.0)).expect("in range");
        assert!((m.get::<newton_meter>() - 1000.0).abs() < 1e-9);
    }
}
