//! Slips of writing, mended: a misspelt key, word or name, a number without its unit, a comma in it, a value that was taken for
//! a comment.

use super::{Asked, Offer};
use crate::editor::proposals::quoted;
use crate::editor::units::{usual, written};
use crate::quantity::{QuantityError, QuantityProblem, UnitProblem, parse};
use crate::source::Span;
use crate::terms::{TermsError, TermsProblem};

/// What can be mended in what is marked.
pub fn offers(asked: &Asked) -> Vec<Offer> {
    let errors = asked.judged.terms_errors.iter().filter(|error| asked.touches(error.span));
    errors.flat_map(|error| mended(asked, error)).collect()
}

fn mended(asked: &Asked, error: &TermsError) -> Vec<Offer> {
    let offer = |title: String, span: Span, text: String, preferred: bool| Offer {
        title,
        mends: true,
        preferred,
        about: Some(error.span),
        changed: asked.replacing(span, text),
    };
    match &error.problem {
        TermsProblem::UnknownKey { nearest: Some(nearest), .. } => {
            vec![offer(format!("Write `{nearest}`"), error.span, nearest.to_string(), true)]
        }
        TermsProblem::UnknownChoice { nearest: Some(nearest), .. }
        | TermsProblem::Dangling { nearest: Some(nearest), .. } => {
            vec![offer(format!("Write `{nearest}`"), error.span, quoted(nearest), true)]
        }
        TermsProblem::Nothing { comment: Some(comment), .. } => {
            vec![offer("Put it in quotes".into(), error.span, serde_json::Value::from(&**comment).to_string(), true)]
        }
        TermsProblem::Quantity(problem) => quantity(asked, error.span, problem)
            .into_iter()
            .enumerate()
            .map(|(at, (span, text))| offer(format!("Write `{text}`"), span, text, at == 0))
            .collect(),
        _ => Vec::new(),
    }
}

/// Ways to write a quantity that cannot be read, each tried before it is offered.
fn quantity(asked: &Asked, span: Span, error: &QuantityError) -> Vec<(Span, String)> {
    let kind = error.kind;
    let piece = asked.judged.spec.sources.slice(span);
    let candidates: Vec<String> = match &error.problem {
        QuantityProblem::MissingUnit => usual(kind).into_iter().map(|(unit, _)| written(piece.trim(), unit)).collect(),
        QuantityProblem::DecimalComma(write) | QuantityProblem::MassForForce(write) => vec![write.to_string()],
        QuantityProblem::Unit(UnitProblem::Ambiguous(choices, _)) => choices.iter().map(|c| (*c).to_owned()).collect(),
        _ => Vec::new(),
    };
    // The piece can be a part of the value: what counts is that the whole can be read afterwards.
    let whole = asked
        .judged
        .place_at(span.file, span.start)
        .map(|found| found.span)
        .filter(|whole| whole.start <= span.start && span.end <= whole.end);
    let whole = whole.unwrap_or(span);
    let texts = &asked.judged.spec.sources;
    let before = texts.slice(Span { end: span.start, ..whole });
    let after = texts.slice(Span { start: span.end, ..whole });
    let reads = |new: &String| {
        let text = format!("{before}{new}{after}");
        let bare = text.trim_matches(['"', '\'']);
        // In the long form only the piece itself is known.
        parse(bare, kind).is_ok() || (text.starts_with('{') || text.contains('\n')) && parse(new, kind).is_ok()
    };
    candidates.into_iter().filter(reads).map(|text| (span, text)).collect()
}
