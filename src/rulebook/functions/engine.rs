//! Computations around the engine: its air and gas, mounts, clutch release, belts, throttle; sound, heat growth, drag.

use super::register;
use crate::physics::engine::{accessories, air_flow, clutch_release, gas_pipe, mounts, servo_vacuum, throttle};
use crate::physics::{aero, sound, thermal_growth};

register! {
    "Air, fuel and exhaust flow of an engine."
    engine_air_flow = air_flow::engine_air_flow: (
        displacement: volume, engine_speed: rotational_speed, turns_per_cycle: number, volumetric_efficiency: number,
        air_density: density, air_fuel_ratio: number
    ) -> {volume_flow: flow, mass_flow: mass_flow, fuel_flow: mass_flow, exhaust_flow: mass_flow};
    "Mean speed of a piston."
    piston_speed = air_flow::piston_speed: (stroke: length, engine_speed: rotational_speed) -> speed;
    "Engine speed at which the piston has a mean speed."
    engine_speed_at_piston_speed = air_flow::engine_speed_at_piston_speed: (stroke: length, piston_speed: speed)
        -> rotational_speed;
    "How often a cylinder fires."
    firing_frequency = air_flow::firing_frequency: (
        engine_speed: rotational_speed, cylinders: number, turns_per_cycle: number
    ) -> frequency;
    "Density, mean speed and Mach number of gas in equal pipes."
    gas_flow = gas_pipe::gas_flow: (
        mass_flow: mass_flow, pressure: absolute_pressure, temperature: temperature,
        gas_constant: specific_heat_capacity, heat_ratio: number, bore: length, pipes: number
    ) -> {density: density, speed: speed, mach: number};
    "Bore of equal pipes in which the gas has a Mach number."
    bore_for_mach = gas_pipe::bore_for_mach: (
        mass_flow: mass_flow, pressure: absolute_pressure, temperature: temperature,
        gas_constant: specific_heat_capacity, heat_ratio: number, mach: number, pipes: number
    ) -> length;

    "Loads of two engine mounts under weight and torque."
    mount_loads = mounts::mount_loads: (weight: force, weight_from_lifted: length, span: length, torque: torque)
        -> {lifted: force, pressed: force, by_torque: force};
    "Angle by which torque rolls an engine on its mounts."
    engine_roll = mounts::engine_roll: (torque: torque, rate_of_a_side: spring_rate, span: length) -> angle;
    "How far a point of a rolling engine moves."
    rock_travel = mounts::rock_travel: (roll: angle, radius: length) -> length;
    "Share of a shaking force that mounts pass on."
    transmissibility = mounts::transmissibility: (frequency_ratio: number, damping_ratio: number) -> number;
    "Travels of a hydraulic clutch release."
    clutch_release = clutch_release::clutch_release: (
        pedal_travel: length, pedal_ratio: number, master_bore: length, slave_bore: length, fork_ratio: number,
        swell: volume
    ) -> {master: length, slave: length, bearing: length};
    "Force on the clutch pedal for a load on the release bearing."
    clutch_pedal_force = clutch_release::clutch_pedal_force: (
        release_load: force, pedal_ratio: number, master_bore: length, slave_bore: length, fork_ratio: number
    ) -> force;
    "Speed of a pulley that a belt drives."
    driven_pulley_speed = accessories::driven_pulley_speed: (
        driving_speed: rotational_speed, driving_diameter: length, driven_diameter: length
    ) -> rotational_speed;
    "Length of an open belt and its wrap of the smaller pulley."
    open_belt = accessories::open_belt: (one_diameter: length, other_diameter: length, centres: length)
        -> {length: length, least_wrap: angle};
    "Time in which springs close a throttle."
    throttle_closing_time = throttle::throttle_closing_time: (
        closed_torque: torque, open_torque: torque, friction: torque, opening: angle, inertia: moment_of_inertia
    ) -> time;
    "Vacuum of a brake servo that is left after stops without an engine."
    servo_vacuum_left = servo_vacuum::servo_vacuum_left: (
        vacuum: pressure, evacuated: volume, air_per_stop: volume, stops: number
    ) -> pressure;

    "Sound level of several sources together."
    combined_sound_level = sound::combined_sound_level: (levels: [sound_level]) -> sound_level;
    "Sound level at another distance from a small source."
    sound_level_at = sound::sound_level_at: (level: sound_level, measured_at: length, wanted_at: length)
        -> sound_level;
    "How much a length grows with heat."
    thermal_growth = thermal_growth::thermal_growth: (
        expansion: thermal_expansion, length: length, rise: temperature_difference
    ) -> length;
    "Compression in a part that is heated and held at both ends."
    restrained_growth_stress = thermal_growth::restrained_growth_stress: (
        modulus: stress, expansion: thermal_expansion, rise: temperature_difference
    ) -> stress;

    "Force of the air by its coefficient."
    air_force = aero::air_force: (coefficient: number, frontal_area: area, density: density, speed: speed) -> force;
    "Coefficient that belongs to a force of the air."
    air_force_coefficient = aero::air_force_coefficient: (
        force: force, frontal_area: area, density: density, speed: speed
    ) -> number;
    "Drag, rolling resistance and the power they take on a level road."
    road_load = aero::road_load: (
        drag_coefficient: number, frontal_area: area, density: density, speed: speed, mass: mass,
        rolling_coefficient: number, gravity: acceleration
    ) -> {drag: force, rolling: force, power: power};
    "Speed at which drag and rolling take all the power."
    power_limited_speed = aero::power_limited_speed: (
        power: power, drag_coefficient: number, frontal_area: area, density: density, mass: mass,
        rolling_coefficient: number, gravity: acceleration
    ) -> speed;
}
