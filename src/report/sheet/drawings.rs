//! Drawings of the car to scale, from the left side and from above: points of figures in the axes of ISO 8855, with a number at
//! each shape and a table that says what it is, whose it is and where it stands.

use super::before::{Was, change_word, was as written_before};
use super::rules::subject;
use super::{Judged, keyed, shown, wide};
use crate::assess::{FigureReading, FigureValue};
use crate::rulebook::{Drawing, ShapeForm};
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// Units of a drawing for one metre of the car.
const METRE: f64 = 250.0;

/// Room around the car, in units of the drawing.
const ROOM: f64 = 34.0;

/// From where the car is seen.
#[derive(Clone, Copy, PartialEq)]
enum View {
    Side,
    Plan,
}

/// One shape with its points.
struct Drawn<'a> {
    form: ShapeForm,
    called: &'a str,
    at: usize,
    value: &'a FigureValue,
    radius: f64,
    /// Of what is as before: the number of the shape that it is now, if it is still there.
    before: Option<Option<usize>>,
}

/// All drawings of the shown systems that have something to draw.
pub(super) fn drawings<'a>(judged: &Judged<'a>, was: Option<&'a Was<'a>>, is_shown: &dyn Fn(&str) -> bool) -> Markup {
    let index = &judged.assessment.index;
    html! {
        @for (n, drawing) in index.drawings.iter().enumerate() {
            @let shapes = with_before(was, drawing, shapes(judged, drawing));
            @if is_shown(&drawing.system) && !shapes.is_empty() { (one(n, drawing, &shapes, was)) }
        }
    }
}

/// The shapes as they are, and behind them what stood elsewhere before or is not there any more, as it was.
fn with_before<'a>(was: Option<&'a Was<'a>>, drawing: &'a Drawing, now: Vec<Drawn<'a>>) -> Vec<Drawn<'a>> {
    let Some(was) = was else { return now };
    let same = |shape: &Drawn, old: &Drawn| Some(old.at) == was.before_of(shape.value) && old.called == shape.called;
    let before = shapes(&was.before.judged(), drawing).into_iter().filter_map(|old| {
        let number = now.iter().position(|shape| same(shape, &old));
        let stays = number
            .and_then(|n| now.get(n))
            .is_some_and(|shape| shape.value.points == old.value.points && shape.radius.total_cmp(&old.radius).is_eq());
        (!stays).then_some(Drawn { before: Some(number), ..old })
    });
    let before: Vec<Drawn> = before.collect();
    now.into_iter().chain(before).collect()
}

/// What the drawings show, as numbers: for each its title, and of each shape what it is, whose, and its points.
pub(super) fn drawings_json(judged: &Judged) -> Vec<Value> {
    let point = |p: &[f64; 3]| json!({"forwards": p[0], "left": p[1], "up": p[2]});
    let shape = |s: &Drawn| {
        let points: Vec<Value> = s.value.points.iter().map(point).collect();
        let radius = (s.form == ShapeForm::Wheel).then_some(s.radius);
        json!({"called": s.called, "as": s.form.word(), "subject": s.value.subject, "figure": s.at, "radius": radius, "points": points})
    };
    let one = |drawing: &Drawing| {
        let shapes: Vec<Value> = shapes(judged, drawing).iter().map(shape).collect();
        json!({"drawing": drawing.title, "means": drawing.means, "shapes": shapes})
    };
    judged.assessment.index.drawings.iter().map(one).collect()
}

fn shapes<'a>(judged: &Judged<'a>, drawing: &'a Drawing) -> Vec<Drawn<'a>> {
    let figures = &judged.assessment.figures;
    let mut all = Vec::new();
    for shape in &drawing.shapes {
        for (at, value) in figures.iter().enumerate() {
            if !shape.figures.contains(&value.figure) || value.points.is_empty() {
                continue;
            }
            let of_wheel = figures.iter().find(|f| shape.radius.contains(&f.figure) && f.subject == value.subject);
            let radius = match of_wheel.map(|f| &f.reading) {
                Some(FigureReading::Quantity { si, .. }) => *si,
                _ => 0.0,
            };
            all.push(Drawn { form: shape.form, called: &shape.called, at, value, radius, before: None });
        }
    }
    all
}

