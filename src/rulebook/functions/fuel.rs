//! Computations of fuel: demand, injectors, pumps, lines, suction, vapour.

use super::register;
use crate::physics::{atmosphere, fuel, gravity, pipe, pump, suction, vapour};

register! {
    "Acceleration of free fall, 9.80665 m/s2."
    standard_gravity = gravity::standard_gravity: () -> acceleration;
    "Air at a height above the sea, by the standard atmosphere."
    standard_atmosphere = atmosphere::standard_atmosphere: (height: length)
        -> {pressure: absolute_pressure, temperature: temperature, density: density};
    "Mass of fuel per time for a power."
    fuel_mass_flow = fuel::fuel_mass_flow: (power: power, specific_consumption: specific_consumption) -> mass_flow;
    "Volume of fuel per time for a power."
    fuel_volume_flow = fuel::fuel_volume_flow: (
        power: power, specific_consumption: specific_consumption, density: density
    ) -> flow;
    "Brake specific consumption from a measured fuel flow."
    specific_consumption = fuel::specific_consumption: (mass_flow: mass_flow, power: power) -> specific_consumption;
    "Flow of an injector at another pressure across it."
    injector_flow = fuel::injector_flow: (
        static_flow: flow, rated_difference: pressure, pressure_difference: pressure
    ) -> flow;
    "Share of the time for which the injectors have to flow."
    injector_duty = fuel::injector_duty: (demand: flow, injectors: number, flow_of_each: flow) -> number;
    "Time between two openings of an injector."
    injection_period = fuel::injection_period: (engine_speed: rotational_speed, turns: number) -> time;
    "Time for which an injector has to flow in each cycle."
    injector_pulse_width = fuel::injector_pulse_width: (
        duty: number, engine_speed: rotational_speed, turns: number
    ) -> time;
    "Duty to command, dead time of the needle included."
    commanded_duty = fuel::commanded_duty: (
        duty: number, dead_time: time, engine_speed: rotational_speed, turns: number
    ) -> number;
    "How long a volume feeds a flow."
    dwell_time = fuel::dwell_time: (volume: volume, flow: flow) -> time;
    "Flow of a pump at a pressure and a voltage, between the points of its curve."
    pump_flow = pump::pump_flow: (
        pressures: [pressure], voltages: [voltage], flows: [flow], pressure: pressure, voltage: voltage
    ) -> flow;
    "Rail pressure when the whole flow of the pump goes back through the return line."
    rail_pressure_all_returned = pump::rail_pressure_all_returned: (
        pressures: [pressure], voltages: [voltage], flows: [flow], voltage: voltage, regulator: pressure, return_loss:
        pressure, at_flow: flow
    ) -> pressure;
    "Area of a round bore."
    bore_area = pipe::bore_area: (inner_diameter: length) -> area;
    "Mean speed of a flow in a round line."
    flow_velocity = pipe::flow_velocity: (volume_flow: flow, inner_diameter: length) -> speed;
    "Reynolds number of a flow in a round line."
    reynolds_number = pipe::reynolds_number: (
        velocity: speed, inner_diameter: length, density: density, viscosity: dynamic_viscosity
    ) -> number;
    "Darcy friction factor: laminar, else by Colebrook."
    darcy_friction_factor = pipe::darcy_friction_factor: (reynolds: number, relative_roughness: number) -> number;
    "Pressure that a fitting takes, by its loss coefficient."
    fitting_loss = pipe::fitting_loss: (loss_coefficient: number, density: density, velocity: speed) -> pressure;
    "Speed, friction and pressure loss of a flow in a round line with its fittings."
    pipe_flow = pipe::pipe_flow: (
        volume_flow: flow, inner_diameter: length, length: length, roughness: length, loss_coefficients: number,
        density: density, viscosity: dynamic_viscosity
    ) -> {
        velocity: speed, reynolds: number, friction_factor: number, friction_loss: pressure, fitting_loss: pressure,
        pressure_loss: pressure, in_transition: condition
    };
    "Head that a flow of known friction loses."
    head_loss = pipe::head_loss: (
        velocity: speed, friction_factor: number, length: length, inner_diameter: length, loss_coefficients: number,
        gravity: acceleration
    ) -> length;
    "Height of a column of liquid that presses with a pressure."
    pressure_head = pipe::pressure_head: (pressure: pressure, density: density, gravity: acceleration) -> length;
    "Flow of a liquid through a sharp opening."
    orifice_flow = pipe::orifice_flow: (
        discharge_coefficient: number, area: area, pressure_difference: pressure, density: density
    ) -> flow;
    "Net positive suction head at a pump's inlet."
    net_suction_head = suction::net_suction_head: (
        surface_pressure: absolute_pressure, vapour_pressure: absolute_pressure, density: density, level_above_pump:
        length,
        line_loss: pressure, gravity: acceleration
    ) -> length;
    "Static pressure at a pump's inlet."
    inlet_pressure = suction::inlet_pressure: (
        surface_pressure: absolute_pressure, density: density, level_above_pump: length, line_loss: pressure,
        velocity: speed,
        gravity: acceleration
    ) -> absolute_pressure;
    "Greatest height of a pump above the level that it draws from."
    greatest_suction_lift = suction::greatest_suction_lift: (
        surface_pressure: absolute_pressure, vapour_pressure: absolute_pressure, density: density, line_loss:
        pressure,
        head_needed: length, gravity: acceleration
    ) -> length;
    "Vapour pressure of petrol at a temperature, from its Reid vapour pressure."
    petrol_vapour_pressure = vapour::petrol_vapour_pressure: (
        reid_vapour_pressure: absolute_pressure, temperature: temperature
    )
        -> absolute_pressure;
}
