//! Holds the brake computations against check values from outside: worked examples, regulation formulas, reference
//! libraries. The values and their sources stand in `tests/data/reference_brakes*.yaml`.

use std::collections::BTreeMap;

use serde::Deserialize;
use tramgauge::physics::brakes::*;
use tramgauge::physics::range::OutOfRange;
use uom::si::f64::*;
use uom::si::{Dimension, Quantity, SI};

#[derive(Deserialize)]
struct Cases {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    computation: String,
    inputs: BTreeMap<String, Value>,
    expect: BTreeMap<String, Expected>,
    source: String,
}

#[derive(Deserialize)]
struct Value {
    value: f64,
    unit: String,
}

#[derive(Deserialize)]
struct Expected {
    value: serde_yaml::Value,
    unit: String,
    rel_tol: f64,
}

/// Factor to SI and zero point of the units that the cases use; gravity of the cases in g is theirs, see `Inputs::rate`.
fn to_si(value: f64, unit: &str) -> f64 {
    let (factor, zero) = match unit {
        "1" | "m" | "N" | "N*m" | "s" | "kg" | "K" | "J" | "m/s" | "m/s^2" | "m/s2" | "g" => (1.0, 0.0),
        "W/m^2" | "W/m2" | "W/(m*K)" | "W/(m K)" | "kg/m^3" | "kg/m3" | "J/(kg*K)" | "J/(kg K)" => (1.0, 0.0),
        "mm" => (1e-3, 0.0),
        "km/h" => (1.0 / 3.6, 0.0),
        "bar" => (1e5, 0.0),
        "MPa" => (1e6, 0.0),
        "cm^3" => (1e-6, 0.0),
        "cm^3/MPa" | "cm^3/(MPa*m)" => (1e-12, 0.0),
        "degC" => (1.0, 273.15),
        other => panic!("unit {other} is not known to this test"),
    };
    value * factor + zero
}

/// A quantity from its SI value.
fn si<D: Dimension + ?Sized>(value: f64) -> Quantity<D, SI<f64>, f64> {
    Quantity { dimension: std::marker::PhantomData, units: std::marker::PhantomData, value }
}

struct Inputs<'a>(&'a BTreeMap<String, Value>);

impl Inputs<'_> {
    fn get<D: Dimension + ?Sized>(&self, name: &str) -> Quantity<D, SI<f64>, f64> {
        let input = self.0.get(name).unwrap_or_else(|| panic!("input {name}"));
        si(to_si(input.value, &input.unit))
    }

    fn gravity(&self) -> Acceleration {
        if self.0.contains_key("g") { self.get("g") } else { si(9.80665) }
    }

    fn weight(&self) -> Force {
        if self.0.contains_key("weight") {
            self.get("weight")
        } else {
            self.get::<uom::si::mass::Dimension>("mass") * self.gravity()
        }
    }

    /// Wheelbase, distance of the centre of gravity behind the front axle, its height.
    fn car(&self) -> (Length, Length, Length) {
        let wheelbase: Length = self.get("wheelbase");
        let behind = if self.0.contains_key("cg_ahead_of_rear_axle") {
            wheelbase - self.get("cg_ahead_of_rear_axle")
        } else {
            self.get("cg_behind_front_axle")
        };
        (wheelbase, behind, self.get("cg_height"))
    }
}

