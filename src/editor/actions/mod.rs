//! What can be put right with one key: changes of the spec's files that are offered where the pointer stands.
//!
//! Each is worked out on the judgement of the text as it is, one file for each sort; nothing is offered that would not do
//! what it says.

mod concession;
mod convert;
mod limit;
mod missing;
mod slip;

use std::collections::HashMap;

use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse, Diagnostic, TextEdit, Uri,
    WorkspaceEdit,
};

use super::judged::Judged;
use super::position::Lines;
use super::steps::Changed;
use super::workplace::{Here, Workplace};
use crate::rulebook::Rulebook;
use crate::source::{FileId, Span};

/// Where actions are asked for.
pub struct Asked<'a> {
    /// The build.
    pub judged: &'a Judged,
    /// The rulebook.
    pub book: &'a Rulebook,
    /// The path of the file.
    pub path: &'a str,
    /// The file.
    pub file: FileId,
    /// First and last byte of what is marked.
    pub from: u32,
    /// The last.
    pub to: u32,
}

/// A change that is offered.
pub struct Offer {
    /// What it does, in words.
    pub title: String,
    /// Whether it mends what a diagnostic says, or only writes the same in another way.
    pub mends: bool,
    /// Whether it is the one that is most likely meant.
    pub preferred: bool,
    /// Where the diagnostic stands that it mends.
    pub about: Option<Span>,
    /// What it changes.
    pub changed: Changed,
}

impl Asked<'_> {
    /// Whether a place meets what is marked.
    pub fn touches(&self, span: Span) -> bool {
        span.file == self.file && span.start <= self.to && self.from <= span.end
    }

    /// A replacement of a place in the file.
    pub fn replacing(&self, span: Span, text: String) -> Changed {
        Changed {
            path: self.judged.spec.sources.name(span.file).to_owned(),
            range: span.start as usize..span.end as usize,
            text,
        }
    }
}

/// Answers a question for code actions.
pub fn actions(workplace: &Workplace, params: &CodeActionParams) -> Option<CodeActionResponse> {
    let here = workplace.here(&params.text_document.uri)?;
    let judged = here.build.now.as_ref()?;
    let file = judged.file(&here.path)?;
    let lines = Lines::of(&judged.spec.sources, file, workplace.client.encoding);
    let (from, to) = (lines.byte(params.range.start), lines.byte(params.range.end));
    let book = here.opened.book()?;
    let asked = Asked { judged, book, path: &here.path, file, from, to };
    let wanted = |mends: bool| {
        let kind = if mends { "quickfix" } else { "refactor.rewrite" };
        let fits = |only: &CodeActionKind| kind == only.as_str() || kind.starts_with(&format!("{}.", only.as_str()));
        params.context.only.as_ref().is_none_or(|only| only.iter().any(fits))
    };
    let mut offers = Vec::new();
    if wanted(true) {
        offers.extend(slip::offers(&asked));
        offers.extend(limit::offers(&asked));
        offers.extend(missing::offers(&asked));
        offers.extend(concession::offers(&asked));
    }
    if wanted(false) {
        offers.extend(convert::offers(&asked));
    }
    let made =
        offers.into_iter().filter_map(|offer| action(workplace, &here, judged, offer, &params.context.diagnostics));
    Some(made.map(CodeActionOrCommand::CodeAction).collect())
}

#[allow(clippy::mutable_key_type)]
fn action(
    workplace: &Workplace,
    here: &Here,
    judged: &Judged,
    offer: Offer,
    shown: &[Diagnostic],
) -> Option<CodeAction> {
    let encoding = workplace.client.encoding;
    let file = judged.file(&offer.changed.path)?;
    let lines = Lines::of(&judged.spec.sources, file, encoding);
    let range = lines.range(offer.changed.range.start as u32..offer.changed.range.end as u32);
    let uri: Uri = workplace.address(here.opened, &offer.changed.path)?;
    let edit = TextEdit { range, new_text: offer.changed.text };
    let about = offer.about.map(|span| super::position::range_of(&judged.spec.sources, span, encoding));
    let mended: Vec<Diagnostic> = shown.iter().filter(|d| Some(d.range) == about).cloned().collect();
    Some(CodeAction {
        title: offer.title,
        kind: Some(if offer.mends { CodeActionKind::QUICKFIX } else { CodeActionKind::REFACTOR_REWRITE }),
        diagnostics: (!mended.is_empty()).then_some(mended),
        edit: Some(WorkspaceEdit { changes: Some(HashMap::from([(uri, vec![edit])])), ..WorkspaceEdit::default() }),
        is_preferred: offer.preferred.then_some(true),
        ..CodeAction::default()
    })
}
