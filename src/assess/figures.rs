//! Figures with their values on every subject.

use super::assessment::Outcome;
use super::judge::{Request, outcome_of};
use crate::language::{Curve, Evaluator, FigureId, Reading, Type, Value};
use crate::quantity::{Dimension, UnitId};
use crate::rulebook::Subject;
use crate::terms::PlaceId;
use std::rc::Rc;

/// A figure on one subject.
#[derive(Debug, Clone)]
pub struct FigureValue {
    /// The figure's number in the rulebook.
    pub figure: usize,
    /// The subject's path.
    pub subject: String,
    /// Its value, or why there is none.
    pub reading: FigureReading,
}

/// The value of a figure.
#[derive(Debug, Clone)]
pub enum FigureReading {
    /// A quantity: in SI, its expanded uncertainty in SI (zero where none is stated), and with its unit.
    Quantity {
        /// SI.
        si: f64,
        /// SI.
        uncertainty: f64,
        /// With its unit.
        shown: String,
        /// Its dimension.
        dimension: Dimension,
        /// The unit in which it is shown.
        unit: Option<UnitId>,
    },
    /// Any other value, in words.
    Words(String),
    /// A record of values in words, by name.
    Fields(Vec<(String, String)>),
    /// A curve.
    Curve(Curve),
    /// No value, with the outcome that its reasons make.
    Without(Outcome),
}

/// Every figure without parameters on every subject that has it.
pub(super) fn all(request: &Request, evaluator: &mut Evaluator) -> Vec<FigureValue> {
    let mut out = Vec::new();
    for (number, figure) in request.rulebook.figures.iter().enumerate() {
        let id = FigureId(number as u16);
        if !request.rulebook.library.figure(id).takes.is_empty() {
            continue;
        }
        evaluator.refill();
        let code = match &figure.of {
            Subject::Section { code, .. } => code,
            Subject::Members { list, .. } => list,
        };
        let found = evaluator.eval(code, &mut Vec::new());
        let places: Vec<PlaceId> = match &found.value {
            Ok(Value::Place(place)) => vec![*place],
            Ok(Value::List(items)) => {
                items.iter().filter_map(|i| if let Ok(Value::Place(p)) = i.value { Some(p) } else { None }).collect()
            }
            Ok(_) => Vec::new(),
            Err(unknown) => {
                let outcome = outcome_of(unknown, request.spec);
                if outcome != Outcome::NotApplicable {
                    let subject = figure.of.path().to_string();
                    out.push(FigureValue { figure: number, subject, reading: FigureReading::Without(outcome) });
                }
                continue;
            }
        };
        for place in places {
            let reading = evaluator.figure_value(id, place);
            let reading = read(&reading, request, number);
            if matches!(reading, FigureReading::Without(Outcome::NotApplicable)) {
                continue;
            }
            out.push(FigureValue { figure: number, subject: request.spec.path(place), reading });
        }
    }
    out
}

fn read(reading: &Reading, request: &Request, number: usize) -> FigureReading {
    let names: Vec<String> = match &request.rulebook.library.figure(FigureId(number as u16)).ty {
        Type::Fields(types) => types.iter().map(|t| t.0.to_string()).collect(),
        _ => Vec::new(),
    };
    match &reading.value {
        Ok(Value::Place(place)) => FigureReading::Words(request.spec.path(*place)),
        Ok(value) => reading_of(value, &names),
        Err(unknown) => FigureReading::Without(outcome_of(unknown, request.spec)),
    }
}

/// A known value in the form in which it is shown; `names` are those of the fields of a record.
pub(super) fn reading_of(value: &Value, names: &[String]) -> FigureReading {
    match value {
        Value::Number(n) => FigureReading::Quantity {
            si: n.si,
            uncertainty: n.spread.expanded(),
            shown: n.shown(),
            dimension: n.dimension,
            unit: n.unit,
        },
        Value::Curve(curve) => FigureReading::Curve(Rc::unwrap_or_clone(curve.clone())),
        Value::Fields(fields) => {
            let shown = fields.iter().map(|f| f.value.as_ref().map_or_else(|_| "?".into(), Value::shown));
            FigureReading::Fields(names.iter().cloned().zip(shown).collect())
        }
        value => FigureReading::Words(value.shown()),
    }
}
