//! Figures as comma-separated values (RFC 4180), for a spreadsheet: one line a value, curves one line a point.

use super::before::{SheetBefore, Was};
use crate::assess::{Assessment, FigureReading, FigureValue};
use crate::quantity;
use std::borrow::Cow;

const HEADER: [&str; 9] = ["system", "figure", "subject", "at", "at_unit", "value", "unit", "give_or_take", "outcome"];

/// The columns that stand behind where the sheet is compared.
const BEFORE: [&str; 5] = ["before", "before_unit", "before_give_or_take", "before_outcome", "change"];

/// The figures of a build. `at` is the running value of a curve; fields of a record are lines of their own, `figure.field`. Compared
/// with a revision, each line has what stood there, and `change` says `changed`, `new` or `gone`.
pub fn figures_csv(assessment: &Assessment, before: Option<&SheetBefore>) -> String {
    let was = before.map(Was::new);
    let mut out = String::new();
    line(&mut out, &if was.is_some() { [&HEADER[..], &BEFORE[..]].concat() } else { HEADER.to_vec() });
    for value in &assessment.figures {
        let moved = was.as_ref().and_then(|was| was.figure(value.figure, &value.subject));
        let older = was.as_ref().and_then(|was| was.older(was.before_of(value)?));
        let change = moved.map_or("", |m| if m.figure.old.is_some() { "changed" } else { "new" });
        let cells = cells(&value.reading);
        let mut left = older.map_or(Vec::new(), |older| self::cells(&older.reading));
        for cell in &cells {
            let same = left.iter().position(|other| other.field == cell.field && other.at == cell.at);
            let other = same.map(|at| left.remove(at));
            write(&mut out, (assessment, value), cell, was.is_some().then_some((other.as_ref(), change)));
        }
        for other in left {
            let gone = Cell { field: other.field.clone(), at: other.at.clone(), ..Cell::default() };
            write(&mut out, (assessment, value), &gone, Some((Some(&other), change)));
        }
    }
    if let Some(was) = &was {
        let gone = was.all_gone().into_iter().filter_map(|moved| was.older(moved.at?));
        for older in gone {
            for other in cells(&older.reading) {
                let gone = Cell { field: other.field.clone(), at: other.at.clone(), ..Cell::default() };
                write(&mut out, (was.assessment, older), &gone, Some((Some(&other), "gone")));
            }
        }
    }
    out
}

/// What one line says of a figure.
#[derive(Default)]
struct Cell {
    /// The field of a record.
    field: Option<String>,
    /// The running value of a curve, with its unit.
    at: [String; 2],
    /// Value, unit, give or take, outcome.
    value: [String; 4],
}

/// The lines of a figure.
fn cells(reading: &FigureReading) -> Vec<Cell> {
    let alone = |value: [String; 4]| vec![Cell { value, ..Cell::default() }];
    let none = String::new;
    match reading {
        FigureReading::Quantity { si, uncertainty, dimension, unit, .. } => {
            let parts = quantity::show_parts(*si, *uncertainty, *dimension, *unit);
            alone([parts.number, parts.unit, parts.give_or_take.unwrap_or_default(), none()])
        }
        FigureReading::Words(words) => alone([as_text(words).into(), none(), none(), none()]),
        FigureReading::Fields(fields) => {
            let one = |(field, words): &(String, String)| Cell {
                field: Some(field.clone()),
                value: [words.clone(), none(), none(), none()],
                ..Cell::default()
            };
            fields.iter().map(one).collect()
        }
        FigureReading::Curve(curve) => {
            let (x_unit, x) = quantity::in_one_unit(&curve.x, curve.x_dimension, curve.x_unit);
            let known: Vec<f64> = curve.y.iter().map(|y| y.unwrap_or(f64::NAN)).collect();
            let (y_unit, y) = quantity::in_one_unit(&known, curve.y_dimension, curve.y_unit);
            let one = |(x, y): (&f64, &f64)| Cell {
                field: None,
                at: [format!("{x}"), x_unit.clone()],
                value: [if y.is_finite() { format!("{y}") } else { none() }, y_unit.clone(), none(), none()],
            };
            x.iter().zip(&y).map(one).collect()
        }
        FigureReading::Without(outcome) => alone([none(), none(), none(), outcome.word().into()]),
    }
}

/// Writes a line; of a compared sheet with what stood there, and how it changed.
fn write(
    out: &mut String,
    (assessment, value): (&Assessment, &FigureValue),
    cell: &Cell,
    before: Option<(Option<&Cell>, &str)>,
) {
    let Some(entry) = assessment.index.figures.get(value.figure) else { return };
    let name = cell.field.as_ref().map_or_else(|| entry.name.to_string(), |field| format!("{}.{field}", entry.name));
    let mut all: Vec<&str> = vec![&entry.system, &name, &value.subject];
    all.extend(cell.at.iter().chain(&cell.value).map(String::as_str));
    if let Some((other, change)) = before {
        all.extend(other.map_or([""; 4], |other| other.value.each_ref().map(String::as_str)));
        all.push(change);
    }
    line(out, &all);
}

fn line(out: &mut String, cells: &[&str]) {
    for (at, cell) in cells.iter().enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push_str(&quoted(cell));
    }
    out.push_str("\r\n");
}

/// Words of a spec; those that a spreadsheet would take for a formula begin with an apostrophe, which makes them text.
fn as_text(words: &str) -> Cow<'_, str> {
    if words.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{words}").into() } else { words.into() }
}

/// A cell; in quotes where it must be.
fn quoted(cell: &str) -> Cow<'_, str> {
    if cell.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\"")).into()
    } else {
        cell.into()
    }
}

#[cfg(test)]
mod tests {
    use super::{as_text, quoted};

    #[test]
    fn cells_stay_one_cell_and_text() {
        assert_eq!(quoted("plain"), "plain");
        assert_eq!(quoted("a, \"b\""), "\"a, \"\"b\"\"\"");
        assert_eq!(as_text("=1+1"), "'=1+1");
        assert_eq!(as_text("1+1"), "1+1");
    }
}
