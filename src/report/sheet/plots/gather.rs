//! Which pictures a build has, and what is in each: the figures of a plot brought into one unit for each axis.

use super::super::Judged;
use super::super::before::Was;
use super::shadows::{Shown, joined};
use crate::assess::{FigureReading, FigureValue};
use crate::quantity::{self, Dimension, UnitId};
use crate::rulebook::{MarkForm, Plot, PlotMark};

/// A picture to be drawn.
pub(super) struct Picture<'a> {
    /// Its title.
    pub title: &'a str,
    /// The subject, where it has one of its own.
    pub subject: Option<&'a str>,
    /// What it shows.
    pub means: &'a str,
    /// What runs, and its unit.
    pub across: (&'a str, String),
    /// What is plotted, and its unit.
    pub up: (&'a str, String),
    /// What is drawn, in the units of the axes.
    pub marks: Vec<Mark<'a>>,
    /// What the page is compared with.
    pub was: Option<&'a Was<'a>>,
}

/// One thing in a picture.
#[derive(Clone)]
pub(super) struct Mark<'a> {
    /// What it is.
    pub form: MarkForm,
    /// What it is called.
    pub called: String,
    /// Its points, in the units of the axes: a curve's all, a level's one, whose first part is meaningless, a band's those of
    /// both ends behind each other.
    pub points: Vec<(f64, f64)>,
    /// The figures that it comes from, by their number in the assessment.
    pub from: Vec<usize>,
    /// Whether it is a curve, and not one value.
    pub curve: bool,
    /// Whether it is as now or as before.
    pub shown: Shown,
    /// Its number among the marks of the plot.
    pub made: usize,
    /// The figures themselves.
    pub values: Vec<&'a FigureValue>,
}

impl Mark<'_> {
    /// The numbers of its points in the curve that it is.
    pub(super) fn known(&self) -> Vec<usize> {
        match self.values.first().map(|v| &v.reading) {
            Some(FigureReading::Curve(curve)) => {
                curve.y.iter().enumerate().filter(|(_, y)| y.is_some()).map(|(n, _)| n).collect()
            }
            _ => Vec::new(),
        }
    }
}

type Value<'a> = (usize, &'a FigureValue);

/// The pictures of a system, and the titles of those that lack their curves, with a figure that says why.
pub(super) fn pictures<'a>(
    judged: &Judged<'a>,
    system: &str,
    was: Option<&'a Was<'a>>,
) -> (Vec<Picture<'a>>, Vec<(&'a str, usize)>) {
    let index = &judged.assessment.index;
    let older = was.map(|was| was.before.judged());
    let (mut pictures, mut lacking) = (Vec::new(), Vec::new());
    for plot in index.plots.iter().filter(|p| &*p.system == system) {
        let lines = lines(judged, plot);
        let wanted = wanted(plot, &lines);
        if wanted.is_empty()
            && let Some((at, _)) = lines.first()
        {
            lacking.push((&*plot.title, *at));
        }
        let mut then = older.as_ref().map_or(Vec::new(), |older| self::wanted(plot, &self::lines(older, plot)));
        let texts = |subject| (&*plot.title, subject, &*plot.means, &*plot.across, &*plot.up);
        for subject in wanted {
            let mut all = marks(judged, plot, subject);
            if let (Some(was), Some(older)) = (was, &older) {
                let before = subject.map(|subject| was.old_subject(subject));
                then.retain(|old| *old != before.as_deref());
                all = joined(was, all, marks(older, plot, before.as_deref()));
            }
            pictures.extend(in_units(texts(subject), all, was));
        }
        if let (Some(was), Some(older)) = (was, &older) {
            let gone = |subject: Option<&'a str>| {
                in_units(texts(subject), joined(was, Vec::new(), marks(older, plot, subject)), Some(was))
            };
            pictures.extend(then.into_iter().filter_map(gone));
        }
    }
    let now = alone(judged, system);
    let mut then = older.as_ref().map_or(Vec::new(), |older| alone(older, system));
    for (texts, mark) in now {
        let mut all = vec![mark];
        if let Some(was) = was {
            let before = all.first().and_then(|m| was.before_of(m.values.first()?));
            let (same, others) = then.into_iter().partition(|(_, old)| old.from.first().copied() == before);
            then = others;
            let same: Vec<(Texts, Mark)> = same;
            all = joined(was, all, same.into_iter().map(|(_, mark)| mark).collect());
        }
        pictures.extend(in_units(texts, all, was));
    }
    if let Some(was) = was {
        pictures.extend(
            then.into_iter().filter_map(|(texts, m)| in_units(texts, joined(was, Vec::new(), vec![m]), Some(was))),
        );
    }
    (pictures, lacking)
}

