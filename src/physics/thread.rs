//! Screw threads of the ISO profile, their stress area, and what tightening a bolt does.
//!
//! Inch threads (UN) have the same 60 degree profile, with a pitch of one inch over the threads per inch; but their
//! standard counts the stress area to a lesser core, so they have a function of their own.

use std::f64::consts::PI;

use uom::si::f64::{Area, Force, Length, Pressure, Ratio, Torque};
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use super::range::{OutOfRange, not_negative, positive, within};

/// Refuses a pitch that no thread of the diameter has: it has to be above zero and at most half of the diameter.
fn check(diameter: Length, pitch: Length) -> Result<(), OutOfRange> {
    positive("diameter of the thread", diameter)?;
    positive("pitch of the thread", pitch)?;
    let mm = |l: Length| format!("{:.3} mm", l.get::<uom::si::length::millimeter>());
    within("pitch of the thread", pitch, Length::default(), diameter * 0.5, mm).map(|_| ())
}

/// Tensile stress area of a thread: `A = (pi/4) (d - 0.9382 P)^2`, with the nominal diameter `d` and the pitch `P`;
/// the number is `13 sqrt(3) / 24`, the mean of pitch and minor diameter.
///
/// Source: ISO 898-1:2013, 9.1.6.
///
/// # Errors
/// Diameter or pitch not above zero; a pitch over half of the diameter.
pub fn thread_stress_area(diameter: Length, pitch: Length) -> Result<Area, OutOfRange> {
    check(diameter, pitch)?;
    let effective = diameter - pitch * (13.0 * 3.0_f64.sqrt() / 24.0);
    Ok(effective * effective * (PI / 4.0))
}

/// Tensile stress area of an inch thread: `A = (pi/4) (d - 0.9743 / n)^2`, with the pitch `1 / n`; the number is
/// `9 sqrt(3) / 16`.
///
/// Source: ASME B1.1, appendix B (from memory; its tabulated areas were read).
///
/// # Errors
/// As [`thread_stress_area`].
pub fn inch_thread_stress_area(diameter: Length, pitch: Length) -> Result<Area, OutOfRange> {
    check(diameter, pitch)?;
    let effective = diameter - pitch * (9.0 * 3.0_f64.sqrt() / 16.0);
    Ok(effective * effective * (PI / 4.0))
}

/// Minor diameter of an external thread: `d3 = d - 1.22687 P`; the number is `17 sqrt(3) / 24` (ISO 68-1, ISO 724).
///
/// # Errors
/// As [`thread_stress_area`].
pub fn thread_minor_diameter(diameter: Length, pitch: Length) -> Result<Length, OutOfRange> {
    check(diameter, pitch)?;
    Ok(diameter - pitch * (17.0 * 3.0_f64.sqrt() / 24.0))
}

/// Area of a bolt's plain shank: `A = pi d^2 / 4`.
#[must_use]
pub fn shank_area(diameter: Length) -> Area {
    diameter * diameter * (PI / 4.0)
}

/// Load that a bolt carries without lasting stretch: `F = A S`, with the stress area `A` and the proof stress `S` of
/// its property class (ISO 898-1, tables 3 and 5).
#[must_use]
pub fn proof_load(stress_area: Area, proof_stress: Pressure) -> Force {
    stress_area * proof_stress
}

/// Preload that a torque leaves in a bolt: `F = T / (K d)`, with the nut factor `K` (about 0.20 dry, 0.15 oiled) that
/// holds both the thread's and the head's friction. A torque wrench scatters it by a quarter or more.
///
/// # Errors
/// The nut factor or the diameter is not above zero.
pub fn preload_from_torque(torque: Torque, nut_factor: Ratio, diameter: Length) -> Result<Force, OutOfRange> {
    let lever = positive("nut factor", nut_factor)? * positive("diameter of the thread", diameter)?;
    Ok(Force::new::<uom::si::force::newton>(torque.get::<newton_meter>() / lever.value))
}

/// Torque for a preload: `T = K F d`, the inverse of [`preload_from_torque`].
#[must_use]
pub fn torque_for_preload(preload: Force, nut_factor: Ratio, diameter: Length) -> Torque {
    Torque::new::<newton_meter>(nut_factor.get::<ratio>() * preload.value * diameter.value)
}

