//! What can be wrong with the files of a build, as data, and the words for it.
//!
//! The rest of this room makes [`SourceError`]s without thinking of wording; whoever reports them asks
//! [`SourceError::message`] and [`SourceError::help`].

use super::files::ReadProblem;
use super::place::Span;
use super::tree::{ALIAS_LIMIT, DEPTH_LIMIT, WALK_LIMIT};

/// What is said at the `part` by which a build uses the data sheet that something else is about.
pub const USED_HERE: &str = "used here";

/// Something that keeps a file, or a part of it, from being read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceError {
    /// What it is.
    pub problem: SourceProblem,
    /// Where it is.
    pub span: Span,
    /// The other place that it is about: the first of two equal keys, the bracket that is not closed.
    pub other: Option<Span>,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SourceProblem {
    /// The build file itself cannot be read.
    BuildFile(ReadProblem),
    /// An entry of `sections` is of no use.
    Section {
        /// The entry as written.
        path: String,
        /// Why.
        problem: SectionProblem,
    },
    /// The data sheet that a record names under `part` is of no use.
    Part {
        /// The name as written.
        path: String,
        /// Why.
        problem: PartProblem,
    },
    /// `sections` is not a list of file names.
    SectionsNotAList,
    /// A section lists sections of its own.
    SectionsInASection,
    /// The file is larger than the limit, both in bytes.
    TooLarge {
        /// The largest size that is read.
        limit: u64,
        /// The size found.
        size: u64,
    },
    /// Bytes that are not UTF-8.
    NotUtf8 {
        /// How many stretches of such bytes there are.
        count: usize,
        /// Whether the file begins as UTF-16 does.
        utf_16: bool,
    },
    /// Control characters and other invisible ones that YAML does not allow.
    ControlCharacter {
        /// The first.
        character: char,
        /// How many there are.
        count: usize,
    },
    /// The file says nothing.
    Empty,
    /// The file holds a list or a single value where keys belong.
    NotAMap,
    /// The YAML is broken.
    Syntax(SyntaxProblem),
    /// A key is given twice; the first counts.
    DuplicateKey(Box<str>),
    /// A key that is itself a list or a map.
    ComplexKey,
    /// A colon without a key before it.
    EmptyKey,
    /// A `!tag`.
    Tag,
    /// `*name` without an `&name` before it.
    UnknownAlias(Box<str>),
    /// Aliases stand for more values than are read.
    AliasesMultiply,
    /// More values than are read.
    TooManyValues,
    /// Deeper nesting than is read.
    TooDeep,
    /// The value of `<<` is not a map or a list of maps.
    BadMerge,
    /// A second document in the same file.
    SecondDocument,
    /// More errors in the file than are worth listing.
    More {
        /// How many are left out.
        count: usize,
    },
}

/// What is wrong with an entry of `sections`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SectionProblem {
    /// The entry is not a file name.
    NotAName,
    /// It does not end in `.yaml` or `.yml`.
    NotYaml,
    /// It is the build file.
    IsTheBuild,
    /// It is listed before.
    Twice,
    /// The build would grow past the limit, in bytes.
    BuildTooLarge {
        /// The largest sum of sizes that is read.
        limit: u64,
    },
    /// There are more sections than are read.
    TooMany {
        /// The largest number that is read.
        limit: usize,
    },
    /// It cannot be read.
    Read(ReadProblem),
}

/// What is wrong with a data sheet as a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartProblem {
    /// It is named as builds are.
    IsABuild,
    /// It is named within itself, by way of others or directly.
    Circle,
    /// Too many sheets name one another in a row.
    ChainTooLong {
        /// The longest chain that is read.
        limit: usize,
    },
    /// There are more data sheets than are read.
    TooMany {
        /// The largest number that is read.
        limit: usize,
    },
    /// Data sheets stand for more values than are read.
    Multiply {
        /// The largest number that is read.
        limit: u64,
    },
    /// The build would grow past the limit, in bytes.
    BuildTooLarge {
        /// The largest sum of sizes that is read.
        limit: u64,
    },
    /// It cannot be read.
    Read(ReadProblem),
}

