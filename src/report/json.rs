//! Assessments for machines.
//!
//! An inspection is one JSON object; keys always come in the order given here, and what does not exist is `null` or an empty list.
//!
//! - `form`: 1, the version of this form; `day`: the day judged for; `caution`: as under every report
//! - `replaced`: what a repository's own rulebook stands in for: `what`, `name`, `stand_in`, `reason`, `by`
//! - `builds`: for each build, sorted by path
//!   - `path`, `name`
//!   - `errors`: of the spec: `message`, `remedy`, `at` (place), `other` (place)
//!   - `exhausted`: rules that needed more steps than one judgement may take: `rule`, `subject`
//!   - `cases`: load cases: `name`, `at`, `set` (`path`, `written`, `value`, `at`), `counts` (as they come out in that case)
//!   - `counts`: outcomes by word, each rule on each subject at its worst over the cases; `conceded` counts those broken ones which a concession in force covers, `faulty_concessions`
//!     the list `concessions`
//!   - `findings`: the worst first: `rule`, `system`, `subject`, `class`, `requirement`, `says`, `why`, `remedy`, `measure`,
//!     `caution`, `sources` (`source`, `words`, `text`: read, memory or practice), `points_at` and `evidence` (label),
//!     `working` (`name`, `symbols`, `numbers`, `result`), `members`, `notes`, `without_uncertainty`, `margin`, `case`
//!     (the load case told of, `null` for the spec as written), `cases` (`case`, `outcome`, `margin`: as written, and in each
//!     case that differs), `worse_open` (`class`, `needs`), `concession` (`state`, `reason`, `by`, `until`, `at`)
//!   - `concessions`: those of the spec that do not do what they were written for: `fault` (no such rule, no such subject, holds
//!     now, does not apply, repeated, dangerous not accepted), `class`, `rule`, `subject`, `says`, `remedy`, `at`
//!   - `outcomes`: every rule on every subject, in the order of the rulebook: `rule`, `subject`, `outcome`, `at` (place of
//!     the subject), `margin`, `assumed` (values that it takes for granted: `path`, `null` where the rule assumes it; `value`), `case`,
//!     `cases`, `missing` (`path`, `at`, `stale`: `null`, or when it was `taken` and what, `by`, was `changed` since), `unreadable`,
//!     `unproven` (`words`, `would_do`, `improve`), `beyond`
//!   - `figures`: `figure`, `subject`, `kind`, `cases` (`case`, `shown`: where another), `basis` (how many of the quantities that it rests on are `measured`, `maker`, `drawn`,
//!     `assumed`, `unsaid`; `used`: ways of knowing that were chosen), and one of `quantity` (`si`, `uncertainty`: expanded,
//!     k = 2, SI, zero where none is stated; `shown`, and its parts `number`, `unit`, `give_or_take`), `words`, `fields`, `curve`
//!     (`over`, `x_unit`, `y_unit` for showing, `x`, `y` in SI, `null` where there is no value), `without` (an outcome)
//!   - `since`: with `--since`, what is left out because that revision had it too: `revision`, `findings`, `open` (how many)
//!   - `held_up`: what holds up a commit: `stage` (as the build says it), `findings` (how many), `unmeasured` and `unproven`: `rule`,
//!     `subject`, `class` (the worst that it could turn out to be)
//!   - `needed`: what to measure next: `path`, `at`, `settles_alone`, `helps`, `weight`, `description`, `example`, `rules`, `again` (as
//!     `stale` above)
//! - `total`: `builds`, `with_errors`, `counts`
//!
//! A place is `file` (path from the repository's root), `bytes` (first, and one past the last), `line`, `column`, `end_line`,
//! `end_column` (from 1, columns in characters). A label is `path`, `at`, `used` (place of the `part` by which the build
//! uses the data sheet that `at` is in), `shown_by` (a file that is evidence of it), `value`, `role` (decides, feeds, considered), `through` (a figure). A margin is `si`
//! (positive where the requirement holds), `shown`, `share` (of the limit), `value`, `sign`, `limit`, `where`.

use super::figures::figure_value;
use super::needed;
use super::summary::CAUTION;
use super::{Judged, Total, Trouble, cases, picture};
use crate::assess::{
    Assessment, Assumptions, ConcessionFinding, ConcessionState, Finding, Judgement, Label, Margin, MissingValue,
    Outcome,
};
use crate::rulebook::{Class, Index};
use crate::source::{Sources, Span};
use jiff::civil::Date;
use serde_json::{Value, json};

/// The version of the form.
const FORM: u32 = 1;

/// A place in a file.
pub(super) fn place(sources: &Sources, span: Span) -> Value {
    let (start, end) = (sources.position(span.file, span.start), sources.position(span.file, span.end));
    json!({
        "file": sources.name(span.file),
        "bytes": [span.start, span.end],
        "line": start.line,
        "column": start.column,
        "end_line": end.line,
        "end_column": end.column,
    })
}

pub(super) fn maybe_place(sources: &Sources, span: Option<Span>) -> Value {
    span.map_or(Value::Null, |span| place(sources, span))
}

/// Errors of a spec or a rulebook.
pub fn errors_json(errors: &[Trouble], sources: &Sources) -> Value {
    let one = |e: &Trouble| {
        json!({
            "message": e.message,
            "remedy": e.remedy,
            "at": place(sources, e.span),
            "other": maybe_place(sources, e.other.map(|o| o.0)),
        })
    };
    errors.iter().map(one).collect()
}

/// What stands before the builds of an inspection.
pub fn inspection_start(day: Date, index: &Index) -> String {
    let replaced = picture::escaped(&json!(index.replaced).to_string()).into_owned();
    format!("{{\"form\":{FORM},\"day\":\"{day}\",\"caution\":{},\"replaced\":{replaced},\"builds\":[\n", json!(CAUTION))
}

