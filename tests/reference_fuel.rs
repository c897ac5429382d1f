//! Holds the computations of fuel, lines, joints, wiring, masses and wheels against tables of published and
//! independently computed values; each table names its sources.

mod reference;

use reference::{Case, cases};
use tramgauge::physics::{
    balance, column, fuel, fuse, gravity, ground, joint, pipe, suction, thread, tube, vapour, wheel, wiring,
};
use uom::si::f64::*;

macro_rules! quantities {
    ($($name:ident $type:ident $unit:path;)*) => {
        $(fn $name(si: f64) -> $type { $type::new::<$unit>(si) })*
    };
}

quantities! {
    acceleration Acceleration uom::si::acceleration::meter_per_second_squared;
    ampere ElectricCurrent uom::si::electric_current::ampere;
    area Area uom::si::area::square_meter;
    coefficient TemperatureCoefficient uom::si::temperature_coefficient::per_kelvin;
    consumption MassPerEnergy uom::si::mass_per_energy::kilogram_per_joule;
    density MassDensity uom::si::mass_density::kilogram_per_cubic_meter;
    flow VolumeRate uom::si::volume_rate::cubic_meter_per_second;
    force Force uom::si::force::newton;
    heating AvailableEnergy uom::si::available_energy::joule_per_kilogram;
    kelvin ThermodynamicTemperature uom::si::thermodynamic_temperature::kelvin;
    length Length uom::si::length::meter;
    mass Mass uom::si::mass::kilogram;
    mass_flow MassRate uom::si::mass_rate::kilogram_per_second;
    ohm ElectricalResistance uom::si::electrical_resistance::ohm;
    power Power uom::si::power::watt;
    pressure Pressure uom::si::pressure::pascal;
    ratio Ratio uom::si::ratio::ratio;
    resistivity ElectricalResistivity uom::si::electrical_resistivity::ohm_meter;
    spin AngularVelocity uom::si::angular_velocity::radian_per_second;
    velocity Velocity uom::si::velocity::meter_per_second;
    viscosity DynamicViscosity uom::si::dynamic_viscosity::pascal_second;
}

fn line_flow(case: &Case, coefficients: f64, rho: MassDensity) -> pipe::PipeFlow {
    pipe::pipe_flow(
        flow(case.si("volume_flow")),
        length(case.si("inner_diameter")),
        length(case.si(if case.has("length") { "length" } else { "pipe_length" })),
        length(case.si("roughness")),
        ratio(coefficients),
        rho,
        viscosity(case.si("viscosity")),
    )
    .expect("within the range")
}

