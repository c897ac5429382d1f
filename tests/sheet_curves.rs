//! The curves that the sheet plots, each at several points against the physics functions, called here with the values of the
//! sound example's files; of a sheet that is compared those of both revisions.

mod common;

use common::Workshop;
use serde_json::Value;
use std::path::Path;
use tramgauge::physics::space::Point;
use tramgauge::physics::suspension::{WheelPose, carried_point, links_pose, swinging_arm_pose};
use tramgauge::physics::{balance, brakes, driveline, pump};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::{degree, radian};
use uom::si::angular_velocity::radian_per_second;
use uom::si::electric_potential::volt;
use uom::si::f64::*;
use uom::si::length::{meter, millimeter};
use uom::si::pressure::{bar, pascal};
use uom::si::ratio::ratio;
use uom::si::velocity::meter_per_second;
use uom::si::volume_rate::cubic_meter_per_second;

/// The sound example.
fn example() -> Workshop {
    let workshop = Workshop::new(&[]);
    for (from, to) in [("lark-roadster", "lark-roadster"), ("parts", "examples/parts")] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(from);
        for entry in std::fs::read_dir(folder).expect("the example's folder") {
            let path = entry.expect("an entry").path();
            let name = path.file_name().and_then(|name| name.to_str()).expect("a name in UTF-8");
            workshop.write(&format!("{to}/{name}"), &std::fs::read(&path).expect("a file"));
        }
    }
    workshop
}

fn figures() -> Value {
    sheet(&example(), &[])
}

fn sheet(workshop: &Workshop, more: &[&str]) -> Value {
    let run = workshop.run(&[&["sheet", "lark-roadster", "--on", "2026-06-01", "--as", "json"], more].concat());
    serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}: {}", run.err))
}

fn find<'a>(json: &'a Value, name: &str, subject: &str) -> &'a Value {
    let all = json["figures"].as_array().expect("figures");
    let found = all.iter().find(|f| f["figure"] == name && f["subject"] == subject);
    found.unwrap_or_else(|| panic!("there is no {name} of {subject}"))
}

fn quantity(json: &Value, name: &str, subject: &str) -> f64 {
    find(json, name, subject)["quantity"]["si"].as_f64().unwrap_or_else(|| panic!("{name} of {subject} has no value"))
}

/// Compares a curve with a function at every fifth point; both in SI.
fn agree(json: &Value, name: &str, subject: &str, of: impl Fn(f64) -> f64) {
    let curve = &find(json, name, subject)["curve"];
    let values = |key: &str| curve[key].as_array().unwrap_or_else(|| panic!("{name} of {subject} is no curve")).clone();
    let mut compared = 0;
    for (x, y) in values("x").iter().zip(values("y")).step_by(5) {
        let (Some(x), Some(y)) = (x.as_f64(), y.as_f64()) else { continue };
        let want = of(x);
        assert!(
            (y - want).abs() <= 1e-9 + 1e-7 * want.abs(),
            "{name} of {subject} at {x}: {y}, by the function {want}"
        );
        compared += 1;
    }
    assert!(compared >= 8, "{name} of {subject} has {compared} points to compare");
}

fn m(value: f64) -> Length {
    Length::new::<meter>(value)
}

fn r(value: f64) -> Ratio {
    Ratio::new::<ratio>(value)
}

fn at(x: f64, y: f64, z: f64) -> Point {
    [x, y, z].map(Length::new::<millimeter>)
}

#[test]
fn curves_of_the_brakes_are_those_of_the_functions() {
    brakes_agree(&figures(), m(2.350));
}

