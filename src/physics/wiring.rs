//! Copper wire: sizes, resistance, the voltage lost on the way to a load and back, and the balance of loads.

use std::f64::consts::PI;

use uom::si::electrical_resistivity::ohm_meter;
use uom::si::f64::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, ElectricalResistivity, Length, Ratio,
    TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature,
};
use uom::si::length::millimeter;
use uom::si::ratio::ratio;
use uom::si::temperature_coefficient::per_kelvin;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::range::{OutOfRange, not_negative, positive, within};
use super::temperature::{difference, in_words};

/// Diameter of a solid wire of an American gauge: `d = 0.127 mm 92^((36 - n)/39)`; 2/0 is `n = -1`, 4/0 is -3 (ASTM
/// B258).
///
/// # Errors
/// A gauge outside -3 (4/0) to 40.
pub fn wire_gauge_diameter(gauge: Ratio) -> Result<Length, OutOfRange> {
    let plain = |r: Ratio| format!("{}", r.get::<ratio>());
    let n = within("wire gauge", gauge, Ratio::new::<ratio>(-3.0), Ratio::new::<ratio>(40.0), plain)?;
    Ok(Length::new::<millimeter>(0.127 * 92.0_f64.powf((36.0 - n.get::<ratio>()) / 39.0)))
}

/// Copper area of an American gauge, from [`wire_gauge_diameter`].
///
/// # Errors
/// As there.
pub fn wire_gauge_area(gauge: Ratio) -> Result<Area, OutOfRange> {
    let diameter = wire_gauge_diameter(gauge)?;
    Ok(diameter * diameter * (PI / 4.0))
}

/// Resistance of a conductor: `R = rho l / A`.
///
/// # Errors
/// The area is not above zero.
pub fn conductor_resistance(
    resistivity: ElectricalResistivity,
    length: Length,
    area: Area,
) -> Result<ElectricalResistance, OutOfRange> {
    Ok(resistivity * not_negative("length of the wire", length)? / positive("area of the wire", area)?)
}

/// Resistance at another temperature: `R = R0 (1 + a (T - T0))`; the coefficient `a` has to belong to the temperature
/// `T0` at which `R0` was taken (copper at 20 °C: 0.00393 per kelvin, IEC 60028).
///
/// # Errors
/// A temperature outside -60 °C to 250 °C.
pub fn resistance_at(
    resistance: ElectricalResistance,
    reference_temperature: ThermodynamicTemperature,
    temperature: ThermodynamicTemperature,
    coefficient: TemperatureCoefficient,
) -> Result<ElectricalResistance, OutOfRange> {
    let share = rise(temperature, reference_temperature)? * coefficient;
    Ok(resistance * (1.0 + share.get::<ratio>()))
}

/// How much hotter `hot` is than `cold`, both in the range of wires.
fn rise(hot: ThermodynamicTemperature, cold: ThermodynamicTemperature) -> Result<TemperatureInterval, OutOfRange> {
    let low = ThermodynamicTemperature::new::<degree_celsius>(-60.0);
    let high = ThermodynamicTemperature::new::<degree_celsius>(250.0);
    let checked = |t| within("temperature of the wire", t, low, high, in_words);
    Ok(difference(checked(hot)?, checked(cold)?))
}

/// Resistivity of annealed copper at a temperature: `1.7241e-8 ohm m (1 + 0.00393 (T - 20 °C))` (IEC 60028, 100 %
/// IACS). Stranded cable of the same area has about 2 % more.
///
/// # Errors
/// As [`resistance_at`].
pub fn copper_resistivity(temperature: ThermodynamicTemperature) -> Result<ElectricalResistivity, OutOfRange> {
    let reference = ThermodynamicTemperature::new::<degree_celsius>(20.0);
    let share = rise(temperature, reference)? * TemperatureCoefficient::new::<per_kelvin>(0.00393);
    Ok(ElectricalResistivity::new::<ohm_meter>(1.7241e-8) * (1.0 + share.get::<ratio>()))
}

/// Voltage lost in a copper wire: `U = I rho(T) l / A`. `length` is the whole way of the current: out and back where
/// the return is a wire of the same size.
///
/// # Errors
/// As [`conductor_resistance`] and [`copper_resistivity`].
pub fn wire_voltage_drop(
    current: ElectricCurrent,
    length: Length,
    area: Area,
    temperature: ThermodynamicTemperature,
) -> Result<ElectricPotential, OutOfRange> {
    Ok(current * conductor_resistance(copper_resistivity(temperature)?, length, area)?)
}

