//! Tests of the room as a whole: the schema files, the checking of specs, the checked tree, and its speed.

use std::sync::LazyLock;

mod checking;
mod evidence;
mod own;
mod parts;
mod reading;
mod schema_files;
mod speed;

use super::{Spec, Terms, TermsError, build_spec};
use crate::source::{MemoryFiles, ReadBuild, read_build};

/// A small schema with one of everything.
pub(super) const SMALL: &str = "
spec:
  type: object
  additionalProperties: false
  description: A small spec.
  properties:
    tramgauge: {const: 1, description: Version., examples: [1]}
    fuel: {$ref: fuel}
    line:
      type: array
      description: In order.
      items: {kinds: {joint: line.joint, shaft: line.shaft}}
    own: {$ref: own}
own: {type: object, additionalProperties: true, description: Own., properties: {}}
line.joint:
  type: object
  additionalProperties: false
  naming: joint
  description: A joint.
  properties:
    joint: {type: string, description: Name., examples: [front]}
    bend: {quantity: angle, description: Bend., examples: [2 deg], usual: [0 deg, 30 deg]}
line.shaft:
  type: object
  additionalProperties: false
  naming: shaft
  description: A shaft.
  properties:
    shaft: {type: string, description: Name., examples: [long]}
    length: {quantity: length, description: Length., examples: [700 mm]}
fuel:
  type: object
  additionalProperties: false
  description: Fuel.
  properties:
    grade: {enum: [petrol, diesel], description: Grade., examples: [petrol]}
    grades: {type: array, description: Grades., items: {enum: [petrol, diesel]}, examples: [[petrol]]}
    tanks: {type: array, description: Tanks., items: {$ref: fuel.tank}}
    pumps: {type: array, description: Pumps., items: {$ref: fuel.pump}}
fuel.tank:
  type: object
  additionalProperties: false
  naming: tank
  description: A tank.
  properties:
    tank: {type: string, description: Name., examples: [main]}
    lowest_level: {quantity: length, description: Level., examples: [310 mm], usual: [50 mm, 1500 mm]}
    full: {quantity: temperature, description: Temperature., examples: [20 °C]}
    vented: {type: boolean, description: Vented., examples: [yes]}
    end_of_life: {date: true, description: Day., examples: [2026-05-02]}
    middle: {point: true, description: Place., examples: [[1 mm, 2 mm, 3 mm]]}
    outlets: {type: array, description: Outlets., items: {$ref: fuel.outlet}}
fuel.outlet:
  type: object
  additionalProperties: false
  naming: outlet
  description: An outlet.
  properties:
    outlet: {type: string, description: Name., examples: [feed]}
    diameter: {quantity: length, description: Bore., examples: [8 mm]}
fuel.pump:
  type: object
  additionalProperties: false
  naming: pump
  description: A pump.
  properties:
    pump: {type: string, description: Name., examples: [lift]}
    draws_from: {refers_to: fuel.tanks, description: Tank., examples: [main]}
    outlet: {refers_to: fuel.tanks.outlets, description: Outlet., examples: [feed]}
    thread: {designation: thread, description: Thread., examples: [M10x1.25]}
    note: {type: string, unwritten: none, description: Note., examples: [old]}
";

/// The small terms, compiled once.
pub(super) fn small() -> &'static Terms {
    static SMALL_TERMS: LazyLock<Terms> = LazyLock::new(new_small);
    &SMALL_TERMS
}

pub(super) fn new_small() -> Terms {
    match Terms::load(&[("schema/small.yaml", SMALL)], &[]) {
        Ok(terms) => terms,
        Err(refused) => panic!("{:?}", refused.errors),
    }
}

pub(super) fn source(text: &str) -> ReadBuild {
    read_build(&MemoryFiles::from_texts([("build.yaml", text)]), "build.yaml")
}

pub(super) fn read(terms: &Terms, text: &str) -> (Spec, Vec<TermsError>) {
    build_spec(terms, source(text))
}

/// Each error as `place: message (help)`, its place as the text that it points at.
pub(super) fn said(spec: &Spec, errors: &[TermsError]) -> Vec<String> {
    let line = |error: &TermsError| {
        let at = spec.sources.position(error.span.file, error.span.start);
        let help = error.help().map(|help| format!(" ({help})")).unwrap_or_default();
        format!("{}:{} `{}`: {}{help}", at.line, at.column, spec.sources.slice(error.span), error.message())
    };
    errors.iter().map(line).collect()
}

/// A line of a started spec with its key taken into use.
pub(super) fn take_into_use(line: &str) -> String {
    let indent = line.len() - line.trim_start().len();
    match line[indent..].strip_prefix('#') {
        Some(key) if !key.starts_with(' ') => format!("{}{key}", &line[..indent]),
        _ => line.to_owned(),
    }
}
