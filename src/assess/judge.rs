//! Applies every rule to every subject.

use super::assessment::{Assessment, Doubt, Judgement, Margin, MissingValue, Outcome, UnprovenValue, WorseOpen};
use super::concession::{self, Concession};
use super::{detail, figures, granted};
use crate::language::{
    Code, Decision, Evaluator, Evidence, Frame, Missing, Overrides, Reading, Touched, Unknown, Value,
};
use crate::quantity;
use crate::rulebook::{Class, Rule, Rulebook, Subject};
use crate::terms::{FieldType, Held, PlaceId, Spec};
use jiff::civil::Date;
use std::cell::OnceCell;
use std::rc::Rc;

/// How many subjects a rule has in a usual build, taken high: room that is not used costs nothing, moving judgements does.
const MOST_USUAL: usize = 4;

/// What is to be judged.
#[derive(Clone, Copy)]
pub struct Request<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The rulebook.
    pub rulebook: &'a Rulebook,
    /// The day of the inspection.
    pub day: Date,
    /// Whether figures are wanted.
    pub figures: bool,
    /// Whether findings are to be explained; without, only outcomes and margins are made.
    pub explained: bool,
    /// Only this rule, by its number.
    pub only: Option<usize>,
}

/// Judges a spec with overrides.
pub fn assess(request: &Request, overrides: &Overrides) -> Assessment {
    let evaluator = Evaluator::new(request.spec, &request.rulebook.library, overrides, request.day);
    run(request, evaluator, None)
}

/// As [`assess`], taking over what the overrides do not touch.
pub(super) fn assess_again(base: &Assessment, request: &Request, overrides: &Overrides) -> Assessment {
    let library = &request.rulebook.library;
    let touched = base.found.touched(request.spec, overrides);
    let evaluator = Evaluator::resumed(&base.found, &touched, request.spec, library, overrides, request.day);
    run(request, evaluator, Some(&Kept { base, touched: &touched, skipped: false }))
}

/// What was judged before, and what of it is still so.
pub(super) struct Kept<'a> {
    /// What was judged, without overrides.
    pub base: &'a Assessment,
    /// The evidence that overrides change.
    pub touched: &'a Touched,
    /// Whether judgements that are still so are left out, and not taken over.
    pub skipped: bool,
}

impl Kept<'_> {
    /// Judgements of one rule on places.
    fn of_rule(&self, rule: usize) -> &[Judgement] {
        let all = &self.base.judgements;
        let start = all.partition_point(|j| j.rule < rule);
        let rest = all.get(start..).unwrap_or_default();
        rest.get(..rest.partition_point(|j| j.rule == rule)).unwrap_or_default()
    }
}

pub(super) fn run(request: &Request, mut evaluator: Evaluator, kept: Option<&Kept>) -> Assessment {
    let usual = if kept.is_none() { MOST_USUAL * request.rulebook.rules.len() } else { 0 };
    let mut judgements = Vec::with_capacity(usual);
    let mut exhausted = Vec::new();
    let mut listed = Vec::with_capacity(request.rulebook.rules.len());
    let concessions = if request.explained { concession::read(request.spec) } else { Vec::new() };
    for (number, rule) in request.rulebook.rules.iter().enumerate() {
        if request.only.is_some_and(|only| only != number) {
            listed.push(Evidence::NONE);
            continue;
        }
        let mut judge = Judge::new(request, number, rule, &mut evaluator, &concessions, kept);
        listed.push(judge.subjects(&mut judgements, &mut exhausted));
    }
    let unused = match request.only {
        Some(_) => Vec::new(),
        None => concession::findings(&concessions, &judgements, request.rulebook),
    };
    let figures = if request.figures { figures::all(request, &mut evaluator) } else { Vec::new() };
    let name = match request.spec.find("build.name").map(|p| request.spec.held(p)) {
        Some(Held::Text(text)) => Some(text.to_string()),
        _ => None,
    };
    Assessment {
        name,
        uses: uses(request.spec),
        day: request.day,
        judgements,
        concessions,
        concession_findings: unused,
        figures,
        exhausted,
        cases: Vec::new(),
        index: request.rulebook.index.clone(),
        sources: request.spec.sources.clone(),
        assumed: if request.explained { granted::assumed(request.spec) } else { granted::Assumed::new() },
        found: evaluator.into_found(kept.is_none_or(|kept| !kept.skipped)),
        resting: OnceCell::new(),
        listed,
    }
}

