//! A comparison for machines, in the form that `schema/forms/comparison.json` describes.

use super::super::figures::reading_json;
use super::super::json::{concession, errors_json, margin, maybe_place, place, reasons};
use super::super::summary::CAUTION;
use super::{BookWords, Compared, ComparedBuild, Revisions, words};
use crate::assess::{Assessment, FigureReading, Judgement};
use crate::history::compare::{
    Causes, Change, Comparison, ConcessionMove, Effect, FigureMove, MarginMove, Side, Verdict,
};
use crate::rulebook::Class;
use crate::source::Sources;
use serde_json::{Map, Value, json};

/// The version of the form.
const FORM: u32 = 1;

/// All builds; `worst` is the worst class of what is new.
pub fn comparison_json(revisions: &Revisions, builds: &[ComparedBuild], worst: Option<Class>) -> Value {
    json!({
        "form": FORM,
        "base": revisions.base,
        "head": revisions.head,
        "day": revisions.day.to_string(),
        "caution": CAUTION,
        "worst": worst,
        "unchanged": revisions.unchanged,
        "builds": builds.iter().map(build).collect::<Vec<_>>(),
    })
}

fn build(build: &ComparedBuild) -> Value {
    match build {
        ComparedBuild::Both(compared) => both(compared),
        ComparedBuild::Added(path, a, errors) => {
            let findings = a.broken().into_iter().map(|(judgement, _, _)| outcome(a, judgement));
            json!({
                "side": "added",
                "path": path,
                "name": a.name,
                "errors": errors_json(errors, &a.sources),
                "counts": a.counts(),
                "findings": findings.collect::<Vec<_>>(),
            })
        }
        ComparedBuild::Removed(path, name) => json!({"side": "removed", "path": path, "name": name}),
    }
}

/// A build on both sides.
pub(in super::super) fn both(compared: &Compared) -> Value {
    let c = compared.comparison;
    let names = |(old, new): &(String, String)| json!({"old": old, "new": new});
    json!({
        "side": "both",
        "path": compared.path,
        "old_path": compared.old_path,
        "name": c.after.name,
        "errors": errors_json(compared.errors, &c.after.sources),
        "old_errors": errors_json(compared.old_errors, &c.before.sources),
        "worst": c.worst(),
        "verdicts": c.verdicts.iter().map(|v| verdict(c, v)).collect::<Vec<_>>(),
        "margins": c.margins.iter().map(|m| margin_move(c, m)).collect::<Vec<_>>(),
        "margins_left_out": c.margins_left_out.len(),
        "fell_away": c.fell_away,
        "changes": c.changes.iter().map(|change| changed(c, change)).collect::<Vec<_>>(),
        "renamed": c.renamed.iter().map(names).collect::<Vec<_>>(),
        "units_alone": c.units_alone,
        "figures": c.figures.iter().map(|m| figure(c, m)).collect::<Vec<_>>(),
        "figures_left_out": c.figures_left_out,
        "concessions": c.concessions.iter().map(|m| granting(c, m)).collect::<Vec<_>>(),
        "faulty_concessions": c.faulty_concessions.iter().map(|f| json!({
            "rule": f.concession.rule,
            "subject": f.concession.subject,
            "fault": f.fault.words(),
            "class": f.class,
            "says": f.says,
            "remedy": f.remedy,
            "at": place(&c.after.sources, f.span),
        })).collect::<Vec<_>>(),
        "grouping": c.grouping,
        "trials": c.trials.iter().map(|t| json!({"changes": t.changes, "of": t.of, "way": t.way})).collect::<Vec<_>>(),
        "untried": c.untried,
        "book": compared.book.as_ref().map(book),
    })
}

fn outcome(a: &Assessment, judgement: &Judgement) -> Value {
    let mut value = json!({
        "rule": a.index.rules.get(judgement.rule).map(|r| &r.name),
        "subject": judgement.subject,
        "outcome": judgement.outcome.word(),
        "at": maybe_place(&a.sources, judgement.span),
        "margin": judgement.margin.as_ref().map(margin),
        "case": a.case_of(judgement),
        "worse_open": judgement.worse_open.as_ref().map(|w| json!({"class": w.class, "needs": w.needs})),
        "says": judgement.finding.as_ref().map(|f| &f.says),
        "remedy": judgement.finding.as_ref().map(|f| &f.remedy),
        "points_at": maybe_place(&a.sources, judgement.finding.as_ref().and_then(|f| f.points_at.span)),
        "concession": judgement.finding.as_ref().and_then(|f| f.concession.as_ref()).map(|c| concession(a, c)),
    });
    if let (Value::Object(map), Value::Object(why)) = (&mut value, reasons(&a.sources, &judgement.outcome)) {
        map.extend(why);
    }
    value
}

