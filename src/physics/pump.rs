//! What a fuel pump delivers at a pressure and a voltage, read from the points of its maker's curve, and the rail
//! pressure when all of it has to go home through the return line.

use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricPotential, Pressure, Ratio, VolumeRate};
use uom::si::pressure::{kilopascal, pascal};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, not_negative, positive, within};
use crate::search::root_between;

/// A pump's curve: for each voltage, in rising order, the flows at rising pressures.
struct Curve(Vec<(ElectricPotential, Vec<(Pressure, VolumeRate)>)>);

impl Curve {
    fn new(pressures: &[Pressure], voltages: &[ElectricPotential], flows: &[VolumeRate]) -> Result<Curve, OutOfRange> {
        let count = flows.len();
        if count == 0 || pressures.len() != count || voltages.len() != count {
            return Err(OutOfRange::new(
                "number of points of the pump's curve",
                format_args!("{} pressures, {} voltages, {count} flows", pressures.len(), voltages.len()),
                "lists of one and the same length",
            ));
        }
        let mut points = Vec::with_capacity(count);
        for ((&pressure, &voltage), &flow) in pressures.iter().zip(voltages).zip(flows) {
            let finite = pressure.is_finite() && voltage.is_finite();
            if !finite {
                return Err(OutOfRange::new("point of the pump's curve", "not a number", "numbers"));
            }
            points.push((voltage, pressure, not_negative("flow of the pump", flow)?));
        }
        // Of two flows at one pressure and voltage the lesser comes first and is kept.
        points.sort_by(|a, b| {
            let order = a.0.value.total_cmp(&b.0.value).then(a.1.value.total_cmp(&b.1.value));
            order.then(a.2.value.total_cmp(&b.2.value))
        });
        points.dedup_by(|later, earlier| later.0 == earlier.0 && later.1 == earlier.1);
        let mut lines: Vec<(ElectricPotential, Vec<(Pressure, VolumeRate)>)> = Vec::new();
        for (voltage, pressure, flow) in points {
            match lines.last_mut() {
                Some((v, line)) if *v == voltage => line.push((pressure, flow)),
                _ => lines.push((voltage, vec![(pressure, flow)])),
            }
        }
        Ok(Curve(lines))
    }

    /// The highest pressure at which the curve knows the flow at this voltage.
    fn highest_pressure(&self, voltage: ElectricPotential) -> Pressure {
        let upper = self.0.iter().position(|(v, _)| *v >= voltage).unwrap_or(0);
        let ends_of = |lines: &[(ElectricPotential, Vec<(Pressure, VolumeRate)>)]| {
            let ends = lines.iter().filter_map(|(_, line)| line.last().map(|(p, _)| *p));
            ends.reduce(Pressure::min).unwrap_or_default()
        };
        let exact = self.0.get(upper).is_some_and(|(v, _)| *v == voltage);
        let lower = if exact { upper } else { upper.saturating_sub(1) };
        ends_of(self.0.get(lower..=upper).unwrap_or_default())
    }

    fn flow(&self, pressure: Pressure, voltage: ElectricPotential) -> Result<VolumeRate, OutOfRange> {
        let volts = |v: ElectricPotential| format!("{:.2} V", v.get::<volt>());
        let (Some(first), Some(last)) = (self.0.first(), self.0.last()) else {
            return Err(OutOfRange::new("number of points of the pump's curve", 0, "at least one"));
        };
        within("voltage at the pump", voltage, first.0, last.0, volts)?;
        let upper = self.0.iter().position(|(v, _)| *v >= voltage).unwrap_or(self.0.len() - 1);
        let (above, line) = &self.0[upper];
        let at_above = on_line(line, pressure)?;
        if *above == voltage || upper == 0 {
            return Ok(at_above);
        }
        let (below, line) = &self.0[upper - 1];
        let share = (voltage - *below) / (*above - *below);
        let at_below = on_line(line, pressure)?;
        Ok(at_below + (at_above - at_below) * share)
    }
}

