//! Evaluation: checked expressions on a spec, with evidence, reasons and a step budget.
//!
//! An evaluator belongs to one spec (with overrides) and one day; it memoises figures together with their evidence. Both sides of
//! every connective are evaluated, so that reasons and evidence are complete.

mod arithmetic;
mod calls;
mod compare;
mod entries;
mod figures;
mod lists;
mod logic;
mod paths;
mod resume;
mod sweep;

use super::code::{Code, Op};
use super::evidence::{Evidence, EvidenceArena};
use super::library::{FigureId, Library};
use super::number::Number;
use super::unknown::Unknown;
use super::value::{Reading, Value};
use crate::terms::{Held, PlaceId, Spec};
use calls::Calls;
use figures::{Names, ran_out};
use jiff::civil::Date;
use resume::Kept;
use rustc_hash::FxHashMap;
use smallvec::SmallVec;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::rc::Rc;

/// What stands at a place instead of what the spec says.
pub type Replacement = Held;

/// Places of a spec with what is to be read there instead.
pub type Overrides = BTreeMap<PlaceId, Replacement>;

/// How many steps the evaluation of one rule on one subject may take.
pub const STEP_BUDGET: u64 = 4_000_000;

/// How many parts may be under evaluation inside each other, through figures too.
pub const DEEPEST: u32 = 400;

/// Values of local names.
pub type Frame = Vec<Option<Reading>>;

/// Readings of the few parts of one operation.
type Readings = SmallVec<[Reading; 4]>;

/// What an evaluator found: evidence, and the figures computed.
#[derive(Debug, Clone, Default)]
pub struct Found {
    /// Evidence of everything evaluated.
    pub evidence: EvidenceArena,
    memo: FxHashMap<(FigureId, PlaceId), Reading>,
}

/// Evaluates expressions on one spec.
pub struct Evaluator<'a> {
    spec: &'a Spec,
    library: &'a Library,
    overrides: Cow<'a, Overrides>,
    /// Whether an override is, or stands in for, a reference.
    moves_references: bool,
    day: Date,
    /// Evidence of everything evaluated so far.
    pub evidence: EvidenceArena,
    /// Figures taken over from another evaluator.
    kept: Option<Kept<'a>>,
    /// How much evidence was taken over.
    taken_over: (usize, usize),
    memo: FxHashMap<(FigureId, PlaceId), Reading>,
    /// Figures with their last arguments.
    called: FxHashMap<(FigureId, PlaceId), Calls>,
    /// Readings of the items of lists.
    lists: FxHashMap<PlaceId, Rc<[Reading]>>,
    /// Readings of parts that are the same along a sweep, or for all arguments of a figure: by part, and by subject where they
    /// rest on it.
    fixed: FxHashMap<(u32, Option<PlaceId>), Reading>,
    /// Whether such readings are being kept.
    keeping: bool,
    /// Frames that are not in use, emptied.
    spare: Vec<Frame>,
    /// Local names of the figures under evaluation, the innermost last; each is computed when it is first asked for.
    names: Vec<Names<'a>>,
    steps: u64,
    depth: u32,
    /// Readings of every part, where a working is wanted.
    trace: Option<BTreeMap<u32, Reading>>,
}

impl<'a> Evaluator<'a> {
    /// An evaluator for a spec read with `overrides`, for an inspection on `day`.
    pub fn new(spec: &'a Spec, library: &'a Library, overrides: &'a Overrides, day: Date) -> Evaluator<'a> {
        let evidence = EvidenceArena::for_places(spec.places().len());
        Evaluator::on(evidence, spec, library, overrides, day)
    }

    /// An evaluator that adds to evidence.
    fn on(
        evidence: EvidenceArena,
        spec: &'a Spec,
        library: &'a Library,
        overrides: &'a Overrides,
        day: Date,
    ) -> Evaluator<'a> {
        Evaluator {
            spec,
            library,
            overrides: Cow::Borrowed(overrides),
            moves_references: resume::moves_references(spec, overrides),
            day,
            evidence,
            kept: None,
            taken_over: (0, 0),
            memo: FxHashMap::default(),
            called: FxHashMap::default(),
            lists: FxHashMap::default(),
            fixed: FxHashMap::default(),
            keeping: false,
            spare: Vec::new(),
            names: Vec::new(),
            steps: 0,
            depth: 0,
            trace: None,
        }
    }

