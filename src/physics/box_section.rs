//! Sections of rectangular tube with sharp corners, as gussets, brackets and rails are made of.

use uom::si::f64::{Area, Length, Volume};
use uom::si::length::millimeter;

use super::range::{OutOfRange, positive};
use super::tube::AreaMoment;

/// Properties of a rectangular section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoxSection {
    /// Area of the metal.
    pub area: Area,
    /// Second moment against bending that stretches the top and bottom walls.
    pub second_moment: AreaMoment,
    /// Elastic section modulus in that bending.
    pub section_modulus: Volume,
    /// Second moment against bending that stretches the side walls.
    pub sideways_second_moment: AreaMoment,
    /// Elastic section modulus in that bending.
    pub sideways_section_modulus: Volume,
    /// Torsion constant of the closed thin wall (Bredt): I_t = 4 A_m² t / u, A_m and u the area and length of the
    /// wall's middle line.
    pub torsion_constant: AreaMoment,
}

/// Section properties of a rectangular tube of the height h, the width b and an even wall t: I = (b h³ - b' h'³) / 12,
/// b' = b - 2 t, h' = h - 2 t. Rounded corners of a drawn tube take 2 to 5 % off.
///
/// # Errors
/// A length is not above zero, or the wall is half of a side or more.
pub fn box_section(height: Length, width: Length, wall: Length) -> Result<BoxSection, OutOfRange> {
    let (h, b) = (positive("height of the tube", height)?, positive("width of the tube", width)?);
    let t = positive("wall of the tube", wall)?;
    if t * 2.0 >= h.min(b) {
        let mm = |l: Length| l.get::<millimeter>();
        let allowed = format!("values below half of the smaller side, {:.2} mm", mm(h.min(b)) / 2.0);
        return Err(OutOfRange::new("wall of the tube", format_args!("{:.2} mm", mm(t)), allowed));
    }
    let (inner_h, inner_b) = (h - t * 2.0, b - t * 2.0);
    let second = |b: Length, h: Length, ib: Length, ih: Length| (b * h * h * h - ib * ih * ih * ih) / 12.0;
    let second_moment = second(b, h, inner_b, inner_h);
    let sideways = second(h, b, inner_h, inner_b);
    let (middle_h, middle_b) = (h - t, b - t);
    let enclosed = middle_h * middle_b;
    Ok(BoxSection {
        area: h * b - inner_h * inner_b,
        second_moment,
        section_modulus: second_moment / h * 2.0,
        sideways_second_moment: sideways,
        sideways_section_modulus: sideways / b * 2.0,
        torsion_constant: enclosed * enclosed * t * 2.0 / (middle_h + middle_b),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn section(h: f64, b: f64, t: f64) -> Result<BoxSection, OutOfRange> {
        box_section(Length::new::<millimeter>(h), Length::new::<millimeter>(b), Length::new::<millimeter>(t))
    }

    #[test]
    fn a_wall_that_fills_the_tube_is_refused() {
        assert!(section(40.0, 20.0, 10.0).is_err());
        assert!(section(40.0, 20.0, 0.0).is_err());
        assert!(section(40.0, 20.0, f64::NAN).is_err());
    }

    proptest! {
        #[test]
        fn turned_over_the_axes_change_places(h in 15.0..120.0f64, b in 15.0..120.0f64, t in 0.8..5.0f64) {
            let (one, other) = (section(h, b, t).expect("a tube"), section(b, h, t).expect("a tube"));
            prop_assert!(((one.second_moment / other.sideways_second_moment).value - 1.0).abs() < 1e-12);
            prop_assert!(((one.area - other.area) / one.area).value.abs() < 1e-12);
            prop_assert!((one.torsion_constant.value / other.torsion_constant.value - 1.0).abs() < 1e-12);
        }

        #[test]
        fn twice_the_size_is_sixteen_times_the_stiffness(h in 15.0..60.0f64, b in 15.0..60.0f64, t in 0.8..3.0f64) {
            let (one, two) = (section(h, b, t).expect("a tube"), section(2.0 * h, 2.0 * b, 2.0 * t).expect("a tube"));
            prop_assert!((two.second_moment.value / one.second_moment.value - 16.0).abs() < 1e-9);
            prop_assert!((two.section_modulus.value / one.section_modulus.value - 8.0).abs() < 1e-9);
        }
    }
}
