//! The rulebook: rules, figures, tables and sources, loaded, checked and listed.
//!
//! In come the YAML files of `rules/` (and of a repository's own folder), the terms, and the registered physics; out comes a
//! [`Rulebook`] whose every expression is type-checked, or every [`RulebookError`] with its place in the rule file. It knows
//! nothing of the specs that will be judged.

mod built_in;
mod class;
mod drawings;
mod error;
mod events;
mod expression;
mod figures;
mod form;
mod functions;
mod index;
mod loading;
mod packed;
mod pieces;
mod plots;
mod rules;
mod sources;
mod subject;
mod tables;

pub use built_in::BUILT_IN;
pub use class::Class;
pub use drawings::{Drawing, Shape, ShapeForm};
pub use error::{RulebookError, RulebookProblem};
pub use events::Event;
pub use expression::Expression;
pub use figures::Figure;
pub use functions::functions;
pub use index::{FigureEntry, Index, ReplacedEntry, RuleEntry};
pub use loading::{load, load_built_in, load_for_judging};
pub use packed::{pack_built_in, unpacked};
pub use pieces::{CheckPiece, Reads, TablePiece, build_of};
pub use plots::{MarkForm, Plot, PlotMark};
pub use rules::{Replaced, Rule};
pub use sources::{Source, SourceKind, SourceUse, TextSeen};
pub use subject::Subject;
pub use tables::TableInfo;

use crate::language::Library;
use crate::source::{Later, Sources, Tree};
use std::sync::Arc;

/// Everything in force: what a judgement needs and what `book` shows.
pub struct Rulebook {
    /// Figures, tables and functions as expressions see them.
    pub library: Library,
    /// Rules, in the order of files and places.
    pub rules: Vec<Rule>,
    /// Figures, by their number in the library.
    pub figures: Later<Vec<Figure>>,
    /// Tables, by their number in the library.
    pub tables: Later<Vec<TableInfo>>,
    /// Sources.
    pub sources: Vec<Source>,
    /// Steps that cannot be taken back, before which rules must be settled.
    pub events: Vec<Event>,
    /// What a repository's own rulebook stands in for.
    pub replaced: Vec<Replaced>,
    /// Names and titles, for whoever reports what was judged by it.
    pub index: Arc<Index>,
    /// Texts of the rule files.
    pub texts: Sources,
    /// The rule files' tree; check pieces stand in it. Empty where the rulebook was loaded without them.
    pub tree: Tree,
}

impl Rulebook {
    /// The rule of that name.
    pub fn rule(&self, name: &str) -> Option<&Rule> {
        self.rules.iter().find(|r| &*r.name == name)
    }

    /// A use of a source as a reader sees it: title, edition and clause.
    pub fn source_words(&self, used: &SourceUse) -> String {
        let mut words = String::new();
        if let Some(source) = self.source(&used.source) {
            words.push_str(&source.title);
            for part in [&source.edition, &used.clause].into_iter().flatten() {
                words.push_str(", ");
                words.push_str(part);
            }
        }
        words
    }

    /// The step of that name.
    pub fn event(&self, name: &str) -> Option<&Event> {
        self.events.iter().find(|event| &*event.name == name)
    }

    /// The source of that name.
    pub fn source(&self, name: &str) -> Option<&Source> {
        self.sources.iter().find(|s| &*s.name == name)
    }
}
