//! Plots: the curves of a system as pictures, each with its points as a table for those who cannot see it.
//!
//! Which figures go into one picture the rulebook says ([`crate::rulebook::Plot`]); a curve that it names in none gets one of
//! its own. Values come from the figures as they are; only units are chosen here.

mod draw;
mod frame;
mod gather;
mod margins;
mod points;

pub(super) use margins::margins;

use super::systems::System;
use super::{Judged, keyed, shown};
use crate::assess::{FigureReading, Outcome};
use gather::Picture;
use maud::{Markup, html};

/// The pictures of a system, and what is missing for those that cannot be drawn.
pub(super) fn plots(judged: &Judged, system: &System) -> Markup {
    let (pictures, lacking) = gather::pictures(judged, system.name);
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
            h4 { (shown(picture.title)) @if let Some(subject) = picture.subject { small { (shown(subject)) } } }
            svg viewBox=(frame::VIEW) role="img" aria-labelledby=(title) aria-describedby=(desc) {
                title id=(title) { (shown(picture.title)) @if let Some(subject) = picture.subject { ", " (shown(subject)) } }
                desc id=(desc) { (shown(picture.means)) " The table of points below has the values." }
                (draw::picture(picture))
            }
            figcaption { (draw::legend(picture)) p.quiet { (shown(picture.means)) } (points::table(picture)) }
        }
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
