//! Draws what is in a picture. Everything is told apart by its dashes and its letter, never by colour; the legend repeats both.
//! On a page that is compared, lines as now are solid and told apart by their width and letter, those as before thin and dashed.

use super::super::before::{Was, change_word, difference};
use super::frame::{self, Frame};
use super::gather::{Mark, Picture};
use super::shadows::Shown;
use super::shown;
use crate::rulebook::MarkForm;
use maud::{Markup, html};
use std::fmt::Write as _;

/// How many patterns of dashes lines have before they begin again; letters go on.
const DASHES: usize = 5;

/// How many widths solid lines have before they begin again.
const WIDTHS: usize = 3;

/// How far beyond the curves a limit may lie to be drawn, in heights of the curves.
const REACH: f64 = 3.5;

/// What is inside a picture.
pub(super) fn picture(picture: &Picture) -> Markup {
    if picture.marks.iter().any(|m| m.form == MarkForm::Bar) {
        return bars(picture);
    }
    let Some(frame) = frame_of(picture) else { return html! {} };
    frame.with(&html! {
        @for (n, mark) in in_order(picture) { (one(&frame, picture, n, mark)) }
    })
}

/// Bands lie below everything.
fn in_order<'p, 'a>(picture: &'p Picture<'a>) -> Vec<(usize, &'p Mark<'a>)> {
    let mut marks: Vec<_> = picture.marks.iter().enumerate().collect();
    marks.sort_by_key(|(_, m)| m.form != MarkForm::Band);
    marks
}

fn frame_of(picture: &Picture) -> Option<Frame> {
    let main = |m: &&Mark| m.curve || matches!(m.form, MarkForm::Point | MarkForm::Band);
    let xs = picture.marks.iter().filter(main).flat_map(|m| m.points.iter().map(|p| p.0));
    let across = frame::range(xs, 0.0)?;
    let lines = |m: &&Mark| m.form == MarkForm::Line || main(m);
    let tight = frame::range(picture.marks.iter().filter(lines).flat_map(|m| m.points.iter().map(|p| p.1)), 0.06)?;
    // A limit far off would press the curves flat; the legend says that it lies beyond.
    let reach = REACH * (tight.1 - tight.0);
    let near = |y: f64| (tight.0 - reach..=tight.1 + reach).contains(&y);
    let all = picture.marks.iter().flat_map(|m| m.points.iter().map(|p| p.1)).filter(|y| near(*y));
    let up = frame::range(all, 0.06)?;
    let (x_name, y_name) = (frame::axis(picture.across.0, &picture.across.1), frame::axis(picture.up.0, &picture.up.1));
    Frame::new([across, up], &x_name, Some(&y_name))
}

fn class(picture: &Picture, n: usize) -> String {
    let nth = picture.marks.iter().take(n).filter(|m| m.form == MarkForm::Line).count();
    let before = picture.marks.get(n).is_some_and(Mark::is_before);
    let class = match picture.marks.get(n).map(|m| m.form) {
        Some(MarkForm::Line) if before => "line".into(),
        Some(MarkForm::Line) if picture.was.is_some() => format!("line solid-{}", nth % WIDTHS),
        Some(MarkForm::Line) => format!("line dash-{}", nth % DASHES),
        Some(MarkForm::Limit | MarkForm::Upright) => "limit".into(),
        Some(MarkForm::Band) => "band".into(),
        _ => "point".into(),
    };
    if before { format!("{class} was") } else { class }
}

