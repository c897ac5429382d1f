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
