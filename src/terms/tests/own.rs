//! A repository's own terms, and what the rulebook adds under `known`.

use super::{SMALL, read, said, source};
use crate::quantity::Kind;
use crate::terms::{Field, FieldType, Held, SchemaProblem, Terms, build_spec};

const OWN: &str = "
own.hoist:
  type: object
  additionalProperties: false
  description: The hoist.
  properties:
    reach: {quantity: length, description: Reach., examples: [1200 mm], usual: [500 mm, 3000 mm]}
    arms: {type: array, description: Arms., items: {$ref: own.hoist.arm}}
own.hoist.arm:
  type: object
  additionalProperties: false
  naming: arm
  description: An arm.
  properties:
    arm: {type: string, description: Name., examples: [left]}
    near: {refers_to: fuel.tanks, description: The tank it passes., examples: [main]}
";

fn with_own(text: &str) -> Result<Terms, Vec<SchemaProblem>> {
    let problems = |refused: crate::terms::SchemaRefused| refused.errors.into_iter().map(|e| e.problem).collect();
    Terms::load(&[("small.yaml", SMALL)], &[("own/hoist.yaml", text)]).map_err(problems)
}

#[test]
fn without_own_terms_anything_may_stand_under_own() {
    let (spec, errors) = read(super::small(), "tramgauge: 1\nown: {hoist: {reach: far, arms: [1, {a: b}]}}\n");
    assert_eq!(said(&spec, &errors), Vec::<String>::new());
}

#[test]
fn own_terms_are_read_and_checked_like_others() {
    let terms = with_own(OWN).expect("the own schema is right");
    let text =
        "tramgauge: 1\nfuel: {tanks: [{tank: main}]}\nown: {hoist: {reach: 1.2 m, arms: [{arm: left, near: main}]}}\n";
    let (spec, errors) = read(&terms, text);
    assert_eq!(said(&spec, &errors), Vec::<String>::new());
    let reach = spec.find("own.hoist.reach").expect("reach has a place");
    assert!(matches!(spec.held(reach), Held::Quantity(q) if q.si == 1.2));
    let near = spec.find("own.hoist.arms/left.near").expect("near has a place");
    assert!(matches!(spec.held(near), Held::Reference(tank) if spec.path(*tank) == "fuel.tanks/main"));
    let (spec, errors) = read(&terms, "tramgauge: 1\nown: {hoist: {rech: 1.2 m}}\n");
    assert_eq!(said(&spec, &errors), ["2:15 `rech`: `rech` is not a key of `own.hoist` (did you mean `reach`?)"]);
}

#[test]
fn wrong_own_terms_are_refused_with_reasons() {
    let whole = |key: &str| {
        format!(
            "own.a:\n  type: object\n  additionalProperties: false\n  description: A.\n  properties:\n    b: {key}\n"
        )
    };
    type Expected = fn(&SchemaProblem) -> bool;
    let cases: [(String, Expected); 8] = [
        ("fuel.b: {type: string, description: B.}".into(), |p| matches!(p, SchemaProblem::NotOwn { .. })),
        (whole("{quantity: longness, description: B., examples: [1 mm]}"), |p| {
            matches!(p, SchemaProblem::NoSuchKind { .. })
        }),
        (whole("{quantity: length, description: B., examples: [1 mm], usual: [1 kg, 2 kg]}"), |p| {
            matches!(p, SchemaProblem::BadRange)
        }),
        (whole("{refers_to: fuel.boats, description: B., examples: [x]}"), |p| {
            matches!(p, SchemaProblem::NoSuchList { .. })
        }),
        (whole("{$ref: own.c}"), |p| matches!(p, SchemaProblem::NoSuchDefinition { .. })),
        ("own.a: {$ref: own.b, description: A.}\nown.b: {$ref: own.a, description: B.}\n".into(), |p| {
            matches!(p, SchemaProblem::Circle)
        }),
        (format!("{}own.a.c: {{type: string, description: C.}}\n", whole("{type: boolean, description: B.}")), |p| {
            matches!(p, SchemaProblem::Unused { .. })
        }),
        (whole("{quantty: length, description: B.}"), |p| matches!(p, SchemaProblem::Form(_))),
    ];
    for (text, expected) in cases {
        let problems = with_own(&text).err().unwrap_or_default();
        assert!(problems.iter().any(expected), "{problems:?}\n{text}");
    }
}

#[test]
fn deep_own_terms_cannot_exhaust_the_stack() {
    let mut text = String::new();
    for i in 0..5_000 {
        text += &format!(
            "own.a{i}: {{type: object, additionalProperties: false, description: A., properties: {{b: {{$ref: own.a{}}}}}}}\n",
            i + 1
        );
    }
    assert!(with_own(&text).is_err());
}

#[test]
fn known_values_are_added_to_a_record_and_its_schema() {
    let mut terms = super::new_small();
    let joint = terms.record_named("line.joint").expect("there are joints");
    terms.add_known(joint, vec![Field::new("true_bend", FieldType::Quantity(Kind::Angle), "The true bend.")]);
    terms.add_known(joint, vec![Field::new("speed", FieldType::Quantity(Kind::RotationalSpeed), "Its speed.")]);
    let build = "tramgauge: 1\nline: [{joint: a, known: {true_bend: 1.2 deg ± 0.1 deg, sped: 3 rpm}}]\n";
    let (spec, errors) = build_spec(&terms, source(build));
    assert_eq!(
        said(&spec, &errors),
        ["2:57 `sped`: `sped` is not a key of `line.joint.known` (did you mean `speed`?)"]
    );
    let bend = spec.find("line/a.known.true_bend").expect("it has a place");
    assert!(matches!(spec.held(bend), Held::Quantity(q) if q.give_or_take.is_some()));
    assert!(terms.bundle().pointer("/$defs/line.joint.known/properties/speed/quantity").is_some());
}
