//! Computations of wheels and tyres, of what is left above the ground, and of where the mass sits.

use super::register;
use crate::physics::{clearance, handling, hub, performance, tyre};

register! {
    "Mass that a tyre of a load index carries."
    load_of_index = tyre::load_of_index: (index: number) -> mass;
    "Difference of two rolling radii, as a share of their mean."
    radius_difference = tyre::radius_difference: (first: length, second: length) -> number;
    "Bolt circle from the distance of neighbouring studs."
    bolt_circle_from_adjacent = hub::bolt_circle_from_adjacent: (stud_count: number, adjacent: length) -> length;
    "Moment on a hub's bearings from the side load at the ground and the wheel load outboard of them."
    bearing_moment = hub::bearing_moment: (
        side_load: force, wheel_load: force, rolling_radius: length, plane_outboard_of_bearings: length
    ) -> torque;

    "Height of a point of the body when the axles' springs give way."
    height_with_travel = clearance::height_with_travel: (
        height: length, behind_front_axle: length, wheelbase: length, front_bump: length, rear_bump: length
    ) -> length;
    "How far a car sinks at a wheel whose tyre has no air."
    flat_tyre_drop = clearance::flat_tyre_drop: (
        loaded_radius: length, rim_diameter: length, flange_height: length, carcass_thickness: length
    ) -> length;
    "Clearance in the middle of the wheelbase that passes over a hump."
    clearance_for_hump = clearance::clearance_for_hump: (
        wheelbase: length, hump_length: length, hump_height: length
    ) -> length;

    "Masses on the axles of a mass at a distance behind the front axle."
    axle_loads = handling::axle_loads: (mass: mass, behind_front_axle: length, wheelbase: length) -> {front: mass, rear: mass};
    "Understeer gradient, steer angle for each g, from the loads and the cornering stiffness (force for one radian) of the axles."
    understeer_gradient = handling::understeer_gradient: (
        front_load: force, rear_load: force, front_cornering_stiffness: force, rear_cornering_stiffness: force
    ) -> angle;
    "Speed above which an oversteering car cannot hold its course."
    oversteer_critical_speed = handling::critical_speed: (
        wheelbase: length, understeer: angle, gravity: acceleration
    ) -> speed;
    "Speed at which an understeering car needs twice the steer angle of a neutral one."
    characteristic_speed = handling::characteristic_speed: (
        wheelbase: length, understeer: angle, gravity: acceleration
    ) -> speed;

    "Time over a distance from standstill that no car of a power beats."
    least_time_over = performance::least_time_over: (distance: length, mass: mass, power: power) -> time;
    "Plausible time over the quarter mile, by the trade's constant for pounds and horsepower."
    quarter_mile_time = performance::quarter_mile_time: (mass: mass, power: power, trade_constant: number) -> time;
    "Least time from standstill to a speed, by traction and then by power."
    least_time_to_speed = performance::least_time_to_speed: (
        speed: speed, mass: mass, power: power, traction_limit: acceleration
    ) -> time;
}
