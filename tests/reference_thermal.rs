//! Holds cooling, air, engine air, gas pipes and drag against a table of published and independently computed values,
//! which names its sources.

mod reference;

use reference::{Case, cases};
use tramgauge::physics::aero::{air_force_coefficient, road_load};
use tramgauge::physics::air::{air_density, gas_constant_of_air};
use tramgauge::physics::atmosphere::standard_atmosphere;
use tramgauge::physics::cooling::air_path::ram_duct;
use tramgauge::physics::cooling::balance::{air_rise, carried_heat, coolant_flow, heat_balance};
use tramgauge::physics::cooling::coolant::{
    Glycol, coolant_boiling_point, coolant_density, coolant_specific_heat, glycol_mass_share, water_mole_share,
};
use tramgauge::physics::cooling::exchanger::{
    effectiveness_crossflow, effectiveness_crossflow_approximate, heat_exchange, log_mean_difference,
    overall_heat_transfer,
};
use tramgauge::physics::cooling::saturation::boiling_point_water;
use tramgauge::physics::engine::air_flow::{EngineAirFlow, engine_air_flow};
use tramgauge::physics::engine::gas_pipe::{bore_for_mach, gas_flow};
use tramgauge::physics::pipe::flow_velocity;
use tramgauge::physics::temperature::difference;
use uom::si::f64::*;

macro_rules! quantities {
    ($($name:ident $type:ident $unit:path;)*) => {
        $(fn $name(case: &Case, input: &str) -> $type { $type::new::<$unit>(case.si(input)) })*
    };
}

quantities! {
    acceleration Acceleration uom::si::acceleration::meter_per_second_squared;
    area Area uom::si::area::square_meter;
    conductance ThermalConductance uom::si::thermal_conductance::watt_per_kelvin;
    density MassDensity uom::si::mass_density::kilogram_per_cubic_meter;
    flow VolumeRate uom::si::volume_rate::cubic_meter_per_second;
    force Force uom::si::force::newton;
    heat_capacity SpecificHeatCapacity uom::si::specific_heat_capacity::joule_per_kilogram_kelvin;
    heating AvailableEnergy uom::si::available_energy::joule_per_kilogram;
    interval TemperatureInterval uom::si::temperature_interval::kelvin;
    length Length uom::si::length::meter;
    mass Mass uom::si::mass::kilogram;
    mass_flow MassRate uom::si::mass_rate::kilogram_per_second;
    power Power uom::si::power::watt;
    pressure Pressure uom::si::pressure::pascal;
    ratio Ratio uom::si::ratio::ratio;
    spin AngularVelocity uom::si::angular_velocity::radian_per_second;
    temperature ThermodynamicTemperature uom::si::thermodynamic_temperature::kelvin;
    velocity Velocity uom::si::velocity::meter_per_second;
    volume Volume uom::si::volume::cubic_meter;
}

fn under_cap(case: &Case) -> Pressure {
    pressure(case, "cap_pressure_gauge") + pressure(case, "atmospheric_pressure")
}

