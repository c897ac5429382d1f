//! Figures as comma-separated values (RFC 4180), for a spreadsheet: one line a value, curves one line a point.

use crate::assess::{Assessment, FigureReading};
use crate::quantity;
use std::borrow::Cow;

const HEADER: [&str; 9] = ["system", "figure", "subject", "at", "at_unit", "value", "unit", "give_or_take", "outcome"];

/// The figures of a build. `at` is the running value of a curve; fields of a record are lines of their own, `figure.field`.
pub fn figures_csv(assessment: &Assessment) -> String {
    let mut out = String::new();
    line(&mut out, &HEADER);
    for value in &assessment.figures {
        let Some(entry) = assessment.index.figures.get(value.figure) else { continue };
        let head = [&*entry.system, &*entry.name, &*value.subject];
        let mut one = |name: &str, rest: [&str; 6]| {
            let [system, _, subject] = head;
            line(&mut out, &[&[system, name, subject][..], &rest[..]].concat());
        };
        match &value.reading {
            FigureReading::Quantity { si, uncertainty, dimension, unit, .. } => {
                let parts = quantity::show_parts(*si, *uncertainty, *dimension, *unit);
                one(
                    head[1],
                    ["", "", &parts.number, &parts.unit, parts.give_or_take.as_deref().unwrap_or_default(), ""],
                );
            }
            FigureReading::Words(words) => one(head[1], ["", "", &as_text(words), "", "", ""]),
            FigureReading::Fields(fields) => {
                for (field, words) in fields {
                    one(&format!("{}.{field}", head[1]), ["", "", words, "", "", ""]);
                }
            }
            FigureReading::Curve(curve) => {
                let (x_unit, x) = quantity::in_one_unit(&curve.x, curve.x_dimension, curve.x_unit);
                let known: Vec<f64> = curve.y.iter().map(|y| y.unwrap_or(f64::NAN)).collect();
                let (y_unit, y) = quantity::in_one_unit(&known, curve.y_dimension, curve.y_unit);
                for (x, y) in x.iter().zip(&y) {
                    let value = if y.is_finite() { format!("{y}") } else { String::new() };
                    one(head[1], [&format!("{x}"), &x_unit, &value, &y_unit, "", ""]);
                }
            }
            FigureReading::Without(outcome) => one(head[1], ["", "", "", "", "", outcome.word()]),
        }
    }
    out
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
