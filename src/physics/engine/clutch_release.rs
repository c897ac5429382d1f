//! Hydraulic clutch release: how far the pedal moves the release bearing, and how hard it has to be pressed.

use uom::si::f64::{Area, Force, Length, Ratio, Volume};

use crate::physics::range::{OutOfRange, not_negative, positive};

/// Travels of a hydraulic clutch release.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReleaseTravel {
    /// Travel of the master cylinder.
    pub master: Length,
    /// Travel of the slave cylinder, less what the line takes up by swelling.
    pub slave: Length,
    /// Travel of the release bearing.
    pub bearing: Length,
}

/// Travel of the release bearing: s = (p / i (Dm / Ds)² - V / As) / f, with the pedal's travel p, its ratio i, the
/// bores Dm and Ds of master and slave, the volume V that hose and cylinders swell by, and the ratio f of the fork (1
/// for a concentric slave). Free play is to be taken off the pedal's travel first.
///
/// Where the line swallows everything the travels of slave and bearing are zero.
///
/// # Errors
/// The pedal's travel or the swelling is negative, or another argument is not above zero.
pub fn clutch_release(
    pedal_travel: Length,
    pedal_ratio: Ratio,
    master_bore: Length,
    slave_bore: Length,
    fork_ratio: Ratio,
    swell: Volume,
) -> Result<ReleaseTravel, OutOfRange> {
    let master = not_negative("travel of the pedal", pedal_travel)? / positive("pedal ratio", pedal_ratio)?;
    let slave_bore = positive("bore of the slave cylinder", slave_bore)?;
    let bores = positive("bore of the master cylinder", master_bore)? / slave_bore;
    let slave_area: Area = slave_bore * slave_bore * (std::f64::consts::PI / 4.0);
    let lost: Length = not_negative("volume taken up by swelling", swell)? / slave_area;
    let slave = (master * bores * bores - lost).max(Length::default());
    Ok(ReleaseTravel { master, slave, bearing: slave / positive("fork ratio", fork_ratio)? })
}

/// Force on the pedal: F = R / (i f (Ds / Dm)²), with the load R on the release bearing. Friction adds about a tenth.
///
/// # Errors
/// The load is negative, or another argument is not above zero.
pub fn clutch_pedal_force(
    release_load: Force,
    pedal_ratio: Ratio,
    master_bore: Length,
    slave_bore: Length,
    fork_ratio: Ratio,
) -> Result<Force, OutOfRange> {
    let bores =
        positive("bore of the slave cylinder", slave_bore)? / positive("bore of the master cylinder", master_bore)?;
    let gain = positive("pedal ratio", pedal_ratio)? * positive("fork ratio", fork_ratio)? * bores * bores;
    Ok(not_negative("load on the release bearing", release_load)? / gain)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;
    use uom::si::length::{inch, millimeter};
    use uom::si::volume::cubic_centimeter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn a_worked_chain_by_hand() {
        // 120 mm at 6:1 is 20 mm; 3/4 in on 7/8 in is (6/7)² = 0.7347 of it, 14.69 mm; 0.5 cm³ over 3.879 cm² takes
        // 1.29 mm; a fork of 2:1 halves the rest.
        let travel = clutch_release(
            mm(120.0),
            Ratio::from(6.0),
            Length::new::<inch>(0.75),
            Length::new::<inch>(0.875),
            Ratio::from(2.0),
            Volume::new::<cubic_centimeter>(0.5),
        )
        .expect("in range");
        assert!((travel.master.get::<millimeter>() - 20.0).abs() < 1e-9);
        assert!((travel.slave.get::<millimeter>() - 13.405).abs() < 0.001);
        assert!((travel.bearing.get::<millimeter>() - 6.703).abs() < 0.001);
    }

    #[test]
    fn a_soft_line_can_swallow_everything() {
        let gone = Volume::new::<cubic_centimeter>(50.0);
        let travel =
            clutch_release(mm(60.0), Ratio::from(6.0), mm(15.0), mm(19.0), Ratio::from(2.0), gone).expect("in range");
        assert_eq!(travel.bearing, Length::default());
        assert!(clutch_release(mm(60.0), Ratio::from(0.0), mm(15.0), mm(19.0), Ratio::from(2.0), gone).is_err());
    }

    proptest! {
        #[test]
        fn without_swelling_the_work_is_kept(
            p in 20.0..180.0f64, i in 3.0..8.0f64, m in 12.0..25.0f64, s in 15.0..35.0f64, f in 1.0..3.0f64,
            load in 500.0..4000.0f64,
        ) {
            let (i, f) = (Ratio::from(i), Ratio::from(f));
            let travel = clutch_release(mm(p), i, mm(m), mm(s), f, Volume::default()).expect("in range");
            let force = clutch_pedal_force(Force::new::<newton>(load), i, mm(m), mm(s), f).expect("in range");
            let (at_pedal, at_bearing) = (force * mm(p), Force::new::<newton>(load) * travel.bearing);
            prop_assert!(((at_pedal / at_bearing).value - 1.0).abs() < 1e-9);
        }
    }
}