/// Flow at a pressure, linear between the points of one voltage.
fn on_line(line: &[(Pressure, VolumeRate)], pressure: Pressure) -> Result<VolumeRate, OutOfRange> {
    let kpa = |p: Pressure| format!("{:.1} kPa", p.get::<kilopascal>());
    let (Some(first), Some(last)) = (line.first(), line.last()) else {
        return Err(OutOfRange::new("number of points of the pump's curve", 0, "at least one"));
    };
    within("pressure at the pump", pressure, first.0, last.0, kpa)?;
    for pair in line.windows(2) {
        if let [(p0, q0), (p1, q1)] = pair
            && pressure <= *p1
        {
            let share: Ratio = (pressure - *p0) / (*p1 - *p0);
            return Ok(*q0 + (*q1 - *q0) * share);
        }
    }
    Ok(first.1)
}

/// Flow of a pump at a pressure and a voltage, from the points of its maker's curve: linear in pressure along each
/// voltage, then linear between the two voltages. `pressures`, `voltages` and `flows` belong together, in any order;
/// the pressure is that across the pump.
///
/// # Errors
/// Lists of unequal length or empty; a pressure or voltage outside the points: a pump's curve is never extrapolated.
pub fn pump_flow(
    pressures: &[Pressure],
    voltages: &[ElectricPotential],
    flows: &[VolumeRate],
    pressure: Pressure,
    voltage: ElectricPotential,
) -> Result<VolumeRate, OutOfRange> {
    Curve::new(pressures, voltages, flows)?.flow(pressure, voltage)
}

