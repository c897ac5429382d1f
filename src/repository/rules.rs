//! The rulebook in force: the built-in one, with a repository's own rules and terms.

use super::Refused;
use super::settings::{OWN_RULES, Settings, plain};
use crate::rulebook::{Rulebook, load, load_built_in, load_for_judging, unpacked};
use crate::source::{Files, ReadProblem};
use crate::terms::Terms;
use std::sync::Arc;

/// A folder of rules outside of the repository's own.
pub struct RuleFolder {
    /// Its files.
    pub files: Arc<dyn Files>,
    /// The name by which it is shown.
    pub shown: String,
}

/// A file by its path, and its text.
type Text = (String, String);

/// Terms and rules as texts.
#[derive(Default)]
struct Texts {
    terms: Vec<Text>,
    rules: Vec<Text>,
}

/// The built-in rulebook, packed by the build script.
const PACKED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/rulebook.bin"));

/// Loads the built-in rulebook with own terms and rules on top.
pub(super) fn in_force(
    files: &dyn Files,
    settings: &Settings,
    more: &[RuleFolder],
    pieces: bool,
) -> Result<Rulebook, Refused> {
    let mut own = Texts::default();
    match &settings.own_rules {
        None => own.gather(files, OWN_RULES, "", true)?,
        Some(folders) => {
            for folder in folders {
                own.gather(files, plain(folder), "", false)?;
            }
        }
    }
    for folder in more {
        own.gather(&*folder.files, "", &folder.shown, false)?;
    }
    if own.is_empty()
        && !pieces
        && let Some(rulebook) = unpacked(PACKED)
    {
        return Ok(rulebook);
    }
    let loader = if pieces { load_built_in } else { load_for_judging };
    let terms = if own.terms.is_empty() { Terms::built_in() } else { Terms::with_own(&borrowed(&own.terms)) };
    loader(terms.map_err(Refused::Terms)?, &borrowed(&own.rules))
        .map_err(|(texts, errors)| Refused::Rulebook(texts, errors))
}

/// Loads a rulebook from the folders `schema` and `rules` in place of the built-in one: for those who write rules and do not
/// want to build the program after every change.
///
/// # Errors
/// See [`Refused`].
pub fn rulebook_below(files: &dyn Files) -> Result<Rulebook, Refused> {
    let (mut schema, mut rules) = (Texts::default(), Texts::default());
    schema.gather(files, "schema", "", false)?;
    rules.gather(files, "rules", "", false)?;
    let terms = Terms::of_files(&borrowed(&schema.rules)).map_err(Refused::Terms)?;
    load(terms, &borrowed(&rules.rules), &[]).map_err(|(texts, errors)| Refused::Rulebook(texts, errors))
}

fn borrowed(texts: &[Text]) -> Vec<(&str, &str)> {
    texts.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect()
}

impl Texts {
    fn is_empty(&self) -> bool {
        self.terms.is_empty() && self.rules.is_empty()
    }

    /// Reads the rule files of a folder, and the terms in its folder `terms`.
    fn gather(&mut self, files: &dyn Files, folder: &str, shown: &str, may_be_missing: bool) -> Result<(), Refused> {
        let name = |path: &str| match shown {
            "" => path.to_string(),
            shown => format!("{}/{path}", shown.trim_end_matches('/')),
        };
        let found = match files.list(folder) {
            Ok(found) => found,
            Err(ReadProblem::Missing) if may_be_missing => return Ok(()),
            Err(problem) => return Err(Refused::Unreadable(name(folder), problem)),
        };
        let below_terms = if folder.is_empty() { "terms/".to_string() } else { format!("{folder}/terms/") };
        for path in found {
            let bytes = files.read(&path).map_err(|problem| Refused::Unreadable(name(&path), problem))?;
            let Ok(text) = String::from_utf8(bytes) else { return Err(Refused::NotText(name(&path))) };
            let into = if path.starts_with(&below_terms) { &mut self.terms } else { &mut self.rules };
            into.push((name(&path), text));
        }
        Ok(())
    }
}
