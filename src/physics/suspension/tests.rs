//! Laws that every solved suspension keeps: mirror, scale, rest, residuals, reach.

use proptest::prelude::*;
use uom::si::angle::{degree, radian};
use uom::si::f64::{Angle, Length, Ratio};
use uom::si::length::{meter, millimeter, nanometer};
use uom::si::ratio::ratio;

use super::*;
use crate::physics::space::{Direction, Point, direction_of, vector};

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn at(x: f64, y: f64, z: f64) -> Point {
    [mm(x), mm(y), mm(z)]
}

fn along(x: f64, y: f64, z: f64) -> Direction {
    [x, y, z].map(Ratio::new::<ratio>)
}

fn wheel(x: f64, y: f64) -> Wheel {
    Wheel {
        centre: at(x, y, 300.0),
        loaded_radius: mm(300.0),
        camber: Angle::new::<degree>(-1.0),
        toe_in: Angle::new::<degree>(0.1),
    }
}

fn wishbones() -> DoubleWishbone {
    DoubleWishbone {
        lower_front: at(170.0, 310.0, 175.0),
        lower_rear: at(-150.0, 325.0, 190.0),
        lower_ball: at(14.0, 690.0, 168.0),
        upper_front: at(120.0, 380.0, 402.0),
        upper_rear: at(-160.0, 372.0, 388.0),
        upper_ball: at(-22.0, 640.0, 436.0),
        tie_rod: Link { inner: at(-118.0, 322.0, 236.0), outer: at(-130.0, 668.0, 248.0) },
        wheel: wheel(0.0, 725.0),
    }
}

fn splayed_axle() -> LiveAxle {
    let side = |y: f64| {
        [
            Link { inner: at(-1890.0, 420.0 * y, 240.0), outer: at(-2480.0, 480.0 * y, 215.0) },
            Link { inner: at(-2080.0, 380.0 * y, 420.0), outer: at(-2470.0, 130.0 * y, 440.0) },
        ]
    };
    let upright = |y| Wheel { camber: Angle::default(), toe_in: Angle::default(), ..wheel(-2500.0, y) };
    LiveAxle { links: [side(1.0), side(-1.0)].concat(), watt: None, left: upright(700.0), right: upright(-700.0) }
}

/// Four equal and parallel links with a Panhard rod.
fn parallel_axle() -> LiveAxle {
    let link = |y: f64, z: f64| Link { inner: at(-1900.0, y, z), outer: at(-2480.0, y, z) };
    let panhard = Link { inner: at(-2580.0, 450.0, 330.0), outer: at(-2580.0, -450.0, 300.0) };
    let links = vec![link(500.0, 220.0), link(-500.0, 220.0), link(450.0, 430.0), link(-450.0, 430.0), panhard];
    LiveAxle { links, ..splayed_axle() }
}

fn changed(layout: DoubleWishbone, point: impl Fn(Point) -> Point) -> DoubleWishbone {
    DoubleWishbone {
        lower_front: point(layout.lower_front),
        lower_rear: point(layout.lower_rear),
        lower_ball: point(layout.lower_ball),
        upper_front: point(layout.upper_front),
        upper_rear: point(layout.upper_rear),
        upper_ball: point(layout.upper_ball),
        tie_rod: Link { inner: point(layout.tie_rod.inner), outer: point(layout.tie_rod.outer) },
        wheel: Wheel { centre: point(layout.wheel.centre), ..layout.wheel },
    }
}

fn shaken(by: &[f64]) -> DoubleWishbone {
    let next = std::cell::Cell::new(0);
    changed(wishbones(), |p| {
        p.map(|c| {
            let i = next.get();
            next.set(i + 1);
            c + mm(by.get(i).copied().unwrap_or_default())
        })
    })
}

fn apart(a: Point, b: Point) -> Length {
    Length::new::<meter>((vector(a) - vector(b)).norm())
}

