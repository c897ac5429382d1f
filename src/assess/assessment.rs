//! The result of a judgement: plain data, all words already made where they depend on values; only those of a margin are made
//! when they are asked for.

use super::cases::{Case, InCases};
use super::concession::{Concession, ConcessionFinding, ConcessionState};
use super::detail;
use super::figures::FigureValue;
use super::granted::Assumed;
use super::judge::Request;
use crate::language::{Decision, Evidence, Found, Overrides, Role, Touched, WorkingLine};
use crate::quantity::{self, Dimension, UnitId};
use crate::rulebook::{Class, Index, TextSeen};
use crate::source::{Sources, Span};
use crate::terms::{PlaceId, Staleness};
use jiff::civil::Date;
use std::cell::OnceCell;
use std::rc::Rc;
use std::sync::Arc;

/// Everything that is said about one build.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// The build's name, if it has one.
    pub name: Option<String>,
    /// What it is used for.
    pub uses: Vec<String>,
    /// The day for which it was judged.
    pub day: Date,
    /// Every rule on every subject, in the order of the rulebook.
    pub judgements: Vec<Judgement>,
    /// The concessions of the spec, in its order; none where nothing was to be explained.
    pub concessions: Vec<Concession>,
    /// Those of them that do not do what they were written for.
    pub concession_findings: Vec<ConcessionFinding>,
    /// Figures, if they were asked for.
    pub figures: Vec<FigureValue>,
    /// Rules whose evaluation ran out of steps, with their subjects.
    pub exhausted: Vec<(String, String)>,
    /// The load cases in which it was judged besides, in the order of the spec.
    pub cases: Vec<Case>,
    /// Names and titles of the rules and figures that it was judged by.
    pub index: Arc<Index>,
    /// The texts of the spec, into which its places point.
    pub sources: Sources,
    pub(super) assumed: Assumed,
    pub(super) found: Found,
    /// Which evidence rests on an assumption; made when it is first asked for.
    pub(super) resting: OnceCell<Touched>,
    /// For each rule on what it rests which subjects it has.
    pub(super) listed: Vec<Evidence>,
}

/// One rule on one subject.
#[derive(Debug, Clone)]
pub struct Judgement {
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path.
    pub subject: String,
    /// The subject's place; none where the whole list or section is not written.
    pub place: Option<PlaceId>,
    /// Where the subject stands in the spec's files.
    pub span: Option<Span>,
    /// What came out.
    pub outcome: Outcome,
    /// A worse class that could not be decided.
    pub worse_open: Option<WorseOpen>,
    /// The worst class that an open outcome could turn out to be; none where it is decided.
    pub at_stake: Option<Class>,
    /// How far the tightest deciding comparison is from its limit.
    pub margin: Option<Margin>,
    /// What a finding says; only for broken rules.
    pub finding: Option<Box<Finding>>,
    /// How it comes out in load cases, where that differs; what stands above is then the worst of all.
    pub cases: Option<Box<InCases>>,
    pub(super) evidence: Evidence,
}

/// The outcome of a rule on a subject.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// The requirement is met.
    Holds,
    /// It is not, in this class.
    Broken(Class),
    /// Values are missing.
    Unmeasured {
        /// Values that the spec does not say.
        missing: Vec<MissingValue>,
        /// Values that stand there but cannot be read, by path.
        unreadable: Vec<String>,
    },
    /// The uncertainty straddles the limit.
    Unproven(Vec<UnprovenValue>),
    /// Outside a table's or formula's range, in words.
    Beyond(Vec<String>),
    /// It does not apply to this subject, or there is no such thing.
    NotApplicable,
}

/// A value that the spec does not say.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct MissingValue {
    /// Its path.
    pub path: String,
    /// The place nearest to it.
    pub place: PlaceId,
    /// Where that is in the spec's files.
    pub span: Span,
    /// Why it counts as missing though it is written: a change has made the measurement stale.
    pub stale: Option<Staleness>,
}

/// A comparison left open by uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct UnprovenValue {
    /// The value, its uncertainty and the limit, in words.
    pub words: String,
    /// The expanded uncertainty that would settle it, in words.
    pub would_do: String,
    /// The measurement that contributes most, by path.
    pub improve: Option<String>,
    /// The same decision in numbers.
    pub doubt: Doubt,
}

/// How far a comparison stands from its limit, and what makes that uncertain.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Doubt {
    /// Distance from the limit, SI; not negative.
    pub distance: f64,
    /// Signed contributions to the expanded uncertainty of the distance (SI, k = 2), by the spec value that states one.
    pub parts: Vec<(PlaceId, f64)>,
}

