//! One build as it stands in the editor: read from what is open, with all errors, and judged.

use std::cell::OnceCell;

use jiff::civil::Date;

use crate::assess::{Assessment, FigureValue, Finding, Judgement, Request, assess, assess_cases};
use crate::language::Overrides;
use crate::repository::{Repository, SpecRead, read_build};
use crate::rulebook::Rulebook;
use crate::source::{FileId, SourceError, SourceProblem, Span};
use crate::terms::{Held, PlaceId, Spec, TermsError, check_evidence};

/// A build read and judged.
pub struct Judged {
    /// The spec.
    pub spec: Spec,
    /// What is wrong with its files.
    pub source_errors: Vec<SourceError>,
    /// What the terms do not allow in it.
    pub terms_errors: Vec<TermsError>,
    /// The judgement.
    pub assessment: Assessment,
    /// The files that it was read from, the build file first.
    pub files: Vec<String>,
    /// Figures with their values, when somebody asks.
    figures: OnceCell<Vec<FigureValue>>,
}

/// What someone points at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pointed {
    /// The place.
    pub place: PlaceId,
    /// Its value, or its key.
    pub span: Span,
    /// Whether it is the key.
    pub on_key: bool,
}

impl Judged {
    /// Reads and judges a build.
    pub fn new(repository: &Repository, path: &str, day: Date) -> Judged {
        let SpecRead { spec, source_errors, mut terms_errors } = read_build(repository, path);
        terms_errors.extend(check_evidence(&spec, &*repository.files));
        let files = spec.sources.ids().map(|file| spec.sources.name(file).to_owned()).collect();
        let request =
            Request { spec: &spec, rulebook: &repository.book, day, figures: false, explained: true, only: None };
        let assessment = assess_cases(&request);
        Judged { spec, source_errors, terms_errors, assessment, files, figures: OnceCell::new() }
    }

    /// Every figure with its value; `book` is that of the judgement.
    pub fn figures(&self, book: &Rulebook) -> &[FigureValue] {
        self.figures.get_or_init(|| {
            // A rule of that number does not exist: only figures are computed.
            let only = Some(usize::MAX);
            let day = self.assessment.day;
            let request = Request { spec: &self.spec, rulebook: book, day, figures: true, explained: false, only };
            assess(&request, &Overrides::new()).figures
        })
    }

    /// Whether its YAML could be read to the end everywhere.
    pub fn sound(&self) -> bool {
        !self.source_errors.iter().any(|e| matches!(e.problem, SourceProblem::Syntax(_) | SourceProblem::EmptyKey))
    }

    /// The file of that path.
    pub fn file(&self, path: &str) -> Option<FileId> {
        self.spec.sources.ids().find(|file| self.spec.sources.name(*file) == path)
    }

    /// Where a finding is shown.
    pub fn finding_at(&self, finding: &Finding, judgement: &Judgement) -> Option<Span> {
        let place = self.spec.find(&finding.points_at.path);
        place.map(|place| self.shown_at(place)).or(finding.points_at.span).or(judgement.span)
    }

    /// What stands at a byte: the innermost value around it, or that whose key is there.
    pub fn place_at(&self, file: FileId, byte: u32) -> Option<Pointed> {
        let there = |span: Span| span.file == file && (span.start..=span.end).contains(&byte);
        let mut found: Option<Pointed> = None;
        for (place, entry) in self.spec.places() {
            // What is not written has the place of something else.
            if matches!(entry.held, Held::Unwritten) {
                continue;
            }
            let key = entry.key_span.filter(|span| there(*span));
            let Some(span) = key.or(Some(entry.span).filter(|span| there(*span))) else { continue };
            let narrower = |f: &Pointed| span.end - span.start <= f.span.end - f.span.start;
            if found.as_ref().is_none_or(narrower) {
                found = Some(Pointed { place, span, on_key: key.is_some() });
            }
        }
        found
    }

    /// What to underline for a place: a value itself; the key or name in front of what has parts, which could be pages.
    pub fn shown_at(&self, place: PlaceId) -> Span {
        let entry = self.spec.place(place);
        match &entry.held {
            Held::Record { .. } | Held::List { .. } => entry.key_span.unwrap_or_else(|| self.label(place)),
            _ => entry.span,
        }
    }

    /// The name of an item, else where it begins.
    fn label(&self, item: PlaceId) -> Span {
        let entry = self.spec.place(item);
        if let Held::Record { ty, .. } = &entry.held {
            let naming = self.spec.types().record(*ty).naming.and_then(|slot| self.spec.key(item, slot));
            if let Some(name) = naming.filter(|name| self.spec.place(*name).key_span.is_some()) {
                return self.spec.place(name).span;
            }
        }
        let line = self.spec.sources.slice(entry.span).lines().next().unwrap_or_default();
        Span { end: entry.span.start + line.len() as u32, ..entry.span }
    }
}
