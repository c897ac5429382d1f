//! The type check: turns a syntax tree into [`Code`], or says at which characters it cannot be right.
//!
//! Everything that can be known without a spec is settled here: names become slots, figures, tables and functions; kinds of
//! quantities are held against each other. What is left for evaluation can fail only for want of values.

use super::code::{Builtin, Code, Key, Members, Op, Running};
use super::error::{Fault, Problem};
use super::function::{Function, ParameterType};
use super::library::{FigureId, FigureSignature};
use super::syntax::{self, Arithmetic, Comparison, Expr, Form, Gather, Neighbour, Word};
use super::table::{ColumnType, Table, TableId};
use super::types::Type;
use crate::quantity::{Dimension, Kind, Mismatch, PartType};
use crate::terms::{self, Absence, FieldType, ListId, ListMembers, RecordId, Terms};
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
    fn tables(&self) -> &[Table];
    /// All functions.
    fn functions(&self) -> &[Function];
    /// A number that no other part of the rulebook has.
    fn next_id(&mut self) -> u32;
}

/// Checks expressions which share local names.
pub struct Checker<'n> {
    names: &'n mut dyn Names,
    scope: Vec<(Arc<str>, Type, u16)>,
    locals: u16,
}

type Checked = Result<Code, Fault>;

/// A key in every record type that has it, with its type.
type FoundKeys = Result<Option<(Arc<[Key]>, Type)>, Fault>;

/// A figure of every record type that has it, with what it looks like.
type FoundFigures = Result<Option<(Arc<[(RecordId, FigureId)]>, FigureSignature)>, Fault>;

