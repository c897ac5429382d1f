//! Plots: the curves of a system as pictures, each with its points as a table for those who cannot see it.
//!
//! Which figures go into one picture the rulebook says ([`crate::rulebook::Plot`]); a curve that it names in none gets one of
//! its own. Values come from the figures as they are; only units are chosen here.

mod draw;
mod frame;
mod gather;
mod margins;
mod points;
mod shadows;

pub(super) use margins::margins;

use super::before::{Was, change_word};
use super::systems::System;
use super::{Judged, keyed, shown};
use crate::assess::{FigureReading, Outcome};
use gather::Picture;
use maud::{Markup, html};

/// The pictures of a system, and what is missing for those that cannot be drawn.
pub(super) fn plots(judged: &Judged, system: &System) -> Markup {
    let (pictures, lacking) = gather::pictures(judged, system.name, system.was);
    html! {
        @if !pictures.is_empty() || !lacking.is_empty() {
            h3 { "Plots" }
            div.plots {
                @for (at, picture) in pictures.iter().enumerate() { (figure(picture, &format!("{}-plot-{at}", system.id()))) }
            }
            @for (title, at) in &lacking { (missing(judged, title, *at)) }
        }
    }
}

fn figure(picture: &Picture, id: &str) -> Markup {
    let (title, desc) = (format!("{id}-title"), format!("{id}-text"));
    html! {
        figure.plot id=(id) {
            h4 {
                (shown(picture.title)) @if let Some(was) = picture.was { (change(picture, was)) }
                @if let Some(subject) = picture.subject { small { (shown(subject)) } }
            }
            svg viewBox=(frame::VIEW) role="img" aria-labelledby=(title) aria-describedby=(desc) {
                title id=(title) { (shown(picture.title)) @if let Some(subject) = picture.subject { ", " (shown(subject)) } }
                desc id=(desc) {
                    (shown(picture.means)) @if let Some(was) = picture.was { (in_words(picture, was)) }
                    " The table of points below has the values."
                }
                (draw::picture(picture))
            }
            figcaption { (draw::legend(picture)) p.quiet { (shown(picture.means)) } (points::table(picture)) }
        }
    }
}

/// Whether a picture is another one than before, in a word.
fn change(picture: &Picture, was: &Was) -> Markup {
    html! {
        @if picture.is_gone() { " " (change_word("not there any more")) ", as at " (was.name()) }
        @else if picture.is_new() { " " (change_word("new")) }
        @else if picture.is_changed() { " " (change_word("changed")) }
    }
}

/// The same for those who cannot see it.
fn in_words(picture: &Picture, was: &Was) -> Markup {
    html! {
        @if picture.is_gone() { " All of it is as at " (was.name()) " and not there any more." }
        @else if picture.is_changed() {
            " Solid lines are as now, thin dashed ones as at " (was.name()) ". "
            @for (n, mark) in picture.marks.iter().enumerate() {
                @let moves = mark.moves(was);
                @if let Some((_, moved)) = moves.first() {
                    (picture.letter(n)) " " (shown(&mark.called)) " changed"
                    @if let Some(difference) = &moved.figure.difference { " by up to " (shown(difference)) }
                    ". "
                }
                @match mark.shown {
                    shadows::Shown::Now { new: true } => { (picture.letter(n)) " " (shown(&mark.called)) " was not there. " }
                    shadows::Shown::Before(None) => { (picture.letter(n)) " " (shown(&mark.called)) " is not there any more. " }
                    _ => {}
                }
            }
        } @else { " Nothing in it changed since " (was.name()) "." }
    }
}

/// Why a picture is not drawn.
fn missing(judged: &Judged, title: &str, at: usize) -> Markup {
    let reading = judged.assessment.figures.get(at).map(|f| &f.reading);
    html! {
        p.quiet data-of=(format!("/figures/{at}/without")) {
            "Not drawn: " (shown(title)) "; "
            @match reading {
                Some(FigureReading::Without(Outcome::Unmeasured { missing, .. })) => {
                    "it needs "
                    @for (n, value) in missing.iter().enumerate() {
                        @if n > 0 { ", " }
                        (keyed(&format!("/missing/{n}/path"), &value.path))
                    }
                }
                Some(FigureReading::Without(outcome)) => (keyed("/outcome", outcome.word())),
                _ => "it has no value",
            }
        }
    }
}
