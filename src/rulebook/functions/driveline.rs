//! Computations of the driveline.

use super::register;
use crate::physics::driveline as d;

register! {
    "True angle between two shafts from their slopes (side view) and sweeps (plan view)."
    joint_angle = d::joint_angle: (before_slope: angle, before_sweep: angle, after_slope: angle, after_sweep: angle) -> angle;
    "True angle of a joint from a point on the axis before it, its centre, and a point on the axis after it."
    joint_angle_at = d::joint_angle_at: (before: point, joint: point, after: point) -> angle;
    "Plane in which a joint bends, about the line of shafts, from the left towards up."
    joint_plane = d::joint_plane: (before_slope: angle, before_sweep: angle, after_slope: angle, after_sweep: angle) -> angle;
    "Slope of the line through two points, as seen from the side."
    slope_between = d::slope_between: (one: point, other: point) -> angle;
    "Sweep of the line through two points, as seen from above."
    sweep_between = d::sweep_between: (one: point, other: point) -> angle;
    "Bend of a half shaft's joints from their centres: its angle to a line straight across the car."
    lateral_angle = d::lateral_angle: (inner: point, outer: point) -> angle;

    "Speed extremes behind one cardan joint."
    cardan_speed_extremes = d::cardan_speed_extremes: (bend: angle, input_speed: rotational_speed)
        -> {highest: rotational_speed, lowest: rotational_speed, fluctuation: number};
    "Angle and speed ratio behind one cardan joint, counted from driving pins in the plane of the shafts."
    cardan_position = d::cardan_position: (bend: angle, input_angle: angle) -> {output_angle: angle, speed_ratio: number};
    "Greatest angular acceleration of the output of one cardan joint."
    cardan_peak_acceleration = d::cardan_peak_acceleration: (bend: angle, input_speed: rotational_speed) -> angular_acceleration;
    "Angle of the input at which both shafts of a cardan joint turn equally fast."
    unity_ratio_angle = d::unity_ratio_angle: (bend: angle) -> angle;
    "Torsional acceleration which a joint angle or an equivalent angle excites, by the rule of speed times angle squared."
    torsional_acceleration = d::torsional_acceleration: (angle: angle, speed: rotational_speed) -> angular_acceleration;
    "Joint angle at which the torsional acceleration reaches a limit."
    bend_for_acceleration = d::bend_for_acceleration: (limit: angular_acceleration, speed: rotational_speed) -> angle;
    "Joint angle at which the output's speed swings by a share of the input's."
    bend_for_fluctuation = d::bend_for_fluctuation: (fluctuation: number) -> angle;
    "Couples with which a bent joint bends its two shafts."
    secondary_couple = d::secondary_couple: (bend: angle, torque: torque) -> {on_input_shaft: torque, on_output_shaft: torque};
    "Torque which it takes to give a moment of inertia an angular acceleration."
    inertia_torque = d::inertia_torque: (inertia: moment_of_inertia, acceleration: angular_acceleration) -> torque;

    "Equivalent angle of cardan joints in series, as vectors with their phases."
    equivalent_angle = d::equivalent_angle: (bends: [angle], phases: [angle]) -> angle;
    "Least equivalent angle which clocking the yokes alone can reach."
    least_equivalent_angle = d::least_equivalent_angle: (bends: [angle]) -> angle;
    "Phases of the joints of a line from the planes in which they bend and the yoke offsets of the shafts between them."
    phases_of_joints = d::phases_of_joints: (planes: [angle], yoke_offsets: [angle]) -> [angle];
    "Yoke offset with which a shaft between two equal joints runs evenly."
    yoke_offset_needed = d::yoke_offset_needed: (first_plane: angle, second_plane: angle) -> angle;
    "Exact extremes of the speed ratio of a line of cardan joints, and the single joint that would swing as high."
    line_extremes = d::line_extremes: (bends: [angle], phases: [angle])
        -> {highest_ratio: number, lowest_ratio: number, equivalent_angle: angle};

    "First critical speed of a tube between two joints."
    critical_speed = d::critical_speed: (outside: length, inside: length, length: length, youngs_modulus: stress, density: density)
        -> rotational_speed;
    "First critical speed of a tube with a mass at the middle of its length."
    critical_speed_with_mass = d::critical_speed_with_mass:
        (outside: length, inside: length, length: length, youngs_modulus: stress, density: density, mass: mass) -> rotational_speed;
    "Lower bound of the first critical speed of a tube with a mass anywhere along it."
    critical_speed_dunkerley = d::critical_speed_dunkerley:
        (outside: length, inside: length, length: length, youngs_modulus: stress, density: density, mass: mass, place: length)
        -> rotational_speed;
    "Length between joints at which a tube reaches a wanted critical speed."
    length_for_critical_speed = d::length_for_critical_speed:
        (outside: length, inside: length, youngs_modulus: stress, density: density, wanted: rotational_speed) -> length;
    "Critical speed of a steel tube by the two short forms of the trade."
    steel_tube_charts = d::steel_tube_charts: (outside: length, inside: length, length: length)
        -> {metric: rotational_speed, inch: rotational_speed};

    "Second polar moment of area of a tube."
    polar_moment = d::polar_moment: (outside: length, inside: length) -> second_moment_of_area;
    "Shear stress at the outside of a tube under torque."
    tube_shear_stress = d::shear_stress: (torque: torque, outside: length, inside: length) -> stress;
    "Torque at which the outside of a tube reaches a shear stress."
    tube_torque_capacity = d::torque_capacity: (outside: length, inside: length, allowed_shear: stress) -> torque;
    "Shear stress at which a metal of a given yield strength yields."
    shear_yield = d::shear_yield: (yield_strength: stress) -> stress;
    "Angle by which a tube twists under torque."
    tube_twist = d::tube_twist: (torque: torque, outside: length, inside: length, length: length, shear_modulus: stress) -> angle;

    "Spline still engaged at another distance between the joints."
    slip_engagement = d::slip_engagement: (engaged: length, at_length: length, length: length) -> length;
    "Plunge still free at another distance between the joints."
    slip_plunge = d::slip_plunge: (plunge: length, at_length: length, length: length) -> length;

    "Torque which the engine sends into the propeller shaft in one gear."
    shaft_torque_from_engine = d::shaft_torque_from_engine: (engine_torque: torque, gear_ratio: number, shock_factor: number) -> torque;
    "Torque in the propeller shaft at which the driven tyres let go."
    shaft_torque_from_tyres = d::shaft_torque_from_tyres:
        (friction: number, axle_load: force, rolling_radius: length, final_drive: number) -> torque;
    "Torque of one half shaft, by the share that one side can take."
    half_shaft_torque = d::half_shaft_torque: (shaft_torque: torque, final_drive: number, share: number) -> torque;
    "Share of the torque which one side takes of a differential with a bias ratio."
    bias_share = d::bias_share: (bias_ratio: number) -> number;
    "Torque which a plate clutch holds, new and worn in."
    clutch_capacity = d::clutch_capacity: (clamp_load: force, friction: number, outer_radius: length, inner_radius: length, faces: number)
        -> {new: torque, worn: torque};

    "Overall ratio from engine to wheels."
    overall_ratio = d::overall_ratio: (gear_ratio: number, final_drive: number) -> number;
    "Speed of the propeller shaft in one gear."
    shaft_speed = d::shaft_speed: (engine_speed: rotational_speed, gear_ratio: number) -> rotational_speed;
    "Speed of the driven wheels in one gear."
    wheel_speed = d::wheel_speed: (engine_speed: rotational_speed, gear_ratio: number, final_drive: number) -> rotational_speed;
    "Road speed in one gear."
    road_speed = d::road_speed: (engine_speed: rotational_speed, gear_ratio: number, final_drive: number, rolling_radius: length) -> speed;
    "Engine speed at a road speed in one gear."
    engine_speed_at = d::engine_speed_at: (road_speed: speed, gear_ratio: number, final_drive: number, rolling_radius: length)
        -> rotational_speed;
    "Rolling radius from a tyre's outside diameter and the share of it that counts in rolling."
    rolling_radius = d::rolling_radius: (diameter: length, rolling_factor: number) -> length;
    "Pull at the driven tyres."
    tractive_force = d::tractive_force:
        (engine_torque: torque, gear_ratio: number, final_drive: number, rolling_radius: length, efficiency: number) -> force;
    "Greatest acceleration which friction allows, by which wheels are driven."
    traction_limits = d::traction_limits:
        (wheelbase: length, ahead_of_rear_axle: length, height: length, friction: number, gravity: acceleration)
        -> {front_drive: acceleration, rear_drive: acceleration, all_drive: acceleration};
}
