//! Where on the car a value is measured and with what: the stations of a walk around it, and the tools.
//!
//! The schema's keywords `where` and `tool` say it at a key, or at a section or definition for everything within; what says nothing of a
//! tool is measured with the one that is usual for its kind of quantity.

use super::spec::{Held, PlaceId, Spec, Step};
use super::take::below;
use super::types::{Field, FieldType};
use crate::quantity::Kind;

/// A stop of the walk around the car, in the order of walking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub enum Station {
    /// At the desk: data sheets, drawings, the build's book.
    Paper,
    /// At the bench: parts off the car.
    Bench,
    /// Around the outside of the car.
    Outside,
    /// At the axle that the value belongs to.
    Axle,
    /// At the front axle.
    FrontAxle,
    /// In the engine bay.
    EngineBay,
    /// In the cabin.
    Cabin,
    /// In the boot.
    Boot,
    /// At the rear axle.
    RearAxle,
    /// Below the car.
    Underbody,
    /// On the scales.
    Scales,
}

/// What a value is measured with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub enum Tool {
    /// Nothing but a look or a count.
    Eye,
    /// What is stamped, cast, moulded or printed on the part.
    Marking,
    /// The maker's words.
    DataSheet,
    /// The build's own drawing or decision.
    Drawing,
    /// Tape, rule and plumb line.
    Tape,
    /// Callipers and micrometers.
    Calliper,
    /// Angle finder, camber gauge.
    AngleFinder,
    /// Dial gauge.
    DialGauge,
    /// Feeler gauges and plasticine.
    FeelerGauge,
    /// Scales for masses.
    Scales,
    /// Spring balance, or a bathroom scale that is pressed on.
    SpringBalance,
    /// Torque wrench.
    TorqueWrench,
    /// Pressure gauge.
    PressureGauge,
    /// Thermometer, strip, logged sensor.
    Thermometer,
    /// Volts, amperes, ohms.
    Multimeter,
    /// Stopwatch.
    Stopwatch,
    /// Measuring jug.
    Jug,
    /// A tester or meter made for just this.
    Tester,
}

impl Station {
    /// Those that a schema may name, and those that come of [`Station::Axle`].
    pub const ALL: [Station; 11] = [
        Station::Paper,
        Station::Bench,
        Station::Outside,
        Station::Axle,
        Station::FrontAxle,
        Station::EngineBay,
        Station::Cabin,
        Station::Boot,
        Station::RearAxle,
        Station::Underbody,
        Station::Scales,
    ];

    /// The word for it, in a schema and on the list.
    pub fn word(self) -> &'static str {
        match self {
            Station::Paper => "paper",
            Station::Bench => "bench",
            Station::Outside => "outside",
            Station::Axle => "axle",
            Station::FrontAxle => "front axle",
            Station::EngineBay => "engine bay",
            Station::Cabin => "cabin",
            Station::Boot => "boot",
            Station::RearAxle => "rear axle",
            Station::Underbody => "underbody",
            Station::Scales => "scales",
        }
    }

    /// The station of that word.
    pub fn named(word: &str) -> Option<Station> {
        Station::ALL.into_iter().find(|station| station.word() == word)
    }

    /// Of the axle that a path names, which of the two.
    fn on_path(self, path: &str) -> Station {
        let names = |axle: &str| path.split(['.', '/', '_', ' ']).any(|part| part == axle);
        match self {
            Station::Axle if names("front") => Station::FrontAxle,
            Station::Axle if names("rear") => Station::RearAxle,
            other => other,
        }
    }
}

impl Tool {
    /// All of them.
    pub const ALL: [Tool; 18] = [
        Tool::Eye,
        Tool::Marking,
        Tool::DataSheet,
        Tool::Drawing,
        Tool::Tape,
        Tool::Calliper,
        Tool::AngleFinder,
        Tool::DialGauge,
        Tool::FeelerGauge,
        Tool::Scales,
        Tool::SpringBalance,
        Tool::TorqueWrench,
        Tool::PressureGauge,
        Tool::Thermometer,
        Tool::Multimeter,
        Tool::Stopwatch,
        Tool::Jug,
        Tool::Tester,
    ];

