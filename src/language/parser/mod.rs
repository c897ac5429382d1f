//! Turns an expression's text into its syntax tree, by binding strength.

mod words;

use super::error::{Fault, Problem};
use super::lexer::{self, Token};
use super::syntax::{Arithmetic, Comparison, Expr, Form, Members, Word};
use crate::quantity::{Exponents, Kind};
use std::ops::Range;

/// How deep an expression may be nested in brackets and words.
pub const DEEPEST: usize = 32;

/// How many parts may lie below each other, chains of signs included.
pub const HIGHEST: usize = 64;

/// Words that cannot be names.
pub const RESERVED: [&str; 32] = [
    "and",
    "or",
    "not",
    "is",
    "in",
    "if",
    "then",
    "else",
    "otherwise",
    "best",
    "least",
    "greatest",
    "of",
    "any",
    "each",
    "has",
    "where",
    "total",
    "count",
    "list",
    "first",
    "users",
    "along",
    "throughout",
    "from",
    "to",
    "curve",
    "over",
    "for",
    "assume",
    "yes",
    "no",
];

/// Words which begin a form only where its next word follows, and else are names.
const SOFT: [&str; 8] = ["list", "first", "count", "total", "best", "users", "curve", "along"];

/// Reads one expression.
///
/// # Errors
/// The first place where the text is no expression.
pub fn parse(text: &str) -> Result<Expr, Fault> {
    let tokens = lexer::tokens(text)?;
    let mut parser = Parser { text, tokens, at: 0, depth: 0 };
    let expr = parser.expression()?;
    match parser.peek() {
        Token::End => Ok(expr),
        _ => Err(parser.expected("the end of the expression")),
    }
}

/// Reads `NAME in LIST where CONDITION`.
///
/// # Errors
/// The first place where the text is no such thing.
pub fn parse_members(text: &str) -> Result<Members, Fault> {
    let tokens = lexer::tokens(text)?;
    let mut parser = Parser { text, tokens, at: 0, depth: 0 };
    let members = parser.members()?;
    match parser.peek() {
        Token::End => Ok(members),
        _ => Err(parser.expected("the end of the subject")),
    }
}

struct Parser<'a> {
    text: &'a str,
    tokens: Vec<(Token<'a>, Range<usize>)>,
    at: usize,
    depth: usize,
}

type Parsed = Result<Expr, Fault>;

