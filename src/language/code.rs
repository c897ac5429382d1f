//! A checked expression: every name resolved, every part with its type. This is what is evaluated; there is no other form.

use super::library::FigureId;
use super::syntax::{Arithmetic, Comparison, Extreme, Gather, Neighbour};
use super::table::TableId;
use super::types::Type;
use crate::quantity::{Dimension, Kind, UnitId};
use crate::source::SharedText;
use crate::terms::{RecordId, Slot, Terms};
use jiff::civil::Date;
use std::ops::{Deref, Range};
use std::sync::Arc;

/// A checked expression.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Code {
    /// What it does.
    pub op: Op,
    /// The dimension of its value; that of a plain number where it is no quantity.
    pub dimension: Dimension,
    /// Its number, unlike that of every other part in the same rulebook.
    pub id: u32,
    /// The locals from outside that its value rests on.
    pub free: Locals,
    /// What only the check asks for; nothing of what was packed.
    #[serde(skip)]
    checked: Option<Box<Checked>>,
}

/// What the check of an expression knows of a part, and evaluation does not need.
#[derive(Debug, Clone)]
struct Checked {
    ty: Type,
    range: Range<u32>,
}

/// A set of locals. Those from number 31 on count as one, which is never taken out: the set may hold too much, never too little.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct Locals(u32);

impl Locals {
    /// Just this one.
    fn one(local: u16) -> Locals {
        Locals(1 << local.min(31))
    }

    fn and(self, other: Locals) -> Locals {
        Locals(self.0 | other.0)
    }

    fn without(self, local: u16) -> Locals {
        if local < 31 { Locals(self.0 & !(1 << local)) } else { self }
    }

    /// Whether there is none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether there is none but the subject, local 0.
    pub fn is_subject(self) -> bool {
        self.0 & !1 == 0
    }
}

/// One key in one of the record types that a thing may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Key {
    /// The record type.
    pub record: RecordId,
    /// The key's slot.
    pub slot: Slot,
    /// Whether an unwritten key means that there is no such thing.
    pub unwritten_is_none: bool,
}

impl Key {
    /// Its name.
    pub fn name(self, terms: &Terms) -> &str {
        terms.record(self.record).field(self.slot).map_or("", |field| &field.name)
    }
}

/// A built-in function.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Builtin {
    /// Absolute value.
    Abs,
    /// Square root.
    Sqrt,
    /// Sine of an angle.
    Sin,
    /// Cosine of an angle.
    Cos,
    /// Tangent of an angle.
    Tan,
    /// Angle of a sine.
    Asin,
    /// Angle of a cosine.
    Acos,
    /// Angle of a tangent.
    Atan,
    /// The next whole number up.
    RoundUp,
    /// The next whole number down.
    RoundDown,
    /// Distance of two points.
    Distance,
    /// The point of three coordinates.
    Point,
    /// Absolute pressure from gauge pressure and air pressure.
    Absolute,
    /// Gauge pressure from absolute pressure and air pressure.
    Gauge,
    /// The number itself, its uncertainty left out.
    Nominal,
    /// The expanded uncertainty of a number; none where none is stated.
    GiveOrTake,
}

/// Written values of the spec that something is odd about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Odd {
    /// Outside the range that is physically usual.
    Unusual,
    /// Measured before something that moves them was changed.
    Stale,
}

/// What can be said of a written value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum EntryPart {
    /// Itself with its unit, in words.
    Written,
    /// The range that is usual for it, in words.
    Usual,
    /// Whether it lies in that range.
    IsUsual,
    /// The day on which it was measured.
    Taken,
    /// The day of the last change that moves it.
    Changed,
    /// What was changed then: a change of the build by its name, a part by its path.
    ChangedBy,
}

/// A running range.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Running {
    /// Where the running value is kept.
    pub local: u16,
    /// Its name.
    pub name: SharedText,
    /// Where it begins.
    pub from: Box<Code>,
    /// Where it ends.
    pub to: Box<Code>,
}

