//! Members of lists and running ranges, which bring names of their own.

use super::super::code::{Code, Members, Running};
use super::super::error::{Fault, Problem};
use super::super::syntax::{self, Word};
use super::super::types::Type;
use super::{Checked, Checker, mismatch, narrowed};
use crate::quantity::Dimension;

impl Checker<'_> {
    pub(super) fn bind(&mut self, word: &Word, ty: Type) -> Result<u16, Fault> {
        if self.scope.iter().any(|s| *s.0 == *word.text)
            || self.names.terms().record(self.names.terms().root()).slot(&word.text).is_some()
        {
            return Err(Fault::new(Problem::Shadowed(word.text.clone()), word.range.clone()));
        }
        Ok(self.add_local(&word.text, ty))
    }

    pub(super) fn members(&mut self, members: &syntax::Members) -> Result<Box<Members>, Fault> {
        let list = self.boxed(&members.list)?;
        let Type::List(inner) = list.ty() else {
            return Err(self.wrong("a list", list.ty(), &members.list.range));
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
        Ok(Box::new(Members { local, name: members.name.text.as_str().into(), list, condition }))
    }

    pub(super) fn over(
        &mut self,
        members: &syntax::Members,
        body: impl FnOnce(&mut Self) -> Checked,
    ) -> Result<(Box<Members>, Box<Code>), Fault> {
        let depth = self.scope.len();
        let members = self.members(members)?;
        let body = body(self)?;
        self.leave(depth);
        Ok((members, Box::new(body)))
    }

    pub(super) fn running(
        &mut self,
        span: &syntax::Span,
        body: impl FnOnce(&mut Self) -> Checked,
    ) -> Result<(Box<Running>, Dimension, Box<Code>), Fault> {
        let (from, a) = self.number(&span.from)?;
        let (to, b) = self.number(&span.to)?;
        let dimension = a.comparable(b).map_err(|m| mismatch(&m, &span.to.range))?;
        let depth = self.scope.len();
        let local = self.bind(&span.name, Type::Quantity(dimension))?;
        let body = body(self)?;
        self.leave(depth);
        let name = span.name.text.as_str().into();
        let running = Running { local, name, from: Box::new(from), to: Box::new(to) };
        Ok((Box::new(running), dimension, Box::new(body)))
    }
}
