//! The bench calculator: one expression of the rule language, evaluated on a spec, with its working.

use super::assessment::Outcome;
use super::figures::{FigureReading, reading_of};
use super::judge::outcome_of;
use crate::language::{Evaluator, Fault, Overrides, Sheet, Value, WorkingLine};
use crate::rulebook::Rulebook;
use crate::terms::Spec;
use jiff::civil::Date;

/// A reckoned expression.
#[derive(Debug, Clone)]
pub struct Reckoning {
    /// Its value, or why there is none.
    pub value: FigureReading,
    /// The working.
    pub working: Vec<WorkingLine>,
}

/// Reckons an expression on a spec.
///
/// # Errors
/// A fault in the expression, with its range in the text.
pub fn reckon(rulebook: &Rulebook, spec: &Spec, day: Date, text: &str) -> Result<Reckoning, Fault> {
    let expression = rulebook.expression(text)?;
    let overrides = Overrides::new();
    let mut evaluator = Evaluator::new(spec, &rulebook.library, &overrides, day);
    let mut frame = vec![None; usize::from(expression.locals)];
    let reading = evaluator.eval(&expression.code, &mut frame);
    let value = match &reading.value {
        Ok(Value::Place(place)) => FigureReading::Words(spec.path(*place)),
        Ok(value) => reading_of(value),
        Err(unknown) => match outcome_of(unknown, spec) {
            Outcome::NotApplicable => FigureReading::Words("none".into()),
            outcome => FigureReading::Without(outcome),
        },
    };
    let trace = evaluator.traced(|e| {
        e.eval(&expression.code, &mut frame);
    });
    let sheet = Sheet { library: &rulebook.library, spec, trace: &trace, with: &[] };
    Ok(Reckoning { value, working: sheet.lines(&expression.code) })
}
