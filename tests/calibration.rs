//! The built-in rulebook against itself: every check piece reads what it says, none is missing, every limit is guarded, and
//! every line of the checklist of its systems is answered.

use jiff::civil::{Date, date};
use serde::Deserialize;
use std::collections::BTreeMap;
use tramgauge::assess::{PieceVerdict, calibrate, shake};
use tramgauge::rulebook::{BUILT_IN, Rulebook, load_built_in};
use tramgauge::terms::Terms;

/// Sections of the checklist that are answered, with the number of lines in each.
const SECTIONS: [(&str, u32); 16] = [
    ("1", 17),
    ("2", 19),
    ("3", 14),
    ("4", 12),
    ("5", 14),
    ("6", 7),
    ("7", 16),
    ("8", 4),
    ("9", 8),
    ("10", 7),
    ("11", 7),
    ("12", 7),
    ("13", 3),
    ("14", 4),
    ("16", 4),
    ("17", 15),
];

fn rulebook() -> Rulebook {
    let Ok(terms) = Terms::built_in() else { panic!("the built-in terms load") };
    match load_built_in(terms, &[]) {
        Ok(rulebook) => rulebook,
        Err((_, errors)) => panic!("{:#?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>()),
    }
}

fn day() -> Date {
    date(2026, 6, 1)
}

#[test]
fn pieces_read_what_they_say_and_none_is_missing() {
    let result = calibrate(&rulebook(), day(), None);
    let wrong: Vec<_> = result.pieces.iter().filter(|p| p.verdict != PieceVerdict::Reads).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let gaps: Vec<_> = result.gaps.iter().map(|(of, what, _)| format!("{of}: {what}")).collect();
    assert!(gaps.is_empty(), "{gaps:#?}");
    assert!(result.pieces.len() > 900, "only {} pieces", result.pieces.len());
}

#[test]
fn every_limit_and_comparison_is_guarded_by_a_piece() {
    let report = shake(&mut rulebook(), day(), None);
    let unnoticed: Vec<_> = report.unnoticed.iter().map(|u| format!("{}: {}", u.of, u.what)).collect();
    assert!(unnoticed.is_empty(), "{unnoticed:#?}");
    assert!(report.tried > 500, "only {} changes", report.tried);
}

#[test]
fn every_line_of_the_checklist_is_answered_by_rules_or_figures_that_exist() {
    #[derive(Deserialize)]
    struct Coverage {
        coverage: Vec<Line>,
    }
    #[derive(Deserialize)]
    struct Line {
        line: String,
        #[serde(default)]
        covers: Vec<String>,
        note: Option<String>,
    }
    let rulebook = rulebook();
    let mut lines: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut wrong = Vec::new();
    for (name, text) in BUILT_IN.iter().filter(|(name, _)| name.ends_with("/coverage.yaml")) {
        let read: Coverage = serde_yaml::from_str(text).unwrap_or_else(|e| panic!("{name}: {e}"));
        for line in read.coverage {
            if line.covers.is_empty() && line.note.is_none() {
                wrong.push(format!("{name}: {} is answered by nothing and says no reason", line.line));
            }
            for covering in &line.covers {
                let figure = covering.strip_prefix("figure ").unwrap_or(covering);
                let known = rulebook.rule(covering).is_some() || rulebook.figures.iter().any(|f| &*f.name == figure);
                if !known {
                    wrong.push(format!("{name}: {}: there is no {covering}", line.line));
                }
            }
            lines.entry(line.line).or_default().extend(line.covers);
        }
    }
    for (section, count) in SECTIONS {
        for number in 1..=count {
            if !lines.contains_key(&format!("{section}.{number}")) {
                wrong.push(format!("line {section}.{number} is not answered"));
            }
        }
    }
    for rule in &rulebook.rules {
        if !lines.values().flatten().any(|c| **c == *rule.name) {
            wrong.push(format!("{} answers no line", rule.name));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
