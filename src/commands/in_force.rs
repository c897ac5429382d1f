//! The rulebook in force: built-in terms and rules, and a repository's own.

use crate::rulebook::{BUILT_IN, Rulebook, RulebookError, load};
use crate::source::{DiskFiles, Files, ReadProblem, Sources};
use crate::terms::{SchemaRefused, Terms};

/// Why there is no rulebook.
pub enum Refused {
    /// The terms are wrong.
    Terms(SchemaRefused),
    /// The rules are wrong.
    Rules(Sources, Vec<RulebookError>),
    /// A file of theirs cannot be read.
    File(String, ReadProblem),
}

/// Loads the built-in rulebook with a repository's own rule files and terms.
///
/// # Errors
/// Everything that is wrong with them.
pub fn rulebook(own_terms: &[(&str, &str)], own_rules: &[(&str, &str)]) -> Result<Rulebook, Refused> {
    let terms =
        if own_terms.is_empty() { Terms::built_in() } else { Terms::with_own(own_terms) }.map_err(Refused::Terms)?;
    load(terms, BUILT_IN, own_rules).map_err(|(texts, errors)| Refused::Rules(texts, errors))
}

/// Loads a rulebook from the folders `schema` and `rules` below a folder, in place of the built-in one: for those who write
/// rules and do not want to build the program after every change.
///
/// # Errors
/// Everything that is wrong with the files.
pub fn rulebook_in(folder: &std::path::Path) -> Result<Rulebook, Refused> {
    let disk = DiskFiles::new(folder.to_path_buf());
    let read = |below: &str| -> Result<Vec<(String, String)>, Refused> {
        let names = disk.list(below).map_err(|problem| Refused::File(below.into(), problem))?;
        let mut out = Vec::new();
        for name in names {
            let bytes = disk.read(&name).map_err(|problem| Refused::File(name.clone(), problem))?;
            out.push((name, String::from_utf8_lossy(&bytes).into_owned()));
        }
        Ok(out)
    };
    fn pairs(files: &[(String, String)]) -> Vec<(&str, &str)> {
        files.iter().map(|(n, t)| (n.as_str(), t.as_str())).collect()
    }
    let (schema, rules) = (read("schema")?, read("rules")?);
    let terms = Terms::of_files(&pairs(&schema)).map_err(Refused::Terms)?;
    load(terms, &pairs(&rules), &[]).map_err(|(texts, errors)| Refused::Rules(texts, errors))
}
