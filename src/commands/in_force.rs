//! The rulebook in force: built-in terms and rules, and a repository's own.

use crate::rulebook::{BUILT_IN, Rulebook, RulebookError, load};
use crate::source::Sources;
use crate::terms::{SchemaRefused, Terms};

/// Why there is no rulebook.
pub enum Refused {
    /// The terms are wrong.
    Terms(SchemaRefused),
    /// The rules are wrong.
    Rules(Sources, Vec<RulebookError>),
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
