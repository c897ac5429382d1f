//! Checks single expressions against a loaded rulebook, for the bench calculator and for tries.

use super::Rulebook;
use crate::language::check::{Checker, Names};
use crate::language::library::FigureSignature;
use crate::language::{Code, Fault, FigureId, Function, Problem, Table, Type};
use crate::terms::{RecordId, Terms};
use std::sync::Arc;

/// Numbers of parts of expressions from outside the rule files begin here, out of the way of the rulebook's own.
const FIRST_ID: u32 = 1 << 30;

/// A checked expression from outside the rule files.
#[derive(Debug, Clone)]
pub struct Expression {
    /// The expression.
    pub code: Code,
    /// How many locals it needs.
    pub locals: u16,
}

impl Rulebook {
    /// Checks an expression in which everything of the rulebook can be used.
    ///
    /// # Errors
    /// The first fault, with its range in the text.
    pub fn expression(&self, text: &str) -> Result<Expression, Fault> {
        let mut names = Loaded { rulebook: self, next: FIRST_ID };
        let mut checker = Checker::new(&mut names);
        // Local 0 is the subject everywhere; here there is none.
        checker.add_local("", Type::Truth);
        let code = checker.text(text)?;
        Ok(Expression { code, locals: checker.locals() })
    }
}

struct Loaded<'a> {
    rulebook: &'a Rulebook,
    next: u32,
}

impl Names for Loaded<'_> {
    fn terms(&self) -> &Terms {
        &self.rulebook.library.terms
    }

    fn figure(&mut self, record: RecordId, name: &str) -> Option<Result<FigureSignature, Problem>> {
        let figures = &self.rulebook.library.figures;
        let at = figures.iter().position(|f| *f.name == *name && f.records.contains(&record))?;
        let figure = &figures[at];
        Some(Ok(FigureSignature {
            id: FigureId(at as u16),
            takes: figure.takes.clone(),
            ty: figure.ty.value().clone(),
        }))
    }

    fn figure_names(&self, record: RecordId) -> Vec<String> {
        let with = self.rulebook.library.figures.iter().filter(|f| f.records.contains(&record));
        with.map(|f| f.name.to_string()).collect()
    }

    fn tables(&self) -> Arc<[Arc<Table>]> {
        self.rulebook.library.tables.iter().cloned().map(Arc::new).collect()
    }

    fn functions(&self) -> Arc<[Function]> {
        self.rulebook.library.functions.clone()
    }

    fn next_id(&mut self) -> u32 {
        self.next += 1;
        self.next
    }
}
