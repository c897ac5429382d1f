//! The table of points of a picture: what it shows, in numbers, for those who cannot see it or want to read them off.

use super::draw::letter;
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
                @for (n, mark) in picture.marks.iter().enumerate() { (rows(n, mark)) }
            }
        }
    }
}

fn rows(n: usize, mark: &Mark) -> Markup {
    let name = html! { (letter(n)) " " (shown(&mark.called)) };
    let single = |at: Option<&usize>| at.map_or(String::new(), |at| format!("/figures/{at}/quantity/si"));
    let first = mark.points.first().copied().unwrap_or((f64::NAN, f64::NAN));
    html! {
        tbody {
            @if mark.curve && mark.form != MarkForm::Band {
                @for (row, (index, (x, y))) in mark.samples().enumerate() {
                    tr data-of=(format!("/figures/{}/curve", mark.from.first().copied().unwrap_or_default())) {
                        @if row == 0 { th scope="row" { (name) } } @else { th scope="row" { span.unseen { (name) } } }
                        td.value data-at=(format!("/x/{index}")) { (number(x)) }
                        td.value data-at=(format!("/y/{index}")) { (number(y)) }
                    }
                }
            } @else if mark.form != MarkForm::Band {
                tr {
                    th scope="row" { (name) }
                    @match mark.form {
                        MarkForm::Point => {
                            td.value data-key=(single(mark.from.first())) { (number(first.0)) }
                            td.value data-key=(single(mark.from.get(1))) { (number(first.1)) }
                        }
                        MarkForm::Bar => {
                            td.value data-key=(single(mark.from.first())) { (number(first.0)) }
                            @match mark.points.get(1) {
                                Some(limit) => td.value data-key=(single(mark.from.get(1))) { (number(limit.0)) },
                                None => td {},
                            }
                        }
                        MarkForm::Upright => {
                            td.value data-key=(single(mark.from.first())) { (number(first.0)) }
                            td { "any" }
                        }
                        _ => {
                            td { "any" }
                            td.value data-key=(single(mark.from.first())) { (number(first.1)) }
                        }
                    }
                }
            } @else {
                @for (end, at) in mark.from.iter().enumerate() {
                    @if let (false, Some((_, y))) = (mark.curve, mark.points.get(end)) {
                        tr {
                            th scope="row" { (name) }
                            td { "any" }
                            td.value data-key=(single(Some(at))) { (number(*y)) }
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
