//! Against `tests/data/driveline_scipy.json`, made by `tests/reference/driveline.py` with routes that share no formula with
//! the program: the cross turned in space, a beam of finite elements, quadrature, linear equations.

use serde::Deserialize;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::f64::{Acceleration, Mass};
use uom::si::mass::kilogram;

use super::super::*;
use super::*;

#[derive(Deserialize)]
struct Tables {
    positions: Vec<Position>,
    lines: Vec<Line>,
    whirls: Vec<Whirl>,
    torsions: Vec<Torsion>,
    tractions: Vec<Traction>,
}

#[derive(Deserialize)]
struct Position {
    bend: f64,
    input: f64,
    output: f64,
}

#[derive(Deserialize)]
struct Line {
    slopes: Vec<f64>,
    sweeps: Vec<f64>,
    offsets: Vec<f64>,
    bends: Vec<f64>,
    highest: f64,
    lowest: f64,
}

#[derive(Deserialize)]
struct Whirl {
    outside: f64,
    inside: f64,
    length: f64,
    modulus: f64,
    density: f64,
    mass: f64,
    place: f64,
    speed: f64,
}

#[derive(Deserialize)]
struct Torsion {
    outside: f64,
    inside: f64,
    polar_moment: f64,
}

#[derive(Deserialize)]
struct Traction {
    wheelbase: f64,
    ahead: f64,
    height: f64,
    friction: f64,
    gravity: f64,
    front: f64,
    rear: f64,
}

fn tables() -> Tables {
    serde_json::from_str(include_str!("../../../../tests/data/driveline_scipy.json")).expect("tables are JSON")
}

#[test]
fn one_joint_turned_in_space() {
    for case in tables().positions {
        let found = cardan_position(deg(case.bend), deg(case.input)).expect("in range");
        close(found.output_angle.get::<degree>(), case.output, 1e-9);
    }
}

/// Slopes, sweeps and yoke offsets of lines out of plane: the planes of the joints are taken about one straight line, which
/// leaves a few parts in a hundred of the swing.
#[test]
fn lines_turned_in_space() {
    for case in tables().lines {
        let joints = case.bends.len();
        let member = |i: usize| (deg(case.slopes[i]), deg(case.sweeps[i]));
        let mut bends = Vec::new();
        let mut planes = Vec::new();
        for i in 0..joints {
            let ((slope_1, sweep_1), (slope_2, sweep_2)) = (member(i), member(i + 1));
            let bend = joint_angle(slope_1, sweep_1, slope_2, sweep_2).expect("in range");
            close(bend.get::<degree>(), case.bends[i], 1e-9);
            bends.push(bend);
            planes.push(joint_plane(slope_1, sweep_1, slope_2, sweep_2).expect("in range"));
        }
        let offsets: Vec<_> = case.offsets.iter().map(|o| deg(*o)).collect();
        let phases = phases_of_joints(&planes, &offsets).expect("in range");
        let found = line_extremes(&bends, &phases).expect("in range");
        close(found.highest_ratio.value - 1.0, case.highest - 1.0, 0.01);
        close(found.lowest_ratio.value - 1.0, case.lowest - 1.0, 0.01);
        let rule = equivalent_angle(&bends, &phases).expect("in range");
        close(rule.value, found.equivalent_angle.value, 0.005);
    }
}

#[test]
fn whirling_of_beams_of_finite_elements() {
    for case in tables().whirls {
        let (outside, inside, length) = (mm(case.outside), mm(case.inside), mm(case.length));
        let (modulus, density) = (gpa(case.modulus), kg_per_m3(case.density));
        let mass = Mass::new::<kilogram>(case.mass);
        let bound = critical_speed_dunkerley(outside, inside, length, modulus, density, mass, mm(case.place));
        let bound = bound.expect("in range").get::<revolution_per_minute>();
        assert!(bound <= case.speed * (1.0 + 1e-6), "{bound} is no lower bound of {}", case.speed);
        close(bound, case.speed, 0.03);
        if (2.0 * case.place - case.length).abs() < 1e-9 {
            let found = critical_speed_with_mass(outside, inside, length, modulus, density, mass).expect("in range");
            close(found.get::<revolution_per_minute>(), case.speed, 1e-6);
        }
    }
}

#[test]
fn polar_moments_by_quadrature() {
    for case in tables().torsions {
        let found = polar_moment(mm(case.outside), mm(case.inside)).expect("in range");
        close(found.value * 1e12, case.polar_moment, 1e-9);
    }
}

#[test]
fn traction_by_linear_equations() {
    for case in tables().tractions {
        let found = traction_limits(
            mm(case.wheelbase * 1e3),
            mm(case.ahead * 1e3),
            mm(case.height * 1e3),
            number(case.friction),
            Acceleration::new::<meter_per_second_squared>(case.gravity),
        )
        .expect("in range");
        close(found.front_drive.value, case.front, 1e-9);
        close(found.rear_drive.value, case.rear, 1e-9);
    }
}