/// What a plot is drawn for.
fn lines<'a>(judged: &Judged<'a>, plot: &Plot) -> Vec<Value<'a>> {
    let main = |m: &&PlotMark| matches!(m.form, MarkForm::Line | MarkForm::Bar);
    plot.marks.iter().filter(main).flat_map(|m| values(judged, &m.figures)).collect()
}

/// The pictures of a plot: one for each subject, or one for all.
fn wanted<'a>(plot: &Plot, lines: &[Value<'a>]) -> Vec<Option<&'a str>> {
    let mut subjects: Vec<&str> = Vec::new();
    for (_, value) in lines.iter().filter(|(_, v)| is_known(v)) {
        if !subjects.contains(&&*value.subject) {
            subjects.push(&value.subject);
        }
    }
    match plot.together {
        true if subjects.is_empty() => Vec::new(),
        true => vec![None],
        false => subjects.into_iter().map(Some).collect(),
    }
}

/// Curves that stand in no plot.
fn alone<'a>(judged: &Judged<'a>, system: &str) -> Vec<(Texts<'a>, Mark<'a>)> {
    let index = &judged.assessment.index;
    let named = |figure: usize| index.plots.iter().flat_map(|p| &p.marks).any(|m| m.figures.contains(&figure));
    let one = |(at, value): Value<'a>| {
        let entry = index.figures.get(value.figure).filter(|e| &*e.system == system && !named(value.figure))?;
        let FigureReading::Curve(curve) = &value.reading else { return None };
        let mark = mark(MarkForm::Line, entry.name.replace('_', " "), 0, vec![(at, value)]);
        Some(((&*entry.name, Some(&*value.subject), &*entry.means, &*curve.over, "value"), mark))
    };
    judged.assessment.figures.iter().enumerate().filter_map(one).collect()
}

fn values<'a>(judged: &Judged<'a>, figures: &[usize]) -> Vec<Value<'a>> {
    judged.assessment.figures.iter().enumerate().filter(|(_, f)| figures.contains(&f.figure)).collect()
}

fn is_known(value: &FigureValue) -> bool {
    matches!(value.reading, FigureReading::Curve(_) | FigureReading::Quantity { .. })
}

/// The name of an item, the last part of its path.
pub(super) fn item(subject: &str) -> &str {
    subject.split_once('/').map_or(subject, |(_, name)| name)
}

fn mark(form: MarkForm, called: String, made: usize, values: Vec<Value>) -> Mark {
    let curve = values.iter().any(|(_, v)| matches!(v.reading, FigureReading::Curve(_)));
    let from = values.iter().map(|v| v.0).collect();
    let values = values.into_iter().map(|v| v.1).collect();
    Mark { form, called, points: Vec::new(), from, curve, shown: Shown::Now { new: false }, made, values }
}

