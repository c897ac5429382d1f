//! The margins of the whole car in one picture: a row for each system, a stroke for each outcome with a margin.

use super::super::percent_of_limit;
use super::super::systems::System;
use super::frame::{self, Frame};
use super::shown;
use crate::assess::{Judgement, Outcome};
use maud::{Markup, html};

/// Margins beyond these stand at the edge.
const FURTHEST: (f64, f64) = (-100.0, 100.0);

/// Height of a row in the frame's own units.
const ROW: f64 = 1.0;

/// Half the side of the square where a margin stood before.
const SQUARE: i32 = 4;

/// A system with its outcomes that have a margin: number, outcome, share of the limit.
type Row<'s, 'a> = (&'s System<'a>, Vec<(usize, &'a Judgement, f64)>);

/// The picture with its legend and table; nothing where no outcome has a margin as a share of its limit. `whole` is
/// whether these are all systems.
pub(in super::super) fn margins(systems: &[System], whole: bool) -> Markup {
    let name = if whole { "Margins of the whole car" } else { "Margins" };
    let rows: Vec<Row> = systems
        .iter()
        .map(|s| {
            let share = |j: &Judgement| j.margin.as_ref().and_then(|m| m.share()).filter(|s| s.is_finite());
            (s, s.outcomes.iter().filter_map(|(at, j)| share(j).map(|share| (*at, *j, share))).collect())
        })
        .filter(|(_, marks): &Row| !marks.is_empty())
        .collect();
    let Some(frame) = Frame::new([FURTHEST, (0.0, rows.len() as f64 * ROW)], "margin as a share of the limit, %", None)
    else {
        return html! {};
    };
    if rows.is_empty() {
        return html! {};
    }
    let drawn = html! {
        @for (n, (system, marks)) in rows.iter().enumerate() {
            @let base = (rows.len() - n) as f64 - 0.9;
            @let (left, y) = frame.place(FURTHEST.0, base);
            @let (right, _) = frame.place(FURTHEST.1, base);
            path.row d=(format!("M{left} {y}H{right}")) {}
            text.row-of x=(left + 6) y=(y - 4) { (shown(system.name)) }
            @for (at, judgement, share) in marks {
                @let (x, _) = frame.place(share * 100.0, base);
                @if matches!(judgement.outcome, Outcome::Broken(_)) {
                    circle.broken cx=(x) cy=(y - 9) r="6" {}
                } @else {
                    path.held d=(format!("M{x} {y}v-18")) {}
                }
                @if let Some(old) = before(system, *at, judgement) {
                    @let (from, _) = frame.place(old * 100.0, base);
                    @if from != x {
                        g.moved {
                            path d=(format!("M{from} {}H{x}", y - 9)) {}
                            rect.was x=(from - SQUARE) y=(y - 9 - SQUARE) width=(2 * SQUARE) height=(2 * SQUARE) {}
                        }
                    }
                }
            }
        }
        @let ((x, bottom), (_, top)) = (frame.place(0.0, 0.0), frame.place(0.0, rows.len() as f64));
        path.limit d=(format!("M{x} {bottom}V{top}")) {}
    };
    let compared = systems.iter().find_map(|s| s.was);
    html! {
        section aria-labelledby="margins" {
            h2 #margins { (name) }
            figure.plot.broad {
                svg viewBox=(frame::VIEW) role="img" aria-labelledby="margins-title" aria-describedby="margins-text" {
                    title #margins-title { (name) }
                    desc #margins-text {
                        "A row for each system; each stroke is an outcome that holds, each ring one that is broken, by the share of its \
                         limit that is left. The rules of each system below have the values."
                        @if let Some(was) = compared { " A hollow square is where a margin that moved stood at " (was.name()) "." }
                    }
                    (frame.with(&drawn))
                }
                figcaption {
                    p.quiet {
                        "Each stroke is an outcome that holds, each ring a finding; the heavy upright line is the limit, right of it is room. What is \
                         further off stands at the edge."
                        @if let Some(was) = compared {
                            " A hollow square is where a margin that moved by a tenth or more, or turned, stood at " (was.name()) "; the dashes lead to where it is now."
                        }
                    }
                    (tightest(&rows))
                }
            }
        }
    }
}

/// The share that a margin was of its limit, where the comparison tells that it moved.
fn before(system: &System, at: usize, judgement: &Judgement) -> Option<f64> {
    let turned = system.was?.outcome(at, judgement);
    turned.change()?;
    turned.old_margin().and_then(|(_, old)| old.share()).filter(|share| share.is_finite())
}

/// The tightest outcome of each system.
fn tightest(rows: &[Row]) -> Markup {
    html! {
        details {
            summary { "Tightest of each system" }
            table.points {
                caption { "The outcome nearest to, or furthest over, its limit in each system" }
                thead { tr { th scope="col" { "system" } th scope="col" { "subject" } th scope="col" { "share of the limit" } } }
                tbody {
                    @for (system, marks) in rows {
                        @if let Some((at, judgement, share)) = marks.iter().min_by(|a, b| a.2.total_cmp(&b.2)) {
                            tr data-of=(format!("/outcomes/{at}")) {
                                th scope="row" { (shown(system.name)) }
                                td { (super::super::rules::subject(&judgement.subject)) }
                                td.value data-at="/margin/share" data-as="percent" { (percent_of_limit(*share)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
