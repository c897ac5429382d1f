//! A comparison in lines, `path:line:col: what turned rule: sentence`, for editors and for filters.

use super::super::picture::pictured;
use super::super::summary::CAUTION;
use super::super::{brief_errors, cases};
use super::{Compared, ComparedBuild, Revisions, words};
use crate::history::compare::{Comparison, Turn, Verdict};
use std::fmt::Write as _;

/// All builds: errors, what turned, margins, changed values, concessions, a line each, in the order in which a reviewer wants them.
pub fn comparison_brief(revisions: &Revisions, builds: &[ComparedBuild]) -> String {
    let mut out = String::new();
    let mut line = |words: &str| {
        let _ = writeln!(out, "{}", pictured(words));
    };
    for build in builds {
        match build {
            ComparedBuild::Both(compared) => lines(compared, &mut line),
            ComparedBuild::Added(path, assessment, troubles) => {
                brief_errors("spec", troubles, &assessment.sources).lines().for_each(&mut line);
                line(&format!("{path}:1:1: new build: {}", words::added(assessment)));
                for (judgement, class, finding) in assessment.broken() {
                    let at = finding.points_at.span.or(judgement.span);
                    let at = at.map_or_else(|| format!("{path}:1:1"), |span| words::place(&assessment.sources, span));
                    let rule = assessment.index.rules.get(judgement.rule).map_or("", |r| &r.name);
                    line(&format!("{at}: new {} {rule}: {}", class.word(), finding.says));
                }
            }
            ComparedBuild::Removed(path, _) => line(&format!("{path}:1:1: build is there no more")),
        }
    }
    if builds.is_empty() {
        line(&format!("{} to {}: no build changed", revisions.base, revisions.head));
    }
    line(CAUTION);
    out
}

fn lines(compared: &Compared, line: &mut dyn FnMut(&str)) {
    let c = compared.comparison;
    brief_errors("older spec", compared.old_errors, &c.before.sources).lines().for_each(&mut *line);
    brief_errors("spec", compared.errors, &c.after.sources).lines().for_each(&mut *line);
    if let Some(old) = compared.old_path {
        line(&format!("{}:1:1: build moved, before {old}", compared.path));
    }
    let sources = &c.after.sources;
    let urgent = |v: &&Verdict| !matches!(v.turn, Turn::Cleared | Turn::GradedDown | Turn::Judged | Turn::Still);
    let verdict = |v: &Verdict| {
        let finding = v.new.as_ref().and_then(|j| j.finding.as_ref());
        let at = finding.and_then(|f| f.points_at.span).or(v.new.as_ref().and_then(|j| j.span));
        let at = at.map_or_else(|| format!("{}:1:1", compared.path), |span| words::place(sources, span));
        let says = match (finding, v.turn) {
            (Some(finding), Turn::New | Turn::Uncovered | Turn::GradedUp | Turn::GradedDown | Turn::Still) => {
                let cases = v.new.as_ref().map_or(String::new(), |new| cases::broken_in(&c.after, new));
                format!("{}{cases}", finding.says)
            }
            _ => format!("{}, was {}", v.subject, words::was(v)),
        };
        format!("{at}: {} {}: {says}", words::turn(v), words::rule(c, v.rule))
    };
    c.verdicts.iter().filter(urgent).for_each(|v| line(&verdict(v)));
    for found in &c.faulty_concessions {
        line(&format!("{}: new {} concession: {}", words::place(sources, found.span), found.class.word(), found.says));
    }
    for m in c.margins.iter().filter(|m| m.shrank) {
        let words = format!("margin shrunk {} {}: {}", words::rule(c, m.rule), m.subject, words::margin(m));
        line(&format!("{}:1:1: {words}", compared.path));
    }
    c.verdicts.iter().filter(|v| !urgent(v)).for_each(|v| line(&verdict(v)));
    values(c, compared.path, line);
    for m in &c.concessions {
        let Some(concession) = m.concession() else { continue };
        let at = m.span().map_or_else(|| format!("{}:1:1", compared.path), |span| words::place(sources, span));
        line(&format!("{at}: concession {} {}: {}", concession.rule, concession.subject, words::concession(m)));
    }
    line(&format!("{}: {}", compared.path, words::summary(c)));
}

fn values(c: &Comparison, path: &str, line: &mut dyn FnMut(&str)) {
    for change in &c.changes {
        let at = match (&change.new, &change.old) {
            (Some(side), _) => words::place(&c.after.sources, side.span),
            (None, Some(side)) => words::place(&c.before.sources, side.span),
            (None, None) => format!("{path}:1:1"),
        };
        line(&format!("{at}: value {}: {}", change.path, words::change(change)));
    }
    for (old, new) in &c.renamed {
        line(&format!("{path}:1:1: new name {old} \u{2192} {new}"));
    }
}
