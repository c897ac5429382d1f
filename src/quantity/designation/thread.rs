//! Screw and pipe threads: metric, unified, Whitworth and the pipe threads.

use super::thread_tables::*;
use super::{DesignationProblem as Problem, Part, PartType, number, tidy};
use crate::quantity::Kind;
use std::fmt;

const INCH: f64 = 0.0254;

/// Which standard a thread is cut to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThreadForm {
    /// ISO 261 metric.
    Metric,
    /// ASME B1.1 unified; coarse, fine or special.
    Unified,
    /// BS 84 Whitworth, coarse.
    Whitworth,
    /// BS 84 British Standard Fine.
    BritishFine,
    /// ISO 228-1 parallel pipe thread, G: seals on a washer or ring.
    PipeParallel,
    /// ISO 7-1 taper pipe thread, R and Rc: seals in the thread.
    PipeTaper,
    /// ASME B1.20.1 taper pipe thread, NPT: seals in the thread.
    AmericanPipe,
}

/// A thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// The standard.
    pub form: ThreadForm,
    /// Major diameter in m; of a pipe thread the table's, which is not the size in its name.
    pub diameter: f64,
    /// Pitch in m.
    pub pitch: f64,
    /// The number of a numbered unified size, `#10`.
    pub numbered: Option<u8>,
    /// Left-hand.
    pub left_hand: bool,
    /// The size in inches that names a pipe thread.
    size: Option<f64>,
}

pub(super) const PARTS: &[(&str, PartType)] = &[
    ("diameter", PartType::Quantity(Kind::Length)),
    ("pitch", PartType::Quantity(Kind::Length)),
    ("flank_angle", PartType::Quantity(Kind::Angle)),
    ("standard", PartType::Text),
    ("series", PartType::Text),
    ("hand", PartType::Text),
];

impl ThreadForm {
    /// The name by which rules compare it.
    pub fn name(self) -> &'static str {
        match self {
            ThreadForm::Metric => "metric",
            ThreadForm::Unified => "unified",
            ThreadForm::Whitworth | ThreadForm::BritishFine => "whitworth",
            ThreadForm::PipeParallel => "parallel pipe",
            ThreadForm::PipeTaper => "taper pipe",
            ThreadForm::AmericanPipe => "american taper pipe",
        }
    }

    fn flank_angle(self) -> f64 {
        match self {
            ThreadForm::Metric | ThreadForm::Unified | ThreadForm::AmericanPipe => 60f64,
            _ => 55f64,
        }
        .to_radians()
    }
}

impl Thread {
    fn inches(form: ThreadForm, inches: f64, per_inch: f64) -> Thread {
        Thread { form, diameter: inches * INCH, pitch: INCH / per_inch, numbered: None, left_hand: false, size: None }
    }

    pub(super) fn unified(inches: f64, per_inch: f64) -> Thread {
        Thread::inches(ThreadForm::Unified, inches, per_inch)
    }

    /// Threads to the inch.
    pub fn per_inch(&self) -> f64 {
        INCH / self.pitch
    }

    pub(super) fn read(text: &str) -> Result<Thread, Problem> {
        let (text, left_hand) =
            match ["LH", "lh", "left hand", "left-hand"].iter().find_map(|mark| text.strip_suffix(mark)) {
                Some(rest) => (rest.trim_end().trim_end_matches('-').trim_end(), true),
                None => (text, false),
            };
        let thread = match text.as_bytes().first() {
            Some(b'M') => metric(text.get(1..).unwrap_or(""))?,
            Some(b'G' | b'R') => pipe(text)?,
            Some(b'#') => {
                let (digits, rest) = number(text.get(1..).unwrap_or("")).ok_or(Problem::Form)?;
                numbered(digits, rest)?
            }
            _ => inch(text)?,
        };
        Ok(Thread { left_hand, ..thread })
    }

