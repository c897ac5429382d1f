//! Drawings: which figures that are points of the car are drawn together to scale, and as what, as rule files say it.

use super::figures::Figure;
use super::form::Form;
use super::plots::named;
use crate::source::{NodeId, SharedText};

/// A drawing of the car from the side and from above.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Drawing {
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// Its title.
    pub title: SharedText,
    /// What it shows.
    pub means: SharedText,
    /// What is drawn.
    pub shapes: Vec<Shape>,
}

/// Figures that are drawn in one way.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Shape {
    /// How.
    pub form: ShapeForm,
    /// Figures of points, by number.
    pub figures: Vec<usize>,
    /// Figures of the radius of wheels.
    pub radius: Vec<usize>,
    /// What it is called.
    pub called: SharedText,
}

/// How points are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum ShapeForm {
    /// Each as a spot.
    Spot,
    /// Joined by a line.
    Line,
    /// Each with its height above the ground.
    Height,
    /// Each as a short bar across the car.
    Bar,
    /// Each as a wheel with a radius.
    Wheel,
}

impl ShapeForm {
    /// Its word in rule files.
    pub fn word(self) -> &'static str {
        FORMS.iter().find(|(_, form)| *form == self).map_or("", |(word, _)| word)
    }
}

const FORMS: [(&str, ShapeForm); 5] = [
    ("spot", ShapeForm::Spot),
    ("line", ShapeForm::Line),
    ("height", ShapeForm::Height),
    ("bar", ShapeForm::Bar),
    ("wheel", ShapeForm::Wheel),
];

/// Reads one drawing.
pub(super) fn read_drawing(form: &mut Form, node: NodeId, system: &str, figures: &[Figure]) -> Option<Drawing> {
    const OF: &str = "a drawing";
    form.entries(node, OF, &["drawing", "means", "shapes"]);
    let title = form.need_text(node, OF, "drawing")?;
    let means = form.need_text(node, OF, "means")?;
    let list = form.need(node, OF, "shapes")?;
    let shapes = form.list(list).into_iter().filter_map(|shape| read_shape(form, shape, figures)).collect();
    Some(Drawing { system: system.into(), title: title.into(), means: means.trim_end().into(), shapes })
}

fn read_shape(form: &mut Form, node: NodeId, figures: &[Figure]) -> Option<Shape> {
    const OF: &str = "a shape of a drawing";
    form.entries(node, OF, &["figure", "as", "radius", "called"]);
    let called = form.need_text(node, OF, "called")?;
    let how = form.need(node, OF, "as")?;
    let word = form.text(how)?;
    let Some((_, shape)) = FORMS.iter().find(|(name, _)| *name == word) else {
        form.form_error(how, "one of spot, line, height, bar, wheel");
        return None;
    };
    let radius = match shape {
        ShapeForm::Wheel => named(form, node, OF, "radius", figures)?,
        _ => Vec::new(),
    };
    Some(Shape { form: *shape, figures: named(form, node, OF, "figure", figures)?, radius, called: called.into() })
}
