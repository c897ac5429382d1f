//! Units: a named unit or a product of powers of named units, small enough to be copied about.
//!
//! A [`UnitId`] says which unit a value was written in and prints as it; a [`Unit`] is the same with its factor, dimension
//! and scale worked out. Reading units from text is in `unit_text`.

use super::atoms::{ATOMS, Atom};
use super::kind::{Dimension, Exponents, Kind};
use std::fmt;

/// How many different named units a compound unit can have: `Btu/(h ft2 °F)` has four.
pub(super) const MOST_PARTS: usize = 4;

/// Which unit: up to four named units, each to a power from -9 to 9. No part at all is the plain number.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, serde::Serialize, serde::Deserialize)]
pub struct UnitId {
    /// Place in the table of named units plus one, or 0; and the power.
    parts: [(u8, i8); MOST_PARTS],
}

/// A unit with its dimension and scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Which unit it is.
    pub id: UnitId,
    /// The kind that it measures, if it can only be one.
    pub kind: Option<Kind>,
    /// Exponents of what it measures.
    pub exponents: Exponents,
    /// SI value of one unit: SI = (value + offset) * factor.
    pub factor: f64,
    /// What is added to a value before the factor; other than 0 only for `°C` and `°F` as points on their scale.
    pub offset: f64,
}

impl UnitId {
    /// No unit: the plain number.
    pub const NONE: UnitId = UnitId { parts: [(0, 0); MOST_PARTS] };

    /// The unit times a power of another named one; `None` if it gets too long or a power leaves -9..=9.
    pub(super) fn times(mut self, index: u8, power: i8) -> Option<UnitId> {
        let key = index.checked_add(1)?;
        let at = self.parts.iter().position(|&(atom, _)| atom == key || atom == 0)?;
        let sum = self.parts[at].1.checked_add(power).filter(|sum| sum.abs() <= 9)?;
        // What cancels is gone, and what is above the line comes first, as in print: equal units are equal.
        self.parts[at] = if sum == 0 { (0, 0) } else { (key, sum) };
        self.parts.sort_by_key(|&(atom, power)| (atom == 0, power < 0));
        Some(self)
    }

    /// Places in the table of named units, with powers.
    pub(super) fn indexed(self) -> impl Iterator<Item = (u8, i8)> {
        self.parts.into_iter().filter_map(|(key, power)| Some((key.checked_sub(1)?, power)))
    }

    pub(super) fn atoms(self) -> impl Iterator<Item = (&'static Atom, i8)> + Clone {
        self.parts.into_iter().filter_map(|(key, power)| Some((ATOMS.get(usize::from(key).checked_sub(1)?)?, power)))
    }

    /// The unit with one named unit in place of another, as `lbf` for `lb`.
    pub(super) fn with(mut self, replace: impl Fn(&'static str) -> Option<&'static str>) -> UnitId {
        for part in &mut self.parts {
            let Some(symbol) = usize::from(part.0).checked_sub(1).and_then(|i| ATOMS.get(i)).map(|a| a.symbol) else {
                continue;
            };
            let found = replace(symbol).and_then(|other| ATOMS.iter().position(|a| a.symbol == other));
            if let Some(key) = found.and_then(|i| u8::try_from(i + 1).ok()) {
                part.0 = key;
            }
        }
        self
    }

    /// The one named unit that this is, to the first power.
    pub(super) fn single(self) -> Option<&'static Atom> {
        let mut atoms = self.atoms();
        match (atoms.next(), atoms.next()) {
            (Some((atom, 1)), None) => Some(atom),
            _ => None,
        }
    }

    /// Exponents of the unit and the power of angle in it.
    pub(super) fn measure(self) -> (Exponents, i8) {
        if let Some(atom) = self.single() {
            return (atom.exponents, atom.turns);
        }
        self.atoms().fold((Exponents::NONE, 0), |(exponents, turns): (_, i8), (atom, power)| {
            (exponents.times(atom.exponents.power(power)), turns.saturating_add(atom.turns.saturating_mul(power)))
        })
    }

    /// Whether a value of that kind can be written in this unit.
    pub fn serves(self, kind: Kind) -> bool {
        if let Some(only) = self.single().and_then(|atom| atom.only) {
            return only == kind || (only == Kind::Temperature && kind == Kind::TemperatureDifference);
        }
        measures(self.measure(), kind)
    }

