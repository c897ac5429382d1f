//! Lugs and the bolts through them: a bolt bent by a rod end beside its bracket, the moment in double shear, tear-out
//! of the lug.

use std::f64::consts::PI;

use uom::si::f64::{Force, Length, Pressure, Ratio, Torque};
use uom::si::length::millimeter;
use uom::si::torque::newton_meter;

use super::range::{OutOfRange, not_negative, positive};

/// Stresses in a bolt that is bent and sheared at one section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BentBolt {
    /// Bending moment at the section.
    pub moment: Torque,
    /// Bending stress in the outermost fibre.
    pub bending: Pressure,
    /// Mean shear stress.
    pub shear: Pressure,
    /// √(bending² + 3 shear²), von Mises, taking both at one point: the careful side.
    pub equivalent: Pressure,
}

/// A bolt held in a bracket on one side only, as in single shear through a rod end, bent by the force F at the arm e
/// from the bracket's face to the middle of the ball: M = F e, σ = 32 M / (π d³), τ = F / A.
///
/// `diameter` is that of the section at the bracket's face: the minor diameter where the thread begins there. A
/// preload that keeps the faces closed lowers the stress; it is not counted.
///
/// # Errors
/// The force or the arm is negative, or the diameter is not above zero.
pub fn bolt_in_single_shear(force: Force, arm: Length, diameter: Length) -> Result<BentBolt, OutOfRange> {
    let force = not_negative("force on the bolt", force)?;
    let arm = not_negative("arm of the force", arm)?;
    bent(force, Torque::new::<newton_meter>(force.value * arm.value), diameter)
}

/// A bolt through a fork and an inner part: M = F / 2 (t1 / 2 + t2 / 4 + g), with the thickness t1 of each outer lug,
/// t2 of the inner part and the gap g on each side; the shear is that of one of two planes (the usual pin formula of
/// airframe design handbooks, memory).
///
/// # Errors
/// The force or the gap is negative, or a thickness or the diameter is not above zero.
pub fn bolt_in_double_shear(
    force: Force,
    outer_thickness: Length,
    inner_thickness: Length,
    gap: Length,
    diameter: Length,
) -> Result<BentBolt, OutOfRange> {
    let half = not_negative("force on the bolt", force)? / 2.0;
    let outer = positive("thickness of an outer lug", outer_thickness)?;
    let inner = positive("thickness of the inner part", inner_thickness)?;
    let arm = outer / 2.0 + inner / 4.0 + not_negative("gap between the lugs", gap)?;
    bent(half, Torque::new::<newton_meter>(half.value * arm.value), diameter)
}

fn bent(force: Force, moment: Torque, diameter: Length) -> Result<BentBolt, OutOfRange> {
    let d = positive("diameter of the bolt", diameter)?;
    let bending = super::beam::bending_stress(moment, d * d * d * (PI / 32.0))?;
    let shear: Pressure = force / (d * d * (PI / 4.0));
    Ok(BentBolt { moment, bending, shear, equivalent: (bending * bending + shear * shear * 3.0).sqrt() })
}

/// Load at which the metal between a hole and the free edge shears out: F = 2 t (e - d / 2) τ, with the distance e
/// from the hole's middle to the edge in the direction of the load, the hole's diameter d, the thickness t and the
/// shear strength τ.
///
/// # Errors
/// The hole reaches the edge, or the thickness or the strength is not above zero.
pub fn lug_tear_out_load(
    end_distance: Length,
    hole_diameter: Length,
    thickness: Length,
    shear_strength: Pressure,
) -> Result<Force, OutOfRange> {
    let left = end_distance - positive("diameter of the hole", hole_diameter)? / 2.0;
    if left.value.is_nan() || left.value <= 0.0 {
        let mm = |l: Length| l.get::<millimeter>();
        let allowed = format!("values above the hole's radius, {:.2} mm", mm(hole_diameter) / 2.0);
        return Err(OutOfRange::new("end distance of the hole", format_args!("{:.2} mm", mm(end_distance)), allowed));
    }
    Ok(positive("shear strength", shear_strength)? * (left * positive("thickness", thickness)?) * 2.0)
}

/// The use of a bolt's strength under shear and tension together: V / V_R + N / (1.4 N_R), to stay at or below 1, with
/// N / N_R alone also at or below 1 (EN 1993-1-8 table 3.4, memory). Shares are load over strength.
///
/// # Errors
/// A share is negative.
pub fn bolt_combined_use(shear_share: Ratio, tension_share: Ratio) -> Result<Ratio, OutOfRange> {
    let shear = not_negative("share of the shear strength", shear_share)?;
    let tension = not_negative("share of the tensile strength", tension_share)?;
    Ok((shear + tension / 1.4).max(tension))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;
    use uom::si::pressure::megapascal;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn an_offset_rod_end_by_hand() {
        // 5 kN at 15 mm on 12 mm: 75 N m; 32 M / (π d³) = 442.1 MPa; 5000 / 113.10 mm² = 44.21 MPa; together 448.6 MPa.
        let bolt = bolt_in_single_shear(Force::new::<newton>(5000.0), mm(15.0), mm(12.0)).expect("in range");
        assert!((bolt.moment.value - 75.0).abs() < 1e-9);
        assert!((bolt.bending.get::<megapascal>() - 442.1).abs() < 0.1);
        assert!((bolt.equivalent.get::<megapascal>() - 448.6).abs() < 0.1);
    }

    #[test]
    fn a_hole_at_the_edge_is_refused() {
        let steel = Pressure::new::<megapascal>(240.0);
        assert!(lug_tear_out_load(mm(6.0), mm(12.0), mm(5.0), steel).is_err());
        assert!(lug_tear_out_load(mm(f64::NAN), mm(12.0), mm(5.0), steel).is_err());
        assert!(bolt_in_single_shear(Force::new::<newton>(1.0), mm(1.0), mm(0.0)).is_err());
        assert!(bolt_combined_use(Ratio::from(-0.1), Ratio::from(0.5)).is_err());
    }

    proptest! {
        #[test]
        fn a_fork_spares_the_bolt(f in 100.0..2e4f64, d in 6.0..16.0f64, outer in 2.0..8.0f64, inner in 8.0..20.0f64) {
            let force = Force::new::<newton>(f);
            let fork = bolt_in_double_shear(force, mm(outer), mm(inner), mm(0.0), mm(d)).expect("in range");
            let single = bolt_in_single_shear(force, mm(outer / 2.0 + inner / 2.0), mm(d)).expect("in range");
            prop_assert!(fork.equivalent < single.equivalent);
            prop_assert!(((single.shear / fork.shear).value - 2.0).abs() < 1e-9);
        }

        #[test]
        fn tear_out_grows_with_the_edge(e in 10.0..60.0f64, t in 1.0..12.0f64) {
            let steel = Pressure::new::<megapascal>(240.0);
            let load = |e: f64, t: f64| lug_tear_out_load(mm(e), mm(12.0), mm(t), steel).expect("in range").value;
            prop_assert!((load(e, 2.0 * t) / load(e, t) - 2.0).abs() < 1e-9);
            prop_assert!((load(e + 1.0, t) - load(e, t) - 480.0 * t).abs() < 1e-6);
        }

        #[test]
        fn neither_load_alone_may_pass_its_strength(v in 0.0..1.2f64, n in 0.0..1.2f64) {
            let share = bolt_combined_use(Ratio::from(v), Ratio::from(n)).expect("in range").value;
            prop_assert!(share >= v.max(n) - 1e-12 && share <= v + n + 1e-12);
        }
    }
}
