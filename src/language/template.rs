//! Sentences with expressions in braces: `{pump} draws at {pump.inlet_height in mm}`.

use super::check::Checker;
use super::code::Code;
use super::error::{Fault, Problem};
use super::evaluate::{Evaluator, Frame};
use super::types::Type;
use super::value::Value;
use crate::quantity::{self, UnitId};
use crate::source::SharedText;
use crate::terms::{PlaceId, Spec};

/// A sentence ready to be filled in.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Template {
    written: SharedText,
    parts: Vec<Part>,
}

#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
enum Part {
    Text(SharedText),
    Shown { code: Code, unit: Option<UnitId>, offset: u32 },
}

impl Template {
    /// Reads a sentence and checks its expressions.
    ///
    /// # Errors
    /// The first fault, with its range in the sentence.
    pub fn parse(text: &str, checker: &mut Checker) -> Result<Template, Fault> {
        let mut parts = Vec::new();
        let mut at = 0;
        while let Some(open) = text[at..].find('{').map(|n| at + n) {
            if open > at {
                parts.push(Part::Text(text[at..open].into()));
            }
            let Some(close) = text[open..].find('}').map(|n| open + n) else {
                let problem = Problem::Expected { expected: "a closing brace", found: "the end of the text".into() };
                return Err(Fault::new(problem, open..text.len()));
            };
            let inner = &text[open + 1..close];
            let (expression, unit) = split_unit(inner);
            let shift = |mut fault: Fault| {
                fault.range = fault.range.start + open + 1..fault.range.end + open + 1;
                fault
            };
            let code = checker.text(expression).map_err(shift)?;
            if unit.is_some() && !matches!(code.ty(), Type::Quantity(_)) {
                let found = code.ty().shown(checker.terms());
                let problem = Problem::WrongType { expected: "a quantity".into(), found };
                return Err(Fault::new(problem, open..close));
            }
            parts.push(Part::Shown { code, unit, offset: open as u32 + 1 });
            at = close + 1;
        }
        if at < text.len() {
            parts.push(Part::Text(text[at..].into()));
        }
        Ok(Template { written: text.into(), parts })
    }

    /// The sentence as written, its expressions in braces.
    pub fn written(&self) -> &str {
        self.written.trim_end()
    }

    /// The expressions in the sentence, each with its offset there.
    pub fn expressions(&self) -> impl Iterator<Item = (&Code, u32)> {
        self.parts.iter().filter_map(|p| match p {
            Part::Text(_) => None,
            Part::Shown { code, offset, .. } => Some((code, *offset)),
        })
    }

    /// The sentence with its expressions filled in; `?` stands for what is unknown.
    pub fn filled(&self, evaluator: &mut Evaluator, frame: &mut Frame) -> String {
        let mut out = String::new();
        for part in &self.parts {
            match part {
                Part::Text(text) => out.push_str(text),
                Part::Shown { code, unit, .. } => {
                    let reading = evaluator.eval(code, frame);
                    match &reading.value {
                        Ok(Value::Place(place)) => out.push_str(&shown_name(evaluator.spec(), *place)),
                        Ok(Value::Number(n)) => out.push_str(&n.shown_in(unit.or(n.unit))),
                        Ok(value) => out.push_str(&value.shown()),
                        Err(_) => out.push('?'),
                    }
                }
            }
        }
        out
    }
}

/// Splits `x.slope in deg` into the expression and the unit.
fn split_unit(inner: &str) -> (&str, Option<UnitId>) {
    if let Some(at) = inner.rfind(" in ")
        && let name = inner[at + 4..].trim()
        && let Some(Ok((unit, eaten))) = quantity::unit_at(name)
        && eaten == name.len()
    {
        return (&inner[..at], Some(unit.id));
    }
    (inner, None)
}

/// What a person calls an item or section: its name, else its path.
pub(super) fn shown_name(spec: &Spec, place: PlaceId) -> String {
    spec.name(place).map_or_else(|| spec.path(place), str::to_string)
}