/// The uses of the build, as the spec lists them.
fn uses(spec: &Spec) -> Vec<String> {
    let Some(list) = spec.find("build.use") else { return Vec::new() };
    let Held::List { items, .. } = spec.held(list) else { return Vec::new() };
    let word = |item: &PlaceId| match (spec.held(*item), spec.type_of(*item)) {
        (Held::Choice(at), Some(FieldType::Choice(choices))) => choices.get(usize::from(*at)).map(ToString::to_string),
        (Held::Text(text), _) => Some(text.to_string()),
        _ => None,
    };
    items.iter().filter_map(word).collect()
}

/// Outcomes of one rule, which need not be the rulebook's own of that number; nothing is explained.
pub(super) fn outcomes(request: &Request, number: usize, rule: &Rule, overrides: &Overrides) -> Vec<Judgement> {
    let mut evaluator = Evaluator::new(request.spec, &request.rulebook.library, overrides, request.day);
    let mut judgements = Vec::new();
    Judge::new(request, number, rule, &mut evaluator, &[], None).subjects(&mut judgements, &mut Vec::new());
    judgements
}

/// Outcomes of one of the rulebook's rules by an evaluator that went on from `kept`: only those that it touches; nothing is
/// explained.
pub(super) fn outcomes_again(
    request: &Request,
    number: usize,
    evaluator: &mut Evaluator,
    kept: &Kept,
) -> Vec<Judgement> {
    let mut judgements = Vec::new();
    if let Some(rule) = request.rulebook.rules.get(number) {
        Judge::new(request, number, rule, evaluator, &[], Some(kept)).subjects(&mut judgements, &mut Vec::new());
    }
    judgements
}

struct Judge<'r, 'e, 's, 'v> {
    request: &'r Request<'s>,
    number: usize,
    rule: &'r Rule,
    evaluator: &'e mut Evaluator<'v>,
    concessions: &'r [Concession],
    kept: Option<&'r Kept<'r>>,
    /// What was judged before of this rule.
    known: &'r [Judgement],
    /// The locals of the subject at hand.
    frame: Frame,
}

impl<'r, 'e, 's, 'v> Judge<'r, 'e, 's, 'v> {
    fn new(
        request: &'r Request<'s>,
        number: usize,
        rule: &'r Rule,
        evaluator: &'e mut Evaluator<'v>,
        concessions: &'r [Concession],
        kept: Option<&'r Kept<'r>>,
    ) -> Self {
        let known = kept.map_or(&[][..], |kept| kept.of_rule(number));
        Judge { request, number, rule, evaluator, concessions, kept, known, frame: Frame::new() }
    }

    /// Judges every subject, and tells on what it rests which subjects there are.
    fn subjects(&mut self, out: &mut Vec<Judgement>, exhausted: &mut Vec<(String, String)>) -> Evidence {
        self.evaluator.refill();
        let (list, condition) = match self.rule.subject.value() {
            Subject::Section { code, .. } => (code, None),
            Subject::Members { list, condition, .. } => (list, condition.as_ref()),
        };
        let found = self.evaluator.eval(list, &mut Vec::new());
        let mut listed = found.evidence;
        let before = out.len();
        match &found.value {
            Ok(Value::Place(_)) => out.extend(self.one(&found, None, found.evidence)),
            Ok(Value::List(items)) => {
                let mut any = false;
                for item in items.clone().iter() {
                    any |= self.member(item, condition, found.evidence, &mut listed, out);
                }
                if !any {
                    out.push(self.without_subject(Outcome::NotApplicable, found.evidence));
                }
            }
            Ok(_) => {}
            Err(unknown) => {
                let outcome = outcome_of(unknown, self.request.spec);
                out.push(self.without_subject(outcome, found.evidence));
            }
        }
        for judgement in out.iter().skip(before) {
            if matches!(&judgement.outcome, Outcome::Beyond(words) if words.iter().any(|w| w == OUT_OF_STEPS)) {
                exhausted.push((self.rule.name.to_string(), judgement.subject.clone()));
            }
        }
        listed
    }

    fn without_subject(&self, outcome: Outcome, evidence: Evidence) -> Judgement {
        Judgement {
            rule: self.number,
            subject: self.rule.subject.path().to_string(),
            place: None,
            span: None,
            at_stake: self.rule.holds.first().map(|(class, _)| *class).filter(|_| is_undecided(&outcome)),
            outcome,
            worse_open: None,
            margin: None,
            finding: None,
            cases: None,
            evidence,
        }
    }

    /// Judges an item if the rule is about it, which is told; on what that rests is added to `listed`.
    fn member(
        &mut self,
        item: &Reading,
        condition: Option<&Code>,
        list: Evidence,
        listed: &mut Evidence,
        out: &mut Vec<Judgement>,
    ) -> bool {
        let Some(condition) = condition else {
            out.extend(self.one(item, None, list));
            return true;
        };
        self.frame.push(Some(item.clone()));
        let met = self.evaluator.eval(condition, &mut self.frame);
        self.frame.clear();
        *listed = self.evaluator.evidence.join(*listed, met.evidence);
        let doubt = match met.value {
            Ok(Value::Truth(true, _)) => None,
            Err(unknown) if !unknown.is_none() => Some(unknown),
            _ => return false,
        };
        let evidence = self.evaluator.evidence.considered(met.evidence);
        let evidence = self.evaluator.evidence.join(list, evidence);
        out.extend(self.one(item, doubt, evidence));
        true
    }

