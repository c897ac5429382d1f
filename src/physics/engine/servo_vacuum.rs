//! The vacuum store of a brake servo: how much is left after some stops with a dead engine.
//!
//! The force that a vacuum adds is reckoned with the brakes.

use uom::si::f64::{Pressure, Ratio, Volume};

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Vacuum that is left after stops without an engine: each lets the volume v of air at the pressure around into the
/// evacuated volume V, so that of the vacuum V / (V + v) remains (constant temperature).
///
/// # Errors
/// The vacuum or the air let in is negative, the evacuated volume is not above zero, or the number of stops is outside
/// 0 to 1000.
pub fn servo_vacuum_left(
    vacuum: Pressure,
    evacuated: Volume,
    air_per_stop: Volume,
    stops: Ratio,
) -> Result<Pressure, OutOfRange> {
    let evacuated = positive("evacuated volume", evacuated)?;
    let kept: Ratio = evacuated / (evacuated + not_negative("air let in at a stop", air_per_stop)?);
    let show = |r: Ratio| r.value.to_string();
    let stops = within("number of stops", stops, Ratio::from(0.0), Ratio::from(1000.0), show)?;
    Ok(not_negative("vacuum", vacuum)? * kept.value.powf(stops.value))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::pressure::kilopascal;
    use uom::si::volume::liter;

    use super::*;

    fn vacuum(value: f64) -> Pressure {
        Pressure::new::<kilopascal>(value)
    }

    #[test]
    fn refuses_what_is_no_servo() {
        let litre = Volume::new::<liter>(1.0);
        assert!(servo_vacuum_left(vacuum(-1.0), litre, litre, Ratio::from(1.0)).is_err());
        assert!(
            servo_vacuum_left(vacuum(60.0), Volume::default(), Volume::new::<liter>(1.0), Ratio::from(1.0)).is_err()
        );
    }

    proptest! {
        #[test]
        fn each_stop_takes_its_share(p in 5.0..80.0f64, v in 1.0..6.0f64, air in 0.0..3.0f64, n in 0..20u32) {
            let left = |n: u32| servo_vacuum_left(
                vacuum(p), Volume::new::<liter>(v), Volume::new::<liter>(air), Ratio::from(f64::from(n)),
            ).expect("in range");
            prop_assert!(((left(n + 1) / left(n)).value - v / (v + air)).abs() < 1e-12);
            prop_assert!((left(0) / vacuum(p)).value == 1.0);
        }
    }
}
