//! Figures with their values on every subject.

use super::assessment::Outcome;
use super::judge::{Request, outcome_of};
use crate::language::{Curve, Evaluator, FigureId, Flat, Piece, Reading, Role, Value};
use crate::quantity::{Dimension, UnitId};
use crate::rulebook::Subject;
use crate::terms::{Held, KnownBy, PlaceId, Spec};
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
    /// Load cases by their numbers in which it has another value.
    pub cases: Vec<(usize, FigureReading)>,
    /// How the values of the spec are known that it rests on.
    pub basis: Basis,
    /// Of a point or a list of points: the coordinates in the axes of the car (ISO 8855), in metres, to be drawn.
    pub points: Vec<[f64; 3]>,
}

/// How the quantities are known that a figure rests on: how many of each sort.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Basis {
    /// Measured on the car or the part.
    pub measured: usize,
    /// The maker's figures.
    pub maker: usize,
    /// From a drawing.
    pub drawn: usize,
    /// Assumed, in the spec or by the figure.
    pub assumed: usize,
    /// Those of which the spec does not say it.
    pub unsaid: usize,
    /// Which of several ways to know it was used, in words.
    pub used: Vec<String>,
}

/// The value of a figure.
#[derive(Debug, Clone, PartialEq)]
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
                    let reading = FigureReading::Without(outcome);
                    out.push(FigureValue {
                        figure: number,
                        subject,
                        reading,
                        cases: Vec::new(),
                        basis: Basis::default(),
                        points: Vec::new(),
                    });
                }
                continue;
            }
        };
        for place in places {
            let found = evaluator.figure_value(id, place);
            let reading = read(&found, request);
            if matches!(reading, FigureReading::Without(Outcome::NotApplicable)) {
                continue;
            }
            let points = points_of(&found);
            let basis = match &reading {
                FigureReading::Without(_) => Basis::default(),
                _ => basis(&evaluator.evidence.flatten(found.evidence), request.spec),
            };
            let subject = request.spec.path(place);
            out.push(FigureValue { figure: number, subject, reading, cases: Vec::new(), basis, points });
        }
    }
    out
}

/// The coordinates of a point, or of the known points of a list.
fn points_of(reading: &Reading) -> Vec<[f64; 3]> {
    match &reading.value {
        Ok(Value::Point(point)) => vec![[point[0].si, point[1].si, point[2].si]],
        Ok(Value::List(items)) => items.iter().flat_map(points_of).collect(),
        _ => Vec::new(),
    }
}

fn basis(evidence: &[Flat], spec: &Spec) -> Basis {
    let mut basis = Basis::default();
    for flat in evidence.iter().filter(|f| f.role != Role::Considered) {
        match &flat.piece {
            Piece::Place(place) => {
                let Held::Quantity(quantity) = spec.held(*place) else { continue };
                *match quantity.known_by {
                    Some(KnownBy::Measured) => &mut basis.measured,
                    Some(KnownBy::Maker) => &mut basis.maker,
                    Some(KnownBy::Drawn) => &mut basis.drawn,
                    Some(KnownBy::Assumed) => &mut basis.assumed,
                    None => &mut basis.unsaid,
                } += 1;
            }
            Piece::Assumed(_) => basis.assumed += 1,
            Piece::Chosen(words) => basis.used.push(words.to_string()),
            Piece::Cell { .. } => {}
        }
    }
    basis
}

fn read(reading: &Reading, request: &Request) -> FigureReading {
    match &reading.value {
        Ok(Value::Place(place)) => FigureReading::Words(request.spec.path(*place)),
        Ok(value) => reading_of(value),
        Err(unknown) => FigureReading::Without(outcome_of(unknown, request.spec)),
    }
}

/// A known value in the form in which it is shown.
pub(super) fn reading_of(value: &Value) -> FigureReading {
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
            FigureReading::Fields(fields.parts().map(|(name, part)| (name.to_string(), part.shown())).collect())
        }
        value => FigureReading::Words(value.shown()),
    }
}
