//! The located tree as an instance for the schema validator, so that no copy of a build is made to validate it.
//!
//! [`LocatedJson`] is the representation, [`At`] a node of it. What a plain scalar is in JSON's terms is decided here, once,
//! for validation and for reading: nothing, `yes`/`no`, a number, or text.

use std::borrow::Cow;

use jsonschema::JsonType;
use jsonschema::json::{Array, Json, JsonNumber, Node, NodeIdentity, Object};
use serde_json::Value;

use super::keywords::Reading;
use crate::source::{Content, Entry, NodeId, Scalar, ScalarStyle};

/// What a scalar is, by its text and style alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Nothing,
    YesNo(bool),
    Number,
    Text,
}

/// `yes` and `no` count beside JSON's words, so that a spec reads as speech; YAML's `on` and `off` are words of the trade
/// (a switch is on) and stay text.
pub(super) fn form_of(scalar: &Scalar) -> Form {
    if scalar.style != ScalarStyle::Plain {
        return Form::Text;
    }
    match &*scalar.text {
        "" | "~" | "null" => Form::Nothing,
        "yes" | "true" => Form::YesNo(true),
        "no" | "false" => Form::YesNo(false),
        text if is_number(text) => Form::Number,
        _ => Form::Text,
    }
}

fn is_number(text: &str) -> bool {
    let b = text.as_bytes();
    let digits = |from: usize| b[from.min(b.len())..].iter().take_while(|c| c.is_ascii_digit()).count();
    let mut at = usize::from(matches!(b.first(), Some(b'+' | b'-')));
    let whole = digits(at);
    at += whole;
    let mut part = 0;
    if b.get(at) == Some(&b'.') {
        part = digits(at + 1);
        at += 1 + part;
    }
    if whole + part == 0 {
        return false;
    }
    if matches!(b.get(at), Some(b'e' | b'E')) {
        at += 1;
        at += usize::from(matches!(b.get(at), Some(b'+' | b'-')));
        let power = digits(at);
        if power == 0 {
            return false;
        }
        at += power;
    }
    at == b.len()
}

/// The representation of JSON by a located tree.
pub(super) struct LocatedJson;

/// A value of the instance: a node of the tree, or (where the validator asks about a key) a text of its own.
#[derive(Clone, Copy)]
pub(super) enum At<'a> {
    Node(&'a Reading<'a>, NodeId),
    Key(&'a str),
}

impl<'a> At<'a> {
    fn content(self) -> Option<&'a Content> {
        match self {
            At::Node(reading, id) => Some(&reading.tree.node(id).content),
            At::Key(_) => None,
        }
    }

    /// The scalar and its form.
    pub(super) fn scalar(self) -> Option<(&'a Scalar, Form)> {
        match self.content()? {
            Content::Scalar(scalar) => Some((scalar, form_of(scalar))),
            _ => None,
        }
    }
}

impl Json for LocatedJson {
    type Node<'a> = At<'a>;
    type PreparedKey = Box<str>;
    type StringBuffer = String;

    // A look-up walks the entries as a pass over all members does.
    const KEYS_PER_LOOKUP: usize = 4;
    const ACYCLIC: bool = true;

    fn prepare_key(key: &str) -> Box<str> {
        key.into()
    }

    fn with_string_node<T>(buffer: &mut String, string: &str, f: impl FnOnce(At<'_>) -> T) -> T {
        buffer.clear();
        buffer.push_str(string);
        f(At::Key(buffer))
    }
}

/// A number as written.
pub(super) struct Written<'a>(&'a str);

impl JsonNumber for Written<'_> {
    fn as_u64(&self) -> Option<u64> {
        self.0.parse().ok()
    }
    fn as_i64(&self) -> Option<i64> {
        self.0.parse().ok()
    }
    fn as_f64(&self) -> Option<f64> {
        self.0.parse().ok().filter(|v: &f64| v.is_finite())
    }
    fn as_str(&self) -> Cow<'_, str> {
        Cow::Borrowed(self.0)
    }
    fn to_number(&self) -> Cow<'_, serde_json::Number> {
        Cow::Owned(
            self.as_i64()
                .map(serde_json::Number::from)
                .or_else(|| serde_json::Number::from_f64(self.as_f64()?))
                .unwrap_or_else(|| serde_json::Number::from(u64::MAX)),
        )
    }
}

