//! Findings as a SARIF 2.1.0 log, which code review services read: one run for each repository, a result for each finding.
//!
//! In come judged builds; [`sarif_build`] makes the results of one, [`sarif`] puts those of all repositories together with the rules
//! that they refer to. Columns are counted in characters. A fingerprint is made from build, rule and subject alone, so that it stays
//! when lines move. What a concession covers is there, suppressed.

use super::errors::sentence;
use super::figures::without;
use super::sarif_log::*;
use super::summary::CAUTION;
use super::terminal::{concession, label_words, limit, source_words};
use super::{Judged, cases, escaped, markdown, uri};
use crate::assess::{ConcessionFault, ConcessionFinding, ConcessionState, Finding, Judgement, Label, Outcome};
use crate::rulebook::{Class, Rule, Rulebook};
use crate::source::{Sources, Span, USED_HERE};
use jiff::civil::Date;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The base of all file names: the repository's root, wherever that is.
const ROOT: &str = "%SRCROOT%";

/// What the fingerprints are called; another way of making them needs another name.
const FINGERPRINT: &str = "buildRuleSubject/v1";

/// One build's part of a log.
pub struct SarifBuild {
    results: Vec<(Of, SarifResult)>,
    notifications: Vec<Notification>,
}

/// What a result is one of.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Of {
    /// A rule, by its number in the rulebook.
    Rule(usize),
    /// What is said about concessions, by the words for it.
    Concession(&'static str),
}

/// The results of one build: its findings, and with `every_outcome` also what holds, is open or does not apply.
pub fn sarif_build(judged: &Judged, every_outcome: bool) -> SarifBuild {
    let a = judged.assessment;
    let mut results: Vec<(Of, SarifResult)> =
        a.broken().into_iter().map(|(j, class, f)| (Of::Rule(j.rule), broken(judged, j, class, f))).collect();
    let faulty = |f: &ConcessionFinding| (Of::Concession(f.fault.words()), faulty_concession(judged, f));
    results.extend(a.concession_findings.iter().map(faulty));
    if every_outcome {
        let others = a.judgements.iter().filter(|j| j.finding.is_none());
        results.extend(others.map(|j| (Of::Rule(j.rule), other(judged, j))));
    }
    let mut notifications: Vec<Notification> = judged
        .errors
        .iter()
        .map(|error| {
            let remedy = error.remedy.as_deref().map_or(String::new(), |r| format!("; {r}"));
            Notification {
                descriptor: Reference { id: "spec-error" },
                level: "error",
                message: plain(&format!("{}{remedy}", error.message)),
                locations: vec![located(&a.sources, Some(error.span), judged.path)],
            }
        })
        .collect();
    notifications.extend(a.exhausted.iter().map(|(rule, subject)| Notification {
        descriptor: Reference { id: "rulebook-error" },
        level: "error",
        message: plain(&format!("rule {rule} needs more steps on {subject} than one judgement may take")),
        locations: Vec::new(),
    }));
    SarifBuild { results, notifications }
}

fn broken(judged: &Judged, judgement: &Judgement, class: Class, finding: &Finding) -> SarifResult {
    let a = judged.assessment;
    let limit = judgement.margin.as_ref().map(limit);
    let mut text = sentence(&finding.says);
    let mut rich = format!("**{}**", markdown::text(&text));
    let cases = cases::readings(a, judgement);
    for (name, words) in
        [("Limit", limit.as_deref().unwrap_or_default()), ("Load cases", &*cases), ("Remedy", &finding.remedy)]
    {
        if !words.is_empty() {
            let _ = write!(text, "\n{name}: {words}");
            let _ = write!(rich, "\n\n{name}: {}", markdown::text(words));
        }
    }
    let mut result = result(judged, judgement, "fail", level(class));
    result.message = Message { text: bracketed(&text), markdown: Some(rich) };
    if let Some(span) = finding.points_at.span {
        result.locations[0].physical_location = physical(&a.sources, Some(span), judged.path);
    }
    let labels = finding.evidence.iter().filter(|l| l.span.is_some());
    let said = |label: &Label| (label.span, format!("{}: {}, {}", label.path, label.value, label_words(label)));
    let used = finding.points_at.used.map(|used| (Some(used), USED_HERE.to_string()));
    result.related_locations = used
        .into_iter()
        .chain(labels.map(said))
        .enumerate()
        .map(|(at, (span, words))| Location {
            id: Some(at + 1),
            message: Some(plain(&words)),
            ..located(&a.sources, span, judged.path)
        })
        .collect();
    result.suppressions = finding.concession.iter().map(|state| suppression(judged, state)).collect();
    result.properties.insert("class", class.word().into());
    if let Some(worse) = &judgement.worse_open {
        result.properties.insert("couldBe", worse.class.word().into());
    }
    result
}

