//! Findings and errors as the protocol's diagnostics, by the file in which they are shown.
//!
//! In comes a judged build, or what is wrong with the repository's own rules; out come messages with their places,
//! severities, and everything else that they rest on as related places.

use std::collections::{BTreeMap, BTreeSet};

use lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag, Location, NumberOrString, Range, Uri,
};
use serde_json::json;

use super::judged::Judged;
use super::position::{Encoding, range_of};
use super::settings::Settings;
use crate::assess::{ConcessionState, Finding, Judgement, Needed, Outcome, needed};
use crate::language::Role;
use crate::repository::{Refused, SettingsError};
use crate::rulebook::{BUILT_IN, Class, RulebookError, RulebookProblem};
use crate::source::{SectionProblem, SourceError, SourceProblem, Sources, Span, USED_HERE};
use crate::terms::{SchemaError, SchemaProblem, TermsError};

/// Diagnostics by the path of their file from the repository's root.
pub type ByFile = BTreeMap<String, Vec<Diagnostic>>;

/// What the name of this program is in a list of diagnostics of several.
const SOURCE: &str = "tramgauge";

/// The code of a value that rules wait for.
pub const UNMEASURED: &str = "unmeasured";

/// How diagnostics are made.
pub struct Making<'a> {
    /// In what positions are counted.
    pub encoding: Encoding,
    /// Whether the client shows related places.
    pub related: bool,
    /// What the builder wants to see.
    pub settings: Settings,
    /// The address of a file.
    pub address: &'a dyn Fn(&str) -> Option<Uri>,
}

/// Gathers diagnostics on the texts of one reading.
struct Gathering<'a> {
    making: &'a Making<'a>,
    sources: &'a Sources,
    found: ByFile,
}

/// Everything that is to be said of a build. Each of its files has an entry, be it empty.
pub fn of_build(judged: &Judged, making: &Making) -> ByFile {
    let found = judged.files.iter().map(|file| (file.clone(), Vec::new())).collect();
    let mut gathering = Gathering { making, sources: &judged.spec.sources, found };
    for error in &judged.source_errors {
        gathering.source_error(error);
    }
    for error in &judged.terms_errors {
        gathering.terms_error(error);
    }
    for (judgement, class, finding) in judged.assessment.broken() {
        gathering.finding(judged, judgement, class, finding);
    }
    if making.settings.unmeasured {
        gathering.open(judged);
    }
    gathering.found
}

/// What is wrong with the repository's own terms or rules; a file or folder that could not be read is told at the start of a
/// file, for lack of a place.
pub fn of_refused(refused: &Refused, making: &Making) -> ByFile {
    match refused {
        Refused::Unreadable(path, _) => alone(path, "this cannot be read"),
        Refused::NotText(path) => alone(path, "this is not UTF-8 text"),
        Refused::Settings(texts, errors) => {
            let mut gathering = Gathering { making, sources: texts, found: ByFile::new() };
            for error in errors {
                match error {
                    SettingsError::Source(error) => gathering.source_error(error),
                    SettingsError::Terms(error) => gathering.terms_error(error),
                    SettingsError::Folder { span, .. } => {
                        gathering.error(*span, "settings", error.message(), error.help(), None, false);
                    }
                }
            }
            gathering.found
        }
        Refused::Terms(refused) => {
            let mut gathering = Gathering { making, sources: &refused.sources, found: ByFile::new() };
            refused.errors.iter().for_each(|error| gathering.schema_error(error));
            gathering.found
        }
        Refused::Rulebook(texts, errors) => {
            let mut gathering = Gathering { making, sources: texts, found: ByFile::new() };
            errors.iter().for_each(|error| gathering.rulebook_error(error));
            gathering.into_own()
        }
    }
}

fn alone(path: &str, message: &str) -> ByFile {
    let diagnostic = Diagnostic {
        severity: Some(DiagnosticSeverity::ERROR),
        source: Some(SOURCE.to_owned()),
        message: message.to_owned(),
        ..Diagnostic::default()
    };
    ByFile::from([(path.to_owned(), vec![diagnostic])])
}

