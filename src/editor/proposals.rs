//! Values that can be proposed at a place, by what belongs there: words, units, names, days.

use lsp_types::CompletionItemKind;

use super::completion::Knowing;
use super::cursor::{Level, Step};
use super::documents::Documents;
use super::markdown::plain;
use super::units::{usual, written};
use super::workplace::Here;
use crate::assess::Outcome;
use crate::quantity::Kind;
use crate::source::Files;
use crate::terms::{FieldType, Held, ListId, ListMembers};

/// Something that can be written.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// What is shown.
    pub label: String,
    /// What is put in, with gaps to be filled: `$0`, `${1:so}`.
    pub snippet: String,
    /// What typed text is held against; the label, if nothing is said.
    pub filter: Option<String>,
    /// A word or two beside it.
    pub detail: Option<String>,
    /// More, in Markdown.
    pub about: Option<String>,
    /// What it is.
    pub kind: CompletionItemKind,
}

impl Proposal {
    /// A value as it is written.
    pub fn value(text: &str) -> Proposal {
        Proposal {
            label: text.to_owned(),
            snippet: escaped(text),
            filter: None,
            detail: None,
            about: None,
            kind: CompletionItemKind::VALUE,
        }
    }

    /// A key; `colon` says whether its colon is there already.
    pub fn key(name: &str, colon: bool) -> Proposal {
        let snippet = if colon { name.to_owned() } else { format!("{name}: $0") };
        Proposal { snippet, kind: CompletionItemKind::FIELD, ..Proposal::value(name) }
    }

    fn of(self, kind: CompletionItemKind, detail: &str) -> Proposal {
        Proposal { kind, detail: (!detail.is_empty()).then(|| detail.to_owned()), ..self }
    }
}

/// What can stand at a key, or as a member of the list under it; `typed` is what stands there now.
pub fn values(knowing: &Knowing, levels: &[Level], key: &str, ty: &FieldType, typed: &str) -> Vec<Proposal> {
    let examples = examples(knowing, levels, key);
    let mut found = match ty {
        FieldType::Quantity(kind) => quantities(*kind, typed, &examples),
        FieldType::Choice(choices) => {
            choices.iter().map(|word| text(word).of(CompletionItemKind::ENUM_MEMBER, "")).collect()
        }
        FieldType::YesNo => ["yes", "no"].map(Proposal::value).to_vec(),
        FieldType::Date => vec![today(knowing)],
        FieldType::Reference(list) => names(knowing, *list),
        FieldType::Point => {
            vec![Proposal { snippet: "[${1:0} mm, ${2:0} mm, ${3:0} mm]".into(), ..Proposal::value("[x, y, z]") }]
        }
        FieldType::Text if in_concession(levels) && key == "rule" => rules(knowing),
        FieldType::Text if in_concession(levels) && key == "subject" => subjects(knowing),
        FieldType::Text if levels.len() <= 3 && key == "sections" => {
            knowing.sections.iter().map(|path| text(path).of(CompletionItemKind::FILE, "")).collect()
        }
        FieldType::Designation(_) => examples.iter().map(|example| Proposal::value(example)).collect(),
        FieldType::List(list) => match &knowing.types().list(*list).members {
            ListMembers::Values(_) => examples.iter().map(|example| Proposal::value(example)).collect(),
            ListMembers::Records(_) => Vec::new(),
        },
        FieldType::Text | FieldType::Record(_) => Vec::new(),
    };
    if !matches!(ty, FieldType::Text)
        && !levels.last().is_some_and(|level| level.step == Step::Item && level.keys.is_empty())
    {
        found.push(Proposal::value("none").of(CompletionItemKind::KEYWORD, "the car has no such thing"));
    }
    found
}

/// A number that is typed, with each unit behind it; else examples, and the form with keys.
pub fn quantities(kind: Kind, typed: &str, examples: &[String]) -> Vec<Proposal> {
    let end =
        typed.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '/' | ' '))).unwrap_or(typed.len());
    let number = typed.get(..end).unwrap_or_default().trim();
    if number.chars().any(|c| c.is_ascii_digit()) {
        let with = |(unit, _): (&'static str, _)| {
            let whole = written(number, unit);
            // What is typed stays in front, so that a client does not sort the units out.
            Proposal { filter: Some(whole.clone()), snippet: escaped(&quoted(&whole)), ..Proposal::value(unit) }
                .of(CompletionItemKind::UNIT, kind.name())
        };
        return usual(kind).into_iter().map(with).collect();
    }
    let mut found: Vec<Proposal> =
        examples.iter().map(|e| Proposal::value(e).of(CompletionItemKind::VALUE, "example")).collect();
    let unit = usual(kind).first().map_or("", |(unit, _)| *unit);
    let value = written("${1:0}", unit);
    let long = format!("{{is: {value}, give_or_take: $2, known_by: ${{3:measured}}}}");
    found.push(
        Proposal { snippet: long, ..Proposal::value("{is, give_or_take, known_by}") }
            .of(CompletionItemKind::STRUCT, "with its uncertainty and how it is known"),
    );
    found
}

/// The day for which is judged.
pub fn today(knowing: &Knowing) -> Proposal {
    Proposal::value(&knowing.judged.assessment.day.to_string())
}