    /// Factor and offset of the unit: SI = (value + offset) * factor.
    pub(super) fn scale(self) -> (f64, f64) {
        if let Some(atom) = self.single() {
            return (atom.factor, atom.offset);
        }
        let factor = self.atoms().fold(1.0, |f, (atom, power)| match power {
            1 => f * atom.factor,
            -1 => f / atom.factor,
            p if p < 0 => f / atom.factor.powi(i32::from(-p)),
            p => f * atom.factor.powi(i32::from(p)),
        });
        (factor, 0.0)
    }

    /// The unit with its dimension and scale.
    pub fn unit(self) -> Unit {
        let measure = self.measure();
        let (factor, offset) = self.scale();
        let kind = self.single().and_then(|atom| atom.only).or_else(|| {
            let mut kinds = Kind::ALL.iter().copied().filter(|&kind| measures(measure, kind));
            kinds.next().filter(|_| kinds.next().is_none())
        });
        Unit { id: self, kind, exponents: measure.0, factor, offset }
    }

    /// The printed form of the unit for a value of that dimension: an absolute pressure says so, standard gravity is `g`.
    pub fn symbol_for(self, dimension: Dimension) -> String {
        let plain = self.to_string();
        match dimension.kind {
            Some(Kind::AbsolutePressure) => {
                let marked = format!("{plain} abs");
                if ATOMS.iter().any(|a| a.symbol == marked) { marked } else { plain }
            }
            Some(Kind::Acceleration) if plain == "gn" => "g".to_owned(),
            _ => plain,
        }
    }
}

/// Whether exponents and turns are those of the kind. A sound level is in decibel only, which says so itself.
fn measures((exponents, turns): (Exponents, i8), kind: Kind) -> bool {
    exponents == kind.exponents() && turns == kind.turns() && kind != Kind::SoundLevel
}

impl Unit {
    /// The unit in print: `mm`, `g/kWh`, `W/(m2 K)`; nothing for the plain number.
    pub fn symbol(&self) -> String {
        self.id.to_string()
    }

    /// The dimension of a value in this unit.
    pub fn dimension(&self) -> Dimension {
        Dimension { exponents: self.exponents, kind: self.kind }
    }

    /// A value in this unit in SI; for `°C` and `°F` a temperature.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// A difference in this unit in SI; for `°C` and `°F` a temperature difference.
    pub fn difference_to_si(&self, value: f64) -> f64 {
        value * self.factor
    }

    /// A value of that dimension from SI into this unit; only a temperature takes the offset of its scale.
    pub fn from_si(&self, si: f64, dimension: Dimension) -> f64 {
        let offset = if dimension.kind == Some(Kind::TemperatureDifference) { 0.0 } else { self.offset };
        si / self.factor - offset
    }
}

impl fmt::Display for UnitId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_product(f, self.atoms().map(|(atom, power)| (atom.symbol, power)))
    }
}

impl fmt::Debug for UnitId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "UnitId({self})")
    }
}

/// Writes a product of powers as units are written: `W/(m2 K)`, `1/s`.
pub(super) fn write_product<'a>(
    f: &mut fmt::Formatter<'_>,
    parts: impl Iterator<Item = (&'a str, i8)> + Clone,
) -> fmt::Result {
    let write = |f: &mut fmt::Formatter<'_>, wanted: i8| -> fmt::Result {
        let mut first = true;
        for (symbol, power) in parts.clone().filter(|(_, p)| p.signum() == wanted) {
            if !first {
                f.write_str(" ")?;
            }
            first = false;
            f.write_str(symbol)?;
            if power.unsigned_abs() > 1 {
                write!(f, "{}", power.unsigned_abs())?;
            }
        }
        Ok(())
    };
    let over = parts.clone().filter(|(_, p)| *p > 0).count();
    let under = parts.clone().filter(|(_, p)| *p < 0).count();
    if over == 0 && under > 0 {
        f.write_str("1")?;
    }
    write(f, 1)?;
    match under {
        0 => Ok(()),
        1 => {
            f.write_str("/")?;
            write(f, -1)
        }
        _ => {
            f.write_str("/(")?;
            write(f, -1)?;
            f.write_str(")")
        }
    }
}

