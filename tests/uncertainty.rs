//! Uncertainty from the spec to the verdict: figures against an independent Monte Carlo (`tests/data/uncertainty.yaml`, written
//! by `tests/reference/uncertainty.py` with numpy and scipy), what cancels, and the decisions of ISO 14253-1.

#[path = "common/bench.rs"]
mod bench;

use jiff::civil::date;
use serde_yaml::Value;
use tramgauge::assess::{FigureReading, Outcome, reckon};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Rulebook, RulebookError, load_for_judging};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Spec, Terms, build_spec};

/// How far the mean may stand from the figure, as a share of its expanded uncertainty: what the bend of the formula moves it.
const MEAN_WITHIN: f64 = 0.03;

/// How far the expanded uncertainties may stand apart, as a share. Twenty thousand draws leave 0.5 %, two million 0.05 %;
/// the rest is for the terms of second order.
const EXPANDED_WITHIN: f64 = 0.02;

fn book() -> Rulebook {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms"));
    load_for_judging(terms, &[]).unwrap_or_else(|_| panic!("the built-in rulebook"))
}

fn spec(book: &Rulebook, text: &str) -> Spec {
    let read = read_build(&MemoryFiles::from_texts([("build.yaml", text)]), "build.yaml");
    assert_eq!(read.errors, []);
    let (spec, errors) = build_spec(&book.library.terms, read);
    assert!(errors.is_empty(), "{:?}\n{text}", errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    spec
}

/// Value and expanded uncertainty in SI.
fn reads(book: &Rulebook, spec: &Spec, expression: &str) -> (f64, f64) {
    let reckoning = reckon(book, spec, date(2026, 6, 1), expression).unwrap_or_else(|fault| panic!("{fault:?}"));
    match reckoning.value {
        FigureReading::Quantity { si, uncertainty, .. } => (si, uncertainty),
        other => panic!("{expression}: {other:?}"),
    }
}

#[test]
fn ten_figures_agree_with_monte_carlo() {
    let book = book();
    let table: Value = serde_yaml::from_str(include_str!("data/uncertainty.yaml")).expect("YAML");
    let cases = table["cases"].as_sequence().expect("cases");
    assert_eq!(cases.len(), 10);
    let mut wrong = Vec::new();
    for case in cases {
        let text = |key: &str| case[key].as_str().unwrap_or_else(|| panic!("{key}"));
        let number = |key: &str| case[key].as_f64().unwrap_or_else(|| panic!("{key}"));
        let (mean, expanded) = (number("mean"), number("expanded"));
        let (value, uncertainty) = reads(&book, &spec(&book, text("spec")), text("expression"));
        let off = (value - mean).abs() / expanded;
        let apart = (uncertainty / expanded - 1.0).abs();
        if off > MEAN_WITHIN || apart > EXPANDED_WITHIN {
            wrong.push(format!("{}: {value:e} ± {uncertainty:e}, not {mean:e} ± {expanded:e}", text("case")));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn shared_inputs_are_not_counted_twice() {
    let book = book();
    let text = "\
vehicle: {wheelbase: 2450 mm ± 4 mm}
brakes:
  balance_bar: {spacing: 62 mm ± 0.5 mm, pivot_to_front: 28 mm ± 0.8 mm}
  circuits:
    - {circuit: front, pushed_at: front clevis}
    - {circuit: rear, pushed_at: rear clevis}
";
    let spec = spec(&book, text);
    let of = |expression: &str| reads(&book, &spec, expression);
    assert_eq!(of("vehicle.wheelbase - vehicle.wheelbase"), (0.0, 0.0));
    assert_eq!(of("vehicle.wheelbase / vehicle.wheelbase").1, 0.0);
    // The shares of the two circuits are one measurement, seen from both ends.
    let (front, rear) = (of("brakes.circuits/front.push_share"), of("brakes.circuits/rear.push_share"));
    assert!(front.1 > 0.01 && (front.1 - rear.1).abs() < 1e-15);
    let (sum, uncertainty) = of("brakes.circuits/front.push_share + brakes.circuits/rear.push_share");
    assert!((sum - 1.0).abs() < 1e-15 && uncertainty < 1e-15, "{sum} ± {uncertainty}");
    let difference = of("brakes.circuits/front.push_share - brakes.circuits/rear.push_share").1;
    assert!((difference - 2.0 * front.1).abs() < 1e-12, "both ends of one measurement, not two independent ones");
    // Twice one length is twice as uncertain; two lengths of equal uncertainty only by the root of two.
    assert!((of("vehicle.wheelbase + vehicle.wheelbase").1 - 0.008).abs() < 1e-12);
}

#[test]
fn a_value_that_is_written_once_is_one_measurement_wherever_it_stands() {
    let book = book();
    let build = "\
brakes:
  axles:
    - {axle: front, caliper: &same {piston_diameter: 38 mm ± 0.4 mm}}
    - {axle: rear, caliper: *same}
  circuits:
    - {circuit: front, part: parts/cylinder.yaml}
    - {circuit: rear, part: parts/cylinder.yaml}
    - {circuit: clutch, bore: 17.8 mm ± 0.2 mm}
";
    let files = MemoryFiles::from_texts([("build.yaml", build), ("parts/cylinder.yaml", "bore: 17.8 mm ± 0.2 mm\n")]);
    let (spec, errors) = build_spec(&book.library.terms, read_build(&files, "build.yaml"));
    assert!(errors.is_empty(), "{errors:?}");
    let of = |expression: &str| reads(&book, &spec, expression);
    let caliper = |axle: &str| format!("brakes.axles/{axle}.caliper.piston_diameter");
    assert_eq!(of(&format!("{} - {}", caliper("front"), caliper("rear"))), (0.0, 0.0));
    assert_eq!(of("brakes.circuits/front.bore - brakes.circuits/rear.bore"), (0.0, 0.0));
    assert!((of("brakes.circuits/front.bore + brakes.circuits/rear.bore").1 - 0.4e-3).abs() < 1e-12);
    // The same figures written twice are two measurements.
    let apart = of("brakes.circuits/front.bore - brakes.circuits/clutch.bore").1;
    assert!((apart - 0.2e-3 * 2.0_f64.sqrt()).abs() < 1e-12, "{apart}");
}

/// A rulebook of these requirements on the bench.
fn requiring(holds: &[&str]) -> Rulebook {
    let rule = |(number, holds): (usize, &&str)| {
        format!(
            "  - rule: bench.limit-{number}
    title: The length is within its limits
    for: own.bench
    holds: {{major: '{holds}'}}
    says: it is {{own.bench.length}}
    why: It has to fit.
    remedy: Cut it anew.
    sources: [practice]
    check_pieces: []
"
        )
    };
    let rules: String = holds.iter().enumerate().map(rule).collect();
    let rules = format!("sources: [{{source: practice, kind: practice, title: Practice}}]\nrules:\n{rules}");
    let refused = |errors: &[RulebookError]| errors.iter().map(RulebookError::message).collect::<Vec<_>>();
    bench::rulebook(&rules).unwrap_or_else(|(_, errors)| panic!("{:?}", refused(&errors)))
}

/// The outcome of each requirement on the bench.
fn outcomes(book: &Rulebook, bench_text: &str) -> Vec<Outcome> {
    let judged = bench::judged(book, &bench::spec(book, bench_text), &Overrides::new());
    judged.judgements.into_iter().map(|judgement| judgement.outcome).collect()
}

fn outcome(holds: &str, bench_text: &str) -> Outcome {
    outcomes(&requiring(&[holds]), bench_text).remove(0)
}

#[test]
fn both_limits_are_decided_by_iso_14253_1() {
    // ISO 14253-1: conformity is proven where the result lies within the limit by at least the expanded uncertainty,
    // nonconformity where it lies beyond by as much; between is the zone of uncertainty. Here 0.2 mm about each limit.
    let book = requiring(&[
        "own.bench.length <= 10 mm",
        "10 mm >= own.bench.length",
        "own.bench.length < 10 mm",
        "own.bench.length >= 9 mm",
        "own.bench.length > 9 mm",
        "9 mm <= own.bench.length <= 10 mm",
    ]);
    for (value, upper, lower, both) in [
        ("8.7", "holds", "major", "major"),
        ("8.8", "holds", "major", "major"),
        ("8.81", "holds", "unproven", "unproven"),
        ("9", "holds", "unproven", "unproven"),
        ("9.19", "holds", "unproven", "unproven"),
        ("9.2", "holds", "holds", "holds"),
        ("9.5", "holds", "holds", "holds"),
        ("9.8", "holds", "holds", "holds"),
        ("9.81", "unproven", "holds", "unproven"),
        ("10", "unproven", "holds", "unproven"),
        ("10.19", "unproven", "holds", "unproven"),
        ("10.2", "major", "holds", "major"),
        ("10.3", "major", "holds", "major"),
    ] {
        let found = outcomes(&book, &format!("length: {value} mm ± 0.2 mm"));
        let found: Vec<&str> = found.iter().map(Outcome::word).collect();
        assert_eq!(found, [upper, upper, upper, lower, lower, both], "{value}");
    }
    // Without a stated uncertainty the value counts as exact, and the limit itself belongs to `<=`.
    assert_eq!(outcome("own.bench.length <= 10 mm", "length: 10 mm").word(), "holds");
    assert_eq!(outcome("own.bench.length < 10 mm", "length: 10 mm").word(), "major");
}

#[test]
fn an_unproven_requirement_says_which_uncertainty_would_do_and_what_to_measure_better() {
    let unproven = |holds: &str, bench: &str| match outcome(holds, bench) {
        Outcome::Unproven(values) => values,
        other => panic!("{other:?}"),
    };
    let [one] = &unproven("own.bench.length <= 10 mm", "length: 9.9 mm ± 0.3 mm")[..] else { panic!("one value") };
    assert_eq!((one.would_do.as_str(), one.improve.as_deref()), ("0.1 mm", Some("own.bench.length")));
    assert_eq!(outcome("own.bench.length <= 10 mm", "length: 9.9 mm ± 0.1 mm").word(), "holds", "it does");
    // The limit may be uncertain too, and what weighs most comes first, not what is least certain by itself.
    let bench = "length: 9.9 mm ± 0.2 mm\nwidth: 2.5 mm ± 0.1 mm";
    let [one] = &unproven("own.bench.length <= 4 * own.bench.width", bench)[..] else { panic!("one value") };
    assert_eq!((one.would_do.as_str(), one.improve.as_deref()), ("0.1 mm", Some("own.bench.width")));
    // Root sum of squares: 0.3 and 0.4 make 0.5, not 0.7.
    let at = |length: &str| {
        outcome("own.bench.length <= own.bench.width", &format!("length: {length} ± 0.3 mm\nwidth: 10 mm ± 0.4 mm"))
    };
    assert_eq!(at("9.49 mm").word(), "holds");
    assert_eq!(at("9.51 mm").word(), "unproven");
    assert_eq!(at("10.49 mm").word(), "unproven");
    assert_eq!(at("10.51 mm").word(), "major");
}
