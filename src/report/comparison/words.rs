//! The words that all forms of a comparison share.

use super::super::terminal;
use crate::assess::{Assessment, Judgement, Margin, Outcome};
use crate::history::compare::{
    Causes, Change, Comparison, ConcessionMove, Effect, FigureMove, Granting, Grouping, Manner, MarginMove, Side,
    Trial, Turn, Verdict, Way,
};
use crate::rulebook::Class;
use crate::source::{Sources, Span};

/// How many causes are told of one thing.
const MOST_CAUSES: usize = 3;

/// The sign between before and now.
const TO: &str = "\u{2192}";

/// A place as file, line and column.
pub(super) fn place(sources: &Sources, span: Span) -> String {
    let at = sources.position(span.file, span.start);
    format!("{}:{}:{}", sources.name(span.file), at.line, at.column)
}

/// Where a change stands now, and where it stood if that is elsewhere.
pub(super) fn places(comparison: &Comparison, change: &Change) -> String {
    let new = change.new.as_ref().map(|side| place(&comparison.after.sources, side.span));
    let old = change.old.as_ref().map(|side| place(&comparison.before.sources, side.span));
    match (new, old) {
        (Some(new), Some(old)) if new != old => format!("{new}, before {old}"),
        (Some(new), _) => new,
        (None, old) => old.map_or(String::new(), |old| format!("before {old}")),
    }
}

/// The name of a rule.
pub(super) fn rule(comparison: &Comparison, number: usize) -> &str {
    comparison.after.index.rules.get(number).map_or("", |rule| &rule.name)
}

/// A quantity, with the other side's unit behind it where that is another.
fn both_units(side: &Side) -> String {
    match &side.in_other_unit {
        Some(other) => format!("{} ({other})", side.shown),
        None => side.shown.clone(),
    }
}

/// How something was and is.
pub(super) fn change(change: &Change) -> String {
    let old = change.old.as_ref().map(both_units);
    let new = change.new.as_ref().map(both_units);
    let words = match (change.manner, old, new) {
        (Manner::Added, _, new) => format!("added, {}", counted(change.contents.len(), new)),
        (Manner::Removed, old, Some(new)) if new != "not written" => {
            format!("removed, {}; now {new}", counted(change.contents.len(), old))
        }
        (Manner::Removed, old, _) => format!("removed, {}", counted(change.contents.len(), old)),
        (Manner::Reordered, old, new) => {
            format!("another order, {} {TO} {}", old.unwrap_or_default(), new.unwrap_or_default())
        }
        (Manner::Known | Manner::Value, old, new) => {
            format!("{} {TO} {}", old.unwrap_or_default(), new.unwrap_or_default())
        }
    };
    match &change.difference {
        Some(difference) => format!("{words}, {difference}"),
        None => words,
    }
}

/// A thing that came or went, by how much it says; a single value by what stands there.
fn counted(values: usize, shown: Option<String>) -> String {
    match (values, shown) {
        (1, Some(shown)) => shown,
        (n, _) => plural(n, "value"),
    }
}

/// A number of things.
pub(super) fn plural(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// What a trial is of; with the values before and now where that is wanted.
fn trial(comparison: &Comparison, trial: &Trial, values: bool) -> String {
    match (&trial.of, &trial.changes[..]) {
        (None, [one]) => comparison.changes.get(*one).map_or(String::new(), |c| match values {
            true => format!("{} {}", c.path, change(c)),
            false => c.path.clone(),
        }),
        (Some(of), all) => format!("{of} ({})", plural(all.len(), "change")),
        (None, all) => plural(all.len(), "change"),
    }
}

/// Why something turned, a sentence for each cause, with the values that changed.
pub(super) fn causes(comparison: &Comparison, causes: &Causes) -> Vec<String> {
    sentences(comparison, causes, true)
}

/// Why something in a list moved, without the values; nothing where there is only one change that it can come from.
pub(super) fn causes_by_path(comparison: &Comparison, causes: &Causes) -> Vec<String> {
    if comparison.changes.len() == 1 { Vec::new() } else { sentences(comparison, causes, false) }
}

fn sentences(comparison: &Comparison, causes: &Causes, values: bool) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for cause in causes.of.iter().take(MOST_CAUSES) {
        let Some(of) = comparison.trials.get(cause.trial) else { continue };
        let what = trial(comparison, of, values);
        out.push(match (&cause.effect, of.way) {
            (Effect::Moves { shown, .. }, _) => format!("{shown} by {what}"),
            (Effect::Turns(word), Way::PutBack) => format!("{what}; with that alone put back: {word}"),
            (Effect::Turns(word), Way::MadeAlone) => format!("{what}; with that change alone: {word}"),
        });
    }
    if causes.of.len() > MOST_CAUSES {
        out.push(format!("and {} more", causes.of.len() - MOST_CAUSES));
    }
    out.extend(causes.joint.as_ref().map(|joint| format!("{joint} joint, by no change alone")));
    if causes.together {
        out.push(match comparison.changes.len() {
            0 | 1 => "no changed value does it by itself".into(),
            _ => "no change does it alone; several do together".into(),
        });
    }
    out
}