proptest! {
    #[test]
    fn the_mirrored_car_does_the_same(travel in -70.0_f64..80.0, rack in -40.0_f64..40.0, by in prop::collection::vec(-15.0_f64..15.0, 27)) {
        let left = shaken(&by);
        let right = changed(left, |p| [p[0], -p[1], p[2]]);
        let a = wheel_pose(&left, mm(travel), mm(rack)).expect("within reach");
        let b = wheel_pose(&right, mm(travel), mm(-rack)).expect("within reach");
        prop_assert!((a.camber - b.camber).abs() < Angle::new::<radian>(1e-11));
        prop_assert!((a.toe_in - b.toe_in).abs() < Angle::new::<radian>(1e-11));
        prop_assert!((a.half_track_change - b.half_track_change).abs() < mm(1e-8));
        prop_assert!((a.forward_change - b.forward_change).abs() < mm(1e-8));
        prop_assert!((a.roll_centre_height - b.roll_centre_height).abs() < mm(1e-6));
    }

    #[test]
    fn a_car_twice_the_size_moves_twice_as_far(travel in -60.0_f64..70.0, size in 0.3_f64..3.0) {
        let one = wheel_pose(&wishbones(), mm(travel), mm(0.0)).expect("within reach");
        let mut layout = changed(wishbones(), |p| p.map(|c| c * size));
        layout.wheel.loaded_radius *= size;
        let other = wheel_pose(&layout, mm(travel * size), mm(0.0)).expect("within reach");
        prop_assert!((one.camber - other.camber).abs() < Angle::new::<radian>(1e-10));
        prop_assert!((one.half_track_change * size - other.half_track_change).abs() < mm(1e-7));
        prop_assert!((one.roll_centre_height * size - other.roll_centre_height).abs() < mm(1e-5));
    }

    #[test]
    fn links_keep_their_length_to_a_nanometre(travel in -70.0_f64..80.0, rack in -45.0_f64..45.0, by in prop::collection::vec(-15.0_f64..15.0, 27)) {
        let l = shaken(&by);
        let pose = wheel_pose(&l, mm(travel), mm(rack)).expect("within reach");
        let tie_inner = [l.tie_rod.inner[0], l.tie_rod.inner[1] + mm(rack), l.tie_rod.inner[2]];
        let rods = [
            (l.lower_front, l.lower_front, l.lower_ball),
            (l.lower_rear, l.lower_rear, l.lower_ball),
            (l.upper_front, l.upper_front, l.upper_ball),
            (l.upper_rear, l.upper_rear, l.upper_ball),
            (l.tie_rod.inner, tie_inner, l.tie_rod.outer),
        ];
        for (drawn, inner, outer) in rods {
            let misfit = apart(inner, pose.upright.place(outer)) - apart(drawn, outer);
            prop_assert!(misfit.abs() < Length::new::<nanometer>(1.0), "{misfit:?}");
        }
        prop_assert!((pose.wheel_centre[2] - l.wheel.centre[2] - mm(travel)).abs() < Length::new::<nanometer>(1.0));
        // The upright stays rigid.
        let (a, b) = (l.upper_ball, l.tie_rod.outer);
        prop_assert!((apart(a, b) - apart(pose.upright.place(a), pose.upright.place(b))).abs() < Length::new::<nanometer>(1.0));
    }

    #[test]
    fn the_way_there_does_not_matter(travel in -70.0_f64..80.0, detour in -70.0_f64..80.0) {
        let straight = wheel_pose(&wishbones(), mm(travel), mm(0.0)).expect("within reach");
        let way = [(mm(detour), mm(20.0)), (mm(-detour / 2.0), mm(-30.0)), (mm(travel), mm(0.0))];
        let round = wheel_poses(&wishbones(), &way).expect("within reach")[2];
        prop_assert!(apart(straight.contact, round.contact) < Length::new::<nanometer>(0.1));
    }

    #[test]
    fn rates_are_those_of_neighbouring_poses(travel in -60.0_f64..70.0) {
        let step = 0.01;
        let [low, here, high] = [-step, 0.0, step].map(|d| wheel_pose(&wishbones(), mm(travel + d), mm(0.0)).expect("within reach"));
        let slope = (high.camber - low.camber) / mm(2.0 * step);
        prop_assert!((slope.value - here.camber_gain.value).abs() < 1e-6);
        let slope = (high.toe_in - low.toe_in) / mm(2.0 * step);
        prop_assert!((slope.value - here.toe_in_gain.value).abs() < 1e-6);
    }

    #[test]
    fn a_live_axle_mirrors(left in -60.0_f64..60.0, right in -60.0_f64..60.0) {
        let a = axle_pose(&splayed_axle(), mm(left), mm(right)).expect("within reach");
        let b = axle_pose(&splayed_axle(), mm(right), mm(left)).expect("within reach");
        prop_assert!((a.roll + b.roll).abs() < Angle::new::<radian>(1e-10));
        prop_assert!((a.steer + b.steer).abs() < Angle::new::<radian>(1e-10));
        prop_assert!((a.pinion_slope_change - b.pinion_slope_change).abs() < Angle::new::<radian>(1e-10));
        prop_assert!((a.roll_centre_height - b.roll_centre_height).abs() < mm(1e-5));
    }

    #[test]
    fn an_axle_held_exactly_keeps_its_links(left in -60.0_f64..60.0, right in -60.0_f64..60.0) {
        let axle = splayed_axle();
        let pose = axle_pose(&axle, mm(left), mm(right)).expect("within reach");
        for link in &axle.links {
            let misfit = apart(link.inner, pose.heave.place(link.outer)) - apart(link.inner, link.outer);
            prop_assert!(misfit.abs() < Length::new::<nanometer>(1.0));
        }
        prop_assert!(pose.ends_give < Length::new::<nanometer>(1.0));
    }
}

