//! What a reader calls the rules and figures of a rulebook: names and titles, in a form that every assessment made with it
//! shares, so that whoever reports an assessment needs no rulebook.

use super::class::Class;
use super::drawings::Drawing;
use super::figures::Figure;
use super::plots::Plot;
use super::rules::{Replaced, Rule};
use crate::language::{FigureCode, Type};
use crate::source::SharedText;

/// Names and titles of a rulebook.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Index {
    /// Rules, by their number.
    pub rules: Vec<RuleEntry>,
    /// Figures, by their number.
    pub figures: Vec<FigureEntry>,
    /// What stands in for something built-in.
    pub replaced: Vec<ReplacedEntry>,
    /// Which figures go into one picture.
    pub plots: Vec<Plot>,
    /// What is drawn to scale.
    pub drawings: Vec<Drawing>,
}

/// A rule as a reader sees it.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct RuleEntry {
    /// Its name.
    pub name: SharedText,
    /// The requirement.
    pub title: SharedText,
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// Whether it comes from a repository's own rulebook.
    pub own: bool,
    /// The worst class in which it can be broken.
    pub worst: Class,
    /// Steps before which it must be settled, by name.
    pub before: Vec<SharedText>,
}

/// A figure as a reader sees it.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub struct FigureEntry {
    /// Its name.
    pub name: SharedText,
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// What it means.
    pub means: SharedText,
    /// Its formula as written.
    pub formula: SharedText,
    /// Local names of the formula with their expressions, as written.
    pub with: Vec<(SharedText, SharedText)>,
    /// The name of its kind of quantity, where it is one.
    pub kind: Option<&'static str>,
}

/// Something of a repository's own that stands in for something built-in.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub struct ReplacedEntry {
    /// `rule`, `figure` or `table`.
    pub what: &'static str,
    /// The built-in one's name.
    pub name: SharedText,
    /// The name of what stands in for it.
    pub stand_in: SharedText,
    /// Why.
    pub reason: SharedText,
    /// Who says so.
    pub by: SharedText,
}

impl Index {
    /// The index of these rules and figures.
    pub(super) fn new(rules: &[Rule], figures: &[Figure], codes: &[FigureCode], replaced: &[Replaced]) -> Index {
        let rule = |r: &Rule| RuleEntry {
            name: r.name.clone(),
            title: r.title.clone(),
            system: r.system.clone(),
            own: r.own,
            worst: r.holds.iter().map(|(class, _)| *class).max().unwrap_or(Class::Advisory),
            before: r.before.clone(),
        };
        let figure = |(f, code): (&Figure, &FigureCode)| FigureEntry {
            name: f.name.clone(),
            system: f.system.clone(),
            means: f.means.clone(),
            formula: f.formula.clone(),
            with: f.with.clone(),
            kind: match code.ty.value() {
                Type::Quantity(dimension) => dimension.kind.map(crate::quantity::Kind::name),
                _ => None,
            },
        };
        let stand_in = |r: &Replaced| ReplacedEntry {
            what: r.what,
            name: r.name.clone(),
            stand_in: r.stand_in.clone(),
            reason: r.reason.clone(),
            by: r.by.clone(),
        };
        Index {
            rules: rules.iter().map(rule).collect(),
            figures: figures.iter().zip(codes).map(figure).collect(),
            replaced: replaced.iter().map(stand_in).collect(),
            plots: Vec::new(),
            drawings: Vec::new(),
        }
    }
}
