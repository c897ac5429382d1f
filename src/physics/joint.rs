//! A bolted lap joint: shear of the bolts, bearing and tearing of the sheets, tension left in the net section, and
//! the pull in a tank's straps.

use uom::si::angle::degree;
use uom::si::f64::{Angle, Area, Force, Length, Pressure, Ratio};
use uom::si::force::newton;
use uom::si::ratio::ratio;

use super::range::{OutOfRange, not_negative, positive, within};

/// Mean shear stress in bolts: `tau = F / (n A)`, with the force `F`, the number `n` of shear planes (of all bolts)
/// and the area `A` in the plane: [`super::thread::thread_stress_area`] where the thread runs through it, else
/// [`super::thread::shank_area`].
///
/// # Errors
/// The area or the number of planes is not above zero.
pub fn bolt_shear_stress(force: Force, area: Area, shear_planes: Ratio) -> Result<Pressure, OutOfRange> {
    Ok(force / (positive("area in shear", area)? * positive("number of shear planes", shear_planes)?))
}

/// Stress in a bolt that carries a load beside its support.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinStress {
    /// Mean shear stress.
    pub shear: Pressure,
    /// Greatest bending stress.
    pub bending: Pressure,
}

/// Shear and bending in a round bolt that carries a load at a distance from its support, as through a rod end:
/// `tau = F / (n A)`, `s = 32 F a / (n pi d^3)`, with the number `n` of shear planes (1 held on one side only, 2 held on both
/// sides, where each side takes half of the load), the lever `a` from the face of the support to the middle of the rod end's
/// ball, and the diameter `d` of shank or thread core at that face.
///
/// The clamped bolt is taken as built in at the face and the help of friction is left out. Source: beam theory.
///
/// # Errors
/// Diameter or number of planes is not above zero, or the lever is below zero.
pub fn pin_stress(force: Force, diameter: Length, lever: Length, shear_planes: Ratio) -> Result<PinStress, OutOfRange> {
    let d = positive("diameter of the bolt", diameter)?;
    let planes = positive("number of shear planes", shear_planes)?;
    let lever = not_negative("lever of the load", lever)?;
    let area = d * d * (std::f64::consts::PI / 4.0);
    let shear = force / (area * planes);
    Ok(PinStress { shear, bending: shear * (lever / d) * 8.0 })
}

/// Load at which bolts shear: `F = n r Rm A`, with the number `n` of shear planes, the ratio `r` of shear to tensile
/// strength (0.6: EN 1993-1-8 table 3.4; 0.5 for classes 4.8, 5.8, 6.8 and 10.9 with the thread in the plane), the
/// tensile strength `Rm` and the area `A`.
///
/// # Errors
/// The ratio lies outside 0.4 to 0.7.
pub fn bolt_shear_load(
    tensile_strength: Pressure,
    shear_to_tensile: Ratio,
    area: Area,
    shear_planes: Ratio,
) -> Result<Force, OutOfRange> {
    let share = within(
        "ratio of shear to tensile strength",
        shear_to_tensile,
        Ratio::new::<ratio>(0.4),
        Ratio::new::<ratio>(0.7),
        |r| format!("{:.2}", r.get::<ratio>()),
    )?;
    Ok(tensile_strength * area * share * shear_planes)
}

/// Load at an allowed bearing stress on a bolt's projected area: `F = s d t`, with the bolt's diameter `d` and the
/// sheet's thickness `t`.
#[must_use]
pub fn bearing_load(allowed_stress: Pressure, bolt_diameter: Length, thickness: Length) -> Force {
    allowed_stress * (bolt_diameter * thickness)
}

/// Load at an allowed tension in the sheet beside the hole: `F = s (b - d) t`, with the sheet's width `b` and the
/// hole's diameter `d`.
///
/// # Errors
/// The hole is as wide as the sheet or wider.
pub fn net_section_load(
    allowed_stress: Pressure,
    width: Length,
    hole_diameter: Length,
    thickness: Length,
) -> Result<Force, OutOfRange> {
    Ok(allowed_stress * (positive("width left beside the hole", width - hole_diameter)? * thickness))
}

