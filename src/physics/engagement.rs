//! How long a thread must be engaged so that the bolt breaks before either thread is stripped.

use std::f64::consts::PI;

use uom::si::f64::{Force, Length, Pressure, Ratio};

use super::range::{OutOfRange, positive, within};
use super::thread::thread_stress_area;

/// Lengths of engagement at which stripping would take as much force as breaking the bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Engagement {
    /// For the thread of the bolt.
    pub for_bolt_thread: Length,
    /// For the thread of the part that it is screwed into.
    pub for_part_thread: Length,
    /// The greater of both.
    pub needed: Length,
}

/// Length of engagement L at which the bolt's strength Rm As equals the strength r Rm A L of a thread in shear, with
/// the ratio r of shear to tensile strength and the shear area A per length of the basic ISO profile: 7/8 π d in the
/// part (at the crests of the bolt), 3/4 π d1 in the bolt (at the crests of the part), d1 = d - 1.08253 P.
///
/// Basic sizes, even load along the thread, no widening of the part: tolerances, chamfers and widening take a third or
/// more off the strength, which is why practice asks for 1, 1.5 and 2 diameters in steel, iron and aluminium.
///
/// # Errors
/// A strength is not above zero, the ratio is outside 0.4 to 0.8, a length is not above zero, or the pitch is over
/// half of the diameter.
pub fn engagement_for_bolt_strength(
    diameter: Length,
    pitch: Length,
    bolt_strength: Pressure,
    part_strength: Pressure,
    shear_to_tensile: Ratio,
) -> Result<Engagement, OutOfRange> {
    let (low, high) = (Ratio::from(0.4), Ratio::from(0.8));
    let ratio = within("ratio of shear to tensile strength", shear_to_tensile, low, high, |r| r.value.to_string())?;
    let bolt = positive("tensile strength of the bolt", bolt_strength)?;
    let part = positive("tensile strength of the part", part_strength)?;
    let breaks: Force = bolt * thread_stress_area(diameter, pitch)?;
    let crests_of_part = diameter - pitch * (5.0 * 3f64.sqrt() / 8.0);
    let for_bolt_thread = breaks / (bolt * ratio * crests_of_part * (0.75 * PI));
    let for_part_thread = breaks / (part * ratio * diameter * (0.875 * PI));
    Ok(Engagement { for_bolt_thread, for_part_thread, needed: for_bolt_thread.max(for_part_thread) })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;
    use uom::si::pressure::megapascal;

    use super::*;

    fn engagement(d: f64, p: f64, bolt: f64, part: f64) -> Engagement {
        engagement_for_bolt_strength(
            Length::new::<millimeter>(d),
            Length::new::<millimeter>(p),
            Pressure::new::<megapascal>(bolt),
            Pressure::new::<megapascal>(part),
            Ratio::from(0.6),
        )
        .expect("in range")
    }

    #[test]
    fn what_is_needed_stays_below_the_practice_of_the_trade() {
        // A standard nut, 0.8 d high, breaks its bolt (ISO 898-2): the basic length has to be well below that.
        let in_steel = engagement(10.0, 1.5, 800.0, 800.0).needed.get::<millimeter>();
        assert!((3.0..8.0).contains(&in_steel), "{in_steel}");
        let in_aluminium = engagement(10.0, 1.5, 800.0, 250.0).needed.get::<millimeter>();
        assert!((8.0..20.0).contains(&in_aluminium), "{in_aluminium}");
    }

    #[test]
    fn a_weak_part_decides() {
        let soft = engagement(8.0, 1.25, 1000.0, 200.0);
        assert_eq!(soft.needed, soft.for_part_thread);
        let hard = engagement(8.0, 1.25, 800.0, 1200.0);
        assert_eq!(hard.needed, hard.for_bolt_thread);
    }

    proptest! {
        #[test]
        fn length_goes_with_size_and_against_the_parts_strength(
            d in 4.0..24.0f64, share in 0.08..0.2f64, bolt in 400.0..1200.0f64, part in 150.0..400.0f64,
        ) {
            let one = engagement(d, share * d, bolt, part);
            let twice = engagement(2.0 * d, share * 2.0 * d, bolt, part);
            prop_assert!(((twice.needed / one.needed).value - 2.0).abs() < 1e-9);
            let harder = engagement(d, share * d, bolt, 2.0 * part);
            prop_assert!(((one.for_part_thread / harder.for_part_thread).value - 2.0).abs() < 1e-9);
            prop_assert_eq!(one.for_bolt_thread, harder.for_bolt_thread);
        }
    }
}
