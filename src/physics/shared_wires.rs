//! Wires that several loads share: what runs in each, and what voltage is lost up to its end.
//!
//! The wires form a tree that grows from the source. The return way, where it is wired, is a second tree of the same
//! form.

use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};

use super::range::{OutOfRange, not_negative, positive};

/// One wire, from the source or the end of another wire to a load or a branching.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharedWire {
    /// Resistance of the wire.
    pub resistance: ElectricalResistance,
    /// Current that is drawn at its far end, beside what further wires carry on.
    pub load: ElectricCurrent,
    /// Index of the wire at whose end it begins; none if it begins at the source.
    pub fed_by: Option<usize>,
}

/// What a wire carries and loses.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WireState {
    /// Current in the wire.
    pub current: ElectricCurrent,
    /// Voltage lost in the wire itself.
    pub drop: ElectricPotential,
    /// Voltage lost from the source to its far end.
    pub drop_from_source: ElectricPotential,
}

/// Current and voltage drop of every wire, in the order given: each carries its own load and those of all wires that
/// it feeds, I = Σ I_k, and the drop up to its end is Σ R I along its way to the source (Kirchhoff).
///
/// # Errors
/// A resistance is negative, a wire is fed by one that is not in the list, or wires feed each other in a circle.
pub fn shared_wires(wires: &[SharedWire]) -> Result<Vec<WireState>, OutOfRange> {
    let mut states = vec![WireState::default(); wires.len()];
    let ways: Vec<Vec<usize>> = (0..wires.len()).map(|wire| way_to_source(wires, wire)).collect::<Result<_, _>>()?;
    for (wire, way) in wires.iter().zip(&ways) {
        not_negative("resistance of a wire", wire.resistance)?;
        for &on_the_way in way {
            if let Some(state) = states.get_mut(on_the_way) {
                state.current += wire.load;
            }
        }
    }
    for (wire, state) in wires.iter().zip(&mut states) {
        state.drop = wire.resistance * state.current;
    }
    let drops: Vec<ElectricPotential> = states.iter().map(|state| state.drop).collect();
    for (state, way) in states.iter_mut().zip(&ways) {
        state.drop_from_source = way.iter().filter_map(|&wire| drops.get(wire)).copied().sum();
    }
    Ok(states)
}

/// The wires from `start` to the source, `start` itself first.
fn way_to_source(wires: &[SharedWire], start: usize) -> Result<Vec<usize>, OutOfRange> {
    let mut way = vec![start];
    let mut here = wires.get(start);
    while let Some(feeder) = here.and_then(|wire| wire.fed_by) {
        here = wires.get(feeder);
        if here.is_none() {
            let allowed = format!("the {} wires given", wires.len());
            return Err(OutOfRange::new("wire that feeds another", format_args!("number {feeder}"), allowed));
        }
        way.push(feeder);
        if way.len() > wires.len() {
            let circle = format_args!("a circle through number {feeder}");
            return Err(OutOfRange::new("way of a wire to the source", circle, "ways that end at the source"));
        }
    }
    Ok(way)
}