/// Rail pressure (above the tank) when the engine takes nothing and the whole flow of the pump returns: the pressure
/// `p` at which `p = pr + dp (q(p) / q0)^2`, with the regulator's setting `pr`, the pump's flow `q(p)` from its
/// curve, and the loss `dp` of the return line at a flow `q0`, which goes with the square.
///
/// # Errors
/// As [`pump_flow`]; a pressure that is still rising at the end of the curve.
pub fn rail_pressure_all_returned(
    pressures: &[Pressure],
    voltages: &[ElectricPotential],
    flows: &[VolumeRate],
    voltage: ElectricPotential,
    regulator: Pressure,
    return_loss: Pressure,
    at_flow: VolumeRate,
) -> Result<Pressure, OutOfRange> {
    let curve = Curve::new(pressures, voltages, flows)?;
    let loss = not_negative("loss of the return line", return_loss)?;
    let at_flow = positive("flow through the return line", at_flow)?;
    let excess = |p: Pressure| -> Result<Pressure, OutOfRange> {
        let share: Ratio = curve.flow(p, voltage)? / at_flow;
        Ok(regulator + loss * share.get::<ratio>().powi(2) - p)
    };
    let highest = curve.highest_pressure(voltage);
    let excess_at = |pascals: f64| Ok(excess(Pressure::new::<pascal>(pascals))?.get::<pascal>());
    let settled = root_between(regulator.get::<pascal>(), highest.get::<pascal>(), excess_at)?;
    settled.map(Pressure::new::<pascal>).ok_or_else(|| {
        let kpa = |p: Pressure| format!("{:.1} kPa", p.get::<kilopascal>());
        OutOfRange::new(
            "rail pressure with all fuel returned",
            format_args!("above {}", kpa(highest)),
            format_args!("the curve's {} to {}", kpa(regulator), kpa(highest)),
        )
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::pressure::bar;
    use uom::si::volume_rate::cubic_meter_per_hour;

    use super::*;

    /// Points of an invented pump: bar, V, L/h; less flow at more pressure, more at more voltage.
    const POINTS: [(f64, f64, f64); 8] = [
        (0.0, 12.0, 190.0),
        (3.0, 12.0, 140.0),
        (5.0, 12.0, 95.0),
        (0.0, 13.5, 220.0),
        (3.0, 13.5, 175.0),
        (5.0, 13.5, 130.0),
        (6.0, 13.5, 105.0),
        (3.0, 14.0, 185.0),
    ];

    fn lists(points: &[(f64, f64, f64)]) -> (Vec<Pressure>, Vec<ElectricPotential>, Vec<VolumeRate>) {
        (
            points.iter().map(|p| Pressure::new::<bar>(p.0)).collect(),
            points.iter().map(|p| ElectricPotential::new::<volt>(p.1)).collect(),
            points.iter().map(|p| VolumeRate::new::<cubic_meter_per_hour>(p.2 * 1e-3)).collect(),
        )
    }

    fn flow(points: &[(f64, f64, f64)], p: f64, v: f64) -> Result<f64, OutOfRange> {
        let (pressures, voltages, flows) = lists(points);
        let (p, v) = (Pressure::new::<bar>(p), ElectricPotential::new::<volt>(v));
        pump_flow(&pressures, &voltages, &flows, p, v).map(|q| q.get::<cubic_meter_per_hour>() * 1e3)
    }

    #[test]
    fn points_are_met_and_the_middle_is_between() {
        assert!((flow(&POINTS, 3.0, 13.5).expect("in range") - 175.0).abs() < 1e-9);
        // By hand: 4 bar is half way between 140 and 95 at 12 V, between 175 and 130 at 13.5 V; 12.75 V half way
        // between those.
        assert!((flow(&POINTS, 4.0, 12.75).expect("in range") - (117.5 + 152.5) / 2.0).abs() < 1e-9);
    }

    #[test]
    fn the_curve_is_never_extrapolated() {
        assert!(flow(&POINTS, 5.5, 12.0).is_err());
        assert!(flow(&POINTS, 5.5, 12.75).is_err());
        assert!(flow(&POINTS, 3.0, 11.9).is_err());
        assert!(flow(&POINTS, 3.0, 14.1).is_err());
        assert!(flow(&POINTS, 3.0, f64::NAN).is_err());
        assert!(flow(&[], 3.0, 13.5).is_err());
    }

    #[test]
    fn one_voltage_is_enough_at_that_voltage() {
        assert!((flow(&POINTS[..3], 1.5, 12.0).expect("in range") - 165.0).abs() < 1e-9);
    }

    #[test]
    fn lists_have_to_match() {
        let (pressures, voltages, flows) = lists(&POINTS);
        let (p, v) = (Pressure::new::<bar>(3.0), ElectricPotential::new::<volt>(12.0));
        assert!(pump_flow(&pressures[1..], &voltages, &flows, p, v).is_err());
    }

    fn returned(loss: f64, at: f64, volts: f64) -> Result<f64, OutOfRange> {
        let (pressures, voltages, flows) = lists(&POINTS);
        rail_pressure_all_returned(
            &pressures,
            &voltages,
            &flows,
            ElectricPotential::new::<volt>(volts),
            Pressure::new::<bar>(3.0),
            Pressure::new::<bar>(loss),
            VolumeRate::new::<cubic_meter_per_hour>(at * 1e-3),
        )
        .map(|p| p.get::<bar>())
    }

    #[test]
    fn a_free_return_line_leaves_the_regulator_alone() {
        assert!((returned(0.0, 175.0, 13.5).expect("in range") - 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_tight_return_line_raises_the_rail_to_where_pump_and_line_agree() {
        let p = returned(0.8, 175.0, 13.5).expect("in range");
        let q = flow(&POINTS, p, 13.5).expect("in range");
        assert!((p - (3.0 + 0.8 * (q / 175.0).powi(2))).abs() < 1e-9);
        assert!(3.5 < p && p < 3.8, "{p}");
    }

    #[test]
    fn a_blocked_return_line_is_beyond_the_curve() {
        assert!(returned(50.0, 100.0, 13.5).is_err());
        assert!(returned(0.1, 0.0, 13.5).is_err());
    }

    proptest! {
        #[test]
        fn order_of_the_points_does_not_matter(p in 0.0_f64..5.0, v in 12.0_f64..13.5, turn in 0_usize..8) {
            let mut other = POINTS;
            other.rotate_left(turn);
            other.swap(1, 6);
            prop_assert_eq!(flow(&POINTS, p, v).expect("in range"), flow(&other, p, v).expect("in range"));
        }

        #[test]
        fn flow_falls_with_pressure_and_rises_with_voltage(p in 0.0_f64..4.9, v in 12.0_f64..13.4) {
            let base = flow(&POINTS, p, v).expect("in range");
            prop_assert!(flow(&POINTS, p + 0.1, v).expect("in range") < base);
            prop_assert!(flow(&POINTS, p, v + 0.1).expect("in range") > base);
        }
    }
}
