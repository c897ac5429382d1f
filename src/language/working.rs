//! Working, as on an engineer's calculation sheet: the formula, the formula with numbers, the result.
//!
//! It is made after the fact, for findings only: the expression is evaluated once more with every part's reading kept, and
//! printed twice.

use super::code::{Builtin, Code, EntryPart, Members, Odd, Op, Running};
use super::library::{FigureId, Library};
use super::syntax::{Arithmetic, Extreme, Gather, Neighbour};
use super::value::{Reading, Value};
use crate::source::SharedText;
use crate::terms::Spec;
use std::collections::BTreeMap;

/// One line of a working.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct WorkingLine {
    /// What is computed; empty for the comparison that decides.
    pub name: String,
    /// The formula with symbols.
    pub symbols: String,
    /// The formula with numbers.
    pub numbers: String,
    /// The result.
    pub result: String,
}

/// How many lines a working has at the most; the deepest figures are left out first.
const MOST_LINES: usize = 14;

/// What a working is made from.
pub struct Sheet<'a> {
    /// Figures and tables.
    pub library: &'a Library,
    /// The spec, for the names of items.
    pub spec: &'a Spec,
    /// Readings of every part, by number.
    pub trace: &'a BTreeMap<u32, Reading>,
    /// Local names that the expression may use.
    pub with: &'a [(SharedText, Code)],
}

