//! Sizes of tyres and wheels: diameter from the size marking, bolt circles, and what another offset moves.

use std::f64::consts::PI;

use uom::si::f64::{Length, Ratio};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, positive, within};

/// Outside diameter of a new tyre by its marking: `D = d + 2 w a`, with the rim's diameter `d`, the section width `w`
/// and the aspect ratio `a` (ISO 4000-1).
#[must_use]
pub fn tyre_diameter(section_width: Length, aspect_ratio: Ratio, rim_diameter: Length) -> Length {
    rim_diameter + section_width * aspect_ratio * 2.0
}

/// Rolling circumference of a radial tyre, `3.05 D` (ETRTO, from memory): about 3 % below `pi D`, since the loaded
/// tyre flattens.
#[must_use]
pub fn rolling_circumference(outside_diameter: Length) -> Length {
    outside_diameter * 3.05
}

/// Distances between the studs of a wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltCircle {
    /// Between the centres of two neighbours: `d sin(pi / n)`.
    pub adjacent: Length,
    /// Between the centres farthest apart: the circle's diameter where `n` is even, else `d cos(pi / (2 n))`.
    pub farthest: Length,
}

/// Distances between studs, to check a bolt circle with a calliper.
///
/// # Errors
/// The number of studs is not a whole number from 2 to 20.
pub fn bolt_circle(studs: Ratio, circle_diameter: Length) -> Result<BoltCircle, OutOfRange> {
    let plain = |r: Ratio| format!("{}", r.get::<ratio>());
    let least = Ratio::new::<ratio>(2.0);
    let count = within("number of studs", studs, least, Ratio::new::<ratio>(20.0), plain)?.get::<ratio>();
    if count.fract() != 0.0 {
        return Err(OutOfRange::new("number of studs", count, "the whole numbers from 2 to 20"));
    }
    let adjacent = circle_diameter * (PI / count).sin();
    let farthest = if count % 2.0 == 0.0 { circle_diameter } else { circle_diameter * (PI / (2.0 * count)).cos() };
    Ok(BoltCircle { adjacent, farthest })
}

/// What a wheel of another offset and width moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffsetChange {
    /// How far the rim's middle moves outwards; by this the scrub radius changes, and half of the track.
    pub outwards: Length,
    /// How much the track grows.
    pub track: Length,
    /// How far the rim's inner edge moves inboard.
    pub inner_edge_inboard: Length,
    /// How far the rim's outer edge moves outboard.
    pub outer_edge_outboard: Length,
}

/// What changes with another wheel: the middle moves outwards by the old less the new offset plus the spacer (an
/// offset is positive where the mounting face lies outboard of the rim's middle), the edges by that and half of the
/// gain in width. Both widths are between the flanges; the allowance for the flanges, the same on both, drops out.
///
/// # Errors
/// A width is not above zero.
pub fn offset_change(
    old_offset: Length,
    new_offset: Length,
    old_width: Length,
    new_width: Length,
    spacer: Length,
) -> Result<OffsetChange, OutOfRange> {
    let outwards = old_offset - new_offset + spacer;
    let widening = (positive("width of the new rim", new_width)? - positive("width of the old rim", old_width)?) / 2.0;
    Ok(OffsetChange {
        outwards,
        track: outwards * 2.0,
        inner_edge_inboard: widening - outwards,
        outer_edge_outboard: widening + outwards,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn half_a_stud_is_refused() {
        assert!(bolt_circle(Ratio::new::<ratio>(4.5), mm(100.0)).is_err());
        assert!(bolt_circle(Ratio::new::<ratio>(1.0), mm(100.0)).is_err());
    }

    #[test]
    fn the_same_wheel_moves_nothing() {
        let same = offset_change(mm(35.0), mm(35.0), mm(178.0), mm(178.0), mm(0.0)).expect("rims");
        for moved in [same.outwards, same.track, same.inner_edge_inboard, same.outer_edge_outboard] {
            assert_eq!(moved, mm(0.0));
        }
    }

    proptest! {
        #[test]
        fn a_spacer_is_a_smaller_offset(old in -20.0_f64..60.0, spacer in 0.0_f64..40.0, width in 120.0_f64..300.0) {
            let by_spacer = offset_change(mm(old), mm(old), mm(width), mm(width), mm(spacer)).expect("rims");
            let by_offset = offset_change(mm(old), mm(old - spacer), mm(width), mm(width), mm(0.0)).expect("rims");
            prop_assert!((by_spacer.track - by_offset.track).value.abs() < 1e-12);
            prop_assert!((by_spacer.track - by_spacer.outwards * 2.0).value.abs() < 1e-12);
        }

        #[test]
        fn neighbours_are_never_farther_than_the_farthest(studs in 2_i32..20, diameter in 80.0_f64..250.0) {
            let circle = bolt_circle(Ratio::new::<ratio>(f64::from(studs)), mm(diameter)).expect("in range");
            prop_assert!(circle.adjacent <= circle.farthest * (1.0 + 1e-12));
            prop_assert!(circle.farthest <= mm(diameter) * (1.0 + 1e-12));
        }
    }
}
