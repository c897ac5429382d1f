//! Rules: reading them from rule files, and what they are when everything in them is checked.

use super::class::Class;
use super::error::RulebookProblem;
use super::events::{Event, read_before};
use super::figures::read_with;
use super::form::Form;
use super::pieces::{CheckPiece, Stock, read_pieces};
use super::sources::{Source, SourceUse, read_uses};
use super::subject::{Subject, SubjectText, parse};
use crate::language::check::Checker;
use crate::language::{Code, Fault, Template};
use crate::source::{Later, NodeId, SharedText, Span};

/// A rule in force.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Rule {
    /// Its name.
    pub name: SharedText,
    /// The requirement.
    pub title: SharedText,
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// Whether it comes from a repository's own rulebook.
    pub own: bool,
    /// What it judges.
    pub subject: Later<Subject>,
    /// When it applies.
    pub when: Later<Option<Code>>,
    /// Local names in order, from local 1 on.
    pub with: Later<Vec<(SharedText, Code)>>,
    /// What must hold, by class, the worst first.
    pub holds: Later<Vec<(Class, Code)>>,
    /// How many locals its expressions need.
    pub locals: u16,
    /// The value that a finding points at.
    pub points_at: Later<Option<Code>>,
    /// What a finding says.
    pub says: Later<Template>,
    /// Why the requirement is made.
    pub why: Later<Template>,
    /// What puts it right.
    pub remedy: Later<Template>,
    /// How to get the value that is most often missing.
    pub measure: Option<SharedText>,
    /// The usual caution.
    pub caution: Option<SharedText>,
    /// Steps before which it must be settled, by name.
    pub before: Vec<SharedText>,
    /// Where the requirement comes from.
    pub sources: Later<Vec<SourceUse>>,
    /// Check pieces.
    #[serde(skip)]
    pub pieces: Vec<CheckPiece>,
    /// Its place.
    pub place: Span,
    /// Place of its name.
    pub name_place: Span,
    /// The requirement as written, by class.
    pub written: Later<Vec<(Class, SharedText)>>,
    /// What it judges, as written.
    pub for_written: SharedText,
    /// When it applies, as written.
    pub when_written: Option<SharedText>,
    /// Local names and their expressions, as written.
    pub with_written: Later<Vec<(SharedText, SharedText)>>,
}

/// A built-in rule, figure or table for which another stands in.
#[derive(Debug, Clone)]
pub struct Replaced {
    /// `rule`, `figure` or `table`.
    pub what: &'static str,
    /// Its name.
    pub name: SharedText,
    /// The name of what stands in for it.
    pub stand_in: SharedText,
    /// Why.
    pub reason: SharedText,
    /// Who says so.
    pub by: SharedText,
    /// Check pieces of a replaced rule.
    pub pieces: Vec<CheckPiece>,
    /// Where it is said.
    pub place: Span,
}

/// What `replaces` says.
pub(super) struct Replaces {
    pub name: SharedText,
    pub reason: SharedText,
    pub by: SharedText,
    pub place: Span,
}

/// Reads `replaces: {name, reason, by}`.
pub(super) fn read_replaces(form: &mut Form, node: Option<NodeId>) -> Option<Replaces> {
    const OF: &str = "`replaces`";
    let node = node?;
    form.entries(node, OF, &["name", "reason", "by"]);
    let name = form.need_text(node, OF, "name")?;
    let reason = form.need_text(node, OF, "reason")?;
    let by = form.need_text(node, OF, "by")?;
    Some(Replaces { name: name.into(), reason: reason.into(), by: by.into(), place: form.span(node) })
}

/// A rule as written, before its expressions are checked.
pub(super) struct RawRule {
    pub name: SharedText,
    pub name_node: NodeId,
    pub own: bool,
    pub replaces: Option<Replaces>,
    title: SharedText,
    system: SharedText,
    subject: SubjectText,
    subject_node: NodeId,
    when: Option<NodeId>,
    with: Vec<(SharedText, NodeId)>,
    holds: Vec<(Class, NodeId)>,
    points_at: Option<NodeId>,
    says: NodeId,
    why: NodeId,
    remedy: NodeId,
    measure: Option<SharedText>,
    caution: Option<SharedText>,
    before: Vec<SharedText>,
    sources: Vec<SourceUse>,
    pub pieces: Vec<CheckPiece>,
    place: Span,
}

const KEYS: [&str; 17] = [
    "rule",
    "title",
    "for",
    "when",
    "with",
    "class",
    "holds",
    "points_at",
    "says",
    "why",
    "remedy",
    "measure",
    "caution",
    "sources",
    "check_pieces",
    "replaces",
    "before",
];