#[test]
fn at_rest_nothing_has_changed() {
    let pose = wheel_pose(&wishbones(), mm(0.0), mm(0.0)).expect("at rest");
    assert_eq!(pose.wheel_centre, wishbones().wheel.centre);
    assert_eq!(pose.half_track_change, mm(0.0));
    assert!(
        pose.camber_change.abs() < Angle::new::<radian>(1e-15)
            && pose.toe_in_change.abs() < Angle::new::<radian>(1e-15)
    );
    let axle = axle_pose(&parallel_axle(), mm(0.0), mm(0.0)).expect("at rest");
    assert_eq!((axle.shift_left, axle.forward_change, axle.ends_give), (mm(0.0), mm(0.0), mm(0.0)));
}

#[test]
fn a_travel_out_of_reach_says_how_far_the_links_go() {
    // Lower arm of 380 mm, upper of 280 mm: nothing lets the wheel rise by half a metre.
    let refusal = wheel_pose(&wishbones(), mm(500.0), mm(0.0)).expect_err("out of reach");
    assert_eq!(refusal.what, "wheel travel");
    let reach: f64 = refusal.allowed.split(&[',', ' ']).filter_map(|word| word.parse().ok()).next().expect("a reach");
    assert!(wheel_pose(&wishbones(), mm(reach - 1.0), mm(0.0)).is_ok(), "{refusal}");
    assert!(wheel_pose(&wishbones(), mm(reach + 1.0), mm(0.0)).is_err(), "{refusal}");
    assert!(axle_pose(&splayed_axle(), mm(900.0), mm(900.0)).is_err());
}

