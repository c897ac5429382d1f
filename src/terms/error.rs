//! What can be wrong with a spec against the terms, and with a schema, as data; and the words for it, in this one place.

use std::sync::Arc;

use super::bundle::LONG_FORM;
use super::evidence::EVIDENCE_KEYS;
use crate::quantity::{DesignationError, DesignationKind, Kind, QuantityError};
use crate::source::{ReadProblem, SharedText, SourceError, Span, USED_HERE};

/// Something in a spec that the terms do not allow.
#[derive(Debug, Clone, PartialEq)]
pub struct TermsError {
    /// What it is.
    pub problem: TermsProblem,
    /// Where it is.
    pub span: Span,
    /// The other place that it is about: the first of two equal names, the use of the data sheet in which it is.
    pub other: Option<Span>,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum TermsProblem {
    /// A key that the record does not have.
    UnknownKey {
        /// The key as written.
        key: Box<str>,
        /// The name of the record's definition; `a quantity` for its long form.
        record: Box<str>,
        /// The nearest key that it has.
        nearest: Option<SharedText>,
        /// All keys that it has.
        known: Arc<[SharedText]>,
        /// Another record that has a key of just that name.
        elsewhere: Option<SharedText>,
    },
    /// A value of another form than belongs there.
    WrongForm {
        /// What belongs there.
        wanted: Wanted,
        /// What stands there.
        found: Found,
    },
    /// Nothing is written where a value belongs.
    Nothing {
        /// What belongs there.
        wanted: Wanted,
        /// What stands behind a `#` that was perhaps not meant as a comment.
        comment: Option<SharedText>,
    },
    /// A text that is not the quantity wanted.
    Quantity(QuantityError),
    /// A text that is not the designation wanted.
    Designation(DesignationError),
    /// A word that is not among the choices.
    UnknownChoice {
        /// The word as written.
        word: SharedText,
        /// The choices.
        choices: Arc<[SharedText]>,
        /// The nearest of them.
        nearest: Option<SharedText>,
    },
    /// A text that is not a day.
    NotADate {
        /// The text as written.
        text: SharedText,
    },
    /// A text under `part` that names no data sheet.
    NotASheet {
        /// The text as written.
        text: SharedText,
    },
    /// A text that is no SHA-256.
    NotADigest {
        /// How many characters it has.
        length: usize,
    },
    /// An evidence file that is not there, or is another one than was named.
    Evidence {
        /// Its path.
        file: SharedText,
        /// What is wrong with it.
        problem: EvidenceProblem,
    },
    /// An item of a mixed list without any of the keys that say what it is.
    NoKind {
        /// The keys.
        keys: Box<[SharedText]>,
    },
    /// An item without the key that names it, or the long form of a quantity without `is`.
    MissingName {
        /// The key.
        key: SharedText,
    },
    /// Two items of a list with one name; `other` is the first.
    DuplicateName {
        /// The name.
        name: SharedText,
    },
    /// A reference to an item that is not there.
    Dangling {
        /// The name as written.
        name: SharedText,
        /// The path of the list.
        list: SharedText,
        /// The nearest name in it.
        nearest: Option<SharedText>,
        /// All names in it.
        known: Vec<SharedText>,
    },
    /// A path at which nothing can be set.
    CannotBeSet {
        /// The path, as far as it leads.
        path: SharedText,
        /// Why.
        why: WhyNotSet,
    },
    /// An uncertainty both behind the number and under `give_or_take`, which is `other`.
    UncertaintyTwice,
    /// A value that did not pass, and no more is known; the terms themselves are at fault.
    Refused {
        /// What the validator says.
        message: SharedText,
    },
}

/// What is wrong with an evidence file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EvidenceProblem {
    /// It cannot be read.
    Read(ReadProblem),
    /// Its bytes are not those that were named.
    Changed {
        /// Its SHA-256.
        found: SharedText,
    },
}

/// Why nothing can be set at a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNotSet {
    /// It is about the file and not about the car.
    NotOfTheCar,
    /// It names an item.
    ItsName,
    /// It is an item of a list; only `none` can stand for it.
    WholeItem,
    /// It is a list of items.
    Items,
    /// It is a value, and the path goes on below it.
    BelowAValue,
    /// It is a list, and no item of it is named.
    NoItemNamed,
    /// It is a section that is not written.
    SectionUnwritten,
}

