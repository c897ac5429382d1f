//! What a picture shows of the revision that a sheet is compared with: beside each mark that moved the same as it was, and what is
//! not there any more. What did not move is drawn once.

use super::super::before::{Moved, Was};
use super::gather::{Mark, Picture};
use crate::assess::{FigureReading, FigureValue};
use crate::rulebook::MarkForm;
use std::collections::BTreeSet;

/// Whether a mark is as now or as before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shown {
    /// As it is.
    Now {
        /// Whether it was not there before.
        new: bool,
    },
    /// As it was: the number of the mark that it is now, if it is still there.
    Before(Option<usize>),
}

/// The marks as they are, and behind them those as they were.
pub(super) fn joined<'a>(was: &Was<'a>, now: Vec<Mark<'a>>, then: Vec<Mark<'a>>) -> Vec<Mark<'a>> {
    let mut all = now;
    let mut known: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut shadows = Vec::new();
    for (number, mark) in all.iter_mut().enumerate() {
        let before = mark.values.first().and_then(|value| was.before_of(value));
        known.extend(before.map(|at| (mark.made, at)));
        if !mark.values.iter().any(|value| moved(was, value).is_some()) {
            continue;
        }
        let same = |old: &&Mark| old.made == mark.made && old.from.first().copied() == before;
        match then.iter().find(same) {
            Some(old) => shadows.push(Mark { shown: Shown::Before(Some(number)), ..old.clone() }),
            None => mark.shown = Shown::Now { new: true },
        }
    }
    let gone = |old: &Mark| old.from.first().is_some_and(|at| !known.contains(&(old.made, *at)));
    all.extend(shadows);
    all.extend(then.into_iter().filter(gone).map(|old| Mark { shown: Shown::Before(None), ..old }));
    all
}

/// How a figure moved, unless only its uncertainty is another.
pub(super) fn moved<'a>(was: &Was<'a>, value: &FigureValue) -> Option<Moved<'a>> {
    let quantity = |reading: &Option<FigureReading>| matches!(reading, Some(FigureReading::Quantity { .. }));
    let only_known = |m: &Moved| quantity(&m.figure.old) && quantity(&m.figure.new) && m.figure.difference.is_none();
    was.figure(value.figure, &value.subject).filter(|m| !only_known(m))
}

impl<'a> Mark<'a> {
    /// Whether it is as before.
    pub fn is_before(&self) -> bool {
        matches!(self.shown, Shown::Before(_))
    }

    /// The figures of it that moved, each behind the word for what of the mark it is.
    pub fn moves(&self, was: &Was<'a>) -> Vec<(&'static str, Moved<'a>)> {
        let words = match self.form {
            MarkForm::Point => ["across ", "up "],
            MarkForm::Bar => ["", "its limit "],
            MarkForm::Band => ["from ", "to "],
            MarkForm::Line | MarkForm::Limit | MarkForm::Upright => ["", ""],
        };
        let all = self.values.iter().zip(words).filter_map(|(value, word)| Some((word, moved(was, value)?)));
        if self.shown == (Shown::Now { new: false }) { all.collect() } else { Vec::new() }
    }

    /// The key of a part of one of its figures: the name of the attribute, and the pointer.
    pub fn key(&self, figure: usize, part: &str) -> [Option<String>; 2] {
        let pointer = self.from.get(figure).map(|at| format!("/figures/{at}{part}"));
        if self.is_before() { [None, pointer] } else { [pointer, None] }
    }
}

impl Picture<'_> {
    /// Whether anything in it is otherwise than before.
    pub fn is_changed(&self) -> bool {
        self.marks.iter().any(|m| m.shown != Shown::Now { new: false })
    }

    /// Whether nothing in it is there any more.
    pub fn is_gone(&self) -> bool {
        self.marks.iter().all(Mark::is_before)
    }

    /// Whether it was not there before.
    pub fn is_new(&self) -> bool {
        let lines = || self.marks.iter().filter(|m| m.curve && !m.is_before());
        lines().next().is_some() && lines().all(|m| m.shown == Shown::Now { new: true })
    }

    /// The letter of the nth mark: one as before has that of the same as now, with a stroke.
    pub fn letter(&self, n: usize) -> String {
        let now = self.marks.iter().filter(|m| !m.is_before()).count();
        match self.marks.get(n).map(|m| m.shown) {
            Some(Shown::Before(Some(of))) => format!("{}\u{2032}", letter(of)),
            Some(Shown::Before(None)) => {
                let gone = self.marks.iter().take(n).filter(|m| m.shown == Shown::Before(None)).count();
                format!("{}\u{2032}", letter(now + gone))
            }
            _ => letter(n),
        }
    }
}

/// The nth letter.
fn letter(n: usize) -> String {
    let letter = char::from(b'a' + (n % 26) as u8);
    if n < 26 { letter.to_string() } else { format!("{letter}{}", n / 26) }
}
