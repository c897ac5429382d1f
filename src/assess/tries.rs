//! Tries: what would differ if some values were others. In come a request and, for each variant, the values that it puts in; out
//! comes what differs from the spec as written, variant beside variant. Each is judged in the spec's load cases too.

use super::assessment::{Assessment, Counts, Judgement, Margin, Outcome};
use super::cases::{CaseValue, assess_cases, put_in, values_of};
use super::figures::{FigureReading, FigureValue};
use super::holding::Holding;
use super::judge::Request;
use crate::terms::{PlaceId, Setting};
use std::collections::BTreeMap;

/// What the variants make different.
#[derive(Debug, Clone)]
pub struct Tries {
    /// The spec as written, in its load cases.
    pub written: Assessment,
    /// The variants, in the order given.
    pub variants: Vec<Variant>,
    /// Judgements whose outcome is another in some variant, in the order of the rulebook.
    pub outcomes: Vec<TriedOutcome>,
    /// Judgements whose outcome is the same in every variant and whose margin is not, those first that end nearest to their limit.
    pub margins: Vec<TriedOutcome>,
    /// Figures that are others in some variant, in the order of the rulebook.
    pub figures: Vec<TriedFigure>,
}

/// One variant.
#[derive(Debug, Clone)]
pub struct Variant {
    /// What it puts in.
    pub set: Vec<CaseValue>,
    /// Its outcomes counted.
    pub counts: Counts,
    /// Whether anything in it holds the build up.
    pub held: bool,
    /// Rules that needed more steps than they may take, with their subjects.
    pub exhausted: Vec<(String, String)>,
}

/// One judgement in all variants.
#[derive(Debug, Clone)]
pub struct TriedOutcome {
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path.
    pub subject: String,
    /// As written, then in each variant.
    pub readings: Vec<TriedReading>,
}

/// What a judgement reads in one variant.
#[derive(Debug, Clone, PartialEq)]
pub struct TriedReading {
    /// What comes out.
    pub outcome: Outcome,
    /// How far from the limit.
    pub margin: Option<Margin>,
    /// The load case whose outcome that is, if it is not the spec's own.
    pub case: Option<String>,
    /// What is said, where it is broken.
    pub says: Option<String>,
}

/// One figure in all variants.
#[derive(Debug, Clone)]
pub struct TriedFigure {
    /// The figure's number in the rulebook.
    pub figure: usize,
    /// The subject's path.
    pub subject: String,
    /// As written, then in each variant; none where there is no such subject.
    pub readings: Vec<Option<FigureReading>>,
}

/// Judges variants; the request's spec is the one that holds their values, `holding` tells what holds a build up.
pub fn tries(request: &Request, variants: &[Vec<Setting>], holding: &Holding) -> Tries {
    let request = &Request { figures: true, only: None, ..*request };
    let written = assess_cases(request);
    let tried: Vec<Assessment> =
        variants.iter().map(|settings| written.again_in_cases(request, &put_in(request.spec, settings))).collect();
    let all: Vec<&Assessment> = std::iter::once(&written).chain(&tried).collect();
    let (mut outcomes, mut margins) = (Vec::new(), Vec::new());
    for outcome in judgements(&all) {
        let words: Vec<&str> = outcome.readings.iter().map(|r| r.outcome.word()).collect();
        if words.windows(2).any(|pair| pair.first() != pair.last()) {
            outcomes.push(outcome);
        } else if outcome.readings.windows(2).any(|pair| margin_of(pair.first()) != margin_of(pair.last())) {
            margins.push(outcome);
        }
    }
    margins.sort_by(|a, b| nearest(a).total_cmp(&nearest(b)));
    let figures = figures(&all);
    let variants = variants.iter().zip(&tried).map(|(settings, result)| Variant {
        set: values_of(request.spec, settings),
        counts: result.counts(),
        held: result.held_up(holding).any(),
        exhausted: result.exhausted.clone(),
    });
    Tries { variants: variants.collect(), outcomes, margins, figures, written }
}

fn margin_of(reading: Option<&TriedReading>) -> Option<String> {
    reading?.margin.as_ref().map(Margin::shown)
}

/// The nearest that a judgement comes to its limit in any variant.
fn nearest(outcome: &TriedOutcome) -> f64 {
    let share = |r: &TriedReading| r.margin.as_ref().map(|m| m.share().unwrap_or(f64::INFINITY).abs());
    outcome.readings.iter().filter_map(share).fold(f64::INFINITY, f64::min)
}

/// A judgement by its rule and subject.
type Key<'a> = (usize, Option<PlaceId>, &'a str);

/// Every judgement of any of them, in the order of the rulebook.
fn judgements(all: &[&Assessment]) -> Vec<TriedOutcome> {
    let mut by_key: BTreeMap<Key, Vec<Option<&Judgement>>> = BTreeMap::new();
    let mut order = Vec::new();
    for (at, assessment) in all.iter().enumerate() {
        for judgement in &assessment.judgements {
            let key = (judgement.rule, judgement.place, &*judgement.subject);
            let row = by_key.entry(key).or_insert_with(|| {
                order.push(key);
                vec![None; all.len()]
            });
            if let Some(cell) = row.get_mut(at) {
                *cell = Some(judgement);
            }
        }
    }
    order.sort_by_key(|key| key.0);
    let one = |key: Key| {
        let row = by_key.get(&key)?;
        let readings = all.iter().zip(row).map(|(assessment, judgement)| reading(assessment, *judgement)).collect();
        Some(TriedOutcome { rule: key.0, subject: key.2.to_string(), readings })
    };
    order.into_iter().filter_map(one).collect()
}

/// A rule has nothing to say on a subject that is not there.
fn reading(assessment: &Assessment, judgement: Option<&Judgement>) -> TriedReading {
    match judgement {
        None => TriedReading { outcome: Outcome::NotApplicable, margin: None, case: None, says: None },
        Some(judgement) => TriedReading {
            outcome: judgement.outcome.clone(),
            margin: judgement.margin.clone(),
            case: assessment.case_of(judgement).map(str::to_string),
            says: judgement.finding.as_ref().map(|finding| finding.says.clone()),
        },
    }
}

fn figures(all: &[&Assessment]) -> Vec<TriedFigure> {
    let mut by_key: BTreeMap<(usize, &str), Vec<Option<&FigureValue>>> = BTreeMap::new();
    let mut order = Vec::new();
    for (at, assessment) in all.iter().enumerate() {
        for figure in &assessment.figures {
            let key = (figure.figure, &*figure.subject);
            let row = by_key.entry(key).or_insert_with(|| {
                order.push(key);
                vec![None; all.len()]
            });
            if let Some(cell) = row.get_mut(at) {
                *cell = Some(figure);
            }
        }
    }
    order.sort_by_key(|key| key.0);
    let one = |key: (usize, &str)| {
        let row = by_key.get(&key)?;
        let readings: Vec<_> = row.iter().map(|figure| figure.map(|f| f.reading.clone())).collect();
        let differs = readings.windows(2).any(|pair| pair.first() != pair.last());
        differs.then(|| TriedFigure { figure: key.0, subject: key.1.to_string(), readings })
    };
    order.into_iter().filter_map(one).collect()
}
