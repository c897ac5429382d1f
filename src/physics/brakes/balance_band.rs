//! The settings of a balance bar at which the lock order and the use of adhesion are as the regulation asks.
//!
//! Two conditions bound the share of the front axle. Rear adhesion k_r <= z / 0.9 for z from 0.15 to 0.8 (49 CFR 571.135
//! S7.4.5, read) gives the least; z >= 0.1 + 0.7 (k_f - 0.2) for k_f from 0.2 to 0.8 (UN Regulation 13-H annex 5 3.1,
//! memory), the same as k_f <= (z + 0.04) / 0.7 for z from 0.1 to 0.52, gives the greatest. The rear axle keeps the
//! second wherever it keeps the first.

use uom::si::f64::{Length, Ratio};
use uom::si::ratio::ratio;

use super::balance::{braking_rate, shape, share};
use crate::physics::range::{OutOfRange, positive};

/// A band of shares, both ends in it; empty where the least is above the greatest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareBand {
    /// Smallest share that keeps the rear axle from locking first.
    pub least: Ratio,
    /// Greatest share that still uses the rear axle's adhesion enough.
    pub greatest: Ratio,
}

const TOP_RATE: f64 = 0.8;
const REAR_SHARE_OF_ADHESION: f64 = 0.9;

/// Band of the front axle's share of the braking force, the same at every braking rate:
/// least 1 - (a - 0.8 h) / (0.9 L); greatest min over z of (z + 0.04) (b + z h) / (0.7 z L), whose lowest point stands
/// at z = sqrt(0.04 b / h), kept within 0.1 to 0.52. Ends beyond 0 or 1 are drawn in.
///
/// # Errors
/// The centre of gravity does not stand between the axles, or the rear wheels lift below z = 0.8.
pub fn safe_front_shares(
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
) -> Result<ShareBand, OutOfRange> {
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let top = braking_rate(Ratio::new::<ratio>(TOP_RATE), &shape)?;
    let least = 1.0 - shape.load_shares(top).1 / REAR_SHARE_OF_ADHESION;
    // Without height the bound falls all the way to the end of the range.
    let lowest = if shape.height > 0.0 { (0.04 * shape.front / shape.height).sqrt() } else { 0.52 };
    let z = lowest.clamp(0.1, 0.52);
    let greatest = (z + 0.04) * shape.load_shares(z).0 / (0.7 * z);
    Ok(ShareBand {
        least: Ratio::new::<ratio>(least.clamp(0.0, 1.0)),
        greatest: Ratio::new::<ratio>(greatest.clamp(0.0, 1.0)),
    })
}

/// Share of the push that the bar must give the front cylinder for a share of the braking force:
/// s = phi g_r / (phi g_r + (1 - phi) g_f), with the gains g (road force of the axle over push on its own cylinder).
///
/// # Errors
/// The share is outside 0 to 1, or a gain not above zero.
pub fn bar_share_for(front_share: Ratio, front_gain: Ratio, rear_gain: Ratio) -> Result<Ratio, OutOfRange> {
    let phi = Ratio::new::<ratio>(share("front share of the braking force", front_share)?);
    let front = positive("gain of the front brakes", front_gain)?;
    let rear = positive("gain of the rear brakes", rear_gain)?;
    Ok(phi * rear / (phi * rear + (Ratio::new::<ratio>(1.0) - phi) * front))
}

/// Band of the balance bar's front share at which both conditions hold, no valve in the rear circuit:
/// [`safe_front_shares`] through [`bar_share_for`].
///
/// # Errors
/// As of those two.
pub fn safe_bar_shares(
    front_gain: Ratio,
    rear_gain: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
) -> Result<ShareBand, OutOfRange> {
    let band = safe_front_shares(wheelbase, cg_behind_front, cg_height)?;
    Ok(ShareBand {
        least: bar_share_for(band.least, front_gain, rear_gain)?,
        greatest: bar_share_for(band.greatest, front_gain, rear_gain)?,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::balance::adhesion_used;
    use super::*;

    fn m(l: f64) -> Length {
        Length::new::<uom::si::length::meter>(l)
    }

    fn r(v: f64) -> Ratio {
        Ratio::new::<ratio>(v)
    }

    /// Both conditions, sampled straight from their definition.
    fn keeps(phi: f64, at: f64, h: f64) -> bool {
        let used = |z: f64| adhesion_used(r(phi), m(2.5), m(2.5 * at), m(h), r(z)).expect("loaded");
        let rear = (0..=1300).map(|i| 0.15 + 0.0005 * f64::from(i)).all(|z| used(z).rear.get::<ratio>() <= z / 0.9);
        let front = (0..=840).map(|i| 0.1 + 0.0005 * f64::from(i)).all(|z| {
            let k = used(z).front.get::<ratio>();
            z >= 0.1 + 0.7 * (k - 0.2)
        });
        rear && front
    }

    #[test]
    fn a_car_without_height_is_judged_too() {
        let band = safe_front_shares(m(2.5), m(1.25), m(0.0)).expect("valid");
        // b / L = 0.5 at any rate: least 1 - 0.5 / 0.9, greatest 0.56 * 0.5 / (0.7 * 0.52).
        assert!((band.least.get::<ratio>() - 0.444_444_444).abs() < 1e-8);
        assert!((band.greatest.get::<ratio>() - 0.769_230_769).abs() < 1e-8);
    }

    proptest! {
        #[test]
        fn band_agrees_with_a_sweep(at in 0.42..0.62f64, h in 0.3..0.6f64) {
            let band = safe_front_shares(m(2.5), m(2.5 * at), m(h)).expect("valid");
            let (least, greatest) = (band.least.get::<ratio>(), band.greatest.get::<ratio>());
            prop_assume!(greatest - least > 0.01);
            prop_assert!(keeps(least + 1e-4, at, h));
            prop_assert!(!keeps(least - 1e-4, at, h));
            // A share above 1 is no share: there must be room to step beyond the end.
            if greatest + 1e-4 < 1.0 {
                prop_assert!(keeps(greatest - 1e-4, at, h));
                prop_assert!(!keeps(greatest + 1e-4, at, h));
            }
        }

        #[test]
        fn bar_share_gives_the_wanted_share(phi in 0.01..0.99f64, gf in 1.0..30.0f64, gr in 1.0..30.0f64) {
            let s = bar_share_for(r(phi), r(gf), r(gr)).expect("valid").get::<ratio>();
            prop_assert!((s * gf / (s * gf + (1.0 - s) * gr) - phi).abs() < 1e-12);
        }
    }
}