/// What belongs at a place.
#[derive(Debug, Clone, PartialEq)]
pub enum Wanted {
    /// A quantity of a kind, with an example.
    Quantity(Kind, Option<SharedText>),
    /// Free text.
    Text,
    /// One of these words.
    Choice(Arc<[SharedText]>),
    /// Yes or no.
    YesNo,
    /// A day.
    Date,
    /// A point.
    Point,
    /// A designation, with an example.
    Designation(DesignationKind, Option<SharedText>),
    /// The name of an item of the list with that path.
    Reference(SharedText),
    /// A record; its first keys.
    Record(Vec<SharedText>),
    /// A list.
    List,
    /// The path of a data sheet.
    Sheet,
    /// A SHA-256.
    Digest,
}

/// What stands at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Found {
    /// A list.
    List,
    /// A list of so many members, where a point belongs.
    ListOf(usize),
    /// Keys with values.
    Keys,
    /// `yes` or `no`.
    YesNo,
    /// A number.
    Number,
    /// Text.
    Text,
}

fn listed(words: &[SharedText]) -> String {
    const MOST: usize = 12;
    let shown: Vec<String> = words.iter().take(MOST).map(|word| format!("`{word}`")).collect();
    let more = if words.len() > MOST { format!(" and {} more", words.len() - MOST) } else { String::new() };
    format!("{}{more}", shown.join(", "))
}

fn with_article(words: &str) -> String {
    let article = if words.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {words}")
}

impl Wanted {
    fn words(&self) -> String {
        match self {
            Wanted::Quantity(Kind::Number, _) => "a number".into(),
            Wanted::Quantity(kind, _) => with_article(kind.name()),
            Wanted::Text => "text".into(),
            Wanted::Choice(_) => "one of the known words".into(),
            Wanted::YesNo => "yes or no".into(),
            Wanted::Date => "a day".into(),
            Wanted::Point => "a point".into(),
            Wanted::Designation(kind, _) => format!("the designation of a {}", kind.name()),
            Wanted::Reference(list) => format!("the name of an item of `{list}`"),
            Wanted::Record(_) => "a section with keys of its own".into(),
            Wanted::List => "a list".into(),
            Wanted::Sheet => "the path of a data sheet".into(),
            Wanted::Digest => "a SHA-256".into(),
        }
    }

    fn example(&self) -> Option<String> {
        match self {
            Wanted::Quantity(_, example) | Wanted::Designation(_, example) => Some(format!("for example `{}`", example.as_ref()?)),
            Wanted::Choice(choices) => Some(format!("the known ones are {}", listed(choices))),
            Wanted::YesNo => Some("write `yes` or `no`".into()),
            Wanted::Date => Some("for example `2026-05-02`".into()),
            Wanted::Point => Some("write `[x, y, z]`, three lengths from the ground below the middle of the front axle, for example `[120 mm, -340 mm, 415 mm]`".into()),
            Wanted::Record(keys) => Some(format!("its keys are {}", listed(keys))),
            Wanted::List => Some("put its members on lines of their own with a dash in front, or in square brackets".into()),
            Wanted::Text => Some("put quotes around it if text is meant".into()),
            Wanted::Sheet => Some("for example `parts/lift-pump.yaml`, from the repository's root".into()),
            Wanted::Digest | Wanted::Reference(_) => None,
        }
    }
}

impl Found {
    fn words(self) -> String {
        match self {
            Found::List => "a list".into(),
            Found::ListOf(count) => format!("a list of {count}"),
            Found::Keys => "a section with keys".into(),
            Found::YesNo => "yes or no".into(),
            Found::Number => "a number".into(),
            Found::Text => "text".into(),
        }
    }
}