    /// The word for it, in a schema and on the list.
    pub fn word(self) -> &'static str {
        match self {
            Tool::Eye => "eye",
            Tool::Marking => "marking",
            Tool::DataSheet => "data sheet",
            Tool::Drawing => "drawing",
            Tool::Tape => "tape",
            Tool::Calliper => "calliper",
            Tool::AngleFinder => "angle finder",
            Tool::DialGauge => "dial gauge",
            Tool::FeelerGauge => "feeler gauge",
            Tool::Scales => "scales",
            Tool::SpringBalance => "spring balance",
            Tool::TorqueWrench => "torque wrench",
            Tool::PressureGauge => "pressure gauge",
            Tool::Thermometer => "thermometer",
            Tool::Multimeter => "multimeter",
            Tool::Stopwatch => "stopwatch",
            Tool::Jug => "measuring jug",
            Tool::Tester => "tester",
        }
    }

    /// The tool of that word.
    pub fn named(word: &str) -> Option<Tool> {
        Tool::ALL.into_iter().find(|tool| tool.word() == word)
    }

    /// The usual one for what stands at a key.
    fn usual(ty: &FieldType) -> Tool {
        match ty {
            FieldType::Point => Tool::Tape,
            FieldType::Designation(_) => Tool::Marking,
            FieldType::Quantity(kind) => match kind {
                Kind::Length | Kind::Area => Tool::Tape,
                Kind::Angle => Tool::AngleFinder,
                Kind::Volume => Tool::Jug,
                Kind::Mass => Tool::Scales,
                Kind::Force => Tool::SpringBalance,
                Kind::Torque => Tool::TorqueWrench,
                Kind::Pressure | Kind::GaugePressure | Kind::AbsolutePressure => Tool::PressureGauge,
                Kind::Temperature | Kind::TemperatureDifference => Tool::Thermometer,
                Kind::Voltage | Kind::Current | Kind::Resistance => Tool::Multimeter,
                Kind::Time => Tool::Stopwatch,
                Kind::Number => Tool::Eye,
                _ => Tool::DataSheet,
            },
            _ => Tool::Eye,
        }
    }
}

/// One value as the terms see it, written or not.
#[derive(Debug, Clone)]
pub struct Asked<'a> {
    /// Its path, cut off behind the key of a value: a point's coordinate is asked for with the point.
    pub path: String,
    /// The key that it stands at.
    pub field: &'a Field,
    /// Its place, if the record that it stands in is written.
    pub place: Option<PlaceId>,
    /// Where it is measured.
    pub station: Option<Station>,
    /// What with.
    pub tool: Tool,
}

impl Spec {
    /// The key at the end of a path, with all that the terms say of it, whether or not what leads there is written; none where the
    /// terms have no such key, or it is an item.
    pub fn asked(&self, path: &str) -> Option<Asked<'_>> {
        let (at, taken) = self.nearest(path)?;
        let mut said = Said::default();
        let mut above: Vec<PlaceId> = std::iter::successors(Some(at), |at| self.place(*at).parent).collect();
        above.reverse();
        let mut leaf = None;
        for place in above {
            if let Some(field) = self.field(place) {
                said.field(field);
                leaf = Some((field, place));
            }
            if let Held::Record { ty, .. } = self.held(place) {
                let record = self.types().record(*ty);
                said.add(record.station, record.tool);
            }
        }
        let rest = path.get(taken..).unwrap_or_default();
        let (mut field, mut place) = match leaf {
            Some((field, place)) if !matches!(self.place(at).at, Step::Item(_)) => (Some(field), Some(place)),
            _ => (None, None),
        };
        let mut cut = if matches!(self.place(at).at, Step::Axis(_)) { taken.saturating_sub(2) } else { taken };
        let mut records = self.records_at(at);
        for (key, item, end) in steps(rest) {
            if records.is_empty() {
                break;
            }
            if item {
                field = None;
            } else {
                let found = records.iter().find_map(|id| {
                    let record = self.types().record(*id);
                    Some((record, record.field(record.slot(key)?)?))
                });
                let (record, next) = found?;
                said.add(record.station, record.tool);
                said.field(next);
                field = Some(next);
                place = None;
                records = below(self, &next.ty);
            }
            cut = taken + end;
        }
        let field = field?;
        let path = path.get(..cut)?.to_string();
        let station = said.station.map(|station| station.on_path(&path));
        Some(Asked { station, tool: said.tool.unwrap_or(Tool::usual(&field.ty)), path, field, place })
    }

    /// The written place nearest to a path, and how many bytes of the path lead there.
    fn nearest(&self, path: &str) -> Option<(PlaceId, usize)> {
        let mut end = path.len();
        loop {
            if let Some(place) = self.find(path.get(..end)?) {
                return Some((place, end));
            }
            end = path.get(..end)?.rfind(['.', '/']).unwrap_or(0);
        }
    }

    /// The types of record that can stand at a place, or in the list there.
    fn records_at(&self, at: PlaceId) -> Vec<super::RecordId> {
        match (self.held(at), self.type_of(at)) {
            (Held::Record { ty, .. }, _) => vec![*ty],
            (_, Some(ty)) => below(self, ty),
            _ => Vec::new(),
        }
    }
}

/// The steps of the rest of a path: a key or an item's name, which of the two, and where it ends.
pub(super) fn steps(rest: &str) -> impl Iterator<Item = (&str, bool, usize)> {
    let mut from = 0;
    std::iter::from_fn(move || {
        let text = rest.get(from..).filter(|text| !text.is_empty())?;
        let item = text.starts_with('/');
        let key = text.strip_prefix(['.', '/']).unwrap_or(text);
        let length = key.find(['.', '/']).unwrap_or(key.len());
        from += text.len() - key.len() + length;
        Some((&key[..length], item, from))
    })
}

/// What has been said of place and tool so far; the innermost word counts.
#[derive(Default)]
struct Said {
    station: Option<Station>,
    tool: Option<Tool>,
}

impl Said {
    fn add(&mut self, station: Option<Station>, tool: Option<Tool>) {
        self.station = station.or(self.station);
        self.tool = tool.or(self.tool);
    }

    fn field(&mut self, field: &Field) {
        self.add(field.station, field.tool);
    }
}
