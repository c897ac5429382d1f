//! The built-in schema files: their form, what they lead to, and what is made of them.

use crate::source::{MemoryFiles, read_build};
use crate::terms::in_force::{BUILT_IN, SETTINGS, SPEC};
use crate::terms::meta::{META, check_form};
use crate::terms::schema::Definitions;
use crate::terms::{FieldType, ListMembers, SchemaError, Terms, TermsProblem, build_spec, new_spec};

use super::{SMALL, new_small, take_into_use};

fn form_errors(name: &str, text: &str) -> Vec<SchemaError> {
    let mut definitions = Definitions::new();
    definitions.add(name, text, false);
    check_form(&mut definitions, |_| true);
    definitions.errors
}

fn built_in() -> Terms {
    match Terms::built_in() {
        Ok(terms) => terms,
        Err(refused) => {
            let line = |e: &SchemaError| {
                let at = refused.sources.position(e.span.file, e.span.start);
                format!("{}:{}:{} {}", refused.sources.name(e.span.file), at.line, at.column, e.message())
            };
            panic!("{}", refused.errors.iter().map(line).collect::<Vec<_>>().join("\n"))
        }
    }
}

#[test]
fn each_file_is_of_the_form_of_our_meta_schema() {
    assert!(BUILT_IN.iter().any(|(name, _)| *name == "schema/build.yaml"));
    let mut wrong = Vec::new();
    for (name, text) in BUILT_IN.iter().chain(&[("small.yaml", SMALL)]) {
        for error in form_errors(name, text) {
            let line = text[..error.span.start as usize].lines().count();
            wrong.push(format!("{name}:{line} {}", error.message()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_meta_schema_refuses_other_keywords_and_halves() {
    let wrong = [
        (
            "a misspelt keyword",
            "a: {type: object, additionalProperties: false, description: A., properties: {b: {quantty: length, description: B., examples: [1 mm]}}}",
        ),
        ("a plain keyword that we do not use", "a: {type: string, maxLength: 3, description: A.}"),
        ("no description", "a: {type: object, additionalProperties: false, properties: {}}"),
        (
            "no examples",
            "a: {type: object, additionalProperties: false, description: A., properties: {b: {quantity: length, description: B.}}}",
        ),
        ("an object open by forgetting", "a: {type: object, description: A., properties: {}}"),
        ("a list of nothing", "a: {type: array, description: A.}"),
        ("two things at once", "a: {quantity: length, date: true, description: A.}"),
        ("a choice that means something else", "a: {enum: [none, petrol], description: A.}"),
        (
            "a key that is not in words",
            "a: {type: object, additionalProperties: false, description: A., properties: {Inlet-Height: {type: string, description: B., examples: [c]}}}",
        ),
    ];
    for (what, text) in wrong {
        assert!(!form_errors("wrong.yaml", text).is_empty(), "{what}");
    }
}

#[test]
fn the_meta_schema_and_the_bundle_are_valid_by_the_standard() {
    let meta: serde_json::Value = serde_yaml::from_str(META).expect("the meta-schema is YAML");
    assert!(jsonschema::meta::is_valid(&meta), "the meta-schema");
    let settings = Terms::of_settings().unwrap_or_else(|refused| panic!("{:?}", refused.errors));
    for terms in [new_small(), built_in(), settings] {
        let bundle = terms.bundle();
        jsonschema::meta::validate(&bundle).expect("the bundle is valid by the standard's meta-schema");
        assert!(terms.validator().is_ok());
        // A validator that knows none of our keywords still finds what plain words say.
        let plain = jsonschema::draft202012::new(&bundle).expect("the bundle compiles without our keywords");
        assert!(plain.is_valid(&serde_json::json!({"tramgauge": 1})));
        assert!(!plain.is_valid(&serde_json::json!({"tramgauge": 1, "colour": "red"})));
        assert!(!plain.is_valid(&serde_json::json!({"tramgauge": 2})));
    }
}

#[test]
fn every_built_in_definition_is_reached() {
    let mut definitions = Definitions::new();
    for (name, text) in BUILT_IN {
        definitions.add(name, text, false);
    }
    let (of_spec, of_settings) = (definitions.types(SPEC).1, definitions.types(SETTINGS).1);
    let unused: Vec<_> = of_spec.iter().filter(|name| of_settings.contains(name)).collect();
    assert!(unused.is_empty(), "{unused:?}");
}

#[test]
fn a_started_spec_is_valid_as_written_and_with_everything_taken_into_use() {
    for terms in [new_small(), built_in()] {
        let text = new_spec(terms.types(), "Marlow \"estate\"");
        let taken: String = text.lines().map(|line| take_into_use(line) + "\n").collect();
        assert!(taken.lines().count() > 20 && taken != text);
        for text in [text, taken] {
            let read = read_build(&MemoryFiles::from_texts([("build.yaml", &*text)]), "build.yaml");
            // Sections of the example are not there, and examples of references name items of a whole car.
            assert!(
                read.errors.iter().all(|e| matches!(e.problem, crate::source::SourceProblem::Section { .. })),
                "{:?}\n{text}",
                read.errors
            );
            let (spec, errors) = build_spec(&terms, read);
            let errors: Vec<_> =
                errors.into_iter().filter(|e| !matches!(e.problem, TermsProblem::Dangling { .. })).collect();
            assert!(errors.is_empty(), "{}\n{text}", super::said(&spec, &errors).join("\n"));
        }
    }
}

#[test]
fn a_change_of_the_car_can_name_everything_that_moves_a_measurement() {
    let terms = built_in();
    let types = terms.types();
    let list = types.list_at("build.changes.moves").expect("the list of what a change moves");
    let ListMembers::Values(FieldType::Choice(choices)) = &types.list(list).members else {
        panic!("a change names its keys by choice");
    };
    let moving: std::collections::BTreeSet<&str> =
        types.records().flat_map(|(_, r)| &r.fields).flat_map(|f| &f.moved_by).map(|moved| &**moved).collect();
    let unnamed: Vec<_> = moving.iter().filter(|key| !choices.iter().any(|c| **key == &**c)).collect();
    assert!(unnamed.is_empty(), "{unnamed:?} is missing in build.change.moves");
}
