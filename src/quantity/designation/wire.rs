//! Conductor sizes: the cross-section in square millimetres, or an American wire gauge.

use super::{DesignationProblem as Problem, Part, PartType, number, tidy};
use crate::quantity::Kind;
use std::fmt;

/// The size of an electric conductor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wire {
    /// Cross-section of the conductor in m².
    pub area: f64,
    /// The American wire gauge, if it was written as one: 0 for 1/0, -1 for 2/0, -3 for 4/0.
    pub gauge: Option<i8>,
}

pub(super) const PARTS: &[(&str, PartType)] =
    &[("area", PartType::Quantity(Kind::Area)), ("gauge", PartType::Quantity(Kind::Number))];

/// Diameter of a solid wire of gauge n by ASTM B258: d = 0.127 mm · 92^((36 - n) / 39), from 0.005 in at 36 and 0.46 in at
/// 4/0; the area is that of the circle. `gauge` -3 (4/0) to 40.
fn gauge_area(gauge: i8) -> f64 {
    let diameter = 0.127e-3 * 92f64.powf((36.0 - f64::from(gauge)) / 39.0);
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

impl Wire {
    pub(super) fn read(text: &str) -> Result<Wire, Problem> {
        let gauge = text.strip_suffix("AWG").or_else(|| text.strip_prefix("AWG")).or_else(|| text.strip_suffix("awg"));
        if let Some(gauge) = gauge {
            let gauge = read_gauge(gauge.trim()).ok_or(Problem::Form)?;
            return Ok(Wire { area: gauge_area(gauge), gauge: Some(gauge) });
        }
        let (millimetres, unit) = number(text).ok_or(Problem::Form)?;
        if !["mm2", "mm²", "mm^2", "sq mm", "sqmm"].contains(&unit.trim_start()) {
            return Err(Problem::Form);
        }
        if !(0.01..=1000.0).contains(&millimetres) {
            return Err(Problem::Figure("conductors are made from 0.01 mm2 to 1000 mm2"));
        }
        Ok(Wire { area: millimetres / 1e6, gauge: None })
    }

    pub(super) fn part(&self, name: &str) -> Option<Part> {
        match name {
            "area" => Some(Part::of(self.area, Kind::Area)),
            "gauge" => self.gauge.map(|n| Part::of(f64::from(n), Kind::Number)),
            _ => None,
        }
    }
}

fn read_gauge(text: &str) -> Option<i8> {
    let gauge = match text {
        "00" => -1,
        "000" => -2,
        "0000" => -3,
        _ => match text.split_once('/') {
            Some((noughts, "0")) => 1i8.checked_sub(noughts.parse().ok().filter(|n| *n >= 1)?)?,
            Some(_) => return None,
            None => text.parse().ok().filter(|n| *n >= 0)?,
        },
    };
    (-3..=40).contains(&gauge).then_some(gauge)
}

impl fmt::Display for Wire {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.gauge {
            Some(n) if n < 0 => write!(f, "{}/0 AWG", 1 - i16::from(n)),
            Some(n) => write!(f, "{n} AWG"),
            None => write!(f, "{} mm2", tidy(self.area * 1e6)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauges_have_the_areas_of_the_standard() {
        // ASTM B258, table of solid round wires, in mm² (memory).
        for (text, area) in [
            ("4/0 AWG", 107.2),
            ("0000 AWG", 107.2),
            ("1/0 AWG", 53.49),
            ("0 AWG", 53.49),
            ("AWG 4", 21.15),
            ("10 AWG", 5.261),
            ("12 AWG", 3.309),
            ("14awg", 2.081),
            ("18 AWG", 0.8231),
            ("36 AWG", 0.01267),
        ] {
            let read = Wire::read(text).map(|w| w.area * 1e6);
            assert!(read.as_ref().is_ok_and(|a| (a / area - 1.0).abs() < 5e-4), "{text}: {read:?}");
        }
    }

    #[test]
    fn square_millimetres_are_taken_as_they_are() {
        for text in ["2.5 mm2", "2.5mm²", "2.5 mm^2"] {
            assert_eq!(Wire::read(text).map(|w| (w.area, w.gauge)), Ok((2.5e-6, None)), "{text}");
        }
    }

    #[test]
    fn other_texts_are_refused() {
        for text in
            ["12", "AWG", "41 AWG", "5/0 AWG", "-1 AWG", "2.5 mm", "0 mm2", "127/0 AWG", "999/0 AWG", "1e3 mm2", ""]
        {
            assert!(Wire::read(text).is_err(), "{text}");
        }
    }
}
