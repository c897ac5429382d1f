//! The keywords of ours that look at a value: what the validator calls, and where its findings are put down.
//!
//! A keyword is told apart from its like only by data in the schema; it puts the typed problem into the [`Reading`] that
//! the instance brings along, and tells the validator only that there was one.

use std::cell::RefCell;
use std::ops::Range;

use jsonschema::{Keyword, ValidationError, Validator};
use serde_json::Value;

use super::error::TermsProblem;
use super::evidence::is_sha256;
use super::node::{At, Form, LocatedJson};
use super::spec::date_of;
use crate::quantity::{Designation, DesignationKind, Kind, parse};
use crate::source::{Content, NodeId, SharedText, Tree, names_a_sheet};

/// The word for what the car does not have.
pub(super) const NONE: &str = "none";

/// One build while it is validated: the tree, and what keywords of ours have found.
pub(super) struct Reading<'a> {
    pub(super) tree: &'a Tree,
    findings: RefCell<Vec<Finding>>,
}

/// What a keyword of ours found at a value.
pub(super) struct Finding {
    pub(super) node: NodeId,
    /// The part of the value's text that it is about; nothing for the whole value.
    pub(super) range: Option<Range<usize>>,
    pub(super) problem: TermsProblem,
}

impl<'a> Reading<'a> {
    pub(super) fn new(tree: &'a Tree) -> Reading<'a> {
        Reading { tree, findings: RefCell::default() }
    }

    /// What was put down.
    pub(super) fn close(self) -> Vec<Finding> {
        self.findings.into_inner()
    }

    fn report(&self, node: NodeId, range: Option<Range<usize>>, problem: TermsProblem) {
        self.findings.borrow_mut().push(Finding { node, range, problem });
    }
}

/// Makes the validator of a schema written by `bundle`.
///
/// # Errors
/// What the schema compiler says; only wrong terms can bring it about.
pub(super) fn compile(schema: &Value) -> Result<Validator<LocatedJson>, String> {
    fn text(value: &Value) -> &str {
        value.as_str().unwrap_or_default()
    }
    let unknown = |what: &str| ValidationError::schema(format!("there is no {what}"));
    jsonschema::options_for::<LocatedJson>()
        .with_draft(jsonschema::Draft::Draft202012)
        .with_pattern_options(jsonschema::PatternOptions::regex())
        .offline()
        .with_keyword("quantity", move |_, value, _| match Kind::named(text(value)) {
            Some(kind) => Ok(Box::new(Check(Looks::Quantity(kind)))),
            None => Err(unknown("such kind of quantity")),
        })
        .with_keyword("designation", move |_, value, _| match DesignationKind::named(text(value)) {
            Some(kind) => Ok(Box::new(Check(Looks::Designation(kind)))),
            None => Err(unknown("such kind of designation")),
        })
        .with_keyword("date", |_, _, _| Ok(Box::new(Check(Looks::Date))))
        .with_keyword("names_sheet", |_, _, _| Ok(Box::new(Check(Looks::Sheet))))
        .with_keyword("digest", |_, _, _| Ok(Box::new(Check(Looks::Digest))))
        .with_keyword("kinds", |_, value, _| {
            let keys = value.as_array().into_iter().flatten().map(|key| text(key).into()).collect();
            Ok(Box::new(Check(Looks::Kinds(keys))))
        })
        .build(schema)
        .map_err(|error| error.to_string())
}

enum Looks {
    Quantity(Kind),
    Designation(DesignationKind),
    Date,
    Sheet,
    Digest,
    Kinds(Box<[SharedText]>),
}

struct Check(Looks);

impl Check {
    /// Whether the value passes; with `put_down`, its problem goes into the reading. Forms that a keyword has
    /// nothing to say of pass: `type` refuses them.
    fn look(&self, at: At<'_>, put_down: bool) -> bool {
        let At::Node(reading, node) = at else { return true };
        if let Looks::Kinds(keys) = &self.0 {
            let Content::Map(entries) = &reading.tree.node(node).content else { return true };
            let told = entries.iter().any(|entry| keys.iter().any(|key| **key == *entry.key));
            if !told && put_down {
                reading.report(node, None, TermsProblem::NoKind { keys: keys.clone() });
            }
            return told;
        }
        let Some((scalar, Form::Text | Form::Number)) = at.scalar() else { return true };
        let text = &*scalar.text;
        if text == NONE {
            return true;
        }
        let (range, problem) = match &self.0 {
            Looks::Quantity(kind) => match parse(text, *kind) {
                Ok(_) => return true,
                Err(error) => (Some(error.range.clone()), TermsProblem::Quantity(error)),
            },
            Looks::Designation(kind) => match Designation::read(text, *kind) {
                Ok(_) => return true,
                Err(error) => (None, TermsProblem::Designation(error)),
            },
            Looks::Date if date_of(text).is_some() => return true,
            Looks::Date => (None, TermsProblem::NotADate { text: text.into() }),
            Looks::Sheet if names_a_sheet(text) => return true,
            Looks::Sheet => (None, TermsProblem::NotASheet { text: text.into() }),
            Looks::Digest if is_sha256(text) => return true,
            Looks::Digest => (None, TermsProblem::NotADigest { length: text.chars().count() }),
            Looks::Kinds(_) => return true,
        };
        if put_down {
            reading.report(node, range, problem);
        }
        false
    }
}

impl<'i> Keyword<'i, LocatedJson> for Check {
    fn validate(&self, instance: At<'i>) -> Result<(), ValidationError<'i>> {
        if self.look(instance, true) { Ok(()) } else { Err(ValidationError::custom("")) }
    }

    fn is_valid(&self, instance: At<'i>) -> bool {
        self.look(instance, false)
    }
}