fn one(n: usize, drawing: &Drawing, shapes: &[Drawn], was: Option<&Was>) -> Markup {
    let id = format!("drawing-{n}");
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (shown(&drawing.title)) }
            p.quiet {
                (shown(&drawing.means)) " The bar is half a metre."
                @if let Some(was) = was { " " (before_words(shapes, was)) }
            }
            @for (view, name) in [(View::Side, "Side view"), (View::Plan, "Plan")] {
                figure.drawing { figcaption { (name) } (picture(&format!("{id}-{}", name.replace(' ', "-")), name, drawing, view, shapes, was)) }
            }
            (wide("What is drawn", &table(shapes, was)))
        }
    }
}

/// A place on the page: the front to the left, up or left upwards.
fn page(view: View, point: &[f64; 3]) -> (f64, f64) {
    let up = if view == View::Side { point[2] } else { point[1] };
    (-point[0] * METRE, -up * METRE)
}

/// Where the car stands on the page: left, top, right, bottom.
fn extent(view: View, shapes: &[Drawn]) -> [f64; 4] {
    let mut box_of = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let mut take = |x: f64, y: f64| {
        if x.is_finite() && y.is_finite() {
            box_of = [box_of[0].min(x), box_of[1].min(y), box_of[2].max(x), box_of[3].max(y)];
        }
    };
    for shape in shapes {
        for point in &shape.value.points {
            let (x, y) = page(view, point);
            let r = shape.radius * METRE;
            take(x - r, y);
            take(x + r, y);
            if view == View::Side {
                take(x, y - r);
                take(x, 0.0);
            }
        }
    }
    let [left, top, right, bottom] = box_of;
    [left - ROOM, top - ROOM, right + ROOM, bottom + 1.8 * ROOM]
}

fn picture(id: &str, name: &str, drawing: &Drawing, view: View, shapes: &[Drawn], was: Option<&Was>) -> Markup {
    let [left, top, right, bottom] = extent(view, shapes);
    let (title, desc) = (format!("{id}-title"), format!("{id}-text"));
    let labels = labels(view, shapes);
    html! {
        svg viewBox=(format!("{left:.0} {top:.0} {:.0} {:.0}", right - left, bottom - top)) role="img" aria-labelledby=(title) aria-describedby=(desc) {
            title id=(title) { (shown(&drawing.title)) ", " (name) }
            desc id=(desc) { (shown(&drawing.means)) @if let Some(was) = was { " " (before_words(shapes, was)) } " The table below has the coordinates." }
            @if view == View::Side { path.ground d=(format!("M{left:.0} 0H{right:.0}")) {} }
            @else { path.middle d=(format!("M{left:.0} 0H{right:.0}")) {} }
            path.scale d=(format!("M{:.0} {:.0}h{:.0}", left + ROOM, bottom - 0.5 * ROOM, METRE / 2.0)) {}
            @for shape in shapes { (outline(view, shape)) }
            @for (n, (x, y)) in labels.iter().enumerate() {
                circle.spot cx=(format!("{x:.0}")) cy=(format!("{y:.0}")) r="11" {}
                text.letter x=(format!("{x:.0}")) y=(format!("{:.0}", y + 5.0)) { (n + 1) }
            }
        }
    }
}

/// What of a drawing is as before, in words.
fn before_words(shapes: &[Drawn], was: &Was) -> Markup {
    html! {
        @if shapes.iter().any(|shape| shape.before.is_some()) {
            "Thin dotted lines are as at " (was.name()) ", where that is another place."
        } @else { "Nothing in it stood elsewhere at " (was.name()) "." }
    }
}

fn outline(view: View, shape: &Drawn) -> Markup {
    let mut path = String::new();
    for (n, point) in shape.value.points.iter().enumerate() {
        let (x, y) = page(view, point);
        let r = shape.radius * METRE;
        let _ = match (shape.form, view) {
            (ShapeForm::Line, _) => write!(path, "{}{x:.1} {y:.1}", if n == 0 { "M" } else { "L" }),
            (ShapeForm::Wheel, View::Side) => {
                write!(
                    path,
                    "M{:.1} {y:.1}a{r:.1} {r:.1} 0 1 0 {:.1} 0a{r:.1} {r:.1} 0 1 0 {:.1} 0Z",
                    x - r,
                    2.0 * r,
                    -2.0 * r
                )
            }
            // The width of a tyre is not a point of the spec: from above a wheel is its middle plane.
            (ShapeForm::Wheel, View::Plan) => write!(path, "M{:.1} {y:.1}h{:.1}", x - r, 2.0 * r),
            (ShapeForm::Height, View::Side) => write!(path, "M{x:.1} 0V{y:.1}m-6 0h12"),
            (ShapeForm::Bar, View::Side) => write!(path, "M{:.1} {y:.1}h16", x - 8.0),
            (ShapeForm::Bar, View::Plan) => write!(path, "M{x:.1} {:.1}v24", y - 12.0),
            (ShapeForm::Spot | ShapeForm::Height, _) => {
                write!(path, "M{:.1} {y:.1}h14M{x:.1} {:.1}v14", x - 7.0, y - 7.0)
            }
        };
    }
    let class = match shape.form {
        ShapeForm::Line => "member",
        ShapeForm::Wheel => "wheel",
        ShapeForm::Bar => "guard",
        ShapeForm::Spot | ShapeForm::Height => "place",
    };
    match shape.before {
        None => html! { path class=(class) d=(path) data-figure=(shape.at) {} },
        Some(_) => html! { path class=(format!("{class} was")) d=(path) data-older-figure=(shape.at) {} },
    }
}

