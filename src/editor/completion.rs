//! What can be written at the place where someone is writing.
//!
//! What may stand there comes from the terms, names from the build as it could last be read to its end.

use std::ops::Range;

use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionList, CompletionParams, CompletionResponse, CompletionTextEdit,
    Documentation, InsertTextFormat, InsertTextMode, MarkupContent, MarkupKind, TextEdit,
};

use super::belongs::{Wanted, Within, naming, wanted, ways_of_knowing, within};
use super::cursor::{Cursor, Writing, cursor};
use super::documents::Document;
use super::judged::Judged;
use super::markdown::plain;
use super::proposals::{self, Proposal};
use super::workplace::Workplace;
use crate::terms::{Field, FieldType, LONG_FORM, ListMembers, RecordId, Step, Types, belongs};

/// What proposals are made from.
pub struct Knowing<'a> {
    /// The build, as it could last be read to its end.
    pub judged: &'a Judged,
    /// Section files that the build could list.
    pub sections: Vec<String>,
}

impl Knowing<'_> {
    /// The types of the terms.
    pub fn types(&self) -> &Types {
        self.judged.spec.types()
    }
}

/// Answers a completion.
pub fn completion(workplace: &Workplace, params: &CompletionParams) -> Option<CompletionResponse> {
    let at = &params.text_document_position;
    let here = workplace.here(&at.text_document.uri)?;
    let judged = here.build.good.as_ref().or(here.build.now.as_ref())?;
    let document = workplace.documents.get(&here.opened.root.join(&here.path))?;
    let byte = document.lines(workplace.client.encoding).byte(at.position) as usize;
    let found = cursor(document.text(), byte);
    let sections = proposals::sections(&here, &workplace.documents);
    let knowing = Knowing { judged, sections };
    let (range, proposals) = proposed(&knowing, &found, document.text(), byte)?;
    let list = Listing { workplace, document, range };
    let items = proposals.into_iter().enumerate().map(|(number, proposal)| list.item(number, proposal)).collect();
    Some(CompletionResponse::List(CompletionList { is_incomplete: false, items }))
}

/// The range that is replaced, and what can stand there.
fn proposed(knowing: &Knowing, found: &Cursor, text: &str, byte: usize) -> Option<(Range<usize>, Vec<Proposal>)> {
    let types = knowing.types();
    let at = within(types, &found.levels)?;
    match &found.writing {
        Writing::Text => None,
        Writing::Value { key, range } => {
            let typed = text.get(range.clone()).unwrap_or_default();
            let proposals = match wanted(types, at, key)? {
                Wanted::Type(ty) => proposals::values(knowing, &found.levels, key, ty, typed),
                Wanted::Quantity(kind) => proposals::quantities(kind, typed, &[]),
                Wanted::KnownBy => ways_of_knowing().iter().map(|word| Proposal::value(word)).collect(),
                Wanted::Day => vec![proposals::today(knowing)],
            };
            Some((range.clone(), proposals))
        }
        Writing::Word { range, colon, item } => {
            let written = found.levels.last().map(|level| level.keys.as_slice()).unwrap_or_default();
            let range = if range.is_empty() { byte..byte } else { range.clone() };
            let proposals = match at {
                Within::Record(record) => keys(knowing, record, written, *colon),
                Within::AnyOf(records) => records.iter().flat_map(|r| keys(knowing, *r, written, *colon)).collect(),
                Within::LongForm(_) => {
                    let parts = LONG_FORM.into_iter().filter(|part| !written.iter().any(|w| w == part));
                    parts.map(|part| Proposal::key(part, *colon)).collect()
                }
                Within::Member(ty) => {
                    let key = found.levels.iter().rev().find_map(|level| match &level.step {
                        super::cursor::Step::Key(key) => Some(key.as_str()),
                        _ => None,
                    });
                    let typed = text.get(range.clone()).unwrap_or_default();
                    proposals::values(knowing, &found.levels, key.unwrap_or_default(), ty, typed)
                }
                Within::List(list) if !*item => match &types.list(list).members {
                    ListMembers::Records(records) => {
                        records.iter().filter_map(|record| new_item(types, *record)).collect()
                    }
                    ListMembers::Values(_) => Vec::new(),
                },
                Within::List(_) => Vec::new(),
            };
            Some((range, proposals))
        }
    }
}

