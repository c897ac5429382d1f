//! Shaking: moves every number that limits by 5 % both ways (what counts are compared with by one) and flips every comparison, one at a time, and looks whether some
//! check piece notices. What nobody notices could be wrong without anyone knowing.

use super::calibrate::{piece_spec, reading, table_reads};
use crate::language::code::Op;
use crate::language::table::{Cell, ColumnType};
use crate::language::{Code, Overrides, TableId};
use crate::quantity::{Dimension, UnitId};
use crate::rulebook::{Reads, Rule, Rulebook};
use crate::source::Span;
use crate::terms::Spec;
use jiff::civil::Date;

/// By how much numbers are moved.
const MOVE: f64 = 0.05;

/// The result of a shaking.
#[derive(Debug, Clone, Default)]
pub struct ShakeReport {
    /// How many changes were tried.
    pub tried: usize,
    /// Those that no piece noticed.
    pub unnoticed: Vec<Unnoticed>,
}

/// A change that no piece noticed.
#[derive(Debug, Clone)]
pub struct Unnoticed {
    /// The rule or table.
    pub of: String,
    /// What was changed, in words.
    pub what: String,
    /// Where the rule or table stands.
    pub place: Span,
}

/// Shakes all rules (or those whose name begins with `only`) and the tables that they use.
pub fn shake(rulebook: &mut Rulebook, day: Date, only: Option<&str>) -> ShakeReport {
    let mut report = ShakeReport::default();
    let mut ready: Vec<Vec<(usize, Spec)>> = Vec::new();
    for rule in &rulebook.rules {
        let specs =
            rule.pieces.iter().enumerate().filter_map(|(n, p)| Some((n, piece_spec(rulebook, p).ok()?))).collect();
        ready.push(specs);
    }
    for (number, specs) in ready.iter().enumerate() {
        let rule = &rulebook.rules[number];
        if only.is_none_or(|o| rule.name.starts_with(o)) {
            shake_rule(rulebook, number, rule, specs, day, &mut report);
        }
    }
    for table in 0..rulebook.tables.len() {
        if only.is_none_or(|o| rulebook.tables[table].name.starts_with(o)) {
            shake_table(rulebook, table, &ready, day, &mut report);
        }
    }
    report
}

/// One change of an expression: the part's number, and what is done to it.
#[derive(Debug, Clone, Copy)]
enum Change {
    Scale(f64),
    Flip,
}

fn shake_rule(
    rulebook: &Rulebook,
    number: usize,
    rule: &Rule,
    ready: &[(usize, Spec)],
    day: Date,
    report: &mut ShakeReport,
) {
    let mut changes: Vec<(u32, Change, String)> = Vec::new();
    {
        let mut expressions: Vec<&Code> = rule.holds.iter().map(|h| &h.1).collect();
        expressions.extend(rule.when.iter());
        expressions.extend(rule.with.iter().map(|w| &w.1));
        for code in expressions {
            gather(code, &mut changes);
        }
    }
    for (id, change, words) in changes {
        report.tried += 1;
        let mut changed = rule.clone();
        let expressions = changed.holds.iter_mut().map(|h| &mut h.1);
        for code in expressions.chain(changed.when.iter_mut()).chain(changed.with.iter_mut().map(|w| &mut w.1)) {
            code.walk_mut(&mut |part| {
                if part.id == id {
                    apply(part, change);
                }
            });
        }
        if !noticed(rulebook, number, &changed, ready, day) {
            report.unnoticed.push(Unnoticed { of: rule.name.to_string(), what: words, place: rule.name_place });
        }
    }
}

/// Numbers and comparisons of an expression; the ends of a sweep are no limits.
fn gather(code: &Code, into: &mut Vec<(u32, Change, String)>) {
    match &code.op {
        Op::Number { si, unit } if *si != 0.0 => {
            let shown = crate::quantity::show(*si, code.dimension, *unit, None);
            into.push((code.id, Change::Scale(1.0 + MOVE), format!("{shown} moved up by 5 %")));
            into.push((code.id, Change::Scale(1.0 - MOVE), format!("{shown} moved down by 5 %")));
        }
        Op::Comparison(op, ..) => {
            into.push((code.id, Change::Flip, format!("`{}` flipped to `{}`", op.sign(), op.flipped().sign())));
        }
        _ => {}
    }
    match &code.op {
        Op::Comparison(_, counted, limit) if matches!(counted.op, Op::Count(_)) && count(limit).is_some() => {
            let si = count(limit).unwrap_or_default();
            into.push((limit.id, Change::Scale((si + 1.0) / si), format!("{si} moved up by one")));
            into.push((limit.id, Change::Scale((si - 1.0) / si), format!("{si} moved down by one")));
            gather(counted, into);
        }
        Op::Throughout(_, body) | Op::Curve(_, body) | Op::ExtremeOver(_, body, _) => gather(body, into),
        _ => {
            for part in code.parts() {
                gather(part, into);
            }
        }
    }
}

/// A whole number that a count is compared with: 5 % of it would change nothing.
fn count(limit: &Code) -> Option<f64> {
    match &limit.op {
        Op::Number { si, .. } if *si > 0.0 && si.fract() == 0.0 => Some(*si),
        _ => None,
    }
}