fn one(frame: &Frame, picture: &Picture, n: usize, mark: &Mark) -> Markup {
    let [(x0, x1), (y0, y1)] = frame.ranges;
    // Letters of lines that run close to each other stand apart along them.
    let along = match mark.shown {
        Shown::Before(Some(of)) => 0.215 + 0.19 * (of % 5) as f64,
        _ => 0.12 + 0.19 * (n % 5) as f64,
    };
    let at = x0 + along * (x1 - x0);
    let (path, label) = match (mark.form, mark.points.first()) {
        (_, None) => return html! {},
        (MarkForm::Point, Some(&(x, y))) => {
            if !frame.holds(x, y) {
                return html! {};
            }
            let (px, py) = frame.place(x, y);
            // At the right edge the letter stands to the left; that of what was stands away from that of what is.
            let aside = if mark.is_before() || px + 44 > frame::SIZE.0 as i32 { -25 } else { 24 };
            let cross = format!("M{} {py}h28M{px} {}v28", px - 14, py - 14);
            return html! {
                path class=(class(picture, n)) d=(cross) {}
                circle class=(class(picture, n)) cx=(px) cy=(py) r="9" {}
                (letter_at(picture, n, px + aside, py + if mark.is_before() { 22 } else { -16 }))
            };
        }
        (MarkForm::Upright, Some(&(x, _))) => {
            if !frame.holds(x, y0) {
                return html! {};
            }
            let ((px, bottom), (_, top)) = (frame.place(x, y0), frame.place(x, y1));
            (format!("M{px} {bottom}V{top}"), (px, top + 24))
        }
        (MarkForm::Band, _) => {
            let half = mark.points.len() / 2;
            let (low, high) = mark.points.split_at(half);
            let spread = |side: &[(f64, f64)]| -> Vec<(f64, f64)> {
                match side {
                    [(_, level)] => vec![(x0, *level), (x1, *level)],
                    curve => curve.to_vec(),
                }
            };
            let outline: Vec<(f64, f64)> = spread(low).into_iter().chain(spread(high).into_iter().rev()).collect();
            let middle = low.first().zip(high.first()).map_or(y0, |(a, b)| (a.1 + b.1) / 2.0);
            (format!("{}Z", polyline(frame, &outline)), frame.place(at, middle))
        }
        (_, Some(&(_, level))) if !mark.curve => {
            if !frame.holds(x0, level) {
                return html! {};
            }
            let ((left, y), (right, _)) = (frame.place(x0, level), frame.place(x1, level));
            (format!("M{left} {y}H{right}"), frame.place(at, level))
        }
        _ => {
            let near = mark.points.iter().min_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
            let (x, y) = near.copied().unwrap_or((x0, y0));
            (polyline(frame, &mark.points), frame.place(x, y))
        }
    };
    html! {
        path class=(class(picture, n)) d=(path) data-mark=(n) {}
        (letter_at(picture, n, label.0, label.1))
    }
}

fn polyline(frame: &Frame, points: &[(f64, f64)]) -> String {
    let mut path = String::new();
    for (n, (x, y)) in points.iter().enumerate() {
        let (px, py) = frame.place(*x, *y);
        let _ = write!(path, "{}{px} {py}", if n == 0 { "M" } else { "L" });
    }
    path
}

fn letter_at(picture: &Picture, n: usize, x: i32, y: i32) -> Markup {
    html! {
        circle.spot cx=(x) cy=(y) r="17" {}
        text.letter x=(x) y=(y + 9) { (picture.letter(n)) }
    }
}

/// Bars across, one row for each subject, each with the mark of its limit; where it moved, what it was lies around it as an outline.
fn bars(picture: &Picture) -> Markup {
    let row_of = |n: usize| match picture.marks.get(n).map(|m| m.shown) {
        Some(Shown::Before(Some(of))) => of,
        _ => n,
    };
    let own: Vec<usize> = (0..picture.marks.len()).filter(|n| row_of(*n) == *n).collect();
    let rows = own.len();
    let values = picture.marks.iter().flat_map(|m| m.points.iter().map(|p| p.0)).chain([0.0]);
    let Some(across) = frame::range(values, 0.06) else { return html! {} };
    let name = frame::axis(picture.across.0, &picture.across.1);
    let Some(frame) = Frame::new([across, (0.0, rows as f64)], &name, None) else { return html! {} };
    let inner = html! { g.bars {
        @for (n, mark) in picture.marks.iter().enumerate() {
            @let row = own.iter().position(|own| *own == row_of(n)).unwrap_or_default();
            @let middle = (rows - row) as f64 - 0.68;
            @let (high, class) = if mark.is_before() { (11, "bar-of was") } else { (7, "bar-of") };
            @let (zero, y) = frame.place(0.0, middle);
            @if let Some((value, _)) = mark.points.first() {
                @let (end, _) = frame.place(*value, middle);
                rect class=(class) x=(zero.min(end)) y=(y - high) width=((end - zero).abs()) height=(2 * high) data-mark=(n) {}
                @if row_of(n) == n {
                    text.row-of x=(zero + 6) y=(y - 13) {
                        (picture.letter(n)) " " (shown(&mark.called)) @if mark.is_before() { " (not there any more)" }
                    }
                }
            }
            @if let Some((limit, _)) = mark.points.get(1) {
                @let (at, _) = frame.place(*limit, middle);
                path class=(if mark.is_before() { "limit was" } else { "limit" }) d=(format!("M{at} {}V{}", y - 13, y + 13)) {}
            }
        }
    } };
    frame.with(&inner)
}