impl Doubt {
    pub(super) fn of(decision: &Decision) -> Doubt {
        Doubt { distance: decision.margin.abs(), parts: decision.spread.parts().to_vec() }
    }
}

/// A worse class that could not be decided.
#[derive(Debug, Clone, PartialEq)]
pub struct WorseOpen {
    /// The class.
    pub class: Class,
    /// What it needs, by path.
    pub needs: Vec<String>,
}

/// How far a value stands from its limit.
///
/// What it says is made when it is asked for: most margins are only counted and compared.
#[derive(Debug, Clone)]
pub struct Margin(Rc<Decision>);

impl PartialEq for Margin {
    fn eq(&self, other: &Margin) -> bool {
        let (a, b) = (&self.0, &other.0);
        (self.si(), self.share(), self.sign(), self.unit()) == (other.si(), other.share(), other.sign(), other.unit())
            && (&a.left, &a.right, &a.at) == (&b.left, &b.right, &b.at)
    }
}

impl Margin {
    /// How far a decision is from turning.
    pub(super) fn of(decision: Rc<Decision>) -> Margin {
        Margin(decision)
    }

    /// Positive where the requirement holds; SI.
    pub fn si(&self) -> f64 {
        self.0.margin
    }

    /// As a share of the limit, where that has a true zero.
    pub fn share(&self) -> Option<f64> {
        self.0.share
    }

    /// The sign between value and limit.
    pub fn sign(&self) -> &'static str {
        self.0.comparison.sign()
    }

    /// The dimension of the margin, which is that of a difference.
    pub fn dimension(&self) -> Dimension {
        detail::step_of(&self.0.right)
    }

    /// The unit in which it is shown.
    pub fn unit(&self) -> Option<UnitId> {
        self.0.right.unit.or(self.0.left.unit)
    }

    /// What makes it uncertain.
    pub fn doubt(&self) -> Doubt {
        Doubt::of(&self.0)
    }

    /// How far, with its unit.
    pub fn shown(&self) -> String {
        quantity::show(self.si(), self.dimension(), self.unit(), None)
    }

    /// The value, with its unit.
    pub fn value(&self) -> String {
        let left = &self.0.left;
        left.shown_in(left.unit.or(self.unit()))
    }

    /// The limit, with its unit.
    pub fn limit(&self) -> String {
        self.0.right.shown_in(self.unit())
    }

    /// The point of a sweep, in words.
    pub fn at(&self) -> Option<String> {
        let at: Vec<String> = self.0.at.iter().map(|(name, n)| format!("{name} = {}", n.shown())).collect();
        (!at.is_empty()).then(|| at.join(", "))
    }
}

/// What is said about a broken rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The sentence.
    pub says: String,
    /// Why the requirement is made.
    pub why: String,
    /// What puts it right.
    pub remedy: String,
    /// How to measure, if the rule says.
    pub measure: Option<String>,
    /// The usual caution, if the rule has one.
    pub caution: Option<String>,
    /// Where the requirement comes from.
    pub sources: Vec<SourceText>,
    /// The value that it is about.
    pub points_at: Label,
    /// Every other value that fed it.
    pub evidence: Vec<Label>,
    /// The working.
    pub working: Vec<WorkingLine>,
    /// Members of lists that break it, by path.
    pub members: Vec<String>,
    /// Values that the rule takes for granted, and ways of knowing that were chosen.
    pub notes: Vec<String>,
    /// Values of the spec in it for which no uncertainty is stated.
    pub without_uncertainty: usize,
    /// A concession for it.
    pub concession: Option<ConcessionState>,
}

/// A source as a reader sees it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct SourceText {
    /// The source's name in the rulebook.
    pub source: String,
    /// Title, edition and clause.
    pub words: String,
    /// Whether the text was read.
    pub text: TextSeen,
}

/// A place in the spec with what is to be said there.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The path.
    pub path: String,
    /// The place; none for a value that no file says.
    pub span: Option<Span>,
    /// Where the build uses the data sheet in which it stands; none for a value of the build's own files.
    pub used: Option<Span>,
    /// The file that shows it, by its path from the repository's root, where the spec names one as evidence.
    pub shown_by: Option<String>,
    /// What stands there.
    pub value: String,
    /// How it bears on the outcome.
    pub role: Role,
    /// The figure through which it does.
    pub through: Option<String>,
}

/// How many outcomes of each sort there are.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize)]
pub struct Counts {
    /// Broken, by class.
    pub dangerous: usize,
    /// Broken, major.
    pub major: usize,
    /// Broken, minor.
    pub minor: usize,
    /// Broken, advisory.
    pub advisory: usize,
    /// Of the broken ones, those with a concession in force.
    pub conceded: usize,
    /// Concessions that do not do what they were written for; they count in no class.
    pub faulty_concessions: usize,
    /// Holding.
    pub holds: usize,
    /// Of the holding ones, those that rest on an assumed value.
    pub holds_assumed: usize,
    /// Unmeasured.
    pub unmeasured: usize,
    /// Unproven.
    pub unproven: usize,
    /// Beyond a table or formula.
    pub beyond: usize,
    /// Not applicable.
    pub not_applicable: usize,
}