fn brakes_agree(json: &Value, wheelbase: Length) {
    let load = "vehicle.loads/driver and half tank";
    let share = quantity(json, "front_share", "brakes");
    // By hand from the four scales: the rear wheels carry 422.5 of 832 kg.
    let behind = wheelbase * (422.5 / 832.0);
    let height = m(0.452);
    let used = |z: f64| brakes::adhesion_used(r(share), wheelbase, behind, height, r(z)).expect("loaded");
    agree(json, "front_adhesion_curve", load, |z| used(z).front.get::<ratio>());
    agree(json, "rear_adhesion_curve", load, |z| used(z).rear.get::<ratio>());
    agree(json, "ideal_share_curve", load, |z| {
        brakes::ideal_front_share(wheelbase, behind, height, r(z)).expect("loaded").get::<ratio>()
    });
    agree(json, "ideal_rear_force", load, |f| {
        brakes::ideal_point(r(f), wheelbase, behind, height).expect("loaded").rear_over_weight.get::<ratio>()
    });
    agree(json, "share_over_rate", load, |_| share);
    agree(json, "rear_force", load, |f| f * (1.0 - share) / share);
    agree(json, "adhesion_limit_curve", load, |z| (z + 0.04) / 0.7);
    agree(json, "rear_adhesion_limit_curve", load, |z| z / 0.9);
    agree(json, "braking_front_load_curve", load, |z| (409.5 + 832.0 * z * 0.452 / wheelbase.get::<meter>()) / 832.0);
    let gravity = Acceleration::new::<meter_per_second_squared>(9.80665);
    agree(json, "overturning_curve", load, |radius| {
        let speed = balance::overturning_speed(m((1.272 + 1.290) / 2.0), height, m(radius), gravity);
        speed.expect("a car").get::<meter_per_second>()
    });
}

fn gear_agrees(json: &Value, gear: &str, ratio_of: f64) {
    agree(json, "speed_over_revs", &format!("gearbox.gears/{gear}"), |revs| {
        let revs = AngularVelocity::new::<radian_per_second>(revs);
        let speed = driveline::road_speed(revs, r(ratio_of), r(46.0 / 13.0), m(0.282));
        speed.expect("a gear").get::<meter_per_second>()
    });
}

#[test]
fn curves_of_gearing_and_pump_are_those_of_the_functions() {
    let json = figures();
    gear_agrees(&json, "first", 3.66);
    gear_agrees(&json, "fifth", 0.82);
    let volts = quantity(&json, "terminal_voltage", "fuel.pumps/main").min(13.5);
    let pressures = [3.0, 5.0, 3.0, 5.0].map(Pressure::new::<bar>);
    let voltages = [12.0, 12.0, 13.5, 13.5].map(ElectricPotential::new::<volt>);
    let flows = [116.0, 94.0, 139.0, 117.0].map(|l| VolumeRate::new::<cubic_meter_per_second>(l / 3.6e6));
    agree(&json, "delivery_over_pressure", "fuel.pumps/main", |pressure| {
        let pressure = Pressure::new::<pascal>(pressure);
        let flow = pump::pump_flow(&pressures, &voltages, &flows, pressure, ElectricPotential::new::<volt>(volts));
        flow.expect("within the curve").get::<cubic_meter_per_second>()
    });
}

fn front(travel: f64, rack: f64) -> WheelPose {
    let inner = [at(168., 272., 150.), at(-150., 284., 164.), at(120., 332., 376.), at(-160., 326., 364.)];
    let outer = [at(14., 603., 143.), at(14., 603., 143.), at(-22., 559., 408.), at(-22., 559., 408.)];
    let (camber, toe) = (Angle::new::<degree>(-0.75), Angle::new::<degree>(0.1));
    let (tie_inner, tie_outer, centre) = (at(-118., 302., 216.), at(-130., 583., 222.), at(0., 632., 274.));
    links_pose(&inner, &outer, tie_inner, tie_outer, centre, m(0.274), camber, toe, m(travel), m(rack)).expect("a pose")
}

fn rear(travel: f64) -> WheelPose {
    let (camber, toe) = (Angle::new::<degree>(-0.5), Angle::new::<degree>(0.1));
    let (inner, outer, centre) = (at(-1955., 318., 302.), at(-1948., 566., 302.), at(-2350., 644., 273.));
    swinging_arm_pose(inner, outer, centre, m(0.273), camber, toe, m(travel)).expect("a pose")
}

