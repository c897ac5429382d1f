//! Types of expressions, as the check at load computes them.

use crate::quantity::{DesignationKind, Dimension, Kind};
use crate::source::SharedText;
use crate::terms::{RecordId, Terms};
use std::sync::Arc;

/// The fields of a computed record: names and types.
pub type FieldNames = Arc<[(SharedText, Type)]>;

/// The type of an expression.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum Type {
    /// A quantity of a dimension.
    Quantity(Dimension),
    /// True or false.
    Truth,
    /// Free text.
    Text,
    /// One of these words.
    Choice(Arc<[SharedText]>),
    /// A date.
    Date,
    /// A point in space: three lengths.
    Point,
    /// A trade designation.
    Designation(DesignationKind),
    /// A written quantity of the spec, of whatever kind, as something that is said of it and not computed with.
    Entry,
    /// A record of the spec: one of these record types.
    Record(Arc<[RecordId]>),
    /// A list.
    List(Arc<Type>),
    /// A record made by a physics function or a table row: named fields.
    Fields(FieldNames),
    /// A curve: dimension of the running value and of the result.
    Curve(Dimension, Dimension),
    /// Something else than a quantity, of an expression that was checked and packed: nobody asks any more what.
    Settled,
}

impl Type {
    /// A plain number.
    pub fn number() -> Type {
        Type::Quantity(Kind::Number.into())
    }

    /// A list of records.
    pub fn records(ids: Vec<RecordId>) -> Type {
        Type::List(Arc::new(Type::Record(ids.into())))
    }

    /// The type in words, for messages.
    pub fn shown(&self, terms: &Terms) -> String {
        match self {
            Type::Quantity(d) => match d.kind {
                Some(kind) => article(kind.name()),
                None => "a computed quantity".into(),
            },
            Type::Truth => "a condition".into(),
            Type::Text => "text".into(),
            Type::Choice(_) => "a choice".into(),
            Type::Date => "a date".into(),
            Type::Point => "a point".into(),
            Type::Designation(_) => "a designation".into(),
            Type::Entry => "a written value".into(),
            Type::Record(ids) => {
                let names: Vec<_> = ids.iter().map(|id| terms.record(*id).name.to_string()).collect();
                format!("`{}`", names.join("` or `"))
            }
            Type::List(inner) => format!("a list of {}", inner.shown(terms)),
            Type::Fields(_) => "a computed record".into(),
            Type::Curve(..) => "a curve".into(),
            Type::Settled => "a value".into(),
        }
    }
}

fn article(name: &str) -> String {
    if name.starts_with(['a', 'e', 'i', 'o', 'u']) { format!("an {name}") } else { format!("a {name}") }
}