impl<'n> Checker<'n> {
    /// A checker without local names.
    pub fn new(names: &'n mut dyn Names) -> Checker<'n> {
        Checker { names, scope: Vec::new(), locals: 0 }
    }

    /// Adds a local name and gives the number under which its value is kept.
    pub fn add_local(&mut self, name: &str, ty: Type) -> u16 {
        let local = self.locals;
        self.locals += 1;
        self.scope.push((name.into(), ty, local));
        local
    }

    /// How many locals the expressions checked so far need.
    pub fn locals(&self) -> u16 {
        self.locals
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
        let checked = self.members(members)?;
        let ty = self.scope.last().map_or(Type::Text, |s| s.1.clone());
        Ok((*checked.list, ty, checked.condition.map(|c| *c)))
    }

    fn code(&mut self, op: Op, ty: Type, range: &Range<usize>) -> Code {
        Code { op, ty, range: range.start as u32..range.end as u32, id: self.names.next_id() }
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
                Ok(self.code(Op::Number { si: *si, dimension, unit: *unit }, Type::Quantity(dimension), range))
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
                match base.ty.clone() {
                    Type::List(inner) if matches!(*inner, Type::Record(_)) => {
                        Ok(self.code(Op::Item(base, word.text.as_str().into()), (*inner).clone(), range))
                    }
                    other => Err(self.wrong("a list of named items", &other, &base_range(&base))),
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
                    Gather::List => Type::List(Arc::new(body.ty.clone())),
                    Gather::Total => {
                        let d = self.dimension(&body)?;
                        Type::Quantity(d.sum(d).map_err(|m| mismatch(&m, &base_range(&body)))?)
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
                self.scope.truncate(depth);
                Ok(self.code(Op::First(members), ty, range))
            }
            Form::Users(inner) => self.users(inner, range),
            Form::Along(base, word) => self.along(base, word, range),
            Form::Throughout(span, has) => {
                let (running, has) = self.running(span, |c| c.truth(has))?;
                Ok(self.code(Op::Throughout(running.0, has), Type::Truth, range))
            }
            Form::Curve(span, body) => {
                let ((running, x), body) = self.running(span, |c| c.check(body))?;
                let y = self.dimension(&body)?;
                Ok(self.code(Op::Curve(running, body), Type::Curve(x, y), range))
            }
            Form::ExtremeOver(extreme, body, span) => {
                let ((running, _), body) = self.running(span, |c| c.check(body))?;
                let ty = Type::Quantity(self.dimension(&body)?);
                Ok(self.code(Op::ExtremeOver(*extreme, body, running), ty, range))
            }
            Form::Assume(inner) => {
                let inner = self.boxed(inner)?;
                let ty = inner.ty.clone();
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
        match code.ty {
            Type::Truth => Ok(code),
            ref other => Err(self.wrong("a condition", other, &expr.range)),
        }
    }

    fn dimension(&self, code: &Code) -> Result<Dimension, Fault> {
        match &code.ty {
            Type::Quantity(d) => Ok(*d),
            other => Err(self.wrong("a number or quantity", other, &base_range(code))),
        }
    }

    fn number(&mut self, expr: &Expr) -> Result<(Code, Dimension), Fault> {
        let code = self.check(expr)?;
        let dimension = self.dimension(&code)?;
        Ok((code, dimension))
    }

    /// Several numbers that can be compared with each other, and their type.
    fn numbers(&mut self, all: &[Expr]) -> Result<(Vec<Code>, Type), Fault> {
        let mut codes: Vec<Code> = Vec::with_capacity(all.len());
        let mut common: Option<Dimension> = None;
        for expr in all {
            let (code, dimension) = self.number(expr)?;
            common = Some(match common {
                None => dimension,
                Some(d) => d.comparable(dimension).map_err(|m| mismatch(&m, &expr.range))?,
            });
            codes.push(code);
        }
        Ok((codes, common.map_or(Type::number(), Type::Quantity)))
    }

    fn power(&self, dimension: Dimension, halves: i8, range: &Range<usize>) -> Result<Dimension, Fault> {
        let base = if halves % 2 == 0 { Some(dimension) } else { dimension.root() };
        match base {
            Some(base) => Ok(base.power(if halves % 2 == 0 { halves / 2 } else { halves })),
            None => {
                let problem = Problem::WrongType {
                    expected: "a quantity whose root is one too".into(),
                    found: dimension.in_words(),
                };
                Err(Fault::new(problem, range.clone()))
            }
        }
    }

    fn name(&mut self, name: &str, range: &Range<usize>) -> Checked {
        if let Some((text, ty, local)) = self.scope.iter().rev().find(|(n, ..)| &**n == name).cloned() {
            return Ok(self.code(Op::Local(local, text), ty, range));
        }
        if name == "inspection_day" {
            return Ok(self.code(Op::InspectionDay, Type::Date, range));
        }
        let root = self.names.terms().root();
        let base = self.code(Op::Root, Type::Record([root].into()), range);
        let word = Word { text: name.into(), range: range.clone() };
        self.field(base, &word, range).map_err(|fault| match fault.problem {
            Problem::UnknownField { name, .. } => {
                let terms = self.names.terms();
                let known = terms.record(root).fields.iter().map(|f| f.name.to_string());
                let known = known.chain(self.scope.iter().map(|s| s.0.to_string()));
                let nearest = nearest(&name, known);
                Fault::new(Problem::UnknownName { name, nearest }, range.clone())
            }
            other => Fault::new(other, fault.range),
        })
    }

    /// The type of what stands at a key.
    fn field_type(&self, ty: &FieldType) -> Type {
        match ty {
            FieldType::Quantity(kind) => Type::Quantity((*kind).into()),
            FieldType::Text => Type::Text,
            FieldType::Choice(choices) => Type::Choice(choices.clone()),
            FieldType::YesNo => Type::Truth,
            FieldType::Date => Type::Date,
            FieldType::Point => Type::Point,
            FieldType::Designation(kind) => Type::Designation(*kind),
            FieldType::Reference(list) => self.member_type(*list),
            FieldType::Record(record) => Type::Record([*record].into()),
            FieldType::List(list) => Type::List(Arc::new(self.member_type(*list))),
        }
    }

    fn member_type(&self, list: ListId) -> Type {
        match &self.names.terms().list(list).members {
            ListMembers::Records(ids) => Type::Record(ids.clone().into()),
            ListMembers::Values(ty) => self.field_type(ty),
        }
    }

    /// The key in every record type that has it, and its type.
    fn keys(&self, records: &[RecordId], name: &str, range: &Range<usize>) -> FoundKeys {
        let mut keys = Vec::new();
        let mut ty: Option<Type> = None;
        for record in records {
            let terms = self.names.terms();
            let record_type = terms.record(*record);
            let Some((slot, field)) = record_type.slot(name).and_then(|s| Some((s, record_type.field(s)?))) else {
                continue;
            };
            let here = self.field_type(&field.ty);
            match &ty {
                None => ty = Some(here),
                Some(known) if *known == here => {}
                Some(Type::Choice(known)) if matches!(here, Type::Choice(_)) => {
                    let Type::Choice(more) = here else { continue };
                    let all: Vec<Box<str>> =
                        known.iter().cloned().chain(more.iter().filter(|m| !known.contains(m)).cloned()).collect();
                    ty = Some(Type::Choice(all.into()));
                }
                Some(Type::Record(known)) if matches!(here, Type::Record(_)) => {
                    let Type::Record(more) = here else { continue };
                    let all: Vec<RecordId> =
                        known.iter().copied().chain(more.iter().filter(|m| !known.contains(m)).copied()).collect();
                    ty = Some(Type::Record(all.into()));
                }
                Some(known) => return Err(self.wrong(&known.shown(terms), &here, range)),
            }
            keys.push(Key { record: *record, slot, unwritten_is_none: field.absent == Absence::None });
        }
        Ok(ty.map(|ty| (keys.into(), ty)))
    }

    fn figures(&mut self, records: &[RecordId], name: &Word) -> FoundFigures {
        let mut figures = Vec::new();
        let mut signature: Option<FigureSignature> = None;
        for record in records {
            match self.names.figure(*record, &name.text) {
                None => {}
                Some(Err(problem)) => return Err(Fault::new(problem, name.range.clone())),
                Some(Ok(found)) => {
                    if let Some(known) = &signature
                        && known.ty != found.ty
                    {
                        let expected = known.ty.shown(self.names.terms());
                        return Err(self.wrong(&expected, &found.ty, &name.range));
                    }
                    figures.push((*record, found.id));
                    signature = Some(found);
                }
            }
        }
        Ok(signature.map(|s| (figures.into(), s)))
    }

    fn field(&mut self, base: Code, word: &Word, range: &Range<usize>) -> Checked {
        let name: Arc<str> = word.text.as_str().into();
        match base.ty.clone() {
            Type::Record(records) => {
                if let Some((keys, ty)) = self.keys(&records, &name, &word.range)? {
                    return Ok(self.code(Op::Field { base: Box::new(base), keys, name }, ty, range));
                }
                if let Some((figures, signature)) = self.figures(&records, word)? {
                    if !signature.takes.is_empty() {
                        let takes = shown_takes(&signature.takes);
                        let problem = Problem::ArgumentCount { name: name.to_string(), takes, given: 0 };
                        return Err(Fault::new(problem, word.range.clone()));
                    }
                    let op = Op::Figure { base: Box::new(base), figures, name, arguments: Vec::new() };
                    return Ok(self.code(op, signature.ty, range));
                }
                if let Some(which) = neighbour(&name) {
                    return self.neighbour(base, which, &records, word, range);
                }
                Err(self.unknown_field(&records, word))
            }
            Type::Fields(fields) => match fields.iter().position(|f| *f.0 == *name) {
                Some(at) => {
                    let ty = fields[at].1.clone();
                    Ok(self.code(Op::Part(Box::new(base), at, name), ty, range))
                }
                None => {
                    let nearest = nearest(&name, fields.iter().map(|f| f.0.to_string()));
                    let problem =
                        Problem::UnknownField { name: name.to_string(), on: "this computed record".into(), nearest };
                    Err(Fault::new(problem, word.range.clone()))
                }
            },
            Type::Point => match ["x", "y", "z"].iter().position(|c| *c == &*name) {
                Some(at) => {
                    Ok(self.code(Op::Coordinate(Box::new(base), at), Type::Quantity(Kind::Length.into()), range))
                }
                None => {
                    let problem = Problem::UnknownField { name: name.to_string(), on: "a point".into(), nearest: None };
                    Err(Fault::new(problem, word.range.clone()))
                }
            },
            Type::Designation(kind) => match kind.parts().iter().find(|p| p.0 == &*name) {
                Some((_, part)) => {
                    let ty = match part {
                        PartType::Quantity(kind) => Type::Quantity((*kind).into()),
                        PartType::Text => Type::Text,
                    };
                    Ok(self.code(Op::DesignationPart(Box::new(base), name), ty, range))
                }
                None => {
                    let nearest = nearest(&name, kind.parts().iter().map(|p| p.0.to_string()));
                    let problem =
                        Problem::UnknownField { name: name.to_string(), on: "this designation".into(), nearest };
                    Err(Fault::new(problem, word.range.clone()))
                }
            },
            other => {
                let on = other.shown(self.names.terms());
                Err(Fault::new(Problem::UnknownField { name: name.to_string(), on, nearest: None }, word.range.clone()))
            }
        }
    }

    fn unknown_field(&self, records: &[RecordId], word: &Word) -> Fault {
        let terms = self.names.terms();
        let mut known = Vec::new();
        for record in records {
            known.extend(terms.record(*record).fields.iter().map(|f| f.name.to_string()));
            known.extend(self.names.figure_names(*record));
        }
        let on = Type::Record(records.into()).shown(terms);
        let nearest = nearest(&word.text, known.into_iter());
        Fault::new(Problem::UnknownField { name: word.text.clone(), on, nearest }, word.range.clone())
    }

    fn neighbour(
        &mut self,
        base: Code,
        which: Neighbour,
        records: &[RecordId],
        word: &Word,
        range: &Range<usize>,
    ) -> Checked {
        let list = records.first().and_then(|r| self.names.terms().record(*r).in_list);
        let Some(list) = list else {
            return Err(Fault::new(Problem::NoNeighbours(word.text.clone()), word.range.clone()));
        };
        let member = self.member_type(list);
        let ty = match which {
            Neighbour::Before | Neighbour::After => member,
            Neighbour::AllBefore | Neighbour::AllAfter => Type::List(Arc::new(member)),
        };
        Ok(self.code(Op::Neighbour(Box::new(base), which), ty, range))
    }

    fn figure_call(&mut self, base: Code, name: &Word, arguments: &[Expr], range: &Range<usize>) -> Checked {
        let Type::Record(records) = base.ty.clone() else {
            return Err(self.wrong("an item or section", &base.ty, &base_range(&base)));
        };
        let Some((figures, signature)) = self.figures(&records, name)? else {
            return Err(self.unknown_field(&records, name));
        };
        if signature.takes.len() != arguments.len() {
            let takes = shown_takes(&signature.takes);
            let problem = Problem::ArgumentCount { name: name.text.clone(), takes, given: arguments.len() };
            return Err(Fault::new(problem, name.range.clone()));
        }
        let mut codes = Vec::new();
        for (argument, (_, wanted)) in arguments.iter().zip(&signature.takes) {
            let (code, dimension) = self.number(argument)?;
            wanted.comparable(dimension).map_err(|m| mismatch(&m, &argument.range))?;
            codes.push(code);
        }
        let op = Op::Figure { base: Box::new(base), figures, name: name.text.as_str().into(), arguments: codes };
        Ok(self.code(op, signature.ty, range))
    }

    fn call(&mut self, name: &Word, arguments: &[Expr], range: &Range<usize>) -> Checked {
        if let Some(builtin) = builtin(&name.text) {
            return self.builtin(builtin, name, arguments, range);
        }
        let Some(index) = self.names.functions().iter().position(|f| f.name == name.text) else {
            let known = self.names.functions().iter().map(|f| f.name.to_string());
            let nearest = nearest(&name.text, known.chain(BUILTINS.iter().map(|b| b.0.to_string())));
            return Err(Fault::new(Problem::UnknownFunction { name: name.text.clone(), nearest }, name.range.clone()));
        };
        let function = self.names.functions()[index].clone();
        if function.takes.len() != arguments.len() {
            let takes: Vec<_> = function.takes.iter().map(|p| p.name).collect();
            let takes = if takes.is_empty() { "nothing".into() } else { takes.join(", ") };
            let problem = Problem::ArgumentCount { name: name.text.clone(), takes, given: arguments.len() };
            return Err(Fault::new(problem, name.range.clone()));
        }
        let mut codes = Vec::new();
        for (argument, parameter) in arguments.iter().zip(&function.takes) {
            let code = self.check(argument)?;
            self.fits(&code, &parameter.ty, parameter.name, &argument.range)?;
            codes.push(code);
        }
        Ok(self.code(Op::Native(index as u16, codes), function.gives, range))
    }

    fn fits(&self, code: &Code, wanted: &ParameterType, name: &str, range: &Range<usize>) -> Result<(), Fault> {
        let compare = |wanted: Dimension, given: Dimension| {
            wanted.comparable(given).map(|_| ()).map_err(|m| {
                let message = format!("parameter `{name}` takes {}; {}", wanted.in_words(), m.message());
                Fault::new(Problem::Mismatch { message, help: m.help() }, range.clone())
            })
        };
        match (wanted, &code.ty) {
            (ParameterType::Number(wanted), Type::Quantity(given)) => compare(*wanted, *given),
            (ParameterType::Numbers(wanted), Type::List(inner)) => match &**inner {
                Type::Quantity(given) => compare(*wanted, *given),
                other => Err(self.wrong("a list of numbers", other, range)),
            },
            (ParameterType::Point, Type::Point) | (ParameterType::Truth, Type::Truth) => Ok(()),
            (ParameterType::Points, Type::List(inner)) if **inner == Type::Point => Ok(()),
            (ParameterType::Word(words), Type::Choice(choices)) => {
                match choices.iter().find(|c| !words.contains(&&***c)) {
                    None => Ok(()),
                    Some(odd) => Err(self.unknown_choice(odd, words.iter().map(ToString::to_string).collect(), range)),
                }
            }
            (ParameterType::Word(words), Type::Text) => match &code.op {
                Op::Text(text) if words.contains(&&**text) => Ok(()),
                Op::Text(text) => {
                    Err(self.unknown_choice(text, words.iter().map(ToString::to_string).collect(), range))
                }
                _ => Err(self.wrong("a word", &Type::Text, range)),
            },
            (wanted, found) => {
                let words = match wanted {
                    ParameterType::Number(d) => d.in_words(),
                    ParameterType::Numbers(d) => format!("a list of {}", d.in_words()),
                    ParameterType::Point => "a point".into(),
                    ParameterType::Points => "a list of points".into(),
                    ParameterType::Word(_) => "a word".into(),
                    ParameterType::Truth => "a condition".into(),
                };
                Err(self.wrong(&format!("{words} for `{name}`"), found, range))
            }
        }
    }

    fn unknown_choice(&self, word: &str, choices: Vec<String>, range: &Range<usize>) -> Fault {
        let nearest = nearest(word, choices.iter().cloned());
        Fault::new(Problem::UnknownChoice { word: word.into(), nearest, choices }, range.clone())
    }

    fn builtin(&mut self, which: Builtin, name: &Word, arguments: &[Expr], range: &Range<usize>) -> Checked {
        let count = match which {
            Builtin::Distance | Builtin::Absolute | Builtin::Gauge => 2,
            _ => 1,
        };
        if arguments.len() != count {
            let takes = if count == 1 { "one value" } else { "two values" }.into();
            let problem = Problem::ArgumentCount { name: name.text.clone(), takes, given: arguments.len() };
            return Err(Fault::new(problem, name.range.clone()));
        }
        let mut codes = Vec::new();
        for argument in arguments {
            codes.push(self.check(argument)?);
        }
        let need = |checker: &Checker, code: &Code, kind: Kind| -> Result<(), Fault> {
            let given = checker.dimension(code)?;
            Dimension::from(kind).comparable(given).map(|_| ()).map_err(|m| mismatch(&m, &base_range(code)))
        };
        let ty = match which {
            Builtin::Abs => codes[0].ty.clone(),
            Builtin::Sqrt => Type::Quantity(self.power(self.dimension(&codes[0])?, 1, range)?),
            Builtin::Sin | Builtin::Cos | Builtin::Tan => {
                need(self, &codes[0], Kind::Angle)?;
                Type::number()
            }
            Builtin::Asin | Builtin::Acos | Builtin::Atan => {
                need(self, &codes[0], Kind::Number)?;
                Type::Quantity(Kind::Angle.into())
            }
            Builtin::RoundUp | Builtin::RoundDown => {
                need(self, &codes[0], Kind::Number)?;
                Type::number()
            }
            Builtin::Distance => {
                for code in &codes {
                    if code.ty != Type::Point {
                        return Err(self.wrong("a point", &code.ty, &base_range(code)));
                    }
                }
                Type::Quantity(Kind::Length.into())
            }
            Builtin::Absolute => {
                need(self, &codes[0], Kind::GaugePressure)?;
                need(self, &codes[1], Kind::AbsolutePressure)?;
                Type::Quantity(Kind::AbsolutePressure.into())
            }
            Builtin::Gauge => {
                need(self, &codes[0], Kind::AbsolutePressure)?;
                need(self, &codes[1], Kind::AbsolutePressure)?;
                Type::Quantity(Kind::GaugePressure.into())
            }
        };
        if which == Builtin::Abs {
            self.dimension(&codes[0])?;
        }
        Ok(self.code(Op::Builtin(which, codes), ty, range))
    }

    fn arithmetic(&mut self, op: Arithmetic, a: &Expr, b: &Expr, range: &Range<usize>) -> Checked {
        let left = self.check(a)?;
        let right = self.check(b)?;
        let ty = match (&left.ty, &right.ty, op) {
            (Type::Date, Type::Date, Arithmetic::Minus) => Type::Quantity(Kind::Time.into()),
            (Type::Date, Type::Quantity(d), Arithmetic::Plus | Arithmetic::Minus) => {
                Dimension::from(Kind::Time).comparable(*d).map_err(|m| mismatch(&m, &b.range))?;
                Type::Date
            }
            _ => {
                let (l, r) = (self.dimension(&left)?, self.dimension(&right)?);
                let dimension = match op {
                    Arithmetic::Plus => l.sum(r),
                    Arithmetic::Minus => l.difference(r),
                    Arithmetic::Times => l.product(r),
                    Arithmetic::Over => l.quotient(r),
                };
                Type::Quantity(dimension.map_err(|m| mismatch(&m, range))?)
            }
        };
        Ok(self.code(Op::Arithmetic(op, Box::new(left), Box::new(right)), ty, range))
    }

    fn comparison(&mut self, op: Comparison, a: &Expr, b: &Expr, range: &Range<usize>) -> Checked {
        let (left, right) = (self.check(a)?, self.check(b)?);
        let equality = matches!(op, Comparison::Equal | Comparison::Unequal);
        match (&left.ty, &right.ty) {
            (Type::Quantity(l), Type::Quantity(r)) => {
                l.comparable(*r).map_err(|m| mismatch(&m, range))?;
            }
            (Type::Date, Type::Date) => {}
            (Type::Choice(choices), Type::Text) | (Type::Text, Type::Choice(choices)) if equality => {
                for side in [&left, &right] {
                    if let Op::Text(word) = &side.op
                        && !choices.iter().any(|c| **c == **word)
                    {
                        let choices = choices.iter().map(ToString::to_string).collect();
                        return Err(self.unknown_choice(word, choices, &base_range(side)));
                    }
                }
            }
            (Type::Text | Type::Choice(_), Type::Text | Type::Choice(_)) | (Type::Truth, Type::Truth) if equality => {}
            (Type::Record(_), Type::Record(_)) | (Type::Designation(_), Type::Designation(_)) if equality => {}
            (l, r) => {
                let expected = format!("something to compare with {}", l.shown(self.names.terms()));
                return Err(self.wrong(&expected, r, &b.range));
            }
        }
        Ok(self.code(Op::Comparison(op, Box::new(left), Box::new(right)), Type::Truth, range))
    }

    fn common(&self, a: &Code, b: &Code) -> Result<Type, Fault> {
        match (&a.ty, &b.ty) {
            (Type::Quantity(l), Type::Quantity(r)) => {
                l.comparable(*r).map(Type::Quantity).map_err(|m| mismatch(&m, &base_range(b)))
            }
            (Type::Text | Type::Choice(_), Type::Text | Type::Choice(_)) if a.ty != b.ty => Ok(Type::Text),
            (Type::Record(l), Type::Record(r)) => {
                let all: Vec<RecordId> =
                    l.iter().copied().chain(r.iter().filter(|x| !l.contains(x)).copied()).collect();
                Ok(Type::Record(all.into()))
            }
            (l, r) if l == r => Ok(l.clone()),
            (l, r) => Err(self.wrong(&l.shown(self.names.terms()), r, &base_range(b))),
        }
    }

    fn is_a(&mut self, base: &Expr, word: &Word, range: &Range<usize>) -> Checked {
        let code = self.boxed(base)?;
        let Type::Record(ids) = code.ty.clone() else {
            return Err(self.wrong("an item", &code.ty, &base.range));
        };
        let (records, kinds) = self.kinds(&ids, &word.text);
        if records.is_empty() && kinds.is_empty() {
            let terms = self.names.terms();
            let mut known = Vec::new();
            for id in ids.iter() {
                let record = terms.record(*id);
                known.extend(record.naming.and_then(|s| record.field(s)).map(|f| f.name.to_string()));
                if let Some(FieldType::Choice(choices)) =
                    record.slot("kind").and_then(|s| record.field(s)).map(|f| &f.ty)
                {
                    known.extend(choices.iter().map(ToString::to_string));
                }
            }
            return Err(self.unknown_choice(&word.text, known, &word.range));
        }
        let word: Arc<str> = word.text.as_str().into();
        Ok(self.code(Op::IsA { base: code, word, records: records.into(), kinds: kinds.into() }, Type::Truth, range))
    }

    /// The record types which a word names, and those whose `kind` may be that word.
    fn kinds(&self, ids: &[RecordId], word: &str) -> (Vec<RecordId>, Vec<Key>) {
        let terms = self.names.terms();
        let (mut records, mut kinds) = (Vec::new(), Vec::new());
        for id in ids {
            let record = terms.record(*id);
            if record.naming.and_then(|s| record.field(s)).is_some_and(|f| &*f.name == word) {
                records.push(*id);
            }
            let Some(slot) = record.slot("kind") else { continue };
            let Some(field) = record.field(slot) else { continue };
            if matches!(&field.ty, FieldType::Choice(choices) if choices.iter().any(|c| &**c == word)) {
                kinds.push(Key { record: *id, slot, unwritten_is_none: false });
            }
        }
        (records, kinds)
    }

    fn contains(&mut self, value: &Expr, list: &Expr, range: &Range<usize>) -> Checked {
        let (value_code, list_code) = (self.boxed(value)?, self.boxed(list)?);
        let Type::List(inner) = &list_code.ty else {
            return Err(self.wrong("a list", &list_code.ty, &list.range));
        };
        match (&value_code.ty, &**inner) {
            (Type::Text, Type::Choice(choices)) => {
                if let Op::Text(word) = &value_code.op
                    && !choices.iter().any(|c| **c == **word)
                {
                    let choices = choices.iter().map(ToString::to_string).collect();
                    return Err(self.unknown_choice(word, choices, &value.range));
                }
            }
            (Type::Text | Type::Choice(_), Type::Text | Type::Choice(_)) | (Type::Record(_), Type::Record(_)) => {}
            (Type::Quantity(l), Type::Quantity(r)) => {
                l.comparable(*r).map_err(|m| mismatch(&m, range))?;
            }
            (found, wanted) => {
                let wanted = wanted.shown(self.names.terms());
                return Err(self.wrong(&wanted, found, &value.range));
            }
        }
        Ok(self.code(Op::In(value_code, list_code), Type::Truth, range))
    }

    fn users(&mut self, inner: &Expr, range: &Range<usize>) -> Checked {
        let code = self.boxed(inner)?;
        let Type::Record(ids) = code.ty.clone() else {
            return Err(self.wrong("an item that can be referred to", &code.ty, &inner.range));
        };
        let terms = self.names.terms();
        let lists: Vec<ListId> = ids.iter().filter_map(|id| terms.record(*id).in_list).collect();
        let refers = |ty: &FieldType| match ty {
            FieldType::Reference(list) => lists.contains(list),
            FieldType::List(list) => {
                matches!(&terms.list(*list).members, ListMembers::Values(FieldType::Reference(l)) if lists.contains(l))
            }
            _ => false,
        };
        let users: Vec<RecordId> =
            terms.types().records().filter(|(_, r)| r.fields.iter().any(|f| refers(&f.ty))).map(|(id, _)| id).collect();
        if users.is_empty() {
            return Err(self.wrong("an item that can be referred to", &code.ty, &inner.range));
        }
        Ok(self.code(Op::Users(code), Type::records(users), range))
    }

    fn along(&mut self, base: &Expr, word: &Word, range: &Range<usize>) -> Checked {
        let code = self.boxed(base)?;
        let Type::Record(start) = code.ty.clone() else {
            return Err(self.wrong("an item", &code.ty, &base.range));
        };
        let mut ids: Vec<RecordId> = start.to_vec();
        let mut at = 0;
        // A chain may lead through several record types: gather all that it can reach.
        while at < ids.len() {
            if let Some((_, ty)) = self.keys(&ids[at..=at], &word.text, &word.range)? {
                let Type::Record(next) = ty else {
                    return Err(self.wrong("a reference", &ty, &word.range));
                };
                let new: Vec<_> = next.iter().filter(|n| !ids.contains(n)).copied().collect();
                ids.extend(new);
            }
            at += 1;
        }
        let Some((keys, _)) = self.keys(&ids, &word.text, &word.range)? else {
            return Err(self.unknown_field(&start, word));
        };
        Ok(self.code(Op::Along(code, keys, word.text.as_str().into()), Type::records(ids), range))
    }

    fn bind(&mut self, word: &Word, ty: Type) -> Result<u16, Fault> {
        if self.scope.iter().any(|s| *s.0 == *word.text)
            || self.names.terms().record(self.names.terms().root()).slot(&word.text).is_some()
        {
            return Err(Fault::new(Problem::Shadowed(word.text.clone()), word.range.clone()));
        }
        Ok(self.add_local(&word.text, ty))
    }

    fn members(&mut self, members: &syntax::Members) -> Result<Members, Fault> {
        let list = self.boxed(&members.list)?;
        let Type::List(inner) = &list.ty else {
            return Err(self.wrong("a list", &list.ty, &members.list.range));
        };
        let ty = (**inner).clone();
        let local = self.bind(&members.name, ty.clone())?;
        let condition = match &members.condition {
            None => None,
            Some(condition) => {
                let code = self.truth(condition)?;
                if let Type::Record(ids) = ty {
                    let narrowed = narrowed(&ids, &code, local);
                    if let Some(entry) = self.scope.last_mut() {
                        entry.1 = Type::Record(narrowed.into());
                    }
                }
                Some(Box::new(code))
            }
        };
        Ok(Members { local, name: members.name.text.as_str().into(), list, condition })
    }

    fn over(
        &mut self,
        members: &syntax::Members,
        body: impl FnOnce(&mut Self) -> Checked,
    ) -> Result<(Members, Box<Code>), Fault> {
        let depth = self.scope.len();
        let members = self.members(members)?;
        let body = body(self)?;
        self.scope.truncate(depth);
        Ok((members, Box::new(body)))
    }

    fn running(
        &mut self,
        span: &syntax::Span,
        body: impl FnOnce(&mut Self) -> Checked,
    ) -> Result<((Running, Dimension), Box<Code>), Fault> {
        let (from, a) = self.number(&span.from)?;
        let (to, b) = self.number(&span.to)?;
        let dimension = a.comparable(b).map_err(|m| mismatch(&m, &span.to.range))?;
        let depth = self.scope.len();
        let local = self.bind(&span.name, Type::Quantity(dimension))?;
        let body = body(self)?;
        self.scope.truncate(depth);
        let name = span.name.text.as_str().into();
        Ok(((Running { local, name, from: Box::new(from), to: Box::new(to) }, dimension), Box::new(body)))
    }

    fn table(&self, word: &Word) -> Result<(TableId, Table), Fault> {
        let tables = self.names.tables();
        match tables.iter().position(|t| *t.name == *word.text) {
            Some(at) => Ok((TableId(at as u16), tables[at].clone())),
            None => {
                let nearest = nearest(&word.text, tables.iter().map(|t| t.name.to_string()));
                Err(Fault::new(Problem::UnknownTable { name: word.text.clone(), nearest }, word.range.clone()))
            }
        }
    }

    fn unknown_column(table: &Table, word: &Word) -> Fault {
        let nearest = nearest(&word.text, table.columns.iter().map(|c| c.name.to_string()));
        let problem = Problem::UnknownColumn { table: table.name.to_string(), name: word.text.clone(), nearest };
        Fault::new(problem, word.range.clone())
    }

    fn table_keys(&mut self, table: &Table, keys: &[(Word, Expr)]) -> Result<Vec<(usize, Code)>, Fault> {
        let mut out = Vec::new();
        for (word, expr) in keys {
            let at = table.column(&word.text).ok_or_else(|| Self::unknown_column(table, word))?;
            let code = self.check(expr)?;
            match (&table.columns[at].ty, &code.ty) {
                (ColumnType::Number(wanted), Type::Quantity(given)) => {
                    wanted.comparable(*given).map_err(|m| mismatch(&m, &expr.range))?;
                }
                (ColumnType::Words(_), Type::Text | Type::Choice(_)) | (ColumnType::Truth, Type::Truth) => {}
                (wanted, found) => {
                    let words = match wanted {
                        ColumnType::Number(d) => d.in_words(),
                        ColumnType::Words(_) => "a word".into(),
                        ColumnType::Truth => "a condition".into(),
                    };
                    return Err(self.wrong(&words, found, &expr.range));
                }
            }
            out.push((at, code));
        }
        Ok(out)
    }

    fn column_type(column: &ColumnType) -> Type {
        match column {
            ColumnType::Number(d) => Type::Quantity(*d),
            ColumnType::Words(Some(choices)) => Type::Choice(choices.clone()),
            ColumnType::Words(None) => Type::Text,
            ColumnType::Truth => Type::Truth,
        }
    }

    fn look_up(&mut self, table: &Word, column: &Word, keys: &[(Word, Expr)], range: &Range<usize>) -> Checked {
        let (id, found) = self.table(table)?;
        let at = found.column(&column.text).ok_or_else(|| Self::unknown_column(&found, column))?;
        let codes = self.table_keys(&found, keys)?;
        let wanted: Vec<_> = found.keys().map(|(_, c)| c.name.to_string()).collect();
        let fault = |what: String| {
            let problem = Problem::TableKeys { table: found.name.to_string(), keys: wanted.join(", "), what };
            Fault::new(problem, range.clone())
        };
        for (index, key) in found.keys() {
            if !codes.iter().any(|(c, _)| *c == index) {
                return Err(fault(format!("`{}` is missing", key.name)));
            }
        }
        for (index, _) in &codes {
            if found.columns[*index].matched.is_none() {
                return Err(fault(format!("`{}` is no key", found.columns[*index].name)));
            }
        }
        let ty = Self::column_type(&found.columns[at].ty);
        Ok(self.code(Op::LookUp { table: id, column: at, keys: codes }, ty, range))
    }

    fn rows(&mut self, table: &Word, keys: &[(Word, Expr)], range: &Range<usize>) -> Checked {
        let (id, found) = self.table(table)?;
        let codes = self.table_keys(&found, keys)?;
        let fields: Vec<(Box<str>, Type)> =
            found.columns.iter().map(|c| (c.name.clone(), Self::column_type(&c.ty))).collect();
        let ty = Type::List(Arc::new(Type::Fields(fields.into())));
        Ok(self.code(Op::Rows { table: id, keys: codes }, ty, range))
    }
}

fn base_range(code: &Code) -> Range<usize> {
    code.range.start as usize..code.range.end as usize
}

fn mismatch(m: &Mismatch, range: &Range<usize>) -> Fault {
    Fault::new(Problem::Mismatch { message: m.message(), help: m.help() }, range.clone())
}

fn shown_takes(takes: &[(Box<str>, Dimension)]) -> String {
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
pub const BUILTINS: [(&str, Builtin); 13] = [
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
    ("absolute", Builtin::Absolute),
    ("gauge", Builtin::Gauge),
];

fn builtin(name: &str) -> Option<Builtin> {
    BUILTINS.iter().find(|b| b.0 == name).map(|b| b.1)
}

/// The record types that are left where a condition on a local `is` asked for.
fn narrowed(ids: &[RecordId], condition: &Code, local: u16) -> Vec<RecordId> {
    match &condition.op {
        Op::And(a, b) => narrowed(&narrowed(ids, a, local), b, local),
        Op::IsA { base, records, kinds, .. } if matches!(base.op, Op::Local(l, _) if l == local) => {
            ids.iter().filter(|id| records.contains(id) || kinds.iter().any(|k| k.record == **id)).copied().collect()
        }
        _ => ids.to_vec(),
    }
}
