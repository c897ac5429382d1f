//! A second opinion: what is read agrees with `serde_yaml`, and places lead back to what was read.

use proptest::prelude::*;
use serde_yaml::Value;

use crate::source::{Content, NodeId, ScalarStyle, SourceProblem, Sources, Tree, parse_file};

/// A value whose scalars are all texts, with the keys of each map different.
fn value() -> impl Strategy<Value = Value> {
    let text = prop_oneof![
        "[a-z0-9 .:#,°±/'\"\\\\\\[\\]{}&*!|>%@-]{0,12}",
        "[a-z \n\t]{0,30}",
        prop::sample::select(vec![
            "45 mm",
            "1-3/4 in",
            "0.6° ± 0.2°",
            "4.1:1",
            "#10-32",
            "12 AWG",
            "1e3",
            "null",
            "~",
            "<<"
        ])
        .prop_map(str::to_owned),
    ];
    let leaf = text.prop_map(Value::String);
    leaf.prop_recursive(4, 40, 6, |inner| {
        let entries = prop::collection::vec(("[a-zé_ :#'-]{1,8}", inner.clone()), 0..6);
        prop_oneof![
            prop::collection::vec(inner, 0..6).prop_map(Value::Sequence),
            entries.prop_map(|entries| {
                Value::Mapping(entries.into_iter().map(|(key, value)| (Value::String(key), value)).collect())
            }),
        ]
    })
}

fn assert_says(tree: &Tree, id: NodeId, value: &Value) -> Result<(), TestCaseError> {
    match (&tree.node(id).content, value) {
        (Content::Scalar(scalar), Value::String(text)) => prop_assert_eq!(&*scalar.text, text.as_str()),
        (Content::Scalar(scalar), Value::Null) => {
            prop_assert!(
                scalar.style == ScalarStyle::Plain && matches!(&*scalar.text, "" | "~" | "null" | "Null" | "NULL")
            );
        }
        (Content::Scalar(scalar), Value::Bool(truth)) => {
            prop_assert_eq!(scalar.text.to_ascii_lowercase(), truth.to_string());
        }
        (Content::Scalar(scalar), Value::Number(_)) => {
            let again: Value = serde_yaml::from_str(&scalar.text).map_err(|e| TestCaseError::fail(e.to_string()))?;
            prop_assert_eq!(&again, value);
        }
        (Content::List(items), Value::Sequence(values)) => {
            prop_assert_eq!(items.len(), values.len());
            for (item, value) in items.iter().zip(values) {
                assert_says(tree, *item, value)?;
            }
        }
        (Content::Map(entries), Value::Mapping(values)) => {
            prop_assert_eq!(entries.len(), values.len());
            for (entry, (key, value)) in entries.iter().zip(values) {
                prop_assert_eq!(Some(&*entry.key), key.as_str());
                assert_says(tree, entry.value, value)?;
            }
        }
        (content, value) => prop_assert!(false, "{:?} is not {:?}", content, value),
    }
    Ok(())
}

/// Plain scalars and keys stand in the file as they are meant.
fn assert_places(sources: &Sources, tree: &Tree) -> Result<(), TestCaseError> {
    for id in 0..tree.len() {
        let node = tree.node(NodeId(id as u32));
        let written = sources.slice(node.span);
        match &node.content {
            Content::Scalar(scalar) => match scalar.style {
                ScalarStyle::Plain if !written.contains('\n') => prop_assert_eq!(written, &*scalar.text),
                ScalarStyle::Plain => {}
                ScalarStyle::Quoted => {
                    prop_assert!(
                        written.len() >= 2 && written.starts_with(['"', '\'']) && written.ends_with(['"', '\''])
                    );
                }
                ScalarStyle::Block => prop_assert!(written.starts_with(['|', '>'])),
            },
            Content::List(_) => prop_assert!(written.is_empty() || written.starts_with(['[', '-'])),
            Content::Map(entries) => {
                for entry in entries {
                    let key = sources.slice(entry.key_span);
                    prop_assert!(key == &*entry.key || key.starts_with(['"', '\'', '?', '|', '>']), "{:?}", key);
                }
            }
        }
    }
    Ok(())
}

#[test]
fn a_written_spec_reads_alike() {
    let text = "tramgauge: 1\nbuild: {name: Marlow estate, use: [road, hill-climb]}\ndriveline:\n  line:\n  - joint: a\n    \
                rated_angle: 1.5 deg\n  - {shaft: b, taken: 2026-05-02, slope: 0.6° ± 0.2°, fitted: true, unknown: }\n";
    let (mut sources, mut tree) = (Sources::default(), Tree::new());
    let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
    assert_eq!(errors, []);
    let value: Value = serde_yaml::from_str(text).expect("sound YAML");
    assert_says(&tree, top.expect("a map"), &value).expect("the same");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_serde_yaml_writes_is_read_alike(value in value(), carriage_returns: bool, byte_order_mark: bool) {
        let mut text = serde_yaml::to_string(&value).map_err(|e| TestCaseError::fail(e.to_string()))?;
        if carriage_returns {
            text = text.replace('\n', "\r\n");
        }
        let again: Value = serde_yaml::from_str(&text).map_err(|e| TestCaseError::fail(e.to_string()))?;
        if byte_order_mark {
            text.insert(0, '\u{feff}');
        }
        let (mut sources, mut tree) = (Sources::default(), Tree::new());
        let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
        // These are ours alone: `<<` and tags are written out by nobody, and refused.
        prop_assume!(!errors.iter().any(|e| matches!(e.problem, SourceProblem::BadMerge | SourceProblem::Tag)));
        prop_assert_eq!(&errors, &[]);
        match top {
            Some(top) => assert_says(&tree, top, &again)?,
            None => prop_assert_eq!(again, Value::Null),
        }
        assert_places(&sources, &tree)?;
    }

    #[test]
    fn braces_and_brackets_are_read_alike(value in value()) {
        // JSON is YAML as far as these texts go.
        let text = serde_json::to_string(&value).map_err(|e| TestCaseError::fail(e.to_string()))?;
        prop_assume!(text.len() < 1000);
        let (mut sources, mut tree) = (Sources::default(), Tree::new());
        let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
        prop_assert_eq!(&errors, &[]);
        let top = top.ok_or_else(|| TestCaseError::fail("nothing read"))?;
        assert_says(&tree, top, &value)?;
        assert_places(&sources, &tree)?;
    }
}
