//! A value that would meet the limit of a broken rule: computed, in the author's unit, on the safe side, and of the sizes
//! that the trade sells where the key has such.
//!
//! Nothing is offered by guess: the whole build is judged again with the value in place, and only what clears the finding
//! and raises no other is shown.

use super::{Asked, Offer};
use crate::assess::{Finding, Judgement, Outcome, Request, Room, RoomFor, Stretch, room};
use crate::editor::proposals::quoted;
use crate::editor::steps::{put, steps_to};
use crate::language::{Overrides, Piece, Role};
use crate::quantity::{Designation, parse, show};
use crate::source::{EditStep, EditedFile, NewValue};
use crate::terms::{Field, FieldType, Held, PlaceId, SpecQuantity};

/// How many values of one finding are tried.
const MOST_VALUES: usize = 6;

/// Values that meet the findings at what is marked.
pub fn offers(asked: &Asked) -> Vec<Offer> {
    let judged = asked.judged;
    let broken = judged.assessment.broken().into_iter();
    let here = broken.filter(|(j, _, f)| judged.finding_at(f, j).is_some_and(|span| asked.touches(span)));
    here.flat_map(|(judgement, _, finding)| {
        let places = places(asked, judgement, finding);
        places.into_iter().filter_map(|place| Search::new(asked, judgement, place).offer(finding)).collect::<Vec<_>>()
    })
    .collect()
}

/// Written values that a finding turns on: the one it points at, those that decide it, and of those that feed what decides it
/// those that are chosen from sizes of the trade. What else feeds it is mostly not for the builder to choose.
fn places(asked: &Asked, judgement: &Judgement, finding: &Finding) -> Vec<PlaceId> {
    let spec = &asked.judged.spec;
    let sold = |place: PlaceId| spec.field(place).is_some_and(|field| !field.sizes.is_empty());
    let mut places: Vec<PlaceId> = spec.find(&finding.points_at.path).into_iter().collect();
    for flat in asked.judged.assessment.evidence(judgement) {
        let Piece::Place(place) = flat.piece else { continue };
        let turns = flat.role == Role::Decides || flat.role == Role::Feeds && sold(place);
        if turns && !places.contains(&place) {
            places.push(place);
        }
    }
    places.retain(|place| match spec.held(*place) {
        Held::Quantity(_) => true,
        Held::Designation(_) => sold(*place),
        _ => false,
    });
    places.truncate(MOST_VALUES);
    places
}

struct Search<'a> {
    asked: &'a Asked<'a>,
    judgement: &'a Judgement,
    place: PlaceId,
    request: Request<'a>,
}

/// A value as it would be written, and whether the trade sells it.
struct Candidate {
    text: String,
    sold: bool,
}