    fn series(&self) -> &'static str {
        let inches = self.diameter / INCH;
        let same = |(size, per_inch): (f64, f64)| near(size, inches) && near(per_inch, self.per_inch());
        match self.form {
            ThreadForm::Metric => {
                let coarse =
                    METRIC_COARSE.iter().any(|&(d, p)| near(d, self.diameter * 1e3) && near(p, self.pitch * 1e3));
                if coarse { "coarse" } else { "fine" }
            }
            ThreadForm::Unified => {
                let sizes = NUMBERED.iter().filter(|(n, ..)| Some(*n) == self.numbered);
                let (mut coarse, mut fine) = (false, false);
                for (_, c, f) in sizes {
                    coarse |= near(*c, self.per_inch());
                    fine |= near(*f, self.per_inch());
                }
                coarse |= UNIFIED_COARSE.iter().copied().any(same);
                fine |= UNIFIED_FINE.iter().copied().any(same);
                match (coarse, fine) {
                    (true, _) => "UNC",
                    (_, true) => "UNF",
                    _ => "UNS",
                }
            }
            ThreadForm::Whitworth => "BSW",
            ThreadForm::BritishFine => "BSF",
            ThreadForm::PipeParallel => "G",
            ThreadForm::PipeTaper => "R",
            ThreadForm::AmericanPipe => "NPT",
        }
    }

    pub(super) fn part(&self, name: &str) -> Option<Part> {
        Some(match name {
            "diameter" => Part::of(self.diameter, Kind::Length),
            "pitch" => Part::of(self.pitch, Kind::Length),
            "flank_angle" => Part::of(self.form.flank_angle(), Kind::Angle),
            "standard" => Part::Text(self.form.name()),
            "series" => Part::Text(self.series()),
            "hand" => Part::Text(if self.left_hand { "left" } else { "right" }),
            _ => return None,
        })
    }
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * a.abs().max(b.abs())
}

/// After the `M`: `10x1.25`, `10 x 1.25`, `10`, each with or without a tolerance class `-6g`.
fn metric(text: &str) -> Result<Thread, Problem> {
    let (diameter, rest) = number(text.trim_start()).ok_or(Problem::Form)?;
    let rest = rest.trim_start();
    let (pitch, rest) = match rest.strip_prefix(['x', 'X', '×', '*']) {
        Some(pitch) => number(pitch.trim_start()).ok_or(Problem::Form)?,
        None => {
            let found = METRIC_COARSE.iter().find(|(d, _)| near(*d, diameter));
            (found.ok_or(Problem::Size("a coarse pitch"))?.1, rest)
        }
    };
    if !rest.is_empty() && !tolerance_class(rest) {
        return Err(Problem::Form);
    }
    if !(1.0..=300.0).contains(&diameter) || !(0.2..=8.0).contains(&pitch) || pitch * 2.0 > diameter {
        return Err(Problem::Figure("the pitch and the diameter, in mm, do not make a thread"));
    }
    let (diameter, pitch) = (diameter / 1e3, pitch / 1e3);
    Ok(Thread { form: ThreadForm::Metric, diameter, pitch, numbered: None, left_hand: false, size: None })
}

/// `-6g`, `-6H`, `-5g6g`.
fn tolerance_class(text: &str) -> bool {
    let class = text.trim().strip_prefix('-').map(str::trim).unwrap_or("");
    (2..=4).contains(&class.len()) && class.chars().all(|c| c.is_ascii_digit() || "eEfgGhH".contains(c))
}

/// `G 1/8`, `G1/8 A`, `R 1/8`, `Rc 1/8`, `Rp 1/8`.
fn pipe(text: &str) -> Result<Thread, Problem> {
    let (form, size) =
        ["Rc", "Rp", "R", "G"].iter().find_map(|mark| Some((*mark, text.strip_prefix(mark)?))).ok_or(Problem::Form)?;
    let form = if matches!(form, "G" | "Rp") { ThreadForm::PipeParallel } else { ThreadForm::PipeTaper };
    let (size, rest) = size_in_inches(size.trim_start()).ok_or(Problem::Form)?;
    match rest.trim() {
        "" | "A" | "B" => pipe_size(form, size, None),
        _ => Err(Problem::Form),
    }
}

fn pipe_size(form: ThreadForm, size: f64, written: Option<f64>) -> Result<Thread, Problem> {
    let american = form == ThreadForm::AmericanPipe;
    let table = if american { AMERICAN_PIPE } else { PIPE };
    let &(_, diameter, per_inch) = table.iter().find(|(s, ..)| near(*s, size)).ok_or(Problem::Size("a pipe thread"))?;
    agree(written, per_inch)?;
    let inches = if american { diameter } else { diameter / 25.4 };
    Ok(Thread { size: Some(size), ..Thread::inches(form, inches, per_inch) })
}

fn agree(written: Option<f64>, standard: f64) -> Result<(), Problem> {
    match written {
        Some(per_inch) if !near(per_inch, standard) => {
            Err(Problem::Contradicts(format!("{} threads to the inch", tidy(standard)).into()))
        }
        _ => Ok(()),
    }
}

/// `3/8`, `1-1/8`, `1 1/8`, `1`, and the rest of the text. A dash followed by a whole number starts the pitch.
fn size_in_inches(text: &str) -> Option<(f64, &str)> {
    let fraction = |text: &'_ str| -> Option<(f64, usize)> {
        let (over, rest) = number(text)?;
        let (under, after) = number(rest.strip_prefix('/')?)?;
        (under > 0.0 && over < under).then_some((over / under, text.len() - after.len()))
    };
    if let Some((value, end)) = fraction(text) {
        return Some((value, text.get(end..)?));
    }
    let (whole, rest) = number(text)?;
    if let Some((part, end)) = rest.strip_prefix(['-', ' ']).and_then(fraction) {
        return Some((whole + part, rest.get(1 + end..)?));
    }
    Some((whole, rest))
}

