//! Fittings of fluid lines: dash sizes with their thread, or a thread and how it seals.

use super::thread::{Thread, ThreadForm};
use super::thread_tables::DASH;
use super::{DesignationProblem as Problem, Part, PartType, number};
use crate::quantity::Kind;
use std::fmt;

const SIXTEENTH: f64 = 0.0254 / 16.0;

/// A fitting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitting {
    /// The thread.
    pub thread: Thread,
    /// The dash size, in sixteenths of an inch of the tube's outside diameter.
    pub dash: Option<u8>,
    /// How it seals; one of the words of `SEATS`, or `None` if it is not said.
    pub seat: Option<&'static str>,
}

pub(super) const PARTS: &[(&str, PartType)] = &[
    ("dash", PartType::Quantity(Kind::Number)),
    ("tube_outside", PartType::Quantity(Kind::Length)),
    ("diameter", PartType::Quantity(Kind::Length)),
    ("pitch", PartType::Quantity(Kind::Length)),
    ("standard", PartType::Text),
    ("series", PartType::Text),
    ("hand", PartType::Text),
    ("flank_angle", PartType::Quantity(Kind::Angle)),
    ("seat", PartType::Text),
];

/// How a fitting seals.
const SEATS: &[&str] =
    &["37 deg flare", "45 deg flare", "bubble flare", "double flare", "24 deg cone", "banjo", "o-ring", "taper"];

impl Fitting {
    pub(super) fn read(text: &str) -> Result<Fitting, Problem> {
        if let Some(fitting) = dash_size(text)? {
            return Ok(fitting);
        }
        let (thread, seat) = match SEATS.iter().find_map(|seat| Some((text.strip_suffix(seat)?, *seat))) {
            Some((thread, seat)) => (thread.trim_end(), Some(seat)),
            None => (text, None),
        };
        let thread = Thread::read(thread)?;
        let tapered = matches!(thread.form, ThreadForm::PipeTaper | ThreadForm::AmericanPipe);
        Ok(Fitting { thread, dash: None, seat: seat.or(tapered.then_some("taper")) })
    }

    pub(super) fn part(&self, name: &str) -> Option<Part> {
        match name {
            "dash" => self.dash.map(|n| Part::of(f64::from(n), Kind::Number)),
            "tube_outside" => self.dash.map(|n| Part::of(f64::from(n) * SIXTEENTH, Kind::Length)),
            "seat" => self.seat.map(Part::Text),
            _ => self.thread.part(name),
        }
    }
}

/// `-6`, `-6 AN`, `-6 JIC`, `AN-6`, `AN6`, `JIC 6`, `-6 ORB`, `dash 6`; `None` if it is no dash size.
fn dash_size(text: &str) -> Result<Option<Fitting>, Problem> {
    const MARKS: [(&str, &str); 4] = [("AN", "37 deg flare"), ("JIC", "37 deg flare"), ("ORB", "o-ring"), ("dash", "")];
    let marked = MARKS.iter().find_map(|(mark, seat)| {
        let rest = text.strip_prefix(mark).or_else(|| text.strip_suffix(mark))?;
        Some((rest.trim(), *seat))
    });
    let (size, seat) = match marked {
        Some((size, seat)) => (size, seat),
        None if text.starts_with('-') => (text, ""),
        None => return Ok(None),
    };
    let digits = size.strip_prefix('-').unwrap_or(size).trim();
    let Some((dash, "")) = number(digits) else { return Err(Problem::Form) };
    let &(dash, inches, per_inch) =
        DASH.iter().find(|(n, ..)| f64::from(*n) == dash).ok_or(Problem::Size("a thread of its own"))?;
    let seat = (!seat.is_empty()).then_some(seat);
    Ok(Some(Fitting { thread: Thread::unified(inches, per_inch), dash: Some(dash), seat }))
}

impl fmt::Display for Fitting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.dash, self.seat) {
            (Some(dash), Some("o-ring")) => write!(f, "-{dash} ORB"),
            (Some(dash), Some(_)) => write!(f, "-{dash} AN"),
            (Some(dash), None) => write!(f, "-{dash}"),
            (None, Some("taper")) | (None, None) => self.thread.fmt(f),
            (None, Some(seat)) => write!(f, "{} {seat}", self.thread),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fittings_as_they_are_ordered() {
        // Threads of the dash sizes: SAE J514 (memory).
        for (text, shown, thread, seat) in [
            ("-6 AN", "-6 AN", "9/16-18", Some("37 deg flare")),
            ("-6 JIC", "-6 AN", "9/16-18", Some("37 deg flare")),
            ("AN-3", "-3 AN", "3/8-24", Some("37 deg flare")),
            ("AN8", "-8 AN", "3/4-16", Some("37 deg flare")),
            ("-10 ORB", "-10 ORB", "7/8-14", Some("o-ring")),
            ("-4", "-4", "7/16-20", None),
            ("dash 12", "-12", "1-1/16-12", None),
            ("M10x1 bubble flare", "M10x1 bubble flare", "M10x1", Some("bubble flare")),
            ("3/8-24 double flare", "3/8-24 double flare", "3/8-24", Some("double flare")),
            ("1/8 NPT", "1/8 NPT", "1/8 NPT", Some("taper")),
            ("M12x1.5", "M12x1.5", "M12x1.5", None),
        ] {
            let Ok(fitting) = Fitting::read(text) else { panic!("{text}: {:?}", Fitting::read(text)) };
            assert_eq!(fitting.to_string(), shown, "{text}");
            assert_eq!(fitting.thread.to_string(), thread, "{text}");
            assert_eq!(fitting.seat, seat, "{text}");
            assert_eq!(Fitting::read(shown), Ok(fitting), "{shown}");
        }
        let tube = Fitting::read("-6 AN").ok().and_then(|f| f.part("tube_outside"));
        assert_eq!(tube, Some(Part::of(6.0 * SIXTEENTH, Kind::Length)));
    }

    #[test]
    fn fittings_that_are_refused() {
        for text in ["", "-", "-7 AN", "AN", "-6 XX", "bubble flare", "JIC", "-6.5"] {
            assert!(Fitting::read(text).is_err(), "{text}");
        }
    }
}
