//! Load cases: the spec judged as written and in each of its cases, and the outcomes put together.
//!
//! In comes a request; out comes one assessment in which a rule on a subject is one judgement, which gives the worst of its
//! outcomes and names the cases in which it comes out otherwise than as written. What a case does not touch is taken over.

use super::assessment::{Assessment, Counts, Finding, Judgement, Margin, Outcome, WorseOpen};
use super::concession;
use super::detail::shown;
use super::figures::FigureValue;
use super::judge::{Kept, Request, assess, run};
use crate::language::{Evaluator, Evidence, Found, Overrides};
use crate::source::Span;
use crate::terms::{Held, PlaceId, Setting, Spec};
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// One load case.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Its name; its number from 1 where it has none.
    pub name: String,
    /// Its place.
    pub place: PlaceId,
    /// Where that is in the spec's files.
    pub span: Span,
    /// What it puts in.
    pub set: Vec<CaseValue>,
}

/// A value that a case puts in.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseValue {
    /// The path of what it stands in for.
    pub path: String,
    /// What is written there.
    pub written: String,
    /// What stands there in the case.
    pub value: String,
    /// Where the case says so.
    pub span: Span,
}

/// How a judgement comes out in the cases of a spec, where it does so differently.
#[derive(Debug, Clone)]
pub struct InCases {
    /// The case whose outcome the judgement gives, the worst; none for the spec as written.
    pub shown: Option<usize>,
    /// The reading as written, then those of the cases that differ from it, in the order of the cases. A case without one is as
    /// written.
    pub readings: Vec<CaseReading>,
}

/// How a judgement comes out as written or in one case.
#[derive(Debug, Clone)]
pub struct CaseReading {
    /// The number of the case; none for the spec as written.
    pub case: Option<usize>,
    /// What comes out.
    pub outcome: Outcome,
    /// A worse class that could not be decided.
    pub worse_open: Option<WorseOpen>,
    /// How far the tightest deciding comparison is from its limit.
    pub margin: Option<Margin>,
    /// What is said, where it is broken.
    pub finding: Option<Box<Finding>>,
    evidence: Evidence,
}

/// Judges a spec as written and in each of its cases.
pub fn assess_cases(request: &Request) -> Assessment {
    in_cases(request, assess(request, &Overrides::new()), &Overrides::new())
}

/// Judges a spec in each of its cases, upon what it reads with overrides; where a case sets a place that is overridden, the case
/// counts.
pub(super) fn in_cases(request: &Request, mut whole: Assessment, over: &Overrides) -> Assessment {
    let spec = request.spec;
    let left = match spec.find("cases").and_then(|list| over.get(&list)) {
        Some(Held::List { items, .. }) => Some(&items[..]),
        Some(_) => Some(&[][..]),
        None => None,
    };
    let mut cases = cases(spec);
    cases.retain(|(case, _)| left.is_none_or(|items| items.contains(&case.place)));
    if cases.is_empty() {
        return whole;
    }
    let mut found = std::mem::take(&mut whole.found);
    let mut in_each = Vec::with_capacity(cases.len());
    for (case, settings) in &cases {
        let mut case_alone = put_in(spec, settings);
        // What the case itself puts in may be overridden too.
        let anew = settings.iter().filter_map(|s| Some((s.target, over.get(&s.value)?.clone())));
        case_alone.extend(anew.collect::<Vec<_>>());
        let touched = found.touched(spec, &case_alone);
        let mut overrides = over.clone();
        overrides.extend(case_alone);
        let library = &request.rulebook.library;
        let evaluator = Evaluator::further(&mut found, &touched, spec, library, &overrides, request.day);
        let kept = Kept { base: &whole, touched: &touched, skipped: true };
        let mut result = run(request, evaluator, Some(&kept));
        found.evidence = std::mem::take(&mut result.found.evidence);
        for judgement in &mut result.judgements {
            relabel(spec, case, settings, judgement);
        }
        in_each.push((result, touched));
    }
    let mut merged = Merged::new(&mut whole);
    for (number, (result, touched)) in in_each.into_iter().enumerate() {
        merged.exhausted(result.exhausted);
        merged.figures(number, result.figures);
        merged.judgements(number, result.judgements, &|j| touched.contains(j.evidence));
    }
    merged.into_assessment(request, whole, found, cases.into_iter().map(|(case, _)| case).collect())
}

/// The cases of a spec, each with what it puts in.
pub(super) fn cases(spec: &Spec) -> Vec<(Case, Vec<Setting>)> {
    let Some(Held::List { items, .. }) = spec.find("cases").map(|list| spec.held(list)) else { return Vec::new() };
    let one = |(number, item): (usize, &PlaceId)| {
        let Held::Record { ty, .. } = spec.held(*item) else { return None };
        let key = |key: &str| spec.key(*item, spec.types().record(*ty).slot(key)?);
        let settings = key("set").map_or(&[][..], |set| spec.settings(set)).to_vec();
        let name = spec.name(*item).map_or_else(|| (number + 1).to_string(), str::to_string);
        let set = values_of(spec, &settings);
        Some((Case { name, place: *item, span: spec.place(*item).span, set }, settings))
    };
    items.iter().enumerate().filter_map(one).collect()
}