/// What is in one picture, lines before everything else.
fn marks<'a>(judged: &Judged<'a>, plot: &'a Plot, subject: Option<&str>) -> Vec<Mark<'a>> {
    let of_subject = |figures: &[usize]| -> Vec<Value<'a>> {
        let all: Vec<Value> = values(judged, figures).into_iter().filter(|(_, v)| is_known(v)).collect();
        let own: Vec<Value> = all.iter().filter(|(_, v)| subject.is_some_and(|s| s == v.subject)).copied().collect();
        if own.is_empty() { all } else { own }
    };
    let mut marks = Vec::new();
    for (number, made) in plot.marks.iter().enumerate() {
        let (first, second) = (of_subject(&made.figures), of_subject(&made.second));
        for value in &first {
            let other = second.iter().find(|o| o.1.subject == value.1.subject).or(match &second[..] {
                [one] => Some(one),
                _ => None,
            });
            let name = item(&value.1.subject);
            let own = subject == Some(&*value.1.subject) || !value.1.subject.contains('/');
            let called = if made.form == MarkForm::Bar {
                name.to_string()
            } else if own {
                made.called.to_string()
            } else {
                format!("{} {name}", made.called)
            };
            let pair: Vec<Value> = std::iter::once(*value).chain(other.copied()).collect();
            if matches!(made.form, MarkForm::Band | MarkForm::Point) && pair.len() < 2 {
                continue;
            }
            marks.push(mark(made.form, called, number, pair));
        }
    }
    // The units are those of the lines, whatever is drawn before them.
    marks.sort_by_key(|m| u8::from(!matches!(m.form, MarkForm::Line | MarkForm::Bar)));
    marks
}

/// Values on one axis, to be brought into one unit together.
#[derive(Default)]
struct Axis {
    si: Vec<f64>,
    dimension: Option<Dimension>,
    unit: Option<UnitId>,
}

impl Axis {
    /// Notes values; false where they are of another dimension.
    fn take(&mut self, si: &[f64], dimension: Dimension, unit: Option<UnitId>) -> bool {
        let known = *self.dimension.get_or_insert(dimension);
        self.unit = self.unit.or(unit);
        self.si.extend_from_slice(si);
        known.exponents == dimension.exponents
    }

    fn shown(self) -> (String, Vec<f64>) {
        quantity::in_one_unit(&self.si, self.dimension.unwrap_or(quantity::Kind::Number.into()), self.unit)
    }
}

type Texts<'a> = (&'a str, Option<&'a str>, &'a str, &'a str, &'a str);

fn in_units<'a>(
    (title, subject, means, across, up): Texts<'a>,
    mut marks: Vec<Mark<'a>>,
    was: Option<&'a Was<'a>>,
) -> Option<Picture<'a>> {
    let (mut x, mut y) = (Axis::default(), Axis::default());
    let mut counts = Vec::new();
    let mut fits = true;
    for mark in &marks {
        let before = x.si.len();
        for (n, value) in mark.values.iter().enumerate() {
            match &value.reading {
                FigureReading::Curve(curve) => {
                    let known: Vec<(f64, f64)> =
                        curve.x.iter().zip(&curve.y).filter_map(|(x, y)| y.map(|y| (*x, y))).collect();
                    let (xs, ys): (Vec<f64>, Vec<f64>) = known.into_iter().unzip();
                    fits &= x.take(&xs, curve.x_dimension, curve.x_unit);
                    fits &= y.take(&ys, curve.y_dimension, curve.y_unit);
                }
                FigureReading::Quantity { si, dimension, unit, .. } => {
                    let across = matches!(mark.form, MarkForm::Upright | MarkForm::Bar)
                        || (mark.form == MarkForm::Point && n == 0);
                    let (here, other) = if across { (&mut x, &mut y) } else { (&mut y, &mut x) };
                    fits &= here.take(&[*si], *dimension, *unit);
                    // A point has its two values; whatever else has one keeps a place on the other axis.
                    if mark.form != MarkForm::Point {
                        other.si.push(f64::NAN);
                    }
                }
                _ => {}
            }
        }
        counts.push(x.si.len() - before);
    }
    if !fits || marks.is_empty() {
        return None;
    }
    let ((x_unit, xs), (y_unit, ys)) = (x.shown(), y.shown());
    let mut all = xs.into_iter().zip(ys);
    for (mark, count) in marks.iter_mut().zip(counts) {
        mark.points = all.by_ref().take(count).collect();
    }
    Some(Picture { title, subject, means, across: (across, x_unit), up: (up, y_unit), marks, was })
}
