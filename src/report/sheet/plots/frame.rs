//! The frame of a picture: axes, their marks and names, and the way from values to places on the page.

use maud::{Markup, PreEscaped, html};
use plotters::prelude::*;

/// Size of a picture in its own units; large, because places are whole numbers of them.
pub(super) const SIZE: (u32, u32) = (1000, 640);

/// The same as a view box.
pub(super) const VIEW: &str = "0 0 1000 640";

const INK: RGBColor = RGBColor(0x1b, 0x24, 0x30);
const GRID: RGBColor = RGBColor(0xd5, 0xdb, 0xe1);

/// Size of the axes' texts, and how the library writes it.
const FONT: u32 = 32;
const FONT_SIZE: &str = " font-size=\"25.806451612903228\"";

/// A frame with its axes drawn.
pub(super) struct Frame {
    /// The axes.
    pub axes: Markup,
    /// Ranges of the values: across, up.
    pub ranges: [(f64, f64); 2],
    /// Where the area for curves stands: left, right, top, bottom.
    pub area: [i32; 4],
}

impl Frame {
    /// A frame for values in these ranges; without `up` there are no marks on the upright axis.
    pub fn new(ranges: [(f64, f64); 2], across: &str, up: Option<&str>) -> Option<Frame> {
        let mut buffer = String::new();
        let area = drawn(&mut buffer, ranges, across, up).ok()?;
        // Only what is inside: the element itself carries the picture's name, which the library does not give.
        let mut inside =
            buffer.split_once('>').map(|(_, rest)| rest.trim_end().trim_end_matches("</svg>").to_string())?;
        // What the style sheet says once need not stand on every mark.
        for said in [" opacity=\"1\"", " font-family=\"sans-serif\"", FONT_SIZE, " fill=\"#1B2430\"", "\n"] {
            inside = inside.replace(said, "");
        }
        Some(Frame { axes: PreEscaped(inside), ranges, area })
    }

    /// The place of a value; of what lies outside, that of the nearest edge.
    pub fn place(&self, x: f64, y: f64) -> (i32, i32) {
        let [left, right, top, bottom] = self.area;
        let part = |v: f64, (low, high): (f64, f64)| ((v - low) / (high - low)).clamp(0.0, 1.0);
        let across = part(x, self.ranges[0]) * f64::from(right - left);
        let up = part(y, self.ranges[1]) * f64::from(bottom - top);
        (left + across.round() as i32, bottom - up.round() as i32)
    }

    /// Whether a value lies on the picture.
    pub fn holds(&self, x: f64, y: f64) -> bool {
        let inside = |v: f64, (low, high): (f64, f64)| (low..=high).contains(&v);
        inside(x, self.ranges[0]) && inside(y, self.ranges[1])
    }

    /// The picture: the axes with what is drawn on them; ranges and area stand beside it, so that a value can be read back.
    pub fn with(&self, inner: &Markup) -> Markup {
        let [(x0, x1), (y0, y1)] = self.ranges;
        let [left, right, top, bottom] = self.area;
        html! {
            g.axes { (self.axes) }
            g data-ranges=(format!("{x0} {x1} {y0} {y1}")) data-area=(format!("{left} {right} {top} {bottom}")) { (inner) }
        }
    }
}

type DrawError = Box<dyn std::error::Error>;

fn drawn(
    buffer: &mut String,
    [(x0, x1), (y0, y1)]: [(f64, f64); 2],
    across: &str,
    up: Option<&str>,
) -> Result<[i32; 4], DrawError> {
    let root = SVGBackend::with_string(buffer, SIZE).into_drawing_area();
    let mut chart = ChartBuilder::on(&root)
        .margin(16)
        .margin_right(28)
        .x_label_area_size(100)
        .y_label_area_size(if up.is_some() { 132 } else { 40 })
        .build_cartesian_2d(x0..x1, y0..y1)?;
    let label = ("sans-serif", FONT).into_font().color(&INK);
    let mut mesh = chart.configure_mesh();
    mesh.light_line_style(TRANSPARENT)
        .max_light_lines(0)
        .bold_line_style(GRID)
        .axis_style(INK)
        .label_style(label.clone())
        .axis_desc_style(label)
        .x_labels(6)
        .y_labels(6)
        .x_label_formatter(&|v| tick(*v))
        .y_label_formatter(&|v| tick(*v))
        .x_desc(across);
    match up {
        Some(up) => mesh.y_desc(up).draw()?,
        None => mesh.disable_y_axis().disable_y_mesh().draw()?,
    }
    let (xs, ys) = chart.plotting_area().get_pixel_range();
    drop(chart);
    root.present()?;
    drop(root);
    Ok([xs.start, xs.end, ys.start, ys.end])
}

/// A mark of an axis.
fn tick(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.replace('-', "\u{2212}") }
}

/// A name of an axis with its unit.
pub(super) fn axis(name: &str, unit: &str) -> String {
    let name = super::shown(name);
    if unit.is_empty() { name.into_owned() } else { format!("{name}, {unit}") }
}

/// A range around values, with a little air; zero is taken in where it is near.
pub(super) fn range(values: impl Iterator<Item = f64>, air: f64) -> Option<(f64, f64)> {
    let (low, high) = values
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    if low > high {
        return None;
    }
    let low_with_zero = if low > 0.0 && low < 0.4 * high { 0.0 } else { low };
    let high_with_zero = if high < 0.0 && high > 0.4 * low { 0.0 } else { high };
    // A level alone gets a tenth of itself, or a thousandth of one, on both sides.
    let width = (high_with_zero - low_with_zero).max(0.1 * high.abs().max(low.abs())).max(1e-3);
    let room = |touches_zero: bool| if touches_zero { 0.0 } else { air * width };
    Some((
        low_with_zero - room(low_with_zero == 0.0 && low > 0.0),
        high_with_zero + room(high_with_zero == 0.0 && high < 0.0),
    ))
}
