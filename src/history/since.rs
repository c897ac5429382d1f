//! What an assessment says that it did not say of an older revision: so that an old build can adopt the tool.
//!
//! Both are judged by what is in force now and for the same day. A thing is the same under a new name or in another file
//! where that can be told without doubt (see [`compare`](super::compare)).

use super::changes::Head;
use super::compare::Pairs;
use super::error::GitError;
use super::files::GitFiles;
use super::git::Git;
use crate::assess::{Assessment, ConcessionState, Judgement, Outcome, Request, assess};
use crate::language::Overrides;
use crate::repository::{Repository, read_build_in};
use crate::rulebook::Class;
use crate::terms::{PlaceId, Spec};
use std::collections::BTreeMap;

/// An older revision.
pub struct Since {
    /// Its name, as it was asked for.
    pub name: String,
    files: GitFiles,
    /// Where a file stood, by where it stands now.
    renamed: BTreeMap<String, String>,
}

/// How much was known before.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Known {
    /// Findings.
    pub findings: usize,
    /// Outcomes that were open then too.
    pub open: usize,
}

impl Since {
    /// The revision of that name, as seen from a newer state.
    ///
    /// # Errors
    /// If there is no such revision, or git refuses.
    pub fn new(git: &Git, name: &str, head: &Head) -> Result<Since, GitError> {
        let revision = git.resolve(name)?;
        let files = GitFiles::at(git, &revision)?;
        let changes = git.changes(Some(&revision), head)?;
        let renamed = changes.into_iter().filter_map(|change| Some((change.after?, change.before?))).collect();
        Ok(Since { name: name.to_string(), files, renamed })
    }

    /// Takes out of an assessment what the older revision of the build had too: findings of the same or a worse class, and
    /// outcomes that were open with as much at stake. A finding with a concession stays, for a concession has a last day.
    pub fn drop_known(&self, repository: &Repository, path: &str, spec: &Spec, assessment: &mut Assessment) -> Known {
        let before = self.renamed.get(path).map_or(path, String::as_str);
        let mut known = Known::default();
        if !self.files.holds(before) {
            return known;
        }
        let old = read_build_in(repository, &self.files, before);
        let request = Request {
            spec: &old.spec,
            rulebook: &repository.book,
            day: assessment.day,
            figures: false,
            explained: true,
            only: None,
        };
        let was = assess(&request, &Overrides::new());
        let judged: BTreeMap<(usize, Option<PlaceId>), &Judgement> =
            was.judgements.iter().map(|judgement| ((judgement.rule, judgement.place), judgement)).collect();
        let pairs = Pairs::new(&old.spec, spec);
        assessment.judgements.retain(|judgement| {
            let place = match judgement.place {
                Some(place) => match pairs.older(place) {
                    Some(place) => Some(place),
                    None => return true,
                },
                None => None,
            };
            let Some(was) = judged.get(&(judgement.rule, place)) else { return true };
            let found = matches!(judgement.outcome, Outcome::Broken(_));
            let kept = if found { is_new_finding(was, judgement) } else { is_newly_open(was, judgement) };
            known.findings += usize::from(!kept && found);
            known.open += usize::from(!kept && !found);
            kept
        });
        assessment.concession_findings.retain(|now| {
            let same = was.concession_findings.iter().any(|then| {
                let (then_for, now_for) = (&then.concession, &now.concession);
                then.fault == now.fault && then_for.rule == now_for.rule && then_for.subject == now_for.subject
            });
            known.findings += usize::from(same);
            !same
        });
        known
    }
}

/// The worst class that an outcome is or could be.
fn at_worst(judgement: &Judgement) -> Option<Class> {
    match judgement.outcome {
        Outcome::Broken(class) => Some(judgement.worse_open.as_ref().map_or(class, |worse| worse.class.max(class))),
        _ => judgement.at_stake,
    }
}

fn is_new_finding(was: &Judgement, judgement: &Judgement) -> bool {
    let (Outcome::Broken(then), Outcome::Broken(now)) = (&was.outcome, &judgement.outcome) else { return true };
    let concession = |j: &Judgement| j.finding.as_ref().and_then(|finding| finding.concession.clone());
    let was_covered = concession(was).is_some_and(|state| ConcessionState::in_force(&state));
    now > then || at_worst(judgement) > at_worst(was) || was_covered || concession(judgement).is_some()
}

/// What holds or does not apply stays, so that it can be counted.
fn is_newly_open(was: &Judgement, judgement: &Judgement) -> bool {
    match judgement.outcome {
        Outcome::Unmeasured { .. } | Outcome::Unproven(_) | Outcome::Beyond(_) => at_worst(judgement) > at_worst(was),
        Outcome::Holds | Outcome::NotApplicable | Outcome::Broken(_) => true,
    }
}