/// How an outcome turned, in a word or two, with the class that counts.
pub(in super::super) fn turn(verdict: &Verdict) -> String {
    let class = |j: &Option<Judgement>| j.as_ref().and_then(class_of).map_or("", Class::word);
    match verdict.turn {
        Turn::New => format!("new {}", class(&verdict.new)),
        Turn::Uncovered => format!("{}, no longer conceded", class(&verdict.new)),
        Turn::GradedUp => format!("up to {}", class(&verdict.new)),
        Turn::GradedDown => format!("down to {}", class(&verdict.new)),
        Turn::Open => open_word(verdict).to_string(),
        Turn::Cleared => "cleared".into(),
        Turn::Judged => "judged now".into(),
        Turn::Still => format!("still {}", class(&verdict.new)),
    }
}

fn open_word(verdict: &Verdict) -> &str {
    match &verdict.new {
        Some(new) if class_of(new).is_some() => "worse class open",
        Some(new) => new.outcome.word(),
        None => "open",
    }
}

/// The class of a broken rule.
pub(super) fn class_of(judgement: &Judgement) -> Option<Class> {
    match judgement.outcome {
        Outcome::Broken(class) => Some(class),
        _ => None,
    }
}

/// How a subject was judged before.
pub(super) fn was(verdict: &Verdict) -> String {
    let Some(old) = &verdict.old else { return "not there".into() };
    let margin = old.margin.as_ref().map_or(String::new(), |m| format!(", {}", terminal::limit(m)));
    format!("{}{margin}", old.outcome.word())
}

/// What a judgement that cannot be told needs.
pub(super) fn needs(judgement: &Judgement) -> String {
    let paths = match (&judgement.outcome, &judgement.worse_open) {
        (_, Some(worse)) => worse.needs.clone(),
        (Outcome::Unmeasured { missing, unreadable }, _) => {
            missing.iter().map(|m| m.path.clone()).chain(unreadable.iter().cloned()).collect()
        }
        (Outcome::Unproven(values), _) => {
            values.iter().map(|v| format!("{}, proven by an uncertainty of {}", v.words, v.would_do)).collect()
        }
        (Outcome::Beyond(words), _) => words.clone(),
        _ => Vec::new(),
    };
    paths.join(", ")
}

/// A margin before and now.
pub(super) fn margin(m: &MarginMove) -> String {
    format!("{} {TO} {}{}", m.old.shown(), m.new.shown(), limits(&m.old, &m.new))
}

fn limits(old: &Margin, new: &Margin) -> String {
    let of_limit = new.share().map_or(String::new(), |s| format!(", {} of the limit", terminal::percent(s.abs())));
    let (was, is) = (old.limit(), new.limit());
    if was == is { of_limit } else { format!("{of_limit}; the limit {was} {TO} {is}") }
}

/// A figure before and now.
pub(super) fn figure(m: &FigureMove) -> String {
    let shown = |reading: &Option<crate::assess::FigureReading>| {
        reading.as_ref().map_or_else(|| "not there".to_string(), super::super::figures::reading_words)
    };
    let difference = m.difference.as_deref().map_or(String::new(), |d| format!(", {d}"));
    format!("{} {TO} {}{difference}", shown(&m.old), shown(&m.new))
}

/// What happened to a concession.
pub(super) fn concession(m: &ConcessionMove) -> String {
    let Some(c) = m.concession() else { return String::new() };
    let until = |c: &crate::assess::Concession| c.until.map_or("no last day".to_string(), |day| day.to_string());
    let by = c.by.as_deref().map_or(String::new(), |by| format!(", by {by}"));
    let reason = c.reason.as_deref().map_or(String::new(), |reason| format!(": {reason}"));
    let what = match (m.how, &m.old) {
        (Granting::Granted, _) => format!("granted until {}", until(c)),
        (Granting::Withdrawn, _) => format!("withdrawn; it held until {}", until(c)),
        (Granting::Expired, _) => format!("run out on {}", until(c)),
        (Granting::Changed, Some(old)) if old.until != c.until => {
            format!("changed, until {} {TO} {}", until(old), until(c))
        }
        (Granting::Changed, _) => format!("changed, until {}", until(c)),
    };
    format!("{what}{by}{reason}")
}