/// Reads one rule.
pub(super) fn read_rule(
    form: &mut Form,
    node: NodeId,
    system: &str,
    own: bool,
    (sources, events): (&[Source], &[Event]),
    stock: &Stock,
) -> Option<RawRule> {
    const OF: &str = "a rule";
    form.entries(node, OF, &KEYS);
    let name_node = form.need(node, OF, "rule")?;
    let name = form.text(name_node)?;
    let title = form.need_text(node, OF, "title")?;
    let subject_node = form.need(node, OF, "for")?;
    let subject = match parse(form.text(subject_node)?) {
        Ok(subject) => subject,
        Err(fault) => {
            form.fault(subject_node, fault);
            return None;
        }
    };
    let holds_node = form.need(node, OF, "holds")?;
    let holds = read_holds(form, node, holds_node)?;
    let says = form.need(node, OF, "says")?;
    let why = form.need(node, OF, "why")?;
    let remedy = form.need(node, OF, "remedy")?;
    for text in [says, why, remedy] {
        form.text(text)?;
    }
    let sources_node = form.need(node, OF, "sources")?;
    let sources = read_uses(form, Some(sources_node), sources);
    let before = read_before(form, form.tree.get(node, "before"), events);
    let replaces = read_replaces(form, form.tree.get(node, "replaces"));
    let pieces = match form.tree.get(node, "check_pieces") {
        Some(list) => read_pieces(form, list, system, stock),
        None => Vec::new(),
    };
    let with = read_with(form, node);
    Some(RawRule {
        name: name.into(),
        name_node,
        own,
        replaces,
        title: title.into(),
        system: system.into(),
        subject,
        subject_node,
        when: form.tree.get(node, "when"),
        with,
        holds,
        points_at: form.tree.get(node, "points_at"),
        says,
        why,
        remedy,
        measure: form.maybe_text(node, "measure").map(Into::into),
        caution: form.maybe_text(node, "caution").map(Into::into),
        before,
        sources,
        pieces,
        place: form.span(node),
    })
}

fn read_holds(form: &mut Form, rule: NodeId, node: NodeId) -> Option<Vec<(Class, NodeId)>> {
    let mut holds = Vec::new();
    if let Some(entries) = form.tree.entries(node) {
        for entry in entries {
            match Class::named(&entry.key) {
                Some(class) => holds.push((class, entry.value)),
                None => {
                    let words = Class::ALL.map(Class::word);
                    let nearest = crate::terms::nearest(&entry.key, words).map(str::to_string);
                    let problem = RulebookProblem::Unknown { what: "class", name: entry.key.to_string(), nearest };
                    form.error(problem, entry.key_span);
                }
            }
        }
        holds.sort_by_key(|h| std::cmp::Reverse(h.0));
        return (!holds.is_empty()).then_some(holds);
    }
    let class_node = form.need(rule, "a rule whose `holds` is one expression", "class")?;
    let word = form.text(class_node)?;
    let Some(class) = Class::named(word) else {
        form.form_error(class_node, "one of dangerous, major, minor, advisory");
        return None;
    };
    Some(vec![(class, node)])
}

/// Checks every expression of a rule; faults go to the form.
pub(super) fn check_rule(raw: RawRule, form: &mut Form, mut checker: Checker) -> Option<Rule> {
    let (subject, _) = note(form, raw.subject_node, raw.subject.check(&mut checker))?;
    let condition = |form: &mut Form, checker: &mut Checker, node: NodeId| {
        let text = form.text(node)?;
        note(form, node, checker.condition(text))
    };
    let mut with = Vec::new();
    let mut with_written = Vec::new();
    for (name, node) in raw.with {
        let text = form.text(node)?;
        with_written.push((name.clone(), text.into()));
        let code = note(form, node, checker.text(text))?;
        checker.add_local(&name, code.ty().clone());
        with.push((name, code));
    }
    let mut complete = true;
    let when = match raw.when {
        None => None,
        Some(node) => {
            let code = condition(form, &mut checker, node);
            complete &= code.is_some();
            code
        }
    };
    let mut holds = Vec::new();
    let mut written = Vec::new();
    for (class, node) in raw.holds {
        match condition(form, &mut checker, node) {
            Some(code) => holds.push((class, code)),
            None => complete = false,
        }
        written.push((class, form.text(node).unwrap_or_default().into()));
    }
    let points_at = match raw.points_at {
        None => None,
        Some(node) => {
            let text = form.text(node)?;
            let code = note(form, node, checker.text(text));
            complete &= code.is_some();
            code
        }
    };
    let mut template = |form: &mut Form, node: NodeId| {
        let text = form.text(node)?;
        note(form, node, Template::parse(text, &mut checker))
    };
    let (says, why, remedy) = (template(form, raw.says), template(form, raw.why), template(form, raw.remedy));
    if !complete {
        return None;
    }
    Some(Rule {
        name: raw.name,
        title: raw.title,
        system: raw.system,
        own: raw.own,
        subject: Later::now(subject),
        when: Later::now(when),
        with: Later::now(with),
        holds: Later::now(holds),
        locals: checker.locals(),
        points_at: Later::now(points_at),
        says: Later::now(says?),
        why: Later::now(why?),
        remedy: Later::now(remedy?),
        measure: raw.measure,
        caution: raw.caution,
        before: raw.before,
        sources: Later::now(raw.sources),
        pieces: raw.pieces,
        place: raw.place,
        name_place: form.span(raw.name_node),
        written: Later::now(written),
        for_written: form.text(raw.subject_node).unwrap_or_default().into(),
        when_written: raw.when.and_then(|node| form.text(node)).map(Into::into),
        with_written: Later::now(with_written),
    })
}

fn note<T>(form: &mut Form, node: NodeId, result: Result<T, Fault>) -> Option<T> {
    match result {
        Ok(value) => Some(value),
        Err(fault) => {
            form.fault(node, fault);
            None
        }
    }
}
