//! The driveline's part of the rulebook: every check piece reads what it says, none is missing, and every limit that is moved
//! by 5 % and every comparison that is flipped is noticed by some piece.

use jiff::civil::date;
use tramgauge::assess::{PieceVerdict, calibrate, shake};
use tramgauge::rulebook::{BUILT_IN, Rulebook, load};
use tramgauge::terms::Terms;

fn rulebook() -> Rulebook {
    let Ok(terms) = Terms::built_in() else { panic!("the built-in terms are refused") };
    match load(terms, BUILT_IN, &[]) {
        Ok(rulebook) => rulebook,
        Err((_, errors)) => panic!("{:?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>()),
    }
}

#[test]
fn pieces_read_what_they_say_and_none_is_missing() {
    let result = calibrate(&rulebook(), date(2026, 6, 1), Some("driveline."));
    assert!(result.pieces.len() > 250, "only {} pieces", result.pieces.len());
    let wrong: Vec<_> = result.pieces.iter().filter(|p| p.verdict != PieceVerdict::Reads).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(result.gaps.is_empty(), "{:#?}", result.gaps);
}

#[test]
fn every_limit_is_guarded_by_a_piece() {
    let report = shake(&mut rulebook(), date(2026, 6, 1), Some("driveline."));
    assert!(report.tried > 100, "only {} changes", report.tried);
    assert!(report.unnoticed.is_empty(), "{:#?}", report.unnoticed);
}

/// The file that says which line of the catalogue is answered by what names only rules and figures that exist, and leaves no line
/// of the driveline out.
#[test]
fn every_line_of_the_catalogue_is_answered() {
    #[derive(serde::Deserialize)]
    struct Coverage {
        coverage: Vec<Line>,
    }
    #[derive(serde::Deserialize)]
    struct Line {
        line: String,
        covers: Vec<String>,
    }
    let coverage: Coverage =
        serde_yaml::from_str(include_str!("../rules/driveline/coverage.yaml")).expect("coverage is YAML");
    let rulebook = rulebook();
    for line in &coverage.coverage {
        assert!(!line.covers.is_empty(), "nothing answers {}", line.line);
        for name in &line.covers {
            let known = match name.strip_prefix("figure ") {
                Some(figure) => rulebook.figures.iter().any(|f| &*f.name == figure && &*f.system == "driveline"),
                None => rulebook.rule(name).is_some(),
            };
            assert!(known, "{}: there is no {name}", line.line);
        }
    }
    for number in 1..=17 {
        let wanted = format!("1.{number}");
        assert!(coverage.coverage.iter().any(|l| l.line == wanted), "line {wanted} is not answered");
    }
    for rule in rulebook.rules.iter().filter(|r| r.name.starts_with("driveline.")) {
        let used = coverage.coverage.iter().any(|l| l.covers.iter().any(|c| **c == *rule.name));
        assert!(used, "{} answers no line", rule.name);
    }
}
