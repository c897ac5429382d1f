//! Laws which hold for every value: scaling, symmetry, bounds.

use proptest::prelude::*;
use uom::si::f64::{Force, Mass};
use uom::si::force::newton;
use uom::si::mass::kilogram;

use super::super::*;
use super::*;

fn slope() -> impl Strategy<Value = f64> {
    -15.0..15.0_f64
}

proptest! {
    /// The bend does not care which member comes first, nor for a mirror image of the car.
    #[test]
    fn bend_is_symmetric(a in slope(), b in slope(), c in slope(), d in slope()) {
        let bend = joint_angle(deg(a), deg(b), deg(c), deg(d)).expect("in range").value;
        let swapped = joint_angle(deg(c), deg(d), deg(a), deg(b)).expect("in range").value;
        let mirrored = joint_angle(deg(a), deg(-b), deg(c), deg(-d)).expect("in range").value;
        prop_assert!((bend - swapped).abs() < 1e-12);
        prop_assert!((bend - mirrored).abs() < 1e-12);
    }

    /// Coordinates say the same as the slope and sweep of the same line.
    #[test]
    fn points_agree_with_views(a in slope(), b in slope(), c in slope(), d in slope(), one in 200.0..1500.0_f64, two in 200.0..1500.0_f64) {
        let tan = |angle: f64| angle.to_radians().tan();
        let joint = [mm(0.0), mm(0.0), mm(300.0)];
        let before = [mm(one), mm(one * tan(b)), mm(300.0 + one * tan(a))];
        let after = [mm(-two), mm(-two * tan(d)), mm(300.0 - two * tan(c))];
        let by_points = joint_angle_at(before, joint, after).expect("in range").value;
        let by_views = joint_angle(deg(a), deg(b), deg(c), deg(d)).expect("in range").value;
        prop_assert!((by_points - by_views).abs() < 1e-9);
        prop_assert!((slope_between(before, joint).expect("in range").get::<degree>() - a).abs() < 1e-9);
        prop_assert!((sweep_between(after, joint).expect("in range").get::<degree>() - d).abs() < 1e-9);
    }

    /// Turning the whole line about its axis turns every plane with it and changes no bend worth mentioning.
    #[test]
    fn plane_follows_a_turned_line(bend in 0.5..4.0_f64, turn in -89.0..89.0_f64) {
        let (sin, cos) = turn.to_radians().sin_cos();
        let in_views = |part: f64| (bend.to_radians().tan() * part).atan().to_degrees();
        let plane = joint_plane(deg(0.0), deg(0.0), deg(in_views(sin)), deg(in_views(cos))).expect("in range");
        prop_assert!((plane.get::<degree>() - turn).abs() < 1e-6);
    }

    /// A joint only swings about the driving speed: highest and lowest speed multiply to its square.
    #[test]
    fn extremes_multiply_to_the_square(bend in 0.0..60.0_f64, speed in 1.0..9000.0_f64) {
        let found = cardan_speed_extremes(deg(bend), rpm(speed)).expect("in range");
        close(found.highest.value * found.lowest.value, rpm(speed).value.powi(2), 1e-12);
        close((found.highest - found.lowest).value, found.fluctuation.value * rpm(speed).value + 1e-12, 1e-6);
    }

    /// Acceleration goes with the square of the speed, and the small-angle rule never promises less than 1 % from the truth.
    #[test]
    fn acceleration_scales_with_speed_squared(bend in 0.1..10.0_f64, speed in 100.0..9000.0_f64) {
        let exact = |s: f64| cardan_peak_acceleration(deg(bend), rpm(s)).expect("in range").value;
        close(exact(2.0 * speed), 4.0 * exact(speed), 1e-12);
        close(torsional_acceleration(deg(bend), rpm(speed)).expect("in range").value, exact(speed), 0.01);
        let back = bend_for_acceleration(torsional_acceleration(deg(bend), rpm(speed)).expect("in range"), rpm(speed));
        close(back.expect("in range").get::<degree>(), bend, 1e-9);
    }

    /// The angle found for a swing has that swing.
    #[test]
    fn swing_and_angle_are_inverse(bend in 0.01..80.0_f64) {
        let swing = cardan_speed_extremes(deg(bend), rpm(1000.0)).expect("in range").fluctuation;
        close(bend_for_fluctuation(swing).expect("in range").get::<degree>(), bend, 1e-9);
    }

    /// The acceleration is what the position's ratio says: at no angle does the ratio leave the extremes.
    #[test]
    fn ratio_stays_between_the_extremes(bend in 0.0..60.0_f64, at in -720.0..720.0_f64) {
        let found = cardan_position(deg(bend), deg(at)).expect("in range");
        let cos = bend.to_radians().cos();
        prop_assert!(cos - 1e-12 <= found.speed_ratio.value && found.speed_ratio.value <= 1.0 / cos + 1e-12);
        prop_assert!((found.output_angle - deg(at)).value.abs() < std::f64::consts::FRAC_PI_2);
        let next = cardan_position(deg(bend), deg(at + 360.0)).expect("in range");
        prop_assert!((next.output_angle - found.output_angle - deg(360.0)).value.abs() < 1e-9);
    }

    /// Turning every yoke or every plane by the same angle changes nothing; nor does reversing the order of equal offsets.
    #[test]
    fn only_differences_of_phase_count(bends in prop::collection::vec(0.1..6.0_f64, 1..5), turn in -90.0..90.0_f64, seed in 0.0..90.0_f64) {
        let bends: Vec<_> = bends.into_iter().map(deg).collect();
        let phases: Vec<_> = (0..bends.len()).map(|i| deg(seed * i as f64)).collect();
        let turned: Vec<_> = phases.iter().map(|p| *p + deg(turn)).collect();
        let one = equivalent_angle(&bends, &phases).expect("in range").value;
        let other = equivalent_angle(&bends, &turned).expect("in range").value;
        prop_assert!((one - other).abs() < 1e-9);
        let least = least_equivalent_angle(&bends).expect("in range").value;
        let most = bends.iter().map(|b| b.value * b.value).sum::<f64>().sqrt();
        prop_assert!(least <= one + 1e-9 && one <= most + 1e-9);
    }

    /// The offset that is needed between two equal joints makes them run evenly, however their planes lie.
    #[test]
    fn needed_offset_evens_two_equal_joints(bend in 0.5..8.0_f64, first in -90.0..90.0_f64, second in -90.0..90.0_f64) {
        let offset = yoke_offset_needed(deg(first), deg(second));
        let phases = phases_of_joints(&[deg(first), deg(second)], &[offset]).expect("in range");
        let left = equivalent_angle(&[deg(bend), deg(bend)], &phases).expect("in range");
        prop_assert!(left.get::<degree>() < 1e-5);
        let exact = line_extremes(&[deg(bend), deg(bend)], &phases).expect("in range");
        prop_assert!(exact.highest_ratio.value - 1.0 < 1e-12);
    }

    /// Critical speed goes with one over the square of the length, with the size at equal shape, and with the root of E.
    #[test]
    fn critical_speed_scales(outside in 40.0..110.0_f64, wall in 1.0..4.0_f64, length in 600.0..2000.0_f64) {
        let at = |scale: f64, longer: f64, stiffer: f64| {
            let (o, i) = (mm(outside * scale), mm((outside - 2.0 * wall) * scale));
            critical_speed(o, i, mm(length * longer), gpa(206.0 * stiffer), kg_per_m3(7850.0)).expect("in range").value
        };
        close(at(1.0, 2.0, 1.0), at(1.0, 1.0, 1.0) / 4.0, 1e-12);
        close(at(1.5, 1.5, 1.0), at(1.0, 1.0, 1.0) / 1.5, 1e-12);
        close(at(1.0, 1.0, 4.0), 2.0 * at(1.0, 1.0, 1.0), 1e-12);
        let (o, i) = (mm(outside), mm(outside - 2.0 * wall));
        let speed = critical_speed(o, i, mm(length), gpa(206.0), kg_per_m3(7850.0)).expect("in range");
        let back = length_for_critical_speed(o, i, gpa(206.0), kg_per_m3(7850.0), speed).expect("in range");
        close(back.get::<millimeter>(), length, 1e-9);
    }

    /// An added mass only ever lowers the critical speed, most of all at the middle, and Dunkerley stays below the exact one.
    #[test]
    fn added_mass_lowers_the_critical_speed(mass in 0.0..10.0_f64, place in 0.0..0.5_f64) {
        let (o, i, l) = (mm(76.2), mm(72.0), mm(1300.0));
        let (e, r, m) = (gpa(206.0), kg_per_m3(7850.0), Mass::new::<kilogram>(mass));
        let bare = critical_speed(o, i, l, e, r).expect("in range").value;
        let exact = critical_speed_with_mass(o, i, l, e, r, m).expect("in range").value;
        let middle = critical_speed_dunkerley(o, i, l, e, r, m, l / 2.0).expect("in range").value;
        let aside = critical_speed_dunkerley(o, i, l, e, r, m, l * place).expect("in range").value;
        prop_assert!(exact <= bare * (1.0 + 1e-12));
        prop_assert!(middle <= exact * (1.0 + 1e-12));
        prop_assert!(middle <= aside && aside <= bare * (1.0 + 1e-12));
    }

    /// Stress and capacity are inverse; a tube takes what the bar takes less what its bore would.
    #[test]
    fn torsion_is_linear(outside in 20.0..110.0_f64, share in 0.0..0.97_f64, torque in 1.0..5000.0_f64) {
        let (o, i) = (mm(outside), mm(outside * share));
        let stress = shear_stress(nm(torque), o, i).expect("in range");
        close(torque_capacity(o, i, stress).expect("in range").value, torque, 1e-9);
        close(shear_stress(nm(3.0 * torque), o, i).expect("in range").value, 3.0 * stress.value, 1e-12);
        let bar = torque_capacity(o, mm(0.0), mpa(100.0)).expect("in range").value;
        let tube = torque_capacity(o, i, mpa(100.0)).expect("in range").value;
        close(tube, bar * (1.0 - share.powi(4)), 1e-9);
    }

    /// A worn clutch holds no more than a new one; capacity is linear in load, friction and faces.
    #[test]
    fn clutch_is_linear(outer in 80.0..150.0_f64, share in 0.3..0.95_f64, load in 1.0..15000.0_f64) {
        let with = |load: f64, friction: f64, faces: f64| {
            let clamp = Force::new::<newton>(load);
            clutch_capacity(clamp, number(friction), mm(outer), mm(outer * share), number(faces)).expect("in range")
        };
        let one = with(load, 0.3, 2.0);
        prop_assert!(one.worn <= one.new);
        close(with(2.0 * load, 0.15, 4.0).new.value, 2.0 * one.new.value, 1e-12);
    }

    /// Gearing there and back; twice the ratio, half the speed.
    #[test]
    fn gearing_is_inverse(engine in 500.0..9000.0_f64, gear in 0.6..4.0_f64, last in 2.5..6.0_f64, radius in 220.0..380.0_f64) {
        let speed = road_speed(rpm(engine), number(gear), number(last), mm(radius)).expect("in range");
        let back = engine_speed_at(speed, number(gear), number(last), mm(radius)).expect("in range");
        close(back.value, rpm(engine).value, 1e-12);
        let half = road_speed(rpm(engine), number(2.0 * gear), number(last), mm(radius)).expect("in range");
        close(half.value, speed.value / 2.0, 1e-12);
    }

    /// With the centre of gravity on the ground each axle gives its static share, and the shares add up to the whole.
    #[test]
    fn traction_without_height_is_static(base in 2.0..3.0_f64, share in 0.1..0.9_f64, friction in 0.1..1.5_f64) {
        let g = uom::si::f64::Acceleration::new::<uom::si::acceleration::standard_gravity>(1.0);
        let base = mm(base * 1e3);
        let found = traction_limits(base, base * share, mm(0.0), number(friction), g).expect("in range");
        close((found.front_drive + found.rear_drive).value, found.all_drive.value, 1e-9);
        let tall = traction_limits(base, base * share, mm(500.0), number(friction), g).expect("in range");
        prop_assert!(tall.front_drive <= found.front_drive);
    }
}
