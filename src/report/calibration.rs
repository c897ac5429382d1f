//! What the check pieces of a rulebook read, and what a shaking of its limits went unnoticed.

use super::page::{Look, Page, Style};
use crate::assess::{Calibration, PieceResult, PieceVerdict, ShakeReport};
use crate::rulebook::Rulebook;
use crate::source::Span;

fn place(book: &Rulebook, span: Span) -> String {
    let at = book.texts.position(span.file, span.start);
    format!("{}:{}:{}", book.texts.name(span.file), at.line, at.column)
}

/// Pieces that do not read what they must, what the pieces leave open, and the count.
pub fn calibration(book: &Rulebook, result: &Calibration, look: Look) -> String {
    let mut page = Page::new(look);
    for piece in &result.pieces {
        piece_result(book, piece, &mut page);
    }
    for (of, what, span) in &result.gaps {
        page.paragraph(Style::Plain, &format!("{}: {of}: {what}", place(book, *span)));
    }
    for piece in &result.changed {
        page.paragraph(Style::Plain, "on what stands in for it:");
        piece_result(book, piece, &mut page);
    }
    let wrong = result.pieces.iter().filter(|p| p.verdict != PieceVerdict::Reads).count();
    let (rules, figures, tables) = (book.rules.len(), book.figures.len(), book.tables.len());
    let count = format!(
        "{} check pieces of {rules} rules and {tables} tables ({figures} figures): {} read what they must, {wrong} do not; {} gaps",
        result.pieces.len(),
        result.pieces.len() - wrong,
        result.gaps.len()
    );
    page.paragraph(Style::Strong, &count);
    page.finish()
}

fn piece_result(book: &Rulebook, piece: &PieceResult, page: &mut Page) {
    let of = format!("{}: {}, piece {}", place(book, piece.place), piece.of, piece.number);
    match &piece.verdict {
        PieceVerdict::Reads => {}
        PieceVerdict::Differs(what) => {
            page.paragraph(Style::Plain, &format!("{of}, must read {} but reads {what}", piece.expected));
        }
        PieceVerdict::Unusable(why) => page.paragraph(Style::Plain, &format!("{of}, cannot be used: {why}")),
    }
}

/// Changes of limits and comparisons that no piece noticed, and the count.
pub fn shaking(book: &Rulebook, report: &ShakeReport, look: Look) -> String {
    let mut page = Page::new(look);
    for unnoticed in &report.unnoticed {
        let words =
            format!("{}: {}: {}, and no piece notices", place(book, unnoticed.place), unnoticed.of, unnoticed.what);
        page.paragraph(Style::Plain, &words);
    }
    let count = format!("{} changes tried, {} unnoticed", report.tried, report.unnoticed.len());
    page.paragraph(Style::Strong, &count);
    page.finish()
}