impl Sheet<'_> {
    /// The working of an expression: figures and local names it uses, then itself.
    pub fn lines(&self, code: &Code) -> Vec<WorkingLine> {
        let mut lines = Vec::new();
        let mut seen = Vec::new();
        self.below(code, self.with, &mut seen, &mut lines, 0);
        if !is_leaf(code) {
            lines.push(self.line(String::new(), code));
        }
        let surplus = lines.len().saturating_sub(MOST_LINES);
        lines.drain(..surplus);
        lines
    }

    fn line(&self, name: String, code: &Code) -> WorkingLine {
        let symbols = self.shown(code, false, 0);
        let numbers = self.shown(code, true, 0);
        let result = self.value(code);
        WorkingLine { name, symbols, numbers, result }
    }

    fn value(&self, code: &Code) -> String {
        self.known(code).unwrap_or_else(|| "?".into())
    }

    /// The value of a part in words; nothing where it is unknown or was not evaluated.
    fn known(&self, code: &Code) -> Option<String> {
        match &self.trace.get(&code.id)?.value {
            Ok(Value::Place(place)) => Some(super::template::shown_name(self.spec, *place)),
            Ok(value) => Some(value.shown()),
            Err(unknown) => unknown.is_none().then(|| "none".into()),
        }
    }

    /// The one of several parts which gave an expression its value.
    fn chosen<'c>(&self, code: &'c Code) -> Option<&'c Code> {
        let is_known = |part: &Code| matches!(self.reading(part), Some(Ok(_)));
        match &code.op {
            Op::If(condition, then, other) => match self.reading(condition)? {
                Ok(Value::Truth(true, _)) => Some(then),
                Ok(Value::Truth(false, _)) => Some(other),
                _ => None,
            },
            Op::Otherwise(first, second) => Some(if is_known(first) { first } else { second }),
            Op::Best(parts) => {
                let mut known = parts.iter().filter(|part| is_known(part));
                let only = known.next()?;
                known.next().is_none().then_some(only)
            }
            _ => None,
        }
    }

    /// Lines of what an expression rests on, the deepest first.
    fn below(
        &self,
        code: &Code,
        with: &[(SharedText, Code)],
        seen: &mut Vec<String>,
        lines: &mut Vec<WorkingLine>,
        depth: usize,
    ) {
        if depth > 12 {
            return;
        }
        match &code.op {
            Op::Figure { .. } | Op::FigureWith(_) => {
                for record in code.parts().into_iter().take(1) {
                    self.below(record, with, seen, lines, depth + 1);
                }
                for (_, id) in code.figures() {
                    self.figure(*id, code, seen, lines, depth);
                }
            }
            Op::Local(_, name) => {
                let Some((_, local)) = with.iter().find(|(n, _)| **n == **name) else { return };
                if seen.iter().any(|s| **s == **name) || !self.trace.contains_key(&local.id) {
                    return;
                }
                seen.push(name.to_string());
                self.below(local, with, seen, lines, depth + 1);
                if !is_leaf(local) && matches!(self.reading(local), Some(Ok(Value::Number(_) | Value::Fields(..)))) {
                    lines.push(self.line(name.to_string(), local));
                }
            }
            _ => {
                for part in code.parts() {
                    self.below(part, with, seen, lines, depth + 1);
                }
            }
        }
    }

    fn reading(&self, code: &Code) -> Option<Result<&Value, ()>> {
        self.trace.get(&code.id).map(|r| r.value.as_ref().map_err(|_| ()))
    }

    fn figure(&self, id: FigureId, used: &Code, seen: &mut Vec<String>, lines: &mut Vec<WorkingLine>, depth: usize) {
        let figure = self.library.figure(id);
        let used_as = self.shown(used, false, 0);
        if seen.contains(&used_as) {
            return;
        }
        // The same figure may have been computed for several subjects; only the one whose result is used here is shown.
        let (Some(Ok(here)), Some(Ok(there))) = (self.reading(used), self.reading(&figure.is)) else { return };
        if !same(here, there) {
            return;
        }
        seen.push(used_as);
        let mut inner = Vec::new();
        self.below(&figure.is, &figure.with, &mut inner, lines, depth + 1);
        if is_leaf(&figure.is) {
            return;
        }
        let mut line = self.line(figure.name.to_string(), &figure.is);
        line.result = self.value(used);
        if !lines.contains(&line) {
            lines.push(line);
        }
    }

    /// The expression in print; with numbers, known parts are shown by their values.
    pub fn shown(&self, code: &Code, numbers: bool, outer: u8) -> String {
        if numbers && is_leaf(code) {
            return match self.known(code) {
                Some(value) => bracketed(value, outer),
                // What is not known, or was not asked for, keeps its name.
                None => self.shown(code, false, outer),
            };
        }
        if numbers && let Some(chosen) = self.chosen(code) {
            return self.shown(chosen, true, outer);
        }
        let show = |c: &Code, outer: u8| self.shown(c, numbers, outer);
        let all = |codes: &[Code]| codes.iter().map(|c| show(c, 0)).collect::<Vec<_>>().join(", ");
        let (text, strength) = match &code.op {
            Op::Number { .. } => return bracketed(self.constant(code), outer),
            Op::Text(text) => (format!("\"{text}\""), 9),
            Op::Date(date) => (date.to_string(), 9),
            Op::YesNo(value) => (if *value { "yes" } else { "no" }.to_string(), 9),
            Op::InspectionDay => ("inspection_day".into(), 9),
            Op::Local(_, name) => (name.to_string(), 9),
            Op::Root => (String::new(), 9),
            Op::OddValues(Odd::Unusual) => ("unusual_values".into(), 9),
            Op::OddValues(Odd::Stale) => ("stale_values".into(), 9),
            Op::EntryPart(base, part) => (dotted(&show(base, 9), entry_part(*part)), 9),
            Op::Field { base, keys } => (dotted(&show(base, 9), self.library.key_name(keys)), 9),
            Op::Figure { base, figures } => (dotted(&show(base, 9), self.library.figure_name(figures)), 9),
            Op::FigureWith(call) => {
                let figure = dotted(&show(&call.base, 9), self.library.figure_name(&call.figures));
                (format!("{figure}({})", all(&call.arguments)), 9)
            }
            Op::Item(base, name) => (format!("{}/{name}", show(base, 9)), 9),
            Op::Neighbour(base, which, _) => (dotted(&show(base, 9), neighbour(*which)), 9),
            Op::Part(base, _, name) => (dotted(&show(base, 9), name), 9),
            Op::Coordinate(base, at) => (dotted(&show(base, 9), ["x", "y", "z"][*at]), 9),
            Op::DesignationPart(base, name) => (dotted(&show(base, 9), name), 9),
            Op::Builtin(which, arguments) => (format!("{}({})", builtin(*which), all(arguments)), 9),
            Op::Native(at, arguments) => {
                let name = self.library.functions.get(usize::from(*at)).map_or("?", |f| f.name);
                (format!("{name}({})", all(arguments)), 9)
            }
            Op::LookUp { table, column, keys } => {
                let found = self.library.table(*table);
                let keys: Vec<_> =
                    keys.iter().map(|(c, k)| format!("{}: {}", found.columns[*c].name, show(k, 0))).collect();
                (
                    format!(
                        "look_up({}.{}, {})",
                        found.name,
                        found.columns[usize::from(*column)].name,
                        keys.join(", ")
                    ),
                    9,
                )
            }
            Op::Rows { table, .. } => (format!("rows({})", self.library.table(*table).name), 9),
            Op::Negative(inner) => (format!("-{}", show(inner, 7)), 7),
            Op::Not(inner) => (format!("not {}", show(inner, 3)), 3),
            Op::Arithmetic(op, a, b) => {
                let (sign, strength) = match op {
                    Arithmetic::Plus => ("+", 5),
                    Arithmetic::Minus => ("-", 5),
                    Arithmetic::Times => ("*", 6),
                    Arithmetic::Over => ("/", 6),
                };
                (format!("{} {sign} {}", show(a, strength), show(b, strength + 1)), strength)
            }
            Op::Power(base, halves) => {
                let power =
                    if halves % 2 == 0 { (halves / 2).to_string() } else { format!("{}", f64::from(*halves) / 2.0) };
                (format!("{}^{power}", show(base, 8)), 8)
            }
            Op::Comparison(op, a, b) if numbers => {
                (format!("{} {} {}", self.beside(a, b), op.sign(), self.beside(b, a)), 4)
            }
            Op::Comparison(op, a, b) => (format!("{} {} {}", show(a, 4), op.sign(), show(b, 4)), 4),
            Op::And(a, b) => (format!("{} and {}", show(a, 2), show(b, 3)), 2),
            Op::Or(a, b) => (format!("{} or {}", show(a, 1), show(b, 2)), 1),
            Op::IsGiven(inner) => (format!("{} is given", show(inner, 5)), 4),
            Op::IsNone(inner) => (format!("{} is none", show(inner, 5)), 4),
            Op::IsA(asked) => (format!("{} is {}", show(&asked.base, 5), asked.word), 4),
            Op::In(a, b) => (format!("{} in {}", show(a, 5), self.shown(b, false, 5)), 4),
            Op::If(c, a, b) => (format!("if {} then {} else {}", show(c, 0), show(a, 0), show(b, 0)), 0),
            Op::Otherwise(a, b) => (format!("{} otherwise {}", show(a, 1), show(b, 0)), 0),
            Op::Best(codes) => (format!("best of {}", all(codes)), 0),
            Op::ExtremeOf(e, codes) => (format!("{} {}", extreme(*e), all(codes)), 0),
            Op::Any(m, has) => (format!("any {} has {}", self.members(m), show(has, 0)), 0),
            Op::Each(m, has) => (format!("each {} has {}", self.members(m), show(has, 0)), 0),
            Op::Gather(Gather::Total, ..) if numbers => (self.value(code), 9),
            Op::Gather(gather, body, m) => {
                let word = match gather {
                    Gather::Total => "total of",
                    Gather::List => "list of",
                    Gather::Extreme(e) => extreme(*e),
                };
                (format!("{word} {} for {}", self.shown(body, false, 1), self.members(m)), 0)
            }
            Op::Count(m) => (format!("count of {}", self.members(m)), 0),
            Op::First(m) => (format!("first {}", self.members(m)), 0),
            Op::Users(base) => (format!("users of {}", show(base, 8)), 8),
            Op::Along(base, keys) => (format!("along {}", dotted(&show(base, 9), self.library.key_name(keys))), 8),
            Op::Throughout(r, has) => (format!("throughout {} has {}", self.running(r, numbers), show(has, 0)), 0),
            Op::Curve(r, body) => (format!("curve {} of {}", self.running(r, numbers), show(body, 0)), 0),
            Op::ExtremeOver(e, body, r) => {
                (format!("{} {} over {}", extreme(*e), show(body, 1), self.running(r, numbers)), 0)
            }
            Op::List(codes) => (format!("[{}]", all(codes)), 9),
            Op::Assume(inner) => (format!("assume {}", show(inner, 7)), 7),
        };
        if strength < outer { format!("({text})") } else { text }
    }

    /// One side of a comparison with numbers: a computed value takes the unit of the other side.
    fn beside(&self, code: &Code, other: &Code) -> String {
        let number = |c: &Code| match self.trace.get(&c.id).map(|r| &r.value) {
            Some(Ok(Value::Number(n))) => Some(n.clone()),
            _ => None,
        };
        match (number(code), number(other)) {
            (Some(here), Some(there)) if matches!(code.op, Op::Figure { .. } | Op::FigureWith(_) | Op::Local(..)) => {
                here.shown_in(there.unit.or(here.unit))
            }
            _ => self.shown(code, true, 5),
        }
    }

    fn constant(&self, code: &Code) -> String {
        match &code.op {
            Op::Number { si, unit } => crate::quantity::show(*si, code.dimension, *unit, None),
            _ => self.value(code),
        }
    }

    fn members(&self, m: &Members) -> String {
        let condition = m.condition.as_ref().map_or(String::new(), |c| format!(" where {}", self.shown(c, false, 0)));
        format!("{} in {}{condition}", m.name, self.shown(&m.list, false, 5))
    }

    fn running(&self, r: &Running, numbers: bool) -> String {
        format!("{} from {} to {}", r.name, self.shown(&r.from, numbers, 5), self.shown(&r.to, numbers, 5))
    }
}