type Found = Vec<(&'static str, f64)>;

fn compute(case: &Case) -> Result<Found, OutOfRange> {
    let i = Inputs(&case.inputs);
    let found = match case.computation.as_str() {
        "brake.dynamic_axle_load" => {
            let (l, a, h) = i.car();
            let loads = dynamic_axle_loads(i.weight(), l, a, h, i.get("deceleration"))?;
            vec![
                ("front_axle_load", loads.front.value),
                ("rear_axle_load", loads.rear.value),
                ("transfer", loads.transfer.value),
            ]
        }
        "brake.one_axle_and_all_wheel_limit" => {
            let (l, a, h) = i.car();
            let limits = axle_limits(i.get("friction"), l, a, h)?;
            let stop = |z: Ratio| braking_distance(i.get("speed"), i.gravity() * z).map(|s| s.value);
            let share = ideal_front_share(l, a, h, i.get("friction"))?.value;
            vec![
                ("stop_rear_only", stop(limits.rear_only)?),
                ("stop_front_only", stop(limits.front_only)?),
                ("stop_all", stop(limits.all)?),
                ("ideal_front_to_rear_force_ratio", share / (1.0 - share)),
            ]
        }
        "brake.lock_order" | "lock_order" => lock(&i)?,
        "brake.adhesion_utilisation" => {
            let (l, a, h) = i.car();
            let z = i.get("deceleration");
            let used = adhesion_used(i.get("front_brake_fraction"), l, a, h, z)?;
            let ideal = ideal_forces(i.weight(), l, a, h, z)?;
            vec![
                ("f_front", used.front.value),
                ("f_rear", used.rear.value),
                ("ideal_front_force", ideal.front.value),
                ("ideal_rear_force", ideal.rear.value),
                ("ideal_front_fraction", ideal_front_share(l, a, h, z)?.value),
            ]
        }
        "brake.regulation_stopping_distance" => {
            let v = i.get("speed");
            vec![
                ("service_limit", service_stop_limit(v)?.value),
                ("secondary_limit", secondary_stop_limit(v)?.value),
                ("equivalent_service_mfdd", deceleration_for_limit(v, service_stop_limit(v)?)?.value),
                ("older_m1_limit_v2_over_150", older_service_stop_limit(v)?.value),
            ]
        }
        "brake.mfdd" => {
            let (sb, se) = (i.get("distance_to_0.8v0"), i.get("distance_to_0.1v0"));
            vec![("mfdd", mean_fully_developed_deceleration(i.get("initial_speed"), sb, se)?.value)]
        }
        "brake.stopping_distance" => {
            let (tr, tb) = (i.get("reaction_time"), i.get("build_up_time"));
            let stop = stopping_distance(i.get("speed"), tr, tb, i.get("deceleration"))?;
            vec![
                ("stopping_distance", stop.distance.value),
                ("stopping_distance_without_cubic_term", stop.short_form.value),
            ]
        }
        "stopping" => {
            let stop = stopping_distance(i.get("speed"), i.get("reaction"), i.get("build_up"), i.get("deceleration"))?;
            vec![("distance", stop.distance.value), ("before_full", stop.before_full.value)]
        }
        "brake.hydraulic_chain" => chain(&i)?,
        "brake.pressure_for_torque" => {
            // The count is of both sides; an opposed caliper has half of it on one.
            let area = piston_area(
                i.get("piston_diameter"),
                i.get::<uom::si::ratio::Dimension>("pistons_total_both_sides") / 2.0,
            )?;
            let p =
                pressure_for_torque(i.get("torque_per_disc"), i.get("effective_radius"), i.get("pad_friction"), area)?;
            let push = push_for_pressure(p, i.get("mc_bore"))?;
            let pedal = push / i.get::<uom::si::ratio::Dimension>("pedal_ratio");
            vec![("line_pressure", p.value), ("mc_force", push.value), ("pedal_force", pedal.value)]
        }
        "brake.balance_bar" => {
            let bar = balance_bar(i.get("push_force"), i.get("pivot_to_front_clevis"), i.get("clevis_spacing"))?;
            vec![
                ("front_mc_force", bar.front.value),
                ("rear_mc_force", bar.rear.value),
                ("front_share", bar.front_share.value),
            ]
        }
        "brake.effective_radius" => {
            let (outer, inner) = (i.get("outer_radius"), i.get("inner_radius"));
            vec![
                ("uniform_wear", mean_pad_radius(outer, inner)?.value),
                ("uniform_pressure", even_pressure_pad_radius(outer, inner)?.value),
            ]
        }
        "even_pressure_pad_radius" => {
            vec![("radius", even_pressure_pad_radius(i.get("outer"), i.get("inner"))?.value)]
        }
        "brake.mc_stroke" => stroke(&i)?,
        "brake.rotor_bulk_temperature" => {
            let energy = braking_energy(i.get("mass"), i.get("speed"), si(0.0))?;
            let heat = energy * i.get::<uom::si::ratio::Dimension>("share_of_one_rotor");
            let rise = bulk_temperature_rise(heat, i.get("rotor_mass"), i.get("specific_heat"))?;
            let last = i.get::<uom::si::thermodynamic_temperature::Dimension>("initial_temperature");
            let rise_value = rise.value;
            vec![
                ("kinetic_energy", energy.value),
                ("temperature_rise", rise_value),
                ("final_temperature", last.value + rise_value),
            ]
        }
        "brake.rotor_surface_temperature" | "surface_temperature_rise" => {
            let flux = if case.inputs.contains_key("flux") { "flux" } else { "initial_heat_flux" };
            let (time, k) = (i.get("stop_time"), i.get("conductivity"));
            let rise = surface_temperature_rise(i.get(flux), time, k, i.get("density"), i.get("specific_heat"))?;
            vec![
                ("peak_surface_rise", rise.peak.value),
                ("peak", rise.peak.value),
                ("time_of_peak", rise.time_of_peak.value),
                ("handbook_sqrt_5_18", rise.handbook.value),
            ]
        }
        "brake.ideal_distribution" => {
            let (l, a, h) = i.car();
            let point = ideal_point(i.get("front_force_over_weight"), l, a, h)?;
            vec![("deceleration", point.deceleration.value), ("rear_force_over_weight", point.rear_over_weight.value)]
        }
        "brake.proportioning_valve" => {
            let p = proportioned_pressure(i.get("inlet_pressure"), i.get("knee_pressure"), i.get("slope"))?;
            vec![("outlet_pressure", p.value)]
        }
        "safe_front_shares" => {
            let (l, a, h) = i.car();
            let band = safe_front_shares(l, a, h)?;
            vec![("least", band.least.value), ("greatest", band.greatest.value)]
        }
        "safe_bar_shares" => {
            let (l, a, h) = i.car();
            let band = safe_bar_shares(i.get("front_gain"), i.get("rear_gain"), l, a, h)?;
            vec![("least", band.least.value), ("greatest", band.greatest.value)]
        }
        "holding_limits" => {
            let (l, a, h) = i.car();
            let hold = holding_limits(i.weight(), l, a, h, i.get("friction"), i.get("grade"))?;
            vec![
                ("rear_facing_up", hold.rear_facing_up.value),
                ("rear_facing_down", hold.rear_facing_down.value),
                ("front_facing_up", hold.front_facing_up.value),
                ("front_facing_down", hold.front_facing_down.value),
            ]
        }
        "braking_effort_with_valve" => {
            let (gf, gr) = (i.get("front_gain"), i.get("rear_gain"));
            let (knee, slope) = (i.get("knee_push"), i.get("slope"));
            let effort = braking_effort_with_valve(i.get("deceleration"), i.weight(), gf, gr, knee, slope)?;
            vec![
                ("push", effort.push.value),
                ("front", effort.front.value),
                ("rear", effort.rear.value),
                ("front_share", effort.front_share.value),
            ]
        }
        "plate_surface_temperature_rise" => {
            let (time, l, k) = (i.get("stop_time"), i.get("thickness"), i.get("conductivity"));
            let (rho, c) = (i.get("density"), i.get("specific_heat"));
            let rise = plate_surface_temperature_rise(i.get("flux"), time, l, k, rho, c)?;
            vec![("peak", rise.peak.value), ("at_end", rise.at_end.value), ("mean_at_end", rise.mean_at_end.value)]
        }
        "fade_temperature" => {
            let (rise, n) = (i.get("rise"), i.get("stops"));
            let last =
                fade_temperature(i.get("start"), i.get("air"), rise, n, i.get("interval"), i.get("time_constant"))?;
            vec![("last", last.value)]
        }
        "grade_held" => vec![("grade", grade_held(i.get("force"), i.get("weight"))?.value)],
        other => panic!("computation {other} has no function here"),
    };
    Ok(found)
}

fn lock(i: &Inputs<'_>) -> Result<Found, OutOfRange> {
    let (l, a, h) = i.car();
    let share = i.get("front_brake_fraction");
    let order = lock_order(i.get("friction"), share, l, a, h, i.get("rolling_resistance"))?;
    Ok(vec![
        ("front_lock", order.front_lock.value),
        ("deceleration_at_front_lock", order.front_lock.value),
        ("rear_lock", order.rear_lock.value),
        ("deceleration_at_rear_lock", order.rear_lock.value),
        ("locks_first", if order.rear_lock < order.front_lock { -1.0 } else { 1.0 }),
        ("critical_deceleration", critical_deceleration(share, l, a, h)?.value),
        ("efficiency", order.efficiency.value),
        ("braking_efficiency", order.efficiency.value),
    ])
}

fn chain(i: &Inputs<'_>) -> Result<Found, OutOfRange> {
    let push = push_force(i.get("pedal_force"), i.get("pedal_ratio"))?;
    let front_share: Ratio = i.get("front_bar_share");
    let axle = |push: Force, end: &str| -> Result<(Pressure, Force, Torque), OutOfRange> {
        let name = |what: &str| format!("{end}_{what}");
        let pressure = line_pressure(push, i.get(&name("mc_bore")))?;
        let area = piston_area(i.get(&name("piston_diameter")), i.get(&name("pistons_one_side")))?;
        let clamp = clamp_force(pressure, area)?;
        let radius = mean_pad_radius(i.get(&name("pad_outer_radius")), i.get(&name("pad_inner_radius")))?;
        Ok((pressure, clamp, disc_torque(clamp, i.get("pad_friction"), radius)?))
    };
    let (front_pressure, front_clamp, front_torque) = axle(push * front_share, "front")?;
    let (rear_pressure, rear_clamp, rear_torque) = axle(push - push * front_share, "rear")?;
    let force = |torque| road_force(torque, si(2.0), i.get("tyre_rolling_radius"));
    let (front, rear) = (force(front_torque)?, force(rear_torque)?);
    Ok(vec![
        ("front_line_pressure", front_pressure.value),
        ("rear_line_pressure", rear_pressure.value),
        ("front_clamp_force", front_clamp.value),
        ("rear_clamp_force", rear_clamp.value),
        ("front_torque_per_wheel", front_torque.value),
        ("rear_torque_per_wheel", rear_torque.value),
        ("front_fraction", (front / (front + rear)).value),
        ("deceleration_if_no_lock", ((front + rear) / i.weight()).value),
    ])
}

fn stroke(i: &Inputs<'_>) -> Result<Found, OutOfRange> {
    let wheels: Ratio = i.get("wheels_on_circuit");
    let area = piston_area(i.get("piston_diameter"), i.get::<uom::si::ratio::Dimension>("pistons_per_wheel") * wheels)?;
    let pressure: Pressure = i.get("pressure");
    // The case gives the swell for each unit of pressure; the function asks for it at a reference pressure.
    let swell = i.get("hose_expansion");
    let volume = piston_displacement(area, i.get("piston_travel"))?
        + elastic_volume(i.get("axle_elastic_volume"), pressure)?
        + hose_swell(swell, si(1.0), i.get("hose_length_axle"), pressure)?;
    let stroke = cylinder_stroke(volume, i.get("mc_bore"))?;
    let travel = pedal_travel(stroke, i.get("pedal_ratio"))?;
    Ok(vec![("fluid_volume", volume.value), ("mc_stroke", stroke.value), ("pedal_travel", travel.value)])
}

fn run(text: &str) -> usize {
    let cases: Cases = serde_yaml::from_str(text).expect("the cases are YAML of the known form");
    for case in &cases.cases {
        let found = compute(case).unwrap_or_else(|e| panic!("{}: {e}", case.id));
        for (name, expected) in &case.expect {
            let at = format!("{} {name} ({})", case.id, case.source);
            let (_, got) = found.iter().find(|(n, _)| n == name).unwrap_or_else(|| panic!("{at}: not computed"));
            let want = match &expected.value {
                serde_yaml::Value::String(axle) => {
                    if axle == "rear" {
                        -1.0
                    } else {
                        1.0
                    }
                }
                number => to_si(number.as_f64().expect("a number"), &expected.unit),
            };
            assert!((got - want).abs() <= expected.rel_tol * want.abs(), "{at}: {got}, expected {want}");
        }
    }
    cases.cases.len()
}

#[test]
fn worked_examples_and_regulation_formulas() {
    assert_eq!(run(include_str!("data/reference_brakes.yaml")), 20);
}

#[test]
fn numerical_routes() {
    assert_eq!(run(include_str!("data/reference_brakes_numeric.yaml")), 31);
}