fn causes(causes: &Causes) -> Value {
    let one = |cause: &crate::history::compare::Cause| match &cause.effect {
        Effect::Moves { si, shown } => json!({"trial": cause.trial, "si": si, "shown": shown, "outcome": null}),
        Effect::Turns(word) => json!({"trial": cause.trial, "si": null, "shown": null, "outcome": word}),
    };
    json!({
        "of": causes.of.iter().map(one).collect::<Vec<_>>(),
        "joint": causes.joint,
        "together": causes.together,
    })
}

fn verdict(c: &Comparison, v: &Verdict) -> Value {
    let title = c.after.index.rules.get(v.rule).map(|r| &r.title);
    json!({
        "turn": v.turn,
        "rule": words::rule(c, v.rule),
        "requirement": title,
        "subject": v.subject,
        "old_subject": v.old_subject,
        "old": v.old.as_ref().map(|j| outcome(&c.before, j)),
        "new": v.new.as_ref().map(|j| outcome(&c.after, j)),
        "at_stake": v.at_stake,
        "causes": causes(&v.causes),
    })
}

/// A margin that moved.
pub(in super::super) fn margin_move(c: &Comparison, m: &MarginMove) -> Value {
    json!({
        "rule": words::rule(c, m.rule),
        "subject": m.subject,
        "old_subject": m.old_subject,
        "outcome": m.outcome,
        "old": margin(&m.old),
        "new": margin(&m.new),
        "difference": m.difference,
        "shrank": m.shrank,
        "share": m.share,
        "causes": causes(&m.causes),
    })
}

fn side(sources: &Sources, side: &Side) -> Value {
    json!({"shown": side.shown, "in_other_unit": side.in_other_unit, "at": place(sources, side.span)})
}

fn changed(c: &Comparison, change: &Change) -> Value {
    let contents = |(path, value): &(String, String)| json!({"path": path, "value": value});
    json!({
        "manner": change.manner,
        "path": change.path,
        "old_path": change.old_path,
        "old": change.old.as_ref().map(|s| side(&c.before.sources, s)),
        "new": change.new.as_ref().map(|s| side(&c.after.sources, s)),
        "difference": change.difference,
        "contents": change.contents.iter().map(contents).collect::<Vec<_>>(),
    })
}

fn figure(c: &Comparison, m: &FigureMove) -> Value {
    let reading = |a: &Assessment, reading: &Option<FigureReading>| match reading {
        None => Value::Null,
        Some(reading) => {
            let (key, value) = reading_json(a, reading);
            Value::Object(Map::from_iter([(key.to_string(), value)]))
        }
    };
    json!({
        "figure": c.after.index.figures.get(m.figure).map(|f| &f.name),
        "subject": m.subject,
        "old_subject": m.old_subject,
        "old": reading(&c.before, &m.old),
        "new": reading(&c.after, &m.new),
        "difference": m.difference,
        "share": m.share,
        "causes": causes(&m.causes),
    })
}

fn granting(c: &Comparison, m: &ConcessionMove) -> Value {
    let one = |sources: &Sources, concession: &crate::assess::Concession| {
        json!({
            "rule": concession.rule,
            "subject": concession.subject,
            "reason": concession.reason,
            "by": concession.by,
            "until": concession.until.map(|d| d.to_string()),
            "dangerous_accepted": concession.dangerous_accepted,
            "at": place(sources, concession.span),
        })
    };
    json!({
        "how": m.how,
        "old": m.old.as_ref().map(|old| one(&c.before.sources, old)),
        "new": m.new.as_ref().map(|new| one(&c.after.sources, new)),
    })
}

fn book(book: &BookWords) -> Value {
    match book {
        BookWords::Unusable(of, texts, troubles) => {
            json!({"usable": false, "of": of, "errors": errors_json(troubles, texts)})
        }
        BookWords::Change(change) => json!({
            "usable": true,
            "added": change.added,
            "removed": change.removed,
            "moves": change.moves.iter().map(|m| json!({
                "rule": m.rule,
                "subject": m.subject,
                "old": m.old,
                "new": m.new,
            })).collect::<Vec<_>>(),
        }),
    }
}
