//! Plots: which curves and figures go into one picture, as rule files say it, so that whoever draws needs to know no figure.

use super::error::RulebookProblem;
use super::figures::Figure;
use super::form::Form;
use crate::source::{NodeId, SharedText};
use crate::terms::nearest;

/// A picture of figures.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Plot {
    /// Its title.
    pub title: SharedText,
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// What it shows.
    pub means: SharedText,
    /// Name of what runs.
    pub across: SharedText,
    /// Name of what is plotted over it.
    pub up: SharedText,
    /// Whether all subjects share one picture; else each has its own.
    pub together: bool,
    /// What is drawn.
    pub marks: Vec<PlotMark>,
}

/// One thing in a plot: for each of its ends the figures that give it, by number. A figure's name may stand for several
/// figures, of different kinds of subject.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct PlotMark {
    /// What is drawn.
    pub form: MarkForm,
    /// Figures that give it, or its first end.
    pub figures: Vec<usize>,
    /// Figures that give its second end.
    pub second: Vec<usize>,
    /// What it is called.
    pub called: SharedText,
}

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum MarkForm {
    /// A curve.
    Line,
    /// A limit: a curve, or a value at a level.
    Limit,
    /// A limit of what runs: an upright line.
    Upright,
    /// What lies between two curves or two levels.
    Band,
    /// A point, from the figure of what runs and the figure of what is plotted.
    Point,
    /// A bar of each subject, with a limit as its second end where there is one.
    Bar,
}

const KEYS: [&str; 10] =
    ["plot", "across", "up", "together", "means", "lines", "limits", "uprights", "bands", "points"];

/// The lists of marks: key, what they are, the keys of their ends.
const MARKS: [(&str, MarkForm, &str, Option<&str>); 5] = [
    ("bands", MarkForm::Band, "from", Some("to")),
    ("lines", MarkForm::Line, "figure", None),
    ("limits", MarkForm::Limit, "figure", None),
    ("uprights", MarkForm::Upright, "figure", None),
    ("points", MarkForm::Point, "across", Some("up")),
];

/// Reads one plot.
pub(super) fn read_plot(form: &mut Form, node: NodeId, system: &str, figures: &[Figure]) -> Option<Plot> {
    const OF: &str = "a plot";
    let keys: Vec<&'static str> = KEYS.iter().copied().chain(["bars"]).collect();
    form.entries(node, OF, &keys);
    let title = form.need_text(node, OF, "plot")?;
    let across = form.need_text(node, OF, "across")?;
    let up = form.need_text(node, OF, "up")?;
    let means = form.need_text(node, OF, "means")?;
    let together = match form.maybe_text(node, "together") {
        None | Some("no") => false,
        Some("yes") => true,
        Some(_) => {
            form.form_error(node, "`together: yes`");
            false
        }
    };
    let mut marks = Vec::new();
    for (key, kind, first, second) in MARKS {
        let list = form.tree.get(node, key).map_or(Vec::new(), |n| form.list(n));
        marks.extend(list.into_iter().filter_map(|mark| read_mark(form, mark, kind, first, second, figures)));
    }
    if let Some(bars) = form.tree.get(node, "bars") {
        marks.extend(read_mark(form, bars, MarkForm::Bar, "figure", Some("limit"), figures));
    }
    if !marks.iter().any(|m| matches!(m.form, MarkForm::Line | MarkForm::Bar)) {
        form.form_error(node, "a plot with lines or bars");
    }
    Some(Plot {
        title: title.into(),
        system: system.into(),
        means: means.trim_end().into(),
        across: across.into(),
        up: up.into(),
        together,
        marks,
    })
}

fn read_mark(
    form: &mut Form,
    node: NodeId,
    kind: MarkForm,
    first: &'static str,
    second: Option<&'static str>,
    figures: &[Figure],
) -> Option<PlotMark> {
    const OF: &str = "a mark of a plot";
    let keys: Vec<&'static str> = [first, "called"].into_iter().chain(second).collect();
    form.entries(node, OF, &keys);
    let called = form.need_text(node, OF, "called")?;
    let first = named(form, node, OF, first, figures)?;
    let second = match second {
        Some(key) => named(form, node, OF, key, figures)?,
        None => Vec::new(),
    };
    Some(PlotMark { form: kind, figures: first, second, called: called.into() })
}

/// The figures of the name that a key gives.
pub(super) fn named(
    form: &mut Form,
    node: NodeId,
    of: &'static str,
    key: &'static str,
    figures: &[Figure],
) -> Option<Vec<usize>> {
    let at = form.need(node, of, key)?;
    let name = form.text(at)?;
    let found: Vec<usize> = figures.iter().enumerate().filter(|(_, f)| &*f.name == name).map(|(n, _)| n).collect();
    if found.is_empty() {
        let nearest = nearest(name, figures.iter().map(|f| &*f.name)).map(str::to_string);
        let span = form.span(at);
        form.error(RulebookProblem::Unknown { what: "figure", name: name.into(), nearest }, span);
        return None;
    }
    Some(found)
}