/// Section files beside a build file, as it would list them, without those that it lists.
pub fn sections(here: &Here, documents: &Documents) -> Vec<String> {
    let Some((folder, _)) = here.path.rsplit_once('/').or(Some(("", ""))) else { return Vec::new() };
    let listed = here.build.now.as_ref().map(|judged| judged.files.as_slice()).unwrap_or_default();
    let found = here.opened.files(documents).list(folder).unwrap_or_default();
    let new = found.into_iter().filter(|path| !listed.contains(path));
    let below = |path: String| Some(path.strip_prefix(folder)?.trim_start_matches('/').to_owned());
    new.filter_map(below).filter(|path| path.rsplit('/').next() != Some(crate::repository::BUILD_FILE)).collect()
}

/// A snippet with its gaps filled by what is proposed for them, or left out.
pub fn without_gaps(snippet: &str) -> String {
    let mut out = String::new();
    let mut characters = snippet.chars().peekable();
    while let Some(c) = characters.next() {
        match c {
            '\\' => out.extend(characters.next()),
            '$' if characters.next_if_eq(&'{').is_some() => {
                let inner: String = characters.by_ref().take_while(|c| *c != '}').collect();
                out.push_str(inner.split_once(':').map_or("", |(_, proposed)| proposed));
            }
            '$' => while characters.next_if(char::is_ascii_digit).is_some() {},
            c => out.push(c),
        }
    }
    out.trim_end_matches(' ').to_owned()
}

/// A text in quotes where YAML would take it for something else.
pub fn quoted(text: &str) -> String {
    let bare = !text.is_empty()
        && !text.contains(": ")
        && !text.contains(" #")
        && !text.ends_with(':')
        && !text.starts_with(|c: char| "-?:,[]{}#&*!|>'\"%@` ".contains(c))
        && !text.contains(['{', '}', '[', ']', ','])
        // A ratio between two numbers is a time of day to some readers of YAML.
        && !text.split_once(':').is_some_and(|(a, b)| a.parse::<f64>().is_ok() && b.parse::<f64>().is_ok());
    let negative = text.strip_prefix('-').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
    if bare || negative { text.to_owned() } else { serde_json::Value::from(text).to_string() }
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace('$', "\\$").replace('}', "\\}")
}

fn text(text: &str) -> Proposal {
    Proposal { snippet: escaped(&quoted(text)), ..Proposal::value(text) }
}

fn examples(knowing: &Knowing, levels: &[Level], key: &str) -> Vec<String> {
    use super::belongs::{Within, within};
    let types = knowing.types();
    let field = match within(types, levels) {
        Some(Within::Record(record)) => {
            let record = types.record(record);
            record.slot(key).and_then(|slot| record.field(slot))
        }
        _ => None,
    };
    field.map(|field| field.examples.iter().map(ToString::to_string).collect()).unwrap_or_default()
}

fn in_concession(levels: &[Level]) -> bool {
    matches!(levels, [_, Level { step: Step::Key(key), .. }, Level { step: Step::Item, .. }] if key == "concessions")
}

/// The names of the items of a list type, in the order of reading.
fn names(knowing: &Knowing, list: ListId) -> Vec<Proposal> {
    let spec = &knowing.judged.spec;
    let lists = spec.places().filter_map(|(_, place)| match &place.held {
        Held::List { ty, items } if *ty == list => Some(items),
        _ => None,
    });
    let named = lists.flat_map(|items| items.iter()).filter_map(|item| Some((spec.name(*item)?, spec.path(*item))));
    let mut found: Vec<Proposal> = Vec::new();
    for (name, path) in named {
        if !found.iter().any(|proposal| proposal.label == name) {
            found.push(text(name).of(CompletionItemKind::REFERENCE, &path));
        }
    }
    found
}

/// Rules for a concession: those that are broken first.
fn rules(knowing: &Knowing) -> Vec<Proposal> {
    let assessment = &knowing.judged.assessment;
    let mut found: Vec<Proposal> = Vec::new();
    let broken = assessment.broken().into_iter().map(|(judgement, class, _)| (judgement.rule, class.word()));
    for (rule, word) in broken.chain((0..assessment.index.rules.len()).map(|rule| (rule, ""))) {
        let Some(entry) = assessment.index.rules.get(rule) else { continue };
        if !found.iter().any(|proposal| *proposal.label == *entry.name) {
            let mut proposal = Proposal::value(&entry.name).of(CompletionItemKind::CONSTANT, word);
            proposal.about = Some(plain(&entry.title));
            found.push(proposal);
        }
    }
    found
}

/// Subjects for a concession: those of broken rules first.
fn subjects(knowing: &Knowing) -> Vec<Proposal> {
    let assessment = &knowing.judged.assessment;
    let mut found: Vec<Proposal> = Vec::new();
    let broken = assessment.broken().into_iter().map(|(judgement, ..)| (judgement, true));
    let others = assessment.judgements.iter().filter(|j| j.outcome != Outcome::NotApplicable).map(|j| (j, false));
    for (judgement, broken) in broken.chain(others) {
        let known = found.iter().any(|proposal| proposal.label == judgement.subject);
        if known || judgement.subject.is_empty() || judgement.subject.starts_with("concessions") {
            continue;
        }
        let rule = assessment.index.rules.get(judgement.rule).map_or("", |rule| &*rule.name);
        let detail = if broken { rule } else { "" };
        found.push(text(&judgement.subject).of(CompletionItemKind::REFERENCE, detail));
    }
    found
}
