//! Forms that begin with one of the language's words: conditions, quantifiers, gatherings, sweeps, look-ups.

use super::super::error::{Fault, Problem};
use super::super::lexer::Token;
use super::super::syntax::{Expr, Extreme, Form, Gather, Members, Span, Word};
use super::{Parsed, Parser};

impl Parser<'_> {
    pub(super) fn word(&mut self, start: usize, word: &str) -> Parsed {
        let form = match word {
            "yes" | "no" => {
                self.step();
                Form::YesNo(word == "yes")
            }
            "if" => {
                self.step();
                let condition = self.boxed()?;
                self.need_word("then")?;
                let then = self.boxed()?;
                self.need_word("else")?;
                Form::If(condition, then, self.boxed()?)
            }
            "assume" => {
                self.step();
                Form::Assume(Box::new(self.unary()?))
            }
            "any" | "each" => {
                self.step();
                let members = self.members()?;
                self.need_word("has")?;
                let has = self.boxed()?;
                if word == "any" { Form::Any(members, has) } else { Form::Each(members, has) }
            }
            "throughout" => {
                self.step();
                let span = self.span()?;
                self.need_word("has")?;
                Form::Throughout(span, self.boxed()?)
            }
            "curve" if self.tokens.get(self.at + 2).is_some_and(|t| t.0 == Token::Word("from")) => {
                self.step();
                let span = self.span()?;
                self.need_word("of")?;
                Form::Curve(span, self.boxed()?)
            }
            "best" if self.next_is_word("of") => {
                self.step();
                self.step();
                Form::Best(self.alternatives()?)
            }
            "least" | "greatest" => {
                self.step();
                self.need_word("of")?;
                let extreme = if word == "least" { Extreme::Least } else { Extreme::Greatest };
                self.gathered(Gather::Extreme(extreme))?
            }
            "total" | "list" if self.next_is_word("of") => {
                self.step();
                self.step();
                self.gathered(if word == "total" { Gather::Total } else { Gather::List })?
            }
            "count" if self.next_is_word("of") => {
                self.step();
                self.step();
                Form::Count(self.members()?)
            }
            "first" if self.tokens.get(self.at + 2).is_some_and(|t| t.0 == Token::Word("in")) => {
                self.step();
                Form::First(self.members()?)
            }
            "users" if self.next_is_word("of") => {
                self.step();
                self.step();
                Form::Users(Box::new(self.postfix()?))
            }
            "along" if matches!(self.tokens.get(self.at + 1), Some((Token::Word(_), _))) => {
                self.step();
                let path = self.postfix()?;
                match path.form {
                    Form::Field(base, word) => Form::Along(base, word),
                    _ => {
                        let expected = "a path that ends in a reference, such as `load.feed`,";
                        return Err(Fault::new(Problem::Expected { expected, found: "this".into() }, path.range));
                    }
                }
            }
            _ => {
                let name = self.name()?;
                if matches!(self.peek(), Token::Sign("(")) {
                    return match name.text.as_str() {
                        "look_up" => self.look_up(start),
                        "rows" => self.rows(start),
                        _ => {
                            let arguments = self.arguments()?;
                            self.expr(start, Form::Call { of: None, name, arguments })
                        }
                    };
                }
                Form::Name(name.text)
            }
        };
        self.expr(start, form)
    }

    pub(super) fn members(&mut self) -> Result<Members, Fault> {
        let name = self.name()?;
        self.need_word("in")?;
        let list = Box::new(self.sum()?);
        let condition = if self.eat_word("where") { Some(self.boxed()?) } else { None };
        Ok(Members { name, list, condition })
    }

    pub(super) fn span(&mut self) -> Result<Span, Fault> {
        let name = self.name()?;
        self.need_word("from")?;
        let from = Box::new(self.sum()?);
        self.need_word("to")?;
        let to = Box::new(self.sum()?);
        Ok(Span { name, from, to })
    }

    pub(super) fn alternatives(&mut self) -> Result<Vec<Expr>, Fault> {
        let mut all = vec![self.or()?];
        while self.eat_sign(",") {
            all.push(self.or()?);
        }
        Ok(all)
    }

    /// What follows `total of`, `least of`, ...: a body over a list or a range, or for extremes alternatives.
    pub(super) fn gathered(&mut self, gather: Gather) -> Result<Form, Fault> {
        let body = self.or()?;
        if self.eat_word("for") {
            return Ok(Form::Gather(gather, Box::new(body), self.members()?));
        }
        if let Gather::Extreme(extreme) = gather {
            if self.eat_word("over") {
                return Ok(Form::ExtremeOver(extreme, Box::new(body), self.span()?));
            }
            let mut all = vec![body];
            while self.eat_sign(",") {
                all.push(self.or()?);
            }
            if all.len() > 1 {
                return Ok(Form::ExtremeOf(extreme, all));
            }
            return Err(self.expected("`for`, `over` or a comma"));
        }
        Err(self.expected("`for`"))
    }

    pub(super) fn keys(&mut self) -> Result<Vec<(Word, Expr)>, Fault> {
        let mut keys = Vec::new();
        while self.eat_sign(",") {
            let name = self.field_name()?;
            self.need_sign(":")?;
            keys.push((name, self.expression()?));
        }
        self.need_sign(")")?;
        Ok(keys)
    }

    pub(super) fn look_up(&mut self, start: usize) -> Parsed {
        self.need_sign("(")?;
        let table = self.name()?;
        self.need_sign(".")?;
        let column = self.field_name()?;
        let keys = self.keys()?;
        self.expr(start, Form::LookUp { table, column, keys })
    }

    pub(super) fn rows(&mut self, start: usize) -> Parsed {
        self.need_sign("(")?;
        let table = self.name()?;
        let keys = self.keys()?;
        self.expr(start, Form::Rows { table, keys })
    }
}