/// Members of a list that count.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Members {
    /// Where each member is kept.
    pub local: u16,
    /// Its name.
    pub name: SharedText,
    /// The list.
    pub list: Box<Code>,
    /// Which members count.
    pub condition: Option<Box<Code>>,
}

/// A figure of a record with its arguments.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct FigureCall {
    /// The record.
    pub base: Code,
    /// The figure for each record type that has it.
    pub figures: OneOrMore<(RecordId, FigureId)>,
    /// Its arguments.
    pub arguments: Vec<Code>,
}

/// Whether an item is of one of the record types, or of a `kind`, that a word stands for.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct IsA {
    /// The item.
    pub base: Code,
    /// The word.
    pub word: SharedText,
    /// Record types that the word names.
    pub records: Vec<RecordId>,
    /// Keys `kind` that have the word as a choice.
    pub kinds: Vec<Key>,
}

/// What is mostly one, kept without a memory block of its own.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub enum OneOrMore<T> {
    /// One.
    One(T),
    /// None, or several.
    More(Box<[T]>),
}

impl<T> Deref for OneOrMore<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        match self {
            OneOrMore::One(one) => std::slice::from_ref(one),
            OneOrMore::More(all) => all,
        }
    }
}

impl<T: Copy> From<&[T]> for OneOrMore<T> {
    fn from(all: &[T]) -> OneOrMore<T> {
        match all {
            [one] => OneOrMore::One(*one),
            all => OneOrMore::More(all.into()),
        }
    }
}

/// What a part of an expression does.
///
/// A part is walked far more often than it is made, and what is walked has to come from memory first: an operation takes four
/// words at most, and what is rare and large stands behind a box.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum Op {
    /// A number as written; its dimension is that of its type.
    Number {
        /// SI value.
        si: f64,
        /// Its unit.
        unit: Option<UnitId>,
    },
    /// Text.
    Text(Arc<str>),
    /// A date.
    Date(Date),
    /// A truth value.
    YesNo(bool),
    /// The day that the inspection is for.
    InspectionDay,
    /// A local name.
    Local(u16, SharedText),
    /// The whole spec.
    Root,
    /// All written values that something is odd about.
    OddValues(Odd),
    /// What is said of a written value.
    EntryPart(Box<Code>, EntryPart),
    /// A key of a record.
    Field {
        /// The record.
        base: Box<Code>,
        /// The key in each record type that has it.
        keys: OneOrMore<Key>,
    },
    /// A figure of a record.
    Figure {
        /// The record.
        base: Box<Code>,
        /// The figure for each record type that has it.
        figures: OneOrMore<(RecordId, FigureId)>,
    },
    /// A figure that takes arguments.
    FigureWith(Box<FigureCall>),
    /// A named item of a list.
    Item(Box<Code>, SharedText),
    /// Neighbours of an item, which is of one of these record types.
    Neighbour(Box<Code>, Neighbour, OneOrMore<RecordId>),
    /// A field of a computed record.
    Part(Box<Code>, u16, SharedText),
    /// A coordinate of a point: 0 to 2.
    Coordinate(Box<Code>, usize),
    /// A part of a designation.
    DesignationPart(Box<Code>, SharedText),
    /// A built-in function.
    Builtin(Builtin, Vec<Code>),
    /// A registered function.
    Native(u16, Vec<Code>),
    /// One cell of a table.
    LookUp {
        /// The table.
        table: TableId,
        /// The column wanted.
        column: u16,
        /// Key columns and their values.
        keys: Vec<(usize, Code)>,
    },
    /// Rows of a table.
    Rows {
        /// The table.
        table: TableId,
        /// Key columns and their values.
        keys: Vec<(usize, Code)>,
    },
    /// Negation of a number.
    Negative(Box<Code>),
    /// Negation of a truth.
    Not(Box<Code>),
    /// Arithmetic.
    Arithmetic(Arithmetic, Box<Code>, Box<Code>),
    /// A power; the exponent in halves.
    Power(Box<Code>, i8),
    /// Comparison.
    Comparison(Comparison, Box<Code>, Box<Code>),
    /// Conjunction.
    And(Box<Code>, Box<Code>),
    /// Disjunction.
    Or(Box<Code>, Box<Code>),
    /// Whether a value is known.
    IsGiven(Box<Code>),
    /// Whether a value is written as none.
    IsNone(Box<Code>),
    /// Whether an item is what a word says.
    IsA(Box<IsA>),
    /// Whether a list holds a value.
    In(Box<Code>, Box<Code>),
    /// Choice by a condition.
    If(Box<Code>, Box<Code>, Box<Code>),
    /// The first that is known.
    Otherwise(Box<Code>, Box<Code>),
    /// The one with the smaller uncertainty.
    Best(Vec<Code>),
    /// The extreme of values.
    ExtremeOf(Extreme, Vec<Code>),
    /// `any ... has ...`.
    Any(Box<Members>, Box<Code>),
    /// `each ... has ...`.
    Each(Box<Members>, Box<Code>),
    /// Gathering over a list.
    Gather(Gather, Box<Code>, Box<Members>),
    /// Number of members.
    Count(Box<Members>),
    /// The first member.
    First(Box<Members>),
    /// Everything that refers to a record.
    Users(Box<Code>),
    /// A chain of references by the same key.
    Along(Box<Code>, OneOrMore<Key>),
    /// Over a whole range.
    Throughout(Box<Running>, Box<Code>),
    /// A curve.
    Curve(Box<Running>, Box<Code>),
    /// The extreme over a range.
    ExtremeOver(Extreme, Box<Code>, Box<Running>),
    /// A value taken for granted.
    Assume(Box<Code>),
    /// A list of these values.
    List(Vec<Code>),
}

