//! Holds the computations of suspension, steering and times from a standing start against the table of published and
//! independently computed values `tests/data/reference_chassis.yaml`.

mod reference;

use reference::{Case, cases};
use tramgauge::physics::space::Point;
use tramgauge::physics::suspension::{
    CorneringAxle, DoubleWishbone, Link, Wheel, WheelPose, anti_dive, anti_roll_bar, anti_squat, coil_rate,
    double_wishbone_front_view, lateral_load_transfer, links_side_view, parallel_arms_roll_centre, ride,
    roll_stiffness_from_wheel_rate, static_deflection_for_frequency, strut_front_view, wheel_poses,
};
use tramgauge::physics::{aero, performance, steering};
use uom::si::f64::*;
use uom::si::{Dimension, Quantity, SI};

/// A quantity from its SI value.
fn si<D: Dimension + ?Sized>(value: f64) -> Quantity<D, SI<f64>, f64> {
    Quantity { dimension: std::marker::PhantomData, units: std::marker::PhantomData, value }
}

fn input<D: Dimension + ?Sized>(case: &Case, name: &str) -> Quantity<D, SI<f64>, f64> {
    si(case.si(name))
}

/// A point of a view with the two coordinates `axes`.
fn seen(case: &Case, name: &str, axes: [usize; 2]) -> Point {
    let given = case.list(name);
    let mut point = [si(0.0); 3];
    for (axis, value) in axes.iter().zip(given) {
        point[*axis] = si(value);
    }
    point
}

fn front(case: &Case, name: &str) -> Point {
    seen(case, name, [1, 2])
}

fn in_space(case: &Case, name: &str) -> Point {
    let p = case.list(name);
    [si(p[0]), si(p[1]), si(p[2])]
}

fn wheel(centre: Point) -> Wheel {
    Wheel { centre, loaded_radius: si(0.3), camber: si(0.0), toe_in: si(0.0) }
}

fn poses(case: &Case, layout: &DoubleWishbone) -> Vec<WheelPose> {
    let travels: Vec<_> = case.list("wheel_centre_travel").into_iter().map(|t| (si(t), si(0.0))).collect();
    wheel_poses(layout, &travels).expect("within reach")
}

/// The front view of two wishbones as arms that are wide along the car, with a tie rod that lies in the lower arm's plane.
fn planar_wishbones(case: &Case, wheel_centre: Point) -> DoubleWishbone {
    let shifted = |point: Point, x: f64| [si(x), point[1], point[2]];
    let [li, lo, ui, uo] = ["lower_inner", "lower_outer", "upper_inner", "upper_outer"].map(|name| front(case, name));
    DoubleWishbone {
        lower_front: shifted(li, 0.2),
        lower_rear: shifted(li, -0.2),
        lower_ball: lo,
        upper_front: shifted(ui, 0.2),
        upper_rear: shifted(ui, -0.2),
        upper_ball: uo,
        tie_rod: Link { inner: shifted(li, 0.1), outer: shifted(lo, 0.1) },
        wheel: wheel(wheel_centre),
    }
}

