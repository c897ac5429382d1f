//! Reckons published values through the rule language: that the computations can be called there, with the kinds and
//! units that a builder would write, and give the same.

#[path = "common/bench.rs"]
mod bench;

use std::sync::LazyLock;

use tramgauge::rulebook::Rulebook;
use tramgauge::terms::Spec;

fn reads(expression: &str) -> String {
    static BENCH: LazyLock<(Rulebook, Spec)> = LazyLock::new(|| {
        let book = bench::rulebook("figures: []").unwrap_or_else(|_| panic!("an empty rulebook loads"));
        let spec = bench::spec(&book, "length: 1 m");
        (book, spec)
    });
    bench::reads(&BENCH.0, &BENCH.1, expression)
}

#[test]
fn published_values_come_out_of_expressions() {
    // Each with its source; the names are those of `tests/data/reference_*.yaml`.
    for (expression, expected, source) in [
        ("boiling_point_water(absolute(0.9 bar, 101325 Pa))", "118.8 °C", "tsat-0.9-101: 118.815 °C, iapws 1.5.5"),
        (
            r#"coolant_boiling_point("ethylene glycol", 52.716 %, absolute(1.1 bar, 101325 Pa))"#,
            "131.2 °C",
            "tsat-glycol-50-1.1: 131.155 °C",
        ),
        ("effectiveness_crossflow(2.5, 0.3)", "0.8377", "hx-cross-03: 0.83766, ht 1.2.0"),
        (
            "heat_exchange(95 °C, 35 °C, 1.4 kg/s * 3600 J/(kg*K), 1.3 kg/s * 1007 J/(kg*K), 1500 W/K).hot_out",
            "85.18 °C",
            "radiator-perf-01: 85.180 °C, ht 1.2.0",
        ),
        ("coolant_flow(60 kW, 7 K, 3600 J/(kg*K), 1030 kg/m3)", "8322 L/h", "coolant-flow-01: 138.696 L/min"),
        (
            "heat_balance(10.2 kg/h, 43890 kJ/kg, 38.874 kW, 30.19185 kW).coolant_share",
            "0.3126",
            "heatbalance-rajput-17.38: 31.26 %",
        ),
        ("ram_duct(120 km/h, 1.2041 kg/m3, 8, 0.2 m2).core_speed", "40 km/h", "duct-01: 11.111 m/s"),
        (
            "engine_air_flow(2000 cm3, 6500 rpm, 2, 0.95, 1.184 kg/m3, 13.2).exhaust_flow",
            "471.9 kg/h",
            "exhaust-01: 0.131085 kg/s",
        ),
        (
            "gas_flow(0.13108465 kg/s, 115 kPa, 800 °C, 287 J/(kg*K), 1.35, 57 mm, 1).speed",
            "495.3 km/h",
            "exhaust-01: 137.580 m/s",
        ),
        (
            "road_load(0.34, 1.95 m2, 1.225 kg/m3, 140 km/h, 1200 kg, 0.012, 9.81 m/s2).power",
            "29.38 kW",
            "aero-power-02: 29.377 kW",
        ),
        ("next_standard_fuse(least_fuse(110 W / 13.5 V, 75 %))", "15 A", "vdrop-01: 15 A"),
        ("bolt_in_single_shear(5 kN, 15 mm, 12 mm).bending", "442.1 MPa", "by hand: 32 x 75 N m / (π 12³ mm³)"),
        (
            "bending_stress(cantilever(1 kN, 0.5 m, 206 GPa, 5 cm4).moment, 2500 mm3)",
            "200 MPa",
            "by hand: 500 N m / 2500 mm³",
        ),
    ] {
        assert_eq!(reads(expression), expected, "{expression} ({source})");
    }
}

#[test]
fn a_range_that_is_left_is_said_in_words() {
    let beyond = reads("boiling_point_water(absolute(400 bar, 1 bar))");
    assert!(beyond.contains("pressure over the water"), "{beyond}");
}

#[test]
fn kinds_are_kept_apart() {
    let energy = reads("mount_loads(1800 N, 0.3 m, 0.6 m, 600 J).pressed");
    assert!(energy.starts_with("fault"), "{energy}");
    assert_eq!(reads("mount_loads(1800 N, 0.3 m, 0.6 m, 600 Nm).pressed"), "1900 N");
    let glycol = reads("coolant_density(\"methanol\", 50 %, 20 °C)");
    assert!(glycol.starts_with("fault"), "{glycol}");
}
