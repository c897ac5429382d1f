//! The battery while it cranks the engine and while it feeds loads alone.

use uom::si::f64::{ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio, Time};

use super::range::{OutOfRange, not_negative, positive, within};

/// Inner resistance of a battery from its voltage at rest and under a current: R = (U0 - U) / I. With the cold
/// cranking current of EN 50342-1 the voltage under load is 7.5 V, with that of SAE J537 7.2 V (memory), at -18 °C.
///
/// # Errors
/// The current is not above zero, or the voltage under load is above that at rest.
pub fn battery_resistance(
    at_rest: ElectricPotential,
    under_load: ElectricPotential,
    current: ElectricCurrent,
) -> Result<ElectricalResistance, OutOfRange> {
    let fall = not_negative("voltage at rest less voltage under load", at_rest - under_load)?;
    Ok(fall / positive("current", current)?)
}

/// Voltages while the starter turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrankingVoltages {
    /// At the battery's terminals: what ignition and fuel pump get at best.
    pub at_battery: ElectricPotential,
    /// At the starter.
    pub at_starter: ElectricPotential,
    /// Lost in the cables, out and back.
    pub lost_in_cables: ElectricPotential,
}

/// Voltages at the current I of the starter: U0 - I Rb at the battery, and I Rc less at the starter, with the
/// resistance Rc of cables, straps and switches out and back.
///
/// # Errors
/// A resistance or the current is negative, or the current is more than battery and cables can give into a dead short.
pub fn cranking_voltages(
    at_rest: ElectricPotential,
    battery_resistance: ElectricalResistance,
    cable_resistance: ElectricalResistance,
    current: ElectricCurrent,
) -> Result<CrankingVoltages, OutOfRange> {
    let current = not_negative("current of the starter", current)?;
    let at_battery = at_rest - current * not_negative("resistance of the battery", battery_resistance)?;
    let lost_in_cables = current * not_negative("resistance of the cables", cable_resistance)?;
    let at_starter = not_negative("voltage left at the starter", at_battery - lost_in_cables)?;
    Ok(CrankingVoltages { at_battery, at_starter, lost_in_cables })
}

/// How long a full battery feeds a current I alone (Peukert): t = H (C / (I H))^k, with the capacity C rated over the
/// time H (20 h), and the exponent k: 1.1 to 1.3 for lead, 1.05 for lithium cells (memory).
///
/// # Errors
/// A current, time or capacity is not above zero, or the exponent is outside 1 to 1.6.
pub fn battery_lasts(
    capacity: ElectricCharge,
    rated_over: Time,
    current: ElectricCurrent,
    exponent: Ratio,
) -> Result<Time, OutOfRange> {
    let rated_over = positive("time of the rating", rated_over)?;
    let (low, high) = (Ratio::from(1.0), Ratio::from(1.6));
    let exponent = within("Peukert's exponent", exponent, low, high, |r| r.value.to_string())?;
    let share: Ratio = positive("capacity", capacity)? / (positive("current", current)? * rated_over);
    Ok(rated_over * share.value.powf(exponent.value))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::electric_charge::ampere_hour;
    use uom::si::electric_current::ampere;
    use uom::si::electric_potential::volt;
    use uom::si::electrical_resistance::milliohm;
    use uom::si::time::hour;

    use super::*;

    fn volts(value: f64) -> ElectricPotential {
        ElectricPotential::new::<volt>(value)
    }

    fn amperes(value: f64) -> ElectricCurrent {
        ElectricCurrent::new::<ampere>(value)
    }

    #[test]
    fn a_starting_current_by_hand() {
        // (12.6 V - 7.2 V) / 540 A is 10 mΩ; at 200 A 2 V are lost inside and 0.4 V in 2 mΩ of cable.
        let inner = battery_resistance(volts(12.6), volts(7.2), amperes(540.0)).expect("in range");
        assert!((inner.get::<milliohm>() - 10.0).abs() < 1e-9);
        let cable = ElectricalResistance::new::<milliohm>(2.0);
        let state = cranking_voltages(volts(12.6), inner, cable, amperes(200.0)).expect("in range");
        assert!((state.at_battery.value - 10.6).abs() < 1e-9 && (state.at_starter.value - 10.2).abs() < 1e-9);
        assert!(cranking_voltages(volts(12.6), inner, cable, amperes(1100.0)).is_err());
        assert!(battery_resistance(volts(12.0), volts(12.1), amperes(5.0)).is_err());
    }

    proptest! {
        #[test]
        fn at_the_rated_current_it_lasts_the_rated_time(c in 5.0..120.0f64, k in 1.0..1.6f64) {
            let lasts = |i: f64| battery_lasts(
                ElectricCharge::new::<ampere_hour>(c), Time::new::<hour>(20.0), amperes(i), Ratio::from(k),
            ).expect("in range").get::<hour>();
            prop_assert!((lasts(c / 20.0) - 20.0).abs() < 1e-9);
            prop_assert!((lasts(c / 10.0) / (20.0 * 0.5f64.powf(k)) - 1.0).abs() < 1e-9);
            prop_assert!(lasts(c / 10.0) * c / 10.0 <= c + 1e-9);
        }
    }
}