fn suspension(case: &Case) {
    match case.computation.as_str() {
        "suspension.antiroll_bar" => {
            let bar = anti_roll_bar(
                input(case, "shear_modulus"),
                input(case, "bar_diameter"),
                si(0.0),
                input(case, "bar_length"),
                input(case, "arm_length"),
                input(case, "bar_motion_ratio"),
                input(case, "track"),
            )
            .expect("in range");
            case.check(&[
                ("bar_torsional_rate", bar.bar_torsional_rate.value),
                ("roll_stiffness", bar.roll_stiffness.value),
                ("roll_stiffness_per_degree", bar.roll_stiffness.value),
                ("end_rate_one_side", bar.end_rate.value),
            ]);
        }
        "suspension.ride_frequency" => {
            let r = ride(
                input(case, "spring_rate"),
                input(case, "motion_ratio_spring_over_wheel"),
                input(case, "tyre_rate"),
                input(case, "sprung_mass_per_corner"),
                si(9.81),
            )
            .expect("in range");
            case.check(&[
                ("wheel_rate", r.wheel_rate.value),
                ("ride_rate", r.ride_rate.value),
                ("frequency_on_wheel_rate", r.frequency_on_wheel_rate.value),
                ("frequency_with_tyre", r.frequency_with_tyre.value),
                ("static_deflection_on_wheel_rate", r.static_deflection.value),
            ]);
        }
        "suspension.static_deflection_for_frequency" => {
            let sunk = static_deflection_for_frequency(input(case, "frequency"), input(case, "g")).expect("in range");
            case.check(&[("static_deflection", sunk.value)]);
        }
        "suspension.lateral_load_transfer" => load_transfer(case),
        "suspension.roll_stiffness_from_wheel_rate" => {
            let k = roll_stiffness_from_wheel_rate(input(case, "wheel_rate"), input(case, "track")).expect("in range");
            case.check(&[("roll_stiffness", k.value), ("roll_stiffness_per_degree", k.value)]);
        }
        "suspension.roll_centre_double_wishbone" => {
            let [li, lo, ui, uo, contact] =
                ["lower_inner", "lower_outer", "upper_inner", "upper_outer", "contact_patch"].map(|n| front(case, n));
            let view = double_wishbone_front_view(li, lo, ui, uo, contact).expect("in range");
            let found = |centre: Point, height: Length, arm: Length, gain: f64| {
                case.check_lists(&[
                    ("instant_centre", vec![centre[1].value, centre[2].value]),
                    ("roll_centre_height", vec![height.value]),
                    ("swing_arm_length", vec![arm.value]),
                    ("camber_change_rate", vec![gain.abs()]),
                ]);
            };
            found(view.instant_centre, view.roll_centre_height, view.swing_arm_length, view.camber_gain.value);
            // The same from the solved links: the contact point's path at rest.
            let mut centre = contact;
            centre[2] += si(0.3);
            let pose = wheel_poses(&planar_wishbones(case, centre), &[(si(0.0), si(0.0))]).expect("at rest")[0];
            let instant = pose.front_instant_centre.expect("near");
            found(instant, pose.roll_centre_height, contact[1] - instant[1], pose.camber_gain.value);
        }
        "suspension.roll_centre_strut" => {
            let [inner, outer, top, axis, contact] =
                ["lower_inner", "lower_outer", "strut_top", "strut_axis_lower_point", "contact_patch"]
                    .map(|n| front(case, n));
            let view = strut_front_view(inner, outer, top, axis, contact).expect("in range");
            case.check_lists(&[
                ("instant_centre", vec![view.instant_centre[1].value, view.instant_centre[2].value]),
                ("roll_centre_height", vec![view.roll_centre_height.value]),
            ]);
        }
        "suspension.roll_centre_double_wishbone_parallel" => {
            let slope = input(case, "arm_slope_outer_minus_inner_over_length");
            let height = parallel_arms_roll_centre(slope, input(case, "contact_patch_y"));
            case.check(&[("roll_centre_height", height.value)]);
        }
        "suspension.anti_squat" => {
            let [lb, la, ub, ua] = ["lower_link_body", "lower_link_axle", "upper_link_body", "upper_link_axle"]
                .map(|name| seen(case, name, [0, 2]));
            let hub = [si(0.0), si(0.0), input(case, "wheel_radius")];
            let view = links_side_view(lb, la, ub, ua, [si(0.0); 3], hub).expect("in range");
            let share = |slope| {
                anti_squat(slope, input(case, "wheelbase"), input(case, "cg_height"), si(1.0)).expect("in range").value
            };
            case.check_lists(&[
                ("instant_centre", vec![view.instant_centre[0].value, view.instant_centre[2].value]),
                ("anti_squat_live_axle", vec![share(view.side_slope_at_contact)]),
                ("anti_squat_body_mounted_final_drive", vec![share(view.side_slope_at_centre)]),
            ]);
        }
        "suspension.anti_dive" => {
            let slope = -case.si("instant_centre_height") / case.si("instant_centre_behind_front_axle");
            let share = input(case, "front_brake_fraction");
            let found = anti_dive(si(slope), input(case, "wheelbase"), input(case, "cg_height"), share);
            case.check(&[("anti_dive", found.expect("in range").value)]);
        }
        "suspension.camber_curve_planar" => {
            let poses = poses(case, &planar_wishbones(case, front(case, "wheel_centre")));
            case.check_lists(&[
                ("camber_change", poses.iter().map(|p| p.camber_change.value).collect()),
                (
                    "half_track_change_at_wheel_centre",
                    poses.iter().map(|p| p.half_track_change_at_centre.value).collect(),
                ),
            ]);
        }
        "suspension.bump_steer_3d" => {
            let layout = DoubleWishbone {
                lower_front: in_space(case, "lf"),
                lower_rear: in_space(case, "lr"),
                lower_ball: in_space(case, "lbj"),
                upper_front: in_space(case, "uf"),
                upper_rear: in_space(case, "ur"),
                upper_ball: in_space(case, "ubj"),
                tie_rod: Link { inner: in_space(case, "tri"), outer: in_space(case, "tro") },
                wheel: wheel(in_space(case, "wc")),
            };
            let poses = poses(case, &layout);
            case.check_lists(&[
                ("toe_in_change", poses.iter().map(|p| p.toe_in_change.value).collect()),
                ("camber_change", poses.iter().map(|p| p.camber_change.value).collect()),
            ]);
        }
        other => panic!("{}: no computation {other}", case.id),
    }
}

