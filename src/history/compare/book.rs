//! What a changed rulebook does by itself: the older spec judged by the older rulebook and by the newer one.

use crate::assess::{Assessment, Judgement, Outcome};
use crate::rulebook::Index;
use std::collections::{BTreeMap, BTreeSet};

/// An outcome on the older spec that is another one by the newer rulebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookMove {
    /// The rule.
    pub rule: String,
    /// The subject's path in the older spec.
    pub subject: String,
    /// The outcome by the older rulebook, in a word; nothing if it has no such rule or it is about something else.
    pub old: Option<&'static str>,
    /// The outcome by the newer rulebook.
    pub new: Option<&'static str>,
}

/// What differs between two rulebooks, and what that does to a spec.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BookChange {
    /// Rules that only the newer one has.
    pub added: Vec<String>,
    /// Rules that only the older one has.
    pub removed: Vec<String>,
    /// What they make of the older spec; only outcomes that differ.
    pub moves: Vec<BookMove>,
}

/// Compares what two rulebooks make of the older spec.
pub fn book_change(by_old: &Assessment, by_new: &Assessment) -> BookChange {
    let names = |index: &Index| -> BTreeSet<String> { index.rules.iter().map(|r| r.name.to_string()).collect() };
    let (old, new) = (names(&by_old.index), names(&by_new.index));
    let (was, is) = (outcomes(by_old), outcomes(by_new));
    let keys: BTreeSet<&(String, String)> = was.keys().chain(is.keys()).collect();
    let word = |all: &BTreeMap<(String, String), &Judgement>, key: &(String, String)| {
        all.get(key).filter(|j| j.outcome != Outcome::NotApplicable).map(|j| j.outcome.word())
    };
    let moves = keys.into_iter().filter_map(|key| {
        let (old, new) = (word(&was, key), word(&is, key));
        (old != new).then(|| BookMove { rule: key.0.clone(), subject: key.1.clone(), old, new })
    });
    BookChange {
        added: new.difference(&old).cloned().collect(),
        removed: old.difference(&new).cloned().collect(),
        moves: moves.collect(),
    }
}

fn outcomes(assessment: &Assessment) -> BTreeMap<(String, String), &Judgement> {
    let name = |j: &Judgement| assessment.index.rules.get(j.rule).map_or(String::new(), |r| r.name.to_string());
    assessment.judgements.iter().map(|j| ((name(j), j.subject.clone()), j)).collect()
}
