//! The measuring round: what is to be measured, in the order of a walk around the car, tool by tool.
//!
//! In come an assessment and its spec; out come the values that open outcomes wait for, those that are too uncertain and those on
//! which verdicts rest though they are only assumed, each with its place, its tool and what stands there now. What is no single
//! value, a list or a section, is to be written by hand.

use super::assessment::{Assessment, Outcome};
use super::budget::budget;
use super::detail::shown;
use super::missing::needed;
use crate::language::{Piece, Role};
use crate::quantity::{Kind, UnitId, parse, usual_units};
use crate::terms::{Asked, FieldType, PlaceId, Spec, Station, Tool};
use std::collections::BTreeMap;

/// What is to be measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Round {
    /// Single values, in the order of the walk.
    pub lines: Vec<RoundLine>,
    /// Lists and sections, which have to be written by hand: path and description.
    pub by_hand: Vec<(String, String)>,
}

/// One value of the round.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundLine {
    /// Its path.
    pub path: String,
    /// Where it is measured, if the terms say.
    pub station: Option<Station>,
    /// What with.
    pub tool: Tool,
    /// What it is and how a builder measures it.
    pub description: String,
    /// What is to be filled in.
    pub blank: Blank,
    /// What stands there now, in words; none if it is not written.
    pub now: Option<String>,
    /// Why it is asked for.
    pub why: Why,
}

/// What is to be filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Blank {
    /// A number with a unit, and its uncertainty with another.
    Quantity {
        /// The unit, as printed; empty for a plain number.
        unit: String,
        /// The unit of the uncertainty.
        difference: String,
    },
    /// Three of them.
    Point {
        /// The unit.
        unit: String,
    },
    /// One of these words.
    Choice(Vec<String>),
    /// Anything else, with an example.
    Text {
        /// An example, if the terms have one.
        example: Option<String>,
    },
}

/// Why a value is asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// Open outcomes wait for it, alone or with others; perhaps because a measurement is stale.
    Missing {
        /// Outcomes for which nothing else is missing.
        settles_alone: usize,
        /// Outcomes for which it is one of several.
        helps: usize,
        /// It was measured before a change of what moves it.
        again: bool,
    },
    /// Its uncertainty leaves outcomes open.
    Uncertain {
        /// How many.
        open: usize,
        /// The uncertainty that would do, in words.
        would_do: Option<String>,
    },
    /// So many holding outcomes rest on it though it is only assumed.
    Assumed(usize),
}

/// The round of a build; `only` leaves out what it says no to, by path.
pub fn round(assessment: &Assessment, spec: &Spec, only: &dyn Fn(&str) -> bool) -> Round {
    let mut found: BTreeMap<String, RoundLine> = BTreeMap::new();
    let mut by_hand: BTreeMap<String, String> = BTreeMap::new();
    let mut ask = |path: &str, why: Why| {
        let Some(asked) = spec.asked(path).filter(|asked| only(path) || only(&asked.path)) else { return };
        match blank(&asked, spec) {
            Some(blank) => drop(found.entry(asked.path.clone()).or_insert_with(|| line(&asked, blank, why, spec))),
            None => drop(by_hand.insert(asked.path.clone(), asked.field.description.to_string())),
        }
    };
    for one in needed(assessment, spec) {
        let why = Why::Missing { settles_alone: one.settles_alone, helps: one.helps, again: one.again.is_some() };
        ask(&one.path, why);
    }
    for one in budget(assessment, spec).iter().filter(|one| !one.open.is_empty()) {
        let would_do = one.would_do.map(|si| one.shown(si));
        ask(&one.path, Why::Uncertain { open: one.open.len(), would_do });
    }
    for (place, rests) in assumed(assessment, spec) {
        ask(&spec.path(place), Why::Assumed(rests));
    }
    let mut lines: Vec<RoundLine> = found.into_values().collect();
    // What the terms place nowhere comes last.
    lines.sort_by(|a, b| {
        let station = |line: &RoundLine| line.station.map_or((1, None), |station| (0, Some(station)));
        station(a).cmp(&station(b)).then(a.tool.cmp(&b.tool)).then_with(|| a.path.cmp(&b.path))
    });
    Round { lines, by_hand: by_hand.into_iter().collect() }
}

/// Assumed values with the number of holding outcomes that rest on each.
fn assumed(assessment: &Assessment, spec: &Spec) -> BTreeMap<PlaceId, usize> {
    let assumptions = assessment.assumptions();
    let mut counted = BTreeMap::new();
    for judgement in assessment.judgements.iter().filter(|j| j.outcome == Outcome::Holds && assumptions.any(j)) {
        for flat in assessment.evidence(judgement) {
            if let (Piece::Place(place), true) = (&flat.piece, flat.role != Role::Considered)
                && spec.assumed().contains(place)
            {
                *counted.entry(*place).or_insert(0) += 1;
            }
        }
    }
    counted
}

fn line(asked: &Asked, blank: Blank, why: Why, spec: &Spec) -> RoundLine {
    RoundLine {
        path: asked.path.clone(),
        station: asked.station,
        tool: asked.tool,
        description: asked.field.description.to_string(),
        blank,
        now: now(spec, asked.place),
        why,
    }
}

/// What stands at a place, in words; none if nothing does.
pub fn now(spec: &Spec, place: Option<PlaceId>) -> Option<String> {
    let place = place?;
    let known = match spec.held(place) {
        crate::terms::Held::Unwritten => return None,
        crate::terms::Held::Quantity(quantity) => quantity.known_by,
        _ => None,
    };
    let words = shown(spec, place);
    Some(known.map_or(words.clone(), |known| format!("{words}, {}", known.word())))
}

/// The blank for a key; none for a list or a section.
fn blank(asked: &Asked, spec: &Spec) -> Option<Blank> {
    let example = asked.field.examples.first();
    Some(match &asked.field.ty {
        FieldType::Quantity(kind) => {
            let written = asked.place.and_then(|place| match spec.held(place) {
                crate::terms::Held::Quantity(quantity) => Some(quantity.unit),
                _ => None,
            });
            let unit = written.or_else(|| unit_of(example.map(|e| &**e), *kind));
            let symbol = |kind: Kind| unit.map_or(String::new(), |unit| unit.symbol_for(kind.into()));
            Blank::Quantity { unit: symbol(*kind), difference: symbol(kind.difference().unwrap_or(*kind)) }
        }
        FieldType::Point => Blank::Point { unit: "mm".into() },
        FieldType::YesNo => Blank::Choice(vec!["yes".into(), "no".into()]),
        FieldType::Choice(choices) => Blank::Choice(choices.iter().map(ToString::to_string).collect()),
        FieldType::Text | FieldType::Date | FieldType::Designation(_) | FieldType::Reference(_) => {
            Blank::Text { example: example.map(ToString::to_string) }
        }
        FieldType::Record(_) | FieldType::List(_) => return None,
    })
}

/// The unit in which the terms' example is written, else the first usual one.
fn unit_of(example: Option<&str>, kind: Kind) -> Option<UnitId> {
    let written = example.and_then(|example| parse(example.trim_matches('"'), kind).ok());
    written.or_else(|| parse(&format!("1 {}", usual_units(kind).first()?), kind).ok()).map(|written| written.unit)
}
