//! The curves that the sheet plots, each at several points against the physics functions, called here with the values of the
//! sound example's files; of a sheet that is compared those of both revisions. What a live axle does is compared on a small car of its
//! own. Whatever is named in a plot of the rulebook must be compared here.

mod common;

use common::Workshop;
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::{Mutex, OnceLock};
use tramgauge::physics::cooling::{air_path, balance as exchange, coolant};
use tramgauge::physics::space::Point;
use tramgauge::physics::suspension::{
    AxlePose, WheelPose, carried_by_arm, carried_point, links_pose, live_axle_on_links_pose, swinging_arm_pose,
};
use tramgauge::physics::{balance, brakes, driveline, pump};
use tramgauge::rulebook::{MarkForm, load_for_judging};
use tramgauge::terms::Terms;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::{degree, radian};
use uom::si::angular_velocity::radian_per_second;
use uom::si::area::square_meter;
use uom::si::electric_potential::volt;
use uom::si::f64::*;
use uom::si::length::{meter, millimeter};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::mass_rate::kilogram_per_second;
use uom::si::power::kilowatt;
use uom::si::pressure::{bar, pascal};
use uom::si::ratio::ratio;
use uom::si::thermal_conductance::watt_per_kelvin;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};
use uom::si::velocity::meter_per_second;
use uom::si::volume_rate::cubic_meter_per_second;

/// Figures that were compared with something that is not the rulebook.
static COMPARED: Mutex<BTreeSet<String>> = Mutex::new(BTreeSet::new());

fn note(name: &str) {
    COMPARED.lock().expect("the list").insert(name.to_string());
}

/// The sound example.
fn example() -> Workshop {
    Workshop::with_examples(&[("lark-roadster", "lark-roadster"), ("parts", "examples/parts")])
}

/// The sheet of the sound example; made once.
fn figures() -> &'static Value {
    static MADE: OnceLock<Value> = OnceLock::new();
    MADE.get_or_init(|| sheet(&example(), &[]))
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
    note(name);
}

/// Compares a value with what it must be, in SI.
fn level(json: &Value, name: &str, subject: &str, want: f64) {
    let value = quantity(json, name, subject);
    assert!((value - want).abs() <= 1e-7 * want.abs(), "{name} of {subject}: {value}, by the function {want}");
    note(name);
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
    brakes_agree(figures(), m(2.350));
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
    let band = brakes::safe_front_shares(wheelbase, behind, height).expect("a car");
    level(json, "least_safe_front_share", load, band.least.get::<ratio>());
    level(json, "greatest_safe_front_share", load, band.greatest.get::<ratio>());
    // Written with both pairs of tyres.
    level(json, "tyre_friction", "brakes", 0.95);
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
    gearing_and_pump_agree(figures());
}

