//! What changed between two revisions of a spec, and what that did.
//!
//! In come two specs read by the same terms and one rulebook, the newer one's; out comes a [`Comparison`]: values that changed,
//! figures and margins that moved with the change that moved them, findings new and cleared, concessions. Outcomes are the worst
//! over the load cases of each spec; figures are told as the spec is written. It knows nothing of git and of output forms.

mod book;
mod builds;
mod causes;
mod changes;
mod content;
mod figures;
mod order;
mod pairs;
mod permits;
mod trials;
mod verdicts;

pub use book::{BookChange, BookMove, book_change};
pub use builds::{BuildPair, Named, match_builds};
pub use causes::{Cause, Causes, Effect};
pub use changes::{Change, Manner, Side};
pub use figures::FigureMove;
pub use pairs::Pairs;
pub use permits::{ConcessionMove, Granting};
pub use trials::{Grouping, Trial, Way};
pub use verdicts::{MarginMove, Turn, Verdict};

use crate::assess::{Assessment, ConcessionFinding, ConcessionState, Holding, Outcome, Request, assess_cases};
use crate::language::Overrides;
use crate::rulebook::{Class, Rulebook};
use crate::terms::Spec;
use jiff::civil::Date;

/// What is to be compared.
pub struct Asked<'a> {
    /// The older spec, read by the newer one's terms.
    pub old: &'a Spec,
    /// The newer spec.
    pub new: &'a Spec,
    /// The newer revision's rulebook, by which both are judged.
    pub book: &'a Rulebook,
    /// The day for which both are judged.
    pub day: Date,
    /// The day on which the older revision was made, for concessions that have run out since.
    pub old_day: Date,
}

/// One build, compared.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// The older spec, judged; the units of its values are those of the newer one where nothing else differs.
    pub before: Assessment,
    /// The newer spec, judged.
    pub after: Assessment,
    /// What changed, in the order of the newer spec.
    pub changes: Vec<Change>,
    /// Components under a new name: path before and now.
    pub renamed: Vec<(String, String)>,
    /// How many values are only written in another unit.
    pub units_alone: usize,
    /// Outcomes that turned, and findings that are still there, in the order in which a reviewer wants them.
    pub verdicts: Vec<Verdict>,
    /// Margins that moved while the outcome stayed, those that shrank most first.
    pub margins: Vec<MarginMove>,
    /// Margins that moved by too little to be told, without causes.
    pub margins_left_out: Vec<MarginMove>,
    /// How many rules held and are not about anything any more.
    pub fell_away: usize,
    /// For each outcome of the newer spec the number of the same rule's on the same subject in the older one, where there is one.
    pub outcomes_before: Vec<Option<usize>>,
    /// Figures that moved, those that moved most first.
    pub figures: Vec<FigureMove>,
    /// How many figures moved by less than what is shown of them.
    pub figures_left_out: usize,
    /// Concessions that changed.
    pub concessions: Vec<ConcessionMove>,
    /// Concessions that do not do what they were written for, and did, or were not there.
    pub faulty_concessions: Vec<ConcessionFinding>,
    /// How changes were tried.
    pub grouping: Grouping,
    /// The trials that the causes refer to.
    pub trials: Vec<Trial>,
    /// Changes that could not be tried by themselves, by their number.
    pub untried: Vec<usize>,
}

/// Compares two specs.
pub fn compare(asked: &Asked) -> Comparison {
    let Asked { old, new, book, day, old_day } = *asked;
    let pairs = Pairs::new(old, new);
    let ordered = order::ordered(book, new.types());
    let found = changes::changes(old, new, &pairs, &ordered);
    let request = |spec| Request { spec, rulebook: book, day, figures: true, explained: true, only: None };
    let plain = assess_cases(&request(old));
    let after = assess_cases(&request(new));
    let units: Overrides =
        found.units.iter().filter_map(|at| Some((*at, new.held(pairs.newer(*at)?).clone()))).collect();
    // In the newer one's units, so that what is only written otherwise reads alike in every word.
    let before = if units.is_empty() { plain.clone() } else { plain.again_in_cases(&request(old), &units) };
    let both = trials::Both { old, new, pairs: &pairs, book, day, before: &plain, after: &after, units: &units };
    let (grouping, trials) = trials::trials(&both, &found.changes);
    let tried: Vec<causes::Tried> = trials.iter().map(causes::Tried::new).collect();
    let sides = verdicts::Sides { pairs: &pairs, before: &before, after: &after, old_day };
    let verdicts = verdicts::verdicts(&sides, &tried);
    let (figures, figures_left_out) = figures::figures((old, new), &pairs, &before, &after, &tried);
    let untried = (0..found.changes.len()).filter(|at| !trials.iter().any(|trial| trial.changes.contains(at)));
    Comparison {
        untried: untried.collect(),
        changes: found.changes,
        renamed: found.renamed,
        units_alone: found.units.len(),
        verdicts: verdicts.verdicts,
        margins: verdicts.margins,
        margins_left_out: verdicts.margins_left_out,
        fell_away: verdicts.fell_away,
        outcomes_before: verdicts.before,
        figures,
        figures_left_out,
        concessions: permits::permits(&sides, (old, new), day),
        faulty_concessions: permits::faulty(&before, &after),
        grouping,
        before,
        after,
        trials,
    }
}

impl Comparison {
    /// The worst class of what is new, graded up, or not covered by a concession any more, concessions in force left out.
    pub fn worst(&self) -> Option<Class> {
        let worse = self.verdicts.iter().filter(|v| matches!(v.turn, Turn::New | Turn::Uncovered | Turn::GradedUp));
        let class = |verdict: &Verdict| {
            let new = verdict.new.as_ref()?;
            let covered = new.finding.as_ref()?.concession.as_ref().is_some_and(ConcessionState::in_force);
            match new.outcome {
                Outcome::Broken(class) if !covered => Some(class),
                _ => None,
            }
        };
        worse.filter_map(class).chain(self.faulty_concessions.iter().map(|f| f.class)).max()
    }

    /// Whether something new holds up a commit.
    pub fn holds_up(&self, holding: &Holding) -> bool {
        let reaches = |class: Option<Class>, from: Option<Class>| from.is_some_and(|from| class >= Some(from));
        let open = self.verdicts.iter().filter(|v| v.turn == Turn::Open).any(|verdict| {
            let from = match verdict.new.as_ref().map(|j| &j.outcome) {
                Some(Outcome::Unproven(_) | Outcome::Beyond(_)) => holding.unproven,
                _ => holding.unmeasured,
            };
            reaches(verdict.at_stake, from)
        });
        open || reaches(self.worst(), holding.findings)
    }

    /// Whether nothing at all is to be told.
    pub fn is_empty(&self) -> bool {
        let turned = self.verdicts.iter().any(|v| v.turn != Turn::Still);
        self.changes.is_empty()
            && self.renamed.is_empty()
            && self.concessions.is_empty()
            && self.faulty_concessions.is_empty()
            && !turned
            && self.figures.is_empty()
    }
}
