//! Concessions on both sides: granted, withdrawn, changed, and run out since.

use super::verdicts::Sides;
use crate::assess::{Assessment, Concession, ConcessionFinding};
use crate::source::Span;
use crate::terms::Spec;
use jiff::civil::Date;

/// How a concession changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Granting {
    /// It is there now and was not.
    Granted,
    /// It is there no more.
    Withdrawn,
    /// Its last day, its reason, its name or what it accepts is another.
    Changed,
    /// Its last day lies between the two days.
    Expired,
}

/// A concession that changed.
#[derive(Debug, Clone)]
pub struct ConcessionMove {
    /// How it changed.
    pub how: Granting,
    /// How it was.
    pub old: Option<Concession>,
    /// How it is.
    pub new: Option<Concession>,
}

impl ConcessionMove {
    /// The concession as it is, or as it was if it is gone.
    pub fn concession(&self) -> Option<&Concession> {
        self.new.as_ref().or(self.old.as_ref())
    }

    /// Where it stands in the newer spec.
    pub fn span(&self) -> Option<Span> {
        self.new.as_ref().map(|c| c.span)
    }
}

/// Compares concessions; each side counts its own for its own day.
pub(super) fn permits(sides: &Sides, (old, new): (&Spec, &Spec), day: Date) -> Vec<ConcessionMove> {
    let (pairs, old_day) = (sides.pairs, sides.old_day);
    let mut before: Vec<Concession> = sides.before.concessions.clone();
    let mut moves = Vec::new();
    // A component under a new name keeps its concession if that follows.
    let now_named = |subject: &str| {
        let place = old.find(subject).and_then(|place| pairs.newer(place));
        place.map_or_else(|| subject.to_string(), |place| new.path(place))
    };
    for is in sides.after.concessions.clone() {
        let found = before.iter().position(|was| was.rule == is.rule && now_named(&was.subject) == is.subject);
        let Some(was) = found.map(|at| before.remove(at)) else {
            moves.push(ConcessionMove { how: Granting::Granted, old: None, new: Some(is) });
            continue;
        };
        let same = was.until == is.until
            && was.by == is.by
            && was.reason == is.reason
            && was.dangerous_accepted == is.dangerous_accepted;
        let ran_out = was.until.is_some_and(|last| last >= old_day) && is.until.is_some_and(|last| last < day);
        let how = match (same, ran_out) {
            (_, true) => Granting::Expired,
            (false, _) => Granting::Changed,
            (true, false) => continue,
        };
        moves.push(ConcessionMove { how, old: Some(was), new: Some(is) });
    }
    moves.extend(before.into_iter().map(|was| ConcessionMove { how: Granting::Withdrawn, old: Some(was), new: None }));
    moves
}

/// Concessions of the newer side that do not do what they were written for, those left out that did not before either.
pub(super) fn faulty(before: &Assessment, after: &Assessment) -> Vec<ConcessionFinding> {
    let same = |a: &ConcessionFinding, b: &ConcessionFinding| a.fault == b.fault && a.says == b.says;
    let known = |f: &&ConcessionFinding| !before.concession_findings.iter().any(|b| same(b, f));
    after.concession_findings.iter().filter(known).cloned().collect()
}
