//! The table of points of a picture: what it shows, in numbers, for those who cannot see it or want to read them off.

use super::frame::axis;
use super::gather::{Mark, Picture};
use super::shown;
use crate::quantity;
use crate::rulebook::MarkForm;
use maud::{Markup, html};

/// Every which point of a curve stands in the table.
const STEP: usize = 10;

/// The table, folded away.
pub(super) fn table(picture: &Picture) -> Markup {
    let bars = picture.marks.iter().any(|m| m.form == MarkForm::Bar);
    html! {
        details {
            summary { "Table of points" }
            table.points data-across=(picture.across.1) data-up=(picture.up.1) {
                caption { "Points of " (shown(picture.title)) }
                thead { tr {
                    th scope="col" { "of" }
                    th scope="col" { (axis(picture.across.0, &picture.across.1)) }
                    @if bars { th scope="col" { "limit" } } @else { th scope="col" { (axis(picture.up.0, &picture.up.1)) } }
                } }
                @for (n, mark) in picture.marks.iter().enumerate() { (rows(picture, n, mark)) }
            }
        }
    }
}

fn rows(picture: &Picture, n: usize, mark: &Mark) -> Markup {
    let older = picture.was.filter(|_| mark.is_before());
    let name =
        html! { (picture.letter(n)) " " (shown(&mark.called)) @if let Some(was) = older { " at " (was.name()) } };
    let single = |figure: usize, value: f64| {
        let [now, before] = mark.key(figure, "/quantity/si");
        html! { td data-key=[now] data-before=[before] { (number(value)) } }
    };
    let point = |part: &str, index: usize, value: f64| {
        let [now, before] = mark.key(0, &format!("/curve/{part}/{index}"));
        let now = now.map(|_| format!("/{part}/{index}"));
        html! { td data-at=[now] data-before=[before] { (number(value)) } }
    };
    let first = mark.points.first().copied().unwrap_or((f64::NAN, f64::NAN));
    html! {
        tbody {
            @if mark.curve && mark.form != MarkForm::Band {
                @for (row, (index, (x, y))) in mark.samples().enumerate() {
                    tr data-of=(format!("/figures/{}/curve", mark.from.first().copied().unwrap_or_default())) {
                        @if row == 0 { th scope="row" { (name) } } @else { th scope="row" { span.unseen { (name) } } }
                        (point("x", index, x))
                        (point("y", index, y))
                    }
                }
            } @else if mark.form != MarkForm::Band {
                tr {
                    th scope="row" { (name) }
                    @match mark.form {
                        MarkForm::Point => {
                            (single(0, first.0))
                            (single(1, first.1))
                        }
                        MarkForm::Bar => {
                            (single(0, first.0))
                            @match mark.points.get(1) {
                                Some(limit) => (single(1, limit.0)),
                                None => td {},
                            }
                        }
                        MarkForm::Upright => {
                            (single(0, first.0))
                            td { "any" }
                        }
                        _ => {
                            td { "any" }
                            (single(0, first.1))
                        }
                    }
                }
            } @else {
                @for end in 0..mark.from.len() {
                    @if let (false, Some((_, y))) = (mark.curve, mark.points.get(end)) {
                        tr {
                            th scope="row" { (name) }
                            td { "any" }
                            (single(end, *y))
                        }
                    }
                }
            }
        }
    }
}

fn number(value: f64) -> String {
    quantity::number(value)
}

impl Mark<'_> {
    /// Points for the table, with their number in the curve.
    fn samples(&self) -> impl Iterator<Item = (usize, (f64, f64))> {
        let known = self.known();
        self.points.iter().zip(known).filter(|(_, at)| at.is_multiple_of(STEP)).map(|(point, at)| (at, *point))
    }
}