/// A place for each number: beside the middle of its shape, moved on where another stands already.
fn labels(view: View, shapes: &[Drawn]) -> Vec<(f64, f64)> {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for shape in numbered(shapes) {
        let points = &shape.value.points;
        let first = points.first().map_or((0.0, 0.0), |p| page(view, p));
        let last = points.last().map_or(first, |p| page(view, p));
        let middle = match shape.form {
            ShapeForm::Line => ((first.0 + last.0) / 2.0, (first.1 + last.1) / 2.0),
            ShapeForm::Wheel => (first.0 + 0.5 * shape.radius * METRE, first.1 - 14.0),
            _ => (first.0, first.1 - 20.0),
        };
        let free = |at: (f64, f64)| taken.iter().all(|t| (t.0 - at.0).hypot(t.1 - at.1) >= 23.0);
        let ring = (0..60).map(|n| {
            let (turn, out) = (f64::from(n) * 2.4, 3.1 * f64::from(n));
            (middle.0 + out * turn.cos(), middle.1 + out * turn.sin())
        });
        let at = ring.into_iter().find(|at| free(*at)).unwrap_or(middle);
        taken.push(at);
    }
    taken
}

/// The shapes that have a number of their own: those that are there, and those that were.
fn numbered<'s, 'a>(shapes: &'s [Drawn<'a>]) -> impl Iterator<Item = &'s Drawn<'a>> {
    shapes.iter().filter(|shape| !matches!(shape.before, Some(Some(_))))
}

fn table(shapes: &[Drawn], was: Option<&Was>) -> Markup {
    let before = |n: usize| shapes.iter().find(|shape| shape.before == Some(Some(n)));
    html! {
        table.shapes {
            caption { "What is drawn, and where it stands: forwards, to the left, upwards from the ground below the middle of the front axle" }
            thead { tr {
                th scope="col" { "number" } th scope="col" { "what" } th scope="col" { "of" } th scope="col" { "coordinates" }
                @if let Some(was) = was { th scope="col" { "at " (was.name()) } }
            } }
            tbody {
                @for (n, shape) in numbered(shapes).enumerate() {
                    @if shape.before.is_none() {
                        tr data-of=(format!("/figures/{}", shape.at)) {
                            th.number scope="row" { (n + 1) }
                            td { (shown(shape.called)) }
                            td { (subject(&shape.value.subject)) }
                            td { @if let FigureReading::Words(words) = &shape.value.reading { (keyed("/words", words)) } }
                            @if let Some(was) = was { td.before { (stood(shape, before(n), was)) } }
                        }
                    } @else {
                        tr.changed {
                            th.number scope="row" { (n + 1) }
                            td { (shown(shape.called)) }
                            td { (written_before(&format!("/figures/{}/subject", shape.at), &shape.value.subject)) }
                            td { "not there any more" }
                            td.before { (coordinates(shape)) " " (change_word("gone")) }
                        }
                    }
                }
            }
        }
    }
}

/// Where a shape stood before.
fn stood(shape: &Drawn, before: Option<&Drawn>, was: &Was) -> Markup {
    match before {
        Some(old) => html! { (coordinates(old)) " " (change_word("changed")) },
        None if was.before_of(shape.value).is_none() => change_word("new"),
        None => html! {},
    }
}

/// The coordinates of a shape as it was.
fn coordinates(shape: &Drawn) -> Markup {
    match &shape.value.reading {
        FigureReading::Words(words) => written_before(&format!("/figures/{}/words", shape.at), words),
        _ => html! {},
    }
}
