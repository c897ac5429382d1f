//! One file for each output form; formats, never computes, and never writes: out come texts.
//!
//! In come an [`Assessment`](crate::assess::Assessment), errors of a spec or a rulebook, and a [`Look`]. Whatever a spec or a
//! rule file says passes through [`pictured`] or [`escaped`] on its way out, so that no control or direction character of it
//! reaches a terminal.

mod advice;
mod before;
mod bench;
mod book;
mod brief;
mod budget;
mod calibration;
mod cases;
mod comparison;
mod errors;
mod figures;
mod held_up;
mod json;
mod junit;
mod markdown;
mod needed;
mod page;
mod picture;
mod room;
mod round;
mod sarif;
mod sarif_log;
mod sheet;
mod source_code;
mod summary;
mod terminal;
mod tries;
mod trouble;
mod uri;

pub use advice::{Concedable, advice, advice_unusable};
pub use before::{before, before_json};
pub use bench::{bench, bench_json};
pub use book::{Listed, book, book_json, rule, rule_json};
pub use brief::{brief, brief_closing, brief_errors};
pub use calibration::{calibration, shaking};
pub use comparison::{
    BookWords, COMMENT_LIMIT, Compared, ComparedBuild, Revisions, comparison_brief, comparison_json,
    comparison_markdown, comparison_terminal,
};
pub use errors::errors;
pub use figures::{figures, figures_json, listed_figures, listed_figures_json};
pub use held_up::{Standing, brief_held_up, held_up, held_up_json, markdown_held_up, since_json};
pub use json::{build_json, errors_json, inspection_end, inspection_start};
pub use junit::{JUNIT_END, JUNIT_START, junit_build};
pub use markdown::{markdown_build, markdown_end};
pub use needed::{needed, needed_json};
pub use page::Look;
pub use picture::{escaped, pictured};
pub use room::{room, room_json};
pub use round::{round, round_json};
pub use sarif::{SarifBuild, sarif, sarif_build};
pub use sheet::{SheetBefore, SheetOptions, figures_csv, sheet, sheet_json, systems_of};
pub use source_code::{Excerpt, Mark, excerpts};
pub use summary::{CAUTION, closing, replaced};
pub use terminal::terminal;
pub use tries::{tries, tries_json};
pub use trouble::Trouble;

use crate::assess::{Assessment, Counts, Needed};

/// One build as it is reported.
pub struct Judged<'a> {
    /// The path of its build file from the repository's root.
    pub path: &'a str,
    /// What was judged.
    pub assessment: &'a Assessment,
    /// What is wrong with the spec.
    pub errors: &'a [Trouble],
    /// What to measure next, the most useful first.
    pub needed: &'a [Needed],
}

/// The outcomes of several builds together, for a closing line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Total {
    /// How many builds.
    pub builds: usize,
    /// How many of them have errors in their spec.
    pub with_errors: usize,
    /// Their outcomes.
    pub counts: Counts,
}

impl Total {
    /// Adds a build.
    pub fn add(&mut self, counts: Counts, errors: usize) {
        self.builds += 1;
        self.with_errors += usize::from(errors > 0);
        let all = &mut self.counts;
        all.dangerous += counts.dangerous;
        all.major += counts.major;
        all.minor += counts.minor;
        all.advisory += counts.advisory;
        all.conceded += counts.conceded;
        all.faulty_concessions += counts.faulty_concessions;
        all.holds += counts.holds;
        all.holds_assumed += counts.holds_assumed;
        all.unmeasured += counts.unmeasured;
        all.unproven += counts.unproven;
        all.beyond += counts.beyond;
        all.not_applicable += counts.not_applicable;
    }
}