/// The parts directly below a part, borrowed as `$how` says: one list of them for reading and for changing.
macro_rules! parts_below {
    ($code:ident, $each:ident, $members:ident $(, $how:tt)?) => {
        match &$($how)? $code.op {
            Op::Number { .. }
            | Op::Text(_)
            | Op::Date(_)
            | Op::YesNo(_)
            | Op::InspectionDay
            | Op::Local(..)
            | Op::OddValues(_)
            | Op::Root => Vec::new(),
            Op::Field { base, .. }
            | Op::Item(base, _)
            | Op::Neighbour(base, ..)
            | Op::Part(base, ..)
            | Op::Coordinate(base, _)
            | Op::EntryPart(base, _)
            | Op::DesignationPart(base, _)
            | Op::Negative(base)
            | Op::Not(base)
            | Op::Power(base, _)
            | Op::IsGiven(base)
            | Op::IsNone(base)
            | Op::Users(base)
            | Op::Along(base, ..)
            | Op::Assume(base) => vec![base],
            Op::Figure { base, .. } => vec![base],
            Op::FigureWith(call) => {
                let FigureCall { base, arguments, .. } = &$($how)? **call;
                std::iter::once(base).chain(arguments).collect()
            }
            Op::IsA(asked) => vec![&$($how)? asked.base],
            Op::Builtin(_, all) | Op::Native(_, all) | Op::Best(all) | Op::ExtremeOf(_, all) | Op::List(all) => {
                all.$each().collect()
            }
            Op::LookUp { keys, .. } | Op::Rows { keys, .. } => keys.$each().map(|k| &$($how)? k.1).collect(),
            Op::Arithmetic(_, a, b)
            | Op::Comparison(_, a, b)
            | Op::And(a, b)
            | Op::Or(a, b)
            | Op::In(a, b)
            | Op::Otherwise(a, b) => vec![a, b],
            Op::If(a, b, c) => vec![a, b, c],
            Op::Any(m, body) | Op::Each(m, body) | Op::Gather(_, body, m) => m.$members().chain([&$($how)? **body]).collect(),
            Op::Count(m) | Op::First(m) => m.$members().collect(),
            Op::Throughout(r, body) | Op::Curve(r, body) | Op::ExtremeOver(_, body, r) => vec![&$($how)? r.from, &$($how)? r.to, body],
        }
    };
}

