//! Computations of cooling, and of the air around.

use super::register;
use crate::physics::air;
use crate::physics::cooling::coolant::{self as c, Glycol};
use crate::physics::cooling::{air_path, balance, exchanger, saturation};

register! {
    "Specific gas constant of dry air, 287.05 J/(kg K)."
    gas_constant_of_air = air::gas_constant_of_air: () -> specific_heat_capacity;
    "Density of dry air."
    air_density = air::air_density: (pressure: absolute_pressure, temperature: temperature) -> density;
    "Density of a gas by its gas constant."
    gas_density = air::gas_density: (
        pressure: absolute_pressure, temperature: temperature, gas_constant: specific_heat_capacity
    ) -> density;
    "Speed of sound in a gas."
    speed_of_sound = air::speed_of_sound: (
        temperature: temperature, gas_constant: specific_heat_capacity, heat_ratio: number
    ) -> speed;
    "Specific heat capacity of dry air."
    air_specific_heat = air::air_specific_heat: (temperature: temperature) -> specific_heat_capacity;
    "Dynamic viscosity of dry air."
    air_viscosity = air::air_viscosity: (temperature: temperature) -> dynamic_viscosity;
    "Thermal conductivity of dry air."
    air_conductivity = air::air_conductivity: (temperature: temperature) -> thermal_conductivity;

    "Temperature at which water boils under a pressure."
    boiling_point_water = saturation::boiling_point_water: (pressure: absolute_pressure) -> temperature;
    "Pressure under which water boils at a temperature."
    vapour_pressure_water = saturation::vapour_pressure_water: (temperature: temperature) -> absolute_pressure;

    "Share of glycol by mass of a mixture whose shares are known by volume."
    glycol_mass_share = c::glycol_mass_share: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        share_by_volume: number
    ) -> number;
    "Share of water among the molecules of a coolant."
    water_mole_share = c::water_mole_share: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number
    ) -> number;
    "Density of a coolant."
    coolant_density = c::coolant_density: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number, temperature: temperature
    ) -> density;
    "Specific heat capacity of a coolant."
    coolant_specific_heat = c::coolant_specific_heat: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number, temperature: temperature
    ) -> specific_heat_capacity;
    "Dynamic viscosity of a coolant."
    coolant_viscosity = c::coolant_viscosity: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number, temperature: temperature
    ) -> dynamic_viscosity;
    "Thermal conductivity of a coolant."
    coolant_conductivity = c::coolant_conductivity: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number, temperature: temperature
    ) -> thermal_conductivity;
    "Temperature at which the first ice forms in a coolant."
    coolant_freezing_point = c::coolant_freezing_point: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number
    ) -> temperature;
    "Temperature at which a coolant boils under a pressure."
    coolant_boiling_point = c::coolant_boiling_point: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number, pressure: absolute_pressure
    ) -> temperature;
    "Share of its volume by which a fill of coolant grows."
    coolant_growth = c::coolant_growth: (
        glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        mass_share: number, cold: temperature, hot: temperature
    ) -> number;

    "Effectiveness of a crossflow core, both streams unmixed: the exact series."
    effectiveness_crossflow = exchanger::effectiveness_crossflow: (
        transfer_units: number, capacity_ratio: number
    ) -> number;
    "Effectiveness of a crossflow core by the usual approximation."
    effectiveness_crossflow_approximate = exchanger::effectiveness_crossflow_approximate: (
        transfer_units: number, capacity_ratio: number
    ) -> number;
    "Effectiveness of a counterflow exchanger."
    effectiveness_counterflow = exchanger::effectiveness_counterflow: (
        transfer_units: number, capacity_ratio: number
    ) -> number;
    "What a crossflow exchanger passes on, from its inlet temperatures, heat capacity flows and conductance."
    heat_exchange = exchanger::heat_exchange: (
        hot_in: temperature, cold_in: temperature, hot_capacity: thermal_conductance,
        cold_capacity: thermal_conductance, conductance: thermal_conductance
    ) -> {
        transfer_units: number, capacity_ratio: number, effectiveness: number, heat: power, hot_in: temperature,
        hot_out: temperature, cold_in: temperature, cold_out: temperature
    };
    "Logarithmic mean of the temperature differences of a counterflow exchanger."
    log_mean_difference = exchanger::log_mean_difference: (
        hot_in: temperature, hot_out: temperature, cold_in: temperature, cold_out: temperature
    ) -> temperature_difference;
    "Overall heat transfer coefficient from heat, area and mean temperature difference."
    overall_heat_transfer = exchanger::overall_heat_transfer: (
        heat: power, area: area, mean_difference: temperature_difference, correction: number
    ) -> heat_transfer_coefficient;

    "Steady temperatures of a radiator that has to pass on a heat, from its heat capacity flows and conductance."
    coolant_balance = balance::coolant_balance: (
        heat: power, air_in: temperature, coolant_capacity: thermal_conductance, air_capacity: thermal_conductance,
        conductance: thermal_conductance
    ) -> {
        transfer_units: number, capacity_ratio: number, effectiveness: number, heat: power, hot_in: temperature,
        hot_out: temperature, cold_in: temperature, cold_out: temperature
    };
    "Steady temperatures of a radiator that has to pass on a heat, from the flows of coolant and air."
    radiator_balance = balance::radiator_balance: (
        heat: power, glycol: word("ethylene glycol" => Glycol::Ethylene, "propylene glycol" => Glycol::Propylene),
        glycol_mass_share: number, coolant_flow: flow, air_flow: mass_flow, air_in: temperature,
        conductance: thermal_conductance
    ) -> {
        transfer_units: number, capacity_ratio: number, effectiveness: number, heat: power, hot_in: temperature,
        hot_out: temperature, cold_in: temperature, cold_out: temperature
    };
    "Conductance that a core needs, or on a measured run has."
    conductance_for = balance::conductance_for: (
        heat: power, hot_in: temperature, cold_in: temperature, hot_capacity: thermal_conductance,
        cold_capacity: thermal_conductance
    ) -> thermal_conductance;
    "Conductance of a core at another air flow."
    conductance_at_air_flow = balance::conductance_at_air_flow: (
        known: thermal_conductance, known_at: mass_flow, air_flow: mass_flow, exponent: number
    ) -> thermal_conductance;
    "Flow of coolant that carries a heat with a temperature drop."
    coolant_flow = balance::coolant_flow: (
        heat: power, drop: temperature_difference, specific_heat: specific_heat_capacity, density: density
    ) -> flow;
    "How much warmer the air of a cooler leaves."
    air_rise = balance::air_rise: (heat: power, flow: flow, pressure: absolute_pressure, temperature: temperature)
        -> {density: density, mass_flow: mass_flow, rise: temperature_difference};
    "Heat that a stream carries away."
    carried_heat = balance::carried_heat: (
        flow: mass_flow, specific_heat: specific_heat_capacity, rise: temperature_difference
    ) -> power;
    "Where the heat of the fuel goes."
    heat_balance = balance::heat_balance: (
        fuel_flow: mass_flow, heating_value: specific_energy, coolant: power, exhaust: power
    ) -> {fuel: power, coolant: power, coolant_share: number, exhaust: power, exhaust_share: number, rest: power};

    "Most air that the road speed can drive through a core, and the mouth that fits."
    ram_duct = air_path::ram_duct: (road_speed: speed, density: density, core_loss: number, core_area: area)
        -> {dynamic_pressure: pressure, core_speed: speed, flow: flow, capture_area: area, inlet_to_core: number};
    "Speed of the air on a core's face in a real duct."
    duct_core_speed = air_path::duct_core_speed: (
        road_speed: speed, core_loss: number, pressure_saved: number, end_pressure_coefficient: number,
        end_to_core: number
    ) -> speed;
    "Air flow through a core with a fan and the road speed together."
    fan_and_ram_flow = air_path::fan_and_ram_flow: (
        fan_pressure: pressure, fan_flow: flow, ram_pressure: pressure, density: density, core_loss: number,
        core_area: area
    ) -> flow;
}
