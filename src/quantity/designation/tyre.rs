//! Tyre sizes as they stand on the side wall.

use super::{DesignationProblem as Problem, Part, PartType, number, tidy};
use crate::quantity::Kind;
use std::fmt;

const INCH: f64 = 0.0254;

/// How the carcass is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Construction {
    /// R
    Radial,
    /// D or a dash
    Diagonal,
    /// B
    Belted,
}

/// A tyre size.
#[derive(Debug, Clone, PartialEq)]
pub struct Tyre {
    /// Nominal width of the section in m.
    pub width: f64,
    /// Height of the section by its width, if it is written.
    pub aspect: Option<f64>,
    /// Nominal diameter of the rim in m.
    pub rim: f64,
    /// Outside diameter in m, where the size gives it.
    pub overall: Option<f64>,
    /// The carcass.
    pub construction: Construction,
    /// The load index, for a single tyre.
    pub load_index: Option<u16>,
    /// The speed symbol.
    pub speed_symbol: Option<&'static str>,
    /// Widths in mm (`205/55R16`) and not in inches (`5.60-15`).
    millimetres: bool,
}

pub(super) const PARTS: &[(&str, PartType)] = &[
    ("width", PartType::Quantity(Kind::Length)),
    ("aspect", PartType::Quantity(Kind::Number)),
    ("rim", PartType::Quantity(Kind::Length)),
    ("overall_diameter", PartType::Quantity(Kind::Length)),
    ("construction", PartType::Text),
    ("load_index", PartType::Quantity(Kind::Number)),
    ("speed_symbol", PartType::Text),
];

/// Speed symbols of ISO 4000-1, and the old `Z` that stands in front of the R only.
const SPEED_SYMBOLS: &[&str] =
    &["A8", "B", "C", "D", "E", "F", "G", "J", "K", "L", "M", "N", "P", "Q", "R", "S", "T", "U", "H", "V", "W", "Y"];

impl Tyre {
    pub(super) fn read(text: &str) -> Result<Tyre, Problem> {
        let size = text.strip_prefix("LT").or_else(|| text.strip_prefix('P')).unwrap_or(text);
        let (first, rest) = number(size.trim_start()).ok_or(Problem::Form)?;
        let (millimetres, first, second, rest) = match rest.trim_start().strip_prefix(['/', 'x', 'X', '×']) {
            Some(after) => {
                let (second, rest) = number(after.trim_start()).ok_or(Problem::Form)?;
                let slash = rest.len() < after.len() && size.contains('/');
                // `5.60x15`: an inch width with its rim at once.
                if !slash && first < 20.0 {
                    return Tyre { construction: Construction::Diagonal, ..Tyre::inches(first, second) }.service(rest);
                }
                (slash, first, Some(second), rest)
            }
            None => (first >= 50.0, first, None, rest),
        };
        let (construction, rest) = carcass(rest.trim_start()).ok_or(Problem::Form)?;
        let (rim, rest) = number(rest.trim_start()).ok_or(Problem::Form)?;
        let tyre = match (millimetres, second) {
            (true, aspect) => {
                let (width, aspect) = (first / 1e3, aspect.map(|a| a / 100.0));
                let rim = rim * INCH;
                let overall = aspect.map(|a| rim + 2.0 * width * a);
                Tyre { width, aspect, rim, overall, millimetres, ..Tyre::inches(first, rim) }
            }
            (false, Some(width)) => Tyre { overall: Some(first * INCH), ..Tyre::inches(width, rim) },
            (false, None) => Tyre::inches(first, rim),
        };
        Tyre { construction, ..tyre }.service(rest)
    }

    fn inches(width: f64, rim: f64) -> Tyre {
        Tyre {
            width: width * INCH,
            aspect: None,
            rim: rim * INCH,
            overall: None,
            construction: Construction::Radial,
            load_index: None,
            speed_symbol: None,
            millimetres: false,
        }
    }

    /// What follows the size: `91V`, `(91W)`, `120/116S`, `XL`, `LT`, in any order.
    fn service(mut self, text: &str) -> Result<Tyre, Problem> {
        for word in text.split_whitespace() {
            let word = word.trim_matches(['(', ')']);
            if matches!(word, "XL" | "C" | "LT" | "RF" | "TL" | "TT" | "M+S" | "") {
                continue;
            }
            let (index, rest) = number(word).ok_or(Problem::Form)?;
            let symbol = match rest.strip_prefix('/') {
                Some(twin) => number(twin).ok_or(Problem::Form)?.1,
                None => rest,
            };
            if self.load_index.is_some() || index.fract() != 0.0 || !(0.0..=279.0).contains(&index) {
                return Err(Problem::Form);
            }
            self.load_index = Some(index as u16);
            if !symbol.is_empty() {
                self.speed_symbol = Some(SPEED_SYMBOLS.iter().find(|s| **s == symbol).ok_or(Problem::Form)?);
            }
        }
        self.plausible()
    }