/// How the YAML is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SyntaxProblem {
    /// A line among keys that is not `key: value`.
    MissingColon,
    /// A second `key: value` on the same line, or one that is indented where none can be.
    UnexpectedColon,
    /// A line that fits no level of indentation.
    Indentation,
    /// More text on a line whose value has ended.
    BehindValue,
    /// A dash where no list can be.
    UnexpectedDash,
    /// A quote that is not closed.
    OpenQuote,
    /// A `[` that is not closed, or a comma missing in it.
    OpenList,
    /// A `{` that is not closed, or a comma missing in it.
    OpenMap,
    /// A tab in the indentation.
    Tab,
    /// A character that cannot begin a bare value.
    CannotBegin(char),
    /// A backslash with something unknown behind it.
    Escape,
    /// A value missing before a `,`, `]` or `}`.
    MissingValue,
    /// Text behind a `|` or `>`.
    BlockHeader,
    /// An `&` or `*` without a proper name.
    AliasName,
    /// A malformed `!tag`.
    Tag,
    /// A line beginning with `%`.
    Directive,
    /// Anything else.
    Other,
}

impl SourceError {
    /// One line that says what is wrong.
    pub fn message(&self) -> String {
        match &self.problem {
            SourceProblem::BuildFile(problem) => format!("the build file cannot be read: {}", problem.message()),
            SourceProblem::Section { path, problem } => section_words(path, problem),
            SourceProblem::Part { path, problem } => part_words(path, problem),
            SourceProblem::SectionsNotAList => "`sections` must be a list of file names".to_owned(),
            SourceProblem::SectionsInASection => "only the build file can list sections".to_owned(),
            SourceProblem::TooLarge { limit, size } => too_large(*limit, *size),
            SourceProblem::NotUtf8 { utf_16: true, .. } => "the file is in UTF-16; a spec is in UTF-8".to_owned(),
            SourceProblem::NotUtf8 { count: 1, .. } => "this is not UTF-8 text".to_owned(),
            SourceProblem::NotUtf8 { count, .. } => {
                format!("this is not UTF-8 text, here and in {} more places", count - 1)
            }
            SourceProblem::ControlCharacter { character, count: 1 } => {
                format!("invisible character U+{:04X} in the file", u32::from(*character))
            }
            SourceProblem::ControlCharacter { character, count } => {
                format!("invisible character U+{:04X} in the file, and {} more", u32::from(*character), count - 1)
            }
            SourceProblem::Empty => "the file says nothing".to_owned(),
            SourceProblem::NotAMap => "the file must hold keys with values, as in `brakes: ...`".to_owned(),
            SourceProblem::Syntax(problem) => problem.message(),
            SourceProblem::DuplicateKey(key) => format!("`{key}` is given twice"),
            SourceProblem::ComplexKey => "a list or a map cannot be a key".to_owned(),
            SourceProblem::EmptyKey => "there is no key before this colon".to_owned(),
            SourceProblem::Tag => "a tag has no meaning in a spec".to_owned(),
            SourceProblem::UnknownAlias(name) => format!("no `&{name}` stands before this `*{name}`"),
            SourceProblem::AliasesMultiply => {
                format!("up to this alias, aliases stand for more than {ALIAS_LIMIT} values")
            }
            SourceProblem::TooManyValues => format!("the build has more than {WALK_LIMIT} values"),
            SourceProblem::TooDeep => format!("this is nested deeper than {DEPTH_LIMIT} levels"),
            SourceProblem::BadMerge => "`<<` takes in a map, or a list of maps".to_owned(),
            SourceProblem::SecondDocument => "a second document begins here; a file holds one".to_owned(),
            SourceProblem::More { count } => format!("{count} more errors from here on"),
        }
    }