/// Turns of engaged thread: engaged length over pitch.
///
/// # Errors
/// The pitch is not above zero, or the length is below zero.
pub fn engaged_turns(engaged_length: Length, pitch: Length) -> Result<Ratio, OutOfRange> {
    Ok(not_negative("engaged length", engaged_length)? / positive("pitch of the thread", pitch)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::area::{square_inch, square_millimeter};
    use uom::si::length::{inch, millimeter};

    use super::*;

    fn stress_area(diameter: f64, pitch: f64) -> f64 {
        thread_stress_area(Length::new::<millimeter>(diameter), Length::new::<millimeter>(pitch))
            .expect("a thread")
            .get::<square_millimeter>()
    }

    #[test]
    fn metric_areas_are_those_of_the_standard() {
        // ISO 898-1 table 4 (coarse, read in a maker's copy) and table 6 (fine): diameter, pitch, area in mm and mm2.
        let table = [
            (3.0, 0.5, 5.03),
            (5.0, 0.8, 14.2),
            (6.0, 1.0, 20.1),
            (8.0, 1.25, 36.6),
            (10.0, 1.5, 58.0),
            (12.0, 1.75, 84.3),
            (14.0, 2.0, 115.0),
            (16.0, 2.0, 157.0),
            (20.0, 2.5, 245.0),
            (24.0, 3.0, 353.0),
            (8.0, 1.0, 39.2),
            (12.0, 1.25, 92.1),
            (18.0, 1.5, 216.0),
        ];
        for (d, p, area) in table {
            assert!((stress_area(d, p) / area - 1.0).abs() < 0.004, "M{d}x{p}: {}", stress_area(d, p));
        }
    }

    #[test]
    fn inch_areas_are_those_of_the_standard() {
        // ASME B1.1 as tabulated by a maker: diameter in inches, threads per inch, area in square inches.
        let table = [
            (0.25, 20.0, 0.0318),
            (0.25, 28.0, 0.0364),
            (0.3125, 18.0, 0.0524),
            (0.375, 24.0, 0.0878),
            (0.4375, 20.0, 0.1187),
            (0.5, 13.0, 0.1419),
            (0.625, 11.0, 0.2260),
        ];
        for (d, n, area) in table {
            let got = inch_thread_stress_area(Length::new::<inch>(d), Length::new::<inch>(1.0 / n)).expect("a thread");
            assert!((got.get::<square_inch>() / area - 1.0).abs() < 0.004, "{d}-{n}: {got:?}");
        }
    }

    #[test]
    fn proof_loads_are_those_of_the_standard() {
        // ISO 898-1 table 5 in kN for classes 8.8, 10.9 and 12.9 (580, 830 and 970 MPa); the table
        // multiplies rounded areas.
        for (d, p, loads) in
            [(6.0, 1.0, [11.6, 16.7, 19.5]), (10.0, 1.5, [33.7, 48.1, 56.3]), (14.0, 2.0, [66.7, 95.5, 112.0])]
        {
            for (stress, kilonewtons) in [580e6, 830e6, 970e6].into_iter().zip(loads) {
                let area = Area::new::<square_millimeter>(stress_area(d, p));
                let load = proof_load(area, Pressure::new::<uom::si::pressure::pascal>(stress));
                assert!((load.value / (kilonewtons * 1e3) - 1.0).abs() < 0.007, "M{d}: {load:?}");
            }
        }
    }

    #[test]
    fn no_thread_is_that_coarse() {
        let mm = |x: f64| Length::new::<millimeter>(x);
        assert!(thread_stress_area(mm(8.0), mm(4.5)).is_err());
        assert!(thread_stress_area(mm(8.0), mm(0.0)).is_err());
        assert!(thread_minor_diameter(mm(-8.0), mm(1.0)).is_err());
    }

    proptest! {
        #[test]
        fn areas_are_ordered(d in 3.0_f64..40.0, share in 0.05_f64..0.3) {
            let (diameter, pitch) = (Length::new::<millimeter>(d), Length::new::<millimeter>(d * share));
            let tensile = thread_stress_area(diameter, pitch).expect("in range");
            prop_assert!(shank_area(thread_minor_diameter(diameter, pitch).expect("in range")) < tensile);
            prop_assert!(tensile < shank_area(diameter));
        }

        #[test]
        fn torque_and_preload_are_inverse(newton_meters in 1.0_f64..300.0, k in 0.1_f64..0.3, d in 4.0_f64..24.0) {
            let (torque, diameter) = (Torque::new::<newton_meter>(newton_meters), Length::new::<millimeter>(d));
            let factor = Ratio::new::<ratio>(k);
            let preload = preload_from_torque(torque, factor, diameter).expect("in range");
            prop_assert!((torque_for_preload(preload, factor, diameter).value / newton_meters - 1.0).abs() < 1e-12);
        }
    }
}
