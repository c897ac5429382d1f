//! Ways through a build: from a reference to what it names, from a name to everything that refers to it, from a finding to its
//! rule, from `sections` to the file.

use std::collections::HashMap;

use lsp_types::{
    GotoDefinitionParams, GotoDefinitionResponse, Location, Position, PrepareRenameResponse, ReferenceParams,
    RenameParams, TextDocumentPositionParams, TextEdit, Uri, WorkspaceEdit,
};

use super::cursor::{Writing, cursor};
use super::judged::Judged;
use super::opened::Opened;
use super::position::range_of;
use super::proposals::quoted;
use super::target::{mentions, name_of, target_at};
use super::workplace::{Here, Workplace};
use crate::source::{FileId, PART_KEY, Sources, Span};
use crate::terms::{Held, Step};

/// A position in a judged build.
struct At<'a> {
    here: Here<'a>,
    judged: &'a Judged,
    file: FileId,
    byte: u32,
}

fn at<'a>(workplace: &'a Workplace, uri: &Uri, position: Position) -> Option<At<'a>> {
    let here = workplace.here(uri)?;
    let judged: &Judged = here.build.now.as_ref()?;
    let (file, byte) = workplace.byte(&here, judged, position)?;
    Some(At { here, judged, file, byte })
}

impl At<'_> {
    fn location(&self, workplace: &Workplace, span: Span) -> Option<Location> {
        location(workplace, self.here.opened, &self.judged.spec.sources, span)
    }
}

fn location(workplace: &Workplace, opened: &Opened, texts: &Sources, span: Span) -> Option<Location> {
    let uri = workplace.address(opened, texts.name(span.file))?;
    Some(Location { uri, range: range_of(texts, span, workplace.client.encoding) })
}

/// Where what is pointed at is named: a component by a reference, a section file by its entry, an own rule by a finding or a
/// concession.
pub fn definition(workplace: &Workplace, params: &GotoDefinitionParams) -> Option<GotoDefinitionResponse> {
    let TextDocumentPositionParams { text_document, position } = &params.text_document_position_params;
    let at = at(workplace, &text_document.uri, *position)?;
    let mut found: Vec<Location> = Vec::new();
    if let Some(target) = target_at(at.judged, at.file, at.byte) {
        let span =
            name_of(&at.judged.spec, target).map_or(at.judged.shown_at(target), |n| at.judged.spec.place(n).span);
        found.extend(at.location(workplace, span));
    }
    found.extend(section(workplace, &at));
    found.extend(sheet(workplace, &at));
    found.extend(rules(workplace, &at));
    (!found.is_empty()).then_some(GotoDefinitionResponse::Array(found))
}

/// The section file that an entry of `sections` names.
fn section(workplace: &Workplace, at: &At) -> Option<Location> {
    let spec = &at.judged.spec;
    let found = at.judged.place_at(at.file, at.byte)?;
    let list = spec.place(found.place).parent.filter(|_| matches!(spec.place(found.place).at, Step::Item(_)))?;
    let Held::Text(name) = spec.held(found.place) else { return None };
    if spec.path(list) != "sections" {
        return None;
    }
    let folder = at.here.path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let path = if folder.is_empty() { name.to_string() } else { format!("{folder}/{name}") };
    let file = at.judged.file(&path)?;
    at.location(workplace, Span { file, start: 0, end: 0 })
}

/// The data sheet that a `part` names.
fn sheet(workplace: &Workplace, at: &At) -> Option<Location> {
    let texts = &at.judged.spec.sources;
    let Writing::Value { key, range } = cursor(texts.text(at.file), at.byte as usize).writing else { return None };
    let name = texts.text(at.file).get(range).filter(|_| key == PART_KEY)?;
    let name = name.trim_matches(['"', '\'']).trim_start_matches("../").trim_start_matches("./");
    let named = |file: &FileId| texts.name(*file).strip_suffix(name).is_some_and(|f| f.is_empty() || f.ends_with('/'));
    let file = texts.ids().filter(|file| at.judged.spec.sheets().holds(*file)).find(named)?;
    at.location(workplace, Span { file, start: 0, end: 0 })
}