fn gearing_and_pump_agree(json: &Value) {
    gear_agrees(json, "first", 3.66);
    gear_agrees(json, "fifth", 0.82);
    // Steel of 206 GPa and 7850 kg/m3, a tube of 2-1/2 in by 0.083 in, 548 mm long.
    let (outside, wall) = (m(2.5 * 0.0254), m(0.083 * 0.0254));
    let (modulus, density) = (Pressure::new::<pascal>(206e9), MassDensity::new::<kilogram_per_cubic_meter>(7850.0));
    let bows = driveline::critical_speed(outside, outside - 2.0 * wall, m(0.548), modulus, density).expect("a tube");
    let by_hand = bows.get::<radian_per_second>() / (46.0 / 13.0) * 0.282;
    level(json, "critical_road_speed", "driveline.line/front section", by_hand);
    // ISO 4000-1: the symbol H is 210 km/h.
    level(json, "front_tyre_speed", "vehicle", 210.0 / 3.6);
    level(json, "rear_tyre_speed", "vehicle", 210.0 / 3.6);
    // By hand: 118 kW burn 345 g for each kWh, of 747 g/L.
    level(json, "demand", "fuel", 118.0 * 345.0 / 747.0 / 3.6e6);
    let volts = quantity(json, "terminal_voltage", "fuel.pumps/main").min(13.5);
    let pressures = [3.0, 5.0, 3.0, 5.0].map(Pressure::new::<bar>);
    let voltages = [12.0, 12.0, 13.5, 13.5].map(ElectricPotential::new::<volt>);
    let flows = [116.0, 94.0, 139.0, 117.0].map(|l| VolumeRate::new::<cubic_meter_per_second>(l / 3.6e6));
    agree(json, "delivery_over_pressure", "fuel.pumps/main", |pressure| {
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
    wheels_agree(figures());
}

fn wheels_agree(json: &Value) {
    for (end, pose) in [("front", (|t| front(t, 0.0)) as fn(f64) -> WheelPose), ("rear", rear)] {
        let axle = format!("suspension.axles/{end}");
        agree(json, "camber_over_travel", &axle, |t| pose(t).camber.get::<radian>());
        agree(json, "toe_over_travel", &axle, |t| pose(t).toe_in.get::<radian>());
        agree(json, "track_change_over_travel", &axle, |t| 2.0 * pose(t).half_track_change.get::<meter>());
        agree(json, "roll_centre_over_travel", &axle, |t| pose(t).roll_centre_height.get::<meter>());
    }
    agree(json, "steer_over_rack", "steering", |rack| front(0.0, rack).toe_in.get::<radian>());
    half_shaft_agrees(json, at(-2350., 552., 274.));

    // Springs and dampers: how much nearer their ends are for 10 mm of travel about each place.
    let carried = |w: WheelPose, centre: Point, drawn: Point| {
        carried_point(w.wheel_centre, w.metre_ahead, w.metre_left, w.metre_up, centre, drawn)
    };
    let on_arm = |t: f64| {
        let (hinge, other, ball) = (at(168., 272., 150.), at(-150., 284., 164.), at(14., 603., 143.));
        let ball_now = carried(front(t, 0.0), at(0., 632., 274.), ball);
        let seat = carried_by_arm(hinge, other, ball, ball_now, at(8., 528., 166.)).expect("an arm");
        apart(at(0., 382., 512.), seat)
    };
    let on_upright =
        |body: Point, moving: Point| move |t: f64| apart(body, carried(rear(t), at(-2350., 644., 273.), moving));
    let spring = on_upright(at(-2262., 478., 560.), at(-2270., 486., 262.));
    let damper = on_upright(at(-2400., 500., 606.), at(-2392., 512., 252.));
    let lengths: [(&str, &dyn Fn(f64) -> f64); 4] =
        [("front spring", &on_arm), ("front damper", &on_arm), ("rear spring", &spring), ("rear damper", &damper)];
    for (unit, length) in lengths {
        agree(json, "motion_ratio_over_travel", &format!("suspension.units/{unit}"), |t| {
            (length(t - 0.005) - length(t + 0.005)) / 0.01
        });
    }
}

fn apart(a: Point, b: Point) -> f64 {
    a.iter().zip(&b).map(|(a, b)| (*a - *b).get::<meter>().powi(2)).sum::<f64>().sqrt()
}

fn half_shaft_agrees(json: &Value, outer: Point) {
    let (inner, centre) = (at(-2350., 186., 286.), at(-2350., 644., 273.));
    let joint = |t: f64| {
        let w = rear(t);
        carried_point(w.wheel_centre, w.metre_ahead, w.metre_left, w.metre_up, centre, outer)
    };
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
    common::git::commit_all(&workshop);
    let edits = [
        ("vehicle.yaml", "wheelbase: {is: 2350 mm", "wheelbase: {is: 2400 mm"),
        ("engine.yaml", "\"3.66:1\"", "\"3.21:1\""),
        ("driveline.yaml", "outer_at: [-2350 mm, 552 mm, 274 mm]", "outer_at: [-2350 mm, 560 mm, 250 mm]"),
    ];
    common::git::edited(&workshop, "lark-roadster", &edits);
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
    coolant_agrees(figures());
}

fn coolant_agrees(json: &Value) {
    let boils = quantity(json, "boiling_point", "cooling");
    agree(json, "boiling_line", "cooling", |_| boils);
    // Nose duct and one fan before a core of 560 mm by 385 mm, 35 degrees behind the charge cooler, six tenths of 70 kW.
    let of_core = |name: &str| quantity(json, name, "cooling.radiator");
    let (area, outlet) = (0.560 * 0.385, 0.0780);
    let density = MassDensity::new::<kilogram_per_cubic_meter>(of_core("air_density"));
    let loss = r(of_core("core_loss") + (area / outlet) * (area / outlet) - 1.0);
    let mass = |flow: VolumeRate| MassRate::new::<kilogram_per_second>(flow.value * density.value);
    let tested = MassRate::new::<kilogram_per_second>(of_core("tested_air"));
    let known = ThermalConductance::new::<watt_per_kelvin>(of_core("conductance"));
    let glycol = r(quantity(json, "glycol_by_mass", "cooling"));
    agree(json, "temperature_over_speed", "cooling", |speed| {
        let ram = Pressure::new::<pascal>((0.75 + 0.1) * density.value * speed * speed / 2.0);
        let (stall, free) = (Pressure::new::<pascal>(230.0), VolumeRate::new::<cubic_meter_per_second>(0.85));
        let air = air_path::fan_and_ram_flow(stall, free, ram, density, loss, Area::new::<square_meter>(area));
        let air = mass(air.expect("air"));
        let conductance = exchange::conductance_at_air_flow(known, tested, air, r(0.6)).expect("near the trial");
        let (heat, pumped) = (Power::new::<kilowatt>(42.0), VolumeRate::new::<cubic_meter_per_second>(0.115 / 60.0));
        let warm = ThermodynamicTemperature::new::<degree_celsius>(35.0);
        let state = exchange::radiator_balance(heat, coolant::Glycol::Ethylene, glycol, pumped, air, warm, conductance);
        state.expect("a steady state").hot_in.get::<kelvin>()
    });
    // The duty with the greatest heat lies on the curve at its own speed, 75 km/h.
    let hardest = quantity(json, "coolant_temperature", "cooling.duties/Cairnwell in third");
    let curve = &find(json, "temperature_over_speed", "cooling")["curve"];
    let value = |key: &str, n: usize| curve[key][n].as_f64().expect("a value");
    let speed = 75.0 / 3.6;
    let after = (0..61).find(|n| value("x", *n) >= speed).expect("a faster point");
    let (x0, x1) = (value("x", after - 1), value("x", after));
    let along = (speed - x0) / (x1 - x0);
    let between = value("y", after - 1) + along * (value("y", after) - value("y", after - 1));
    assert!((between - hardest).abs() < 0.05, "{between} K, {hardest} K");
}

#[test]
fn the_speedometer_and_the_wires_are_as_by_hand() {
    speedometer_and_wires_agree(figures());
}

fn speedometer_and_wires_agree(json: &Value) {
    // By hand: 1000 turns for a kilometre are asked for; 0.52 turns come for each of the propeller shaft.
    let turns = 1000.0 / (2.0 * std::f64::consts::PI * 0.282) * (46.0 / 13.0) * 0.52;
    agree(json, "error_curve", "road.speedometer", |v| v * (turns / 1000.0 - 1.0));
    // ABYC E-11: 3 % of the nominal 12 V where it counts, 10 % elsewhere.
    for (load, allowed) in [("radiator fan", 0.03), ("main pump", 0.03), ("headlamps", 0.03), ("wipers", 0.1)] {
        let subject = format!("electrical.loads/{load}");
        level(json, "drop_allowed", &subject, allowed);
        level(json, "drop_share", &subject, quantity(json, "drop", &subject) / 12.0);
    }
}

/// The angle between two directions.
fn between(a: [f64; 3], b: [f64; 3]) -> f64 {
    let cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let dot: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    cross.iter().map(|c| c * c).sum::<f64>().sqrt().atan2(dot)
}

/// The direction of a line with a slope in the side view and a sweep in the plan, both in degrees.
fn along(slope: f64, sweep: f64) -> [f64; 3] {
    [1.0, sweep.to_radians().tan(), slope.to_radians().tan()]
}

#[test]
fn the_joints_of_a_propeller_shaft_between_fixed_ends_keep_their_angles() {
    fixed_joints_agree(figures());
}

fn fixed_joints_agree(json: &Value) {
    // Slopes and sweeps of gearbox, both sections and pinion, as written; their true angles by vectors.
    let members = [along(2.4, 0.0), along(2.1, 0.0), along(0.4, 0.2), along(2.2, 0.0)];
    for (joint, pair) in ["gearbox coupling", "middle joint", "rear joint"].iter().zip(members.windows(2)) {
        agree(json, "bend_over_travel", &format!("driveline.line/{joint}"), |_| between(pair[0], pair[1]));
    }
}

/// A car with a live axle on links, its propeller shaft known by the centres of its joints.
const LIVE_AXLE: &str = "\
tramgauge: 1
build: {name: Fenwick van, use: [road]}
vehicle: {wheelbase: 2450 mm, driven: rear, rear: {track: 1400 mm, tyre: {size: 195/50R15 82V, loaded_radius: 300 mm}}}
suspension:
  axles:
    - {axle: rear, layout: live axle, wheel_centre: [-2450 mm, 700 mm, 300 mm], camber: 0 deg, toe_in: 0 deg, bump: 65 mm, droop: 60 mm}
  links:
    - {link: lower link, axle: rear, work: rod, sides: both, inner: [-1890 mm, 480 mm, LOWER mm], outer: [-2450 mm, 480 mm, 250 mm]}
    - {link: upper link, axle: rear, work: rod, sides: both, inner: [UPPER mm, 420 mm, 430 mm], outer: [-2450 mm, 420 mm, 430 mm]}
    - {link: Panhard rod, axle: rear, work: rod, sides: one, inner: [-2550 mm, 450 mm, 300 mm], outer: [-2550 mm, -450 mm, 300 mm]}
driveline:
  gearbox_output: {slope: 2 deg, sweep: 0 deg}
  line:
    - {joint: front joint, kind: cardan, at: [-1000 mm, 0 mm, 350 mm]}
    - {shaft: main}
    - {joint: rear joint, kind: cardan, at: [-2150 mm, 0 mm, 310 mm]}
  final_drive: {mounting: on a live axle, slope: 1.5 deg, sweep: 0 deg}
";

/// Its figures, with the lower links' inner ends at a height and the upper ones' at a place.
fn live_axle(lower: f64, upper: f64) -> Value {
    let spec = LIVE_AXLE.replace("LOWER", &lower.to_string()).replace("UPPER", &upper.to_string());
    let workshop = Workshop::new(&[("fenwick/build.yaml", &spec)]);
    let run = workshop.run(&["sheet", "fenwick", "--on", "2026-06-01", "--as", "json"]);
    serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}: {}", run.err))
}

/// The angles at both joints where the rear one has come to a place, in metres, and the pinion's slope to a number of degrees.
fn angles_with(rear: [f64; 3], pinion: f64) -> [f64; 2] {
    let shaft = [-1.0 - rear[0], -rear[1], 0.350 - rear[2]];
    [between(along(2.0, 0.0), shaft), between(shaft, along(pinion, 0.0))]
}

#[test]
fn a_live_axle_bends_the_propeller_shaft_and_steers_as_its_links_let_it() {
    live_axle_agrees();
}

fn live_axle_agrees() {
    let (lower, upper) = (275.0, -2050.0);
    let json = live_axle(lower, upper);
    let pose = |left: f64, right: f64| -> AxlePose {
        let inner = [at(-1890., 480., lower), at(upper, 420., 430.)];
        let outer = [at(-2450., 480., 250.), at(-2450., 420., 430.)];
        let (rod_inner, rod_outer) = ([at(-2550., 450., 300.)], [at(-2550., -450., 300.)]);
        let (centre, radius) = (at(-2450., 700., 300.), m(0.300));
        live_axle_on_links_pose(&inner, &outer, &rod_inner, &rod_outer, centre, radius, m(left), m(right))
            .expect("a pose")
    };
    agree(&json, "axle_steer_in_roll", "suspension.axles/rear", |rise| pose(rise, -rise).steer.get::<radian>());
    let angles = |t: f64| {
        let p = pose(t, t);
        let drawn = at(-2150., 0., 310.);
        let rear = carried_point(p.middle, p.metre_ahead, p.metre_left, p.metre_up, at(-2450., 0., 300.), drawn);
        angles_with(rear.map(|c| c.get::<meter>()), 1.5 + p.pinion_slope_change.get::<degree>())
    };
    agree(&json, "bend_over_travel", "driveline.line/front joint", |t| angles(t)[0]);
    agree(&json, "bend_over_travel", "driveline.line/rear joint", |t| angles(t)[1]);
    // The links of unequal length tilt the pinion, which tells this car from the next.
    assert!(pose(0.06, 0.06).pinion_slope_change.get::<degree>().abs() > 0.2);
}

/// By hand: on level links of equal length the axle does not tilt; it swings forward and, on its Panhard rod, to the side, as
/// the lengths of 560 and 900 mm stay what they are.
#[test]
fn on_parallel_links_the_angles_are_as_by_hand() {
    let json = live_axle(250.0, -1890.0);
    let angles = |t: f64| {
        let (mut ahead, mut aside) = (0.0_f64, 0.0_f64);
        for _ in 0..40 {
            ahead = 0.560 - (0.560_f64.powi(2) - t * t - aside * aside).sqrt();
            aside = 0.900 - (0.900_f64.powi(2) - t * t - ahead * ahead).sqrt();
        }
        angles_with([-2.150 + ahead, aside, 0.310 + t], 1.5)
    };
    agree(&json, "bend_over_travel", "driveline.line/front joint", |t| angles(t)[0]);
    agree(&json, "bend_over_travel", "driveline.line/rear joint", |t| angles(t)[1]);
    // At ride height: the shaft falls 40 mm over 1150 mm.
    let slope = (40.0_f64 / 1150.0).atan().to_degrees();
    assert!((angles(0.0)[1].to_degrees() - (slope - 1.5)).abs() < 1e-9);
}

/// Points of plots are left out: they repeat two figures that rules judge, and whose limits check pieces hold.
#[test]
fn whatever_a_plot_names_is_compared() {
    let json = figures();
    brakes_agree(json, m(2.350));
    gearing_and_pump_agree(json);
    wheels_agree(json);
    coolant_agrees(json);
    speedometer_and_wires_agree(json);
    fixed_joints_agree(json);
    live_axle_agrees();
    let compared = COMPARED.lock().expect("the list").clone();

    let book = load_for_judging(Terms::built_in().expect("terms"), &[]).unwrap_or_else(|_| panic!("the rulebook"));
    let marks = book.index.plots.iter().flat_map(|plot| &plot.marks).filter(|mark| mark.form != MarkForm::Point);
    let named = marks.flat_map(|mark| mark.figures.iter().chain(&mark.second));
    let mut plotted: BTreeSet<String> = named.map(|at| book.index.figures[*at].name.to_string()).collect();
    assert!(plotted.len() > 30, "{plotted:?}");
    // A curve that no plot names gets a picture of its own.
    let curves = json["figures"].as_array().expect("figures").iter().filter(|f| !f["curve"].is_null());
    plotted.extend(curves.map(|f| f["figure"].as_str().expect("a name").to_string()));
    let missed: Vec<&String> = plotted.difference(&compared).collect();
    assert!(missed.is_empty(), "plotted, and compared with nothing: {missed:?}");
}