impl<'a> Parser<'a> {
    fn peek(&self) -> Token<'a> {
        self.tokens[self.at].0
    }

    fn range(&self) -> Range<usize> {
        self.tokens[self.at].1.clone()
    }

    fn last_end(&self) -> usize {
        if self.at == 0 { 0 } else { self.tokens[self.at - 1].1.end }
    }

    fn step(&mut self) {
        if self.at + 1 < self.tokens.len() {
            self.at += 1;
        }
    }

    fn expected(&self, expected: &'static str) -> Fault {
        Fault::new(Problem::Expected { expected, found: self.peek().shown() }, self.range())
    }

    fn is_word(&self, word: &str) -> bool {
        matches!(self.peek(), Token::Word(w) if w == word)
    }

    fn next_is_word(&self, word: &str) -> bool {
        matches!(self.tokens.get(self.at + 1), Some((Token::Word(w), _)) if *w == word)
    }

    fn eat_word(&mut self, word: &str) -> bool {
        let found = self.is_word(word);
        if found {
            self.step();
        }
        found
    }

    fn eat_sign(&mut self, sign: &str) -> bool {
        let found = matches!(self.peek(), Token::Sign(s) if s == sign);
        if found {
            self.step();
        }
        found
    }

    fn need_word(&mut self, word: &'static str) -> Result<(), Fault> {
        if self.eat_word(word) { Ok(()) } else { Err(self.expected(word)) }
    }

    fn need_sign(&mut self, sign: &'static str) -> Result<(), Fault> {
        if self.eat_sign(sign) { Ok(()) } else { Err(self.expected(sign)) }
    }

    fn name(&mut self) -> Result<Word, Fault> {
        match self.peek() {
            Token::Word(w) if !RESERVED.contains(&w) || SOFT.contains(&w) => {
                let word = Word { text: w.into(), range: self.range() };
                self.step();
                Ok(word)
            }
            _ => Err(self.expected("a name")),
        }
    }

    fn expr(&self, start: usize, form: Form) -> Parsed {
        let height = form.height_below() + 1;
        let range = start..self.last_end();
        if height > HIGHEST {
            return Err(Fault::new(Problem::TooDeep(HIGHEST), range));
        }
        Ok(Expr { form, range, height })
    }

    fn expression(&mut self) -> Parsed {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(Fault::new(Problem::TooDeep(DEEPEST), self.range()));
        }
        let result = self.otherwise();
        self.depth -= 1;
        result
    }

    fn boxed(&mut self) -> Result<Box<Expr>, Fault> {
        self.expression().map(Box::new)
    }

    fn otherwise(&mut self) -> Parsed {
        let start = self.range().start;
        let first = self.or()?;
        if self.eat_word("otherwise") {
            self.depth += 1;
            if self.depth > DEEPEST {
                return Err(Fault::new(Problem::TooDeep(DEEPEST), self.range()));
            }
            let second = self.otherwise()?;
            self.depth -= 1;
            return self.expr(start, Form::Otherwise(Box::new(first), Box::new(second)));
        }
        Ok(first)
    }

    fn or(&mut self) -> Parsed {
        let start = self.range().start;
        let mut left = self.and()?;
        while self.eat_word("or") {
            let right = self.and()?;
            left = self.expr(start, Form::Or(Box::new(left), Box::new(right)))?;
        }
        Ok(left)
    }

    fn and(&mut self) -> Parsed {
        let start = self.range().start;
        let mut left = self.not()?;
        while self.eat_word("and") {
            let right = self.not()?;
            left = self.expr(start, Form::And(Box::new(left), Box::new(right)))?;
        }
        Ok(left)
    }

    fn not(&mut self) -> Parsed {
        let start = self.range().start;
        if self.eat_word("not") {
            self.depth += 1;
            if self.depth > DEEPEST {
                return Err(Fault::new(Problem::TooDeep(DEEPEST), self.range()));
            }
            let inner = self.not()?;
            self.depth -= 1;
            return self.expr(start, Form::Not(Box::new(inner)));
        }
        self.comparison()
    }

    fn comparison_sign(&mut self) -> Option<Comparison> {
        let sign = match self.peek() {
            Token::Sign("<") => Comparison::Below,
            Token::Sign("<=") => Comparison::AtMost,
            Token::Sign(">") => Comparison::Above,
            Token::Sign(">=") => Comparison::AtLeast,
            Token::Sign("=") => Comparison::Equal,
            Token::Sign("!=") => Comparison::Unequal,
            _ => return None,
        };
        self.step();
        Some(sign)
    }

    fn comparison(&mut self) -> Parsed {
        let start = self.range().start;
        let left = self.sum()?;
        if self.eat_word("is") {
            return self.is_what(start, left);
        }
        if self.eat_word("in") {
            let list = self.sum()?;
            return self.expr(start, Form::In(Box::new(left), Box::new(list)));
        }
        let Some(first) = self.comparison_sign() else { return Ok(left) };
        let middle = self.sum()?;
        let pair = self.expr(start, Form::Comparison(first, Box::new(left), Box::new(middle.clone())))?;
        let Some(second) = self.comparison_sign() else { return Ok(pair) };
        let right = self.sum()?;
        let middle_start = middle.range.start;
        let other = self.expr(middle_start, Form::Comparison(second, Box::new(middle), Box::new(right)))?;
        self.expr(start, Form::And(Box::new(pair), Box::new(other)))
    }

    fn is_what(&mut self, start: usize, left: Expr) -> Parsed {
        let negated = self.eat_word("not");
        let left = Box::new(left);
        let form = if self.eat_word("given") {
            Form::IsGiven(left)
        } else if self.eat_word("none") {
            Form::IsNone(left)
        } else if let Token::Word(_) = self.peek() {
            let from = self.range().start;
            let end = lexer::hyphenated_end(self.text, from);
            while self.range().start < end && self.peek() != Token::End {
                self.step();
            }
            Form::IsA(left, Word { text: self.text[from..end].into(), range: from..end })
        } else {
            return Err(self.expected("`given`, `none` or a kind"));
        };
        let inner = self.expr(start, form)?;
        if negated { self.expr(start, Form::Not(Box::new(inner))) } else { Ok(inner) }
    }

    fn sum(&mut self) -> Parsed {
        let start = self.range().start;
        let mut left = self.product()?;
        loop {
            let op = match self.peek() {
                Token::Sign("+") => Arithmetic::Plus,
                Token::Sign("-") => Arithmetic::Minus,
                _ => return Ok(left),
            };
            self.step();
            let right = self.product()?;
            left = self.expr(start, Form::Arithmetic(op, Box::new(left), Box::new(right)))?;
        }
    }

    fn product(&mut self) -> Parsed {
        let start = self.range().start;
        let mut left = self.unary()?;
        loop {
            let op = match self.peek() {
                Token::Sign("*") => Arithmetic::Times,
                Token::Sign("/") => Arithmetic::Over,
                _ => return Ok(left),
            };
            self.step();
            let right = self.unary()?;
            left = self.expr(start, Form::Arithmetic(op, Box::new(left), Box::new(right)))?;
        }
    }

    fn unary(&mut self) -> Parsed {
        let start = self.range().start;
        if self.eat_sign("-") {
            self.depth += 1;
            if self.depth > DEEPEST {
                return Err(Fault::new(Problem::TooDeep(DEEPEST), self.range()));
            }
            let inner = self.unary()?;
            self.depth -= 1;
            return self.expr(start, Form::Negative(Box::new(inner)));
        }
        let base = self.postfix()?;
        if !self.eat_sign("^") {
            return Ok(base);
        }
        let negative = self.eat_sign("-");
        let Token::Number { si, exponents: Exponents::NONE, kind: Some(Kind::Number), .. } = self.peek() else {
            return Err(self.expected("a whole number or 0.5"));
        };
        let halves = si * 2.0 * if negative { -1.0 } else { 1.0 };
        if halves.fract() != 0.0 || halves.abs() > 24.0 {
            return Err(self.expected("a whole number or 0.5"));
        }
        self.step();
        self.expr(start, Form::Power(Box::new(base), halves as i8))
    }

    fn postfix(&mut self) -> Parsed {
        let start = self.range().start;
        let mut base = self.primary()?;
        loop {
            if self.eat_sign(".") {
                let name = self.field_name()?;
                if matches!(self.peek(), Token::Sign("(")) {
                    let arguments = self.arguments()?;
                    base = self.expr(start, Form::Call { of: Some(Box::new(base)), name, arguments })?;
                } else {
                    base = self.expr(start, Form::Field(Box::new(base), name))?;
                }
            } else if let Some(item) = self.item_name() {
                base = self.expr(start, Form::Item(Box::new(base), item))?;
            } else {
                return Ok(base);
            }
        }
    }

    /// A key after a dot; keys may share their name with one of the language's words.
    fn field_name(&mut self) -> Result<Word, Fault> {
        match self.peek() {
            Token::Word(w) => {
                let word = Word { text: w.into(), range: self.range() };
                self.step();
                Ok(word)
            }
            _ => Err(self.expected("a key")),
        }
    }

    /// `/name` written close to what it follows.
    fn item_name(&mut self) -> Option<Word> {
        let slash = self.range();
        let (next, range) = self.tokens.get(self.at + 1)?.clone();
        if self.peek() != Token::Sign("/") || slash.start != self.last_end() || slash.end != range.start {
            return None;
        }
        match next {
            Token::Word(_) => {
                let end = lexer::hyphenated_end(self.text, range.start);
                while self.range().start < end && self.peek() != Token::End {
                    self.step();
                }
                Some(Word { text: self.text[range.start..end].into(), range: range.start..end })
            }
            Token::Text(text) => {
                self.step();
                self.step();
                Some(Word { text: text.into(), range })
            }
            _ => None,
        }
    }

    fn arguments(&mut self) -> Result<Vec<Expr>, Fault> {
        self.need_sign("(")?;
        let mut arguments = Vec::new();
        if self.eat_sign(")") {
            return Ok(arguments);
        }
        loop {
            arguments.push(self.expression()?);
            if !self.eat_sign(",") {
                break;
            }
        }
        self.need_sign(")")?;
        Ok(arguments)
    }

    fn primary(&mut self) -> Parsed {
        let start = self.range().start;
        match self.peek() {
            Token::Number { si, exponents, kind, unit } => {
                self.step();
                self.expr(start, Form::Number { si, exponents, kind, unit })
            }
            Token::Text(text) => {
                self.step();
                self.expr(start, Form::Text(text.into()))
            }
            Token::Date(date) => {
                self.step();
                self.expr(start, Form::Date(date))
            }
            Token::Sign("(") => {
                self.step();
                let inner = self.expression()?;
                self.need_sign(")")?;
                Ok(Expr { range: start..self.last_end(), ..inner })
            }
            Token::Sign("[") => {
                self.step();
                let mut members = Vec::new();
                if !self.eat_sign("]") {
                    loop {
                        members.push(self.expression()?);
                        if !self.eat_sign(",") {
                            break;
                        }
                    }
                    self.need_sign("]")?;
                }
                self.expr(start, Form::List(members))
            }
            Token::Word(word) => self.word(start, word),
            _ => Err(self.expected("a value")),
        }
    }
}
