//! What a sheet is compared with: the same build at another revision, and the way from each value of the page to its counterpart.
//!
//! What counts as changed is what [`crate::history::compare`] found, and nothing else. A value of the older revision carries
//! `data-before`, the JSON pointer of the same value below `before` in [`super::sheet_json`]; a difference carries that of the
//! comparison's own, below `compared`. What changed carries `data-change`, the pointer of what is said of it there.

use super::super::comparison::{Compared, turn};
use super::{Judged, shown};
use crate::assess::{Assessment, FigureReading, FigureValue, Finding, Judgement, Margin};
use crate::history::compare::{Comparison, FigureMove, MarginMove, Turn, Verdict};
use crate::terms::PlaceId;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// The revision that a sheet is compared with.
pub struct SheetBefore<'a> {
    /// The revision as it was asked for.
    pub name: &'a str,
    /// The name of its commit.
    pub commit: &'a str,
    /// The same in as few digits as are shown.
    pub short: &'a str,
    /// The comparison, and what is wrong with either side.
    pub compared: Compared<'a>,
}

impl<'a> SheetBefore<'a> {
    /// The build as it was.
    pub(super) fn judged(&self) -> Judged<'a> {
        let Compared { path, old_path, comparison, old_errors, .. } = self.compared;
        Judged { path: old_path.unwrap_or(path), assessment: &comparison.before, errors: old_errors, needed: &[] }
    }
}

/// A judgement's rule, place and subject.
type OutcomeKey<'a> = (usize, Option<PlaceId>, &'a str);

/// The older revision, with what of it belongs to what of the page.
pub(super) struct Was<'a> {
    /// The revision.
    pub before: &'a SheetBefore<'a>,
    /// Outcomes and figures of the older revision.
    pub assessment: &'a Assessment,
    moves: BTreeMap<(usize, &'a str), usize>,
    figures: BTreeMap<(usize, &'a str), usize>,
    verdicts: BTreeMap<OutcomeKey<'a>, usize>,
    margins: BTreeMap<(usize, &'a str), (&'static str, usize)>,
}

/// A figure that is another one than before.
#[derive(Clone, Copy)]
pub(super) struct Moved<'a> {
    /// Its number in the comparison.
    pub number: usize,
    /// What is said of it there.
    pub figure: &'a FigureMove,
    /// Its number in the older assessment, where it was there.
    pub at: Option<usize>,
}