fn cooling_case(case: &Case) {
    match case.computation.as_str() {
        "cooling.lmtd_ua" => {
            let (hot_in, hot_out) = (temperature(case, "coolant_in"), temperature(case, "coolant_out"));
            let heat: Power =
                mass_flow(case, "coolant_flow") * heat_capacity(case, "coolant_cp") * difference(hot_in, hot_out);
            let (cold_in, cold_out) = (temperature(case, "air_in"), temperature(case, "air_out"));
            let mean = log_mean_difference(hot_in, hot_out, cold_in, cold_out).expect("in range");
            let coefficient =
                overall_heat_transfer(heat, area(case, "tube_area"), mean, ratio(case, "lmtd_correction"));
            case.check(&[
                ("heat_rate", heat.value),
                ("lmtd", mean.value),
                ("overall_coefficient", coefficient.expect("in range").value),
            ]);
        }
        "cooling.effectiveness_crossflow" => {
            let (n, c) = (ratio(case, "ntu"), ratio(case, "capacity_ratio"));
            case.check(&[
                ("effectiveness_exact", effectiveness_crossflow(n, c).expect("in range").value),
                (
                    "effectiveness_common_approximation",
                    effectiveness_crossflow_approximate(n, c).expect("in range").value,
                ),
            ]);
        }
        "cooling.heat_exchanger_performance" => {
            let hot = mass_flow(case, "hot_flow") * heat_capacity(case, "hot_cp");
            let cold = mass_flow(case, "cold_flow") * heat_capacity(case, "cold_cp");
            let (hot_in, cold_in) = (temperature(case, "hot_in"), temperature(case, "cold_in"));
            let done = heat_exchange(hot_in, cold_in, hot, cold, conductance(case, "ua")).expect("in range");
            case.check(&[
                ("ntu", done.transfer_units.value),
                ("effectiveness", done.effectiveness.value),
                ("heat_rate", done.heat.value),
                ("hot_out", done.hot_out.value),
                ("cold_out", done.cold_out.value),
            ]);
        }
        "cooling.boiling_point_water" => {
            case.check(&[("saturation_temperature", boiling_point_water(under_cap(case)).expect("in range").value)]);
        }
        "cooling.boiling_point_glycol_mix" => {
            let glycol = Glycol::Ethylene;
            let mass = glycol_mass_share(glycol, ratio(case, "glycol_volume_fraction")).expect("in range");
            case.check(&[
                ("water_mole_fraction", water_mole_share(glycol, mass).expect("in range").value),
                ("boiling_temperature", coolant_boiling_point(glycol, mass, under_cap(case)).expect("in range").value),
            ]);
        }
        "cooling.glycol_properties" => {
            let (share, t) = (ratio(case, "glycol_mass_fraction"), temperature(case, "temperature"));
            case.check(&[
                ("density", coolant_density(Glycol::Ethylene, share, t).expect("in range").value),
                ("specific_heat", coolant_specific_heat(Glycol::Ethylene, share, t).expect("in range").value),
            ]);
        }
        "cooling.heat_balance" => {
            let fuel = mass_flow(case, "fuel_flow");
            let rise = difference(temperature(case, "exhaust_temperature"), temperature(case, "ambient"));
            let gas = mass_flow(case, "air_flow") + fuel;
            let exhaust = carried_heat(gas, heat_capacity(case, "exhaust_cp"), rise).expect("in range");
            let (water, heat) = (mass_flow(case, "coolant_flow"), heat_capacity(case, "coolant_cp"));
            let coolant = carried_heat(water, heat, interval(case, "coolant_rise")).expect("in range");
            let balance = heat_balance(fuel, heating(case, "heating_value"), coolant, exhaust).expect("in range");
            case.check(&[
                ("coolant_heat", balance.coolant.value),
                ("coolant_fraction", balance.coolant_share.value),
                ("exhaust_heat", balance.exhaust.value),
                ("exhaust_fraction", balance.exhaust_share.value),
            ]);
        }
        "cooling.coolant_flow_velocity" => {
            let needed = coolant_flow(
                power(case, "heat_rate"),
                interval(case, "coolant_temperature_drop"),
                heat_capacity(case, "coolant_cp"),
                density(case, "coolant_density"),
            )
            .expect("in range");
            let speed = flow_velocity(needed, length(case, "hose_inner_diameter")).expect("in range");
            case.check(&[("coolant_flow", needed.value), ("velocity", speed.value)]);
        }
        "cooling.air_temperature_rise" => {
            let warmed = air_rise(
                power(case, "heat_rate"),
                flow(case, "air_volume_flow_at_inlet"),
                pressure(case, "air_pressure"),
                temperature(case, "air_temperature"),
            )
            .expect("in range");
            case.check(&[("air_density", warmed.density.value), ("air_temperature_rise", warmed.rise.value)]);
        }
        "cooling.ram_duct" => {
            let rho = air_density(pressure(case, "air_pressure"), temperature(case, "air_temperature"));
            let rho = rho.expect("in range");
            let (loss, core) = (ratio(case, "core_loss_coefficient"), area(case, "core_area"));
            let duct = ram_duct(velocity(case, "road_speed"), rho, loss, core).expect("in range");
            case.check(&[
                ("air_density", rho.value),
                ("dynamic_pressure", duct.dynamic_pressure.value),
                ("core_velocity_ideal", duct.core_speed.value),
                ("capture_area_needed", duct.capture_area.value),
                ("inlet_to_core_area_ratio", duct.inlet_to_core.value),
            ]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

fn engine_air(case: &Case, efficiency: &str, air: MassDensity, air_fuel_ratio: Ratio) -> EngineAirFlow {
    let (displacement, speed) = (volume(case, "displacement"), spin(case, "engine_speed"));
    engine_air_flow(displacement, speed, Ratio::from(2.0), ratio(case, efficiency), air, air_fuel_ratio)
        .expect("in range")
}

fn gas_case(case: &Case) {
    match case.computation.as_str() {
        "engine.air_flow" => {
            let mixture = ratio(case, "air_fuel_ratio");
            let air = engine_air(case, "volumetric_efficiency", density(case, "air_density"), mixture);
            case.check(&[
                ("air_volume_flow", air.volume_flow.value),
                ("air_mass_flow", air.mass_flow.value),
                ("fuel_mass_flow", air.fuel_flow.value),
            ]);
        }
        "exhaust.velocity" => {
            let mixture = ratio(case, "air_fuel_ratio");
            let air = engine_air(case, "volumetric_efficiency", density(case, "air_density"), mixture);
            let (p, t) = (pressure(case, "gas_pressure_abs"), temperature(case, "gas_temperature"));
            let (constant, gamma) = (heat_capacity(case, "gas_constant"), ratio(case, "gamma"));
            let (bore, pipes) = (length(case, "pipe_inner_diameter"), ratio(case, "pipes_in_parallel"));
            let flow = air.exhaust_flow;
            let flowing = gas_flow(flow, p, t, constant, gamma, bore, pipes).expect("in range");
            let wanted = bore_for_mach(flow, p, t, constant, gamma, Ratio::from(0.25), pipes).expect("in range");
            case.check(&[
                ("exhaust_mass_flow", air.exhaust_flow.value),
                ("gas_density", flowing.density.value),
                ("velocity", flowing.speed.value),
                ("mach", flowing.mach.value),
                ("pipe_diameter_for_mach_0.25", wanted.value),
            ]);
        }
        "intake.velocity" => {
            let (p, t) = (pressure(case, "air_pressure_abs"), temperature(case, "air_temperature"));
            let (constant, gamma) = (gas_constant_of_air(), Ratio::from(1.4));
            let rho = air_density(p, t).expect("in range");
            let air = engine_air(case, "volumetric_efficiency_on_intake_density", rho, Ratio::from(14.7));
            let (bore, pipes) = (length(case, "pipe_inner_diameter"), ratio(case, "pipes_in_parallel"));
            let flowing = gas_flow(air.mass_flow, p, t, constant, gamma, bore, pipes).expect("in range");
            case.check(&[
                ("air_mass_flow", air.mass_flow.value),
                ("mean_velocity", flowing.speed.value),
                ("mach", flowing.mach.value),
            ]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

fn air_case(case: &Case) {
    match case.computation.as_str() {
        "air.standard_atmosphere" => {
            let state = standard_atmosphere(length(case, "altitude")).expect("in range");
            case.check(&[
                ("temperature", state.temperature.value),
                ("pressure", state.pressure.value),
                ("density", state.density.value),
            ]);
        }
        "aero.drag_coefficient" => {
            let (face, rho) = (area(case, "frontal_area"), density(case, "air_density"));
            let coefficient = air_force_coefficient(force(case, "drag"), face, rho, velocity(case, "speed"));
            case.check(&[("drag_coefficient", coefficient.expect("in range").value)]);
        }
        "aero.road_load" => {
            let load = road_load(
                ratio(case, "drag_coefficient"),
                area(case, "frontal_area"),
                density(case, "air_density"),
                velocity(case, "speed"),
                mass(case, "mass"),
                ratio(case, "rolling_coefficient"),
                acceleration(case, "g"),
            )
            .expect("in range");
            case.check(&[("drag", load.drag.value), ("rolling", load.rolling.value), ("power", load.power.value)]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

#[test]
fn every_case_is_met() {
    for case in cases("reference_thermal.yaml") {
        match case.computation.split('.').next() {
            Some("cooling") => cooling_case(&case),
            Some("engine" | "exhaust" | "intake") => gas_case(&case),
            _ => air_case(&case),
        }
    }
}