/// An outcome that is no finding.
fn other(judged: &Judged, judgement: &Judgement) -> SarifResult {
    let kind = match judgement.outcome {
        Outcome::Holds => "pass",
        Outcome::NotApplicable => "notApplicable",
        Outcome::Beyond(_) => "review",
        _ => "open",
    };
    let mut result = result(judged, judgement, kind, "none");
    result.message = plain(&format!("{}: {}", judgement.subject, without(&judgement.outcome)));
    result
}

fn result(judged: &Judged, judgement: &Judgement, kind: &'static str, level: &'static str) -> SarifResult {
    let a = judged.assessment;
    let rule = a.index.rules.get(judgement.rule).map_or(String::new(), |r| r.name.to_string());
    let mut location = located(&a.sources, judgement.span, judged.path);
    location.logical_locations = vec![LogicalLocation { fully_qualified_name: judgement.subject.clone() }];
    SarifResult {
        kind,
        level,
        rule_index: 0,
        message: plain(""),
        locations: vec![location],
        related_locations: Vec::new(),
        partial_fingerprints: fingerprint(&[judged.path, &rule, &judgement.subject]),
        suppressions: Vec::new(),
        properties: BTreeMap::from([("outcome", judgement.outcome.word().to_string())]),
        rule_id: rule,
    }
}

fn faulty_concession(judged: &Judged, found: &ConcessionFinding) -> SarifResult {
    let rule_id = concession_id(found.fault.words());
    let c = &found.concession;
    let mut location = located(&judged.assessment.sources, Some(found.span), judged.path);
    location.logical_locations = vec![LogicalLocation { fully_qualified_name: c.subject.clone() }];
    SarifResult {
        partial_fingerprints: fingerprint(&[judged.path, &rule_id, &c.rule, &c.subject]),
        rule_id,
        rule_index: 0,
        kind: "fail",
        level: level(found.class),
        message: plain(&format!("{}\nRemedy: {}", sentence(&found.says), found.remedy)),
        locations: vec![location],
        related_locations: Vec::new(),
        suppressions: Vec::new(),
        properties: BTreeMap::from([("class", found.class.word().to_string())]),
    }
}

fn suppression(judged: &Judged, state: &ConcessionState) -> Suppression {
    let status = match state {
        ConcessionState::InForce(_) => "accepted",
        ConcessionState::Unsigned(_) => "underReview",
        ConcessionState::Expired(_) | ConcessionState::DangerousNotAccepted(_) => "rejected",
    };
    let location = located(&judged.assessment.sources, Some(state.concession().span), judged.path);
    Suppression { kind: "inSource", status, justification: concession(state), location }
}

fn concession_id(words: &str) -> String {
    format!("concession/{}", words.replace(' ', "-"))
}

fn level(class: Class) -> &'static str {
    match class {
        Class::Dangerous | Class::Major => "error",
        Class::Minor => "warning",
        Class::Advisory => "note",
    }
}

fn fingerprint(parts: &[&str]) -> BTreeMap<&'static str, String> {
    let mut digest = Sha256::new();
    for part in parts {
        digest.update(part.as_bytes());
        digest.update([0]);
    }
    let hex = digest.finalize().iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    });
    BTreeMap::from([(FINGERPRINT, hex)])
}

/// Words without Markdown.
fn plain(text: &str) -> Message {
    Message { text: bracketed(text), markdown: None }
}

/// In a message square brackets would make a link (clause 3.11.6).
fn bracketed(text: &str) -> String {
    text.replace('\\', "\\\\").replace('[', "\\[").replace(']', "\\]")
}

fn located(sources: &Sources, span: Option<Span>, build: &str) -> Location {
    Location {
        id: None,
        physical_location: physical(sources, span, build),
        logical_locations: Vec::new(),
        message: None,
    }
}

/// A place; the build's file where there is none.
fn physical(sources: &Sources, span: Option<Span>, build: &str) -> PhysicalLocation {
    let name = span.map_or(build, |span| sources.name(span.file));
    let region = span.map(|span| {
        let (start, end) = (sources.position(span.file, span.start), sources.position(span.file, span.end));
        Region { start_line: start.line, start_column: start.column, end_line: end.line, end_column: end.column }
    });
    let artifact_location =
        ArtifactLocation { uri: Some(uri::encoded(name)), uri_base_id: Some(ROOT), description: None };
    PhysicalLocation { artifact_location, region }
}