/// What became of an outcome.
#[derive(Clone, Copy, Default)]
pub(super) struct Turned<'a> {
    /// How it turned, with its number in the comparison; a finding that is still there has not turned.
    pub verdict: Option<(usize, &'a Verdict)>,
    /// How its margin moved, with the pointer of that in the JSON and whether it is by enough to be told.
    pub margin: Option<(&'static str, usize, &'a MarginMove)>,
    /// The outcome before, with its number in the older assessment.
    pub old: Option<(usize, &'a Judgement)>,
}

/// The list of margins that moved by enough to be told, in the JSON.
const MARGINS: &str = "/compared/margins";

/// The list of those that moved by less.
const MARGINS_LEFT_OUT: &str = "/compared/slight_margins";

impl<'a> Was<'a> {
    pub fn new(before: &'a SheetBefore<'a>) -> Was<'a> {
        let c: &'a Comparison = before.compared.comparison;
        let margins = |list: &'static str, all: &'a [MarginMove]| {
            all.iter().enumerate().map(move |(n, m)| ((m.rule, &*m.subject), (list, n)))
        };
        Was {
            before,
            assessment: &c.before,
            moves: c.figures.iter().enumerate().map(|(n, m)| ((m.figure, &*m.subject), n)).collect(),
            figures: c.before.figures.iter().enumerate().map(|(n, f)| ((f.figure, &*f.subject), n)).collect(),
            verdicts: c.verdicts.iter().enumerate().filter_map(|(n, v)| Some((key(v.new.as_ref()?), n))).collect(),
            margins: margins(MARGINS_LEFT_OUT, &c.margins_left_out).chain(margins(MARGINS, &c.margins)).collect(),
        }
    }

    /// The comparison.
    pub fn comparison(&self) -> &'a Comparison {
        self.before.compared.comparison
    }

    /// How a figure moved, if it did.
    pub fn figure(&self, figure: usize, subject: &str) -> Option<Moved<'a>> {
        self.moves.get(&(figure, subject)).and_then(|number| self.moved(*number))
    }

    fn moved(&self, number: usize) -> Option<Moved<'a>> {
        let figure = self.comparison().figures.get(number)?;
        let subject = figure.old_subject.as_deref().unwrap_or(&figure.subject);
        let at = figure.old.as_ref().and_then(|_| self.figures.get(&(figure.figure, subject))).copied();
        Some(Moved { number, figure, at })
    }

    /// Figures that are not there any more.
    pub fn all_gone(&self) -> Vec<Moved<'a>> {
        let all = (0..self.comparison().figures.len()).filter_map(|number| self.moved(number));
        all.filter(|m| m.figure.new.is_none()).collect()
    }

    /// Those of a system.
    pub fn gone(&self, system: &str) -> Vec<Moved<'a>> {
        let index = &self.assessment.index;
        let of_system = |m: &Moved| index.figures.get(m.figure.figure).is_some_and(|f| &*f.system == system);
        self.all_gone().into_iter().filter(of_system).collect()
    }

    /// The number of a figure in the older assessment, where it was there.
    pub fn before_of(&self, value: &FigureValue) -> Option<usize> {
        if let Some(moved) = self.figure(value.figure, &value.subject) {
            return moved.at;
        }
        self.figures.get(&(value.figure, &*self.old_subject(&value.subject))).copied()
    }

    /// The path under which a subject stood before; a thing under a new name takes what is in it along.
    pub fn old_subject<'s>(&self, subject: &'s str) -> std::borrow::Cow<'s, str> {
        let renamed = self.comparison().renamed.iter().filter_map(|(old, new)| {
            let rest = subject.strip_prefix(&**new)?;
            (rest.is_empty() || rest.starts_with(['.', '/'])).then_some((new.len(), old, rest))
        });
        match renamed.max_by_key(|(length, ..)| *length) {
            Some((_, old, rest)) => format!("{old}{rest}").into(),
            None => subject.into(),
        }
    }

    /// A figure of the older revision by its number there.
    pub fn older(&self, at: usize) -> Option<&'a FigureValue> {
        self.assessment.figures.get(at)
    }

    /// What became of an outcome, by its number among the newer ones.
    pub fn outcome(&self, at: usize, judgement: &Judgement) -> Turned<'a> {
        let c = self.comparison();
        let number = self.verdicts.get(&key(judgement)).copied();
        let verdict = number.and_then(|n| Some((n, c.verdicts.get(n)?))).filter(|(_, v)| v.turn != Turn::Still);
        let margin = self.margins.get(&(judgement.rule, &*judgement.subject)).and_then(|(list, n)| {
            let all = if *list == MARGINS { &c.margins } else { &c.margins_left_out };
            Some((*list, *n, all.get(*n)?))
        });
        let old = c.outcomes_before.get(at).copied().flatten();
        Turned { verdict, margin, old: old.and_then(|n| Some((n, c.before.judgements.get(n)?))) }
    }

    /// Findings of a system that are none any more: number of the verdict, number of the finding in the older revision.
    pub fn cleared(&self, system: &str) -> Vec<(usize, &'a Verdict, usize, &'a Finding)> {
        let index = &self.assessment.index;
        let found = self.assessment.broken();
        let verdicts = self.comparison().verdicts.iter().enumerate();
        let open = |v: &Verdict| v.new.as_ref().is_some_and(|new| new.finding.is_some());
        let gone = verdicts.filter(|(_, v)| {
            index.rules.get(v.rule).is_some_and(|r| &*r.system == system)
                && v.old.as_ref().is_some_and(|old| old.finding.is_some())
                && !open(v)
        });
        gone.filter_map(|(n, v)| {
            let old = v.old.as_ref()?;
            let at = found.iter().position(|(j, ..)| key(j) == key(old))?;
            Some((n, v, at, found.get(at)?.2))
        })
        .collect()
    }

    /// The finding of the older revision that an outcome of it was, by its number there.
    pub fn finding(&self, old: &Judgement) -> Option<usize> {
        self.assessment.broken().iter().position(|(j, ..)| key(j) == key(old))
    }

    /// The name of the revision, as it may stand on the page.
    pub fn name(&self) -> std::borrow::Cow<'a, str> {
        shown(self.before.name)
    }
}