/// The keys of a record that are not written yet: its name first, then what rules wait for, then the others.
fn keys(knowing: &Knowing, record: RecordId, written: &[String], colon: bool) -> Vec<Proposal> {
    let types = knowing.types();
    let ty = types.record(record);
    let asked = asked_for(knowing.judged, record);
    let rank = |at: usize| {
        if ty.naming.is_some_and(|slot| usize::from(slot.0) == at) {
            0
        } else if asked.contains(&at) {
            1
        } else {
            2
        }
    };
    let fields = ty.fields.iter().enumerate().filter(|(_, field)| !written.iter().any(|key| **key == *field.name));
    let mut fields: Vec<(usize, &Field)> = fields.collect();
    fields.sort_by_key(|(at, _)| (rank(*at), *at));
    fields.into_iter().map(|(at, field)| key(types, field, colon, rank(at) == 1)).collect()
}

/// Keys of records of a type which rules wait for.
fn asked_for(judged: &Judged, record: RecordId) -> Vec<usize> {
    let mut slots = Vec::new();
    for judgement in &judged.assessment.judgements {
        let crate::assess::Outcome::Unmeasured { missing, .. } = &judgement.outcome else { continue };
        for value in missing {
            let place = judged.spec.place(value.place);
            let of = place.parent.map(|parent| judged.spec.held(parent));
            if let (Step::Key(slot), Some(crate::terms::Held::Record { ty, .. })) = (place.at, of)
                && *ty == record
                && !slots.contains(&usize::from(slot.0))
            {
                slots.push(usize::from(slot.0));
            }
        }
    }
    slots
}

fn key(types: &Types, field: &Field, colon: bool, asked: bool) -> Proposal {
    let mut proposal = Proposal::key(&field.name, colon);
    proposal.detail = Some(format!("{}{}", belongs(types, &field.ty), if asked { " · rules wait for it" } else { "" }));
    let examples: Vec<String> = field.examples.iter().map(|example| format!("`{example}`")).collect();
    let examples =
        if examples.is_empty() { String::new() } else { format!("\n\nFor example: {}", examples.join(", ")) };
    proposal.about = Some(format!("{}{examples}", plain(&field.description)));
    if colon {
        return proposal;
    }
    proposal.snippet = match &field.ty {
        FieldType::Record(_) => format!("{}:\n  $0", field.name),
        FieldType::List(list) => match &types.list(*list).members {
            ListMembers::Records(records) => match records.first().and_then(|record| naming(types, *record)) {
                Some(naming) => format!("{}:\n  - {naming}: $0", field.name),
                None => format!("{}:\n  - $0", field.name),
            },
            ListMembers::Values(_) => format!("{}: [$0]", field.name),
        },
        _ => format!("{}: $0", field.name),
    };
    proposal
}

/// A new item of a list, by its name.
fn new_item(types: &Types, record: RecordId) -> Option<Proposal> {
    let naming = naming(types, record)?;
    let mut proposal = Proposal::value(&format!("- {naming}:"));
    proposal.snippet = format!("- {naming}: $0");
    proposal.about = Some(plain(&types.record(record).description));
    proposal.kind = CompletionItemKind::STRUCT;
    Some(proposal)
}

struct Listing<'a> {
    workplace: &'a Workplace,
    document: &'a Document,
    range: Range<usize>,
}

impl Listing<'_> {
    fn item(&self, number: usize, proposal: Proposal) -> CompletionItem {
        let lines = self.document.lines(self.workplace.client.encoding);
        let range = lines.range(self.range.start as u32..self.range.end as u32);
        let snippets = self.workplace.client.snippets;
        let new_text = if snippets { proposal.snippet } else { proposals::without_gaps(&proposal.snippet) };
        let documentation = proposal
            .about
            .map(|value| Documentation::MarkupContent(MarkupContent { kind: MarkupKind::Markdown, value }));
        CompletionItem {
            label: proposal.label,
            kind: Some(proposal.kind),
            detail: proposal.detail,
            documentation,
            // Clients sort by this text, and what is first here is meant to stay first.
            sort_text: Some(format!("{number:04}")),
            filter_text: proposal.filter,
            insert_text_format: Some(if snippets { InsertTextFormat::SNIPPET } else { InsertTextFormat::PLAIN_TEXT }),
            insert_text_mode: Some(InsertTextMode::ADJUST_INDENTATION),
            text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text })),
            ..CompletionItem::default()
        }
    }
}
