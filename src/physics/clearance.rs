//! What is left above the ground when springs give way, a tyre loses its air, or the road has a hump.

use uom::si::f64::{Length, Ratio};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, not_negative, positive, within};
use super::space::in_millimetres;

/// Height of a point of the body when the axles' springs give way by these travels: in proportion between the axles, and on
/// beyond them.
///
/// # Errors
/// The wheelbase is not above zero.
pub fn height_with_travel(
    height: Length,
    behind_front_axle: Length,
    wheelbase: Length,
    front_bump: Length,
    rear_bump: Length,
) -> Result<Length, OutOfRange> {
    let share: Ratio = behind_front_axle / positive("wheelbase", wheelbase)?;
    Ok(height - front_bump - (rear_bump - front_bump) * share)
}

/// How far a car sinks at a wheel whose tyre has no air: from the loaded radius to the rim's flange on the flat carcass.
///
/// # Errors
/// A size is not above zero, or the rim is larger than the loaded tyre.
pub fn flat_tyre_drop(
    loaded_radius: Length,
    rim_diameter: Length,
    flange_height: Length,
    carcass_thickness: Length,
) -> Result<Length, OutOfRange> {
    let rim = positive("rim diameter", rim_diameter)? / 2.0 + not_negative("flange height", flange_height)?;
    let flat = rim + not_negative("thickness of the carcass", carcass_thickness)?;
    not_negative("what a tyre stands above its rim", positive("loaded radius", loaded_radius)? - flat)
}

/// Height of the arc of a circle over a chord: the least clearance at mid wheelbase that passes over a hump of that length and
/// height as over a circle through its ends and crown, `c = R - sqrt(R^2 - L^2/4)`, `R = (w^2/4 + h^2) / 2h`.
///
/// For a hump longer than the wheelbase; a shorter one is passed at its own height.
///
/// # Errors
/// A length is not above zero, or the hump is higher than half of its length.
pub fn clearance_for_hump(wheelbase: Length, hump_length: Length, hump_height: Length) -> Result<Length, OutOfRange> {
    let (l, w) = (positive("wheelbase", wheelbase)?, positive("hump length", hump_length)?);
    let h = within("hump height", hump_height, w * 1e-6, w / 2.0, in_millimetres)?;
    if w <= l {
        return Ok(h);
    }
    let r = (w * w / 4.0 + h * h) / (h * 2.0);
    let over = (l / (r * 2.0)).get::<ratio>();
    Ok(r * (1.0 - (1.0 - over * over).max(0.0).sqrt()))
}

#[cfg(test)]
mod tests {
    use uom::si::length::millimeter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn a_flat_tyre_stands_on_its_rim() {
        // 13 in rim: 165.1 mm, flange 17.3 mm (J profile, memory), carcass 10 mm: 192.4 mm of 270 mm are left.
        let drop = flat_tyre_drop(mm(270.0), mm(330.2), mm(17.3), mm(10.0)).expect("in range");
        assert!((drop - mm(77.6)).abs() < mm(1e-9));
        assert!(flat_tyre_drop(mm(150.0), mm(330.2), mm(17.3), mm(10.0)).is_err());
    }

    #[test]
    fn the_body_sinks_in_proportion() {
        let h = |x| height_with_travel(mm(150.0), mm(x), mm(2500.0), mm(60.0), mm(20.0)).expect("in range");
        assert!((h(0.0) - mm(90.0)).abs() < mm(1e-9) && (h(2500.0) - mm(130.0)).abs() < mm(1e-9));
        assert!((h(3125.0) - mm(140.0)).abs() < mm(1e-9));
    }

    #[test]
    fn a_hump_as_long_as_the_wheelbase_needs_its_height() {
        let need = |w| clearance_for_hump(mm(2500.0), mm(w), mm(100.0)).expect("in range");
        assert!((need(2500.0 + 1e-6) - mm(100.0)).abs() < mm(1e-3));
        assert!(need(3700.0) < mm(100.0) && need(900.0) == mm(100.0));
    }
}
