//! The parts of a build as an outline, and its components by name.

use lsp_types::{
    DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, Location, SelectionRange, SelectionRangeParams,
    SymbolInformation, SymbolKind, WorkspaceSymbolParams, WorkspaceSymbolResponse,
};

use super::judged::Judged;
use super::position::{Lines, range_of};
use super::workplace::Workplace;
use crate::assess::shown;
use crate::source::{FileId, Span};
use crate::terms::{Held, PlaceId, Step};

/// How many components are given for one question.
const MOST: usize = 500;

/// The outline of a text.
pub fn of_document(workplace: &Workplace, params: &DocumentSymbolParams) -> Option<DocumentSymbolResponse> {
    let here = workplace.here(&params.text_document.uri)?;
    let judged: &Judged = here.build.now.as_ref()?;
    let file = judged.file(&here.path)?;
    let lines = Lines::of(&judged.spec.sources, file, workplace.client.encoding);
    let outline = Outline { judged, lines, file };
    Some(DocumentSymbolResponse::Nested(outline.below(judged.spec.root())))
}

struct Outline<'a> {
    judged: &'a Judged,
    lines: Lines<'a>,
    file: FileId,
}

impl Outline<'_> {
    /// What stands in a record or list. A section that several files share is shown in each, with what that file says.
    fn below(&self, place: PlaceId) -> Vec<DocumentSymbol> {
        let spec = &self.judged.spec;
        let parts: Vec<PlaceId> = match spec.held(place) {
            Held::Record { ty, first } => {
                let count = spec.types().record(*ty).fields.len() as u32;
                (first.0..first.0 + count).map(PlaceId).collect()
            }
            Held::List { items, .. } => items.to_vec(),
            _ => return Vec::new(),
        };
        let mut symbols: Vec<DocumentSymbol> = parts.into_iter().filter_map(|part| self.symbol(part)).collect();
        symbols.sort_by_key(|symbol| (symbol.range.start.line, symbol.range.start.character));
        symbols
    }

    fn symbol(&self, place: PlaceId) -> Option<DocumentSymbol> {
        let spec = &self.judged.spec;
        let entry = spec.place(place);
        if matches!(entry.held, Held::Unwritten) {
            return None;
        }
        let children = self.below(place);
        let label = self.judged.shown_at(place);
        let whole = Span { start: entry.key_span.map_or(entry.span.start, |key| key.start), ..entry.span };
        let (name, kind) = match (entry.at, &entry.held) {
            (Step::Item(index), Held::Record { .. }) => {
                let name = spec.name(place).map_or_else(|| (index + 1).to_string(), str::to_owned);
                (name, SymbolKind::OBJECT)
            }
            (Step::Item(_), _) => return None,
            (_, held) => {
                let kind = match held {
                    Held::Record { .. } => SymbolKind::MODULE,
                    Held::List { .. } => SymbolKind::ARRAY,
                    Held::Quantity(_) => SymbolKind::NUMBER,
                    Held::Reference(_) => SymbolKind::VARIABLE,
                    _ => SymbolKind::PROPERTY,
                };
                (spec.field(place)?.name.to_string(), kind)
            }
        };
        let mine = whole.file == self.file && label.file == self.file;
        if name.is_empty() || !mine && children.is_empty() {
            return None;
        }
        let (range, selection_range) = if mine {
            let start = whole.start.min(label.start);
            (self.lines.range(start..whole.end.max(label.end)), self.lines.range(label.start..label.end))
        } else {
            let first = children.first()?;
            (lsp_types::Range { start: first.range.start, end: children.last()?.range.end }, first.selection_range)
        };
        #[allow(deprecated)]
        Some(DocumentSymbol {
            name,
            detail: Some(shown(spec, place)).filter(|words| !words.is_empty()),
            kind,
            tags: None,
            deprecated: None,
            range,
            selection_range,
            children: (!children.is_empty()).then_some(children),
        })
    }
}

/// Named components of the open builds whose name or path holds what is asked for, in any case.
pub fn of_workspace(workplace: &Workplace, params: &WorkspaceSymbolParams) -> Option<WorkspaceSymbolResponse> {
    let wanted = params.query.to_lowercase();
    let mut found = Vec::new();
    for (opened, build) in workplace.builds() {
        let Some(judged) = &build.now else { continue };
        let spec = &judged.spec;
        for (place, entry) in spec.places() {
            let (Step::Item(_), Some(name)) = (entry.at, spec.name(place)) else { continue };
            let path = spec.path(place);
            if found.len() >= MOST || !path.to_lowercase().contains(&wanted) {
                continue;
            }
            let span = judged.shown_at(place);
            let Some(uri) = workplace.address(opened, spec.sources.name(span.file)) else { continue };
            let location = Location { uri, range: range_of(&spec.sources, span, workplace.client.encoding) };
            #[allow(deprecated)]
            found.push(SymbolInformation {
                name: name.to_owned(),
                kind: SymbolKind::OBJECT,
                tags: None,
                deprecated: None,
                location,
                container_name: Some(path),
            });
        }
    }
    Some(WorkspaceSymbolResponse::Flat(found))
}

/// What is marked when a mark grows: the value, its key with it, and so on outwards.
pub fn selections(workplace: &Workplace, params: &SelectionRangeParams) -> Option<Vec<SelectionRange>> {
    let here = workplace.here(&params.text_document.uri)?;
    let judged: &Judged = here.build.now.as_ref()?;
    let file = judged.file(&here.path)?;
    let lines = Lines::of(&judged.spec.sources, file, workplace.client.encoding);
    let grown = params.positions.iter().map(|position| {
        let byte = lines.byte(*position);
        let mut spans: Vec<Span> = Vec::new();
        let mut at = judged.place_at(file, byte).map(|found| {
            spans.push(found.span);
            found.place
        });
        while let Some(place) = at {
            let entry = judged.spec.place(place);
            let whole = Span { start: entry.key_span.map_or(entry.span.start, |key| key.start), ..entry.span };
            spans.extend([entry.span, whole]);
            at = entry.parent;
        }
        let mut outer: Option<SelectionRange> = None;
        // Each must hold the one within it; a part of another file holds nothing here.
        let mut widest: Vec<Span> = Vec::new();
        for span in spans.into_iter().filter(|span| span.file == file) {
            let grows = widest.last().is_none_or(|w| span.start <= w.start && w.end <= span.end && span != *w);
            if grows && (span.start..=span.end).contains(&byte) {
                widest.push(span);
            }
        }
        for span in widest.into_iter().rev() {
            let range = lines.range(span.start..span.end);
            outer = Some(SelectionRange { range, parent: outer.map(Box::new) });
        }
        let point = lsp_types::Range { start: *position, end: *position };
        outer.unwrap_or(SelectionRange { range: point, parent: None })
    });
    Some(grown.collect())
}
