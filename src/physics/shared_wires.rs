//! Wires that several loads share: what runs in each, and what voltage is lost up to its end.
//!
//! The wires form a tree that grows from the source. The return way, where it is wired, is a second tree of the same
//! form.

use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio};

use super::range::{OutOfRange, not_negative, positive};

/// What each of several wires carries and loses, in the order in which they were given.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SharedWires {
    /// Current in each wire.
    pub currents: Vec<ElectricCurrent>,
    /// Voltage lost in each wire itself.
    pub drops: Vec<ElectricPotential>,
    /// Voltage lost from the source to the far end of each wire.
    pub drops_from_source: Vec<ElectricPotential>,
}

/// Current and voltage drop of every wire: each carries its own load and those of all wires that it feeds, I = Σ I_k,
/// and the drop up to its end is Σ R I along its way to the source (Kirchhoff).
///
/// `loads` are the currents drawn at the far ends, beside what further wires carry on; `fed_by` says for each wire
/// which one it continues, counted from 1 in the order of the lists; 0 is the source.
///
/// # Errors
/// The lists are of unequal length, a resistance is negative, a wire is fed by one that is not in the list, or wires
/// feed each other in a circle.
pub fn shared_wires(
    resistances: &[ElectricalResistance],
    loads: &[ElectricCurrent],
    fed_by: &[Ratio],
) -> Result<SharedWires, OutOfRange> {
    let count = resistances.len();
    if loads.len() != count || fed_by.len() != count {
        let given = format_args!("{count} resistances, {} loads and {} feeders", loads.len(), fed_by.len());
        return Err(OutOfRange::new("number of wires", given, "lists of one and the same length"));
    }
    let feeders: Vec<Option<usize>> =
        fed_by.iter().map(|feeder| feeding_wire(*feeder, count)).collect::<Result<_, _>>()?;
    let ways: Vec<Vec<usize>> = (0..count).map(|wire| way_to_source(&feeders, wire)).collect::<Result<_, _>>()?;
    let mut currents = vec![ElectricCurrent::default(); count];
    for (load, way) in loads.iter().zip(&ways) {
        for wire in way {
            if let Some(current) = currents.get_mut(*wire) {
                *current += *load;
            }
        }
    }
    let mut drops = Vec::with_capacity(count);
    for (resistance, current) in resistances.iter().zip(&currents) {
        drops.push(not_negative("resistance of a wire", *resistance)? * *current);
    }
    let drop_along = |way: &Vec<usize>| way.iter().filter_map(|wire| drops.get(*wire)).copied().sum();
    let drops_from_source = ways.iter().map(drop_along).collect();
    Ok(SharedWires { currents, drops, drops_from_source })
}

/// The index of the feeding wire; none for the source.
fn feeding_wire(number: Ratio, count: usize) -> Result<Option<usize>, OutOfRange> {
    if number.value.fract() != 0.0 || !(0.0..=count as f64).contains(&number.value) {
        let allowed = format!("whole numbers from 0 for the source to {count}");
        return Err(OutOfRange::new("number of the feeding wire", number.value, allowed));
    }
    Ok((number.value as usize).checked_sub(1))
}

/// The wires from `start` to the source, `start` itself first.
fn way_to_source(feeders: &[Option<usize>], start: usize) -> Result<Vec<usize>, OutOfRange> {
    let mut way = vec![start];
    let mut here = start;
    while let Some(feeder) = feeders.get(here).copied().flatten() {
        way.push(feeder);
        if way.len() > feeders.len() {
            let circle = format_args!("a circle through number {}", feeder + 1);
            return Err(OutOfRange::new("way of a wire to the source", circle, "ways that end at the source"));
        }
        here = feeder;
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

    /// Wires of so many milliohm, with so many ampere drawn at their ends, fed by the wire of that number.
    fn wires(list: &[(f64, f64, f64)]) -> Result<SharedWires, OutOfRange> {
        let resistances: Vec<_> = list.iter().map(|w| ElectricalResistance::new::<milliohm>(w.0)).collect();
        let loads: Vec<_> = list.iter().map(|w| ElectricCurrent::new::<ampere>(w.1)).collect();
        let fed_by: Vec<_> = list.iter().map(|w| Ratio::from(w.2)).collect();
        shared_wires(&resistances, &loads, &fed_by)
    }

    #[test]
    fn a_shared_feed_carries_both_loads() {
        // By hand: 10 mΩ carry 8 A and 12 A, 0.2 V; behind them 20 mΩ with 8 A lose 0.16 V more.
        let states = wires(&[(20.0, 8.0, 2.0), (10.0, 0.0, 0.0), (15.0, 12.0, 2.0)]).expect("a tree");
        assert!((states.currents[1].get::<ampere>() - 20.0).abs() < 1e-12);
        assert!((states.drops_from_source[0].get::<volt>() - 0.36).abs() < 1e-12);
        assert!((states.drops_from_source[2].get::<volt>() - 0.38).abs() < 1e-12);
    }

    #[test]
    fn circles_and_missing_feeders_are_refused() {
        let circle = wires(&[(1.0, 1.0, 2.0), (1.0, 1.0, 1.0)]);
        assert!(circle.is_err_and(|e| e.value.contains("circle")));
        for feeder in [1.0, 7.0, -1.0, 0.5, f64::NAN] {
            assert!(wires(&[(1.0, 1.0, feeder)]).is_err());
        }
        assert!(wires(&[(-1.0, 1.0, 0.0)]).is_err());
        assert!(shared_wires(&[], &[ElectricCurrent::default()], &[]).is_err());
        assert_eq!(wires(&[]), Ok(SharedWires::default()));
    }

    proptest! {
        #[test]
        fn what_leaves_the_source_arrives_at_the_loads(
            given in prop::collection::vec((0.1..50.0f64, 0.0..20.0f64, any::<u8>()), 1..20),
        ) {
            let list: Vec<_> = given.iter().enumerate().map(|(i, (r, a, feeder))| {
                (*r, *a, f64::from(*feeder % (i as u8 + 1)))
            }).collect();
            let states = wires(&list).expect("a tree");
            let at_source = list.iter().zip(&states.currents).filter(|(wire, _)| wire.2 == 0.0);
            let from_source: f64 = at_source.map(|(_, current)| current.value).sum();
            let drawn: f64 = list.iter().map(|w| w.1).sum();
            prop_assert!((from_source - drawn).abs() < 1e-9);
            // Energy: what the source gives beyond the loads is lost in the wires.
            let lost: f64 = states.drops.iter().zip(&states.currents).map(|(u, i)| u.value * i.value).sum();
            let missed: f64 = list.iter().zip(&states.drops_from_source).map(|(w, u)| w.1 * u.value).sum();
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