impl Code {
    /// A part; what it rests on follows from what is below it.
    pub fn new(op: Op, ty: Type, range: Range<u32>, id: u32) -> Code {
        let dimension = if let Type::Quantity(dimension) = ty { dimension } else { Kind::Number.into() };
        let checked = Some(Box::new(Checked { ty, range }));
        let mut code = Code { op, dimension, id, free: Locals::default(), checked };
        code.free = match &code.op {
            Op::Local(local, _) => Locals::one(*local),
            Op::Any(m, body) | Op::Each(m, body) | Op::Gather(_, body, m) => m.free(Some(body)),
            Op::Count(m) | Op::First(m) => m.free(None),
            Op::Throughout(r, body) | Op::Curve(r, body) | Op::ExtremeOver(_, body, r) => {
                r.from.free.and(r.to.free).and(body.free.without(r.local))
            }
            _ => code.parts().iter().fold(Locals::default(), |free, part| free.and(part.free)),
        };
        code
    }

    /// Its type; of an expression that was checked and packed nobody asks for it any more.
    pub fn ty(&self) -> &Type {
        self.checked.as_deref().map_or(&Type::Settled, |checked| &checked.ty)
    }

    /// Bytes of the expression's text; none of one that was packed.
    pub fn range(&self) -> Range<usize> {
        self.checked.as_deref().map_or(0..0, |checked| checked.range.start as usize..checked.range.end as usize)
    }

    /// The figures that it stands for by itself, by record type.
    pub fn figures(&self) -> &[(RecordId, FigureId)] {
        match &self.op {
            Op::Figure { figures, .. } => figures,
            Op::FigureWith(call) => &call.figures,
            _ => &[],
        }
    }

    /// The parts directly below this one, in the order in which they are written.
    pub fn parts(&self) -> Vec<&Code> {
        parts_below!(self, iter, parts)
    }

    /// The parts directly below this one, for changing them.
    pub fn parts_mut(&mut self) -> Vec<&mut Code> {
        parts_below!(self, iter_mut, parts_mut, mut)
    }

    /// Every part, this one first, each before what is below it.
    pub fn walk<'a>(&'a self, visit: &mut dyn FnMut(&'a Code)) {
        visit(self);
        for part in self.parts() {
            part.walk(visit);
        }
    }

    /// Every part, for changing them.
    pub fn walk_mut(&mut self, visit: &mut dyn FnMut(&mut Code)) {
        visit(self);
        for part in self.parts_mut() {
            part.walk_mut(visit);
        }
    }

    /// The part with that number.
    pub fn part(&self, id: u32) -> Option<&Code> {
        if self.id == id { Some(self) } else { self.parts().into_iter().find_map(|p| p.part(id)) }
    }
}

impl Members {
    /// What a form over these members rests on, with what it asks of each.
    fn free(&self, body: Option<&Code>) -> Locals {
        let each = self.condition.as_deref().into_iter().chain(body);
        each.fold(self.list.free, |free, part| free.and(part.free.without(self.local)))
    }

    fn parts(&self) -> impl Iterator<Item = &Code> {
        std::iter::once(&*self.list).chain(self.condition.as_deref())
    }

    fn parts_mut(&mut self) -> impl Iterator<Item = &mut Code> {
        std::iter::once(&mut *self.list).chain(self.condition.as_deref_mut())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_takes_little_room() {
        assert_eq!(std::mem::size_of::<Op>(), 32);
        assert_eq!(std::mem::size_of::<Code>(), 56);
    }
}
