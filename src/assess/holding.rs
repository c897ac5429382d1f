//! What of an assessment holds up a commit: findings, and outcomes that are open where something bad could show.
//!
//! An open outcome counts by the worst class that it could still turn out to be, so that a spec which says nothing cannot
//! pass for one in which nothing is wrong.

use super::assessment::{Assessment, Outcome};
use super::concession::ConcessionState;
use crate::rulebook::Class;

/// From which class on something holds up a commit; `None`: never.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Holding {
    /// Findings that no concession covers.
    pub findings: Option<Class>,
    /// Unmeasured outcomes, by the class at stake.
    pub unmeasured: Option<Class>,
    /// Outcomes that are unproven or beyond a table or formula, by the class at stake.
    pub unproven: Option<Class>,
}

/// What holds up a commit.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct HeldUp {
    /// How many findings, faulty concessions among them.
    pub findings: usize,
    /// Unmeasured outcomes.
    pub unmeasured: Vec<AtStake>,
    /// Unproven outcomes, and such as lie beyond.
    pub unproven: Vec<AtStake>,
}

/// An open outcome with what is at stake.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtStake {
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path.
    pub subject: String,
    /// The worst class that it could turn out to be.
    pub class: Class,
}

impl HeldUp {
    /// Whether anything does.
    pub fn any(&self) -> bool {
        self.findings > 0 || self.any_open()
    }

    /// Whether an open outcome does.
    pub fn any_open(&self) -> bool {
        !self.unmeasured.is_empty() || !self.unproven.is_empty()
    }
}

impl Assessment {
    /// What holds up a commit.
    pub fn held_up(&self, holding: &Holding) -> HeldUp {
        let reaches = |class: Class, from: Option<Class>| from.is_some_and(|from| class >= from);
        let mut held = HeldUp::default();
        let faulty = self.concession_findings.iter().filter(|f| reaches(f.class, holding.findings));
        held.findings = faulty.count();
        for judgement in &self.judgements {
            let at_stake = |class| AtStake { rule: judgement.rule, subject: judgement.subject.clone(), class };
            match &judgement.outcome {
                Outcome::Broken(class) => {
                    let concession = judgement.finding.as_ref().and_then(|f| f.concession.as_ref());
                    let covered = concession.is_some_and(ConcessionState::in_force);
                    held.findings += usize::from(!covered && reaches(*class, holding.findings));
                    // What is found must not hide what could be worse.
                    let worse = judgement.worse_open.as_ref().map(|worse| worse.class);
                    held.unmeasured.extend(worse.filter(|c| reaches(*c, holding.unmeasured)).map(at_stake));
                }
                Outcome::Unmeasured { .. } => {
                    let stake = judgement.at_stake.filter(|c| reaches(*c, holding.unmeasured));
                    held.unmeasured.extend(stake.map(at_stake));
                }
                Outcome::Unproven(_) | Outcome::Beyond(_) => {
                    let stake = judgement.at_stake.filter(|c| reaches(*c, holding.unproven));
                    held.unproven.extend(stake.map(at_stake));
                }
                Outcome::Holds | Outcome::NotApplicable => {}
            }
        }
        held
    }
}