/// The legend: for each mark its sample, letter and name; those outside the picture say so.
pub(super) fn legend(picture: &Picture) -> Markup {
    if picture.marks.iter().any(|m| m.form == MarkForm::Bar) {
        return match picture.was {
            Some(was) if picture.is_changed() => {
                html! { p { "Solid bars are as now, outlines as at " (was.name()) ": " (moved_bars(picture, was)) "." } }
            }
            _ => html! {},
        };
    }
    let frame = frame_of(picture);
    let beyond = |mark: &Mark| {
        let outside = |f: &Frame| match (mark.form, mark.points.first()) {
            (MarkForm::Upright, Some((x, _))) => !f.holds(*x, f.ranges[1].0),
            (MarkForm::Limit | MarkForm::Line, Some((_, y))) if !mark.curve => !f.holds(f.ranges[0].0, *y),
            (MarkForm::Point, Some((x, y))) => !f.holds(*x, *y),
            _ => false,
        };
        frame.as_ref().is_some_and(outside)
    };
    html! {
        ul.legend {
            @for (n, mark) in picture.marks.iter().enumerate() {
                li {
                    svg.sample viewBox="0 0 60 20" aria-hidden="true" {
                        @match mark.form {
                            MarkForm::Band => rect class=(class(picture, n)) x="0" y="2" width="60" height="16" {},
                            MarkForm::Point => {
                                path class=(class(picture, n)) d="M16 10h28M30 -4v28" {}
                                circle class=(class(picture, n)) cx="30" cy="10" r="7" {}
                            }
                            _ => path class=(class(picture, n)) d="M0 10H60" {},
                        }
                    }
                    b { (picture.letter(n)) } " " (shown(&mark.called))
                    @if beyond(mark) { " (beyond the picture)" }
                    @if let Some(was) = picture.was {
                        @match mark.shown {
                            Shown::Now { new: true } => { " " (change_word("new")) }
                            Shown::Now { .. } => (moves(mark, was)),
                            Shown::Before(Some(_)) => { " at " (was.name()) }
                            Shown::Before(None) => { " at " (was.name()) ", " (change_word("gone")) }
                        }
                    }
                }
            }
        }
    }
}

/// By how much the figures of a mark moved.
fn moves(mark: &Mark, was: &Was) -> Markup {
    html! {
        @for (at, (word, moved)) in mark.moves(was).iter().enumerate() {
            @if at > 0 { "," }
            " " (word) (difference(moved))
        }
    }
}

/// What moved in a picture of bars.
fn moved_bars(picture: &Picture, was: &Was) -> Markup {
    let told = |mark: &Mark| match mark.shown {
        Shown::Now { new } => new || !mark.moves(was).is_empty(),
        Shown::Before(now) => now.is_none(),
    };
    html! {
        @for (at, (n, mark)) in picture.marks.iter().enumerate().filter(|(_, mark)| told(mark)).enumerate() {
            @if at > 0 { "; " }
            b { (picture.letter(n)) } " " (shown(&mark.called))
            @match mark.shown {
                Shown::Now { new: true } => { " " (change_word("new")) }
                Shown::Now { .. } => (moves(mark, was)),
                Shown::Before(_) => { " " (change_word("gone")) }
            }
        }
    }
}