/// What a sheet bears at a bolt, and what brought it there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    /// Share of the bearing strength that the end distance and the bolt allow.
    pub alpha_b: Ratio,
    /// Factor of the edge distance across the load, at most 2.5.
    pub k1: Ratio,
    /// Load that the sheet bears at one bolt, before any partial factor.
    pub resistance: Force,
    /// End distance in hole diameters.
    pub end_distance_over_hole: Ratio,
}

/// Bearing of a sheet at an end bolt: `F = k1 ab fu d t`, with `ab` the least of `e1 / (3 d0)`, `fub / fu` and 1, and
/// `k1` the lesser of `2.8 e2 / d0 - 1.7` and 2.5.
///
/// `hole_diameter` d0; `end_distance` e1 from the hole's centre to the free end in the direction of the load;
/// `edge_distance` e2 across it; `sheet_strength` fu and `bolt_strength` fub are tensile strengths; bolt diameter d
/// and thickness t make the `bearing_area`.
///
/// Source: EN 1993-1-8 table 3.4 (from memory), with a partial factor of 1: divide by yours.
///
/// # Errors
/// A length, area or strength is not above zero; an end or edge distance below 1.2 hole diameters, which the standard
/// does not cover.
pub fn sheet_bearing(
    bearing_area: Area,
    hole_diameter: Length,
    end_distance: Length,
    edge_distance: Length,
    sheet_strength: Pressure,
    bolt_strength: Pressure,
) -> Result<Bearing, OutOfRange> {
    let area = positive("bearing area", bearing_area)?;
    let hole = positive("diameter of the hole", hole_diameter)?;
    let end: Ratio = covered("end distance over hole diameter", end_distance / hole)?;
    let edge: Ratio = covered("edge distance over hole diameter", edge_distance / hole)?;
    let sheet = positive("tensile strength of the sheet", sheet_strength)?;
    let one = Ratio::new::<ratio>(1.0);
    let bolt: Ratio = bolt_strength / sheet;
    let alpha_b = (end / 3.0).min(bolt).min(one);
    let k1 = (edge * 2.8 - Ratio::new::<ratio>(1.7)).min(Ratio::new::<ratio>(2.5));
    Ok(Bearing { alpha_b, k1, resistance: sheet * area * alpha_b * k1, end_distance_over_hole: end })
}

fn covered(what: &'static str, distance: Ratio) -> Result<Ratio, OutOfRange> {
    if distance.get::<ratio>() >= 1.2 && distance.is_finite() {
        Ok(distance)
    } else {
        Err(OutOfRange::new(what, format_args!("{:.2}", distance.get::<ratio>()), "1.2 and above"))
    }
}

