//! Outcomes and margins on both sides: findings new, cleared, graded up or down; what became judged and what cannot be told any
//! more; margins that shrank or grew where nothing broke.

use super::causes::{Causes, Key, Moved, Subjects, Tried, by_key, comparable, decided, key, of_margin, of_outcome};
use super::pairs::Pairs;
use crate::assess::{Assessment, ConcessionState, Judgement, Margin, Outcome};
use crate::rulebook::Class;
use crate::terms::PlaceId;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// A margin that moved by less than this share of what it is on the side where it is greater is left out.
const WORTH_SAYING: f64 = 0.1;

/// How an outcome turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Turn {
    /// Broken, and was not.
    New,
    /// Broken as before, and no concession covers it any more.
    Uncovered,
    /// Broken in a worse class than before.
    GradedUp,
    /// It cannot be told any more, or not yet: unmeasured, unproven or beyond.
    Open,
    /// Not broken any more.
    Cleared,
    /// Broken in a milder class than before.
    GradedDown,
    /// It holds, and could not be told before.
    Judged,
    /// Broken as before.
    Still,
}

/// An outcome that turned, or a finding that is still there.
#[derive(Debug, Clone)]
pub struct Verdict {
    /// How it turned.
    pub turn: Turn,
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path in the newer spec; in the older one if it is gone.
    pub subject: String,
    /// The subject's path in the older spec, where that is another.
    pub old_subject: Option<String>,
    /// How it was judged.
    pub old: Option<Judgement>,
    /// How it is judged.
    pub new: Option<Judgement>,
    /// For what cannot be told: the worst class that the rule knows and that is left open.
    pub at_stake: Option<Class>,
    /// Why.
    pub causes: Causes,
}

/// A margin that moved while the outcome stayed.
#[derive(Debug, Clone)]
pub struct MarginMove {
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path in the newer spec.
    pub subject: String,
    /// The subject's path in the older spec, where that is another.
    pub old_subject: Option<String>,
    /// The outcome, the same on both sides, in a word.
    pub outcome: &'static str,
    /// How it was.
    pub old: Margin,
    /// How it is.
    pub new: Margin,
    /// By how much it moved, with unit and sign; what shrinks is negative.
    pub difference: String,
    /// Whether there is less of it.
    pub shrank: bool,
    /// The share of it that went or came, of the side where it is greater.
    pub share: f64,
    /// Why.
    pub causes: Causes,
}

/// What is found about outcomes.
#[derive(Debug, Clone, Default)]
pub(super) struct Verdicts {
    pub verdicts: Vec<Verdict>,
    pub margins: Vec<MarginMove>,
    pub margins_left_out: Vec<MarginMove>,
    pub fell_away: usize,
    /// For each outcome of the newer spec its counterpart in the older one.
    pub before: Vec<Option<usize>>,
}

/// What is compared.
pub(super) struct Sides<'a> {
    pub pairs: &'a Pairs,
    pub before: &'a Assessment,
    pub after: &'a Assessment,
    /// The day for which the older revision counted its concessions.
    pub old_day: Date,
}

/// Compares outcomes.
pub(super) fn verdicts(sides: &Sides, tried: &[Tried]) -> Verdicts {
    let before = by_key(&sides.before.judgements);
    let numbers: BTreeMap<Key, usize> = sides.before.judgements.iter().enumerate().map(|(n, j)| (key(j), n)).collect();
    let mut seen: BTreeSet<Key> = BTreeSet::new();
    let mut found = Verdicts::default();
    for new in &sides.after.judgements {
        let old_key = match new.place {
            Some(place) => sides.pairs.older(place).map(|old| (new.rule, Ok(old.0))),
            None => Some((new.rule, Err(new.subject.clone()))),
        };
        let old = old_key.as_ref().and_then(|key| before.get(key)).copied();
        found.before.push(old_key.as_ref().and_then(|key| numbers.get(key)).copied());
        seen.extend(old_key.filter(|_| old.is_some()));
        pair(sides, tried, old, Some(new), &mut found);
    }
    for old in sides.before.judgements.iter().filter(|old| !seen.contains(&key(old))) {
        pair(sides, tried, Some(old), None, &mut found);
    }
    found.verdicts.sort_by_key(rank);
    found.margins.sort_by(|a, b| b.shrank.cmp(&a.shrank).then(b.share.total_cmp(&a.share)));
    found
}

/// What a reviewer reads first: the worst class of what got worse, then what is left open, then what got better.
fn rank(verdict: &Verdict) -> (u8, std::cmp::Reverse<Option<Class>>, Turn) {
    let class = verdict.new.as_ref().and_then(broken).or(verdict.at_stake).or(verdict.old.as_ref().and_then(broken));
    let group = match verdict.turn {
        Turn::New | Turn::Uncovered | Turn::GradedUp => 0,
        Turn::Open if verdict.at_stake == Some(Class::Dangerous) => 1,
        Turn::Cleared | Turn::GradedDown => 2,
        Turn::Open => 3,
        Turn::Judged => 4,
        Turn::Still => 5,
    };
    (group, std::cmp::Reverse(class), verdict.turn)
}

fn broken(judgement: &Judgement) -> Option<Class> {
    match judgement.outcome {
        Outcome::Broken(class) => Some(class),
        _ => None,
    }
}

