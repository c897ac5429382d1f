//! One build from its files to its assessment, as several commands need it.

use crate::assess::{Assessment, Needed, Request, assess_cases, needed};
use crate::report::{Judged, Trouble};
use crate::repository::{Repository, SpecRead, read_build};
use crate::terms::{Spec, check_evidence};
use jiff::civil::Date;

/// A judged build.
pub struct Build {
    /// The path of its build file.
    pub path: String,
    /// The spec.
    pub spec: Spec,
    /// What is wrong with it.
    pub errors: Vec<Trouble>,
    /// What was judged.
    pub assessment: Assessment,
    /// What to measure next.
    pub needed: Vec<Needed>,
}

impl Build {
    /// The build as reports take it.
    pub fn judged(&self) -> Judged<'_> {
        Judged { path: &self.path, assessment: &self.assessment, errors: &self.errors, needed: &self.needed }
    }
}

/// Reads a build file and its sections, as far as they can be read.
pub fn read(repository: &Repository, path: &str) -> (Spec, Vec<Trouble>) {
    let SpecRead { spec, source_errors, terms_errors } = read_build(repository, path);
    let mut errors: Vec<Trouble> = source_errors.iter().map(Trouble::from).collect();
    errors.extend(terms_errors.iter().map(Trouble::from));
    in_order(&mut errors);
    (spec, errors)
}

fn in_order(errors: &mut [Trouble]) {
    errors.sort_by_key(|e| (e.span.file, e.span.start, e.span.end));
}

/// Reads and judges a build, and looks at the evidence files that it names; whoever only reads a spec does not wait for
/// that.
pub fn judge(repository: &Repository, path: &str, day: Date, figures: bool) -> Build {
    let (spec, mut errors) = read(repository, path);
    let evidence = check_evidence(&spec, &*repository.files);
    if !evidence.is_empty() {
        errors.extend(evidence.iter().map(Trouble::from));
        in_order(&mut errors);
    }
    let request = Request { spec: &spec, rulebook: &repository.book, day, figures, explained: true, only: None };
    let assessment = assess_cases(&request);
    let needed = needed(&assessment, &spec);
    Build { path: path.to_string(), spec, errors, assessment, needed }
}