impl<'a> Node<'a, LocatedJson> for At<'a> {
    type Object = Entries<'a>;
    type Array = Items<'a>;
    type Number = Written<'a>;

    fn as_object(&self) -> Option<Entries<'a>> {
        match (*self, self.content()?) {
            (At::Node(reading, _), Content::Map(entries)) => Some(Entries { reading, entries }),
            _ => None,
        }
    }

    fn as_array(&self) -> Option<Items<'a>> {
        match (*self, self.content()?) {
            (At::Node(reading, _), Content::List(items)) => Some(Items { reading, items }),
            _ => None,
        }
    }

    fn as_string(&self) -> Option<Cow<'a, str>> {
        match self {
            At::Key(text) => Some(Cow::Borrowed(text)),
            At::Node(..) => match self.scalar()? {
                (scalar, Form::Text) => Some(Cow::Borrowed(&scalar.text)),
                _ => None,
            },
        }
    }

    fn as_number(&self) -> Option<Written<'a>> {
        match self.scalar()? {
            (scalar, Form::Number) => Some(Written(&scalar.text)),
            _ => None,
        }
    }

    fn as_boolean(&self) -> Option<bool> {
        match self.scalar()? {
            (_, Form::YesNo(value)) => Some(value),
            _ => None,
        }
    }

    fn is_null(&self) -> bool {
        matches!(self.scalar(), Some((_, Form::Nothing)))
    }

    fn json_type(&self) -> JsonType {
        match self.content() {
            None => JsonType::String,
            Some(Content::List(_)) => JsonType::Array,
            Some(Content::Map(_)) => JsonType::Object,
            Some(Content::Scalar(scalar)) => match form_of(scalar) {
                Form::Nothing => JsonType::Null,
                Form::YesNo(_) => JsonType::Boolean,
                Form::Number => JsonType::Number,
                Form::Text => JsonType::String,
            },
        }
    }

    fn equals_value(&self, expected: &Value) -> bool {
        match expected {
            Value::String(text) => self.as_string().is_some_and(|own| *own == **text),
            Value::Bool(value) => self.as_boolean() == Some(*value),
            // By digits, so that a choice is written in one way.
            Value::Number(number) => self.as_number().is_some_and(|own| own.0 == number.to_string()),
            Value::Null => self.is_null(),
            Value::Array(_) | Value::Object(_) => false,
        }
    }

    // Only errors and keywords that the meta-schema refuses read this; errors are worded from the tree. Copying a node
    // for each of its errors would cost the square of a bad file's size.
    fn to_value(&self) -> Cow<'a, Value> {
        Cow::Owned(Value::Null)
    }

    fn identity(&self) -> Option<NodeIdentity> {
        match self {
            At::Node(reading, id) => Some(NodeIdentity::tagged(std::ptr::from_ref(reading.tree) as usize, id.0)),
            At::Key(_) => None,
        }
    }
}

/// The entries of a map.
pub(super) struct Entries<'a> {
    reading: &'a Reading<'a>,
    entries: &'a [Entry],
}

impl<'a> Object<'a, LocatedJson> for Entries<'a> {
    type Node = At<'a>;
    type MemberName = &'a str;
    type MembersIter = Members<'a>;

    fn len(&self) -> usize {
        self.entries.len()
    }
    fn get(&self, key: &Box<str>) -> Option<At<'a>> {
        self.entries.iter().find(|e| *e.key == **key).map(|e| At::Node(self.reading, e.value))
    }
    fn members(&self) -> Members<'a> {
        Members { reading: self.reading, entries: self.entries.iter() }
    }
}

/// Walks the entries of a map.
pub(super) struct Members<'a> {
    reading: &'a Reading<'a>,
    entries: std::slice::Iter<'a, Entry>,
}

impl<'a> Iterator for Members<'a> {
    type Item = (&'a str, At<'a>);
    fn next(&mut self) -> Option<Self::Item> {
        self.entries.next().map(|e| (&*e.key, At::Node(self.reading, e.value)))
    }
}

/// The members of a list.
pub(super) struct Items<'a> {
    reading: &'a Reading<'a>,
    items: &'a [NodeId],
}

impl<'a> Array<'a, LocatedJson> for Items<'a> {
    type Node = At<'a>;
    type ElementsIter = Elements<'a>;

    fn len(&self) -> usize {
        self.items.len()
    }
    fn elements(&self) -> Elements<'a> {
        Elements { reading: self.reading, items: self.items.iter() }
    }
}

/// Walks the members of a list.
pub(super) struct Elements<'a> {
    reading: &'a Reading<'a>,
    items: std::slice::Iter<'a, NodeId>,
}

impl<'a> Iterator for Elements<'a> {
    type Item = At<'a>;
    fn next(&mut self) -> Option<At<'a>> {
        self.items.next().map(|id| At::Node(self.reading, *id))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_scalars_are_numbers_by_json_and_a_little_more() {
        for yes in ["1", "-2.5", "+3", ".5", "5.", "1e3", "1.5E-3"] {
            assert!(is_number(yes), "{yes}");
        }
        for no in ["", "-", ".", "1e", "e3", "1 2", "0x1F", "nan", "inf", "1_000", "45 mm", "2026-05-02", "1:2"] {
            assert!(!is_number(no), "{no}");
        }
    }
}
