//! Every case of `tests/data/reference_driveline.yaml`, within its tolerance; the file names the source of each.

use std::collections::BTreeMap;

use serde::Deserialize;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angular_acceleration::radian_per_second_squared;
use uom::si::f64::{Acceleration, Mass, MomentOfInertia};
use uom::si::force::newton;
use uom::si::length::inch;
use uom::si::mass::kilogram;
use uom::si::moment_of_inertia::kilogram_square_meter;
use uom::si::velocity::{kilometer_per_hour, mile_per_hour};

use super::super::*;
use super::*;
use crate::physics::range::OutOfRange;

#[derive(Deserialize)]
struct Cases {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    computation: String,
    inputs: BTreeMap<String, Input>,
    expect: BTreeMap<String, Expected>,
}

#[derive(Deserialize)]
struct Input {
    value: serde_yaml::Value,
}

#[derive(Deserialize)]
struct Expected {
    value: serde_yaml::Value,
    rel_tol: f64,
    #[serde(default)]
    abs_tol: f64,
}

impl Case {
    fn list(&self, name: &str) -> Vec<f64> {
        let value = &self.inputs[name].value;
        match value.as_sequence() {
            Some(values) => values.iter().filter_map(serde_yaml::Value::as_f64).collect(),
            None => value.as_f64().into_iter().collect(),
        }
    }

    fn get(&self, name: &str) -> f64 {
        self.list(name)[0]
    }

    fn or(&self, name: &str, otherwise: f64) -> f64 {
        if self.inputs.contains_key(name) { self.get(name) } else { otherwise }
    }

    fn point(&self, name: &str) -> Point {
        let p = self.list(name);
        [mm(p[0]), mm(p[1]), mm(p[2])]
    }
}

