//! Signs between values: arithmetic, comparison, membership, and what two alternatives have in common.

use super::super::code::{Code, Op};
use super::super::error::{Fault, Problem};
use super::super::syntax::{Arithmetic, Comparison, Expr};
use super::super::types::Type;
use super::{Checked, Checker, mismatch};
use crate::quantity::{Dimension, Kind};
use crate::terms::RecordId;
use std::ops::Range;

impl Checker<'_> {
    /// Several numbers that can be compared with each other, and their type.
    pub(super) fn numbers(&mut self, all: &[Expr]) -> Result<(Vec<Code>, Type), Fault> {
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

    pub(super) fn power(&self, dimension: Dimension, halves: i8, range: &Range<usize>) -> Result<Dimension, Fault> {
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

    pub(super) fn arithmetic(&mut self, op: Arithmetic, a: &Expr, b: &Expr, range: &Range<usize>) -> Checked {
        let left = self.check(a)?;
        let right = self.check(b)?;
        let ty = match (left.ty(), right.ty(), op) {
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

    pub(super) fn comparison(&mut self, op: Comparison, a: &Expr, b: &Expr, range: &Range<usize>) -> Checked {
        let (left, right) = (self.check(a)?, self.check(b)?);
        let equality = matches!(op, Comparison::Equal | Comparison::Unequal);
        match (left.ty(), right.ty()) {
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
                        return Err(self.unknown_choice(word, choices, &side.range()));
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

    pub(super) fn common(&self, a: &Code, b: &Code) -> Result<Type, Fault> {
        match (a.ty(), b.ty()) {
            (Type::Quantity(l), Type::Quantity(r)) => {
                l.comparable(*r).map(Type::Quantity).map_err(|m| mismatch(&m, &b.range()))
            }
            (Type::Text | Type::Choice(_), Type::Text | Type::Choice(_)) if a.ty() != b.ty() => Ok(Type::Text),
            (Type::Record(l), Type::Record(r)) => {
                let all: Vec<RecordId> =
                    l.iter().copied().chain(r.iter().filter(|x| !l.contains(x)).copied()).collect();
                Ok(Type::Record(all.into()))
            }
            (l, r) if l == r => Ok(l.clone()),
            (l, r) => Err(self.wrong(&l.shown(self.names.terms()), r, &b.range())),
        }
    }

    pub(super) fn contains(&mut self, value: &Expr, list: &Expr, range: &Range<usize>) -> Checked {
        let (value_code, list_code) = (self.boxed(value)?, self.boxed(list)?);
        let Type::List(inner) = list_code.ty() else {
            return Err(self.wrong("a list", list_code.ty(), &list.range));
        };
        match (value_code.ty(), &**inner) {
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

    /// A list as written: its members are of one type.
    pub(super) fn list(&mut self, members: &[Expr], range: &Range<usize>) -> Checked {
        let mut codes: Vec<Code> = Vec::with_capacity(members.len());
        let mut ty = Type::number();
        for (at, member) in members.iter().enumerate() {
            let code = self.check(member)?;
            ty = match codes.last() {
                _ if at == 0 => code.ty().clone(),
                Some(last) => self.common(last, &code)?,
                None => ty,
            };
            codes.push(code);
        }
        Ok(self.code(Op::List(codes), Type::List(std::sync::Arc::new(ty)), range))
    }
}