impl Counts {
    /// Counts one more.
    pub(super) fn add(&mut self, outcome: &Outcome, finding: Option<&Finding>, assumed: bool) {
        match outcome {
            Outcome::Broken(class) => {
                *match class {
                    Class::Dangerous => &mut self.dangerous,
                    Class::Major => &mut self.major,
                    Class::Minor => &mut self.minor,
                    Class::Advisory => &mut self.advisory,
                } += 1;
                let concession = finding.and_then(|f| f.concession.as_ref());
                self.conceded += usize::from(concession.is_some_and(ConcessionState::in_force));
            }
            Outcome::Holds => {
                self.holds += 1;
                self.holds_assumed += usize::from(assumed);
            }
            Outcome::Unmeasured { .. } => self.unmeasured += 1,
            Outcome::Unproven(_) => self.unproven += 1,
            Outcome::Beyond(_) => self.beyond += 1,
            Outcome::NotApplicable => self.not_applicable += 1,
        }
    }
}

impl Assessment {
    /// The same spec with other overrides, reusing every outcome that rests on none of the overridden places. `self` must have been
    /// made without overrides from the same spec, rulebook and day.
    #[must_use]
    pub fn again(&self, request: &Request, overrides: &Overrides) -> Assessment {
        super::judge::assess_again(self, request, overrides)
    }

    /// As [`Assessment::again`], and in each load case of the spec upon that.
    #[must_use]
    pub fn again_in_cases(&self, request: &Request, overrides: &Overrides) -> Assessment {
        super::cases::in_cases(request, self.again(request, overrides), overrides)
    }

    /// Broken rules, the worst first, then in the order of the rulebook.
    pub fn broken(&self) -> Vec<(&Judgement, Class, &Finding)> {
        let mut all: Vec<_> = self
            .judgements
            .iter()
            .filter_map(|j| match (&j.outcome, &j.finding) {
                (Outcome::Broken(class), Some(finding)) => Some((j, *class, &**finding)),
                _ => None,
            })
            .collect();
        all.sort_by_key(|(_, class, _)| std::cmp::Reverse(*class));
        all
    }

    /// Outcomes counted.
    pub fn counts(&self) -> Counts {
        let mut counts = Counts { faulty_concessions: self.concession_findings.len(), ..Counts::default() };
        let assumptions = self.assumptions();
        self.judgements.iter().for_each(|j| counts.add(&j.outcome, j.finding.as_deref(), assumptions.any(j)));
        counts
    }

    /// Outcomes counted for each system, in the order of the rulebook.
    pub fn counts_by_system(&self) -> Vec<(&str, Counts)> {
        let mut all: Vec<(&str, Counts)> = Vec::new();
        let assumptions = self.assumptions();
        for judgement in &self.judgements {
            let Some(rule) = self.index.rules.get(judgement.rule) else { continue };
            match all.iter_mut().find(|(system, _)| *system == &*rule.system) {
                Some((_, counts)) => {
                    counts.add(&judgement.outcome, judgement.finding.as_deref(), assumptions.any(judgement))
                }
                None => {
                    let mut counts = Counts::default();
                    counts.add(&judgement.outcome, judgement.finding.as_deref(), assumptions.any(judgement));
                    all.push((&rule.system, counts));
                }
            }
        }
        all
    }

    /// The worst class of a finding without a concession in force, or of what is said about a concession itself.
    pub fn worst(&self) -> Option<Class> {
        let broken = self.broken();
        let open = broken.iter().filter(|(_, _, f)| !f.concession.as_ref().is_some_and(ConcessionState::in_force));
        open.map(|(_, class, _)| *class).chain(self.concession_findings.iter().map(|f| f.class)).max()
    }

    /// Every place of the spec that an outcome rests on, as flat evidence.
    pub fn evidence(&self, judgement: &Judgement) -> Vec<crate::language::Flat> {
        self.found.evidence.flatten(judgement.evidence)
    }
}

impl Outcome {
    /// The word for it.
    pub fn word(&self) -> &'static str {
        match self {
            Outcome::Holds => "holds",
            Outcome::Broken(class) => class.word(),
            Outcome::Unmeasured { .. } => "unmeasured",
            Outcome::Unproven(_) => "unproven",
            Outcome::Beyond(_) => "beyond",
            Outcome::NotApplicable => "not applicable",
        }
    }
}