    /// Judges one subject; `doubt` is why it is not certain that the rule is about it. Nothing for a judgement that is left out.
    fn one(&mut self, subject: &Reading, doubt: Option<Unknown>, listed: Evidence) -> Option<Judgement> {
        let place = match subject.value {
            Ok(Value::Place(place)) => place,
            Err(ref unknown) => {
                return Some(self.without_subject(outcome_of(unknown, self.request.spec), subject.evidence));
            }
            _ => return Some(self.without_subject(Outcome::NotApplicable, subject.evidence)),
        };
        let known = self.known.iter().find(|known| known.place == Some(place));
        match (self.kept, known) {
            (Some(kept), Some(known)) if !kept.touched.contains(known.written_evidence()) => {
                (!kept.skipped).then(|| known.as_written())
            }
            _ => Some(self.afresh(place, doubt, listed)),
        }
    }

    fn afresh(&mut self, place: PlaceId, doubt: Option<Unknown>, listed: Evidence) -> Judgement {
        let mut frame = std::mem::take(&mut self.frame);
        frame.resize(usize::from(self.rule.locals).max(1), None);
        let judgement = self.in_frame(&mut frame, place, doubt, listed);
        frame.clear();
        self.frame = frame;
        judgement
    }

    fn in_frame(&mut self, frame: &mut Frame, place: PlaceId, doubt: Option<Unknown>, listed: Evidence) -> Judgement {
        self.evaluator.refill();
        let rule = self.rule;
        frame[0] = Some(Reading::known(Value::Place(place), Evidence::NONE));
        let mut doubt = doubt;
        let mut evidence = self.evaluator.evidence.considered(listed);
        for (at, (_, code)) in rule.with.iter().enumerate() {
            let value = self.evaluator.eval(code, frame);
            frame[at + 1] = Some(value);
        }
        let mut judgement = Judgement {
            rule: self.number,
            subject: self.request.spec.path(place),
            place: Some(place),
            span: Some(self.request.spec.place(place).span),
            outcome: Outcome::NotApplicable,
            worse_open: None,
            at_stake: None,
            margin: None,
            finding: None,
            cases: None,
            evidence,
        };
        if let Some(when) = rule.when.value() {
            let applies = self.evaluator.eval(when, frame);
            let considered = self.evaluator.evidence.considered(applies.evidence);
            evidence = self.evaluator.evidence.join(considered, evidence);
            judgement.evidence = evidence;
            match applies.value {
                Ok(Value::Truth(true, _)) => {}
                Ok(_) => return judgement,
                Err(unknown) if unknown.is_none() => return judgement,
                Err(unknown) => doubt = Some(doubt.map_or_else(|| unknown.clone(), |d| d.and(&unknown))),
            }
        }
        let readings: Vec<(Class, Reading)> =
            rule.holds.iter().map(|(class, code)| (*class, self.evaluator.eval(code, frame))).collect();
        self.settle(&mut judgement, &readings, doubt, evidence);
        if let Outcome::Broken(class) = judgement.outcome
            && self.request.explained
        {
            let decision = readings.iter().find(|r| r.0 == class).and_then(|r| decision_of(&r.1));
            let explained = detail::Explained {
                request: self.request,
                rule,
                class,
                decision: decision.as_deref(),
                evidence: judgement.evidence,
            };
            let mut finding = detail::finding(&explained, self.evaluator, frame);
            finding.concession =
                concession::state(self.concessions, &rule.name, &judgement.subject, class, self.request.day);
            judgement.finding = Some(Box::new(finding));
        }
        judgement
    }