#[test]
fn values_that_no_car_has_are_refused() {
    for travel in [f64::NAN, f64::INFINITY, 1e12, -1e12] {
        assert!(wheel_pose(&wishbones(), mm(travel), mm(0.0)).is_err());
        assert!(wheel_pose(&wishbones(), mm(0.0), mm(travel)).is_err());
        assert!(axle_pose(&splayed_axle(), mm(travel), mm(0.0)).is_err());
        let mut far = wishbones();
        far.upper_ball[1] = mm(travel);
        assert!(wheel_pose(&far, mm(10.0), mm(0.0)).is_err());
    }
    let mut pinched = wishbones();
    pinched.lower_rear = pinched.lower_front;
    assert!(wheel_pose(&pinched, mm(0.0), mm(0.0)).is_err(), "an arm with one pivot");
    let mut loose = wishbones();
    loose.tie_rod = Link { inner: loose.lower_front, outer: loose.lower_ball };
    assert!(wheel_pose(&loose, mm(0.0), mm(0.0)).is_err(), "a tie rod that does not hold the wheel's steering");
    let mut three = splayed_axle();
    three.links.pop();
    assert!(axle_pose(&three, mm(0.0), mm(0.0)).is_err(), "three links alone");
    let mut parallel = parallel_axle();
    parallel.links.pop();
    assert!(axle_pose(&parallel, mm(0.0), mm(0.0)).is_err(), "parallel links without a Panhard rod");
}

#[test]
fn parallel_links_with_a_panhard_rod_do_as_the_drawing_board_says() {
    let axle = parallel_axle();
    let rest = axle_pose(&axle, mm(0.0), mm(0.0)).expect("at rest");
    // The rod crosses the middle plane at 315 mm; equal parallel links neither steer in roll nor tilt the nose.
    assert!((rest.roll_centre_height - mm(315.0)).abs() < mm(1e-6));
    assert!(rest.roll_steer.abs() < Ratio::new::<ratio>(1e-9) && rest.side_instant_centre.is_none());
    // In heave the axle swings on the rod's arc: from 30 mm below its inner end to 30 mm above it, and back to where it was.
    let up = axle_pose(&axle, mm(60.0), mm(60.0)).expect("within reach");
    assert!(up.shift_left.abs() < mm(0.05) && up.ends_give < mm(1e-3));
    assert!(up.pinion_slope_change.abs() < Angle::new::<radian>(1e-6));
}

#[test]
fn unequal_links_bind_in_roll_and_the_pose_says_how_much() {
    let mut axle = parallel_axle();
    for link in &mut axle.links[2..4] {
        link.inner[0] = mm(-2200.0);
        link.inner[2] = mm(460.0);
    }
    let heave = axle_pose(&axle, mm(50.0), mm(50.0)).expect("within reach");
    let roll = axle_pose(&axle, mm(50.0), mm(-50.0)).expect("within reach");
    assert!(heave.ends_give < mm(0.05) && roll.ends_give > mm(0.2), "{:?} {:?}", heave.ends_give, roll.ends_give);
}

#[test]
fn anti_squat_of_solved_links_is_that_of_their_lines() {
    // The reference case: links of the side view, once on each side, with a Panhard rod on the ground plane of neither.
    let link = |body: (f64, f64), axle: (f64, f64), y| Link {
        inner: at(-2500.0 + body.0, y, body.1),
        outer: at(-2500.0 + axle.0, y, axle.1),
    };
    let lower = |y| link((620.0, 260.0), (0.0, 210.0), y);
    let upper = |y| link((480.0, 400.0), (-30.0, 430.0), y);
    let panhard = Link { inner: at(-2600.0, 450.0, 300.0), outer: at(-2600.0, -450.0, 300.0) };
    let side = |y| Wheel {
        centre: at(-2500.0, y, 310.0),
        loaded_radius: mm(310.0),
        camber: Angle::default(),
        toe_in: Angle::default(),
    };
    let links = vec![lower(500.0), lower(-500.0), upper(450.0), upper(-450.0), panhard];
    let axle = LiveAxle { links, watt: None, left: side(700.0), right: side(-700.0) };
    let pose = axle_pose(&axle, mm(0.0), mm(0.0)).expect("at rest");
    let share =
        |slope| anti_squat(slope, mm(2500.0), mm(520.0), Ratio::new::<ratio>(1.0)).expect("in range").get::<ratio>();
    assert!((share(pose.side_slope_at_contact) - 1.032_936_9).abs() < 1e-6);
    assert!((share(pose.side_slope_at_centre) - 0.080_469_591).abs() < 1e-6);
}