/// The whole log: the repositories' rulebooks, each with the builds judged by it.
pub fn sarif(repositories: Vec<(&Rulebook, Vec<SarifBuild>)>, day: Date) -> String {
    let runs = repositories.into_iter().map(|(book, builds)| run(book, builds, day)).collect();
    let log = Log { schema: "https://json.schemastore.org/sarif-2.1.0.json", version: "2.1.0", runs };
    let text = serde_json::to_string_pretty(&log).unwrap_or_default();
    format!("{}\n", escaped(&text))
}

fn run(book: &Rulebook, builds: Vec<SarifBuild>, day: Date) -> Run {
    let used: BTreeSet<Of> = builds.iter().flat_map(|b| b.results.iter().map(|(of, _)| of.clone())).collect();
    let used: Vec<Of> = used.into_iter().collect();
    let rules = used.iter().filter_map(|of| match of {
        Of::Rule(number) => book.rules.get(*number).map(|rule| descriptor(book, rule)),
        Of::Concession(words) => Some(concession_descriptor(words)),
    });
    let rules: Vec<Descriptor> = rules.collect();
    let (mut results, mut notifications) = (Vec::new(), Vec::new());
    for build in builds {
        notifications.extend(build.notifications);
        for (of, mut result) in build.results {
            result.rule_index = used.binary_search(&of).unwrap_or_default();
            results.push(result);
        }
    }
    let root = ArtifactLocation {
        uri: None,
        uri_base_id: None,
        description: Some(plain("The root of the repository that holds the builds")),
    };
    Run {
        tool: Tool { driver: Driver { name: "tramgauge", semantic_version: env!("CARGO_PKG_VERSION"), rules } },
        invocations: [Invocation {
            execution_successful: notifications.is_empty(),
            tool_execution_notifications: notifications,
        }],
        original_uri_base_ids: BTreeMap::from([(ROOT, root)]),
        column_kind: "unicodeCodePoints",
        language: "en-GB",
        results,
        properties: BTreeMap::from([("day", day.to_string()), ("caution", CAUTION.to_string())]),
    }
}

fn descriptor(book: &Rulebook, rule: &Rule) -> Descriptor {
    let worst = rule.holds.iter().map(|(class, _)| *class).max().unwrap_or(Class::Major);
    let sources: Vec<String> =
        rule.sources.iter().map(|used| source_words(&super::figures::book_source(book, used))).collect();
    let fields = [
        ("Why", rule.why.written().trim_end().to_string()),
        ("Remedy", rule.remedy.written().trim_end().to_string()),
        ("Measure", rule.measure.as_deref().unwrap_or_default().to_string()),
        ("Caution", rule.caution.as_deref().unwrap_or_default().to_string()),
        ("Sources", sources.join("; ")),
    ];
    let (mut text, mut rich) = (format!("{}\n", rule.title), format!("**{}**\n", markdown::text(&rule.title)));
    for (name, words) in fields.iter().filter(|(_, words)| !words.is_empty()) {
        let _ = write!(text, "\n{name}: {words}");
        let _ = write!(rich, "\n- *{name}:* {}", markdown::text(words));
    }
    Descriptor {
        id: rule.name.to_string(),
        short_description: plain(&rule.title),
        full_description: plain(rule.why.written().trim_end()),
        help: Message { text: bracketed(&text), markdown: Some(rich) },
        default_configuration: Configuration { level: level(worst) },
        properties: BTreeMap::from([("tags", vec![rule.system.to_string()]), ("sources", sources)]),
    }
}

fn concession_descriptor(words: &str) -> Descriptor {
    let title = "A concession covers a finding that there is";
    let why = "A concession that covers nothing today may cover a fault of tomorrow that nobody looked at.";
    let dangerous = "A dangerous finding is only covered by a concession in which that is accepted in so many words.";
    let is_dangerous = words == ConcessionFault::DangerousNotAccepted.words();
    let full = if is_dangerous { dangerous } else { why };
    Descriptor {
        id: concession_id(words),
        short_description: plain(title),
        full_description: plain(full),
        help: Message {
            text: format!("{title}\n\nWhy: {full}"),
            markdown: Some(format!("**{title}**\n\n- *Why:* {full}")),
        },
        default_configuration: Configuration { level: if is_dangerous { "error" } else { "warning" } },
        properties: BTreeMap::from([("tags", vec!["concessions".to_string()])]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fingerprint_does_not_run_its_parts_together() {
        assert_ne!(fingerprint(&["a", "bc"]), fingerprint(&["ab", "c"]));
        assert_eq!(fingerprint(&["a", "bc"]), fingerprint(&["a", "bc"]));
    }

    #[test]
    fn brackets_of_a_spec_make_no_link() {
        assert_eq!(bracketed(r"see [this](1) \ that"), r"see \[this\](1) \\ that");
    }
}