/// Whether two readings are of one and the same result.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => a.si == b.si,
        (Value::Fields(a), Value::Fields(b)) => {
            a.parts().count() == b.parts().count()
                && a.parts().zip(b.parts()).all(|((_, x), (_, y))| match (&x.value, &y.value) {
                    (Ok(x), Ok(y)) => same(x, y),
                    (Err(_), Err(_)) => true,
                    _ => false,
                })
        }
        _ => false,
    }
}

/// A value in print, in brackets where its sign, unit or uncertainty would be read otherwise beside what stands around it.
fn bracketed(value: String, outer: u8) -> String {
    let strength = if value.contains(" \u{b1} ") {
        4
    } else if value.starts_with('-') {
        5
    } else if value.contains(' ') {
        7
    } else {
        9
    };
    if strength < outer { format!("({value})") } else { value }
}

/// Whether an expression stands for one value and has nothing to work out.
fn is_leaf(code: &Code) -> bool {
    match &code.op {
        Op::Number { .. }
        | Op::Text(_)
        | Op::Date(_)
        | Op::YesNo(_)
        | Op::InspectionDay
        | Op::Local(..)
        | Op::Field { .. }
        | Op::Figure { .. }
        | Op::FigureWith(_)
        | Op::DesignationPart(..)
        | Op::EntryPart(..)
        | Op::LookUp { .. }
        | Op::Count(_) => true,
        Op::Assume(inner) | Op::Part(inner, ..) | Op::Coordinate(inner, _) => is_leaf(inner),
        _ => false,
    }
}

fn entry_part(part: EntryPart) -> &'static str {
    match part {
        EntryPart::Written => "written",
        EntryPart::Usual => "usual",
        EntryPart::IsUsual => "is_usual",
        EntryPart::Taken => "taken",
        EntryPart::Changed => "changed",
        EntryPart::ChangedBy => "changed_by",
    }
}

fn dotted(base: &str, name: &str) -> String {
    if base.is_empty() { name.to_string() } else { format!("{base}.{name}") }
}

fn extreme(e: Extreme) -> &'static str {
    match e {
        Extreme::Least => "least of",
        Extreme::Greatest => "greatest of",
    }
}

fn neighbour(n: Neighbour) -> &'static str {
    match n {
        Neighbour::Before => "before",
        Neighbour::After => "after",
        Neighbour::AllBefore => "all_before",
        Neighbour::AllAfter => "all_after",
    }
}

fn builtin(which: Builtin) -> &'static str {
    super::check::BUILTINS.iter().find(|b| b.1 == which).map_or("?", |b| b.0)
}