/// `3/8-24`, `3/8-24 UNF`, `3/8 UNF`, `3/8-24 UNF-2A`, `1/8 NPT`, `1/8-27 NPT`, `1/8 BSP`, `3/8 BSF`, `10-32`.
fn inch(text: &str) -> Result<Thread, Problem> {
    let (size, rest) = size_in_inches(text).ok_or(Problem::Form)?;
    let (per_inch, series) = match rest.trim_start().strip_prefix('-') {
        Some(after) => number(after.trim_start()).map(|(n, rest)| (Some(n), rest)).ok_or(Problem::Form)?,
        None => (None, rest),
    };
    let series = series.trim_start();
    // A class of fit, `-2A`, says nothing about the size.
    let series = series.split_once('-').map_or(series, |(name, _)| name).trim().to_ascii_uppercase();
    let whole_number = size.fract() == 0.0 && !text.contains('/');
    if let (true, Some(n)) = (whole_number, per_inch)
        && NUMBERED.iter().any(|(number, c, f)| f64::from(*number) == size && (*c == n || *f == n))
    {
        return numbered(size, rest);
    }
    if !(0.05..=4.0).contains(&size) || per_inch.is_some_and(|n| !(4.0..=100.0).contains(&n)) {
        return Err(Problem::Figure("the size in inches and the threads to the inch do not make a thread"));
    }
    let standard = |form: ThreadForm, table: &[(f64, f64)]| {
        let &(_, n) = table.iter().find(|(s, _)| near(*s, size)).ok_or(Problem::Size("a thread of that series"))?;
        agree(per_inch, n)?;
        Ok(Thread::inches(form, size, n))
    };
    match series.as_str() {
        "" | "UNS" | "UN" | "UNEF" => Ok(Thread::unified(size, per_inch.ok_or(Problem::Size("a known pitch"))?)),
        "UNC" | "NC" => standard(ThreadForm::Unified, UNIFIED_COARSE),
        "UNF" | "NF" | "SAE" => standard(ThreadForm::Unified, UNIFIED_FINE),
        "BSW" => standard(ThreadForm::Whitworth, WHITWORTH),
        "BSF" => standard(ThreadForm::BritishFine, BRITISH_FINE),
        "BSP" | "BSPP" => pipe_size(ThreadForm::PipeParallel, size, per_inch),
        "BSPT" => pipe_size(ThreadForm::PipeTaper, size, per_inch),
        "NPT" | "NPTF" => pipe_size(ThreadForm::AmericanPipe, size, per_inch),
        _ => Err(Problem::Form),
    }
}

/// `#10-32`, `#10-32 UNF`: after the number comes the pitch. Diameter 0.060 in + 0.013 in for each number (ASME B1.1).
fn numbered(digits: f64, rest: &str) -> Result<Thread, Problem> {
    let &(number_size, coarse, fine) =
        NUMBERED.iter().find(|(n, ..)| f64::from(*n) == digits).ok_or(Problem::Size("a number"))?;
    let (per_inch, series) =
        rest.trim_start().strip_prefix('-').and_then(|t| number(t.trim_start())).ok_or(Problem::Form)?;
    let series = series.split_once('-').map_or(series, |(name, _)| name).trim().to_ascii_uppercase();
    match series.as_str() {
        "" | "UNS" | "UN" => {}
        "UNC" | "NC" => agree(Some(per_inch), coarse)?,
        "UNF" | "NF" => agree(Some(per_inch), fine)?,
        _ => return Err(Problem::Form),
    }
    if !(20.0..=120.0).contains(&per_inch) {
        return Err(Problem::Figure("numbered sizes have 24 to 80 threads to the inch"));
    }
    let inches = 0.060 + 0.013 * f64::from(number_size);
    Ok(Thread { numbered: Some(number_size), ..Thread::unified(inches, per_inch) })
}

