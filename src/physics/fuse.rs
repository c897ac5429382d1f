//! Fuses: the rating that a load needs, the sizes that are sold, and how long a wire bears a short circuit.

use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::f64::{Area, ElectricCurrent, Ratio, ThermodynamicTemperature, Time};
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::second;

use super::range::{OutOfRange, not_negative, positive, within};
use super::temperature::in_words;

/// Ratings of blade, bolted and large fuses of road vehicles, in ampere (ISO 8820, memory).
const STANDARD_RATINGS: [f64; 28] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0,
    150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 500.0,
];

/// The least rating of a fuse that bears a lasting current I with the share q of its rating: I / q (practice 0.75 to
/// 0.8).
///
/// # Errors
/// The current is negative, or the share is outside 0.3 to 1.
pub fn least_fuse(current: ElectricCurrent, lasting_share: Ratio) -> Result<ElectricCurrent, OutOfRange> {
    let (low, high) = (Ratio::from(0.3), Ratio::from(1.0));
    let share = within("share of a fuse's rating", lasting_share, low, high, |r| r.value.to_string())?;
    Ok(not_negative("current", current)? / share)
}

/// The next rating at or above a current that is sold.
///
/// # Errors
/// The current is negative or above 500 A.
pub fn next_standard_fuse(current: ElectricCurrent) -> Result<ElectricCurrent, OutOfRange> {
    let wanted = not_negative("current", current)?.get::<ampere>();
    // A rating that is met but for the last digits of a division is met.
    match STANDARD_RATINGS.iter().find(|rating| **rating >= wanted * (1.0 - 1e-12)) {
        Some(rating) => Ok(ElectricCurrent::new::<ampere>(*rating)),
        None => Err(OutOfRange::new("current", format_args!("{wanted:.0} A"), "0 A to 500 A")),
    }
}

/// The time in which a current heats a copper wire from one temperature to another, with no heat given off: the time
/// within which the fuse has to part in a short circuit.
///
/// t = (K S / I)² ln((β + T2) / (β + T1)), K = 226 A √s / mm², β = 234.5 K with temperatures in °C, S the area (IEC
/// 60949, memory; between 70 and 160 °C it gives the factor 115 that IEC 60364-5-54 tabulates). Good to some seconds;
/// above, the wire lasts longer.
///
/// # Errors
/// The current or the area is not above zero, a temperature is outside -60 to 400 °C, or the end is not the hotter one.
pub fn copper_heating_time(
    current: ElectricCurrent,
    area: Area,
    start: ThermodynamicTemperature,
    end: ThermodynamicTemperature,
) -> Result<Time, OutOfRange> {
    let degrees = |t: ThermodynamicTemperature| -> Result<f64, OutOfRange> {
        let low = ThermodynamicTemperature::new::<degree_celsius>(-60.0);
        let high = ThermodynamicTemperature::new::<degree_celsius>(400.0);
        Ok(within("temperature of the wire", t, low, high, in_words)?.get::<degree_celsius>())
    };
    let (t1, t2) = (degrees(start)?, degrees(end)?);
    if t2 <= t1 {
        return Err(OutOfRange::new(
            "temperature at the end",
            in_words(end),
            format_args!("above {}", in_words(start)),
        ));
    }
    let (area, current) = (positive("area of the wire", area)?, positive("current", current)?);
    let root = 226.0 * area.get::<square_millimeter>() / current.get::<ampere>();
    Ok(Time::new::<second>(root * root * ((234.5 + t2) / (234.5 + t1)).ln()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn amperes(value: f64) -> ElectricCurrent {
        ElectricCurrent::new::<ampere>(value)
    }

    fn celsius(value: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(value)
    }

    fn square_millimetres(value: f64) -> Area {
        Area::new::<square_millimeter>(value)
    }

    #[test]
    fn the_factors_of_the_wiring_rules_come_out() {
        // IEC 60364-5-54 annex A (memory): copper, 1 mm² for 1 s. PVC 70 to 160 °C 115 A, rubber 60 to 200 °C 141 A,
        // XLPE 90 to 250 °C 143 A.
        for (from, to, factor) in [(70.0, 160.0, 115.0), (60.0, 200.0, 141.0), (90.0, 250.0, 143.0)] {
            let time = copper_heating_time(amperes(factor), square_millimetres(1.0), celsius(from), celsius(to));
            assert!((time.expect("in range").value - 1.0).abs() < 0.01);
        }
    }

    #[test]
    fn sizes_are_the_next_ones_up() {
        let next = |a: f64| next_standard_fuse(amperes(a)).map(|f| f.get::<ampere>());
        assert_eq!(next(10.0), Ok(10.0));
        assert_eq!(next(10.01), Ok(15.0));
        assert_eq!(next(6.0 / 0.8), Ok(7.5));
        assert_eq!(next(0.0), Ok(1.0));
        assert!(next(500.1).is_err() && next(-1.0).is_err() && next(f64::NAN).is_err());
        assert!(least_fuse(amperes(8.0), Ratio::from(75.0)).is_err());
    }

    #[test]
    fn a_wire_does_not_heat_downwards() {
        assert!(copper_heating_time(amperes(50.0), square_millimetres(1.0), celsius(70.0), celsius(70.0)).is_err());
        assert!(copper_heating_time(amperes(0.0), square_millimetres(1.0), celsius(70.0), celsius(160.0)).is_err());
    }

    proptest! {
        #[test]
        fn no_smaller_fuse_would_do(a in 0.0..500.0f64) {
            let chosen = next_standard_fuse(amperes(a)).expect("in range").get::<ampere>();
            prop_assert!(chosen >= a && STANDARD_RATINGS.iter().all(|r| *r >= chosen || *r < a));
        }

        #[test]
        fn time_goes_with_the_square_of_area_over_current(
            a in 20.0..500.0f64, s in 0.3..25.0f64, t1 in -20.0..90.0f64, rise in 10.0..150.0f64,
        ) {
            let time = |a: f64, s: f64| {
                copper_heating_time(amperes(a), square_millimetres(s), celsius(t1), celsius(t1 + rise))
                    .expect("in range")
                    .value
            };
            prop_assert!((time(a, 2.0 * s) / time(a, s) - 4.0).abs() < 1e-9);
            prop_assert!((time(a, s) / time(2.0 * a, s) - 4.0).abs() < 1e-9);
        }
    }
}