fn pair(sides: &Sides, tried: &[Tried], old: Option<&Judgement>, new: Option<&Judgement>, found: &mut Verdicts) {
    let Some(turn) = turn(sides, old, new) else {
        match (old, new) {
            (Some(old), Some(new)) if old.outcome == Outcome::Holds && new.outcome == Outcome::Holds => {
                margin(sides, tried, old, new, found);
            }
            (Some(old), new) if old.outcome == Outcome::Holds && new.is_some_and(|n| n.outcome != Outcome::Holds) => {
                found.fell_away += 1;
            }
            _ => {}
        }
        return;
    };
    let Some(rule) = new.or(old).map(|j| j.rule) else { return };
    if let (Turn::Still, Some(old), Some(new)) = (turn, old, new) {
        margin(sides, tried, old, new, found);
    }
    let (subject, old_subject) = subjects(old, new);
    let causes = match turn {
        Turn::Still | Turn::Uncovered => Causes::default(),
        _ => of_outcome(tried, &keys(sides, old, new), word(old), word(new)),
    };
    let at_stake = (turn == Turn::Open).then(|| new.and_then(at_stake)).flatten();
    found.verdicts.push(Verdict {
        turn,
        rule,
        subject,
        old_subject,
        old: old.cloned(),
        new: new.cloned(),
        at_stake,
        causes,
    });
}

fn word(judgement: Option<&Judgement>) -> &'static str {
    judgement.map_or("not there", |j| j.outcome.word())
}

/// The worst class that is open: what a broken milder class leaves open, or what the rule can come to.
fn at_stake(new: &Judgement) -> Option<Class> {
    new.worse_open.as_ref().map(|worse| worse.class).or(new.at_stake)
}

/// How an outcome turned; nothing where there is nothing to say.
fn turn(sides: &Sides, old: Option<&Judgement>, new: Option<&Judgement>) -> Option<Turn> {
    let none = Outcome::NotApplicable;
    let (was, is) = (old.map_or(&none, |j| &j.outcome), new.map_or(&none, |j| &j.outcome));
    let opened = |j: Option<&Judgement>| j.and_then(|j| j.worse_open.as_ref()).map(|worse| worse.class);
    match (was, is) {
        (Outcome::Broken(before), Outcome::Broken(after)) if after > before => Some(Turn::GradedUp),
        (Outcome::Broken(_), Outcome::Broken(_)) if covered_before(sides, old) && !covered(new) => {
            Some(Turn::Uncovered)
        }
        (Outcome::Broken(_), Outcome::Broken(_)) if opened(new) > opened(old) => Some(Turn::Open),
        (Outcome::Broken(before), Outcome::Broken(after)) if after < before => Some(Turn::GradedDown),
        (Outcome::Broken(_), Outcome::Broken(_)) => Some(Turn::Still),
        (_, Outcome::Broken(_)) => Some(Turn::New),
        (Outcome::Broken(_), open) if !decided(open) => Some(Turn::Open),
        (Outcome::Broken(_), _) => Some(Turn::Cleared),
        (before, after) if decided(before) && !decided(after) => Some(Turn::Open),
        (before, Outcome::Holds) if !decided(before) => Some(Turn::Judged),
        _ => None,
    }
}

fn covered(judgement: Option<&Judgement>) -> bool {
    state(judgement).is_some_and(ConcessionState::in_force)
}

fn state(judgement: Option<&Judgement>) -> Option<&ConcessionState> {
    judgement?.finding.as_ref()?.concession.as_ref()
}

/// Whether a finding of the older revision was covered on its day: its concession may have run out since.
fn covered_before(sides: &Sides, old: Option<&Judgement>) -> bool {
    let class = old.and_then(broken);
    match state(old) {
        Some(ConcessionState::InForce(_)) => true,
        Some(ConcessionState::Expired(c)) => {
            let accepted = class != Some(Class::Dangerous) || c.dangerous_accepted;
            accepted && c.until.is_some_and(|last| last >= sides.old_day)
        }
        _ => false,
    }
}

fn subjects(old: Option<&Judgement>, new: Option<&Judgement>) -> (String, Option<String>) {
    match (old, new) {
        (Some(old), Some(new)) => (new.subject.clone(), (old.subject != new.subject).then(|| old.subject.clone())),
        (one, other) => (one.or(other).map_or(String::new(), |j| j.subject.clone()), None),
    }
}

/// Where a trial finds the outcome again, also where one side does not have it.
fn keys(sides: &Sides, old: Option<&Judgement>, new: Option<&Judgement>) -> Subjects {
    let other = |j: &Judgement, place: &dyn Fn(PlaceId) -> Option<PlaceId>| match j.place {
        Some(at) => place(at).map(|at| (j.rule, Ok(at.0))),
        None => Some((j.rule, Err(j.subject.clone()))),
    };
    Subjects {
        old: old.map(key).or_else(|| new.and_then(|j| other(j, &|at| sides.pairs.older(at)))),
        new: new.map(key).or_else(|| old.and_then(|j| other(j, &|at| sides.pairs.newer(at)))),
    }
}

fn margin(sides: &Sides, tried: &[Tried], old: &Judgement, new: &Judgement, found: &mut Verdicts) {
    let (Some(was), Some(is)) = (&old.margin, &new.margin) else { return };
    let moved = Moved { old: was.si(), new: is.si(), dimension: is.dimension(), unit: is.unit() };
    let difference = is.si() - was.si();
    let size = was.si().abs().max(is.si().abs());
    if !comparable(was, is) || difference.abs() <= 1e-9 * size {
        return;
    }
    let share = difference.abs() / size;
    let told = share >= WORTH_SAYING;
    let (subject, old_subject) = subjects(Some(old), Some(new));
    let (list, causes) = match told {
        true => (&mut found.margins, of_margin(tried, &keys(sides, Some(old), Some(new)), &moved)),
        false => (&mut found.margins_left_out, Causes::default()),
    };
    list.push(MarginMove {
        rule: new.rule,
        subject,
        old_subject,
        outcome: new.outcome.word(),
        old: was.clone(),
        new: is.clone(),
        difference: moved.shown(difference),
        shrank: difference < 0.0,
        share,
        causes,
    });
}