/// What stands behind them.
pub fn inspection_end(total: &Total) -> String {
    let total = json!({"builds": total.builds, "with_errors": total.with_errors, "counts": total.counts});
    format!("\n],\"total\":{total}}}\n")
}

/// One build.
pub fn build_json(judged: &Judged) -> Value {
    let a = judged.assessment;
    let findings: Vec<Value> = a.broken().into_iter().map(|(j, class, f)| finding(a, j, class, f)).collect();
    let assumptions = a.assumptions();
    let outcomes: Vec<Value> = a.judgements.iter().map(|j| outcome(a, j, &assumptions)).collect();
    let figures: Vec<Value> = a.figures.iter().map(|f| figure_value(a, f)).collect();
    json!({
        "path": judged.path,
        "name": a.name,
        "errors": errors_json(judged.errors, &a.sources),
        "exhausted": a.exhausted.iter().map(|(rule, subject)| json!({"rule": rule, "subject": subject})).collect::<Vec<_>>(),
        "cases": cases::cases_json(a),
        "counts": a.counts(),
        "findings": findings,
        "concessions": a.concession_findings.iter().map(|f| faulty_concession(a, f)).collect::<Vec<_>>(),
        "outcomes": outcomes,
        "figures": figures,
        "needed": needed::list(a, judged.needed),
    })
}

fn finding(a: &Assessment, judgement: &Judgement, class: Class, f: &Finding) -> Value {
    let rule = a.index.rules.get(judgement.rule);
    json!({
        "rule": rule.map(|r| &r.name),
        "system": rule.map(|r| &r.system),
        "subject": judgement.subject,
        "class": class,
        "requirement": rule.map(|r| &r.title),
        "says": f.says,
        "why": f.why,
        "remedy": f.remedy,
        "measure": f.measure,
        "caution": f.caution,
        "sources": f.sources,
        "points_at": label(a, &f.points_at),
        "evidence": f.evidence.iter().map(|l| label(a, l)).collect::<Vec<_>>(),
        "working": f.working,
        "members": f.members,
        "notes": f.notes,
        "without_uncertainty": f.without_uncertainty,
        "margin": judgement.margin.as_ref().map(margin),
        "case": a.case_of(judgement),
        "cases": cases::readings_json(a, judgement),
        "worse_open": judgement.worse_open.as_ref().map(|w| json!({"class": w.class, "needs": w.needs})),
        "concession": f.concession.as_ref().map(|c| concession(a, c)),
    })
}

fn label(a: &Assessment, l: &Label) -> Value {
    json!({
        "path": l.path,
        "at": maybe_place(&a.sources, l.span),
        "used": maybe_place(&a.sources, l.used),
        "shown_by": l.shown_by,
        "value": l.value,
        "role": l.role,
        "through": l.through,
    })
}

pub(super) fn margin(m: &Margin) -> Value {
    json!({
        "si": m.si(),
        "shown": m.shown(),
        "share": m.share(),
        "value": m.value(),
        "sign": m.sign(),
        "limit": m.limit(),
        "where": m.at(),
    })
}

pub(super) fn concession(a: &Assessment, state: &ConcessionState) -> Value {
    let c = state.concession();
    json!({
        "state": state.word(),
        "reason": c.reason,
        "by": c.by,
        "until": c.until.map(|d| d.to_string()),
        "at": place(&a.sources, c.span),
    })
}

fn faulty_concession(a: &Assessment, found: &ConcessionFinding) -> Value {
    json!({
        "fault": found.fault.words(),
        "class": found.class,
        "rule": found.concession.rule,
        "subject": found.concession.subject,
        "says": found.says,
        "remedy": found.remedy,
        "at": place(&a.sources, found.span),
    })
}

fn outcome(a: &Assessment, judgement: &Judgement, assumptions: &Assumptions) -> Value {
    let rule = a.index.rules.get(judgement.rule).map(|r| &r.name);
    let mut value = json!({
        "rule": rule,
        "subject": judgement.subject,
        "outcome": judgement.outcome.word(),
        "at": maybe_place(&a.sources, judgement.span),
        "margin": judgement.margin.as_ref().map(margin),
        "case": a.case_of(judgement),
        "cases": cases::readings_json(a, judgement),
        "assumed": assumptions.of(judgement),
    });
    if let (Value::Object(map), Value::Object(reasons)) = (&mut value, reasons(&a.sources, &judgement.outcome)) {
        map.extend(reasons);
    }
    value
}

/// Why an outcome is neither holding nor broken.
pub(super) fn reasons(sources: &Sources, outcome: &Outcome) -> Value {
    let (mut missing_values, mut unreadable_paths, mut unproven_values, mut ranges) =
        <(Vec<Value>, Vec<String>, Vec<Value>, Vec<String>)>::default();
    match outcome {
        Outcome::Unmeasured { missing, unreadable } => {
            let value = |m: &MissingValue| json!({"path": m.path, "at": place(sources, m.span), "stale": needed::stale(m.stale.as_ref())});
            missing_values = missing.iter().map(value).collect();
            unreadable_paths = unreadable.clone();
        }
        Outcome::Unproven(values) => {
            let one = |v: &crate::assess::UnprovenValue| json!({"words": v.words, "would_do": v.would_do, "improve": v.improve});
            unproven_values = values.iter().map(one).collect();
        }
        Outcome::Beyond(words) => ranges = words.clone(),
        Outcome::Holds | Outcome::Broken(_) | Outcome::NotApplicable => {}
    }
    json!({
        "missing": missing_values,
        "unreadable": unreadable_paths,
        "unproven": unproven_values,
        "beyond": ranges,
    })
}