fn load_transfer(case: &Case) {
    let g: Acceleration = input(case, "g");
    let axle = |track, centre, stiffness| CorneringAxle {
        track: input(case, track),
        roll_centre_height: input(case, centre),
        roll_stiffness: input(case, stiffness),
    };
    let transfer = |with_gravity| {
        lateral_load_transfer(
            input(case, "mass"),
            g * case.si("lateral_acceleration"),
            input(case, "wheelbase"),
            input(case, "cg_behind_front_axle"),
            input(case, "cg_height"),
            axle("front_track", "front_roll_centre_height", "front_roll_stiffness"),
            axle("rear_track", "rear_roll_centre_height", "rear_roll_stiffness"),
            g,
            with_gravity,
        )
        .expect("in range")
    };
    let (whole, short) = (transfer(true), transfer(false));
    case.check(&[
        ("roll_angle", whole.roll_angle.value),
        ("front_transfer", whole.front.value),
        ("rear_transfer", whole.rear.value),
        ("roll_angle_without_gravity_term", short.roll_angle.value),
        ("front_transfer_without_gravity_term", short.front.value),
        ("rear_transfer_without_gravity_term", short.rear.value),
        ("front_fraction_without_gravity_term", short.front_share.value),
    ]);
}

fn steering_case(case: &Case) {
    match case.computation.as_str() {
        "steering.ackermann" => {
            let found = steering::ackermann(
                input(case, "wheelbase"),
                input(case, "kingpin_spacing"),
                input(case, "rear_axle_centre_radius"),
            )
            .expect("in range");
            case.check(&[
                ("inner_angle", found.inner_angle.value),
                ("outer_angle", found.outer_angle.value),
                ("outer_pivot_path_radius", found.outer_pivot_path_radius.value),
            ]);
        }
        "steering.ackermann_outer_from_inner" => {
            let inner = input(case, "inner_angle");
            let outer =
                steering::ackermann_outer_angle(input(case, "wheelbase"), input(case, "kingpin_spacing"), inner);
            let outer = outer.expect("in range");
            case.check(&[("outer_angle", outer.value), ("toe_out_on_turn", (inner - outer).value)]);
        }
        "steering.kingpin_geometry" => {
            let [low, top, contact] =
                ["lower_ball_joint", "upper_ball_joint", "contact_patch"].map(|name| in_space(case, name));
            let found = steering::kingpin_geometry(low, top, contact).expect("in range");
            case.check(&[
                ("kingpin_inclination", found.inclination.value),
                ("caster", found.caster.value),
                ("scrub_radius", found.scrub_radius.value),
                ("mechanical_trail", found.mechanical_trail.value),
            ]);
        }
        "steering.tyre_sweep_inboard" => {
            let found = steering::tyre_sweep(
                input(case, "tyre_radius"),
                input(case, "tyre_width"),
                input(case, "kingpin_to_wheel_centreplane"),
                input(case, "steer_angle"),
            )
            .expect("in range");
            case.check(&[
                ("inboard_reach_from_kingpin", found.inboard_reach.value),
                ("straight_ahead_reach", found.straight_ahead_reach.value),
            ]);
        }
        other => panic!("{}: no computation {other}", case.id),
    }
}