impl TermsError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        match &self.problem {
            TermsProblem::UnknownKey { key, record, .. } => format!("`{key}` is not a key of {record}"),
            TermsProblem::WrongForm { wanted, found } => {
                format!("{} stands where {} belongs", found.words(), wanted.words())
            }
            TermsProblem::Nothing { wanted, comment: None } => {
                format!("nothing is written where {} belongs", wanted.words())
            }
            TermsProblem::Nothing { comment: Some(comment), .. } => {
                format!("`{comment}` is read as a comment, so that nothing is written here")
            }
            TermsProblem::Quantity(error) => error.message(),
            TermsProblem::Designation(error) => error.message(),
            TermsProblem::UnknownChoice { word, .. } => format!("`{word}` is not one of the known words here"),
            TermsProblem::NotADate { text } => format!("`{text}` is not a day"),
            TermsProblem::NotASheet { text } => format!("`{text}` is not the name of a data sheet"),
            TermsProblem::NotADigest { length } => {
                format!("this is not a SHA-256, which has 64 hexadecimal digits, but {length} characters")
            }
            TermsProblem::Evidence { file, problem: EvidenceProblem::Read(problem) } => {
                format!("evidence `{file}` cannot be read: {}", problem.message())
            }
            TermsProblem::Evidence { file, problem: EvidenceProblem::Changed { .. } } => {
                format!("evidence `{file}` has been changed since this was written")
            }
            TermsProblem::NoKind { .. } => "this item does not say what it is".into(),
            TermsProblem::MissingName { key } if &**key == LONG_FORM[0] => "this quantity has no value".into(),
            TermsProblem::MissingName { key } if &**key == EVIDENCE_KEYS[0] => "this evidence names no file".into(),
            TermsProblem::MissingName { key } => format!("this item has no name: `{key}` is missing"),
            TermsProblem::DuplicateName { name } => format!("`{name}` is the name of two items of this list"),
            TermsProblem::Dangling { name, list, .. } => format!("there is no `{name}` in `{list}`"),
            TermsProblem::CannotBeSet { path, why } => match why {
                WhyNotSet::NotOfTheCar => format!("`{path}` says nothing of the car and cannot be set"),
                WhyNotSet::ItsName => format!("`{path}` is a name, which stays the same"),
                WhyNotSet::WholeItem => format!("`{path}` is an item of a list and cannot be set as a whole"),
                WhyNotSet::Items => format!("`{path}` is a list of items and cannot be set as a whole"),
                WhyNotSet::BelowAValue => format!("nothing stands below `{path}`, which is a single value"),
                WhyNotSet::SectionUnwritten => format!("`{path}` is not written"),
                WhyNotSet::NoItemNamed => format!("`{path}` is a list, and the path names none of its items"),
            },
            TermsProblem::UncertaintyTwice => "the uncertainty is given twice".into(),
            TermsProblem::Refused { message } => format!("the terms do not allow this: {message}"),
        }
    }

    /// What is said at the other place, where there is one.
    pub fn other_words(&self) -> &'static str {
        match &self.problem {
            TermsProblem::DuplicateName { .. } => "first here",
            _ => USED_HERE,
        }
    }

    /// The way out, where one can be told.
    pub fn help(&self) -> Option<String> {
        match &self.problem {
            TermsProblem::UnknownKey { nearest: Some(nearest), .. } => Some(format!("did you mean `{nearest}`?")),
            TermsProblem::UnknownKey { elsewhere: Some(elsewhere), .. } => {
                Some(format!("`{elsewhere}` has a key of this name"))
            }
            TermsProblem::UnknownKey { known, .. } if known.is_empty() => None,
            TermsProblem::UnknownKey { known, .. } => Some(format!("its keys are {}", listed(known))),
            TermsProblem::WrongForm { wanted, .. } => wanted.example(),
            TermsProblem::Nothing { comment: Some(comment), .. } => Some(format!("quote it: \"{comment}\"")),
            TermsProblem::Nothing { wanted, .. } => {
                let example = wanted.example().map(|example| format!("; {example}")).unwrap_or_default();
                Some(format!(
                    "write it, take the key away until it is known, or write `none` if the car has no such thing{example}"
                ))
            }
            TermsProblem::Quantity(error) => error.help(),
            TermsProblem::Designation(error) => error.help(),
            TermsProblem::UnknownChoice { nearest: Some(nearest), .. } => Some(format!("did you mean `{nearest}`?")),
            TermsProblem::UnknownChoice { choices, .. } => Some(format!("the known ones are {}", listed(choices))),
            TermsProblem::NotADate { .. } => Some("write year, month and day, as in `2026-05-02`".into()),
            TermsProblem::NotASheet { .. } => Some(
                "write the path of the sheet's file from the repository's root, as `part: parts/lift-pump.yaml`".into(),
            ),
            TermsProblem::NotADigest { .. } => Some("take it away, or write what a checksum tool gives for the file".into()),
            TermsProblem::Evidence { problem: EvidenceProblem::Read(ReadProblem::Missing), .. } => Some(
                "the path is taken from the repository's root; check the spelling, capitals too, and that the file is kept there"
                    .into(),
            ),
            TermsProblem::Evidence { problem: EvidenceProblem::Read(_), .. } => {
                Some("keep a plain file of at most 64 MiB in the repository".into())
            }
            TermsProblem::Evidence { problem: EvidenceProblem::Changed { found }, .. } => {
                Some(format!("look at it again; where it still shows the value, write `sha256: {found}`"))
            }
            TermsProblem::NoKind { keys } => Some(format!("give it a name under one of {}", listed(keys))),
            TermsProblem::MissingName { key } => Some(format!("add `{key}:`")),
            TermsProblem::DuplicateName { .. } => {
                Some("give one of them another name; references would not know which is meant".into())
            }
            TermsProblem::Dangling { nearest: Some(nearest), .. } => Some(format!("did you mean `{nearest}`?")),
            TermsProblem::Dangling { known, list, .. } if known.is_empty() => {
                Some(format!("`{list}` has no items yet"))
            }
            TermsProblem::Dangling { known, .. } => Some(format!("the items there are {}", listed(known))),
            TermsProblem::CannotBeSet { path, why } => match why {
                WhyNotSet::NotOfTheCar | WhyNotSet::ItsName | WhyNotSet::BelowAValue => None,
                WhyNotSet::SectionUnwritten => Some("write the section with what is known of it first".into()),
                WhyNotSet::WholeItem => Some("set its keys one by one, or `none` if it is not there".into()),
                WhyNotSet::Items | WhyNotSet::NoItemNamed => Some(format!("name the item and its key: `{path}/name.key`")),
            },
            TermsProblem::UncertaintyTwice => Some("leave one of the two".into()),
            TermsProblem::Refused { .. } => None,
        }
    }
}

