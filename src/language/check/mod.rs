//! The type check: turns a syntax tree into [`Code`], or says at which characters it cannot be right.
//!
//! Everything that can be known without a spec is settled here: names become slots, figures, tables and functions; kinds of
//! quantities are held against each other. What is left for evaluation can fail only for want of values.

mod calls;
mod lists;
mod operators;
mod paths;

use super::code::{Builtin, Code, IsA, Key, Members, OneOrMore, Op};
use super::error::{Fault, Problem};
use super::function::Function;
use super::library::{FigureId, FigureSignature};
use super::syntax::{self, Expr, Form, Gather, Neighbour};
use super::table::Table;
use super::types::Type;
use crate::quantity::{Dimension, Mismatch};
use crate::source::SharedText;
use crate::terms::{self, RecordId, Terms};
use std::ops::Range;
use std::sync::Arc;

/// What a checker asks of the rulebook that is being loaded.
pub trait Names {
    /// The terms of the specs.
    fn terms(&self) -> &Terms;
    /// The figure of that name on a record type, checked on demand.
    fn figure(&mut self, record: RecordId, name: &str) -> Option<Result<FigureSignature, Problem>>;
    /// Names of all figures on a record type.
    fn figure_names(&self, record: RecordId) -> Vec<String>;
    /// All tables.
    fn tables(&self) -> Arc<[Arc<Table>]>;
    /// All functions.
    fn functions(&self) -> Arc<[Function]>;
    /// A number that no other part of the rulebook has.
    fn next_id(&mut self) -> u32;
}

/// Checks expressions which share local names.
pub struct Checker<'n> {
    names: &'n mut dyn Names,
    scope: Vec<(SharedText, Type, u16)>,
    /// The number of the next local: those of a form that has ended are used again, so that the names of a rule are numbered
    /// without gaps, however many quantifiers stand between them.
    free: u16,
    /// How many locals there were at most.
    most: u16,
}

type Checked = Result<Code, Fault>;

/// A key in every record type that has it, with its type.
type FoundKeys = Result<Option<(OneOrMore<Key>, Type)>, Fault>;

/// A figure of every record type that has it, with what it looks like.
type FoundFigures = Result<Option<(OneOrMore<(RecordId, FigureId)>, FigureSignature)>, Fault>;