#[test]
fn a_watt_linkage_on_either_side_holds_the_axle_at_its_pivot() {
    for crank_on in [CrankOn::Axle, CrankOn::Body] {
        let watt = Watt {
            crank_on,
            pivot: at(-2590.0, 0.0, 320.0),
            first_end: at(-2590.0, 0.0, 400.0),
            first_far: at(-2590.0, 480.0, 400.0),
            second_end: at(-2590.0, 0.0, 240.0),
            second_far: at(-2590.0, -480.0, 240.0),
        };
        let mut axle = parallel_axle();
        axle.links.truncate(3);
        axle.links[2] = Link { inner: at(-2050.0, 0.0, 430.0), outer: at(-2460.0, 0.0, 430.0) };
        axle.watt = Some(watt);
        let rest = axle_pose(&axle, mm(0.0), mm(0.0)).expect("at rest");
        assert!((rest.roll_centre_height - mm(320.0)).abs() < mm(1e-6), "{:?}", rest.roll_centre_height);
        // A Watt linkage is straight to the fifth order: 40 mm of heave move the axle by microns.
        let up = axle_pose(&axle, mm(40.0), mm(40.0)).expect("within reach");
        assert!(up.shift_left.abs() < mm(0.01), "{:?}", up.shift_left);
    }
}

#[test]
fn a_spring_on_the_arm_works_with_the_lever_of_the_arm() {
    // A trailing arm of 400 mm with its spring upright at 200 mm: motion ratio one half, at rest.
    let arm = SwingingArm {
        inner_pivot: at(-2100.0, 400.0, 300.0),
        outer_pivot: at(-2100.0, 700.0, 300.0),
        wheel: wheel(-2500.0, 700.0),
    };
    let pose = wheel_pose(&arm, mm(0.0), mm(0.0)).expect("at rest");
    let travel = spring_travel(&pose.upright, at(-2300.0, 550.0, 700.0), at(-2300.0, 550.0, 300.0)).expect("a spring");
    assert!((travel.motion_ratio.get::<ratio>() - 0.5).abs() < 1e-12);
    assert!(wheel_pose(&arm, mm(401.0), mm(0.0)).is_err() && wheel_pose(&arm, mm(390.0), mm(0.0)).is_ok());
}

#[test]
fn motion_ratios_are_the_slopes_of_the_lengths() {
    let rocker = Rocker {
        pivot: at(20.0, 380.0, 520.0),
        axis: along(1.0, 0.05, 0.0),
        rod_inner: at(20.0, 430.0, 560.0),
        rod_outer: at(5.0, 640.0, 200.0),
    };
    let (fixed, end) = (at(15.0, 120.0, 600.0), at(22.0, 390.0, 590.0));
    let spring = |travel: f64| {
        let w = wishbones();
        let pose = wheel_pose(&w, mm(travel), mm(0.0)).expect("within reach");
        let arm = arm_motion(w.lower_front, w.lower_rear, w.lower_ball, &pose.upright).expect("an arm");
        let turned = rocker_motion(&arm, &rocker).expect("the rod reaches");
        let rod = apart(turned.place(rocker.rod_inner), arm.place(rocker.rod_outer));
        assert!((rod - apart(rocker.rod_inner, rocker.rod_outer)).abs() < Length::new::<nanometer>(1.0), "{rod:?}");
        spring_travel(&turned, fixed, end).expect("a spring")
    };
    for travel in [-50.0, -10.0, 0.0, 35.0, 60.0] {
        let slope = (spring(travel + 0.01).compression - spring(travel - 0.01).compression) / mm(0.02);
        let ratio_here = spring(travel).motion_ratio;
        assert!((slope - ratio_here).abs() < Ratio::new::<ratio>(1e-6), "{travel}: {slope:?} {ratio_here:?}");
        assert!(ratio_here > Ratio::new::<ratio>(0.1));
    }
}