/// Fits the cube root rule to the road tests and reports how well it does.
fn cube_root_fit(case: &Case) {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/road_tests_1974.csv"));
    let text = text.expect("the road tests");
    let rows = text.lines().filter(|line| !line.starts_with('#'));
    let tests: Vec<(f64, f64)> = rows
        .map(|line| {
            let row: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
            let (weight, power) = (Mass::new::<uom::si::mass::pound>(row[0] * 1000.0), row[1]);
            let power = Power::new::<uom::si::power::horsepower>(power);
            // The rule is in proportion to its constant.
            let by_five = performance::quarter_mile_time(weight, power, si(5.0)).expect("in range");
            (by_five.value / 5.0, row[2])
        })
        .collect();
    let count = tests.len() as f64;
    assert_eq!(tests.len(), 32);
    let geometric = (tests.iter().map(|(x, t)| (t / x).ln()).sum::<f64>() / count).exp();
    let squares = tests.iter().map(|(x, t)| x * t).sum::<f64>() / tests.iter().map(|(x, _)| x * x).sum::<f64>();
    let errors: Vec<f64> = tests.iter().map(|(x, t)| (geometric * x / t - 1.0).abs()).collect();
    let within = |share: f64| errors.iter().filter(|e| **e <= share).count() as f64 / count;
    case.check(&[
        ("k_lb_hp_geometric", geometric),
        ("k_lb_hp_least_squares", squares),
        ("rms_relative_error", (errors.iter().map(|e| e * e).sum::<f64>() / count).sqrt()),
        ("mean_abs_relative_error", errors.iter().sum::<f64>() / count),
        ("max_abs_relative_error", errors.iter().copied().fold(0.0, f64::max)),
        ("fraction_within_5pct", within(0.05)),
        ("fraction_within_10pct", within(0.10)),
    ]);
}

fn other_case(case: &Case) {
    match case.computation.as_str() {
        "spring.coil_rate" => {
            let rate = coil_rate(
                input(case, "shear_modulus"),
                input(case, "wire_diameter"),
                input(case, "mean_coil_diameter"),
                input(case, "active_coils"),
            );
            case.check(&[("rate", rate.expect("in range").value)]);
        }
        "aero.drag_coefficient" => {
            let found = aero::air_force_coefficient(
                input(case, "drag"),
                input(case, "frontal_area"),
                input(case, "air_density"),
                input(case, "speed"),
            );
            case.check(&[("drag_coefficient", found.expect("in range").value)]);
        }
        "aero.road_load" => {
            let found = aero::road_load(
                input(case, "drag_coefficient"),
                input(case, "frontal_area"),
                input(case, "air_density"),
                input(case, "speed"),
                input(case, "mass"),
                input(case, "rolling_coefficient"),
                input(case, "g"),
            )
            .expect("in range");
            case.check(&[("drag", found.drag.value), ("rolling", found.rolling.value), ("power", found.power.value)]);
        }
        "performance.quarter_mile_cube_root_fit" => cube_root_fit(case),
        "performance.quarter_mile_estimate" => {
            let (mass, power) = (input(case, "weight"), input(case, "power"));
            let mile = Length::new::<uom::si::length::mile>(0.25);
            let time = performance::quarter_mile_time(mass, power, input(case, "k")).expect("in range");
            let least = performance::least_time_over(mile, mass, power).expect("in range");
            case.check(&[("elapsed_time", time.value), ("ideal_constant_power_time", least.value)]);
        }
        other => panic!("{}: no computation {other}", case.id),
    }
}

#[test]
fn every_case_agrees() {
    for case in cases("reference_chassis.yaml") {
        match case.computation.split('.').next() {
            Some("suspension") => suspension(&case),
            Some("steering") => steering_case(&case),
            _ => other_case(&case),
        }
    }
}
