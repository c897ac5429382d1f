//! Values outside a formula's range are refused, and the refusal names the value and what is allowed.

use uom::si::f64::{AngularAcceleration, Force};
use uom::si::force::newton;

use super::super::*;
use super::*;

#[test]
fn a_bend_near_a_right_angle_is_refused() {
    let refusal = cardan_speed_extremes(deg(86.0), rpm(1000.0)).expect_err("86 deg");
    assert_eq!(refusal.to_string(), "bend of a joint is 86.00 deg, outside 0.00 deg to 85.00 deg");
    assert!(secondary_couple(deg(-1.0), nm(100.0)).is_err());
    assert!(cardan_peak_acceleration(deg(f64::NAN), rpm(1000.0)).is_err());
    assert!(torsional_acceleration(deg(90.0), rpm(1000.0)).is_err());
}

#[test]
fn a_shaft_which_stands_upright_has_no_slope() {
    let upright = joint_angle(deg(81.0), deg(0.0), deg(0.0), deg(0.0)).expect_err("81 deg");
    assert_eq!(upright.to_string(), "slope of a shaft is 81.00 deg, outside -80.00 deg to 80.00 deg");
    let (low, high) = ([mm(0.0), mm(0.0), mm(0.0)], [mm(0.2), mm(0.0), mm(300.0)]);
    assert!(slope_between(low, high).is_err());
    assert!(joint_angle_at(low, low, high).is_err());
}

#[test]
fn lists_have_to_match() {
    let refusal = equivalent_angle(&[deg(1.0), deg(2.0)], &[deg(0.0)]).expect_err("one phase for two joints");
    assert_eq!(refusal.to_string(), "number of phases is 1, outside 2, the number of joints");
    assert!(phases_of_joints(&[deg(0.0), deg(0.0)], &[]).is_err());
    assert!(line_extremes(&[], &[deg(0.0)]).is_err());
}

#[test]
fn a_line_without_joints_runs_evenly() {
    assert_eq!(equivalent_angle(&[], &[]).expect("no joints").value, 0.0);
    assert_eq!(line_extremes(&[], &[]).expect("no joints").highest_ratio.value, 1.0);
    assert_eq!(phases_of_joints(&[], &[]).expect("no joints"), vec![]);
}

#[test]
fn a_tube_needs_a_wall_and_some_length() {
    assert!(shear_stress(nm(10.0), mm(60.0), mm(60.0)).is_err());
    assert!(torque_capacity(mm(0.0), mm(0.0), mpa(10.0)).is_err());
    let stub = critical_speed(mm(60.0), mm(56.0), mm(150.0), gpa(206.0), kg_per_m3(7850.0)).expect_err("150 mm");
    assert_eq!(stub.to_string(), "length of a whirling tube is 150.0 mm, outside 180.0 mm to 20000.0 mm");
    assert!(critical_speed(mm(60.0), mm(56.0), mm(900.0), gpa(0.0), kg_per_m3(7850.0)).is_err());
}

#[test]
fn shares_and_factors_keep_to_their_ranges() {
    assert!(half_shaft_torque(nm(100.0), number(4.0), number(1.1)).is_err());
    assert!(shaft_torque_from_engine(nm(100.0), number(3.0), number(0.9)).is_err());
    assert!(bias_share(number(0.5)).is_err());
    assert!(rolling_radius(mm(600.0), number(0.5)).is_err());
    assert!(tractive_force(nm(100.0), number(3.0), number(4.0), mm(300.0), number(1.2)).is_err());
    let load = Force::new::<newton>(1000.0);
    assert!(clutch_capacity(load, number(0.3), mm(100.0), mm(100.0), number(2.0)).is_err());
    assert!(clutch_capacity(load, number(0.3), mm(100.0), mm(70.0), number(0.0)).is_err());
}

#[test]
fn a_shaft_which_hardly_turns_may_bend_as_far_as_a_joint_goes() {
    let limit = AngularAcceleration::new::<uom::si::angular_acceleration::radian_per_second_squared>(400.0);
    assert_eq!(bend_for_acceleration(limit, rpm(1.0)).expect("in range"), deg(85.0));
    assert!(bend_for_acceleration(limit, rpm(0.0)).is_err());
}
