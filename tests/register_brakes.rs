//! The computations of the brakes as they are called from expressions: units, kinds and fields fit, and the check values of
//! `tests/data/reference_brakes.yaml` come out.

#[path = "common/bench.rs"]
mod bench;

#[test]
fn expressions_give_the_check_values() {
    let book = bench::rulebook("figures: []").unwrap_or_else(|_| panic!("an empty rulebook loads"));
    let spec = bench::spec(&book, "length: 1 mm");
    let cases = [
        // brake-load-01
        ("dynamic_axle_loads(1050 kg * 9.81 m/s2, 2.4 m, 1.15 m, 0.48 m, 0.8).front", "7013 N"),
        // brake-wong-mu0.8, brake-lock-01
        ("lock_order(0.8, 0.6, 2.87 m, 1.27 m, 0.508 m, 0.02).rear_lock", "0.6758"),
        ("critical_deceleration(0.66, 2.45 m, 1.18 m, 0.47 m)", "0.7383"),
        ("lock_order(0.9, 0.66, 2.45 m, 1.18 m, 0.47 m, 0).efficiency", "0.9395"),
        // brake-bevan-mu0.1
        (
            "braking_distance(48.28032 km/h, 9.81456 m/s2 * axle_limits(0.1, 2.8956 m, 1.6764 m, 0.6096 m).rear_only) / 1 m",
            "161.6",
        ),
        // brake-util-01
        ("adhesion_used(0.68, 2.42 m, 1.16 m, 0.5 m, 0.6).front", "0.6329"),
        // brake-reg-100, brake-mfdd-01, brake-stop-01
        ("service_stop_limit(100 km/h) / 1 m", "70"),
        ("deceleration_for_limit(100 km/h, service_stop_limit(100 km/h))", "6.43 m/s2"),
        ("mean_fully_developed_deceleration(100 km/h, 22 m, 58 m)", "6.752 m/s2"),
        ("stopping_distance(100 km/h, 0.7 s, 0.3 s, 8.5 m/s2).distance / 1 m", "68.97"),
        // brake-chain-01, brake-chain-sheet-01, brake-bar-01, brake-re-01, brake-prop-01
        ("line_pressure(push_force(500 N, 5.2) * 0.55, 19.05 mm) / 1 bar", "50.17"),
        (
            "road_force(disc_torque(clamp_force(50.171397 bar, piston_area(44 mm, 2)), 0.42, mean_pad_radius(140 mm, 95 mm)), 2, 300 mm) / 1 kN",
            "10.04",
        ),
        ("pressure_for_torque(62.62753 Nm, 82.5 mm, 0.4, piston_area(20 mm, 1)) / 1 bar", "30.2"),
        ("balance_bar(2600 N, 28 mm, 60 mm).front", "1387 N"),
        ("even_pressure_pad_radius(140 mm, 90 mm)", "116.8 mm"),
        ("proportioned_pressure(80 bar, 30 bar, 35 %) / 1 bar", "47.5"),
        // brake-vol-01, its three parts
        ("piston_displacement(piston_area(38 mm, 4) * 2, 0.15 mm) / 1 cm3", "1.361"),
        ("elastic_volume(0.45 cm3/MPa, 8 MPa) / 1 cm3", "3.6"),
        ("hose_swell(0.1 cm3/m, 1 MPa, 1.2 m, 8 MPa) / 1 cm3", "0.96"),
        ("pedal_travel(cylinder_stroke(5.9209379 cm3, 19.05 mm), 5)", "103.9 mm"),
        // brake-heat-01, brake-heat-03, brake-ideal-01
        (
            "100 °C + bulk_temperature_rise(braking_energy(1200 kg, 160 km/h, 0 km/h) * 0.35, 7 kg, 460 J/kg/K)",
            "228.8 °C",
        ),
        ("surface_temperature_rise(2.5e6 W/m2, 4 s, 48 W/m/K, 7200 kg/m3, 460 J/kg/K).peak", "210.9 K"),
        ("ideal_point(0.45, 2.42 m, 1.16 m, 0.5 m).deceleration", "0.6805"),
        // Outside the range of a formula there is no number.
        ("dynamic_axle_loads(10 kN, 2.4 m, 1.2 m, 0.6 m, 2).rear", "beyond"),
    ];
    for (expression, expected) in cases {
        let read = bench::reads(&book, &spec, expression);
        assert!(read.to_lowercase().contains(&expected.to_lowercase()), "{expression}: {read}");
    }
}
