//! Holds the solved suspensions against poses found by another route: `tests/data/suspension_poses.yaml`, written by
//! `tests/reference/suspension_poses.py` with scipy, where the places of the carried points are the unknowns.

use serde_yaml::Value;
use tramgauge::physics::space::Point;
use tramgauge::physics::suspension::{
    AxlePose, CrankOn, DoubleWishbone, FiveLink, Independent, Link, LiveAxle, Strut, SwingingArm, Watt, Wheel,
    WheelPose, arm_motion, axle_pose, spring_travel, wheel_pose,
};
use uom::si::angle::degree;
use uom::si::curvature::degree_per_millimeter;
use uom::si::f64::{Angle, Length};
use uom::si::length::millimeter;
use uom::si::ratio::ratio;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn numbers(value: &Value) -> Vec<f64> {
    match value {
        Value::Sequence(list) => list.iter().map(|v| v.as_f64().expect("a number")).collect(),
        single => vec![single.as_f64().expect("a number")],
    }
}

fn point(value: &Value) -> Point {
    let p = numbers(value);
    [mm(p[0]), mm(p[1]), mm(p[2])]
}

fn link(inner: &Value, outer: &Value) -> Link {
    Link { inner: point(inner), outer: point(outer) }
}

fn wheel(layout: &Value) -> Wheel {
    let angle = |name: &str| Angle::new::<degree>(layout[name].as_f64().expect("an angle"));
    Wheel {
        centre: point(&layout["wheel"]),
        loaded_radius: mm(300.0),
        camber: angle("camber"),
        toe_in: angle("toe_in"),
    }
}

fn wishbones(layout: &Value) -> DoubleWishbone {
    let at = |name: &str| point(&layout[name]);
    DoubleWishbone {
        lower_front: at("lower_front"),
        lower_rear: at("lower_rear"),
        lower_ball: at("lower_ball"),
        upper_front: at("upper_front"),
        upper_rear: at("upper_rear"),
        upper_ball: at("upper_ball"),
        tie_rod: link(&layout["tie_inner"], &layout["tie_outer"]),
        wheel: wheel(layout),
    }
}

fn strut(layout: &Value) -> Strut {
    let at = |name: &str| point(&layout[name]);
    Strut {
        arm_front: at("arm_front"),
        arm_rear: at("arm_rear"),
        ball: at("ball"),
        top: at("top"),
        rod_axis: at("rod_axis"),
        tie_rod: link(&layout["tie_inner"], &layout["tie_outer"]),
        wheel: wheel(layout),
    }
}

fn links(layout: &Value) -> Vec<Link> {
    let list = layout["links"].as_sequence().expect("links");
    list.iter().map(|ends| link(&ends[0], &ends[1])).collect()
}

fn independent(name: &str, layout: &Value, at: [Length; 2]) -> WheelPose {
    fn pose(layout: &impl Independent, at: [Length; 2]) -> WheelPose {
        wheel_pose(layout, at[0], at[1]).expect("within reach")
    }
    match name {
        "wishbones" => pose(&wishbones(layout), at),
        "strut" => pose(&strut(layout), at),
        "five_links" => {
            let links = links(layout).try_into().expect("five links");
            pose(&FiveLink { links, wheel: wheel(layout) }, at)
        }
        "swinging_arm" => {
            let [inner_pivot, outer_pivot] = ["inner_pivot", "outer_pivot"].map(|name| point(&layout[name]));
            pose(&SwingingArm { inner_pivot, outer_pivot, wheel: wheel(layout) }, at)
        }
        other => panic!("no layout {other}"),
    }
}

fn axle(layout: &Value) -> LiveAxle {
    let side = |y: f64| Wheel {
        centre: [mm(-2500.0), mm(y), mm(305.0)],
        loaded_radius: mm(300.0),
        camber: Angle::default(),
        toe_in: Angle::default(),
    };
    let watt = layout.get("watt").map(|watt| Watt {
        crank_on: CrankOn::Axle,
        pivot: point(&watt["pivot"]),
        first_end: point(&watt["first_end"]),
        first_far: point(&watt["first_far"]),
        second_end: point(&watt["second_end"]),
        second_far: point(&watt["second_far"]),
    });
    LiveAxle { links: links(layout), watt, left: side(700.0), right: side(-700.0) }
}

