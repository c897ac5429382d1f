//! Computations of parts that several systems share: threads and joints, tubes and columns, wire, wheels, masses, the
//! ground below.

use super::register;
use crate::physics::{balance, column, ground, joint, thread, tube, wheel, wiring};

register! {
    "Tensile stress area of a metric thread."
    thread_stress_area = thread::thread_stress_area: (diameter: length, pitch: length) -> area;
    "Tensile stress area of an inch thread."
    inch_thread_stress_area = thread::inch_thread_stress_area: (diameter: length, pitch: length) -> area;
    "Minor diameter of an external thread."
    thread_minor_diameter = thread::thread_minor_diameter: (diameter: length, pitch: length) -> length;
    "Area of a plain round shank."
    shank_area = thread::shank_area: (diameter: length) -> area;
    "Load that a bolt carries without lasting stretch."
    proof_load = thread::proof_load: (stress_area: area, proof_stress: stress) -> force;
    "Preload that a torque leaves in a bolt."
    preload_from_torque = thread::preload_from_torque: (
        torque: torque, nut_factor: number, diameter: length
    ) -> force;
    "Torque for a preload."
    torque_for_preload = thread::torque_for_preload: (preload: force, nut_factor: number, diameter: length) -> torque;
    "Turns of thread that are engaged."
    engaged_turns = thread::engaged_turns: (engaged_length: length, pitch: length) -> number;
    "Mean shear stress in bolts."
    bolt_shear_stress = joint::bolt_shear_stress: (force: force, area: area, shear_planes: number) -> stress;
    "Shear and bending in a bolt that carries a load beside its support."
    pin_stress = joint::pin_stress: (force: force, diameter: length, lever: length, shear_planes: number)
        -> {shear: stress, bending: stress};
    "Load at which bolts shear."
    bolt_shear_load = joint::bolt_shear_load: (
        tensile_strength: stress, shear_to_tensile: number, area: area, shear_planes: number
    ) -> force;
    "Load at an allowed bearing stress."
    bearing_load = joint::bearing_load: (allowed_stress: stress, bolt_diameter: length, thickness: length) -> force;
    "Load at an allowed tension beside a hole."
    net_section_load = joint::net_section_load: (
        allowed_stress: stress, width: length, hole_diameter: length, thickness: length
    ) -> force;
    "Load that a sheet bears at an end bolt."
    sheet_bearing = joint::sheet_bearing: (
        bearing_area: area, hole_diameter: length, end_distance: length, edge_distance: length, sheet_strength:
        stress,
        bolt_strength: stress
    ) -> {alpha_b: number, k1: number, resistance: force, end_distance_over_hole: number};
    "Pull in each leg of straps."
    strap_pull = joint::strap_pull: (force: force, straps: number, leg_angle: angle) -> force;
    "Properties of a round tube's section."
    tube_section = tube::tube_section: (outside: length, wall: length) -> {
        area: area, second_moment: second_moment_of_area, section_modulus: section_modulus, plastic_modulus:
        section_modulus,
        polar_moment: second_moment_of_area, radius_of_gyration: length
    };
    "Mass of a round tube per length."
    tube_mass = tube::tube_mass: (outside: length, wall: length, density: density) -> mass_per_length;
    "Bending moment at which a round tube yields."
    tube_yield_moment = tube::tube_yield_moment: (outside: length, wall: length, yield_strength: stress) -> torque;
    "Stiffness, strength and mass of one tube over those of another."
    compare_tubes = tube::compare_tubes: (
        baseline_outside: length, baseline_wall: length, baseline_yield: stress, candidate_outside: length,
        candidate_wall: length,
        candidate_yield: stress
    ) -> {bending_stiffness_ratio: number, yield_moment_ratio: number, mass_ratio: number};
    "Load at which a slender column buckles."
    euler_load = column::euler_load: (
        modulus: stress, second_moment: second_moment_of_area, length: length, length_factor: number
    ) -> force;
    "Slenderness of a column."
    slenderness = column::slenderness: (length: length, length_factor: number, radius_of_gyration: length) -> number;
    "Slenderness at which a column buckles as it yields."
    euler_yield_slenderness = column::euler_yield_slenderness: (modulus: stress, yield_strength: stress) -> number;
    "Load that a straight column carries, by Euler or Johnson."
    column_load = column::column_load: (
        modulus: stress, yield_strength: stress, area: area, second_moment: second_moment_of_area, length: length,
        length_factor: number
    ) -> force;
    "Bending and stress of a tube that is pressed off its centre."
    eccentric_column = column::eccentric_column: (
        compression: force, eccentricity: length, length: length, modulus: stress, outside: length, wall: length
    ) -> {moment: torque, stress: stress, stress_without_growth: stress};
    "Diameter of a wire of an American gauge; 2/0 is -1."
    wire_gauge_diameter = wiring::wire_gauge_diameter: (gauge: number) -> length;
    "Copper area of an American gauge."
    wire_gauge_area = wiring::wire_gauge_area: (gauge: number) -> area;
    "Resistance of a conductor."
    conductor_resistance = wiring::conductor_resistance: (
        resistivity: resistivity, length: length, area: area
    ) -> resistance;
    "Resistance at another temperature."
    resistance_at = wiring::resistance_at: (
        resistance: resistance, reference_temperature: temperature, temperature: temperature, coefficient:
        thermal_expansion
    ) -> resistance;
    "Resistivity of copper at a temperature."
    copper_resistivity = wiring::copper_resistivity: (temperature: temperature) -> resistivity;
    "Voltage lost over the whole way of a current in copper wire."
    wire_voltage_drop = wiring::wire_voltage_drop: (
        current: current, length: length, area: area, temperature: temperature
    ) -> voltage;
    "Mean current of loads that are on for a share of the time."
    mean_current = wiring::mean_current: (currents: [current], shares: [number]) -> current;
    "Outside diameter of a new tyre by its marking."
    tyre_diameter = wheel::tyre_diameter: (
        section_width: length, aspect_ratio: number, rim_diameter: length
    ) -> length;
    "Rolling circumference of a radial tyre."
    rolling_circumference = wheel::rolling_circumference: (outside_diameter: length) -> length;
    "Distances between the studs of a wheel."
    bolt_circle = wheel::bolt_circle: (
        studs: number, circle_diameter: length
    ) -> {adjacent: length, farthest: length};
    "What a wheel of another offset and width moves."
    offset_change = wheel::offset_change: (
        old_offset: length, new_offset: length, old_width: length, new_width: length, spacer: length
    )
        -> {outwards: length, track: length, inner_edge_inboard: length, outer_edge_outboard: length};
    "Centre of gravity in plan, and shares of the corners, from four scales."
    corner_balance = balance::corner_balance: (
        front_left: mass, front_right: mass, rear_left: mass, rear_right: mass, wheelbase: length, front_track:
        length, rear_track: length
    ) -> {
        total: mass, behind_front_axle: length, left_of_centre: length, front_share: number, left_share: number,
        cross_share: number
    };
    "Height of the centre of gravity from one axle lifted."
    centre_height_from_tilt = balance::centre_height_from_tilt: (
        total: mass, front_level: mass, front_raised: mass, wheelbase: length, wheel_radius: length, lift: length
    ) -> length;
    "Mass-weighted mean of one coordinate of parts."
    centre_of_parts = balance::centre_of_parts: (masses: [mass], coordinates: [length]) -> length;
    "Sideways acceleration in g at which a rigid vehicle's inner wheels lift."
    stability_factor = balance::stability_factor: (track: length, centre_height: length) -> number;
    "Speed in a curve at which a rigid vehicle turns over."
    overturning_speed = balance::overturning_speed: (
        track: length, centre_height: length, curve_radius: length, gravity: acceleration
    ) -> speed;
    "Angle of approach or departure at a point, tangent to the tyre."
    clearance_angle = ground::clearance_angle: (distance: length, height: length, tyre_radius: length) -> angle;
    "Ramp angle at a point between the axles."
    ramp_angle = ground::ramp_angle: (
        wheelbase: length, behind_front_axle: length, clearance: length, tyre_radius: length
    ) -> angle;
}
