//! Worked examples and tables of handbooks, beyond the shared cases.

use uom::si::angular_acceleration::radian_per_second_squared;
use uom::si::f64::{AngularAcceleration, Force};
use uom::si::force::newton;
use uom::si::power::kilowatt;

use super::super::*;
use super::*;

fn rad_per_s2(value: f64) -> AngularAcceleration {
    AngularAcceleration::new::<radian_per_second_squared>(value)
}

/// Khurmi and Gupta, Theory of Machines, example 9.4: a swing of 12 % allows 19.64 deg (read in the public companion).
#[test]
fn greatest_angle_for_a_swing_of_twelve_percent() {
    let found = bend_for_fluctuation(number(0.12)).expect("in range");
    close(found.get::<degree>(), 19.64, 3e-4);
}

/// Khurmi and Gupta, example 9.7: two joints of 20 deg with the yokes at right angles turn 500 rpm into 566.2 and 441.5 rpm
/// (read in the public companion): the swings multiply.
#[test]
fn yokes_at_right_angles_multiply_the_swing() {
    let phases = phases_of_joints(&[deg(0.0), deg(0.0)], &[deg(90.0)]).expect("in range");
    let found = line_extremes(&[deg(20.0), deg(20.0)], &phases).expect("in range");
    close(500.0 * found.highest_ratio.value, 566.24, 1e-4);
    close(500.0 * found.lowest_ratio.value, 441.5, 1e-4);
}

/// Khurmi and Gupta, example 10.23: 300 and 200 mm plate, 0.1 N/mm2 at the inner edge, friction 0.3, both sides, 2500 rpm:
/// 61.685 kW with even wear (read in the public companion).
#[test]
fn plate_clutch_with_even_wear() {
    let clamp = Force::new::<newton>(2.0 * std::f64::consts::PI * 0.1 * 100.0 * 50.0);
    let found = clutch_capacity(clamp, number(0.3), mm(150.0), mm(100.0), number(2.0)).expect("in range");
    let power = uom::si::f64::Power::new::<uom::si::power::watt>(found.worn.value * rpm(2500.0).value);
    close(power.get::<kilowatt>(), 61.685, 1e-5);
}

/// Khurmi and Gupta, example 10.19: collar of 600 and 300 mm, 100 kN, friction 0.12, 90 rpm: 26.4 kW with even pressure,
/// 25.45 kW with even wear (read in the public companion).
#[test]
fn collar_with_even_pressure_and_even_wear() {
    let load = Force::new::<newton>(100e3);
    let found = clutch_capacity(load, number(0.12), mm(300.0), mm(150.0), number(1.0)).expect("in range");
    close(found.new.value * rpm(90.0).value, 26.4e3, 2e-3);
    close(found.worn.value * rpm(90.0).value, 25.45e3, 2e-4);
}

/// The two-joint table after SAE AE-7: with joint 1 at 0, 3, 6 or 9 deg in one plane and the yokes in line, joint 2 may have
/// so many degrees. The residual acceleration behind it is 400 rad/s2 (table read in an article that reproduces it).
#[test]
fn two_joint_table_of_the_handbook() {
    for (speed, first, allowed) in [
        (1500.0, 0.0, 7.3),
        (1500.0, 3.0, 7.9),
        (1500.0, 6.0, 9.5),
        (1500.0, 9.0, 11.6),
        (1600.0, 0.0, 6.9),
        (1600.0, 3.0, 7.5),
        (1600.0, 6.0, 9.1),
        (1700.0, 0.0, 6.5),
        (1700.0, 3.0, 7.1),
        (1700.0, 6.0, 8.8),
    ] {
        let phases = phases_of_joints(&[deg(0.0), deg(0.0)], &[deg(0.0)]).expect("in range");
        let theta = equivalent_angle(&[deg(first), deg(allowed)], &phases).expect("in range");
        let found = torsional_acceleration(theta, rpm(speed)).expect("in range");
        close(found.get::<radian_per_second_squared>(), 400.0, 0.03);
        if first == 0.0 {
            let limit = bend_for_acceleration(rad_per_s2(400.0), rpm(speed)).expect("in range");
            close(limit.get::<degree>(), allowed, 0.01);
        }
    }
}

/// Joint makers' chart of the single joint, 1000 rad/s2: 1500 rpm 11.5 deg up to 3500 rpm 5.0 deg (memory).
#[test]
fn single_joint_chart_of_the_trade() {
    for (speed, allowed) in [(1500.0, 11.5), (2000.0, 8.7), (2500.0, 7.0), (3000.0, 5.8), (3500.0, 5.0)] {
        let found = bend_for_acceleration(rad_per_s2(1000.0), rpm(speed)).expect("in range");
        close(found.get::<degree>(), allowed, 0.05);
    }
}

/// Three degrees are 400 rad/s2 at 3,650 rpm and 1,470 rad/s2 at 7,000 rpm (computed by hand).
#[test]
fn three_degrees_are_not_enough_of_a_rule() {
    let at = |speed: f64| torsional_acceleration(deg(3.0), rpm(speed)).expect("in range").value;
    close(at(3650.0), 400.0, 0.005);
    close(at(7000.0), 1470.0, 0.005);
}

/// 150 N m, first gear 3.5, shock 2: 1050 N m; tyres 0.9 on 4 kN at 300 mm behind 3.6: 300 N m; half shaft of a locked axle
/// 1080 N m (sums by hand).
#[test]
fn torque_from_engine_and_from_tyres() {
    let engine = shaft_torque_from_engine(nm(150.0), number(3.5), number(2.0)).expect("in range");
    close(engine.value, 1050.0, 1e-12);
    let load = Force::new::<newton>(4000.0);
    let tyres = shaft_torque_from_tyres(number(0.9), load, mm(300.0), number(3.6)).expect("in range");
    close(tyres.value, 300.0, 1e-12);
    close(half_shaft_torque(tyres, number(3.6), number(1.0)).expect("in range").value, 1080.0, 1e-12);
    close(bias_share(number(3.0)).expect("in range").value, 0.75, 1e-12);
}

/// 38 mm engaged with 780 mm between the joints leaves 31 mm at 787 mm and 41 mm at 777 mm (by hand).
#[test]
fn slip_joint_at_both_ends_of_its_travel() {
    let engaged = |now: f64| slip_engagement(mm(38.0), mm(780.0), mm(now)).expect("in range");
    close(engaged(787.0).get::<millimeter>(), 31.0, 1e-9);
    close(engaged(777.0).get::<millimeter>(), 41.0, 1e-9);
    let plunge = slip_plunge(mm(20.0), mm(780.0), mm(755.0)).expect("in range");
    close(plunge.get::<millimeter>(), -5.0, 1e-9);
}

/// A steel with 355 MPa of yield strength yields at 205 MPa in shear (by hand).
#[test]
fn yield_in_shear() {
    close(shear_yield(mpa(355.0)).expect("in range").get::<megapascal>(), 204.96, 1e-4);
}

/// A half shaft which runs 400 mm out, 30 mm back and 40 mm down is 50 mm off across: a triangle of 3, 4, 5 (by hand).
#[test]
fn half_shaft_against_a_line_across_the_car() {
    let (inner, outer) = ([mm(-2400.0), mm(-190.0), mm(300.0)], [mm(-2430.0), mm(-590.0), mm(260.0)]);
    let found = lateral_angle(inner, outer).expect("in range");
    close(found.value.tan(), 50.0 / 400.0, 1e-12);
    close(lateral_angle(outer, inner).expect("in range").value, found.value, 1e-12);
}