type Results = Vec<(&'static str, Vec<f64>)>;

fn one(name: &'static str, value: f64) -> (&'static str, Vec<f64>) {
    (name, vec![value])
}

fn in_rpm(speed: uom::si::f64::AngularVelocity) -> f64 {
    speed.get::<revolution_per_minute>()
}

fn cardan(case: &Case) -> Result<Results, OutOfRange> {
    let bend = deg(case.or("joint_angle", 0.0));
    let speed = rpm(case.or("input_speed", 0.0));
    Ok(match case.computation.rsplit('.').next().unwrap_or_default() {
        "speed_extremes" => {
            let found = cardan_speed_extremes(bend, speed)?;
            vec![
                one("output_speed_max", in_rpm(found.highest)),
                one("output_speed_min", in_rpm(found.lowest)),
                one("fluctuation_total", found.fluctuation.value),
            ]
        }
        "position" => {
            let found = cardan_position(bend, deg(case.get("input_angle")))?;
            vec![one("output_angle", found.output_angle.get::<degree>()), one("speed_ratio", found.speed_ratio.value)]
        }
        "peak_acceleration" => {
            let peak = cardan_peak_acceleration(bend, speed)?;
            let inertia = MomentOfInertia::new::<kilogram_square_meter>(case.or("driven_inertia", 0.0));
            vec![
                one("peak_angular_acceleration", peak.get::<radian_per_second_squared>()),
                one("small_angle_rule", torsional_acceleration(bend, speed)?.get::<radian_per_second_squared>()),
                one("peak_inertia_torque", inertia_torque(inertia, peak)?.get::<newton_meter>()),
            ]
        }
        "max_angle_for_fluctuation" => {
            let found = bend_for_fluctuation(number(case.get("fluctuation_total")))?;
            let speeds = cardan_speed_extremes(found, speed)?;
            vec![
                one("joint_angle", found.get::<degree>()),
                one("output_speed_max", in_rpm(speeds.highest)),
                one("output_speed_min", in_rpm(speeds.lowest)),
            ]
        }
        "unity_ratio_angle" => vec![one("input_angle", unity_ratio_angle(bend)?.get::<degree>())],
        "secondary_couple" => {
            let found = secondary_couple(bend, nm(case.get("torque_in")))?;
            vec![
                one("couple_on_input_shaft_max", found.on_input_shaft.get::<newton_meter>()),
                one("couple_on_output_shaft_max", found.on_output_shaft.get::<newton_meter>()),
            ]
        }
        _ => line(case)?,
    })
}

/// Two or three joints; planes and offsets are turned into phases first, as for a spec.
fn line(case: &Case) -> Result<Results, OutOfRange> {
    let (bends, planes, offsets) = if case.inputs.contains_key("joint_angles") {
        let bends = case.list("joint_angles");
        let planes = vec![0.0; bends.len()];
        (bends, planes, case.list("yoke_offsets_of_intermediate_shafts"))
    } else {
        let bends = vec![case.get("joint_angle_1"), case.get("joint_angle_2")];
        (bends, vec![0.0, case.or("plane_twist", 0.0)], vec![case.get("yoke_offset")])
    };
    let angles = |values: &[f64]| values.iter().map(|v| deg(*v)).collect::<Vec<_>>();
    let phases = phases_of_joints(&angles(&planes), &angles(&offsets))?;
    let exact = line_extremes(&angles(&bends), &phases)?;
    let rule = equivalent_angle(&angles(&bends), &phases)?;
    let needed = yoke_offset_needed(deg(planes[0]), deg(planes[1]));
    Ok(vec![
        one("output_ratio_max", exact.highest_ratio.value),
        one("equivalent_angle_exact", exact.equivalent_angle.get::<degree>()),
        one("equivalent_angle", exact.equivalent_angle.get::<degree>()),
        one("equivalent_angle_rule", rule.get::<degree>()),
        one("yoke_offset_for_constant_velocity_abs", needed.get::<degree>().abs()),
        ("signs", phases.iter().map(|phase| (2.0 * phase.value).cos().round()).collect()),
    ])
}

fn angle(case: &Case) -> Result<Results, OutOfRange> {
    if case.inputs.contains_key("joint") {
        let [front, joint, rear] = [case.point("point_1"), case.point("joint"), case.point("point_3")];
        let length = |a: Point, b: Point| {
            let square = (0..3).map(|i| (a[i] - b[i]).get::<millimeter>().powi(2)).sum::<f64>();
            square.sqrt()
        };
        // The same bend by way of slopes and sweeps: both ways of knowing a shaft must agree.
        let [slope_1, sweep_1] = [slope_between(front, joint)?, sweep_between(front, joint)?];
        let [slope_2, sweep_2] = [slope_between(joint, rear)?, sweep_between(joint, rear)?];
        let bend = joint_angle_at(front, joint, rear)?;
        close(joint_angle(slope_1, sweep_1, slope_2, sweep_2)?.value, bend.value, 1e-9);
        return Ok(vec![
            one("joint_angle", bend.get::<degree>()),
            one("length_1", length(front, joint)),
            one("length_2", length(joint, rear)),
        ]);
    }
    let [slope_1, sweep_1, slope_2, sweep_2] =
        ["shaft1_side_slope", "shaft1_plan_slope", "shaft2_side_slope", "shaft2_plan_slope"].map(|name| case.get(name));
    Ok(vec![
        one("joint_angle", joint_angle(deg(slope_1), deg(sweep_1), deg(slope_2), deg(sweep_2))?.get::<degree>()),
        one("rule_sqrt_sum", (slope_1 - slope_2).hypot(sweep_1 - sweep_2)),
    ])
}

fn shaft(case: &Case) -> Result<Results, OutOfRange> {
    let outside = mm(case.or("outer_diameter", case.or("diameter", 0.0)));
    let wall = case.or("wall", 0.0);
    let inside = if wall > 0.0 { outside - mm(2.0 * wall) } else { mm(case.or("inner_diameter", 0.0)) };
    let length = mm(case.or("length_between_joints", case.or("length", 1000.0)));
    let (modulus, density) = (gpa(case.or("youngs_modulus", 206.0)), kg_per_m3(case.or("density", 7850.0)));
    Ok(match case.computation.rsplit('.').next().unwrap_or_default() {
        "critical_speed" => {
            let found = critical_speed(outside, inside, length, modulus, density)?;
            let charts = steel_tube_charts(outside, inside, length)?;
            vec![
                one("critical_speed", in_rpm(found)),
                one("safe_speed_75pct", in_rpm(found * 0.75)),
                one("short_form_1.22e8", in_rpm(charts.metric)),
                one("short_form_4.705e6_inch", in_rpm(charts.inch)),
            ]
        }
        "critical_speed_with_mass" => {
            let mass = Mass::new::<kilogram>(case.get("mid_mass"));
            let place = length / 2.0;
            let bound = critical_speed_dunkerley(outside, inside, length, modulus, density, mass, place)?;
            let exact = critical_speed_with_mass(outside, inside, length, modulus, density, mass)?;
            vec![one("critical_speed_dunkerley", in_rpm(bound)), one("critical_speed_fe", in_rpm(exact))]
        }
        "speed_margin" => {
            let speed = shaft_speed(rpm(case.get("engine_speed")), number(case.get("gear_ratio")))?;
            let found = critical_speed(outside, inside, length, modulus, density)?;
            let short = length_for_critical_speed(outside, inside, modulus, density, speed / 0.75)?;
            vec![
                one("propshaft_speed", in_rpm(speed)),
                one("critical_speed", in_rpm(found)),
                one("speed_over_critical", (speed / found).value),
                one("length_for_75pct_rule", short.get::<millimeter>()),
            ]
        }
        "torque_capacity" => {
            let found = torque_capacity(outside, inside, mpa(case.get("allowable_shear")))?;
            vec![one("torque", found.get::<newton_meter>())]
        }
        "shear_stress" => {
            let torque = nm(case.get("torque"));
            vec![
                one("shear_stress", shear_stress(torque, outside, inside)?.get::<megapascal>()),
                one(
                    "twist_per_metre_steel_G80",
                    tube_twist(torque, outside, inside, mm(1000.0), gpa(80.0))?.get::<degree>(),
                ),
            ]
        }
        _ => vec![],
    })
}

fn gears(case: &Case) -> Result<Results, OutOfRange> {
    let engine = rpm(case.get("engine_speed"));
    let gear = number(case.or("gear_ratio", 1.0));
    let last = number(case.or("final_drive_ratio", case.or("overall_ratio", 1.0)));
    let radius = if case.inputs.contains_key("tyre_radius") {
        uom::si::f64::Length::new::<inch>(case.get("tyre_radius"))
    } else {
        rolling_radius(mm(case.get("tyre_diameter")), number(case.get("rolling_factor")))?
    };
    let speed = road_speed(engine, gear, last, radius)?;
    close(engine_speed_at(speed, gear, last, radius)?.value, engine.value, 1e-12);
    let in_miles = case.inputs.contains_key("tyre_radius");
    let pull = tractive_force(nm(case.or("engine_torque", 0.0)), gear, last, radius, number(1.0))?;
    Ok(vec![
        one("road_speed", if in_miles { speed.get::<mile_per_hour>() } else { speed.get::<kilometer_per_hour>() }),
        one("propshaft_speed", in_rpm(shaft_speed(engine, gear)?)),
        one("wheel_speed", in_rpm(wheel_speed(engine, gear, last)?)),
        one("overall_ratio", overall_ratio(gear, last)?.value),
        one("tractive_force_lossless", pull.get::<newton>()),
    ])
}

fn traction(case: &Case) -> Result<Results, OutOfRange> {
    let metres = |name: &str| mm(1000.0 * case.get(name));
    let found = traction_limits(
        metres("wheelbase"),
        metres("cg_ahead_of_rear_axle"),
        metres("cg_height"),
        number(case.get("friction")),
        Acceleration::new::<meter_per_second_squared>(case.get("g")),
    )?;
    Ok(vec![
        one("front_drive_acceleration", found.front_drive.value),
        one("rear_drive_acceleration", found.rear_drive.value),
        one("all_drive_acceleration", found.all_drive.value),
    ])
}

#[test]
fn every_case_is_met() {
    let cases: Cases =
        serde_yaml::from_str(include_str!("../../../../tests/data/reference_driveline.yaml")).expect("cases are YAML");
    assert_eq!(cases.cases.len(), 29);
    for case in &cases.cases {
        let results = match case.computation.split('.').take(2).collect::<Vec<_>>()[..] {
            ["driveline", "cardan"] => cardan(case),
            ["driveline", "angle"] => angle(case),
            ["driveline", "shaft"] => shaft(case),
            ["gearing", _] => gears(case),
            ["traction", _] => traction(case),
            _ => panic!("{}: no computation {}", case.id, case.computation),
        }
        .unwrap_or_else(|refusal| panic!("{}: {refusal}", case.id));
        for (name, wanted) in &case.expect {
            let got = &results
                .iter()
                .find(|(result, _)| result == name)
                .unwrap_or_else(|| panic!("{}: no result {name}", case.id))
                .1;
            let wanted_values: Vec<f64> = match wanted.value.as_sequence() {
                Some(values) => values.iter().filter_map(serde_yaml::Value::as_f64).collect(),
                None => wanted.value.as_f64().into_iter().collect(),
            };
            assert_eq!(got.len(), wanted_values.len(), "{}: {name}", case.id);
            for (got, value) in got.iter().zip(&wanted_values) {
                let allowed = wanted.rel_tol * value.abs() + wanted.abs_tol;
                assert!((got - value).abs() <= allowed, "{}: {name} is {got}, not {value}", case.id);
            }
        }
    }
}