/// How changes were tried, where that is not one by one.
pub(super) fn grouping(comparison: &Comparison) -> Option<String> {
    let together = match comparison.grouping {
        Grouping::Singly => None,
        Grouping::ByComponent => Some("component"),
        Grouping::BySystem => Some("system"),
    };
    let n = comparison.changes.len();
    let mut words: Vec<String> = Vec::new();
    if let Some(what) = together {
        words.push(format!("{} are too many to be tried one by one; causes are told by {what}.", plural(n, "change")));
    }
    if !comparison.untried.is_empty() {
        let paths: Vec<_> =
            comparison.untried.iter().filter_map(|at| Some(comparison.changes.get(*at)?.path.as_str())).collect();
        words.push(format!("What {} does alone cannot be tried.", paths.join(", ")));
    }
    (!words.is_empty()).then(|| words.join(" "))
}

/// Everything counted, in one line.
pub(super) fn summary(comparison: &Comparison) -> String {
    let turned = |turn: Turn| comparison.verdicts.iter().filter(move |v| v.turn == turn);
    let classes = |all: Vec<&Verdict>, old: bool| -> String {
        let of = |class: Class| {
            let side =
                |v: &Verdict| if old { v.old.as_ref().and_then(class_of) } else { v.new.as_ref().and_then(class_of) };
            all.iter().filter(|v| side(v) == Some(class)).count()
        };
        let shown = Class::ALL.into_iter().map(|c| (of(c), c)).filter(|(n, _)| *n > 0);
        shown.map(|(n, class)| format!("{n} {}", class.word())).collect::<Vec<_>>().join(", ")
    };
    let mut words = Vec::new();
    let told = [
        (Turn::New, "new"),
        (Turn::Uncovered, "no longer conceded"),
        (Turn::GradedUp, "graded up to"),
        (Turn::GradedDown, "graded down to"),
        (Turn::Cleared, "cleared"),
        (Turn::Still, "still there"),
    ];
    for (which, word) in told {
        let all: Vec<_> = turned(which).collect();
        if !all.is_empty() {
            words.push(format!("{word}: {}", classes(all, which == Turn::Cleared)));
        }
    }
    let shrunk = comparison.margins.iter().filter(|m| m.shrank).count();
    let counts = [
        (turned(Turn::Open).count(), "outcome cannot be told", "outcomes cannot be told"),
        (turned(Turn::Judged).count(), "outcome can be told now", "outcomes can be told now"),
        (shrunk, "margin shrunk", "margins shrunk"),
        (comparison.margins.len() - shrunk, "margin grown", "margins grown"),
        (comparison.changes.len(), "change", "changes"),
    ];
    let counts = counts.into_iter().filter(|(n, ..)| *n > 0);
    words.extend(counts.map(|(n, one, many)| format!("{n} {}", if n == 1 { one } else { many })));
    if comparison.changes.is_empty() {
        words.push("no value changed".into());
    }
    words.join("; ")
}

/// A new build counted, in one line.
pub(super) fn added(assessment: &Assessment) -> String {
    let dangerous = |j: &&Judgement| class_of(j).is_none() && j.at_stake == Some(Class::Dangerous);
    let counts = super::super::summary::line(&assessment.counts(), 0);
    match assessment.judgements.iter().filter(dangerous).count() {
        0 => counts,
        n => format!("{counts}; in {n} of what cannot be told something dangerous could show"),
    }
}

/// What is left out of the lists, in sentences.
pub(super) fn left_out(comparison: &Comparison) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |n: usize, one: &str, many: &str| match n {
        0 => {}
        1 => out.push(one.to_string()),
        n => out.push(format!("{n} {many}")),
    };
    say(
        comparison.margins_left_out.len(),
        "One margin moved by less than a tenth and is left out.",
        "margins moved by less than a tenth and are left out.",
    );
    say(
        comparison.figures_left_out,
        "One figure moved by less than what is shown of it.",
        "figures moved by less than what is shown of them.",
    );
    say(
        comparison.units_alone,
        "One value is only written in another unit.",
        "values are only written in other units.",
    );
    say(
        comparison.fell_away,
        "One rule that held is not about anything here any more.",
        "rules that held are not about anything here any more.",
    );
    out
}