impl<'n> Checker<'n> {
    /// A checker without local names.
    pub fn new(names: &'n mut dyn Names) -> Checker<'n> {
        Checker { names, scope: Vec::new(), free: 0, most: 0 }
    }

    /// Adds a local name and gives the number under which its value is kept.
    pub fn add_local(&mut self, name: &str, ty: Type) -> u16 {
        let local = self.free;
        self.free += 1;
        self.most = self.most.max(self.free);
        self.scope.push((name.into(), ty, local));
        local
    }

    /// How many locals the expressions checked so far need.
    pub fn locals(&self) -> u16 {
        self.most
    }

    /// Forgets the names above a depth of the scope.
    fn leave(&mut self, depth: usize) {
        self.scope.truncate(depth);
        self.free = self.scope.last().map_or(0, |s| s.2 + 1);
    }

    /// The terms.
    pub fn terms(&self) -> &Terms {
        self.names.terms()
    }

    /// Parses and checks a text.
    ///
    /// # Errors
    /// The first fault.
    pub fn text(&mut self, text: &str) -> Checked {
        let expr = super::parser::parse(text)?;
        self.check(&expr)
    }

    /// Parses and checks a text that must be a condition.
    ///
    /// # Errors
    /// The first fault.
    pub fn condition(&mut self, text: &str) -> Checked {
        let expr = super::parser::parse(text)?;
        self.truth(&expr)
    }

    /// Checks a subject `NAME in LIST where CONDITION`: the list, the member's type as narrowed, and the condition. The member
    /// becomes a local.
    ///
    /// # Errors
    /// The first fault.
    pub fn subject(&mut self, members: &syntax::Members) -> Result<(Code, Type, Option<Code>), Fault> {
        let Members { list, condition, .. } = *self.members(members)?;
        let ty = self.scope.last().map_or(Type::Text, |s| s.1.clone());
        Ok((*list, ty, condition.map(|c| *c)))
    }

    fn code(&mut self, op: Op, ty: Type, range: &Range<usize>) -> Code {
        Code::new(op, ty, range.start as u32..range.end as u32, self.names.next_id())
    }

    fn boxed(&mut self, expr: &Expr) -> Result<Box<Code>, Fault> {
        self.check(expr).map(Box::new)
    }

    /// Checks an expression.
    ///
    /// # Errors
    /// The first fault.
    pub fn check(&mut self, expr: &Expr) -> Checked {
        let range = &expr.range;
        match &expr.form {
            Form::Number { si, exponents, kind, unit } => {
                let dimension = match kind {
                    Some(kind) => (*kind).into(),
                    None => Dimension { exponents: *exponents, kind: None },
                };
                Ok(self.code(Op::Number { si: *si, unit: *unit }, Type::Quantity(dimension), range))
            }
            Form::Text(text) => Ok(self.code(Op::Text(text.as_str().into()), Type::Text, range)),
            Form::Date(date) => Ok(self.code(Op::Date(*date), Type::Date, range)),
            Form::YesNo(value) => Ok(self.code(Op::YesNo(*value), Type::Truth, range)),
            Form::Name(name) => self.name(name, range),
            Form::Field(base, word) => {
                let base = self.check(base)?;
                self.field(base, word, range)
            }
            Form::Item(base, word) => {
                let base = self.boxed(base)?;
                match base.ty().clone() {
                    Type::List(inner) if matches!(*inner, Type::Record(_)) => {
                        Ok(self.code(Op::Item(base, word.text.as_str().into()), (*inner).clone(), range))
                    }
                    other => Err(self.wrong("a list of named items", &other, &base.range())),
                }
            }
            Form::Call { of: Some(of), name, arguments } => {
                let base = self.check(of)?;
                self.figure_call(base, name, arguments, range)
            }
            Form::Call { of: None, name, arguments } => self.call(name, arguments, range),
            Form::LookUp { table, column, keys } => self.look_up(table, column, keys, range),
            Form::Rows { table, keys } => self.rows(table, keys, range),
            Form::Negative(inner) => {
                let (inner, dimension) = self.number(inner)?;
                Ok(self.code(Op::Negative(Box::new(inner)), Type::Quantity(dimension), range))
            }
            Form::Not(inner) => {
                let inner = Box::new(self.truth(inner)?);
                Ok(self.code(Op::Not(inner), Type::Truth, range))
            }
            Form::Arithmetic(op, a, b) => self.arithmetic(*op, a, b, range),
            Form::Power(base, halves) => {
                let (base, dimension) = self.number(base)?;
                let ty = Type::Quantity(self.power(dimension, *halves, range)?);
                Ok(self.code(Op::Power(Box::new(base), *halves), ty, range))
            }
            Form::Comparison(op, a, b) => self.comparison(*op, a, b, range),
            Form::And(a, b) => {
                let (a, b) = (Box::new(self.truth(a)?), Box::new(self.truth(b)?));
                Ok(self.code(Op::And(a, b), Type::Truth, range))
            }
            Form::Or(a, b) => {
                let (a, b) = (Box::new(self.truth(a)?), Box::new(self.truth(b)?));
                Ok(self.code(Op::Or(a, b), Type::Truth, range))
            }
            Form::IsGiven(inner) => {
                let inner = self.boxed(inner)?;
                Ok(self.code(Op::IsGiven(inner), Type::Truth, range))
            }
            Form::IsNone(inner) => {
                let inner = self.boxed(inner)?;
                Ok(self.code(Op::IsNone(inner), Type::Truth, range))
            }
            Form::IsA(base, word) => self.is_a(base, word, range),
            Form::In(value, list) => self.contains(value, list, range),
            Form::If(condition, a, b) => {
                let condition = Box::new(self.truth(condition)?);
                let (a, b) = (self.boxed(a)?, self.boxed(b)?);
                let ty = self.common(&a, &b)?;
                Ok(self.code(Op::If(condition, a, b), ty, range))
            }
            Form::Otherwise(a, b) => {
                let (a, b) = (self.boxed(a)?, self.boxed(b)?);
                let ty = self.common(&a, &b)?;
                Ok(self.code(Op::Otherwise(a, b), ty, range))
            }
            Form::Best(all) => {
                let (all, ty) = self.numbers(all)?;
                Ok(self.code(Op::Best(all), ty, range))
            }
            Form::ExtremeOf(extreme, all) => {
                let (all, ty) = self.numbers(all)?;
                Ok(self.code(Op::ExtremeOf(*extreme, all), ty, range))
            }
            Form::Any(members, has) => {
                let (members, has) = self.over(members, |c| c.truth(has))?;
                Ok(self.code(Op::Any(members, has), Type::Truth, range))
            }
            Form::Each(members, has) => {
                let (members, has) = self.over(members, |c| c.truth(has))?;
                Ok(self.code(Op::Each(members, has), Type::Truth, range))
            }
            Form::Gather(gather, body, members) => {
                let (members, body) = self.over(members, |c| c.check(body))?;
                let ty = match gather {
                    Gather::List => Type::List(Arc::new(body.ty().clone())),
                    Gather::Total => {
                        let d = self.dimension(&body)?;
                        Type::Quantity(d.sum(d).map_err(|m| mismatch(&m, &body.range()))?)
                    }
                    Gather::Extreme(_) => Type::Quantity(self.dimension(&body)?),
                };
                Ok(self.code(Op::Gather(*gather, body, members), ty, range))
            }
            Form::Count(members) => {
                let (members, _) = self.over(members, |c| Ok(c.code(Op::YesNo(true), Type::Truth, range)))?;
                Ok(self.code(Op::Count(members), Type::number(), range))
            }
            Form::First(members) => {
                let depth = self.scope.len();
                let members = self.members(members)?;
                let ty = self.scope.last().map_or(Type::Text, |s| s.1.clone());
                self.leave(depth);
                Ok(self.code(Op::First(members), ty, range))
            }
            Form::Users(inner) => self.users(inner, range),
            Form::Along(base, word) => self.along(base, word, range),
            Form::Throughout(span, has) => {
                let (running, _, has) = self.running(span, |c| c.truth(has))?;
                Ok(self.code(Op::Throughout(running, has), Type::Truth, range))
            }
            Form::Curve(span, body) => {
                let (running, x, body) = self.running(span, |c| c.check(body))?;
                let y = self.dimension(&body)?;
                Ok(self.code(Op::Curve(running, body), Type::Curve(x, y), range))
            }
            Form::ExtremeOver(extreme, body, span) => {
                let (running, _, body) = self.running(span, |c| c.check(body))?;
                let ty = Type::Quantity(self.dimension(&body)?);
                Ok(self.code(Op::ExtremeOver(*extreme, body, running), ty, range))
            }
            Form::List(members) => self.list(members, range),
            Form::Assume(inner) => {
                let inner = self.boxed(inner)?;
                let ty = inner.ty().clone();
                Ok(self.code(Op::Assume(inner), ty, range))
            }
        }
    }

    fn wrong(&self, expected: &str, found: &Type, range: &Range<usize>) -> Fault {
        let found = found.shown(self.names.terms());
        Fault::new(Problem::WrongType { expected: expected.into(), found }, range.clone())
    }

    fn truth(&mut self, expr: &Expr) -> Checked {
        let code = self.check(expr)?;
        match code.ty() {
            Type::Truth => Ok(code),
            other => Err(self.wrong("a condition", other, &expr.range)),
        }
    }

    fn dimension(&self, code: &Code) -> Result<Dimension, Fault> {
        match code.ty() {
            Type::Quantity(d) => Ok(*d),
            other => Err(self.wrong("a number or quantity", other, &code.range())),
        }
    }

    fn number(&mut self, expr: &Expr) -> Result<(Code, Dimension), Fault> {
        let code = self.check(expr)?;
        let dimension = self.dimension(&code)?;
        Ok((code, dimension))
    }
}

fn mismatch(m: &Mismatch, range: &Range<usize>) -> Fault {
    Fault::new(Problem::Mismatch { message: m.message(), help: m.help() }, range.clone())
}

fn shown_takes(takes: &[(SharedText, Dimension)]) -> String {
    if takes.is_empty() {
        return "nothing".into();
    }
    takes.iter().map(|(n, d)| format!("{n} ({})", d.in_words())).collect::<Vec<_>>().join(", ")
}

/// The nearest of the known names, where one is near enough to be meant.
fn nearest(name: &str, known: impl Iterator<Item = String>) -> Option<String> {
    let known: Vec<String> = known.collect();
    terms::nearest(name, known.iter().map(String::as_str)).map(str::to_string)
}

fn neighbour(name: &str) -> Option<Neighbour> {
    Some(match name {
        "before" => Neighbour::Before,
        "after" => Neighbour::After,
        "all_before" => Neighbour::AllBefore,
        "all_after" => Neighbour::AllAfter,
        _ => return None,
    })
}

/// Built-in functions by name.
pub const BUILTINS: [(&str, Builtin); 16] = [
    ("abs", Builtin::Abs),
    ("sqrt", Builtin::Sqrt),
    ("sin", Builtin::Sin),
    ("cos", Builtin::Cos),
    ("tan", Builtin::Tan),
    ("asin", Builtin::Asin),
    ("acos", Builtin::Acos),
    ("atan", Builtin::Atan),
    ("round_up", Builtin::RoundUp),
    ("round_down", Builtin::RoundDown),
    ("distance", Builtin::Distance),
    ("point", Builtin::Point),
    ("absolute", Builtin::Absolute),
    ("gauge", Builtin::Gauge),
    ("nominal", Builtin::Nominal),
    ("give_or_take", Builtin::GiveOrTake),
];

fn builtin(name: &str) -> Option<Builtin> {
    BUILTINS.iter().find(|b| b.0 == name).map(|b| b.1)
}

/// The record types that are left where a condition on a local `is` asked for.
fn narrowed(ids: &[RecordId], condition: &Code, local: u16) -> Vec<RecordId> {
    match &condition.op {
        Op::And(a, b) => narrowed(&narrowed(ids, a, local), b, local),
        Op::IsA(asked) if matches!(asked.base.op, Op::Local(l, _) if l == local) => {
            let IsA { records, kinds, .. } = &**asked;
            ids.iter().filter(|id| records.contains(id) || kinds.iter().any(|k| k.record == **id)).copied().collect()
        }
        _ => ids.to_vec(),
    }
}