#[test]
fn curves_of_the_wheels_are_those_of_the_functions() {
    let json = figures();
    for (end, pose) in [("front", (|t| front(t, 0.0)) as fn(f64) -> WheelPose), ("rear", rear)] {
        let axle = format!("suspension.axles/{end}");
        agree(&json, "camber_over_travel", &axle, |t| pose(t).camber.get::<radian>());
        agree(&json, "toe_over_travel", &axle, |t| pose(t).toe_in.get::<radian>());
        agree(&json, "track_change_over_travel", &axle, |t| 2.0 * pose(t).half_track_change.get::<meter>());
        agree(&json, "roll_centre_over_travel", &axle, |t| pose(t).roll_centre_height.get::<meter>());
    }
    agree(&json, "steer_over_rack", "steering", |rack| front(0.0, rack).toe_in.get::<radian>());
    half_shaft_agrees(&json, at(-2350., 552., 274.));
}

fn half_shaft_agrees(json: &Value, outer: Point) {
    let (inner, centre) = (at(-2350., 186., 286.), at(-2350., 644., 273.));
    let joint = |t: f64| {
        let w = rear(t);
        carried_point(w.wheel_centre, w.metre_ahead, w.metre_left, w.metre_up, centre, outer)
    };
    let apart =
        |a: Point, b: Point| a.iter().zip(&b).map(|(a, b)| (*a - *b).get::<meter>().powi(2)).sum::<f64>().sqrt();
    let shaft = "driveline.half_shafts/left";
    agree(json, "angle_over_travel", shaft, |t| {
        driveline::lateral_angle(inner, joint(t)).expect("a shaft").get::<radian>()
    });
    agree(json, "plunge_over_travel", shaft, |t| apart(inner, joint(t)) - apart(inner, outer));
}

/// Both revisions at once: each with its own values, so that neither can be the other's.
#[test]
fn curves_of_before_are_those_of_the_functions_with_the_values_of_before() {
    let workshop = example();
    std::fs::remove_dir(workshop.path(".git")).expect("a folder that is empty");
    let settings = ["-c", "user.name=A. Tester", "-c", "user.email=tester@example.org", "-c", "commit.gpgsign=false"];
    for arguments in [&["init", "-q"][..], &["add", "-A"], &["commit", "-q", "-m", "state"]] {
        let mut git = common::git::bare("git");
        assert_eq!(common::git::ran(git.args(settings).args(arguments).current_dir(workshop.path(""))).status, 0);
    }
    for (file, old, new) in [
        ("vehicle.yaml", "wheelbase: {is: 2350 mm", "wheelbase: {is: 2400 mm"),
        ("engine.yaml", "\"3.66:1\"", "\"3.21:1\""),
        ("driveline.yaml", "outer_at: [-2350 mm, 552 mm, 274 mm]", "outer_at: [-2350 mm, 560 mm, 250 mm]"),
    ] {
        let name = format!("lark-roadster/{file}");
        let text = std::fs::read_to_string(workshop.path(&name)).expect("a section");
        assert_eq!(text.matches(old).count(), 1, "{old}");
        workshop.write(&name, text.replace(old, new).as_bytes());
    }
    let json = sheet(&workshop, &["--compare", "HEAD"]);
    let (now, before) = (&json, &json["before"]);
    for (json, wheelbase, first, outer) in
        [(now, m(2.400), 3.21, at(-2350., 560., 250.)), (before, m(2.350), 3.66, at(-2350., 552., 274.))]
    {
        brakes_agree(json, wheelbase);
        gear_agrees(json, "first", first);
        half_shaft_agrees(json, outer);
    }
}

#[test]
fn the_coolant_meets_its_duties_and_the_boiling_line_its_point() {
    let json = figures();
    let boils = quantity(&json, "boiling_point", "cooling");
    agree(&json, "boiling_line", "cooling", |_| boils);
    // The duty with the greatest heat lies on the curve at its own speed, 75 km/h.
    let hardest = quantity(&json, "coolant_temperature", "cooling.duties/Cairnwell in third");
    let curve = &find(&json, "temperature_over_speed", "cooling")["curve"];
    let value = |key: &str, n: usize| curve[key][n].as_f64().expect("a value");
    let speed = 75.0 / 3.6;
    let after = (0..61).find(|n| value("x", *n) >= speed).expect("a faster point");
    let (x0, x1) = (value("x", after - 1), value("x", after));
    let along = (speed - x0) / (x1 - x0);
    let between = value("y", after - 1) + along * (value("y", after) - value("y", after - 1));
    assert!((between - hardest).abs() < 0.05, "{between} K, {hardest} K");
}