    fn plausible(self) -> Result<Tyre, Problem> {
        if !(0.05..=0.6).contains(&self.width) {
            return Err(Problem::Figure("tyres are 50 mm to 600 mm wide"));
        }
        if self.aspect.is_some_and(|a| !(0.15..=1.1).contains(&a)) {
            return Err(Problem::Figure("the height of a tyre is 15 % to 110 % of its width"));
        }
        if !(4.0 * INCH..=32.0 * INCH).contains(&self.rim) || self.overall.is_some_and(|d| d <= self.rim) {
            return Err(Problem::Figure("rims are 4 in to 32 in, and the tyre is larger than its rim"));
        }
        Ok(self)
    }

    pub(super) fn part(&self, name: &str) -> Option<Part> {
        Some(match name {
            "width" => Part::of(self.width, Kind::Length),
            "aspect" => Part::of(self.aspect?, Kind::Number),
            "rim" => Part::of(self.rim, Kind::Length),
            "overall_diameter" => Part::of(self.overall?, Kind::Length),
            "construction" => Part::Text(match self.construction {
                Construction::Radial => "radial",
                Construction::Diagonal => "diagonal",
                Construction::Belted => "belted",
            }),
            "load_index" => Part::of(f64::from(self.load_index?), Kind::Number),
            "speed_symbol" => Part::Text(self.speed_symbol?),
            _ => return None,
        })
    }
}

/// `R`, `ZR`, `B`, `D`, `-` between width and rim.
fn carcass(text: &str) -> Option<(Construction, &str)> {
    [
        ("ZR", Construction::Radial),
        ("VR", Construction::Radial),
        ("HR", Construction::Radial),
        ("SR", Construction::Radial),
        ("R", Construction::Radial),
        ("B", Construction::Belted),
        ("D", Construction::Diagonal),
        ("-", Construction::Diagonal),
    ]
    .into_iter()
    .find_map(|(mark, construction)| Some((construction, text.strip_prefix(mark)?)))
}

impl fmt::Display for Tyre {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let carcass = match self.construction {
            Construction::Radial => "R",
            Construction::Belted => "B",
            Construction::Diagonal => "-",
        };
        let rim = tidy(self.rim / INCH);
        match (self.millimetres, self.aspect, self.overall) {
            (true, Some(aspect), _) => write!(f, "{}/{}{carcass}{rim}", tidy(self.width * 1e3), tidy(aspect * 100.0))?,
            (true, None, _) => write!(f, "{}{carcass}{rim}", tidy(self.width * 1e3))?,
            (false, _, Some(overall)) => write!(f, "{}x{:.2}{carcass}{rim}", tidy(overall / INCH), self.width / INCH)?,
            (false, _, None) => write!(f, "{:.2}{carcass}{rim}", self.width / INCH)?,
        }
        match (self.load_index, self.speed_symbol) {
            (Some(index), symbol) => write!(f, " {index}{}", symbol.unwrap_or("")),
            (None, _) => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tyres_as_they_stand_on_the_side_wall() {
        for (text, width, aspect, rim, load_index, speed_symbol, shown) in [
            ("205/55R16 91V", 205.0, Some(0.55), 16.0, Some(91), Some("V"), "205/55R16 91V"),
            ("205/55 R 16 91V", 205.0, Some(0.55), 16.0, Some(91), Some("V"), "205/55R16 91V"),
            ("P225/45ZR17 (94W) XL", 225.0, Some(0.45), 17.0, Some(94), Some("W"), "225/45R17 94W"),
            ("LT245/75R16 120/116S", 245.0, Some(0.75), 16.0, Some(120), Some("S"), "245/75R16 120S"),
            ("165R13 82S", 165.0, None, 13.0, Some(82), Some("S"), "165R13 82S"),
            ("155SR15", 155.0, None, 15.0, None, None, "155R15"),
            ("5.60-15", 142.24, None, 15.0, None, None, "5.60-15"),
            ("5.60x15", 142.24, None, 15.0, None, None, "5.60-15"),
            ("31x10.50R15LT 109R", 266.7, None, 15.0, Some(109), Some("R"), "31x10.50R15 109R"),
        ] {
            let Ok(tyre) = Tyre::read(text) else { panic!("{text}: {:?}", Tyre::read(text)) };
            assert!((tyre.width * 1e3 - width).abs() < 1e-9, "{text}");
            assert_eq!(tyre.aspect, aspect, "{text}");
            assert!((tyre.rim / INCH - rim).abs() < 1e-9, "{text}");
            assert_eq!((tyre.load_index, tyre.speed_symbol), (load_index, speed_symbol), "{text}");
            assert_eq!(tyre.to_string(), shown, "{text}");
        }
        // 205/55R16: 406.4 mm + 2 * 112.75 mm = 631.9 mm, as in any tyre table.
        let overall = Tyre::read("205/55R16").ok().and_then(|t| t.overall);
        assert!(overall.is_some_and(|d| (d - 0.6319).abs() < 1e-9), "{overall:?}");
    }

    #[test]
    fn tyres_that_are_refused() {
        for text in [
            "",
            "205",
            "205/55",
            "205/55R",
            "205/55X16",
            "205/550R16",
            "2050/55R16",
            "205/55R16 91I",
            "205/55R16 91V 92V",
            "31x10.50R33",
            "slick",
            "205/55R16 round",
        ] {
            assert!(Tyre::read(text).is_err(), "{text}");
        }
    }
}