    /// What is said at the other place, where there is one.
    pub fn other_words(&self) -> &'static str {
        match &self.problem {
            SourceProblem::Syntax(_) if self.other.is_some_and(|other| other.file == self.span.file) => "opened here",
            SourceProblem::DuplicateKey(_) | SourceProblem::Section { .. } => "first here",
            _ => USED_HERE,
        }
    }

    /// What would put it right, where there is something to say beyond the message.
    pub fn help(&self) -> Option<&'static str> {
        Some(match &self.problem {
            SourceProblem::BuildFile(problem) => return read_help(problem),
            SourceProblem::Section { problem, .. } => return section_help(problem),
            SourceProblem::Part { problem, .. } => return part_help(problem),
            SourceProblem::SectionsNotAList => "write `sections: [brakes.yaml, driveline.yaml]`",
            SourceProblem::SectionsInASection => "move the entries to the `sections` of the build file",
            SourceProblem::TooLarge { .. } => {
                "split the build into sections, and keep logs and drawings in other files"
            }
            SourceProblem::NotUtf8 { .. } => "save the file as UTF-8 in your editor",
            SourceProblem::ControlCharacter { .. } => {
                "remove it; such characters come from copying or from a damaged file"
            }
            SourceProblem::Empty => "write its keys, or take its name out of where it is used",
            SourceProblem::NotAMap => "begin with a key at the left margin",
            SourceProblem::Syntax(problem) => return problem.help(),
            SourceProblem::DuplicateKey(_) => "keep one of the two, or put their parts under one key",
            SourceProblem::ComplexKey => "write a plain name before the colon",
            SourceProblem::EmptyKey => "write the key, or quote the value if the colon belongs to it",
            SourceProblem::Tag => "remove it, or put the value in quotes if the `!` belongs to it",
            SourceProblem::UnknownAlias(_) => "put the value in quotes if the `*` belongs to it",
            SourceProblem::AliasesMultiply => "write the values out where they are used",
            SourceProblem::TooManyValues | SourceProblem::TooDeep => {
                "a spec is never that large; look for a generated or damaged file"
            }
            SourceProblem::BadMerge => "write `<<: *name`, with `&name` at the map to take in",
            SourceProblem::More { .. } => "put the others right first",
            SourceProblem::SecondDocument => "remove the `---` or move what follows to a file of its own",
        })
    }
}

impl SyntaxProblem {
    fn message(self) -> String {
        match self {
            Self::MissingColon => "a `key: value` belongs here, and there is no colon with a blank behind it",
            Self::UnexpectedColon => "a `key: value` cannot stand here",
            Self::Indentation => "this line fits no level of indentation above it",
            Self::BehindValue => "the value before this has ended; nothing can follow it on the line",
            Self::UnexpectedDash => "a list entry cannot stand here",
            Self::OpenQuote => "this quote is not closed",
            Self::OpenList => "a `,` or `]` is missing before this",
            Self::OpenMap => "a `,` or `}` is missing before this",
            Self::Tab => "a tab cannot indent",
            Self::CannotBegin('\t') => "a tab cannot stand here",
            Self::CannotBegin(character) => return format!("a bare value cannot begin with `{character}`"),
            Self::Escape => "unknown escape behind a backslash",
            Self::MissingValue => "a value is missing before this",
            Self::BlockHeader => "nothing can stand on the line behind `|` or `>`",
            Self::AliasName => "a name of letters, digits, `-` and `_` belongs behind `&` and `*`",
            Self::Tag => "malformed tag",
            Self::Directive => "a line cannot begin with `%`",
            Self::Other => "this is not YAML",
        }
        .to_owned()
    }

    fn help(self) -> Option<&'static str> {
        Some(match self {
            Self::MissingColon => {
                "write a colon and a blank behind the key; indent a line that continues the value above"
            }
            Self::UnexpectedColon => {
                "put the value in quotes if the colon belongs to it; else begin a new line at the indentation of its neighbours"
            }
            Self::Indentation => "indent entries of one map, and dashes of one list, by the same number of blanks",
            Self::BehindValue => "put the whole value in one pair of quotes, single ones if it holds double ones",
            Self::UnexpectedDash => "begin the list on a new line below its key",
            Self::OpenQuote => "close it with the same quote",
            Self::OpenList | Self::OpenMap => {
                "a ` #` inside the brackets starts a comment and hides the rest of its line"
            }
            Self::Tab => "indent with blanks",
            Self::CannotBegin('\t') => "use blanks",
            Self::CannotBegin(_) | Self::AliasName | Self::Tag => "put the value in quotes",
            Self::Escape => "write `\\\\` for a backslash, or use single quotes",
            Self::MissingValue => "write the value, or remove the comma",
            Self::BlockHeader => {
                "begin the text on the next line, indented; or put the value in quotes if the `|` or `>` belongs to it"
            }
            Self::Directive => "remove the line",
            Self::Other => return None,
        })
    }
}

