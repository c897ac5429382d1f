//! Figures: each computed once for a subject, or for its last arguments, with its local names when they are first asked for.

use super::super::code::Code;
use super::super::evidence::Evidence;
use super::super::library::{FigureCode, FigureId};
use super::super::unknown::Unknown;
use super::super::value::{Reading, Value};
use super::{Evaluator, Frame, constant};
use crate::source::SharedText;
use crate::terms::PlaceId;
use std::rc::Rc;

/// The local names of a figure, which stand in its frame from `first` on.
#[derive(Clone, Copy)]
pub(super) struct Names<'a> {
    first: usize,
    with: &'a [(SharedText, Code)],
}

impl<'a> Evaluator<'a> {
    /// Evaluates a figure of a subject, once for each subject where it takes no parameters.
    pub(super) fn figure_of(&mut self, id: FigureId, subject: PlaceId, arguments: &[Reading]) -> Reading {
        if !arguments.is_empty() {
            return self.figure_with(id, subject, arguments);
        }
        let key = (id, subject);
        if let Some(known) = self.memo.get(&key).or_else(|| self.kept.and_then(|kept| kept.get(&key))) {
            return known.clone();
        }
        let reading = self.computed(id, subject, &[]);
        if !ran_out(&reading) {
            self.memo.insert(key, reading.clone());
        }
        reading
    }

    /// A figure for arguments. Its last results are kept, since a rule asks for several fields of one result, and several
    /// rules for the same one.
    fn figure_with(&mut self, id: FigureId, subject: PlaceId, arguments: &[Reading]) -> Reading {
        if self.tracing() {
            return self.computed(id, subject, arguments);
        }
        if let Some(known) = self.called.get(&(id, subject)).and_then(|calls| calls.with(arguments)) {
            return known.clone();
        }
        let reading = self.computed(id, subject, arguments);
        if !ran_out(&reading) {
            self.called.entry((id, subject)).or_default().keep(arguments, reading.clone());
        }
        reading
    }

    fn computed(&mut self, id: FigureId, subject: PlaceId, arguments: &[Reading]) -> Reading {
        let often = !arguments.is_empty();
        let library = self.library;
        let figure = library.figure(id);
        let mut frame: Frame = self.spare.pop().unwrap_or_default();
        frame.push(Some(Reading::known(Value::Place(subject), Evidence::NONE)));
        frame.extend(arguments.iter().cloned().map(Some));
        frame.resize(usize::from(figure.locals).max(frame.len()), None);
        let mut reading = self.run_through(often, |e| e.formula(figure, &mut frame));
        frame.clear();
        self.spare.push(frame);
        match (&mut reading.value, figure.unit) {
            (Ok(Value::Number(n)), Some(unit)) => n.unit = Some(unit),
            (Ok(Value::Curve(curve)), Some(unit)) => Rc::make_mut(curve).y_unit = Some(unit),
            _ => {}
        }
        reading.evidence = self.evidence.through(id, subject, reading.evidence);
        reading
    }

    /// What a figure's formula gives for the subject and the arguments in the frame.
    fn formula(&mut self, figure: &'a FigureCode, frame: &mut Frame) -> Reading {
        let applies = match figure.condition.value() {
            None => constant(Value::Truth(true, None)),
            Some(condition) => self.eval(condition, frame),
        };
        match applies.value {
            Ok(Value::Truth(true, _)) => {
                let first = 1 + figure.takes.len();
                self.names.push(Names { first, with: &figure.with });
                if self.tracing() {
                    // A working shows all names.
                    for at in first..first + figure.with.len() {
                        self.named(at, frame);
                    }
                }
                let mut value = self.eval(&figure.is, frame);
                self.names.pop();
                let evidence = self.evidence.considered(applies.evidence);
                value.evidence = self.evidence.join(value.evidence, evidence);
                value
            }
            Ok(_) => Reading::unknown(Unknown::none(), applies.evidence),
            Err(unknown) => Reading::unknown(unknown, applies.evidence),
        }
    }

    /// The figure of a subject, as rules see it.
    pub fn figure_value(&mut self, id: FigureId, subject: PlaceId) -> Reading {
        self.figure_of(id, subject, &[])
    }

    /// What a local name of the figure at hand stands for. It is computed with what lies behind it in the frame put aside: there
    /// stand the members and running values that the formula is just going through.
    #[inline(never)]
    pub(super) fn named(&mut self, at: usize, frame: &mut Frame) -> Reading {
        let code = self.names.last().and_then(|names| names.with.get(at.checked_sub(names.first)?));
        let Some((_, code)) = code.filter(|_| at < frame.len()) else {
            return Reading::unknown(Unknown::none(), Evidence::NONE);
        };
        let mut behind = self.spare.pop().unwrap_or_default();
        behind.extend(frame.drain(at..));
        frame.resize(at + behind.len(), None);
        let reading = self.eval(code, frame);
        frame.truncate(at);
        frame.append(&mut behind);
        self.spare.push(behind);
        frame[at] = Some(reading.clone());
        reading
    }
}

/// Whether a reading is unknown only because the steps of the rule at hand are used up, which says nothing to the next rule.
pub(super) fn ran_out(reading: &Reading) -> bool {
    matches!(&reading.value, Err(unknown) if unknown.reasons().exhausted)
}