/// The current of a load of constant power P behind the loop resistance R at the source voltage U, its voltage already
/// lowered by the drop: I = (U - √(U² - 4 P R)) / (2 R). An electronically governed pump or lamp draws more as its
/// voltage falls.
///
/// # Errors
/// The voltage is not above zero, the resistance or the power is negative, or the power is above U² / (4 R), the most
/// that the wires can pass on.
pub fn constant_power_current(
    voltage: ElectricPotential,
    power: Power,
    loop_resistance: ElectricalResistance,
) -> Result<ElectricCurrent, OutOfRange> {
    let voltage = positive("voltage of the source", voltage)?;
    let power = not_negative("power of the load", power)?;
    let lost = not_negative("loop resistance", loop_resistance)? * power * 4.0 / (voltage * voltage);
    if lost.value > 1.0 {
        let most = voltage * voltage / (loop_resistance * 4.0);
        return Err(OutOfRange::new(
            "power of the load",
            format_args!("{:.1} W", power.value),
            format_args!("what the wires can pass on, {:.1} W", most.value),
        ));
    }
    // The same root with the difference moved below, so that a small drop keeps its digits.
    Ok(power * 2.0 / (voltage * (1.0 + (1.0 - lost.value).sqrt())))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::electric_current::ampere;
    use uom::si::electric_potential::volt;
    use uom::si::electrical_resistance::milliohm;
    use uom::si::power::watt;

    use super::*;

    fn wire(milliohms: f64, amperes: f64, fed_by: Option<usize>) -> SharedWire {
        SharedWire {
            resistance: ElectricalResistance::new::<milliohm>(milliohms),
            load: ElectricCurrent::new::<ampere>(amperes),
            fed_by,
        }
    }

    #[test]
    fn a_shared_feed_carries_both_loads() {
        // By hand: 10 mΩ carry 8 A and 12 A, 0.2 V; behind them 20 mΩ with 8 A lose 0.16 V more.
        let states = shared_wires(&[wire(20.0, 8.0, Some(1)), wire(10.0, 0.0, None), wire(15.0, 12.0, Some(1))]);
        let states = states.expect("a tree");
        assert!((states[1].current.get::<ampere>() - 20.0).abs() < 1e-12);
        assert!((states[0].drop_from_source.get::<volt>() - 0.36).abs() < 1e-12);
        assert!((states[2].drop_from_source.get::<volt>() - 0.38).abs() < 1e-12);
    }

    #[test]
    fn circles_and_missing_feeders_are_refused() {
        let circle = shared_wires(&[wire(1.0, 1.0, Some(1)), wire(1.0, 1.0, Some(0))]);
        assert!(circle.is_err_and(|e| e.value.contains("circle")));
        assert!(shared_wires(&[wire(1.0, 1.0, Some(0))]).is_err());
        assert!(shared_wires(&[wire(1.0, 1.0, Some(7))]).is_err());
        assert!(shared_wires(&[wire(-1.0, 1.0, None)]).is_err());
        assert_eq!(shared_wires(&[]), Ok(vec![]));
    }

    proptest! {
        #[test]
        fn what_leaves_the_source_arrives_at_the_loads(
            loads in prop::collection::vec((0.1..50.0f64, 0.0..20.0f64, any::<u8>()), 1..20),
        ) {
            let wires: Vec<_> = loads.iter().enumerate().map(|(i, &(r, a, feeder))| {
                wire(r, a, (i > 0 && feeder % 4 > 0).then(|| usize::from(feeder) % i))
            }).collect();
            let states = shared_wires(&wires).expect("a tree");
            let at_source = wires.iter().zip(&states).filter(|(wire, _)| wire.fed_by.is_none());
            let from_source: f64 = at_source.map(|(_, state)| state.current.value).sum();
            let drawn: f64 = loads.iter().map(|l| l.1).sum();
            prop_assert!((from_source - drawn).abs() < 1e-9);
            // Energy: what the source gives beyond the loads is lost in the wires.
            let lost: f64 = states.iter().map(|s| s.drop.value * s.current.value).sum();
            let missed: f64 = wires.iter().zip(&states).map(|(w, s)| w.load.value * s.drop_from_source.value).sum();
            prop_assert!((lost - missed).abs() < 1e-9 * lost.max(1.0));
        }

        #[test]
        fn the_load_gets_its_power(u in 9.0..30.0f64, r in 0.0..200.0f64, share in 0.0..0.999f64) {
            let resistance = ElectricalResistance::new::<milliohm>(r);
            let power = share * if r > 0.0 { u * u / (4.0 * r * 1e-3) } else { 100.0 };
            let i = constant_power_current(ElectricPotential::new::<volt>(u), Power::new::<watt>(power), resistance)
                .expect("in range").value;
            prop_assert!(((u - i * r * 1e-3) * i - power).abs() < 1e-9 * power.max(1.0));
            let more = Power::new::<watt>(u * u / (4.0 * (r + 1.0) * 1e-3) * 1.001);
            let thinner = ElectricalResistance::new::<milliohm>(r + 1.0);
            prop_assert!(constant_power_current(ElectricPotential::new::<volt>(u), more, thinner).is_err());
        }
    }
}
