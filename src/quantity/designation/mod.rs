//! Trade designations: threads, tyres, wires, fittings. One line of text becomes parts that rules can use by name.
//!
//! `M10x1.25` has a `diameter` and a `pitch`, `205/55R16 91V` a `width`, an `aspect` and a `rim`, `12 AWG` an `area`. What a
//! standard adds (the pitch of `M10`, the thread of a `-6` fitting) is filled in from its table.

mod fitting;
mod thread;
mod thread_tables;
mod tyre;
mod wire;

pub use fitting::Fitting;
pub use thread::{Thread, ThreadForm};
pub use tyre::{Construction, Tyre};
pub use wire::Wire;

use super::kind::{Dimension, Kind};
use std::fmt;

/// Which trade's designation belongs somewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub enum DesignationKind {
    /// A screw or pipe thread.
    Thread,
    /// A tyre size.
    Tyre,
    /// The size of an electric conductor.
    Wire,
    /// A fitting of a fluid line.
    Fitting,
}

/// A designation that was read.
#[derive(Debug, Clone, PartialEq)]
pub enum Designation {
    /// A screw or pipe thread.
    Thread(Thread),
    /// A tyre size.
    Tyre(Tyre),
    /// The size of an electric conductor.
    Wire(Wire),
    /// A fitting of a fluid line.
    Fitting(Fitting),
}

/// What a named part of a designation is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartType {
    /// A quantity of that kind.
    Quantity(Kind),
    /// A word.
    Text,
}

/// A named part of a designation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// A value in SI with its dimension.
    Quantity(f64, Dimension),
    /// A word.
    Text(&'static str),
}

impl Part {
    fn of(si: f64, kind: Kind) -> Part {
        Part::Quantity(si, kind.into())
    }
}

/// Why a designation cannot be read.
#[derive(Debug, Clone, PartialEq)]
pub enum DesignationProblem {
    /// Not of any form that is known for the kind.
    Form,
    /// The standard has no such size; what is missing then.
    Size(&'static str),
    /// The standard says another figure than is written: that one.
    Contradicts(Box<str>),
    /// A figure that cannot be: zero, or far outside what is made.
    Figure(&'static str),
}

/// A problem with the text of a designation.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignationError {
    /// What is wrong.
    pub problem: DesignationProblem,
    /// The designation that belongs here.
    pub kind: DesignationKind,
    /// The text.
    pub piece: Box<str>,
}

impl DesignationKind {
    /// Every kind of designation.
    pub const ALL: &'static [DesignationKind] =
        &[DesignationKind::Thread, DesignationKind::Tyre, DesignationKind::Wire, DesignationKind::Fitting];

    /// The name in terms.
    pub fn name(self) -> &'static str {
        match self {
            DesignationKind::Thread => "thread",
            DesignationKind::Tyre => "tyre",
            DesignationKind::Wire => "wire",
            DesignationKind::Fitting => "fitting",
        }
    }

    /// The kind of that name.
    pub fn named(name: &str) -> Option<DesignationKind> {
        DesignationKind::ALL.iter().copied().find(|k| k.name() == name)
    }

    /// The parts that such a designation can have, with their types. A single designation may lack some of them.
    pub fn parts(self) -> &'static [(&'static str, PartType)] {
        match self {
            DesignationKind::Thread => thread::PARTS,
            DesignationKind::Tyre => tyre::PARTS,
            DesignationKind::Wire => wire::PARTS,
            DesignationKind::Fitting => fitting::PARTS,
        }
    }

    /// How such designations are written.
    pub fn examples(self) -> &'static [&'static str] {
        match self {
            DesignationKind::Thread => &["M10x1.25", "M10", "3/8-24", "#10-32", "G 1/8", "1/8 NPT"],
            DesignationKind::Tyre => &["205/55R16 91V", "165R13", "5.60-15", "31x10.50R15"],
            DesignationKind::Wire => &["2.5 mm2", "12 AWG"],
            DesignationKind::Fitting => &["-6 AN", "-6 ORB", "M10x1 bubble flare", "1/8 NPT"],
        }
    }
}

impl Designation {
    /// Reads the designation that the whole text is. Blanks around it do not count.
    pub fn read(text: &str, kind: DesignationKind) -> Result<Designation, DesignationError> {
        let trimmed = text.trim();
        match kind {
            DesignationKind::Thread => Thread::read(trimmed).map(Designation::Thread),
            DesignationKind::Tyre => Tyre::read(trimmed).map(Designation::Tyre),
            DesignationKind::Wire => Wire::read(trimmed).map(Designation::Wire),
            DesignationKind::Fitting => Fitting::read(trimmed).map(Designation::Fitting),
        }
        .map_err(|problem| DesignationError { problem, kind, piece: trimmed.into() })
    }

    /// Which designation it is.
    pub fn kind(&self) -> DesignationKind {
        match self {
            Designation::Thread(_) => DesignationKind::Thread,
            Designation::Tyre(_) => DesignationKind::Tyre,
            Designation::Wire(_) => DesignationKind::Wire,
            Designation::Fitting(_) => DesignationKind::Fitting,
        }
    }

    /// The part of that name, if this designation has it; names and types are in [`DesignationKind::parts`].
    pub fn part(&self, name: &str) -> Option<Part> {
        match self {
            Designation::Thread(thread) => thread.part(name),
            Designation::Tyre(tyre) => tyre.part(name),
            Designation::Wire(wire) => wire.part(name),
            Designation::Fitting(fitting) => fitting.part(name),
        }
    }
}

/// The designation as its standard writes it.
impl fmt::Display for Designation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Designation::Thread(thread) => thread.fmt(f),
            Designation::Tyre(tyre) => tyre.fmt(f),
            Designation::Wire(wire) => wire.fmt(f),
            Designation::Fitting(fitting) => fitting.fmt(f),
        }
    }
}

impl DesignationError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        let (piece, kind) = (&self.piece, self.kind.name());
        match &self.problem {
            DesignationProblem::Form if piece.is_empty() => {
                format!("nothing is written; the size of a {kind} belongs here")
            }
            DesignationProblem::Form => format!("`{piece}` is not the size of a {kind}"),
            DesignationProblem::Size(lacks) => format!("`{piece}` is a size without {lacks} in the standard"),
            DesignationProblem::Contradicts(standard) => format!("`{piece}` is not what the standard says: {standard}"),
            DesignationProblem::Figure(why) => format!("`{piece}` cannot be: {why}"),
        }
    }

    /// The way out.
    pub fn help(&self) -> Option<String> {
        let examples = || self.kind.examples().iter().map(|e| format!("`{e}`")).collect::<Vec<_>>().join(", ");
        match &self.problem {
            DesignationProblem::Form => Some(format!("a {} is written as in {}", self.kind.name(), examples())),
            DesignationProblem::Size(_) => Some("write it out, as in `M10x1.25` or `3/8-24`".to_owned()),
            DesignationProblem::Contradicts(_) | DesignationProblem::Figure(_) => None,
        }
    }
}

/// A positive number without sign or power of ten, at the start of the text, and the rest.
fn number(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let value: f64 = text.get(..end)?.parse().ok()?;
    (value.is_finite() && text.starts_with(|c: char| c.is_ascii_digit())).then_some((value, text.get(end..)?))
}

/// Writes a number with no more decimals than it needs, up to four.
fn tidy(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
