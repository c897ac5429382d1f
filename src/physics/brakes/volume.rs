//! Fluid: what the calipers and hoses ask for, what the cylinder and the pedal must travel for it, what wear needs.
//!
//! Symbols: A_t area of ALL pistons of a circuit, both sides (unlike for the clamp force), t piston travel, V volume,
//! d bore, R pedal ratio. Source: the volume budget of Limpert, Brake Design and Safety (memory).

use uom::si::f64::{Area, Length, Pressure, Ratio, Volume};
use uom::si::ratio::ratio;
use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N1, P2, P4, Z0};

use super::hydraulics::piston_area;
use crate::physics::range::{OutOfRange, not_negative, positive};

/// Volume taken up per rise of pressure.
pub type VolumePerPressure = Quantity<ISQ<P4, N1, P2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// Fluid that pistons take in: V = A_t t.
///
/// # Errors
/// A value is negative.
pub fn piston_displacement(area_of_all_pistons: Area, travel: Length) -> Result<Volume, OutOfRange> {
    Ok(not_negative("area of all pistons", area_of_all_pistons)? * not_negative("piston travel", travel)?)
}

/// Fluid that hoses take up by swelling: V = e l p / p_0, proportional to the pressure, from the swell `e` (volume per
/// length) that the maker or the standard gives at a reference pressure.
///
/// # Errors
/// A value is negative, or the reference pressure not above zero.
pub fn hose_swell(
    swell_per_length: Area,
    reference: Pressure,
    length: Length,
    pressure: Pressure,
) -> Result<Volume, OutOfRange> {
    let share = not_negative("line pressure", pressure)? / positive("reference pressure of the hose", reference)?;
    Ok(not_negative("swell of the hose", swell_per_length)? * not_negative("length of hose", length)? * share)
}

/// Fluid taken up by what gives elastically (caliper housing, pads, hose, trapped air): V = K p.
///
/// # Errors
/// A value is negative.
pub fn elastic_volume(per_pressure: VolumePerPressure, pressure: Pressure) -> Result<Volume, OutOfRange> {
    Ok(not_negative("volume per pressure", per_pressure)? * not_negative("line pressure", pressure)?)
}

/// Piston travel taken up by springy pads: the loss of thickness of both pads, proportional to pressure, from the
/// thickness lost at a reference pressure.
///
/// # Errors
/// A value is negative, or the reference pressure not above zero.
pub fn pad_compression(
    loss_at_reference: Length,
    reference: Pressure,
    pressure: Pressure,
) -> Result<Length, OutOfRange> {
    let loss = not_negative("compression of the pad", loss_at_reference)?;
    let share = not_negative("line pressure", pressure)? / positive("reference pressure of the pad", reference)?;
    Ok(loss * share)
}

/// Stroke of a master cylinder that delivers a volume: s = 4 V / (pi d^2).
///
/// # Errors
/// The volume is negative or the bore not above zero.
pub fn cylinder_stroke(volume: Volume, bore: Length) -> Result<Length, OutOfRange> {
    Ok(not_negative("volume of fluid", volume)? / piston_area(bore, Ratio::new::<ratio>(1.0))?)
}

/// Travel of the foot pad that makes a stroke: s_foot = R s. On a balance bar R times the strokes, each weighted with
/// its cylinder's share.
///
/// # Errors
/// The stroke is negative or the ratio not above zero.
pub fn pedal_travel(stroke: Length, pedal_ratio: Ratio) -> Result<Length, OutOfRange> {
    Ok(not_negative("stroke of the cylinder", stroke)? * positive("pedal ratio", pedal_ratio)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;
    use uom::si::pressure::bar;
    use uom::si::volume::cubic_centimeter;

    use super::*;

    #[test]
    fn negative_length_of_hose_is_refused() {
        let swell = Area::new::<uom::si::area::square_meter>(1e-6);
        let (p, l) = (Pressure::new::<bar>(70.0), Length::new::<millimeter>(-1.0));
        assert!(hose_swell(swell, p, l, p).is_err());
    }

    proptest! {
        #[test]
        fn stroke_and_displacement_are_inverse(bore in 12.0..30.0f64, stroke in 0.1..40.0f64) {
            let (bore, stroke) = (Length::new::<millimeter>(bore), Length::new::<millimeter>(stroke));
            let area = piston_area(bore, Ratio::new::<ratio>(1.0)).expect("valid");
            let volume = piston_displacement(area, stroke).expect("valid");
            let back = cylinder_stroke(volume, bore).expect("valid");
            prop_assert!((back - stroke).abs() < Length::new::<millimeter>(1e-9));
        }

        #[test]
        fn swell_grows_with_length_and_pressure(l in 1.0..3000.0f64, p in 0.0..150.0f64) {
            let swell = Area::new::<uom::si::area::square_meter>(1e-6);
            let at = |l: f64, p: f64| {
                let (l, p) = (Length::new::<millimeter>(l), Pressure::new::<bar>(p));
                hose_swell(swell, Pressure::new::<bar>(69.0), l, p).expect("valid").get::<cubic_centimeter>()
            };
            prop_assert!((at(2.0 * l, p) - 2.0 * at(l, p)).abs() < 1e-9);
            prop_assert!(at(l, p + 1.0) > at(l, p));
        }
    }
}