impl ReadProblem {
    /// Why the file cannot be read, in words without a full stop.
    pub fn message(&self) -> String {
        match self {
            ReadProblem::Missing => "there is no such file".to_owned(),
            ReadProblem::Outside => "it lies outside the repository".to_owned(),
            ReadProblem::TooLarge { limit, size } => too_large(*limit, *size),
            ReadProblem::Unreadable(words) => words.clone(),
        }
    }
}

fn read_help(problem: &ReadProblem) -> Option<&'static str> {
    match problem {
        ReadProblem::Missing => {
            Some("names are taken from the folder of the build file; check the spelling, capitals too")
        }
        ReadProblem::Outside => Some("keep the file in the repository, and link to nothing outside it"),
        ReadProblem::TooLarge { .. } => Some("split it, and keep logs and drawings in other files"),
        ReadProblem::Unreadable(_) => None,
    }
}

fn section_words(path: &str, problem: &SectionProblem) -> String {
    match problem {
        SectionProblem::NotAName => "an entry of `sections` must be the name of a file".to_owned(),
        SectionProblem::NotYaml => format!("section `{path}` is not a `.yaml` file"),
        SectionProblem::IsTheBuild => format!("section `{path}` is the build file itself"),
        SectionProblem::Twice => format!("section `{path}` is listed twice"),
        SectionProblem::BuildTooLarge { limit } => {
            format!("with section `{path}` the build is larger than {limit} bytes")
        }
        SectionProblem::TooMany { limit } => format!("a build has at most {limit} sections"),
        SectionProblem::Read(problem) => format!("section `{path}` cannot be read: {}", problem.message()),
    }
}

fn section_help(problem: &SectionProblem) -> Option<&'static str> {
    match problem {
        SectionProblem::NotAName => Some("write `sections: [brakes.yaml, driveline.yaml]`"),
        SectionProblem::NotYaml => Some("sections hold keys of the same tree, in files that end in `.yaml`"),
        SectionProblem::IsTheBuild | SectionProblem::Twice => Some("remove the entry"),
        SectionProblem::BuildTooLarge { .. } => Some("keep logs and drawings in other files"),
        SectionProblem::TooMany { .. } => Some("put several systems into one section"),
        SectionProblem::Read(problem) => read_help(problem),
    }
}

fn part_words(path: &str, problem: &PartProblem) -> String {
    match problem {
        PartProblem::IsABuild => format!("`{path}` is a build; a data sheet has another name"),
        PartProblem::Circle => format!("data sheet `{path}` is named within itself"),
        PartProblem::ChainTooLong { limit } => {
            format!("with data sheet `{path}` more than {limit} sheets name one another in a row")
        }
        PartProblem::TooMany { limit } => format!("a build has at most {limit} data sheets"),
        PartProblem::Multiply { limit } => {
            format!("with this use of `{path}` data sheets stand for more than {limit} values")
        }
        PartProblem::BuildTooLarge { limit } => {
            format!("with data sheet `{path}` the build is larger than {limit} bytes")
        }
        PartProblem::Read(problem) => format!("data sheet `{path}` cannot be read: {}", problem.message()),
    }
}

fn part_help(problem: &PartProblem) -> Option<&'static str> {
    match problem {
        PartProblem::IsABuild => Some("move what is to be shared into a file of its own, as `parts/lift-pump.yaml`"),
        PartProblem::Circle => Some("take out the `part` here, or name the sheet that is meant"),
        PartProblem::ChainTooLong { .. } => Some("write into one sheet what its base sheets say"),
        PartProblem::TooMany { .. } | PartProblem::Multiply { .. } => {
            Some("a build never uses that many; look for a generated file, or for sheets which name one another")
        }
        PartProblem::BuildTooLarge { .. } => Some("keep logs and drawings in other files"),
        PartProblem::Read(ReadProblem::Missing) => Some(
            "the path is taken from the repository's root, as in `part: parts/lift-pump.yaml`; check the spelling, capitals too",
        ),
        PartProblem::Read(problem) => read_help(problem),
    }
}

fn too_large(limit: u64, size: u64) -> String {
    format!("it has {size} bytes; at most {limit} are read")
}