    /// The spec.
    pub fn spec(&self) -> &'a Spec {
        self.spec
    }

    /// The library.
    pub fn library(&self) -> &'a Library {
        self.library
    }

    /// Begins a new step budget.
    pub fn refill(&mut self) {
        self.steps = 0;
    }

    /// Evaluates and keeps the reading of every part, by the part's number. Figures are computed afresh, so that their parts
    /// are kept too.
    pub fn traced(&mut self, run: impl FnOnce(&mut Self)) -> BTreeMap<u32, Reading> {
        let known = (std::mem::take(&mut self.memo), std::mem::take(&mut self.kept));
        self.trace = Some(BTreeMap::new());
        run(self);
        (self.memo, self.kept) = known;
        self.trace.take().unwrap_or_default()
    }

    fn tracing(&self) -> bool {
        self.trace.is_some()
    }

    /// Evaluates a checked expression.
    #[inline(always)]
    pub fn eval(&mut self, code: &Code, frame: &mut Frame) -> Reading {
        self.steps += 1;
        if self.keeping || self.tracing() || self.steps > STEP_BUDGET || self.depth >= DEEPEST {
            return self.watched(code, frame);
        }
        self.deeper(code, frame)
    }

    /// Evaluates where a reading is kept or noted, or where no more may be evaluated.
    #[inline(never)]
    fn watched(&mut self, code: &Code, frame: &mut Frame) -> Reading {
        if self.steps > STEP_BUDGET || self.depth >= DEEPEST {
            return Reading::unknown(Unknown::exhausted(), Evidence::NONE);
        }
        match self.kept_as(code, frame) {
            Some(key) => self.kept(key, code, frame),
            None => self.evaluated(code, frame),
        }
    }

    /// The reading that is kept under a key, or that is kept there from now on.
    #[inline(never)]
    fn kept(&mut self, key: (u32, Option<PlaceId>), code: &Code, frame: &mut Frame) -> Reading {
        if let Some(known) = self.fixed.get(&key) {
            return known.clone();
        }
        // What is below is asked for once, since this is kept.
        self.keeping = false;
        let reading = self.evaluated(code, frame);
        self.keeping = true;
        if !ran_out(&reading) {
            self.fixed.insert(key, reading.clone());
        }
        reading
    }

    fn evaluated(&mut self, code: &Code, frame: &mut Frame) -> Reading {
        if self.tracing() { self.noted(code, frame) } else { self.deeper(code, frame) }
    }

    #[inline(never)]
    fn noted(&mut self, code: &Code, frame: &mut Frame) -> Reading {
        let reading = self.deeper(code, frame);
        if let Some(trace) = &mut self.trace {
            trace.insert(code.id, reading.clone());
        }
        reading
    }

    fn deeper(&mut self, code: &Code, frame: &mut Frame) -> Reading {
        self.depth += 1;
        let reading = self.step(code, frame);
        self.depth -= 1;
        reading
    }

    /// Under what a reading is kept while a formula is evaluated over and over, if it is the same every time and worth keeping.
    fn kept_as(&self, code: &Code, frame: &Frame) -> Option<(u32, Option<PlaceId>)> {
        if !self.keeping || self.tracing() {
            return None;
        }
        if matches!(code.op, Op::Number { .. } | Op::Local(..) | Op::Root | Op::Text(_) | Op::YesNo(_)) {
            return None;
        }
        match frame.first() {
            _ if code.free.is_empty() => Some((code.id, None)),
            Some(Some(Reading { value: Ok(Value::Place(subject)), .. })) if code.free.is_subject() => {
                Some((code.id, Some(*subject)))
            }
            _ => None,
        }
    }

    /// This recurs through all parts of an expression, so what an operation needs stands in functions that are kept out of it:
    /// with all of them in it, its stack frame alone would fill the nearest cache.
    #[inline(never)]
    fn step(&mut self, code: &Code, frame: &mut Frame) -> Reading {
        match &code.op {
            Op::Number { si, unit } => {
                let mut number = Number::exact(*si, code.dimension);
                number.unit = *unit;
                constant(Value::Number(number))
            }
            Op::Text(text) => constant(Value::Text(text.clone())),
            Op::Date(date) => constant(Value::Date(*date)),
            Op::YesNo(value) => constant(Value::Truth(*value, None)),
            Op::InspectionDay => constant(Value::Date(self.day)),
            Op::Local(at, _) => match frame.get(usize::from(*at)) {
                Some(Some(reading)) => reading.clone(),
                _ => self.named(usize::from(*at), frame),
            },
            Op::Root => constant(Value::Place(self.spec.root())),
            Op::OddValues(odd) => self.odd_values(*odd),
            Op::EntryPart(base, part) => {
                let base = self.eval(base, frame);
                self.entry_part(&base, *part)
            }
            Op::Field { base, keys } => {
                let base = self.eval(base, frame);
                self.field(base, keys)
            }
            Op::Figure { base, figures } => {
                let base = self.eval(base, frame);
                self.figure(base, figures, &[])
            }
            Op::FigureWith(call) => {
                let base = self.eval(&call.base, frame);
                let arguments = self.all(&call.arguments, frame);
                self.figure(base, &call.figures, &arguments)
            }
            Op::Item(base, name) => {
                let base = self.eval(base, frame);
                self.item(base, name)
            }
            Op::Neighbour(base, which, _) => {
                let base = self.eval(base, frame);
                self.neighbour(base, *which)
            }
            Op::Part(base, at, _) => {
                let base = self.eval(base, frame);
                self.part(base, usize::from(*at))
            }
            Op::Coordinate(base, at) => {
                let base = self.eval(base, frame);
                self.coordinate(base, *at)
            }
            Op::DesignationPart(base, name) => {
                let base = self.eval(base, frame);
                self.designation_part(base, name)
            }
            Op::Builtin(which, arguments) => {
                let arguments = self.all(arguments, frame);
                self.builtin(*which, &arguments)
            }
            Op::Native(at, arguments) => {
                let arguments = self.all(arguments, frame);
                self.native(usize::from(*at), &arguments)
            }
            Op::LookUp { table, column, keys } => {
                let readings = self.keys(keys, frame);
                self.look_up(*table, usize::from(*column), keys, &readings)
            }
            Op::Rows { table, keys } => {
                let readings = self.keys(keys, frame);
                self.rows(*table, keys, &readings)
            }
            Op::Negative(inner) => {
                let inner = self.eval(inner, frame);
                self.negative(inner)
            }
            Op::Not(inner) => {
                let inner = self.eval(inner, frame);
                self.not(inner)
            }
            Op::Arithmetic(op, a, b) => {
                let (a, b) = (self.eval(a, frame), self.eval(b, frame));
                let result = code.dimension;
                self.arithmetic(*op, a, b, result)
            }
            Op::Power(base, halves) => {
                let base = self.eval(base, frame);
                let result = code.dimension;
                self.power(base, *halves, result)
            }
            Op::Comparison(op, a, b) => {
                let (a, b) = (self.eval(a, frame), self.eval(b, frame));
                self.comparison(code.id, *op, a, b)
            }
            Op::And(a, b) => {
                let (a, b) = (self.eval(a, frame), self.eval(b, frame));
                self.both(a, b)
            }
            Op::Or(a, b) => {
                let (a, b) = (self.eval(a, frame), self.eval(b, frame));
                self.either(a, b)
            }
            Op::IsGiven(inner) => {
                let inner = self.eval(inner, frame);
                Self::is_given(inner)
            }
            Op::IsNone(inner) => {
                let inner = self.eval(inner, frame);
                Self::is_none(inner)
            }
            Op::IsA(asked) => {
                let base = self.eval(&asked.base, frame);
                self.is_a(base, asked)
            }
            Op::In(value, list) => {
                let (value, list) = (self.eval(value, frame), self.eval(list, frame));
                self.contains(value, list)
            }
            Op::If(condition, a, b) => self.choose(condition, a, b, frame),
            Op::Otherwise(a, b) => {
                let first = self.eval(a, frame);
                if first.value.is_ok() {
                    return first;
                }
                let second = self.eval(b, frame);
                self.fallback(first, second)
            }
            Op::Best(all) => {
                let readings = self.all(all, frame);
                self.best(&readings)
            }
            Op::ExtremeOf(extreme, all) => {
                let readings = self.all(all, frame);
                self.extreme(*extreme, &readings)
            }
            Op::Any(members, has) => self.quantified(false, members, has, frame),
            Op::Each(members, has) => self.quantified(true, members, has, frame),
            Op::Gather(gather, body, members) => self.gather(*gather, body, members, code.dimension, frame),
            Op::Count(members) => self.count(members, frame),
            Op::First(members) => self.first(members, frame),
            Op::Users(base) => {
                let base = self.eval(base, frame);
                self.users(base)
            }
            Op::Along(base, keys) => {
                let base = self.eval(base, frame);
                self.along(base, keys)
            }
            Op::Throughout(running, has) => self.run_through(true, |e| e.throughout(running, has, frame)),
            Op::Curve(running, body) => self.run_through(true, |e| e.curve(running, body, frame)),
            Op::ExtremeOver(extreme, body, running) => {
                self.run_through(true, |e| e.extreme_over(*extreme, body, running, frame))
            }
            Op::List(members) => {
                let readings = self.all(members, frame);
                self.listed(readings)
            }
            Op::Assume(inner) => {
                let inner = self.eval(inner, frame);
                self.assumed(inner)
            }
        }
    }

    #[inline(never)]
    fn all(&mut self, codes: &[Code], frame: &mut Frame) -> Readings {
        codes.iter().map(|code| self.eval(code, frame)).collect()
    }

    #[inline(never)]
    fn keys(&mut self, keys: &[(usize, Code)], frame: &mut Frame) -> Readings {
        keys.iter().map(|(_, key)| self.eval(key, frame)).collect()
    }

    #[inline(never)]
    fn part(&mut self, base: Reading, at: usize) -> Reading {
        self.mapped(base, |value| match value {
            Value::Fields(fields) => fields.part(at),
            _ => None,
        })
    }

    #[inline(never)]
    fn coordinate(&mut self, base: Reading, at: usize) -> Reading {
        self.mapped(base, |value| match value {
            Value::Point(p) => Some(Reading::known(Value::Number(p[at].clone()), Evidence::NONE)),
            _ => None,
        })
    }

    #[inline(never)]
    fn listed(&mut self, members: Readings) -> Reading {
        let evidence = self.joined(&members);
        match needed(&members) {
            Some(unknown) => Reading::unknown(unknown, evidence),
            None => Reading::known(list(members.into_vec()), evidence),
        }
    }

    #[inline(never)]
    fn assumed(&mut self, inner: Reading) -> Reading {
        let Ok(value) = &inner.value else { return inner };
        let assumed = self.evidence.assumed(value.shown().into());
        Reading { evidence: self.evidence.join(assumed, inner.evidence), ..inner }
    }

    /// Evaluates what is run through for many values of a local, or (`often` = false) once.
    fn run_through<T>(&mut self, often: bool, run: impl FnOnce(&mut Self) -> T) -> T {
        let before = std::mem::replace(&mut self.keeping, often);
        let result = run(self);
        self.keeping = before;
        result
    }

    /// What `of` makes of a known value; unknown ones stay as they are.
    fn mapped(&mut self, base: Reading, of: impl FnOnce(&Value) -> Option<Reading>) -> Reading {
        match &base.value {
            Err(_) => base,
            Ok(value) => match of(value) {
                Some(part) => Reading { value: part.value, evidence: self.evidence.join(base.evidence, part.evidence) },
                None => Reading::unknown(Unknown::none(), base.evidence),
            },
        }
    }

    fn joined(&mut self, readings: &[Reading]) -> Evidence {
        let mut all = Evidence::NONE;
        for reading in readings {
            all = self.evidence.join(all, reading.evidence);
        }
        all
    }
}

fn constant(value: Value) -> Reading {
    Reading::known(value, Evidence::NONE)
}

/// The reasons of several readings that a computation needs together, where any is unknown.
fn needed(readings: &[Reading]) -> Option<Unknown> {
    let mut unknown: Option<Unknown> = None;
    for reading in readings {
        if let Err(why) = &reading.value {
            unknown = Some(match unknown {
                None => why.clone(),
                Some(known) => known.needed_with(why),
            });
        }
    }
    unknown
}

/// A list of readings as a value.
fn list(readings: Vec<Reading>) -> Value {
    Value::List(Rc::from(readings))
}