/// Settings in words.
pub(super) fn values_of(spec: &Spec, settings: &[Setting]) -> Vec<CaseValue> {
    let one = |s: &Setting| CaseValue {
        path: spec.path(s.target),
        written: shown(spec, s.target),
        value: shown(spec, s.value),
        span: spec.place(s.value).span,
    };
    settings.iter().map(one).collect()
}

/// Settings as overrides; where two are for one place, the later counts.
pub fn put_in(spec: &Spec, settings: &[Setting]) -> Overrides {
    settings.iter().map(|s| (s.target, spec.held(s.value).clone())).collect()
}

/// Points at what the case puts in where a finding points at the value that it stands in for.
fn relabel(spec: &Spec, case: &Case, settings: &[Setting], judgement: &mut Judgement) {
    let Some(finding) = judgement.finding.as_deref_mut() else { return };
    let prefix = format!("{}.set.", spec.path(case.place));
    for label in std::iter::once(&mut finding.points_at).chain(&mut finding.evidence) {
        if let Some(path) = label.path.strip_prefix(&prefix) {
            label.path = path.to_string();
        }
        let set = case.set.iter().zip(settings).rev().find(|(value, _)| value.path == label.path);
        if let Some((value, setting)) = set
            && !matches!(spec.held(setting.value), Held::Record { .. } | Held::List { .. })
        {
            label.span = Some(value.span);
            label.value.clone_from(&value.value);
        }
    }
}

/// A judgement by its rule and its subject's place, or its path where it has none.
type Key = (usize, Result<PlaceId, String>);

/// What is put together.
struct Merged {
    judgements: BTreeMap<Key, Vec<CaseReading>>,
    /// The order of the rulebook, by the first reading's number.
    order: Vec<Judgement>,
    figures: Vec<FigureValue>,
    exhausted: Vec<(String, String)>,
}

impl Merged {
    /// What was judged as written is taken out of the whole.
    fn new(whole: &mut Assessment) -> Merged {
        Merged {
            judgements: BTreeMap::new(),
            order: std::mem::take(&mut whole.judgements),
            figures: std::mem::take(&mut whole.figures),
            exhausted: std::mem::take(&mut whole.exhausted),
        }
    }

    fn exhausted(&mut self, more: Vec<(String, String)>) {
        for one in more {
            if !self.exhausted.contains(&one) {
                self.exhausted.push(one);
            }
        }
    }

    fn figures(&mut self, case: usize, figures: Vec<FigureValue>) {
        let mut in_case: BTreeMap<(usize, String), FigureValue> =
            figures.into_iter().map(|f| ((f.figure, f.subject.clone()), f)).collect();
        for figure in &mut self.figures {
            if let Some(other) = in_case.remove(&(figure.figure, figure.subject.clone()))
                && other.reading != figure.reading
            {
                figure.cases.push((case, other.reading));
            }
        }
    }

    /// Takes in the judgements of a case: those that it touches. One that is touched and not among them has no subject there.
    fn judgements(&mut self, case: usize, judgements: Vec<Judgement>, touched: &dyn Fn(&Judgement) -> bool) {
        let mut new: BTreeMap<Key, Judgement> = BTreeMap::new();
        for judgement in judgements {
            new.insert(key(&judgement), judgement);
        }
        for written in &self.order {
            let key = key(written);
            let reading = match new.remove(&key) {
                Some(judgement) => read(Some(case), judgement),
                None if written.place.is_some() && touched(written) => absent(case),
                None => continue,
            };
            let was = self.judgements.get(&key).and_then(|readings| readings.first());
            let same = match was {
                Some(was) => same(&was.outcome, &was.margin, &reading),
                None => same(&written.outcome, &written.margin, &reading),
            };
            if !same {
                let readings = self.judgements.entry(key).or_insert_with(|| vec![read(None, written.clone())]);
                readings.push(reading);
            }
        }
        for (key, judgement) in new {
            if judgement.outcome == Outcome::NotApplicable {
                continue;
            }
            // A subject that the rule has in this case only.
            let at = self.order.partition_point(|j| j.rule <= judgement.rule);
            let mut written = judgement.clone();
            written.outcome = Outcome::NotApplicable;
            (written.worse_open, written.margin, written.finding) = (None, None, None);
            self.order.insert(at, written.clone());
            self.judgements.insert(key, vec![read(None, written), read(Some(case), judgement)]);
        }
    }

    fn into_assessment(self, request: &Request, whole: Assessment, found: Found, cases: Vec<Case>) -> Assessment {
        let Merged { mut judgements, order, figures, exhausted } = self;
        let together = |mut judgement: Judgement| {
            if let Some(readings) = judgements.remove(&key(&judgement)) {
                judgement.put_together(readings);
            }
            judgement
        };
        let judgements: Vec<Judgement> = order.into_iter().map(together).collect();
        let concession_findings = match request.only {
            Some(_) => Vec::new(),
            None => concession::findings(&whole.concessions, &judgements, request.rulebook),
        };
        let resting = OnceCell::new();
        Assessment { judgements, concession_findings, figures, exhausted, found, resting, cases, ..whole }
    }
}

