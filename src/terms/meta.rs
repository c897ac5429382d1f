//! The form of schema files: a meta-schema of ours that refuses every keyword it does not know.
//!
//! A misspelt keyword would otherwise be passed over in silence, and what it was to forbid would be allowed.

use jsonschema::error::ValidationErrorKind;
use jsonschema::paths::LocationSegment;

use super::error::{SchemaError, SchemaProblem};
use super::keywords::{Reading, compile};
use super::node::At;
use super::schema::Definitions;
use crate::source::{NodeId, Span, Tree};

/// The meta-schema, in JSON Schema's own words.
pub(super) const META: &str = include_str!("meta.yaml");

/// Holds the files for which `which` (given whether it is the repository's own) is true against the meta-schema.
pub(super) fn check_form(definitions: &mut Definitions, which: impl Fn(bool) -> bool) {
    let meta = serde_yaml::from_str(META).map_err(|error| error.to_string());
    let validator = match meta.and_then(|meta| compile(&meta)) {
        Ok(validator) => validator,
        Err(message) => {
            let span = definitions.tree.node(definitions.tree.root()).span;
            return definitions.errors.push(SchemaError { problem: SchemaProblem::Form(message), span });
        }
    };
    let tree = &definitions.tree;
    let mut errors = Vec::new();
    for (root, own) in &definitions.files {
        if which(*own) {
            let reading = Reading::new(tree);
            for error in validator.iter_errors(At::Node(&reading, *root)) {
                let at = place(tree, *root, error.instance_path().segments());
                let words = match error.kind() {
                    ValidationErrorKind::AdditionalProperties { unexpected } => {
                        format!(
                            "no schema has the keyword {}",
                            unexpected.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")
                        )
                    }
                    ValidationErrorKind::Required { property } => {
                        format!("`{}` is missing", property.as_str().unwrap_or_default())
                    }
                    ValidationErrorKind::PropertyNames { .. } => {
                        "a name here is not in words of small letters joined by `_`".into()
                    }
                    ValidationErrorKind::OneOfMultipleValid { .. } => "two keywords say what this is".into(),
                    ValidationErrorKind::OneOfNotValid { .. } => "nothing says what this is".into(),
                    kind => format!("the keyword `{}` of the meta-schema refuses this", kind.keyword()),
                };
                errors.push(SchemaError { problem: SchemaProblem::Form(words), span: at });
            }
        }
    }
    definitions.errors.extend(errors);
}

/// The place of a value; of an entry its key.
fn place<'p>(tree: &Tree, root: NodeId, path: impl Iterator<Item = LocationSegment<'p>>) -> Span {
    let (mut node, mut span) = (root, tree.node(root).span);
    for step in path {
        match step {
            LocationSegment::Property(key) => {
                let Some(entry) = tree.entry(node, &key) else { break };
                (node, span) = (entry.value, entry.key_span);
            }
            LocationSegment::Index(index) => {
                let Some(item) = tree.items(node).and_then(|items| items.get(index)) else { break };
                (node, span) = (*item, tree.node(*item).span);
            }
        }
    }
    span
}
