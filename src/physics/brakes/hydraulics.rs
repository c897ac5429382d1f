//! Areas and pressures: cylinder, line, proportioning valve.
//!
//! Symbols: d bore or piston diameter, n number of pistons, A area, F push force, p line pressure (gauge).

use std::f64::consts::PI;

use uom::si::f64::{Area, Force, Length, Pressure, Ratio};
use uom::si::ratio::{percent, ratio};

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Area of `count` round pistons or bores: A = n pi d^2 / 4.
///
/// # Errors
/// The diameter or the count is not above zero.
pub fn piston_area(diameter: Length, count: Ratio) -> Result<Area, OutOfRange> {
    let d = positive("piston diameter", diameter)?;
    Ok(positive("number of pistons", count)? * (PI / 4.0) * d * d)
}

/// Line pressure from the push on one master cylinder: p = 4 F / (pi d^2). Seal drag and return spring are left out.
///
/// # Errors
/// The force is negative or the bore not above zero.
pub fn line_pressure(push_force: Force, bore: Length) -> Result<Pressure, OutOfRange> {
    Ok(not_negative("push force", push_force)? / piston_area(bore, Ratio::new::<ratio>(1.0))?)
}

/// Push on one master cylinder that makes a line pressure: F = p pi d^2 / 4.
///
/// # Errors
/// The pressure is negative or the bore not above zero.
pub fn push_for_pressure(pressure: Pressure, bore: Length) -> Result<Force, OutOfRange> {
    Ok(not_negative("line pressure", pressure)? * piston_area(bore, Ratio::new::<ratio>(1.0))?)
}

/// Pressure behind a proportioning valve: p_out = p_in up to the knee p_k, above it p_k + s (p_in - p_k).
///
/// # Errors
/// A pressure is negative, or the slope outside 0 to 100 %.
pub fn proportioned_pressure(inlet: Pressure, knee: Pressure, slope: Ratio) -> Result<Pressure, OutOfRange> {
    let inlet = not_negative("pressure before the proportioning valve", inlet)?;
    let knee = not_negative("knee pressure of the proportioning valve", knee)?;
    let slope = valve_slope(slope)?;
    Ok(if inlet <= knee { inlet } else { knee + slope * (inlet - knee) })
}

/// The slope of a proportioning valve, refused outside 0 to 1.
pub(super) fn valve_slope(slope: Ratio) -> Result<Ratio, OutOfRange> {
    let show = |r: Ratio| format!("{} %", r.get::<percent>());
    within("slope of the proportioning valve", slope, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;
    use uom::si::length::millimeter;
    use uom::si::pressure::bar;

    use super::*;

    #[test]
    fn a_bore_of_nothing_is_refused() {
        assert!(line_pressure(Force::new::<newton>(100.0), Length::new::<millimeter>(0.0)).is_err());
    }

    proptest! {
        #[test]
        fn pressure_and_push_are_inverse(force in 0.0..5000.0f64, bore in 10.0..40.0f64) {
            let bore = Length::new::<millimeter>(bore);
            let pressure = line_pressure(Force::new::<newton>(force), bore).expect("valid");
            let back = push_for_pressure(pressure, bore).expect("valid");
            prop_assert!((back.get::<newton>() - force).abs() <= 1e-9 * (1.0 + force));
        }

        #[test]
        fn twice_the_bore_is_a_quarter_of_the_pressure(force in 1.0..5000.0f64, bore in 10.0..20.0f64) {
            let push = Force::new::<newton>(force);
            let narrow = line_pressure(push, Length::new::<millimeter>(bore)).expect("valid");
            let wide = line_pressure(push, Length::new::<millimeter>(2.0 * bore)).expect("valid");
            prop_assert!(((wide / narrow).get::<ratio>() - 0.25).abs() < 1e-12);
        }

        #[test]
        fn valve_never_raises_and_never_falls(a in 0.0..150.0f64, more in 0.0..50.0f64, knee in 0.0..100.0f64, s in 0.0..1.0f64) {
            let at = |p: f64| {
                proportioned_pressure(Pressure::new::<bar>(p), Pressure::new::<bar>(knee), Ratio::new::<ratio>(s))
                    .expect("valid").get::<bar>()
            };
            prop_assert!(at(a) <= a + 1e-9);
            prop_assert!(at(a + more) >= at(a) - 1e-9);
        }
    }
}