impl<'a> Search<'a> {
    fn new(asked: &'a Asked, judgement: &'a Judgement, place: PlaceId) -> Search<'a> {
        let (spec, rulebook) = (&asked.judged.spec, asked.book);
        let day = asked.judged.assessment.day;
        let request = Request { spec, rulebook, day, figures: false, explained: true, only: None };
        Search { asked, judgement, place, request }
    }

    fn offer(&self, finding: &Finding) -> Option<Offer> {
        let spec = &self.asked.judged.spec;
        let candidates = match spec.held(self.place) {
            Held::Quantity(now) => self.quantities(now)?,
            Held::Designation(now) => self.sizes_near(now),
            _ => return None,
        };
        let candidate = candidates.into_iter().find(|candidate| self.clears(&candidate.text))?;
        let changed = self.written(&candidate.text)?;
        let rule = self.asked.judged.assessment.index.rules.get(self.judgement.rule)?;
        let of_trade = if candidate.sold { ", a size of the trade" } else { "" };
        let path = spec.path(self.place);
        let title = format!("Meet `{}`: {path} {}{of_trade}", rule.name, candidate.text);
        let about = self.asked.judged.finding_at(finding, self.judgement);
        Some(Offer { title, mends: true, preferred: false, about, changed })
    }

    /// Sizes of the trade that meet the limit, the nearest first, then the limit itself; only where every value on one side
    /// of it meets it.
    fn quantities(&self, now: &SpecQuantity) -> Option<Vec<Candidate>> {
        let of = RoomFor::One(self.judgement.rule, self.judgement.place);
        let room = room(&self.asked.judged.assessment, &self.request, self.place, of).ok()?;
        let met = reached(&room, now.si)?;
        let sizes = self.field().map(|field| field.sizes.as_slice()).unwrap_or_default();
        let mut sold: Vec<(f64, &str)> = sizes
            .iter()
            .filter_map(|size| Some((parse(size, now.kind).ok()?.si, &**size)))
            .filter(|(si, _)| (met.from.si..=met.to.si).contains(si))
            .collect();
        sold.sort_by(|a, b| (a.0 - now.si).abs().total_cmp(&(b.0 - now.si).abs()));
        let own = |text: &str| parse(text, now.kind).is_ok_and(|read| read.unit == now.unit);
        // What is sold in the author's unit comes before what is sold in another.
        sold.sort_by_key(|(_, text)| !own(text));
        let border = if now.si < met.from.si { &met.from } else { &met.to };
        let mut found: Vec<Candidate> =
            sold.into_iter().map(|(_, text)| Candidate { text: text.to_owned(), sold: true }).collect();
        found.push(Candidate { text: border.shown.clone(), sold: false });
        Some(found)
    }

    /// Sizes of the trade of a designation, from the one that is written on, both ways.
    fn sizes_near(&self, now: &Designation) -> Vec<Candidate> {
        let sizes = self.field().map(|field| field.sizes.as_slice()).unwrap_or_default();
        let written = now.to_string();
        let family = |text: &str| text.chars().rev().take_while(|c| c.is_alphabetic()).collect::<String>();
        let sizes: Vec<&str> =
            sizes.iter().map(|size| &**size).filter(|size| family(size) == family(&written)).collect();
        let at = sizes.iter().position(|size| *size == written).unwrap_or(0);
        let mut numbered: Vec<(usize, &str)> = sizes.into_iter().enumerate().filter(|(n, _)| *n != at).collect();
        numbered.sort_by_key(|(n, _)| n.abs_diff(at));
        numbered.into_iter().map(|(_, text)| Candidate { text: text.to_owned(), sold: true }).collect()
    }

    fn field(&self) -> Option<&Field> {
        self.asked.judged.spec.field(self.place)
    }

    /// Whether the finding is gone with that value, and nothing is broken that was not.
    fn clears(&self, text: &str) -> bool {
        let spec = &self.asked.judged.spec;
        let held = match (spec.held(self.place), spec.type_of(self.place)) {
            (Held::Quantity(now), _) => {
                let Ok(read) = parse(text, now.kind) else { return false };
                Held::Quantity(SpecQuantity { si: read.si, unit: read.unit, ..*now })
            }
            (_, Some(FieldType::Designation(kind))) => {
                let Ok(read) = Designation::read(text, *kind) else { return false };
                Held::Designation(std::sync::Arc::new(read))
            }
            _ => return false,
        };
        let base = &self.asked.judged.assessment;
        let after = base.again(&self.request, &Overrides::from([(self.place, held)]));
        let key = |j: &Judgement| (j.rule, j.place, j.subject.clone());
        let mine = key(self.judgement);
        let met = after.judgements.iter().any(|j| key(j) == mine && j.outcome == Outcome::Holds);
        let before = |j: &Judgement| {
            let same =
                base.judgements.iter().find(|b| b.rule == j.rule && b.place == j.place && b.subject == j.subject);
            same.map(|b| &b.outcome)
        };
        met && after.judgements.iter().all(|j| match (&j.outcome, before(j)) {
            (Outcome::Broken(is), Some(Outcome::Broken(was))) => is <= was,
            (Outcome::Broken(_), _) => false,
            // What held must not become doubtful.
            (Outcome::Unproven(_) | Outcome::Unmeasured { .. }, Some(Outcome::Holds)) => false,
            _ => true,
        })
    }

    /// The value as it is put in, with the uncertainty that stood behind the old one.
    fn written(&self, text: &str) -> Option<crate::editor::steps::Changed> {
        let judged = self.asked.judged;
        let mut steps = steps_to(&judged.spec, self.place);
        let span = judged.spec.place(self.place).span;
        let texts = &judged.spec.sources;
        let file = EditedFile::read(texts.name(span.file), texts.text(span.file).as_bytes()).ok()?;
        if file.scalar(&steps).is_none() {
            steps.push(EditStep::Key { key: "is".into(), behind: Vec::new() });
        }
        let scalar = file.scalar(&steps)?;
        let mut new = text.to_owned();
        if let Some(FieldType::Quantity(kind)) = judged.spec.type_of(self.place)
            && let Some(uncertainty) = parse(scalar, *kind).ok()?.give_or_take
        {
            let unit = parse(text, *kind).ok()?.unit;
            let difference = kind.difference().unwrap_or(*kind);
            new = format!("{text} ± {}", show(uncertainty, difference.into(), Some(unit), None));
        }
        let value = if quoted(&new) == new { NewValue::Plain(new) } else { NewValue::Text(new) };
        put(judged, texts.name(span.file), &[(steps, value)], str::to_owned)
    }
}

/// The values that meet the limit, if they begin at a border on one side of the value and go on to the end of what is
/// searched.
fn reached(room: &Room, now: f64) -> Option<Stretch> {
    let [of] = &room.judgements[..] else { return None };
    let [met] = &of.met[..] else { return None };
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * room.searched.1.abs().max(room.searched.0.abs());
    let above = now < met.from.si && near(met.to.si, room.searched.1);
    let below = now > met.to.si && near(met.from.si, room.searched.0);
    (above || below).then(|| met.clone())
}