/// Holds figures against those of a case; `tolerance` is absolute, in the case's own unit.
fn agree(case: &Value, found: &[(&str, Vec<f64>, f64)]) {
    let expected = case["expect"].as_mapping().expect("figures");
    for (name, wanted) in expected {
        let name = name.as_str().expect("a name");
        let (_, got, tolerance) = found.iter().find(|(n, ..)| *n == name).unwrap_or_else(|| panic!("no figure {name}"));
        for (got, wanted) in got.iter().zip(numbers(wanted)) {
            assert!((got - wanted).abs() <= *tolerance, "{:?}: {name} is {got}, expected {wanted}", case["id"]);
        }
    }
}

fn in_mm(point: Point) -> Vec<f64> {
    point.map(|c| c.get::<millimeter>()).to_vec()
}

const PLACE: f64 = 1e-6;
const TURN: f64 = 1e-6;
/// Rates of the table are differences over a small travel, which cost digits.
const RATE: f64 = 2e-6;

fn hold_wheel(case: &Value, layout: &Value, pose: &WheelPose) {
    let spring = &layout["spring"];
    let (fixed, moving) = (point(&spring["fixed"]), point(&spring["moving"]));
    let part = match spring["part"].as_str() {
        Some("lower_arm") => {
            let w = wishbones(layout);
            arm_motion(w.lower_front, w.lower_rear, w.lower_ball, &pose.upright).expect("an arm")
        }
        _ => pose.upright,
    };
    let travel = spring_travel(&part, fixed, moving).expect("a spring");
    agree(
        case,
        &[
            ("wheel_centre", in_mm(pose.wheel_centre), PLACE),
            ("contact", in_mm(pose.contact), PLACE),
            ("camber", vec![pose.camber.get::<degree>()], TURN),
            ("toe_in", vec![pose.toe_in.get::<degree>()], TURN),
            ("camber_gain", vec![pose.camber_gain.get::<degree_per_millimeter>()], RATE),
            ("toe_in_gain", vec![pose.toe_in_gain.get::<degree_per_millimeter>()], RATE),
            ("roll_centre_height", vec![pose.roll_centre_height.get::<millimeter>()], 1e-3),
            ("side_slope_at_contact", vec![pose.side_slope_at_contact.get::<ratio>()], RATE),
            ("spring_length", vec![travel.length.get::<millimeter>()], PLACE),
            ("motion_ratio", vec![travel.motion_ratio.get::<ratio>()], RATE),
        ],
    );
}

fn hold_axle(case: &Value, pose: &AxlePose) {
    let nose = [mm(-2380.0), mm(20.0), mm(315.0)];
    agree(
        case,
        &[
            ("left_centre", in_mm(pose.left_centre), PLACE),
            ("right_centre", in_mm(pose.right_centre), PLACE),
            ("nose", in_mm(pose.heave.place(nose)), PLACE),
            ("steer", vec![pose.steer.get::<degree>()], TURN),
            ("pinion_slope_change", vec![pose.pinion_slope_change.get::<degree>()], TURN),
            ("roll_centre_height", vec![pose.roll_centre_height.get::<millimeter>()], 2e-3),
            ("roll_steer", vec![pose.roll_steer.get::<ratio>()], RATE),
            ("side_slope_at_contact", vec![pose.side_slope_at_contact.get::<ratio>()], RATE),
            ("ends_give", vec![pose.ends_give.get::<millimeter>()], PLACE),
        ],
    );
}

#[test]
fn every_pose_agrees() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/suspension_poses.yaml"));
    let table: Value = serde_yaml::from_str(&text.expect("the table of poses")).expect("YAML");
    let cases = table["cases"].as_sequence().expect("cases");
    assert_eq!(cases.len(), 39);
    for case in cases {
        let name = case["layout"].as_str().expect("a layout");
        let layout = &table["layouts"][name];
        let at = numbers(&case["at"]);
        let at = [mm(at[0]), mm(at[1])];
        if layout.get("wheel").is_some() {
            hold_wheel(case, layout, &independent(name, layout, at));
        } else {
            hold_axle(case, &axle_pose(&axle(layout), at[0], at[1]).expect("within reach"));
        }
    }
}
