//! A value that rules wait for, put in as a key to be filled in: its unit and an example stand behind it as a comment, for
//! no example is a measurement.

use super::{Asked, Offer};
use crate::assess::needed;
use crate::editor::steps::{put, steps_below};
use crate::editor::units::usual;
use crate::source::{NewValue, Span};
use crate::terms::FieldType;

/// How many missing values of one place are offered; the most useful first.
const MOST: usize = 16;

/// Stands for the value until the text is made.
const GAP: &str = "to-be-measured-0";

/// Missing values of what is marked.
pub fn offers(asked: &Asked) -> Vec<Offer> {
    let judged = asked.judged;
    let all = needed(&judged.assessment, &judged.spec);
    let here = all.iter().filter(|value| asked.touches(first_line(asked, value.span)));
    let offered = here.filter_map(|value| {
        let place = judged.assessment.judgements.iter().find_map(|judgement| {
            let crate::assess::Outcome::Unmeasured { missing, .. } = &judgement.outcome else { return None };
            missing.iter().find(|m| m.path == value.path).map(|m| m.place)
        })?;
        let (steps, ty) = steps_below(&judged.spec, place, &value.path)?;
        if matches!(ty, FieldType::Record(_) | FieldType::List(_)) {
            return None;
        }
        let unit = match &ty {
            FieldType::Quantity(kind) => usual(*kind).first().map(|(unit, _)| format!("in {unit}")),
            FieldType::Choice(choices) => Some(format!("one of: {}", choices.join(", "))),
            _ => None,
        };
        let choice = matches!(ty, FieldType::Choice(_));
        let example = value.example.as_ref().filter(|_| !choice).map(|example| format!("for example {example}"));
        let comment: Vec<String> = unit.into_iter().chain(example).collect();
        let comment = if comment.is_empty() { String::new() } else { format!(" # {}", comment.join(", ")) };
        let wanted = [(steps, NewValue::Plain(GAP.into()))];
        let changed = put(judged, asked.path, &wanted, |text| filled(text, &comment))?;
        let about = Some(first_line(asked, value.span));
        Some(Offer { title: format!("Put in `{}`", value.path), mends: true, preferred: false, about, changed })
    });
    offered.take(MOST).collect()
}

/// The text with the comment in the gap. Within brackets it would hide what follows; there the gap stays empty.
fn filled(text: &str, comment: &str) -> String {
    let Some((before, after)) = text.split_once(GAP) else { return text.to_owned() };
    let ends_line = after.is_empty() || after.starts_with(['\n', '\r']);
    if ends_line { format!("{}{comment}{after}", before.trim_end_matches(' ')) } else { format!("{before}{after}") }
}

fn first_line(asked: &Asked, span: Span) -> Span {
    let line = asked.judged.spec.sources.slice(span).lines().next().unwrap_or_default();
    Span { end: span.start + line.len() as u32, ..span }
}