/// The units in which values of that kind are usually written, the one that is printed first.
pub fn usual_units(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Number => &[":1", "%"],
        Kind::Angle => &["deg", "rad"],
        Kind::SoundLevel => &["dB(A)"],
        Kind::Length => &["mm", "in", "m"],
        Kind::Area => &["mm2", "cm2", "in2"],
        Kind::Volume => &["L", "cc", "US gal", "imp gal"],
        Kind::Mass => &["kg", "g", "lb"],
        Kind::Time => &["s", "ms", "min", "h"],
        Kind::Speed => &["km/h", "mph", "m/s"],
        Kind::Acceleration => &["m/s2", "g"],
        Kind::RotationalSpeed => &["rpm", "rad/s"],
        Kind::AngularAcceleration => &["rad/s2"],
        Kind::Frequency => &["Hz"],
        Kind::Force => &["N", "lbf", "kgf"],
        Kind::Torque => &["Nm", "lbf ft", "lbf in"],
        Kind::Energy => &["kJ", "J", "kWh"],
        Kind::Power => &["kW", "W", "PS", "mech hp"],
        Kind::Pressure => &["kPa", "bar", "psi"],
        Kind::GaugePressure => &["kPa", "bar", "psi"],
        Kind::AbsolutePressure => &["kPa abs", "bar abs", "psia"],
        Kind::Stress => &["MPa", "N/mm2", "psi"],
        Kind::Temperature => &["°C", "°F"],
        Kind::TemperatureDifference => &["K", "°C", "°F"],
        Kind::SpringRate => &["N/mm", "lbf/in"],
        Kind::RollStiffness => &["Nm/deg", "lbf ft/deg"],
        Kind::Damping => &["N s/m", "lbf s/in"],
        Kind::Inertia => &["kg m2", "kg cm2", "lb in2"],
        Kind::AreaMoment => &["cm4", "mm4", "in4"],
        Kind::SectionModulus => &["cm3", "mm3", "in3"],
        Kind::Density => &["kg/m3", "g/cm3", "kg/L"],
        Kind::MassPerLength => &["kg/m", "g/m", "lb/ft"],
        Kind::VolumeFlow => &["L/h", "L/min", "cc/min", "US gal/h"],
        Kind::MassFlow => &["kg/h", "g/s", "lb/h"],
        Kind::SpecificConsumption => &["g/kWh", "lb/(mech hp h)"],
        Kind::DynamicViscosity => &["mPa s", "cP", "Pa s"],
        Kind::KinematicViscosity => &["cSt", "mm2/s"],
        Kind::SpecificEnergy => &["MJ/kg", "kJ/kg", "kWh/kg"],
        Kind::HeatCapacity => &["kJ/(kg K)", "J/(kg K)"],
        Kind::Conductivity => &["W/(m K)"],
        Kind::HeatTransfer => &["W/(m2 K)"],
        Kind::Conductance => &["W/K"],
        Kind::Expansion => &["µm/(m K)", "1/K"],
        Kind::Current => &["A", "mA"],
        Kind::Voltage => &["V", "mV"],
        Kind::Resistance => &["ohm", "mohm"],
        Kind::Resistivity => &["ohm mm2/m", "ohm m"],
        Kind::Charge => &["Ah", "mAh"],
        Kind::LuminousIntensity => &["cd"],
        Kind::VolumePerLength => &["mL/m", "cc/ft"],
        Kind::HeatFlux => &["W/m2", "kW/m2"],
        Kind::VolumePerPressure => &["mL/bar", "cc/bar", "mL/MPa"],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::unit_text::read_unit;

    #[test]
    fn usual_units_serve_their_kind_and_print_as_they_are_written() {
        for &kind in Kind::ALL {
            assert!(!usual_units(kind).is_empty());
            for text in usual_units(kind) {
                let (id, eaten) = read_unit(text).unwrap_or_else(|e| panic!("{text}: {e:?}"));
                assert_eq!(eaten, text.len(), "{text}");
                let id = super::super::parse::for_kind(id, kind);
                assert!(id.serves(kind), "{text} for {kind:?}");
                let printed = id.symbol_for(kind.into());
                assert_eq!(
                    read_unit(&printed).map(|(again, _)| super::super::parse::for_kind(again, kind)),
                    Ok(id),
                    "{printed}"
                );
            }
        }
    }

    #[test]
    fn a_unit_knows_its_kind_only_where_there_is_one() {
        let kind = |text: &str| read_unit(text).ok().and_then(|(id, _)| id.unit().kind);
        assert_eq!(kind("Nm"), Some(Kind::Torque));
        assert_eq!(kind("J"), Some(Kind::Energy));
        assert_eq!(kind("N*m"), None);
        assert_eq!(kind("rad/s"), Some(Kind::RotationalSpeed));
        assert_eq!(kind("1/s"), Some(Kind::Frequency));
        assert_eq!(kind("Nm/deg"), Some(Kind::RollStiffness));
        assert_eq!(kind("psi"), None);
        assert_eq!(kind("psig"), Some(Kind::GaugePressure));
        assert_eq!(kind("deg"), Some(Kind::Angle));
        assert_eq!(kind("mm/m"), Some(Kind::Number));
        assert_eq!(kind("K"), None);
        assert_eq!(kind("°C"), Some(Kind::Temperature));
    }
}