fn key(judgement: &Judgement) -> OutcomeKey<'_> {
    (judgement.rule, judgement.place, &judgement.subject)
}

impl Turned<'_> {
    /// Where the comparison tells of it: of the verdict before the margin; nothing where it has nothing to tell.
    pub fn change(&self) -> Option<String> {
        match (self.verdict, self.margin) {
            (Some((n, _)), _) => Some(format!("/compared/verdicts/{n}")),
            (None, Some((MARGINS, n, _))) => Some(format!("{MARGINS}/{n}")),
            _ => None,
        }
    }

    /// Whether its margin moved by enough to be told.
    pub fn is_told(&self) -> bool {
        self.margin.is_some_and(|(list, ..)| list == MARGINS)
    }

    /// The word for it.
    pub fn word(&self) -> Option<String> {
        match (self.verdict, self.margin) {
            (Some((_, verdict)), _) => Some(turn(verdict)),
            (None, Some((MARGINS, _, m))) => Some(if m.shrank { "margin shrank" } else { "margin grew" }.into()),
            _ => None,
        }
    }

    /// The word beside a class that is shown already.
    pub fn word_beside_class(&self) -> Option<String> {
        match self.verdict.map(|(_, verdict)| verdict.turn) {
            Some(Turn::New) => Some("new".into()),
            Some(Turn::GradedUp) => Some("graded up".into()),
            Some(Turn::GradedDown) => Some("graded down".into()),
            Some(Turn::Uncovered) => Some("no longer conceded".into()),
            _ => self.word(),
        }
    }

    /// The margin before, where there was one.
    pub fn old_margin(&self) -> Option<(usize, &Margin)> {
        self.old.and_then(|(at, old)| Some((at, old.margin.as_ref()?)))
    }
}

/// A value of the older revision with its key.
pub(super) fn was(at: &str, text: &str) -> Markup {
    html! { span data-before=(at) { (shown(text)) } }
}

/// A word that says that something changed: heavier than what stands around it, and never by colour.
pub(super) fn change_word(word: &str) -> Markup {
    html! { b.change { (shown(word)) } }
}

/// What a figure was, with its keys.
pub(super) fn reading(at: usize, reading: &FigureReading) -> Markup {
    let base = format!("/figures/{at}");
    match reading {
        FigureReading::Quantity { shown, .. } => was(&format!("{base}/quantity/shown"), shown),
        FigureReading::Words(words) => was(&format!("{base}/words"), words),
        FigureReading::Fields(fields) => html! {
            @for (n, (name, text)) in fields.iter().enumerate() {
                @if n > 0 { ", " }
                (shown(name)) " " (was(&format!("{base}/fields/{name}"), text))
            }
        },
        FigureReading::Curve(_) => html! { "a curve, see the plots" },
        FigureReading::Without(outcome) => was(&format!("{base}/without/outcome"), outcome.word()),
    }
}

/// What became of a figure, in the cell beside its value before.
pub(super) fn difference(moved: &Moved) -> Markup {
    let m = moved.figure;
    let without = |reading: &Option<FigureReading>| matches!(reading, Some(FigureReading::Without(_)));
    let word = match (&m.old, &m.new) {
        (None, _) => "new",
        (_, None) => "gone",
        _ if without(&m.new) => "no value now",
        _ if without(&m.old) => "has a value now",
        (Some(FigureReading::Quantity { .. }), Some(_)) => "other \u{b1}",
        _ => "changed",
    };
    let curve = matches!(m.new, Some(FigureReading::Curve(_)));
    match &m.difference {
        Some(difference) => html! {
            b.change {
                @if curve { "by up to " }
                span data-key=(format!("/compared/figures/{}/difference", moved.number)) { (shown(difference)) }
            }
        },
        None => change_word(word),
    }
}
