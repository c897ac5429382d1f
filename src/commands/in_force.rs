//! The rulebook in force: the built-in one, with a repository's own rules and terms.

use super::Status;
use super::output::{Output, refuse};
use super::place::{root_of, words};
use crate::report::{self, Trouble};
use crate::rulebook::{Rulebook, RulebookError, load, load_built_in, load_for_judging};
use crate::source::{DiskFiles, Files, ReadProblem, Sources};
use crate::terms::Terms;
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

/// The folder at a repository's root in which its own rules stand, and below it, `terms`, its own terms.
const OWN_RULES: &str = "shop-rules";

/// A repository with the rulebook in force there.
pub struct Repository {
    /// Its root.
    pub root: PathBuf,
    /// Its files.
    pub files: DiskFiles,
    /// The rulebook; it lives as long as the program, and the system takes its memory back faster than it could be given.
    pub book: ManuallyDrop<Rulebook>,
}

/// Why there is no rulebook.
pub enum Refused {
    /// A file or folder cannot be read.
    Call(String),
    /// The terms or the rules are wrong: which of the two, their texts, and everything that is wrong.
    Wrong(&'static str, Sources, Vec<Trouble>),
}

/// A file by its path, and its text.
type Text = (String, String);

/// How the built-in rulebook is loaded: for judging, or with its check pieces.
type Loader = fn(Terms, &[(&str, &str)]) -> Result<Rulebook, (Sources, Vec<RulebookError>)>;

/// Opens the repository around a path for judging; `rules` are folders with more rules.
///
/// # Errors
/// See [`Refused`].
pub fn open(path: &Path, rules: &[PathBuf]) -> Result<Repository, Refused> {
    open_by(path, rules, load_for_judging)
}

/// As [`open`], with the check pieces of the built-in rules.
///
/// # Errors
/// See [`Refused`].
pub fn open_with_pieces(path: &Path, rules: &[PathBuf]) -> Result<Repository, Refused> {
    open_by(path, rules, load_built_in)
}

fn open_by(path: &Path, rules: &[PathBuf], loader: Loader) -> Result<Repository, Refused> {
    let root = root_of(path).map_err(Refused::Call)?;
    let files = DiskFiles::new(root.clone());
    let (mut own_terms, mut own_rules) = (Vec::new(), Vec::new());
    gather(&files, OWN_RULES, "", true, &mut own_terms, &mut own_rules)?;
    for folder in rules {
        let shown = folder.display().to_string();
        gather(&DiskFiles::new(folder.clone()), "", &shown, false, &mut own_terms, &mut own_rules)?;
    }
    let book = rulebook(&borrowed(&own_terms), &borrowed(&own_rules), loader)?;
    Ok(Repository { root, files, book: ManuallyDrop::new(book) })
}

/// Loads the built-in rulebook with own terms and rules on top.
fn rulebook(own_terms: &[(&str, &str)], own_rules: &[(&str, &str)], loader: Loader) -> Result<Rulebook, Refused> {
    let terms = if own_terms.is_empty() { Terms::built_in() } else { Terms::with_own(own_terms) };
    let terms = terms.map_err(|refused| {
        Refused::Wrong("terms", refused.sources, refused.errors.iter().map(Trouble::from).collect())
    })?;
    loader(terms, own_rules)
        .map_err(|(texts, errors)| Refused::Wrong("rulebook", texts, errors.iter().map(Trouble::from).collect()))
}

/// Loads a rulebook from the folders `schema` and `rules` below a folder, in place of the built-in one: for those who write
/// rules and do not want to build the program after every change.
///
/// # Errors
/// See [`Refused`].
pub fn rulebook_in(folder: &Path) -> Result<Rulebook, Refused> {
    let files = DiskFiles::new(folder.to_path_buf());
    let (mut schema, mut rules) = (Vec::new(), Vec::new());
    gather(&files, "schema", "", false, &mut Vec::new(), &mut schema)?;
    gather(&files, "rules", "", false, &mut Vec::new(), &mut rules)?;
    let terms = Terms::of_files(&borrowed(&schema)).map_err(|refused| {
        Refused::Wrong("terms", refused.sources, refused.errors.iter().map(Trouble::from).collect())
    })?;
    load(terms, &borrowed(&rules), &[])
        .map_err(|(texts, errors)| Refused::Wrong("rulebook", texts, errors.iter().map(Trouble::from).collect()))
}

fn borrowed(texts: &[Text]) -> Vec<(&str, &str)> {
    texts.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect()
}

/// Reads the rule files of a folder, and the terms in its folder `terms`.
fn gather(
    files: &DiskFiles,
    folder: &str,
    shown: &str,
    may_be_missing: bool,
    terms: &mut Vec<Text>,
    rules: &mut Vec<Text>,
) -> Result<(), Refused> {
    let name = |path: &str| match shown {
        "" => path.to_string(),
        shown => format!("{}/{path}", shown.trim_end_matches('/')),
    };
    let found = match files.list(folder) {
        Ok(found) => found,
        Err(ReadProblem::Missing) if may_be_missing => return Ok(()),
        Err(problem) => return Err(Refused::Call(format!("{}: {}", name(folder), words(&problem)))),
    };
    let below_terms = if folder.is_empty() { "terms/".to_string() } else { format!("{folder}/terms/") };
    for path in found {
        let bytes = files.read(&path).map_err(|p| Refused::Call(format!("{}: {}", name(&path), words(&p))))?;
        let Ok(text) = String::from_utf8(bytes) else {
            return Err(Refused::Call(format!("{}: this is not UTF-8 text", name(&path))));
        };
        let into = if path.starts_with(&below_terms) { &mut *terms } else { &mut *rules };
        into.push((name(&path), text));
    }
    Ok(())
}

impl Refused {
    /// Says why, in the form asked for, and gives the exit status.
    pub fn told(&self, output: &mut Output, machine: bool) -> Status {
        match self {
            Refused::Call(words) => refuse(words),
            Refused::Wrong(of, texts, errors) if machine => {
                let mut told = serde_json::Map::new();
                told.insert(format!("{of}_errors"), report::errors_json(errors, texts));
                output.json(&serde_json::Value::Object(told));
            }
            Refused::Wrong(of, texts, errors) => {
                let text = report::errors(of, errors, texts, output.look);
                output.text(&text);
            }
        }
        Status::Unusable
    }
}