/// The repository's own rules that are broken here, or that a concession here names. Built-in rules have no file to go to.
fn rules(workplace: &Workplace, at: &At) -> Vec<Location> {
    let Some(book) = at.here.opened.book() else { return Vec::new() };
    let spec = &at.judged.spec;
    let mut names: Vec<&str> = Vec::new();
    for (judgement, _, finding) in at.judged.assessment.broken() {
        let span = at.judged.finding_at(finding, judgement);
        if span.is_some_and(|span| span.file == at.file && (span.start..=span.end).contains(&at.byte)) {
            names.extend(book.rules.get(judgement.rule).map(|rule| &*rule.name));
        }
    }
    if let Some(Held::Text(text)) = at.judged.place_at(at.file, at.byte).map(|found| spec.held(found.place)) {
        names.push(text);
    }
    let own = book.rules.iter().filter(|rule| rule.own && names.contains(&&*rule.name));
    own.filter_map(|rule| location(workplace, at.here.opened, &book.texts, rule.name_place)).collect()
}

/// Everything that refers to the component that is pointed at.
pub fn references(workplace: &Workplace, params: &ReferenceParams) -> Option<Vec<Location>> {
    let TextDocumentPositionParams { text_document, position } = &params.text_document_position;
    let at = at(workplace, &text_document.uri, *position)?;
    let target = target_at(at.judged, at.file, at.byte)?;
    let (name, refers) = mentions(&at.judged.spec, target);
    let name = name.filter(|_| params.context.include_declaration);
    Some(name.into_iter().chain(refers).filter_map(|span| at.location(workplace, span)).collect())
}

/// Whether what is pointed at can be given another name.
pub fn prepare_rename(workplace: &Workplace, params: &TextDocumentPositionParams) -> Option<PrepareRenameResponse> {
    let at = at(workplace, &params.text_document.uri, params.position)?;
    let target = target_at(at.judged, at.file, at.byte)?;
    name_of(&at.judged.spec, target)?;
    let span = at.judged.place_at(at.file, at.byte)?.span;
    Some(PrepareRenameResponse::Range(range_of(&at.judged.spec.sources, span, workplace.client.encoding)))
}

/// Gives a component another name, here and wherever it is referred to, and in the subjects of concessions.
#[allow(clippy::mutable_key_type)]
pub fn rename(workplace: &Workplace, params: &RenameParams) -> Option<WorkspaceEdit> {
    let TextDocumentPositionParams { text_document, position } = &params.text_document_position;
    let at = at(workplace, &text_document.uri, *position)?;
    let spec = &at.judged.spec;
    let target = target_at(at.judged, at.file, at.byte)?;
    let new = params.new_name.trim();
    if new.is_empty() || new.contains('\n') {
        return None;
    }
    let (name, refers) = mentions(spec, target);
    let mut edits: Vec<(Span, String)> = name.into_iter().chain(refers).map(|span| (span, quoted(new))).collect();
    // A part of the path is the old name, wherever a concession names the component or something in it.
    let old = spec.path(target);
    let path = format!("{}{new}", old.strip_suffix(spec.name(target)?)?);
    for (place, entry) in spec.places() {
        if let Held::Text(text) = &entry.held
            && spec.field(place).is_some_and(|field| &*field.name == "subject")
            && spec.path(place).starts_with("concessions/")
            && let Some(rest) = text.strip_prefix(&old).filter(|rest| rest.is_empty() || rest.starts_with(['.', '/']))
        {
            edits.push((entry.span, quoted(&format!("{path}{rest}"))));
        }
    }
    let mut changes: HashMap<Uri, Vec<TextEdit>> = HashMap::new();
    for (span, new_text) in edits {
        let Location { uri, range } = at.location(workplace, span)?;
        changes.entry(uri).or_default().push(TextEdit { range, new_text });
    }
    Some(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() })
}
