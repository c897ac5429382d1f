//! Computations of the driveline.

use super::register;
use crate::physics::driveline as d;

register! {
    "True angle between two shafts from their slopes (side view) and sweeps (plan view)."
    joint_angle = d::joint_angle: (before_slope: angle, before_sweep: angle, after_slope: angle, after_sweep: angle) -> angle;
    "Greatest angular acceleration of the output of one cardan joint."
    cardan_peak_acceleration = d::cardan_peak_acceleration: (bend: angle, input_speed: rotational_speed) -> angular_acceleration;
    "Speed extremes behind one cardan joint."
    cardan_speed_extremes = d::cardan_speed_extremes: (bend: angle, input_speed: rotational_speed)
        -> {highest: rotational_speed, lowest: rotational_speed, fluctuation: number};
    "Equivalent angle of cardan joints in series, as vectors with their phases."
    equivalent_angle = d::equivalent_angle: (bends: [angle], phases: [angle]) -> angle;
}