impl Gathering<'_> {
    fn range(&self, span: Span) -> Range {
        range_of(self.sources, span, self.making.encoding)
    }

    fn related(&self, span: Span, words: String) -> Option<DiagnosticRelatedInformation> {
        if !self.making.related {
            return None;
        }
        let uri = (self.making.address)(self.sources.name(span.file))?;
        Some(DiagnosticRelatedInformation { location: Location { uri, range: self.range(span) }, message: words })
    }

    fn add(&mut self, span: Span, diagnostic: Diagnostic) {
        let diagnostic = Diagnostic { range: self.range(span), source: Some(SOURCE.to_owned()), ..diagnostic };
        self.found.entry(self.sources.name(span.file).to_owned()).or_default().push(diagnostic);
    }

    fn error(
        &mut self,
        span: Span,
        code: &str,
        message: String,
        help: Option<String>,
        other: Option<(Span, &str)>,
        unnecessary: bool,
    ) {
        let message = help.map_or(message.clone(), |help| format!("{message}\n{help}"));
        let related = other.and_then(|(span, words)| self.related(span, words.to_owned()));
        let diagnostic = Diagnostic {
            severity: Some(DiagnosticSeverity::ERROR),
            code: Some(NumberOrString::String(code.to_owned())),
            message,
            related_information: related.map(|related| vec![related]),
            tags: unnecessary.then(|| vec![DiagnosticTag::UNNECESSARY]),
            ..Diagnostic::default()
        };
        self.add(span, diagnostic);
    }

    fn source_error(&mut self, error: &SourceError) {
        let unnecessary = matches!(
            &error.problem,
            SourceProblem::DuplicateKey(_)
                | SourceProblem::Section { problem: SectionProblem::Twice | SectionProblem::IsTheBuild, .. }
        );
        let other = error.other.map(|span| (span, error.other_words()));
        self.error(error.span, "files", error.message(), error.help().map(str::to_owned), other, unnecessary);
    }

    fn terms_error(&mut self, error: &TermsError) {
        let other = error.other.map(|span| (span, error.other_words()));
        self.error(error.span, "terms", error.message(), error.help(), other, false);
    }

    fn schema_error(&mut self, error: &SchemaError) {
        if let SchemaProblem::Source(source) = &error.problem {
            return self.source_error(source);
        }
        let other = match &error.problem {
            SchemaProblem::DefinedTwice { first, .. } => Some((*first, "first here")),
            _ => None,
        };
        self.error(error.span, "terms", error.message(), None, other, false);
    }

    fn rulebook_error(&mut self, error: &RulebookError) {
        if let RulebookProblem::Source(source) = &error.problem {
            return self.source_error(source);
        }
        let other = error.other.map(|span| (span, "this is meant"));
        self.error(error.span, "rulebook", error.message(), error.help(), other, false);
    }

    /// Errors that stand-ins raise in built-in rules have no file here: they are told at the start of the first own one.
    fn into_own(mut self) -> ByFile {
        let built_in = |name: &str| BUILT_IN.iter().any(|(known, _)| *known == name);
        let own = self.sources.ids().map(|file| self.sources.name(file)).find(|name| !built_in(name));
        let foreign: Vec<String> = self.found.keys().filter(|name| built_in(name)).cloned().collect();
        let Some(own) = own.map(str::to_owned) else { return self.found };
        for name in foreign {
            for diagnostic in self.found.remove(&name).unwrap_or_default() {
                let message = format!("in {name}, line {}: {}", diagnostic.range.start.line + 1, diagnostic.message);
                let moved = Diagnostic { range: Range::default(), message, ..diagnostic };
                self.found.entry(own.clone()).or_default().push(moved);
            }
        }
        self.found
    }

    fn finding(&mut self, judged: &Judged, judgement: &Judgement, class: Class, finding: &Finding) {
        let entry = judged.assessment.index.rules.get(judgement.rule);
        let name = entry.map_or("", |rule| &*rule.name);
        let Some(span) = judged.finding_at(finding, judgement) else { return };
        let mut message = format!("{}: {}", class.word(), finding.says);
        if let Some(case) = judged.assessment.case_of(judgement) {
            message.push_str(&format!(" (in the load case {case})"));
        }
        if let Some(open) = &judgement.worse_open {
            message.push_str(&format!("\ncould be {}: needs {}", open.class.word(), open.needs.join(", ")));
        }
        let conceded = finding.concession.as_ref().is_some_and(ConcessionState::in_force);
        if let Some(state) = &finding.concession {
            message.push_str(&format!("\nconcession: {}", concession_words(state)));
        }
        if !conceded {
            message.push_str(&format!("\n{}", finding.remedy));
        }
        let labels = finding.evidence.iter().filter_map(|label| {
            let place = judged.spec.find(&label.path);
            let span = place.map(|place| judged.shown_at(place)).or(label.span)?;
            let role = if label.role == Role::Considered { ", considered" } else { "" };
            let through = label.through.as_ref().map_or_else(String::new, |figure| format!(", through {figure}"));
            self.related(span, format!("{}: {}{through}{role}", label.path, label.value))
        });
        let used = finding.points_at.used.and_then(|used| self.related(used, USED_HERE.to_owned()));
        let related: Vec<_> = used.into_iter().chain(labels).collect();
        let severity = match class {
            _ if conceded => DiagnosticSeverity::HINT,
            Class::Dangerous | Class::Major => DiagnosticSeverity::ERROR,
            Class::Minor => DiagnosticSeverity::WARNING,
            Class::Advisory => DiagnosticSeverity::INFORMATION,
        };
        let diagnostic = Diagnostic {
            severity: Some(severity),
            code: Some(NumberOrString::String(name.to_owned())),
            message,
            related_information: (!related.is_empty()).then_some(related),
            data: Some(json!({"rule": name, "subject": judgement.subject})),
            ..Diagnostic::default()
        };
        self.add(span, diagnostic);
    }

    /// What keeps rules from being decided: missing values, those of one place together, uncertainty, and the ends of tables.
    fn open(&mut self, judged: &Judged) {
        let index = judged.assessment.index.clone();
        let rule = |number: usize| index.rules.get(number).map_or("", |rule| &*rule.name);
        let mut places: BTreeMap<Span, Vec<Needed>> = BTreeMap::new();
        for value in needed(&judged.assessment, &judged.spec) {
            places.entry(first_line(self.sources, value.span)).or_default().push(value);
        }
        for (span, values) in places {
            let rules: BTreeSet<usize> = values.iter().flat_map(|value| &value.rules).copied().collect();
            let rules: Vec<&str> = rules.into_iter().map(rule).collect();
            let paths: Vec<&str> = values.iter().map(|value| value.path.as_str()).collect();
            let mut message = format!("not written: {}\nwaiting for it: {}", listed(&paths), listed(&rules));
            if let [Needed { description: Some(description), .. }] = &values[..] {
                message.push_str(&format!("\n{description}"));
            }
            self.hint(span, UNMEASURED, message, json!({"missing": paths}));
        }
        for judgement in &judged.assessment.judgements {
            let words = match &judgement.outcome {
                Outcome::Unproven(values) => values
                    .iter()
                    .map(|value| {
                        let better = value
                            .improve
                            .as_ref()
                            .map_or_else(String::new, |path| format!("; measure `{path}` better"));
                        format!("unproven: {}; known to {} it would be{better}", value.words, value.would_do)
                    })
                    .collect::<Vec<_>>(),
                Outcome::Beyond(words) => words.iter().map(|words| format!("beyond: {words}")).collect(),
                _ => continue,
            };
            let place = judgement.place.map(|place| judged.shown_at(place));
            let (Some(span), false) = (place.or(judgement.span), words.is_empty()) else { continue };
            let data = json!({"rule": rule(judgement.rule), "subject": judgement.subject});
            self.hint(span, rule(judgement.rule), words.join("\n"), data);
        }
    }

    fn hint(&mut self, span: Span, code: &str, message: String, data: serde_json::Value) {
        let diagnostic = Diagnostic {
            severity: Some(DiagnosticSeverity::INFORMATION),
            code: Some(NumberOrString::String(code.to_owned())),
            message,
            data: Some(data),
            ..Diagnostic::default()
        };
        self.add(span, diagnostic);
    }
}

/// The first few of some names, and how many more there are.
fn listed(names: &[&str]) -> String {
    const SHOWN: usize = 6;
    let shown = names.get(..SHOWN).unwrap_or(names).join(", ");
    if names.len() > SHOWN { format!("{shown} and {} more", names.len() - SHOWN) } else { shown }
}

/// What is said of a concession.
fn concession_words(state: &ConcessionState) -> String {
    let concession = state.concession();
    let by = concession.by.as_deref().unwrap_or("nobody");
    match (state, concession.until) {
        (ConcessionState::InForce(_), Some(day)) => format!("granted by {by} until {day}"),
        (ConcessionState::Expired(_), Some(day)) => format!("by {by}, expired after {day}"),
        (state, _) => state.word().to_owned(),
    }
}

/// A place of several lines shortened to its first.
fn first_line(sources: &Sources, span: Span) -> Span {
    let line = sources.slice(span).lines().next().unwrap_or_default();
    Span { end: span.start + line.len() as u32, ..span }
}