/// Pull in each leg of straps that hold a load: `T = F / (2 n cos a)`, with the force `F`, the number `n` of straps,
/// each with two legs, and the angle `a` of the legs from the direction of the force.
///
/// # Errors
/// The number of straps is not above zero; the angle lies outside 0 to 80 degrees.
pub fn strap_pull(force: Force, straps: Ratio, leg_angle: Angle) -> Result<Force, OutOfRange> {
    let degrees = |a: Angle| format!("{:.1}°", a.get::<degree>());
    let angle = within("angle of the strap's legs", leg_angle, Angle::default(), Angle::new::<degree>(80.0), degrees)?;
    let legs = positive("number of straps", straps)? * 2.0 * angle.cos();
    Ok(Force::new::<newton>(force.get::<newton>() / legs.get::<ratio>()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::area::square_millimeter;
    use uom::si::length::millimeter;
    use uom::si::pressure::megapascal;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn mpa(value: f64) -> Pressure {
        Pressure::new::<megapascal>(value)
    }

    fn bearing(end: f64, edge: f64) -> Result<Bearing, OutOfRange> {
        sheet_bearing(mm(8.0) * mm(2.0), mm(9.0), mm(end), mm(edge), mpa(360.0), mpa(800.0))
    }

    #[test]
    fn far_from_the_edges_a_sheet_bears_two_and_a_half_times_its_strength() {
        // EN 1993-1-8 table 3.4: both factors at their tops give 2.5 fu d t.
        let most = bearing(40.0, 40.0).expect("covered").resistance;
        assert!((most.value - 2.5 * 360.0 * 16.0).abs() < 1e-6);
    }

    #[test]
    fn too_near_an_edge_is_refused() {
        assert!(bearing(10.0, 20.0).is_err());
        assert!(bearing(20.0, 10.0).is_err());
    }

    #[test]
    fn a_strap_straight_over_carries_half_of_its_share() {
        let pull = strap_pull(Force::new::<newton>(8000.0), Ratio::new::<ratio>(2.0), Angle::default());
        assert!((pull.expect("in range").get::<newton>() - 2000.0).abs() < 1e-9);
        let flat = strap_pull(Force::new::<newton>(8000.0), Ratio::new::<ratio>(2.0), Angle::new::<degree>(85.0));
        assert!(flat.is_err());
    }

    #[test]
    fn a_bolt_held_on_one_side_bends_by_the_flexure_formula() {
        // By hand: 8 kN on a 10 mm bolt, 12 mm from its support. W = pi d^3 / 32 = 98.175 mm3, M = 96 N m: 977.8 MPa;
        // A = 78.54 mm2: 101.9 MPa.
        let one =
            |n| pin_stress(Force::new::<newton>(8000.0), mm(10.0), mm(12.0), Ratio::new::<ratio>(n)).expect("in range");
        assert!((one(1.0).bending.get::<megapascal>() - 977.85).abs() < 0.05);
        assert!((one(1.0).shear.get::<megapascal>() - 101.86).abs() < 0.01);
        assert!((one(2.0).bending / one(1.0).bending).get::<ratio>() == 0.5);
        assert!(pin_stress(Force::new::<newton>(1.0), mm(0.0), mm(1.0), Ratio::new::<ratio>(1.0)).is_err());
    }

    #[test]
    fn a_hole_as_wide_as_the_strap_is_refused() {
        assert!(net_section_load(mpa(200.0), mm(8.0), mm(8.0), mm(2.0)).is_err());
    }

    proptest! {
        #[test]
        fn bearing_never_falls_with_more_metal(end in 11.0_f64..40.0, edge in 11.0_f64..40.0) {
            let base = bearing(end, edge).expect("in range").resistance;
            prop_assert!(bearing(end * 1.1, edge).expect("in range").resistance >= base);
            prop_assert!(bearing(end, edge * 1.1).expect("in range").resistance >= base);
        }

        #[test]
        fn shear_stress_and_shear_load_agree(
            strength in 400.0_f64..1300.0,
            planes in 1.0_f64..4.0,
            area in 10.0_f64..200.0,
        ) {
            let (plane, n) = (Area::new::<square_millimeter>(area), Ratio::new::<ratio>(planes));
            let share = Ratio::new::<ratio>(0.6);
            let load = bolt_shear_load(mpa(strength), share, plane, n).expect("in range");
            let stress = bolt_shear_stress(load, plane, n).expect("in range");
            prop_assert!((stress.value / (0.6 * strength * 1e6) - 1.0).abs() < 1e-12);
        }

        #[test]
        fn flatter_legs_pull_harder(angle in 0.0_f64..78.0) {
            let (load, two) = (Force::new::<newton>(1e4), Ratio::new::<ratio>(2.0));
            let at = |a: f64| strap_pull(load, two, Angle::new::<degree>(a)).expect("in range");
            prop_assert!(at(angle + 1.0) > at(angle));
        }
    }
}