#[test]
fn a_shaft_to_a_rising_axle_bends_and_plunges() {
    // Equal parallel links: the nose keeps its slope; a shaft of 1200 mm that is level at rest bends at both ends alike.
    let pose = axle_pose(&parallel_axle(), mm(60.0), mm(60.0)).expect("within reach");
    let forward = direction_of(Angle::default(), Angle::default());
    let lay =
        shaft_lay(&pose.heave, at(-1150.0, 0.0, 310.0), forward, at(-2350.0, 0.0, 310.0), forward).expect("a shaft");
    assert!((lay.angle_at_body - lay.angle_at_part).abs() < Angle::new::<radian>(1e-5));
    assert!((lay.angle_at_body.get::<radian>() - (60.0_f64 / 1200.0).atan()).abs() < 1e-3);
    // The links of 580 mm pull the axle forward by 580 - sqrt(580^2 - 60^2) = 3.11 mm; the slope gives 1.50 mm back.
    let reached: f64 = (1200.0 - (580.0 - (580.0_f64.powi(2) - 3600.0).sqrt())).hypot(60.0);
    assert!((lay.extension - mm(reached - 1200.0)).abs() < mm(0.01), "{:?}", lay.extension);
}

#[test]
fn a_rod_end_tilts_as_its_link_leaves_the_plane_across_the_bolt() {
    let pose = axle_pose(&parallel_axle(), mm(60.0), mm(60.0)).expect("within reach");
    let (inner, outer) = (at(-1900.0, 500.0, 220.0), at(-2480.0, 500.0, 220.0));
    // Bolts across the car: heave only swings the link about them, by asin(60/580).
    let across = link_angles(&pose.heave, inner, along(0.0, 1.0, 0.0), outer, along(0.0, 1.0, 0.0)).expect("a link");
    assert!(across.tilt_at_body < Angle::new::<degree>(0.1));
    let swing = (60.0_f64 / 580.0).asin();
    assert!((across.swing_at_body.get::<radian>() - swing).abs() < 1e-4);
    // Bolts upright: the same movement is all tilt.
    let upright = link_angles(&pose.heave, inner, along(0.0, 0.0, 1.0), outer, along(0.0, 0.0, 1.0)).expect("a link");
    assert!((upright.tilt_at_body.get::<radian>() - swing).abs() < 1e-4);
    // In roll the eyes twist against each other by the roll.
    let rolled = axle_pose(&parallel_axle(), mm(50.0), mm(-50.0)).expect("within reach");
    let twisted = link_angles(&rolled.heave, inner, along(0.0, 1.0, 0.0), outer, along(0.0, 1.0, 0.0)).expect("a link");
    assert!((twisted.twist - rolled.roll).abs() < Angle::new::<degree>(0.05), "{:?} {:?}", twisted.twist, rolled.roll);
}

#[test]
fn the_tyre_gap_is_that_to_the_nearest_face() {
    let gap = |from, to| {
        tyre_gap(at(0.0, 700.0, 300.0), along(0.0, 1.0, 0.0), mm(300.0), mm(200.0), from, to).expect("in range")
    };
    // Beside the inner wall, ahead of the tread, off the corner, through the tyre.
    assert!((gap(at(0.0, 300.0, 300.0), at(0.0, 580.0, 300.0)) - mm(20.0)).abs() < mm(1e-6));
    assert!((gap(at(340.0, 600.0, 300.0), at(340.0, 800.0, 300.0)) - mm(40.0)).abs() < mm(1e-6));
    assert!((gap(at(330.0, 560.0, 300.0), at(400.0, 500.0, 300.0)) - mm(50.0)).abs() < mm(1e-6));
    assert!(gap(at(0.0, 300.0, 300.0), at(0.0, 900.0, 300.0)) < mm(0.0));
}