fn fuel_case(case: &Case) {
    match case.computation.as_str() {
        "fuel.flow_and_duty" => {
            let b = consumption(case.si("bsfc"));
            let demand =
                fuel::fuel_volume_flow(power(case.si("power")), b, density(case.si("fuel_density"))).expect("in range");
            let each = flow(case.si("injector_static_flow"));
            let duty = fuel::injector_duty(demand, ratio(case.si("injectors")), each).expect("in range");
            let width = fuel::injector_pulse_width(duty, spin(case.si("engine_speed")), ratio(2.0)).expect("in range");
            case.check(&[
                ("mass_flow", fuel::fuel_mass_flow(power(case.si("power")), b).value),
                ("volume_flow", demand.value),
                ("injector_duty", duty.value),
                ("pulse_width", width.value),
            ]);
        }
        "fuel.bsfc" => {
            let brake = if case.has("torque") {
                power(case.si("torque") * case.si("engine_speed"))
            } else {
                power(case.si("brake_power"))
            };
            let b = fuel::specific_consumption(mass_flow(case.si("fuel_mass_flow")), brake).expect("in range");
            let efficiency = fuel::brake_thermal_efficiency(b, heating(case.si("heating_value"))).expect("in range");
            case.check(&[
                ("brake_power", brake.value),
                ("bsfc", b.value),
                ("brake_thermal_efficiency", efficiency.value),
            ]);
        }
        "fuel.injector_flow_scaling" => {
            let (rated, new) = (pressure(case.si("rated_pressure")), pressure(case.si("new_pressure")));
            let scaled = fuel::injector_flow(flow(case.si("static_flow")), rated, new).expect("in range");
            case.check(&[("new_flow", scaled.value)]);
        }
        "fluid.pipe_pressure_drop" => {
            let line = line_flow(case, 0.0, density(case.si("density")));
            case.check(&[
                ("velocity", line.velocity.value),
                ("reynolds", line.reynolds.value),
                ("darcy_friction_factor", line.friction_factor.value),
                ("pressure_drop", line.pressure_loss.value),
            ]);
        }
        "fluid.pipe_head_with_minor_losses" => {
            let bore = length(case.si("inner_diameter"));
            let speed = pipe::flow_velocity(flow(case.si("volume_flow")), bore).expect("in range");
            let coefficients = ratio(case.si("sum_minor_loss") + case.si("exit_velocity_head"));
            let f = ratio(case.si("darcy_friction_factor"));
            let g = acceleration(case.si("g"));
            let head = pipe::head_loss(speed, f, length(case.si("length")), bore, coefficients, g).expect("in range");
            case.check(&[("head", head.value)]);
        }
        "fluid.npsh_max_lift" => {
            let rho = density(case.si("density"));
            let bore = length(case.si("inner_diameter"));
            let speed = pipe::flow_velocity(flow(case.si("volume_flow")), bore).expect("in range");
            let loss = pipe::fitting_loss(ratio(case.si("sum_loss_coefficient")), rho, speed);
            let lift = suction::greatest_suction_lift(
                pressure(case.si("tank_pressure_abs")),
                pressure(case.si("vapour_pressure")),
                rho,
                loss,
                length(case.si("npsh_required")),
                acceleration(case.si("g")),
            );
            case.check(&[("max_height_of_pump_above_level", lift.expect("in range").value)]);
        }
        "fluid.suction_pressure" => {
            let inlet = suction::inlet_pressure(
                pressure(case.si("atmospheric_pressure")),
                density(case.si("density")),
                -length(case.si("height_above_reference")),
                pressure(0.0),
                velocity(0.0),
                acceleration(case.si("g")),
            );
            case.check(&[("absolute_pressure", inlet.expect("in range").value)]);
        }
        "fluid.npsh_available" => {
            let rho = density(case.si("density"));
            let line = line_flow(case, case.si("sum_minor_loss"), rho);
            let (surface, level) = (pressure(case.si("tank_pressure_abs")), length(case.si("level_above_pump")));
            let (g, loss) = (acceleration(case.si("g")), line.pressure_loss);
            let vapour = pressure(case.si("vapour_pressure"));
            let head = suction::net_suction_head(surface, vapour, rho, level, loss, g).expect("in range");
            let inlet = suction::inlet_pressure(surface, rho, level, loss, line.velocity, g).expect("in range");
            case.check(&[("npsh_available", head.value), ("inlet_static_pressure", inlet.value)]);
        }
        "fuel.petrol_true_vapour_pressure" => {
            let reid = pressure(case.si("reid_vapour_pressure"));
            let vapour = vapour::petrol_vapour_pressure(reid, kelvin(case.si("temperature"))).expect("in range");
            case.check(&[("true_vapour_pressure_abs", vapour.value)]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

fn joint_case(case: &Case) {
    match case.computation.as_str() {
        "bolt.stress_area" => {
            let (d, p) = (length(case.si("nominal_diameter")), length(case.si("pitch")));
            let stress_area = thread::thread_stress_area(d, p).expect("in range").value;
            case.check(&[
                ("stress_area", stress_area),
                ("stress_area_table", stress_area),
                ("minor_diameter_d3", thread::thread_minor_diameter(d, p).expect("in range").value),
            ]);
        }
        "bolt.proof_load" => {
            let (d, p) = (case.si("nominal_diameter"), length(case.si("pitch")));
            let proof = proof_stress(case.text("property_class"), d);
            let stress_area = thread::thread_stress_area(length(d), p).expect("in range");
            case.check(&[
                ("proof_load", thread::proof_load(stress_area, pressure(proof)).value),
                ("proof_stress", proof),
            ]);
        }
        "bolt.torque_preload" => {
            let d = length(case.si("nominal_diameter"));
            let (stress_area, proof) = if case.has("stress_area") {
                (area(case.si("stress_area")), case.si("proof_stress"))
            } else {
                let stress_area = thread::thread_stress_area(d, length(case.si("pitch"))).expect("in range");
                (stress_area, proof_stress(case.text("property_class"), d.value))
            };
            let preload =
                thread::proof_load(stress_area, pressure(proof)) * ratio(case.si("preload_fraction_of_proof"));
            let factor = ratio(case.si("nut_factor"));
            let torque = thread::torque_for_preload(preload, factor, d);
            let back = thread::preload_from_torque(torque, factor, d).expect("in range");
            case.check(&[("preload", back.value), ("torque", torque.value)]);
        }
        "bolt.lug_limits" => {
            let (d, t) = (length(case.si("bolt_diameter")), length(case.si("plate_thickness")));
            let shear = pressure(case.si("allowable_shear")) * thread::shank_area(d) * case.si("shear_planes");
            let bearing = joint::bearing_load(pressure(case.si("allowable_bearing")), d, t);
            let tension = pressure(case.si("allowable_tension_net"));
            let net = joint::net_section_load(tension, length(case.si("plate_width")), d, t).expect("in range");
            case.check(&[
                ("bolt_shear_load", shear.value),
                ("bearing_load", bearing.value),
                ("net_section_load", net.value),
            ]);
        }
        "bolt.shear" => {
            let (d, p) = (length(case.si("nominal_diameter")), length(case.si("pitch")));
            let threaded = case.yes("threads_in_shear_plane");
            let plane =
                if threaded { thread::thread_stress_area(d, p).expect("in range") } else { thread::shank_area(d) };
            let planes = ratio(case.si("shear_planes"));
            let load = force(case.si("force"));
            let share = ratio(case.si("shear_to_tensile_ratio"));
            let ultimate =
                joint::bolt_shear_load(pressure(case.si("tensile_strength")), share, plane, planes).expect("in range");
            case.check(&[
                ("shear_stress", joint::bolt_shear_stress(load, plane, planes).expect("in range").value),
                ("ultimate_shear_load", ultimate.value),
                ("reserve_factor", (ultimate / load).value),
            ]);
        }
        "bolt.bearing_edge_distance" => {
            let bearing = joint::sheet_bearing(
                length(case.si("bolt_diameter")) * length(case.si("plate_thickness")),
                length(case.si("hole_diameter")),
                length(case.si("end_distance")),
                length(case.si("edge_distance")),
                pressure(case.si("plate_tensile_strength")),
                pressure(case.si("bolt_tensile_strength")),
            )
            .expect("in range");
            case.check(&[
                ("alpha_b", bearing.alpha_b.value),
                ("k1", bearing.k1.value),
                ("bearing_resistance", bearing.resistance.value / case.si("partial_factor")),
                ("end_distance_over_hole", bearing.end_distance_over_hole.value),
            ]);
        }
        "tube.section_properties" => {
            let (outside, wall) = (length(case.si("outer_diameter")), length(case.si("wall")));
            let section = tube::tube_section(outside, wall).expect("in range");
            let mass = tube::tube_mass(outside, wall, density(case.si("density"))).expect("in range");
            case.check(&[
                ("area", section.area.value),
                ("second_moment", section.second_moment.value),
                ("section_modulus", section.section_modulus.value),
                ("plastic_modulus", section.plastic_modulus.value),
                ("polar_moment", section.polar_moment.value),
                ("mass_per_metre", mass.value),
                ("radius_of_gyration", section.radius_of_gyration.value),
            ]);
        }
        "tube.equivalence" => {
            let outside = length(case.si("baseline_outer_diameter"));
            let wall = length(case.si("baseline_wall"));
            let strength = pressure(case.si("baseline_yield"));
            let compared = tube::compare_tubes(
                outside,
                wall,
                strength,
                length(case.si("candidate_outer_diameter")),
                length(case.si("candidate_wall")),
                pressure(case.si("candidate_yield")),
            )
            .expect("in range");
            case.check(&[
                ("bending_stiffness_ratio", compared.bending_stiffness_ratio.value),
                ("yield_moment_ratio", compared.yield_moment_ratio.value),
                ("mass_ratio", compared.mass_ratio.value),
                ("baseline_yield_moment", tube::tube_yield_moment(outside, wall, strength).expect("in range").value),
            ]);
        }
        "link.euler_buckling" => {
            let section =
                tube::tube_section(length(case.si("outer_diameter")), length(case.si("wall"))).expect("in range");
            let (e, l) = (pressure(case.si("youngs_modulus")), length(case.si("length")));
            let (k, strength) = (ratio(case.si("effective_length_factor")), pressure(case.si("yield")));
            let euler = column::euler_load(e, section.second_moment, l, k).expect("in range");
            let governing = if euler < section.area * strength { "buckling" } else { "yield" };
            case.check_text("governing", governing);
            case.check(&[
                ("euler_load", euler.value),
                ("slenderness", column::slenderness(l, k, section.radius_of_gyration).expect("in range").value),
                ("yield_load", (section.area * strength).value),
                ("transition_slenderness", column::euler_yield_slenderness(e, strength).expect("in range").value),
            ]);
        }
        "link.eccentric_compression" => {
            let bent = column::eccentric_column(
                force(case.si("compression")),
                length(case.si("eccentricity")),
                length(case.si("length")),
                pressure(case.si("youngs_modulus")),
                length(case.si("outer_diameter")),
                length(case.si("wall")),
            )
            .expect("in range");
            case.check(&[
                ("max_moment", bent.moment.value),
                ("max_stress", bent.stress.value),
                ("max_stress_without_amplification", bent.stress_without_growth.value),
            ]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

/// Proof stress of a property class at a diameter, from the rulebook's own table.
fn proof_stress(class: &str, diameter: f64) -> f64 {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/fasteners/property_classes.yaml");
    let text = std::fs::read_to_string(path).expect("the table of property classes");
    let root: serde_yaml::Value = serde_yaml::from_str(&text).expect("YAML");
    let rows = root["tables"][0]["rows"].as_sequence().expect("rows");
    let number = |cell: &serde_yaml::Value, unit: &str| -> f64 {
        cell.as_str().and_then(|t| t.strip_suffix(unit)).and_then(|t| t.trim().parse().ok()).expect("a quantity")
    };
    let mut of_class =
        rows.iter().filter(|row| row[0].as_str() == Some(class) && number(&row[1], "mm") <= diameter * 1e3);
    number(&of_class.next_back().expect("a row of the class")[4], "MPa") * 1e6
}

fn wiring_case(case: &Case) {
    let celsius_20 = kelvin(293.15);
    match case.computation.as_str() {
        "wiring.awg" => {
            let gauge = ratio(case.si("awg"));
            let metal = wiring::wire_gauge_area(gauge).expect("in range");
            let rho = wiring::copper_resistivity(celsius_20).expect("in range");
            case.check(&[
                ("diameter", wiring::wire_gauge_diameter(gauge).expect("in range").value),
                ("area", metal.value),
                ("resistance_20C", wiring::conductor_resistance(rho, length(1.0), metal).expect("in range").value),
            ]);
        }
        "wiring.resistance_from_resistivity" => {
            let metal = thread::shank_area(length(case.si("diameter")));
            let rho = resistivity(case.si("resistivity"));
            let whole = wiring::conductor_resistance(rho, length(case.si("length")), metal).expect("in range");
            case.check(&[("resistance", whole.value)]);
        }
        "wiring.temperature_correction" => {
            let hot = wiring::resistance_at(
                ohm(case.si("resistance")),
                kelvin(case.si("reference_temperature")),
                kelvin(case.si("temperature")),
                coefficient(case.si("temperature_coefficient")),
            );
            case.check(&[("resistance_hot", hot.expect("in range").value)]);
        }
        "wiring.voltage_drop_and_fuse" => {
            let current = case.si("load_power") / case.si("system_voltage");
            let metal = wiring::wire_gauge_area(ratio(case.si("awg"))).expect("in range");
            let rho = wiring::copper_resistivity(kelvin(case.si("conductor_temperature"))).expect("in range");
            let way = length(2.0 * case.si("one_way_length"));
            let temperature = kelvin(case.si("conductor_temperature"));
            let drop = wiring::wire_voltage_drop(ampere(current), way, metal, temperature).expect("in range");
            let least =
                fuse::least_fuse(ampere(current), ratio(case.si("fuse_continuous_fraction"))).expect("in range");
            case.check(&[
                ("current", current),
                ("loop_resistance", wiring::conductor_resistance(rho, way, metal).expect("in range").value),
                ("voltage_drop", drop.value),
                ("voltage_drop_fraction", drop.value / case.si("system_voltage")),
                ("minimum_fuse", least.value),
                ("next_standard_fuse", fuse::next_standard_fuse(least).expect("a fuse").value),
            ]);
        }
        "wiring.voltage_drop_metric" => {
            let temperature = kelvin(case.si("conductor_temperature"));
            let way = length(2.0 * case.si("one_way_length"));
            let metal = area(case.si("conductor_area"));
            let drop =
                wiring::wire_voltage_drop(ampere(case.si("current")), way, metal, temperature).expect("in range");
            case.check(&[("voltage_drop", drop.value)]);
        }
        "wiring.alternator_balance" => {
            let currents: Vec<_> = case.list("load_currents").into_iter().map(ampere).collect();
            let shares: Vec<_> = case.list("duty").into_iter().map(ratio).collect();
            let mean = wiring::mean_current(&currents, &shares).expect("in range").value;
            let rated = case.si("alternator_rated");
            case.check(&[
                ("mean_load", mean),
                ("balance_running", rated - mean),
                ("balance_idle", rated * case.si("idle_fraction") - mean),
            ]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

fn body_case(case: &Case) {
    match case.computation.as_str() {
        "tyre.diameter" => {
            let width = length(case.si("section_width"));
            let outside = wheel::tyre_diameter(width, ratio(case.si("aspect_ratio")), length(case.si("rim_diameter")));
            let rolling = wheel::rolling_circumference(outside).value;
            case.check(&[
                ("overall_diameter", outside.value),
                ("table_diameter", outside.value),
                ("revs_per_km_geometric", 1.0 / (std::f64::consts::PI * outside.value)),
                ("rolling_circumference_3.05D", rolling),
                ("revs_per_km_3.05D", 1.0 / rolling),
            ]);
        }
        "mass.cg_from_corner_weights" => {
            let scale = |name: &str| mass(case.si(name));
            let balance = balance::corner_balance(
                scale("front_left"),
                scale("front_right"),
                scale("rear_left"),
                scale("rear_right"),
                length(case.si("wheelbase")),
                length(case.si("front_track")),
                length(case.si("rear_track")),
            )
            .expect("in range");
            case.check(&[
                ("cg_behind_front_axle", balance.behind_front_axle.value),
                ("cg_left_of_centreline", balance.left_of_centre.value),
                ("front_fraction", balance.front_share.value),
                ("cross_weight_fr_plus_rl", balance.cross_share.value),
                ("left_fraction", balance.left_share.value),
            ]);
        }
        "mass.cg_height_from_tilt" => {
            let (wheelbase, lift) = (case.si("wheelbase"), case.si("rear_axle_lift"));
            let height = balance::centre_height_from_tilt(
                mass(case.si("total")),
                mass(case.si("front_level")),
                mass(case.si("front_with_rear_raised")),
                length(wheelbase),
                length(case.si("wheel_radius")),
                length(lift),
            );
            case.check(&[("cg_height", height.expect("in range").value), ("tilt", (lift / wheelbase).asin())]);
        }
        "mass.combine" => {
            let masses: Vec<_> = case.list("masses").into_iter().map(mass).collect();
            let places = |name: &str| -> Vec<_> { case.list(name).into_iter().map(length).collect() };
            case.check(&[
                ("mass", masses.iter().map(|m| m.value).sum()),
                ("x", balance::centre_of_parts(&masses, &places("x")).expect("in range").value),
                ("z", balance::centre_of_parts(&masses, &places("z")).expect("in range").value),
            ]);
        }
        "mass.rollover_threshold" => {
            let (track, height) = (length(case.si("track")), length(case.si("cg_height")));
            let (radius, g) = (length(case.si("curve_radius")), acceleration(case.si("g")));
            case.check(&[
                ("static_stability_factor", balance::stability_factor(track, height).expect("in range").value),
                ("overturn_speed", balance::overturning_speed(track, height, radius, g).expect("in range").value),
            ]);
        }
        "wheel.bolt_circle" => {
            let circle = wheel::bolt_circle(ratio(case.si("stud_count")), length(case.si("pcd"))).expect("in range");
            case.check(&[
                ("adjacent_centre_distance", circle.adjacent.value),
                ("farthest_centre_distance", circle.farthest.value),
            ]);
        }
        "wheel.offset_change" => {
            let moved = wheel::offset_change(
                length(case.si("old_offset_et")),
                length(case.si("new_offset_et")),
                length(case.si("old_rim_width")),
                length(case.si("new_rim_width")),
                length(case.si("spacer")),
            )
            .expect("in range");
            case.check(&[
                ("new_track", case.si("track") + moved.track.value),
                ("scrub_radius_change", moved.outwards.value),
                ("inner_edge_moves_inboard", moved.inner_edge_inboard.value),
                ("outer_edge_moves_outboard", moved.outer_edge_outboard.value),
            ]);
        }
        "angles.approach" => {
            let (ahead, height) = (length(case.si("point_ahead_of_axle")), length(case.si("point_height")));
            let angle =
                ground::clearance_angle(ahead, height, length(case.si("tyre_static_radius"))).expect("in range");
            let simple = (height / ahead).atan();
            case.check(&[("approach_angle", angle.value), ("simple_from_contact_point", simple.value)]);
        }
        "angles.ramp_breakover" => {
            let wheelbase = length(case.si("wheelbase"));
            let clearance = length(case.si("mid_wheelbase_clearance"));
            let radius = length(case.si("tyre_static_radius"));
            let angle = ground::ramp_angle(wheelbase, wheelbase / 2.0, clearance, radius).expect("in range");
            let simple = 2.0 * (2.0 * clearance.value / wheelbase.value).atan();
            case.check(&[("ramp_angle", angle.value), ("simple_2atan_2h_over_L", simple)]);
        }
        "angles.ramp_breakover_offset" => {
            let angle = ground::ramp_angle(
                length(case.si("wheelbase")),
                length(case.si("low_point_behind_front_axle")),
                length(case.si("clearance")),
                length(case.si("tyre_static_radius")),
            );
            case.check(&[("ramp_angle", angle.expect("in range").value)]);
        }
        other => panic!("{}: no test for {other}", case.id),
    }
}

#[test]
fn fuel_and_lines() {
    cases("reference_fuel.yaml").iter().for_each(fuel_case);
}

#[test]
fn friction_and_loss_agree_with_the_library_fluids() {
    for case in cases("pipe_flow.yaml") {
        let line = line_flow(&case, case.si("sum_minor_loss"), density(case.si("density")));
        case.check(&[
            ("velocity", line.velocity.value),
            ("reynolds", line.reynolds.value),
            ("darcy_friction_factor", line.friction_factor.value),
            ("pressure_drop", line.pressure_loss.value),
        ]);
    }
}

#[test]
fn threads_joints_tubes_and_columns() {
    cases("reference_joints.yaml").iter().for_each(joint_case);
}

#[test]
fn wire_and_loads() {
    cases("reference_wiring.yaml").iter().for_each(wiring_case);
}

#[test]
fn mass_wheels_and_ground() {
    cases("reference_body.yaml").iter().for_each(body_case);
}

#[test]
fn gravity_is_the_standard_one() {
    // CGPM 1901, resolution on the standard of weight.
    assert_eq!(gravity::standard_gravity(), acceleration(9.80665));
}
