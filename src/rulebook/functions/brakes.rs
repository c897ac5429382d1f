//! Computations of the brakes.

use super::register;
use crate::physics::brakes as b;

register! {
    "Force at the push rod over force of the foot, from the arms of the pedal."
    pedal_ratio = b::pedal_ratio: (foot_arm: length, push_arm: length) -> number;
    "Push behind the balance bar or cylinder from the force of the foot, without a servo."
    push_force = b::push_force: (pedal_force: force, pedal_ratio: number) -> force;
    "Share of the push that a balance bar gives the front cylinder."
    bar_front_share = b::bar_front_share: (pivot_to_front: length, spacing: length) -> number;
    "Push that a balance bar gives each cylinder."
    balance_bar = b::balance_bar: (push_force: force, pivot_to_front: length, spacing: length)
        -> {front: force, rear: force, front_share: number};
    "Angle of a balance bar from square, from the strokes of its cylinders."
    bar_tilt = b::bar_tilt: (front_stroke: length, rear_stroke: length, spacing: length) -> angle;
    "Greatest force that a vacuum servo adds."
    servo_assist = b::servo_assist: (diaphragm: length, vacuum: pressure, efficiency: number) -> force;
    "Push behind a servo, with its run-out."
    servo_push = b::servo_push: (input: force, boost_ratio: number, greatest_assist: force) -> force;
    "Force into a servo for a push behind it."
    servo_input = b::servo_input: (push: force, boost_ratio: number, greatest_assist: force) -> force;

    "Area of round pistons."
    piston_area = b::piston_area: (diameter: length, count: number) -> area;
    "Line pressure from the push on a master cylinder."
    line_pressure = b::line_pressure: (push_force: force, bore: length) -> pressure;
    "Push on a master cylinder that makes a line pressure."
    push_for_pressure = b::push_for_pressure: (pressure: pressure, bore: length) -> force;
    "Pressure behind a proportioning valve."
    proportioned_pressure = b::proportioned_pressure: (inlet: pressure, knee: pressure, slope: number) -> pressure;

    "Force on each pad, from the piston area of one side."
    clamp_force = b::clamp_force: (pressure: pressure, area_one_side: area) -> force;
    "Radius at which a worn-in annular pad acts: the mean."
    mean_pad_radius = b::mean_pad_radius: (outer: length, inner: length) -> length;
    "Radius at which an annular pad acts under even pressure."
    even_pressure_pad_radius = b::even_pressure_pad_radius: (outer: length, inner: length) -> length;
    "Torque of one disc, two faces."
    disc_torque = b::disc_torque: (clamp: force, friction: number, effective_radius: length) -> torque;
    "Line pressure that gives a disc a torque."
    pressure_for_torque = b::pressure_for_torque: (torque: torque, effective_radius: length, friction: number, area_one_side: area)
        -> pressure;
    "Torque of one drum from its brake factor and the area of one piston."
    drum_torque = b::drum_torque: (pressure: pressure, cylinder_area: area, brake_factor: number, drum_radius: length) -> torque;
    "Friction force over actuating force of one short pivoted shoe."
    shoe_factor = b::shoe_factor: (friction: number, actuation_arm: length, normal_arm: length, friction_arm: length, leading: condition)
        -> number;
    "Braking force at the road of wheels that are each braked with a torque."
    road_force = b::road_force: (torque_per_wheel: torque, wheels: number, rolling_radius: length) -> force;
    "Clamp force of a cable brake at each of two wheels."
    cable_clamp_force = b::cable_clamp_force: (hand_force: force, lever_ratio: number, caliper_ratio: number, efficiency: number) -> force;

    "Fluid that pistons take in over a travel."
    piston_displacement = b::piston_displacement: (area_of_all_pistons: area, travel: length) -> volume;
    "Fluid that a hose takes up by swelling, from its swell at a reference pressure."
    hose_swell = b::hose_swell: (swell_per_length: volume_per_length, reference: pressure, length: length, pressure: pressure) -> volume;
    "Fluid that gives way elastically at a pressure."
    elastic_volume = b::elastic_volume: (per_pressure: volume_per_pressure, pressure: pressure) -> volume;
    "Loss of thickness of pads at a pressure, from that at a reference pressure."
    pad_compression = b::pad_compression: (loss_at_reference: length, reference: pressure, pressure: pressure) -> length;
    "Stroke of a master cylinder that delivers a volume."
    cylinder_stroke = b::cylinder_stroke: (volume: volume, bore: length) -> length;
    "Travel of the foot pad for a stroke."
    pedal_travel = b::pedal_travel: (stroke: length, pedal_ratio: number) -> length;

    "Loads on the axles at a braking rate."
    dynamic_axle_loads = b::dynamic_axle_loads: (weight: force, wheelbase: length, cg_behind_front: length, cg_height: length, z: number)
        -> {front: force, rear: force, transfer: force};
    "Adhesion used by each axle at a braking rate."
    adhesion_used = b::adhesion_used: (front_share: number, wheelbase: length, cg_behind_front: length, cg_height: length, z: number)
        -> {front: number, rear: number};
    "Front share of the braking force at which both axles use the same adhesion."
    ideal_front_share = b::ideal_front_share: (wheelbase: length, cg_behind_front: length, cg_height: length, z: number) -> number;
    "Braking forces of the ideal distribution at a braking rate."
    ideal_forces = b::ideal_forces: (weight: force, wheelbase: length, cg_behind_front: length, cg_height: length, z: number)
        -> {front: force, rear: force};
    "Point of the ideal distribution at a front braking force over the weight."
    ideal_point = b::ideal_point: (front_over_weight: number, wheelbase: length, cg_behind_front: length, cg_height: length)
        -> {deceleration: number, rear_over_weight: number};
    "Push that a braking rate asks for, and each axle's force, from their gains."
    braking_effort = b::braking_effort: (z: number, weight: force, front_gain: number, rear_gain: number)
        -> {push: force, front: force, rear: force, front_share: number};
    "As braking_effort, with a proportioning valve in the rear circuit."
    braking_effort_with_valve = b::braking_effort_with_valve:
        (z: number, weight: force, front_gain: number, rear_gain: number, knee_push: force, slope: number)
        -> {push: force, front: force, rear: force, front_share: number};

    "Braking rates at which the front and the rear axle lock; the smaller one locks first."
    lock_order = b::lock_order:
        (friction: number, front_share: number, wheelbase: length, cg_behind_front: length, cg_height: length, rolling_resistance: number)
        -> {front_lock: number, rear_lock: number, efficiency: number};
    "As lock_order without rolling resistance, with a proportioning valve in the rear circuit."
    lock_order_with_valve = b::lock_order_with_valve:
        (friction: number, share_below: number, share_above: number, knee_rate: number, wheelbase: length, cg_behind_front: length,
        cg_height: length)
        -> {front_lock: number, rear_lock: number, efficiency: number};
    "Braking rate above which the rear axle locks first."
    critical_deceleration = b::critical_deceleration: (front_share: number, wheelbase: length, cg_behind_front: length, cg_height: length)
        -> number;
    "Greatest braking rates by the front axle, the rear axle and both."
    axle_limits = b::axle_limits: (friction: number, wheelbase: length, cg_behind_front: length, cg_height: length)
        -> {front_only: number, rear_only: number, all: number};
    "Front shares of the braking force that keep the lock order and use the rear axle enough."
    safe_front_shares = b::safe_front_shares: (wheelbase: length, cg_behind_front: length, cg_height: length)
        -> {least: number, greatest: number};
    "Front share of the push for a front share of the braking force."
    bar_share_for = b::bar_share_for: (front_share: number, front_gain: number, rear_gain: number) -> number;
    "Settings of a balance bar that keep the lock order and use the rear axle enough."
    safe_bar_shares = b::safe_bar_shares:
        (front_gain: number, rear_gain: number, wheelbase: length, cg_behind_front: length, cg_height: length)
        -> {least: number, greatest: number};

    "Distance from a speed to rest at an even deceleration."
    braking_distance = b::braking_distance: (speed: speed, deceleration: acceleration) -> length;
    "Distance from the moment of need to rest, with reaction and build-up."
    stopping_distance = b::stopping_distance: (speed: speed, reaction: time, build_up: time, deceleration: acceleration)
        -> {distance: length, short_form: length, before_full: length};
    "Mean fully developed deceleration from the distances to 80 % and to 10 % of the first speed."
    mean_fully_developed_deceleration = b::mean_fully_developed_deceleration:
        (first_speed: speed, distance_to_80_percent: length, distance_to_10_percent: length) -> acceleration;
    "Stopping distance that the regulation allows the service brake."
    service_stop_limit = b::service_stop_limit: (speed: speed) -> length;
    "Stopping distance that the regulation allows from high speed."
    high_speed_stop_limit = b::high_speed_stop_limit: (speed: speed) -> length;
    "Stopping distance that the regulation allows with the antilock failed."
    antilock_failed_stop_limit = b::antilock_failed_stop_limit: (speed: speed) -> length;
    "Stopping distance that the regulation allows the hot brake."
    hot_stop_limit = b::hot_stop_limit: (speed: speed) -> length;
    "Stopping distance that the regulation allows with variable proportioning failed."
    proportioning_failed_stop_limit = b::proportioning_failed_stop_limit: (speed: speed) -> length;
    "Stopping distance that the regulation allows with a circuit or the servo failed."
    secondary_stop_limit = b::secondary_stop_limit: (speed: speed) -> length;
    "Stopping distance that the older rule for cars allowed."
    older_service_stop_limit = b::older_service_stop_limit: (speed: speed) -> length;
    "Even deceleration that just keeps an allowed stopping distance."
    deceleration_for_limit = b::deceleration_for_limit: (speed: speed, allowed: length) -> acceleration;
    "Stopping distance with the response that the regulation's formulas count."
    regulation_stop = b::regulation_stop: (speed: speed, deceleration: acceleration) -> length;
    "Time from a speed to rest at an even deceleration."
    braking_time = b::braking_time: (speed: speed, deceleration: acceleration) -> time;

    "Energy that the brakes take from the car between two speeds."
    braking_energy = b::braking_energy: (mass: mass, from: speed, to: speed) -> energy;
    "Bulk rise of a disc that takes up heat."
    bulk_temperature_rise = b::bulk_temperature_rise: (heat: energy, mass: mass, specific_heat: specific_heat_capacity)
        -> temperature_difference;
    "Heat flux into one face at the start of a stop."
    initial_heat_flux = b::initial_heat_flux: (heat_into_face: energy, face: area, stop_time: time) -> heat_flux;
    "Rise of the surface of a thick disc in one stop."
    surface_temperature_rise = b::surface_temperature_rise:
        (initial_flux: heat_flux, stop_time: time, conductivity: thermal_conductivity, density: density,
        specific_heat: specific_heat_capacity)
        -> {peak: temperature_difference, time_of_peak: time, handbook: temperature_difference};
    "Rise of the surface of a disc of known thickness in one stop."
    disc_surface_temperature_rise = b::disc_surface_temperature_rise:
        (initial_flux: heat_flux, stop_time: time, half_thickness: length, conductivity: thermal_conductivity, density: density,
        specific_heat: specific_heat_capacity)
        -> {peak: temperature_difference, time_of_peak: time, handbook: temperature_difference};
    "Rise of the surface of a plate in one stop: half of a solid disc, or one cheek of a vented one."
    plate_surface_temperature_rise = b::plate_surface_temperature_rise:
        (initial_flux: heat_flux, stop_time: time, thickness: length, conductivity: thermal_conductivity, density: density,
        specific_heat: specific_heat_capacity)
        -> {peak: temperature_difference, time_of_peak: time, at_end: temperature_difference, mean_at_end: temperature_difference};
    "How far heat gets in a time against a thickness."
    fourier_number = b::fourier_number:
        (time: time, half_thickness: length, conductivity: thermal_conductivity, density: density, specific_heat: specific_heat_capacity)
        -> number;
    "Time constant of a disc's cooling."
    cooling_time_constant = b::cooling_time_constant:
        (mass: mass, specific_heat: specific_heat_capacity, heat_transfer: heat_transfer_coefficient, cooled_area: area) -> time;
    "Heat transfer from the faces of a disc in the air stream."
    disc_heat_transfer = b::disc_heat_transfer:
        (disc_diameter: length, air_speed: speed, air_conductivity: thermal_conductivity, air_viscosity: kinematic_viscosity)
        -> heat_transfer_coefficient;
    "Temperature of a disc after the last of several even stops, cooling between them."
    fade_temperature = b::fade_temperature:
        (start: temperature, air: temperature, rise_per_stop: temperature_difference, stops: number, interval: time, time_constant: time)
        -> temperature;
    "Temperatures of a disc after each of several even stops."
    fade_run = b::fade_run:
        (start: temperature, air: temperature, rise_per_stop: temperature_difference, stops: number, interval: time, time_constant: time)
        -> [temperature];

    "Force along the road that holds a weight on a grade."
    grade_force = b::grade_force: (weight: force, grade: number) -> force;
    "What the tyres of each axle hold on a grade, facing up and down."
    holding_limits = b::holding_limits:
        (weight: force, wheelbase: length, cg_behind_front: length, cg_height: length, friction: number, grade: number)
        -> {rear_facing_up: force, rear_facing_down: force, front_facing_up: force, front_facing_down: force};
    "Grade on which a force along the road just holds a weight."
    grade_held = b::grade_held: (force: force, weight: force) -> number;
}