#[test]
fn points_alone_carry_parts_as_motions_do() {
    let w = wishbones();
    let pose = double_wishbone_pose(
        w.lower_front,
        w.lower_rear,
        w.lower_ball,
        w.upper_front,
        w.upper_rear,
        w.upper_ball,
        w.tie_rod.inner,
        w.tie_rod.outer,
        w.wheel.centre,
        w.wheel.loaded_radius,
        w.wheel.camber,
        w.wheel.toe_in,
        mm(45.0),
        mm(12.0),
    )
    .expect("within reach");
    assert_eq!(pose, wheel_pose(&w, mm(45.0), mm(12.0)).expect("within reach"));
    let same = |a: Point, b: Point| assert!(apart(a, b) < Length::new::<nanometer>(0.1), "{a:?} {b:?}");
    let carried = |drawn| {
        carried_point(pose.wheel_centre, pose.metre_ahead, pose.metre_left, pose.metre_up, w.wheel.centre, drawn)
    };
    same(carried(w.upper_ball), pose.upright.place(w.upper_ball));
    let arm = arm_motion(w.lower_front, w.lower_rear, w.lower_ball, &pose.upright).expect("an arm");
    let seat = at(0.0, 560.0, 190.0);
    let ball_now = carried(w.lower_ball);
    same(carried_by_arm(w.lower_front, w.lower_rear, w.lower_ball, ball_now, seat).expect("an arm"), arm.place(seat));
    let (pivot, axis_end) = (at(20.0, 380.0, 520.0), at(1020.0, 380.0, 520.0));
    let rocker = Rocker {
        pivot,
        axis: along(1.0, 0.0, 0.0),
        rod_inner: at(20.0, 430.0, 560.0),
        rod_outer: at(5.0, 640.0, 200.0),
    };
    let turned = rocker_motion(&arm, &rocker).expect("the rod reaches");
    let end = at(22.0, 390.0, 590.0);
    let now = arm.place(rocker.rod_outer);
    same(
        carried_by_rocker(pivot, axis_end, rocker.rod_inner, rocker.rod_outer, now, end).expect("a rocker"),
        turned.place(end),
    );
}

#[test]
fn links_by_points_have_the_angles_of_links_by_motions() {
    let axle = parallel_axle();
    let rolled = axle_pose(&axle, mm(50.0), mm(-50.0)).expect("within reach");
    let inner: Vec<Point> = axle.links.iter().map(|link| link.inner).collect();
    let outer: Vec<Point> = axle.links.iter().map(|link| link.outer).collect();
    let (left, right) = (axle.left.centre, axle.right.centre);
    let flat = live_axle_pose(&inner, &outer, left, right, mm(300.0), mm(50.0), mm(-50.0)).expect("within reach");
    assert_eq!(flat, rolled);
    let (near, far) = (axle.links[0].inner, axle.links[0].outer);
    let bolt_end = |p: Point| [p[0] + mm(5.0), p[1] + mm(40.0), p[2]];
    let bolt = along(5.0, 40.0, 0.0);
    let whole = link_angles(&rolled.heave, near, bolt, far, bolt).expect("a link");
    let (far_now, bolt_now) = (rolled.heave.place(far), rolled.heave.place(bolt_end(far)));
    let twist = link_twist(near, bolt_end(near), far, bolt_end(far), far_now, bolt_now).expect("a link");
    assert!((twist - whole.twist).abs() < Angle::new::<radian>(1e-12) && twist > Angle::new::<degree>(1.0));
    let tilt = rod_end_tilt(far_now, near, far_now, bolt_now).expect("a rod end");
    assert!((tilt - whole.tilt_at_part).abs() < Angle::new::<radian>(1e-12) && tilt > Angle::new::<degree>(1.0));
}

#[test]
fn lists_of_links_must_match() {
    let five = vec![at(0.0, 0.0, 0.0); 5];
    let (left, right) = (at(-2500.0, 700.0, 300.0), at(-2500.0, -700.0, 300.0));
    assert!(live_axle_pose(&five, &five[..4], left, right, mm(300.0), mm(0.0), mm(0.0)).is_err());
    let angle = Angle::default();
    assert!(five_link_pose(&five[..4], &five[..4], left, mm(300.0), angle, angle, mm(0.0), mm(0.0)).is_err());
}