    /// The outcome from the readings of all classes, the worst first.
    fn settle(
        &mut self,
        judgement: &mut Judgement,
        readings: &[(Class, Reading)],
        doubt: Option<Unknown>,
        listed: Evidence,
    ) {
        let spec = self.request.spec;
        let broken = readings.iter().find(|(_, r)| matches!(r.value, Ok(Value::Truth(false, _))));
        let mut all = Evidence::NONE;
        for (_, reading) in readings {
            all = self.evaluator.evidence.join(all, reading.evidence);
        }
        let mut open: Option<Unknown> = None;
        for (_, reading) in readings {
            if let Err(unknown) = &reading.value
                && !unknown.is_none()
            {
                open = Some(open.map_or_else(|| unknown.clone(), |o| o.and(unknown)));
            }
        }
        let tightest =
            readings.iter().filter_map(|(_, r)| decision_of(r)).min_by(|a, b| a.tightness().total_cmp(&b.tightness()));
        match (broken, open, doubt) {
            (Some((class, reading)), _, None) => {
                let considered = self.evaluator.evidence.considered(all);
                let evidence = self.evaluator.evidence.join(reading.evidence, considered);
                judgement.evidence = self.evaluator.evidence.join(evidence, listed);
                judgement.outcome = Outcome::Broken(*class);
                judgement.margin = decision_of(reading).map(Margin::of);
                judgement.worse_open =
                    readings.iter().find(|(c, r)| c > class && is_open(r)).map(|(class, r)| WorseOpen {
                        class: *class,
                        needs: match &r.value {
                            Err(unknown) => missing(unknown, spec).into_iter().map(|m| m.path).collect(),
                            Ok(_) => Vec::new(),
                        },
                    });
            }
            (Some(_), open, Some(doubt)) => {
                judgement.evidence = self.evaluator.evidence.join(all, listed);
                let unknown = open.map_or_else(|| doubt.clone(), |o| doubt.and(&o));
                judgement.outcome = outcome_of(&unknown, spec);
            }
            (None, Some(open), doubt) => {
                judgement.evidence = self.evaluator.evidence.join(all, listed);
                let unknown = doubt.map_or_else(|| open.clone(), |d| open.and(&d));
                judgement.outcome = outcome_of(&unknown, spec);
            }
            (None, None, _) => {
                judgement.evidence = self.evaluator.evidence.join(all, listed);
                if readings.iter().any(|(_, r)| matches!(r.value, Ok(Value::Truth(true, _)))) {
                    judgement.outcome = Outcome::Holds;
                    judgement.margin = tightest.map(Margin::of);
                }
            }
        }
        if is_undecided(&judgement.outcome) {
            let at_stake = readings.iter().find(|(_, r)| is_open(r) || matches!(r.value, Ok(Value::Truth(false, _))));
            judgement.at_stake = at_stake.map(|(class, _)| *class);
        }
    }
}

/// The words by which an outcome says that the step budget is used up.
const OUT_OF_STEPS: &str = "the rule needs more steps than one judgement may take";

fn is_undecided(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Unmeasured { .. } | Outcome::Unproven(_) | Outcome::Beyond(_))
}

fn is_open(reading: &Reading) -> bool {
    matches!(&reading.value, Err(unknown) if !unknown.is_none())
}

pub(super) fn decision_of(reading: &Reading) -> Option<Rc<Decision>> {
    match &reading.value {
        Ok(Value::Truth(_, decision)) => decision.clone(),
        _ => None,
    }
}

fn missing(unknown: &Unknown, spec: &Spec) -> Vec<MissingValue> {
    let value = |m: &Missing| MissingValue {
        path: m.path(spec),
        place: m.place,
        span: spec.place(m.place).span,
        stale: spec.staleness(m.place),
    };
    let mut all: Vec<MissingValue> = unknown.reasons().missing.iter().map(value).collect();
    all.sort();
    all.dedup();
    all
}

/// The outcome that reasons make: what can be measured first, then what a better measurement would settle, then what lies
/// beyond.
pub(super) fn outcome_of(unknown: &Unknown, spec: &Spec) -> Outcome {
    let reasons = unknown.reasons();
    if reasons.exhausted {
        return Outcome::Beyond(vec![OUT_OF_STEPS.into()]);
    }
    if !reasons.missing.is_empty() || !reasons.unreadable.is_empty() {
        let mut unreadable: Vec<String> = reasons.unreadable.iter().map(|p| spec.path(*p)).collect();
        unreadable.sort();
        return Outcome::Unmeasured { missing: missing(unknown, spec), unreadable };
    }
    if !reasons.unproven.is_empty() {
        return Outcome::Unproven(reasons.unproven.iter().map(|d| unproven(d, spec)).collect());
    }
    if !reasons.beyond.is_empty() {
        return Outcome::Beyond(reasons.beyond.iter().map(ToString::to_string).collect());
    }
    Outcome::NotApplicable
}

fn unproven(decision: &Decision, spec: &Spec) -> UnprovenValue {
    let unit = decision.right.unit.or(decision.left.unit);
    let step = detail::step_of(&decision.right);
    UnprovenValue {
        words: format!("{} {} {}", decision.left.shown(), decision.comparison.sign(), decision.right.shown()),
        would_do: quantity::show(decision.margin.abs(), step, unit, None),
        improve: decision.largest.map(|p: PlaceId| spec.path(p)),
        doubt: Doubt::of(decision),
    }
}