/// Something that keeps schema files from being used.
#[derive(Debug, Clone, PartialEq)]
pub struct SchemaError {
    /// What it is.
    pub problem: SchemaProblem,
    /// Where it is.
    pub span: Span,
}

/// What is wrong with a schema.
#[derive(Debug, Clone, PartialEq)]
pub enum SchemaProblem {
    /// The file cannot be read as YAML.
    Source(SourceError),
    /// It is not of the form that the meta-schema asks for; the validator's words.
    Form(String),
    /// No definition `spec` that is an object.
    NoSpec,
    /// A definition of the repository's own whose name does not begin with `own.`.
    NotOwn {
        /// The name.
        name: SharedText,
    },
    /// Two definitions of one name.
    DefinedTwice {
        /// The name.
        name: SharedText,
        /// The first one's place.
        first: Span,
    },
    /// A definition that nothing leads to.
    Unused {
        /// The name.
        name: SharedText,
    },
    /// `$ref` or `kinds` names a definition that is not there.
    NoSuchDefinition {
        /// The name.
        name: SharedText,
    },
    /// `refers_to` names a list that is not there.
    NoSuchList {
        /// The path.
        path: SharedText,
    },
    /// `quantity` or `designation` names a kind that is not there.
    NoSuchKind {
        /// The name.
        name: SharedText,
    },
    /// `naming` names a key that is not there.
    NoSuchKey {
        /// The key.
        key: SharedText,
    },
    /// A key of `kinds` is not the naming key of the definition that it stands before.
    NotNamedBy {
        /// The key.
        key: SharedText,
    },
    /// `usual` is not two rising quantities of the value's kind.
    BadRange,
    /// A member of `sizes` is not what belongs at the key.
    BadSize,
    /// Nothing says what the value is.
    NoType,
    /// Definitions that only name one another.
    Circle,
    /// More or deeper definitions than can be numbered.
    TooLarge,
}

impl SchemaError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        match &self.problem {
            SchemaProblem::Source(error) => error.message(),
            SchemaProblem::Form(words) => words.clone(),
            SchemaProblem::NoSpec => "there is no object `spec`".into(),
            SchemaProblem::NotOwn { name } => format!("a repository's own definition is named `own.…`, not `{name}`"),
            SchemaProblem::DefinedTwice { name, .. } => format!("`{name}` is defined twice"),
            SchemaProblem::Unused { name } => format!("nothing in a spec leads to `{name}`"),
            SchemaProblem::NoSuchDefinition { name } => format!("there is no definition `{name}`"),
            SchemaProblem::NoSuchList { path } => format!("there is no list `{path}`"),
            SchemaProblem::NoSuchKind { name } => format!("there is no kind `{name}`"),
            SchemaProblem::NoSuchKey { key } => format!("there is no key `{key}`"),
            SchemaProblem::NotNamedBy { key } => format!("the definition is not named by `{key}`"),
            SchemaProblem::BadRange => "`usual` is two rising quantities of the value's kind".into(),
            SchemaProblem::BadSize => "a size is written as the value itself is".into(),
            SchemaProblem::NoType => "nothing says what this is".into(),
            SchemaProblem::Circle => "these definitions only name one another".into(),
            SchemaProblem::TooLarge => "this schema has too many definitions, or too deep ones".into(),
        }
    }
}
