//! Computations of the suspension: poses over the travel, what parts carry along, springs and dampers, load transfer.

use super::register;
use crate::physics::suspension as s;

register! {
    "Where a wheel stands on two wishbones and a tie rod, at a wheel travel and a rack travel."
    double_wishbone_pose = s::double_wishbone_pose: (
        lower_front: point, lower_rear: point, lower_ball: point, upper_front: point, upper_rear: point, upper_ball: point,
        tie_rod_inner: point, tie_rod_outer: point, wheel_centre: point, loaded_radius: length, camber: angle, toe_in: angle, travel: length, rack: length
    ) -> {
        travel: length, camber: angle, camber_change: angle, toe_in: angle, toe_in_change: angle, wheel_centre: point,
        metre_outboard: point, metre_ahead: point, metre_left: point, metre_up: point, contact: point,
        half_track_change: length, forward_change: length, roll_centre_height: length, side_slope_at_contact: number,
        side_slope_at_centre: number
    };
    "Where a wheel stands on four links (the legs of its arms) and a tie rod, at a wheel travel and a rack travel."
    links_pose = s::links_pose: (
        inner: [point], outer: [point], tie_rod_inner: point, tie_rod_outer: point, wheel_centre: point, loaded_radius: length, camber: angle, toe_in: angle, travel: length, rack: length
    ) -> {
        travel: length, camber: angle, camber_change: angle, toe_in: angle, toe_in_change: angle, wheel_centre: point,
        metre_outboard: point, metre_ahead: point, metre_left: point, metre_up: point, contact: point,
        half_track_change: length, forward_change: length, roll_centre_height: length, side_slope_at_contact: number,
        side_slope_at_centre: number
    };
    "Where a wheel stands on a strut, the two legs of its arm and a tie rod, at a wheel travel and a rack travel."
    strut_on_links_pose = s::strut_on_links_pose: (
        inner: [point], outer: [point], top: point, rod_axis: point, tie_rod_inner: point, tie_rod_outer: point,
        wheel_centre: point, loaded_radius: length, camber: angle, toe_in: angle, travel: length, rack: length
    ) -> {
        travel: length, camber: angle, camber_change: angle, toe_in: angle, toe_in_change: angle, wheel_centre: point,
        metre_outboard: point, metre_ahead: point, metre_left: point, metre_up: point, contact: point,
        half_track_change: length, forward_change: length, roll_centre_height: length, side_slope_at_contact: number,
        side_slope_at_centre: number
    };
    "Where a wheel stands on one arm that swings about two pivots, at a wheel travel."
    swinging_arm_pose = s::swinging_arm_pose: (inner_pivot: point, outer_pivot: point, wheel_centre: point, loaded_radius: length, camber: angle, toe_in: angle, travel: length) -> {
        travel: length, camber: angle, camber_change: angle, toe_in: angle, toe_in_change: angle, wheel_centre: point,
        metre_outboard: point, metre_ahead: point, metre_left: point, metre_up: point, contact: point,
        half_track_change: length, forward_change: length, roll_centre_height: length, side_slope_at_contact: number,
        side_slope_at_centre: number
    };
    "Where a live axle stands on its links, at the travels of its wheels."
    live_axle_on_links_pose = s::live_axle_on_links_pose: (
        paired_inner: [point], paired_outer: [point], single_inner: [point], single_outer: [point],
        left_centre: point, loaded_radius: length, left_travel: length, right_travel: length
    ) -> {
        roll: angle, steer: angle, pinion_slope_change: angle, forward_change: length, shift_left: length, middle: point,
        metre_ahead: point, metre_left: point, metre_up: point, left_centre: point, right_centre: point, left_contact: point,
        roll_centre_height: length, roll_steer: number, side_slope_at_contact: number, side_slope_at_centre: number,
        ends_give: length
    };
    "Where a live axle stands on its links and a Watt linkage, at the travels of its wheels."
    live_axle_on_links_with_watt_pose = s::live_axle_on_links_with_watt_pose: (
        paired_inner: [point], paired_outer: [point], single_inner: [point], single_outer: [point], crank_on_axle: condition,
        pivot: point, first_end: point, first_far: point, second_end: point, second_far: point,
        left_centre: point, loaded_radius: length, left_travel: length, right_travel: length
    ) -> {
        roll: angle, steer: angle, pinion_slope_change: angle, forward_change: length, shift_left: length, middle: point,
        metre_ahead: point, metre_left: point, metre_up: point, left_centre: point, right_centre: point, left_contact: point,
        roll_centre_height: length, roll_steer: number, side_slope_at_contact: number, side_slope_at_centre: number,
        ends_give: length
    };

    "Where a part has carried one of its points, from four points of the part."
    carried_point = s::carried_point: (
        origin: point, metre_ahead: point, metre_left: point, metre_up: point, drawn_origin: point, drawn: point
    ) -> point;
    "Where an arm has carried a point, from where its ball joint has gone."
    carried_by_arm = s::carried_by_arm: (pivot: point, other_pivot: point, joint: point, joint_now: point, drawn: point) -> point;
    "Where a rocker has carried a point, from where the outer end of its rod has gone."
    carried_by_rocker = s::carried_by_rocker: (
        pivot: point, axis_end: point, rod_inner: point, rod_outer: point, rod_outer_now: point, drawn: point
    ) -> point;
    "Tilt that a rod end must allow: between its link and the plane across its bolt."
    rod_end_tilt = s::rod_end_tilt: (end: point, far_end: point, bolt_from: point, bolt_to: point) -> angle;
    "Twist of a link's two eyes against each other."
    link_twist = s::link_twist: (
        inner: point, inner_bolt_end: point, outer: point, outer_bolt_end: point, outer_now: point, outer_bolt_end_now: point
    ) -> angle;
    "Gap between a tyre and a straight part; negative inside the tyre."
    tyre_gap_to = s::tyre_gap_to: (
        wheel_centre: point, on_spin_axis: point, radius: length, width: length, from: point, to: point
    ) -> length;
    "Force along one link, tension positive, when a force acts on the part that it holds."
    link_load = s::link_load: (
        inner: point, outer: point, has_twin: condition, paired_inner: [point], paired_outer: [point], single_inner: [point],
        single_outer: [point], spring_body_ends: [point], spring_part_ends: [point], held: [point], at: point, forward: force,
        left: force, up: force
    ) -> force;
    "The point one metre from an arm's ball joint, across the plane of the arm."
    across_arm = s::across_arm: (pivot: point, other_pivot: point, ball: point) -> point;

    "Anti-squat of a driven rear axle, from the slope of its side view."
    anti_squat = s::anti_squat: (side_slope: number, wheelbase: length, centre_of_gravity_height: length, drive_share: number) -> number;
    "Anti-dive of a braked front axle, from the slope of its side view."
    anti_dive = s::anti_dive: (side_slope: number, wheelbase: length, centre_of_gravity_height: length, brake_share: number) -> number;
    "Rate of a spring at the wheel."
    wheel_rate = s::wheel_rate: (spring_rate: spring_rate, motion_ratio: number) -> spring_rate;
    "Rate of two springs in series."
    springs_in_series = s::in_series: (first: spring_rate, second: spring_rate) -> spring_rate;
    "Natural frequency of a mass on a spring."
    natural_frequency = s::natural_frequency: (rate: spring_rate, mass: mass) -> frequency;
    "Deflection of a linear spring at a natural frequency."
    static_deflection = s::static_deflection_for_frequency: (frequency: frequency, gravity: acceleration) -> length;
    "Frequency of a wheel between body and tyre."
    wheel_hop_frequency = s::wheel_hop_frequency: (wheel_rate: spring_rate, tyre_rate: spring_rate, unsprung_mass: mass) -> frequency;
    "Share of critical damping."
    damping_ratio = s::damping_ratio: (damper: damping, motion_ratio: number, wheel_rate: spring_rate, mass: mass) -> number;
    "Roll stiffness of an axle's two springs."
    roll_stiffness = s::roll_stiffness_from_wheel_rate: (wheel_rate: spring_rate, spacing: length) -> rotational_stiffness;
    "Roll of the body in a corner of one g."
    roll_gradient = s::roll_gradient: (
        sprung_mass: mass, height_above_roll_axis: length, roll_stiffness: rotational_stiffness, gravity: acceleration
    ) -> angle;
    "Roll, load transfer of each axle and its front share, in a steady corner."
    load_transfer = s::load_transfer: (
        mass: mass, lateral_acceleration: acceleration, wheelbase: length, behind_front_axle: length,
        centre_of_gravity_height: length, front_track: length, front_roll_centre_height: length,
        front_roll_stiffness: rotational_stiffness, rear_track: length, rear_roll_centre_height: length,
        rear_roll_stiffness: rotational_stiffness, gravity: acceleration
    ) -> {roll_angle: angle, front: force, rear: force, front_share: number};

    "Rate of a coil spring from its wire."
    coil_rate = s::coil_rate: (shear_modulus: stress, wire_diameter: length, mean_coil_diameter: length, active_coils: number) -> spring_rate;
    "Length of a coil spring whose coils touch."
    solid_length = s::solid_length: (wire_diameter: length, total_coils: number, ground_ends: condition) -> length;
    "Greatest shear stress in the wire of a coil spring."
    coil_shear_stress = s::coil_shear_stress: (force: force, wire_diameter: length, mean_coil_diameter: length) -> stress;
    "Rate of an anti-roll bar: of its middle, at its ends, and in roll."
    anti_roll_bar = s::anti_roll_bar: (
        shear_modulus: stress, outside_diameter: length, bore: length, bar_length: length, arm_length: length,
        motion_ratio: number, track: length
    ) -> {bar_torsional_rate: rotational_stiffness, end_rate: spring_rate, roll_stiffness: rotational_stiffness};
}