fn key(judgement: &Judgement) -> Key {
    (judgement.rule, judgement.place.ok_or_else(|| judgement.subject.clone()))
}

fn same(outcome: &Outcome, margin: &Option<Margin>, reading: &CaseReading) -> bool {
    *outcome == reading.outcome && *margin == reading.margin
}

fn read(case: Option<usize>, judgement: Judgement) -> CaseReading {
    let Judgement { outcome, worse_open, margin, finding, evidence, .. } = judgement;
    CaseReading { case, outcome, worse_open, margin, finding, evidence }
}

/// What a rule reads on a subject that it does not have in the case.
fn absent(case: usize) -> CaseReading {
    CaseReading {
        case: Some(case),
        outcome: Outcome::NotApplicable,
        worse_open: None,
        margin: None,
        finding: None,
        evidence: Evidence::NONE,
    }
}

impl CaseReading {
    /// How bad it is; the order is that in which the readings of a check piece's subjects count.
    fn weight(&self) -> (u8, f64) {
        let rank = match self.outcome {
            Outcome::Broken(class) => 10 + class as u8,
            Outcome::Unproven(_) => 5,
            Outcome::Unmeasured { .. } => 4,
            Outcome::Beyond(_) => 3,
            Outcome::Holds => 2,
            Outcome::NotApplicable => 1,
        };
        (rank, self.margin.as_ref().map_or(f64::INFINITY, |m| m.share().unwrap_or(m.si())))
    }
}

impl Judgement {
    /// Gives the worst of the readings; of equally bad ones the first.
    fn put_together(&mut self, readings: Vec<CaseReading>) {
        let worse = |a: &CaseReading, b: &CaseReading| {
            let (a, b) = (a.weight(), b.weight());
            a.0.cmp(&b.0).then(b.1.total_cmp(&a.1))
        };
        let mut worst: Option<&CaseReading> = None;
        for reading in &readings {
            if worst.is_none_or(|w| worse(reading, w).is_gt()) {
                worst = Some(reading);
            }
        }
        let Some(worst) = worst.cloned() else { return };
        let shown = worst.case;
        self.give(worst);
        self.cases = Some(Box::new(InCases { shown, readings }));
    }

    fn give(&mut self, reading: CaseReading) {
        let CaseReading { outcome, worse_open, margin, finding, evidence, .. } = reading;
        (self.outcome, self.worse_open, self.margin) = (outcome, worse_open, margin);
        (self.finding, self.evidence) = (finding, evidence);
    }

    /// The judgement of the spec as written, whatever its cases make of it.
    pub fn as_written(&self) -> Judgement {
        let mut written = self.clone();
        if let Some(first) = written.cases.take().and_then(|cases| cases.readings.into_iter().next()) {
            written.give(first);
        }
        written
    }

    /// What the spec as written rests on.
    pub(super) fn written_evidence(&self) -> Evidence {
        self.cases.as_ref().and_then(|cases| cases.readings.first()).map_or(self.evidence, |first| first.evidence)
    }

    /// What comes out in a case, with what is said of it; none is the spec as written.
    pub fn in_case(&self, case: Option<usize>) -> (&Outcome, Option<&Margin>, Option<&Finding>) {
        let reading = self.cases.as_ref().and_then(|cases| {
            let differs = cases.readings.iter().find(|reading| reading.case == case);
            differs.or(cases.readings.first())
        });
        match reading {
            Some(reading) => (&reading.outcome, reading.margin.as_ref(), reading.finding.as_deref()),
            None => (&self.outcome, self.margin.as_ref(), self.finding.as_deref()),
        }
    }

    fn evidence_in(&self, case: Option<usize>) -> Evidence {
        let readings = self.cases.as_ref().map_or(&[][..], |cases| &cases.readings);
        let differs = readings.iter().find(|reading| reading.case == case).or(readings.first());
        differs.map_or(self.evidence, |reading| reading.evidence)
    }

    /// The case whose outcome it gives, if that is not the spec as written.
    pub fn case(&self) -> Option<usize> {
        self.cases.as_ref()?.shown
    }
}

impl Assessment {
    /// Outcomes counted as they come out in one case; none is the spec as written.
    pub fn counts_in(&self, case: Option<usize>) -> Counts {
        let mut counts = Counts::default();
        let assumptions = self.assumptions();
        for judgement in &self.judgements {
            let (outcome, _, finding) = judgement.in_case(case);
            counts.add(outcome, finding, assumptions.rests(judgement.evidence_in(case)));
        }
        counts
    }

    /// The name of the case whose outcome a judgement gives, if that is not the spec as written.
    pub fn case_of(&self, judgement: &Judgement) -> Option<&str> {
        self.cases.get(judgement.case()?).map(|case| &*case.name)
    }
}