fn apply(part: &mut Code, change: Change) {
    let dimension = part.dimension;
    match (&mut part.op, change) {
        (Op::Number { si, unit }, Change::Scale(by)) => *si = scaled(*si, dimension, *unit, by),
        (Op::Comparison(op, ..), Change::Flip) => *op = op.flipped(),
        _ => {}
    }
}

/// A number moved as its author reads it: 5 % of 120 °C are 6 K.
fn scaled(si: f64, dimension: Dimension, unit: Option<UnitId>, by: f64) -> f64 {
    match unit.map(UnitId::unit) {
        Some(unit) => {
            let value = unit.from_si(si, dimension) * by;
            si + unit.difference_to_si(value - unit.from_si(si, dimension))
        }
        None => si * by,
    }
}

fn noticed(rulebook: &Rulebook, number: usize, rule: &Rule, ready: &[(usize, Spec)], day: Date) -> bool {
    ready.iter().any(|(n, spec)| {
        let piece = &rule.pieces[*n];
        let (read, _) = reading(rulebook, number, rule, piece, spec, day, &Overrides::new());
        read != Some(piece.reads) && wanted(rulebook, number, *n, spec, day) == Some(piece.reads)
    })
}

/// What the rule as it stands reads on the piece.
fn wanted(rulebook: &Rulebook, number: usize, n: usize, spec: &Spec, day: Date) -> Option<Reads> {
    let rule = &rulebook.rules[number];
    reading(rulebook, number, rule, &rule.pieces[n], spec, day, &Overrides::new()).0
}

fn shake_table(
    rulebook: &mut Rulebook,
    table: usize,
    ready: &[Vec<(usize, Spec)>],
    day: Date,
    report: &mut ShakeReport,
) {
    let id = TableId(table as u16);
    let users: Vec<usize> = (0..rulebook.rules.len()).filter(|r| uses(rulebook, *r, id)).collect();
    let columns = used_columns(rulebook, id);
    for row in 0..rulebook.library.tables[table].rows.len() {
        for column in 0..rulebook.library.tables[table].columns.len() {
            if !columns.contains(&column) {
                continue;
            }
            let ColumnType::Number(dimension) = rulebook.library.tables[table].columns[column].ty else { continue };
            let Cell::Number(si, unit) = rulebook.library.tables[table].rows[row][column] else { continue };
            if si == 0.0 {
                continue;
            }
            for by in [1.0 + MOVE, 1.0 - MOVE] {
                report.tried += 1;
                rulebook.library.tables[table].rows[row][column] = Cell::Number(scaled(si, dimension, unit, by), unit);
                let seen = rulebook.tables[table].pieces.iter().any(|p| !table_reads(rulebook, table, p))
                    || users.iter().any(|r| {
                        ready[*r].iter().any(|(n, spec)| {
                            let rule = &rulebook.rules[*r];
                            let piece = &rule.pieces[*n];
                            reading(rulebook, *r, rule, piece, spec, day, &Overrides::new()).0 != Some(piece.reads)
                        })
                    });
                rulebook.library.tables[table].rows[row][column] = Cell::Number(si, unit);
                if !seen {
                    let shown = crate::quantity::show(si, dimension, unit, None);
                    let name = &rulebook.library.tables[table].columns[column].name;
                    let what = format!("row {}, {name}: {shown} moved to {:.0} %", row + 1, by * 100.0);
                    let place = rulebook.tables[table].cells[row][column];
                    report.unnoticed.push(Unnoticed {
                        of: format!("table {}", rulebook.tables[table].name),
                        what,
                        place,
                    });
                }
            }
        }
    }
}

/// Every expression of a rule and of the figures that it uses.
fn expressions(rulebook: &Rulebook, rule: &Rule) -> Vec<Code> {
    let mut out: Vec<Code> = rule.holds.iter().map(|h| h.1.clone()).chain(rule.when.iter().cloned()).collect();
    out.extend(rule.with.iter().map(|w| w.1.clone()));
    let mut at = 0;
    let mut seen = Vec::new();
    while at < out.len() {
        let mut figures = Vec::new();
        out[at].walk(&mut |part| {
            figures.extend(part.figures().iter().map(|f| f.1));
        });
        for id in figures {
            if !seen.contains(&id) {
                seen.push(id);
                let figure = rulebook.library.figure(id);
                out.push(figure.is.value().clone());
                out.extend(figure.with.iter().map(|w| w.1.clone()));
            }
        }
        at += 1;
    }
    out
}

fn uses(rulebook: &Rulebook, rule: usize, table: TableId) -> bool {
    let mut found = false;
    for code in expressions(rulebook, &rulebook.rules[rule]) {
        code.walk(&mut |part| {
            if let Op::LookUp { table: t, .. } | Op::Rows { table: t, .. } = &part.op {
                found |= *t == table;
            }
        });
    }
    found
}

/// The columns of a table that rules look up, and the keys by which they do; for alternative rows all.
fn used_columns(rulebook: &Rulebook, table: TableId) -> Vec<usize> {
    let mut columns = Vec::new();
    for rule in &rulebook.rules {
        for code in expressions(rulebook, rule) {
            code.walk(&mut |part| match &part.op {
                Op::LookUp { table: t, column, keys } if *t == table => {
                    columns.push(usize::from(*column));
                    columns.extend(keys.iter().map(|k| k.0));
                }
                Op::Rows { table: t, .. } if *t == table => {
                    columns.extend(0..rulebook.library.table(table).columns.len())
                }
                _ => {}
            });
        }
    }
    columns
}
