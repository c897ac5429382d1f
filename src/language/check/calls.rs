//! Calls: physics functions, built-in ones, figures with parameters, and look-ups in tables.

use super::super::code::{Builtin, Code, FigureCall, Op};
use super::super::error::{Fault, Problem};
use super::super::function::ParameterType;
use super::super::syntax::{Expr, Word};
use super::super::table::{ColumnType, Table, TableId};
use super::super::types::Type;
use super::{BUILTINS, Checked, Checker, builtin, mismatch, nearest, shown_takes};
use crate::quantity::{Dimension, Kind};
use std::ops::Range;
use std::sync::Arc;

impl Checker<'_> {
    pub(super) fn figure_call(&mut self, base: Code, name: &Word, arguments: &[Expr], range: &Range<usize>) -> Checked {
        let Type::Record(records) = base.ty().clone() else {
            return Err(self.wrong("an item or section", base.ty(), &base.range()));
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
        let op = match codes.is_empty() {
            true => Op::Figure { base: Box::new(base), figures },
            false => Op::FigureWith(Box::new(FigureCall { base, figures, arguments: codes })),
        };
        Ok(self.code(op, signature.ty, range))
    }

    pub(super) fn call(&mut self, name: &Word, arguments: &[Expr], range: &Range<usize>) -> Checked {
        if let Some(builtin) = builtin(&name.text) {
            return self.builtin(builtin, name, arguments, range);
        }
        let functions = self.names.functions();
        let Some(index) = functions.iter().position(|f| f.name == name.text) else {
            let known = functions.iter().map(|f| f.name.to_string());
            let nearest = nearest(&name.text, known.chain(BUILTINS.iter().map(|b| b.0.to_string())));
            return Err(Fault::new(Problem::UnknownFunction { name: name.text.clone(), nearest }, name.range.clone()));
        };
        let function = &functions[index];
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
        Ok(self.code(Op::Native(index as u16, codes), function.gives.clone(), range))
    }

    pub(super) fn fits(
        &self,
        code: &Code,
        wanted: &ParameterType,
        name: &str,
        range: &Range<usize>,
    ) -> Result<(), Fault> {
        let compare = |wanted: Dimension, given: Dimension| {
            wanted.comparable(given).map(|_| ()).map_err(|m| {
                let message = format!("parameter `{name}` takes {}; {}", wanted.in_words(), m.message());
                Fault::new(Problem::Mismatch { message, help: m.help() }, range.clone())
            })
        };
        match (wanted, code.ty()) {
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

    pub(super) fn unknown_choice(&self, word: &str, choices: Vec<String>, range: &Range<usize>) -> Fault {
        let nearest = nearest(word, choices.iter().cloned());
        Fault::new(Problem::UnknownChoice { word: word.into(), nearest, choices }, range.clone())
    }

    pub(super) fn builtin(&mut self, which: Builtin, name: &Word, arguments: &[Expr], range: &Range<usize>) -> Checked {
        let count = match which {
            Builtin::Point => 3,
            Builtin::Distance | Builtin::Absolute | Builtin::Gauge => 2,
            _ => 1,
        };
        if arguments.len() != count {
            let takes = ["one value", "two values", "three coordinates"][count - 1].into();
            let problem = Problem::ArgumentCount { name: name.text.clone(), takes, given: arguments.len() };
            return Err(Fault::new(problem, name.range.clone()));
        }
        let mut codes = Vec::new();
        for argument in arguments {
            codes.push(self.check(argument)?);
        }
        let need = |checker: &Checker, code: &Code, kind: Kind| -> Result<(), Fault> {
            let given = checker.dimension(code)?;
            Dimension::from(kind).comparable(given).map(|_| ()).map_err(|m| mismatch(&m, &code.range()))
        };
        let ty = match which {
            Builtin::Abs | Builtin::Nominal => codes[0].ty().clone(),
            Builtin::GiveOrTake => {
                let given = self.dimension(&codes[0])?;
                Type::Quantity(given.kind.and_then(Kind::difference).map_or(given, Dimension::from))
            }
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
            Builtin::Point => {
                for code in &codes {
                    need(self, code, Kind::Length)?;
                }
                Type::Point
            }
            Builtin::Distance => {
                for code in &codes {
                    if *code.ty() != Type::Point {
                        return Err(self.wrong("a point", code.ty(), &code.range()));
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
        if matches!(which, Builtin::Abs | Builtin::Nominal) {
            self.dimension(&codes[0])?;
        }
        Ok(self.code(Op::Builtin(which, codes), ty, range))
    }

    pub(super) fn table(&self, word: &Word) -> Result<(TableId, Arc<Table>), Fault> {
        let tables = self.names.tables();
        match tables.iter().position(|t| *t.name == *word.text) {
            Some(at) => Ok((TableId(at as u16), tables[at].clone())),
            None => {
                let nearest = nearest(&word.text, tables.iter().map(|t| t.name.to_string()));
                Err(Fault::new(Problem::UnknownTable { name: word.text.clone(), nearest }, word.range.clone()))
            }
        }
    }

    pub(super) fn unknown_column(table: &Table, word: &Word) -> Fault {
        let nearest = nearest(&word.text, table.columns.iter().map(|c| c.name.to_string()));
        let problem = Problem::UnknownColumn { table: table.name.to_string(), name: word.text.clone(), nearest };
        Fault::new(problem, word.range.clone())
    }

    pub(super) fn table_keys(&mut self, table: &Table, keys: &[(Word, Expr)]) -> Result<Vec<(usize, Code)>, Fault> {
        let mut out = Vec::new();
        for (word, expr) in keys {
            let at = table.column(&word.text).ok_or_else(|| Self::unknown_column(table, word))?;
            let code = self.check(expr)?;
            match (&table.columns[at].ty, code.ty()) {
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

    pub(super) fn look_up(
        &mut self,
        table: &Word,
        column: &Word,
        keys: &[(Word, Expr)],
        range: &Range<usize>,
    ) -> Checked {
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
        let ty = found.columns[at].ty.of_cells();
        Ok(self.code(Op::LookUp { table: id, column: at as u16, keys: codes }, ty, range))
    }

    pub(super) fn rows(&mut self, table: &Word, keys: &[(Word, Expr)], range: &Range<usize>) -> Checked {
        let (id, found) = self.table(table)?;
        let codes = self.table_keys(&found, keys)?;
        let ty = Type::List(Arc::new(Type::Fields(found.fields())));
        Ok(self.code(Op::Rows { table: id, keys: codes }, ty, range))
    }
}