/// `3/8`, `1-1/8`: in sixty-fourths at the finest, else a decimal.
pub(super) fn in_fractions(inches: f64) -> String {
    let sixty_fourths = inches * 64.0;
    if (sixty_fourths - sixty_fourths.round()).abs() > 1e-6 {
        return tidy(inches);
    }
    let (mut over, mut under) = (sixty_fourths.round() as u32, 64);
    let whole = over / 64;
    over %= 64;
    while over != 0 && over % 2 == 0 {
        over /= 2;
        under /= 2;
    }
    match (whole, over) {
        (_, 0) => format!("{whole}"),
        (0, _) => format!("{over}/{under}"),
        _ => format!("{whole}-{over}/{under}"),
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = in_fractions(self.size.unwrap_or(self.diameter / INCH));
        match (self.form, self.numbered) {
            (ThreadForm::Metric, _) => write!(f, "M{}x{}", tidy(self.diameter * 1e3), tidy(self.pitch * 1e3))?,
            (ThreadForm::Unified, Some(n)) => write!(f, "#{n}-{}", tidy(self.per_inch()))?,
            (ThreadForm::Unified, None) => write!(f, "{size}-{}", tidy(self.per_inch()))?,
            (ThreadForm::PipeParallel | ThreadForm::PipeTaper, _) => write!(f, "{} {size}", self.series())?,
            _ => write!(f, "{size} {}", self.series())?,
        }
        if self.left_hand { f.write_str(" LH") } else { Ok(()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn threads_as_they_are_written() {
        // Diameter and pitch in mm: ISO 261, ASME B1.1, BS 84, ISO 228-1, ASME B1.20.1 (memory).
        for (text, diameter, pitch, series, shown) in [
            ("M10x1.25", 10.0, 1.25, "fine", "M10x1.25"),
            ("M10 x 1.25", 10.0, 1.25, "fine", "M10x1.25"),
            ("M10", 10.0, 1.5, "coarse", "M10x1.5"),
            ("M10x1.5-6g", 10.0, 1.5, "coarse", "M10x1.5"),
            ("M16×1.5 LH", 16.0, 1.5, "fine", "M16x1.5 LH"),
            ("3/8-24", 9.525, 25.4 / 24.0, "UNF", "3/8-24"),
            ("3/8 UNF", 9.525, 25.4 / 24.0, "UNF", "3/8-24"),
            ("7/16-20 UNF-2A", 11.1125, 1.27, "UNF", "7/16-20"),
            ("1/4-20", 6.35, 1.27, "UNC", "1/4-20"),
            ("#10-32", 4.826, 0.79375, "UNF", "#10-32"),
            ("10-32", 4.826, 0.79375, "UNF", "#10-32"),
            ("#8-32 UNC", 4.1656, 0.79375, "UNC", "#8-32"),
            ("1-8", 25.4, 3.175, "UNC", "1-8"),
            ("1-14", 25.4, 25.4 / 14.0, "UNS", "1-14"),
            ("1-1/16-12", 26.9875, 25.4 / 12.0, "UNS", "1-1/16-12"),
            ("1 1/8-12 UNF", 28.575, 25.4 / 12.0, "UNF", "1-1/8-12"),
            ("G 1/8", 9.728, 25.4 / 28.0, "G", "G 1/8"),
            ("G1/4 A", 13.157, 25.4 / 19.0, "G", "G 1/4"),
            ("1/8 BSP", 9.728, 25.4 / 28.0, "G", "G 1/8"),
            ("R 1/2", 20.955, 25.4 / 14.0, "R", "R 1/2"),
            ("1/8 NPT", 10.287, 25.4 / 27.0, "NPT", "1/8 NPT"),
            ("1/4-18 NPT", 13.716, 25.4 / 18.0, "NPT", "1/4 NPT"),
            ("3/8 BSF", 9.525, 1.27, "BSF", "3/8 BSF"),
        ] {
            let Ok(thread) = Thread::read(text) else { panic!("{text}: {:?}", Thread::read(text)) };
            assert!((thread.diameter * 1e3 - diameter).abs() < 1e-9, "{text}: {}", thread.diameter);
            assert!((thread.pitch * 1e3 - pitch).abs() < 1e-9, "{text}: {}", thread.pitch);
            assert_eq!(thread.series(), series, "{text}");
            assert_eq!(thread.to_string(), shown, "{text}");
            assert_eq!(Thread::read(shown), Ok(thread), "{shown}");
        }
    }

    #[test]
    fn threads_that_are_refused() {
        let of = |text: &str| Thread::read(text).err();
        assert_eq!(of("M11"), Some(Problem::Size("a coarse pitch")));
        assert_eq!(of("3/8"), Some(Problem::Size("a known pitch")));
        assert_eq!(of("3/8-16 UNF"), Some(Problem::Contradicts("24 threads to the inch".into())));
        assert_eq!(of("1/8-28 NPT"), Some(Problem::Contradicts("27 threads to the inch".into())));
        for text in [
            "",
            "M",
            "M10x",
            "Mx",
            "M10y1",
            "bolt",
            "3/0-24",
            "G",
            "G 1/7",
            "#",
            "#10",
            "#99-32",
            "M10x9",
            "M10x0",
            "1/4-20 XYZ",
            "R",
            "€",
        ] {
            assert!(of(text).is_some(), "{text}");
        }
    }
}