/// Mean current of loads that are on for a share of the time: `I = sum of I_k s_k`.
///
/// # Errors
/// Lists of unequal length; a share outside 0 to 1.
pub fn mean_current(currents: &[ElectricCurrent], shares: &[Ratio]) -> Result<ElectricCurrent, OutOfRange> {
    if currents.len() != shares.len() {
        return Err(OutOfRange::new(
            "number of loads",
            format_args!("{} currents and {} shares", currents.len(), shares.len()),
            "lists of one and the same length",
        ));
    }
    let mut sum = ElectricCurrent::default();
    for (&current, &share) in currents.iter().zip(shares) {
        let plain = |r: Ratio| format!("{:.3}", r.get::<ratio>());
        let most = Ratio::new::<ratio>(1.0);
        sum += current * within("share of the time that a load is on", share, Ratio::default(), most, plain)?;
    }
    Ok(sum)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::area::square_millimeter;
    use uom::si::electric_current::ampere;
    use uom::si::length::meter;

    use super::*;

    fn celsius(value: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(value)
    }

    fn drop(current: f64, length: f64, area: f64, temperature: f64) -> f64 {
        let (i, l) = (ElectricCurrent::new::<ampere>(current), Length::new::<meter>(length));
        let a = Area::new::<square_millimeter>(area);
        wire_voltage_drop(i, l, a, celsius(temperature)).expect("in range").value
    }

    #[test]
    fn gauges_are_those_of_the_table() {
        // ASTM B258, as printed in handbooks of electronic wire: gauge, mm2, milliohm per metre at 20 °C.
        for (gauge, area, milliohms) in [
            (22.0, 0.326, 53.0),
            (18.0, 0.823, 20.9),
            (14.0, 2.08, 8.29),
            (10.0, 5.26, 3.28),
            (6.0, 13.3, 1.30),
            (2.0, 33.6, 0.513),
            (-1.0, 67.4, 0.256),
            (-3.0, 107.0, 0.161),
        ] {
            let metal = wire_gauge_area(Ratio::new::<ratio>(gauge)).expect("a gauge");
            assert!((metal.get::<square_millimeter>() / area - 1.0).abs() < 0.005, "{gauge}: {metal:?}");
            let rho = copper_resistivity(celsius(20.0)).expect("in range");
            let r = conductor_resistance(rho, Length::new::<meter>(1.0), metal).expect("in range");
            assert!((r.value / (milliohms * 1e-3) - 1.0).abs() < 0.005, "{gauge}: {r:?}");
        }
    }

    #[test]
    fn no_such_wire() {
        assert!(wire_gauge_diameter(Ratio::new::<ratio>(-4.0)).is_err());
        assert!(wire_gauge_diameter(Ratio::new::<ratio>(41.0)).is_err());
        assert!(copper_resistivity(celsius(300.0)).is_err());
    }

    #[test]
    fn a_share_above_one_is_no_share() {
        let one = [ElectricCurrent::new::<ampere>(5.0)];
        assert!(mean_current(&one, &[Ratio::new::<ratio>(1.1)]).is_err());
        assert!(mean_current(&one, &[]).is_err());
    }

    proptest! {
        #[test]
        fn drop_scales(i in 0.1_f64..60.0, l in 0.1_f64..12.0, a in 0.3_f64..50.0, t in -40.0_f64..120.0) {
            let base = drop(i, l, a, t);
            prop_assert!((drop(2.0 * i, l, a, t) / base - 2.0).abs() < 1e-12);
            prop_assert!((drop(i, 2.0 * l, a, t) / base - 2.0).abs() < 1e-12);
            prop_assert!((drop(i, l, 2.0 * a, t) / base - 0.5).abs() < 1e-12);
            prop_assert!(drop(i, l, a, t + 1.0) > base);
        }

        #[test]
        fn three_gauges_halve_the_area(gauge in -3_i32..37) {
            let area = |n: i32| wire_gauge_area(Ratio::new::<ratio>(f64::from(n))).expect("in range");
            let share = area(gauge + 3) / area(gauge);
            prop_assert!((share.get::<ratio>() - 0.5).abs() < 0.002);
        }
    }
}
