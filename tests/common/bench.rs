#![allow(dead_code)]
//! A bench for rules: a small rulebook over terms of the test's own, and a spec to judge; each test file uses its part.

use jiff::civil::{Date, date};
use tramgauge::assess::{Assessment, FigureReading, Request, assess, reckon};
use tramgauge::language::{Fault, Overrides};
use tramgauge::rulebook::{Rulebook, RulebookError, load};
use tramgauge::source::{MemoryFiles, Sources, read_build};
use tramgauge::terms::{Spec, Terms, build_spec};

/// Terms that the tests' specs use, below the key `own`.
pub const TERMS: &str = r#"
own.bench:
  type: object
  additionalProperties: false
  description: A bench with parts.
  properties:
    length: {quantity: length, description: Length., examples: [10 mm]}
    width: {quantity: length, description: Width., examples: [10 mm]}
    spare: {quantity: length, unwritten: none, description: Spare., examples: [10 mm]}
    tilt: {quantity: angle, description: Tilt., examples: [1 deg]}
    heat: {quantity: temperature, description: Heat., examples: [20 °C]}
    turn: {quantity: torque, description: Turn., examples: [10 Nm]}
    work: {quantity: energy, description: Work., examples: [10 J]}
    push: {quantity: force, description: Push., examples: [10 N]}
    boost: {quantity: gauge pressure, description: Boost., examples: [1 bar]}
    air: {quantity: absolute pressure, description: Air., examples: [1 bar abs]}
    ready: {type: boolean, description: Ready., examples: [yes]}
    colour: {enum: [red, green, pale blue], description: Colour., examples: [red]}
    made: {date: true, description: Made on., examples: [2026-01-01]}
    corner: {point: true, description: A corner., examples: ["[0 mm, 0 mm, 0 mm]"]}
    far: {point: true, description: Another corner., examples: ["[0 mm, 0 mm, 0 mm]"]}
    bolt: {designation: thread, description: A bolt., examples: [M8]}
    words: {type: array, description: Words., items: {enum: [red, green]}}
    parts: {type: array, description: Parts in order., items: {kinds: {rod: own.rod, knot: own.knot}}}
    ring: {type: array, ring: true, description: Parts in a ring., items: {$ref: own.bead}}
    wires: {type: array, description: Wires., items: {$ref: own.wire}}
own.rod:
  type: object
  additionalProperties: false
  naming: rod
  description: A rod.
  properties:
    rod: {type: string, description: Name., examples: [a]}
    length: {quantity: length, description: Length., examples: [10 mm]}
    limit: {quantity: length, unwritten: none, description: A limit., examples: [10 mm]}
own.knot:
  type: object
  additionalProperties: false
  naming: knot
  description: A knot.
  properties:
    knot: {type: string, description: Name., examples: [a]}
    kind: {enum: [tight, half-hitch], description: Kind., examples: [tight]}
    angle: {quantity: angle, description: Angle., examples: [1 deg]}
own.bead:
  type: object
  additionalProperties: false
  naming: bead
  description: A bead.
  properties:
    bead: {type: string, description: Name., examples: [a]}
    length: {quantity: length, description: Length., examples: [10 mm]}
own.wire:
  type: object
  additionalProperties: false
  naming: wire
  description: A wire.
  properties:
    wire: {type: string, description: Name., examples: [a]}
    feed: {refers_to: own.bench.wires, unwritten: none, description: Where it is fed from., examples: [a]}
    load: {quantity: current, description: Load., examples: [1 A]}
"#;

/// Loads a rulebook of one file over the bench's terms.
pub fn rulebook(rules: &str) -> Result<Rulebook, (Sources, Vec<RulebookError>)> {
    let terms = Terms::with_own(&[("terms/bench.yaml", TERMS)]).unwrap_or_else(|refused| {
        panic!("{:?}", refused.errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    });
    load(terms, &[("rules/bench/rules.yaml", rules)], &[])
}

/// The messages of a rulebook that does not load: `line:column message`.
pub fn refusals(rules: &str) -> Vec<String> {
    match rulebook(rules) {
        Ok(_) => Vec::new(),
        Err((texts, errors)) => errors
            .iter()
            .map(|e| {
                let at = texts.position(e.span.file, e.span.start);
                let help = e.help().map_or(String::new(), |h| format!(" ({h})"));
                format!("{}:{} `{}` {}{help}", at.line, at.column, texts.slice(e.span), e.message())
            })
            .collect(),
    }
}

/// Reads a spec whose text is that of the bench.
pub fn spec(book: &Rulebook, bench: &str) -> Spec {
    let mut text = String::from("own:\n  bench:\n");
    for line in bench.lines() {
        text.push_str("    ");
        text.push_str(line);
        text.push('\n');
    }
    let files = MemoryFiles::from_texts([("build.yaml", text.as_str())]);
    let (spec, errors) = build_spec(&book.library.terms, read_build(&files, "build.yaml"));
    assert!(errors.is_empty(), "{:?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    spec
}

/// The day of every test's inspection.
pub fn day() -> Date {
    date(2026, 6, 1)
}

/// What an expression reads on a spec, in words; unknown ones by their reasons.
pub fn reads(book: &Rulebook, spec: &Spec, expression: &str) -> String {
    match reckon(book, spec, day(), expression) {
        Err(Fault { problem, range }) => format!("fault at {range:?}: {problem}"),
        Ok(reckoning) => shown(&reckoning.value),
    }
}

/// A figure's reading in words.
pub fn shown(reading: &FigureReading) -> String {
    match reading {
        FigureReading::Quantity { shown, .. } => shown.clone(),
        FigureReading::Words(words) => words.clone(),
        FigureReading::Fields(fields) => fields.iter().map(|(n, v)| format!("{n}: {v}")).collect::<Vec<_>>().join(", "),
        FigureReading::Curve(curve) => format!("{} points", curve.x.len()),
        FigureReading::Without(outcome) => format!("{outcome:?}"),
    }
}

/// Judges a bench.
pub fn judged(book: &Rulebook, spec: &Spec, overrides: &Overrides) -> Assessment {
    let request = Request { spec, rulebook: book, day: day(), figures: true, explained: true, only: None };
    assess(&request, overrides)
}
