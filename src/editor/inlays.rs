//! Figures beside the values that they come from: the angle of a joint beside a slope, a pressure beside a bore.

use std::collections::BTreeMap;

use lsp_types::{InlayHint, InlayHintLabel, InlayHintParams, InlayHintTooltip};

use super::judged::Judged;
use super::position::Lines;
use super::workplace::Workplace;
use crate::assess::FigureReading;
use crate::language::{Piece, Role};
use crate::source::FileId;
use crate::terms::{Held, PlaceId};

/// How many figures are shown beside one subject.
const MOST: usize = 3;

/// The figures of the subjects in a range of lines, each beside the subject's name or key.
pub fn hints(workplace: &Workplace, params: &InlayHintParams) -> Option<Vec<InlayHint>> {
    if !workplace.settings.figures {
        return None;
    }
    let here = workplace.here(&params.text_document.uri)?;
    let book = here.opened.book()?;
    let judged: &Judged = here.build.now.as_ref()?;
    let file = judged.file(&here.path)?;
    let lines = Lines::of(&judged.spec.sources, file, workplace.client.encoding);
    let (from, to) = (lines.byte(params.range.start), lines.byte(params.range.end));
    let mut beside: BTreeMap<u32, Vec<(String, String)>> = BTreeMap::new();
    let places = nearest_values(judged, file);
    for figure in judged.figures(book) {
        let FigureReading::Quantity { shown, .. } = &figure.reading else { continue };
        let Some(place) = places.get(&(figure.figure, figure.subject.clone())) else { continue };
        let at = judged.spec.place(*place).span.end;
        let Some(entry) = judged.assessment.index.figures.get(figure.figure) else { continue };
        if (from..=to).contains(&at) {
            let about = format!("{} of {}: {}", entry.name, figure.subject, entry.means);
            beside.entry(at).or_default().push((format!("{} {shown}", entry.name.replace('_', " ")), about));
        }
    }
    let hints = beside.into_iter().map(|(at, figures)| {
        let labels: Vec<&str> = figures.iter().take(MOST).map(|(label, _)| label.as_str()).collect();
        let about: Vec<&str> = figures.iter().map(|(_, about)| about.as_str()).collect();
        InlayHint {
            position: lines.position(at),
            label: InlayHintLabel::String(labels.join(", ")),
            kind: None,
            text_edits: None,
            tooltip: Some(InlayHintTooltip::String(about.join("\n"))),
            padding_left: Some(true),
            padding_right: None,
            data: None,
        }
    });
    Some(hints.collect())
}

/// For each figure of a subject, the first value in the file that goes into it by a rule, within the subject if there is one.
fn nearest_values(judged: &Judged, file: FileId) -> BTreeMap<(usize, String), PlaceId> {
    let spec = &judged.spec;
    let mut found: BTreeMap<(usize, String), (bool, PlaceId)> = BTreeMap::new();
    for judgement in &judged.assessment.judgements {
        for flat in judged.assessment.evidence(judgement) {
            let (Piece::Place(place), Some((figure, subject))) = (flat.piece, flat.through) else { continue };
            let written = matches!(spec.held(place), Held::Quantity(_)) && spec.place(place).span.file == file;
            if !written || flat.role == Role::Considered {
                continue;
            }
            let within = std::iter::successors(Some(place), |at| spec.place(*at).parent).any(|at| at == subject);
            let better = (!within, place);
            let key = (usize::from(figure.0), spec.path(subject));
            let entry = found.entry(key).or_insert(better);
            *entry = (*entry).min(better);
        }
    }
    found.into_iter().map(|(key, (_, place))| (key, place)).collect()
}
