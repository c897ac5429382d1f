//! Room to move: within which values of one place of a spec nothing breaks that holds now, and what stops it on either side;
//! and for one judgement, which values there would meet its requirement.
//!
//! [`room`] puts value after value in at the place, judges only what rests on it, and narrows every border between a value that
//! is met and one that is not. Between samples it looks where a margin dips or rises towards its limit, so that a gap which no
//! sample meets is still found. The uncertainty that is stated for the value stays as it is.

use super::assessment::{Assessment, Judgement, Outcome};
use super::cases::{cases, put_in};
use super::judge::Request;
use super::probe::{Probe, Reach, resting};
use super::tried::{Tried, span_of, values};
use crate::language::Overrides;
use crate::quantity::{self, Digits, Kind, UnitId};
use crate::search::{lowest_about, turning_between};
use crate::terms::{FieldType, Held, PlaceId, SpecQuantity};
use std::collections::BTreeMap;

/// How narrow a border is made, as a share of what is searched.
const NARROW: f64 = 1e-8;

/// How well the lowest point is found where a margin dips, as a share of what lies between the samples beside it.
const NEAR: f64 = 2e-4;

/// Most looks for the lowest point where a margin dips between samples.
const STEPS: usize = 16;

/// Digits that count in a border as it is shown.
const SHOWN_DIGITS: i32 = 4;

/// Which judgements are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RoomFor {
    /// Everything that rests on the place.
    All,
    /// One judgement, by its rule's number and its subject's place.
    One(usize, Option<PlaceId>),
}

/// Why there is no room to be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoRoom {
    /// What stands there is no quantity.
    NotAQuantity,
    /// It cannot be read, or the car has no such thing.
    NoValue,
}

/// The room to move of one value.
#[derive(Debug, Clone)]
pub struct Room {
    /// Its place.
    pub place: PlaceId,
    /// Its path.
    pub path: String,
    /// Its kind.
    pub kind: Kind,
    /// The unit in which it is written; of an unwritten one that of its example.
    pub unit: Option<UnitId>,
    /// The value as written, SI.
    pub now: Option<f64>,
    /// Least and greatest value that was tried, SI.
    pub searched: (f64, f64),
    /// Whether that is the range which is physically usual there.
    pub usual: bool,
    /// Where nothing breaks that does not break as written, in rising order; a value that is written lies in one of them.
    pub free: Vec<Stretch>,
    /// Each judgement that rests on it, in the order of the rulebook.
    pub judgements: Vec<RoomOf>,
}

/// The room that one judgement leaves.
#[derive(Debug, Clone)]
pub struct RoomOf {
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path.
    pub subject: String,
    /// The subject's place.
    pub place: Option<PlaceId>,
    /// The load case in which it is judged; none as written. Only rules that a case touches are judged in it too.
    pub case: Option<String>,
    /// The outcome now.
    pub now: Outcome,
    /// Where its requirement is met, or does not apply; in rising order.
    pub met: Vec<Stretch>,
    /// Where it is no worse than as written; in rising order.
    pub free: Vec<Stretch>,
}

/// Values from one border to another, both among them.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The least.
    pub from: Border,
    /// The greatest.
    pub to: Border,
}

/// An end of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Border {
    /// The last value within, SI.
    pub si: f64,
    /// The same with its unit, rounded so that it still lies within.
    pub shown: String,
    /// What comes out just outside; nothing where no value further on was tried.
    pub stops: Vec<Stop>,
}

/// What stops a value at a border.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// The rule's number in the rulebook.
    pub rule: usize,
    /// The subject's path.
    pub subject: String,
    /// The load case in which it does; none as written.
    pub case: Option<String>,
    /// What comes out just outside.
    pub outcome: Outcome,
}

/// A judgement by its rule and subject.
type Key = (usize, Option<PlaceId>);

/// The room to move of the value at `place`, as written and in the spec's load cases. `base` is the assessment of the spec as written, made from the same request
/// without overrides.
///
/// # Errors
/// Where no quantity stands or belongs there.
pub fn room(base: &Assessment, request: &Request, place: PlaceId, of: RoomFor) -> Result<Room, NoRoom> {
    let spec = request.spec;
    let Some(FieldType::Quantity(kind)) = spec.type_of(place).cloned() else { return Err(NoRoom::NotAQuantity) };
    let written = match spec.held(place) {
        Held::Quantity(written) => Some(*written),
        Held::Unwritten => None,
        _ => return Err(NoRoom::NoValue),
    };
    let span = span_of(spec, place, kind, written.as_ref());
    let unit = written.map(|w| w.unit).or(span.unit);
    let like = match (written, unit) {
        (Some(written), _) => written,
        (None, Some(unit)) => SpecQuantity { kind, si: 0.0, give_or_take: None, unit, known_by: None, taken: None },
        (None, None) => return Err(NoRoom::NoValue),
    };
    let wanted = Wanted { request, place, like, of, span: &span };
    let mut judgements = wanted.judgements(None, base, &Overrides::new(), None);
    let light = Request { figures: false, explained: false, only: None, ..*request };
    for (case, settings) in cases(spec) {
        let overrides = put_in(spec, &settings);
        // A case that sets the value itself does not ask what is written for it.
        if overrides.contains_key(&place) {
            continue;
        }
        let changed = resting(base, &base.found.touched(spec, &overrides));
        let again = base.again(&light, &overrides);
        judgements.extend(wanted.judgements(Some(case.name), &again, &overrides, Some(&changed)));
    }
    judgements.sort_by_key(|of| of.rule);
    let shown = |si: f64, least: bool| Border { si, shown: wanted.shown(si, least), stops: Vec::new() };
    let whole = vec![Stretch { from: shown(span.from, true), to: shown(span.to, false) }];
    let free = judgements.iter().fold(whole, |free, of| common(&free, &of.free));
    Ok(Room {
        place,
        path: spec.path(place),
        kind,
        unit,
        now: written.map(|w| w.si),
        searched: (span.from, span.to),
        usual: span.usual,
        free,
        judgements,
    })
}

fn key(judgement: &Judgement) -> Key {
    (judgement.rule, judgement.place)
}

/// What a judgement reads at one value.
#[derive(Debug, Clone)]
struct Reads {
    outcome: Outcome,
    /// How near to turning, where that is known.
    near: Option<f64>,
}

impl Reads {
    /// What a judgement reads that has no such subject any more.
    fn nothing() -> Reads {
        Reads { outcome: Outcome::NotApplicable, near: None }
    }

    fn of(judgement: Judgement) -> Reads {
        let near = judgement.margin.map(|m| m.share().unwrap_or(m.si()).abs());
        Reads { outcome: judgement.outcome, near }
    }

    fn is_met(&self) -> bool {
        matches!(self.outcome, Outcome::Holds | Outcome::NotApplicable)
    }

    /// Whether it is no worse than as written. What holds must go on holding; what is open must not break.
    fn is_free(&self, now: &Outcome) -> bool {
        match (now, &self.outcome) {
            (_, Outcome::Holds | Outcome::NotApplicable) => true,
            (Outcome::Broken(was), Outcome::Broken(is)) => is <= was,
            (Outcome::Holds, _) | (_, Outcome::Broken(_)) => false,
            _ => true,
        }
    }
}

/// What is searched.
struct Wanted<'a> {
    request: &'a Request<'a>,
    place: PlaceId,
    like: SpecQuantity,
    of: RoomFor,
    span: &'a Tried,
}

impl Wanted<'_> {
    /// The room that each judgement of an assessment leaves; `within` are the only rules that count, if given.
    fn judgements(
        &self,
        case: Option<String>,
        base: &Assessment,
        overrides: &Overrides,
        within: Option<&[usize]>,
    ) -> Vec<RoomOf> {
        let reach = Reach::new(base, self.request, overrides, self.place);
        let asked = |rule: &usize| match self.of {
            RoomFor::All => true,
            RoomFor::One(one, _) => *rule == one,
        };
        let counts = |rule: &usize| within.is_none_or(|within| within.contains(rule));
        let rules: Vec<usize> = reach.rules.iter().copied().filter(|rule| asked(rule) && counts(rule)).collect();
        let mut search = Search { wanted: self, case, samples: Vec::new(), probe: reach.probe() };
        let mut before: BTreeMap<Key, (String, Outcome)> = BTreeMap::new();
        for judgement in reach.judgements().filter(|j| rules.contains(&j.rule) && search.asked(j)) {
            before.insert(key(&judgement), (judgement.subject, judgement.outcome));
        }
        search.sample(&rules, &mut before);
        before.into_iter().map(|(key, (subject, now))| search.room_of(key, subject, now)).collect()
    }

    /// A value rounded in its unit to so many digits that count.
    fn rounded(&self, si: f64, digits: i32, round: fn(f64) -> f64) -> f64 {
        let unit = self.like.unit.unit();
        let value = unit.from_si(si, self.like.kind.into());
        if !value.is_finite() || value == 0.0 {
            return si;
        }
        let step = 10f64.powi(self.decimals(value, digits));
        // What halving or a unit's factor has left in the last bits is no reason to round away from a number.
        let near = (value * step).round();
        let whole = if (near - value * step).abs() < 1e-9 * near.abs() { near } else { round(value * step) };
        let rounded = whole / step;
        if self.like.kind == Kind::TemperatureDifference { unit.difference_to_si(rounded) } else { unit.to_si(rounded) }
    }

    fn decimals(&self, value: f64, digits: i32) -> i32 {
        (digits - 1 - value.abs().log10().floor() as i32).clamp(0, 12)
    }

    /// A border with its unit, rounded to the inner side.
    fn shown(&self, si: f64, least: bool) -> String {
        let inner = self.rounded(si, SHOWN_DIGITS, if least { f64::ceil } else { f64::floor });
        let value = self.like.unit.unit().from_si(inner, self.like.kind.into());
        let digits = (value != 0.0).then(|| Digits::Decimals(self.decimals(value, SHOWN_DIGITS) as u8));
        quantity::show(inner, self.like.kind.into(), Some(self.like.unit), digits)
    }
}

struct Search<'a> {
    wanted: &'a Wanted<'a>,
    case: Option<String>,
    /// Every value tried, in rising order, with what each judgement reads there.
    samples: Vec<(f64, BTreeMap<Key, Reads>)>,
    probe: Probe<'a>,
}

impl Search<'_> {
    fn asked(&self, judgement: &Judgement) -> bool {
        match self.wanted.of {
            RoomFor::All => true,
            RoomFor::One(rule, place) => key(judgement) == (rule, place),
        }
    }

    fn held(&self, si: f64) -> Held {
        Held::Quantity(SpecQuantity { si, ..self.wanted.like })
    }

    /// Tries values all over the span; judgements that are met with for the first time were not there as written.
    fn sample(&mut self, rules: &[usize], before: &mut BTreeMap<Key, (String, Outcome)>) {
        if rules.is_empty() {
            return;
        }
        for x in values(self.wanted.span) {
            let held = self.held(x);
            let mut reads = BTreeMap::new();
            for judgement in self.probe.judged(held, rules) {
                if self.asked(&judgement) {
                    let key = key(&judgement);
                    before.entry(key).or_insert_with(|| (judgement.subject.clone(), Outcome::NotApplicable));
                    reads.insert(key, Reads::of(judgement));
                }
            }
            self.samples.push((x, reads));
        }
    }

    /// What one judgement reads at a value.
    fn reads(&mut self, (rule, place): Key, x: f64) -> Reads {
        let held = self.held(x);
        let all = self.probe.judged(held, &[rule]);
        all.into_iter().find(|j| j.place == place).map_or_else(Reads::nothing, Reads::of)
    }

    fn room_of(&mut self, key: Key, subject: String, now: Outcome) -> RoomOf {
        let mut line: Vec<(f64, Reads)> = self
            .samples
            .iter()
            .map(|(x, reads)| (*x, reads.get(&key).cloned().unwrap_or_else(Reads::nothing)))
            .collect();
        self.look_between(key, &mut line);
        let met = self.stretches(key, &subject, &line, &Reads::is_met);
        // Mostly what holds is asked to go on holding, and borders are dear.
        let alike = now == Outcome::Holds || line.iter().all(|(_, reads)| reads.is_met() && reads.is_free(&now));
        let free = match alike {
            true => met.clone(),
            false => self.stretches(key, &subject, &line, &|reads: &Reads| reads.is_free(&now)),
        };
        RoomOf { rule: key.0, subject, place: key.1, case: self.case.clone(), now, met, free }
    }

    /// Adds values between the samples at which a margin that dips or rises towards its limit has turned.
    fn look_between(&mut self, key: Key, line: &mut Vec<(f64, Reads)>) {
        let mut found = Vec::new();
        for three in line.windows(3) {
            let [(low, a), (at, b), (high, c)] = three else { continue };
            let alike = a.is_met() == b.is_met() && b.is_met() == c.is_met();
            let (Some(near_a), Some(near), Some(near_c)) = (a.near, b.near, c.near) else { continue };
            let change = (near_a - near).abs().max((near_c - near).abs());
            if !alike || near > near_a || near > near_c || near > 4.0 * change {
                continue;
            }
            let met = b.is_met();
            let mut lowest: Option<(f64, f64, Reads)> = None;
            let about = [(*low, near_a), (*at, near), (*high, near_c)];
            lowest_about(about, NEAR * (high - low), STEPS, |x| {
                let reads = self.reads(key, x);
                let near = reads.near?;
                let score = if reads.is_met() == met { near } else { -near };
                if lowest.as_ref().is_none_or(|(least, ..)| score < *least) {
                    lowest = Some((score, x, reads));
                }
                Some(score)
            });
            found.extend(lowest.filter(|(.., reads)| reads.is_met() != met).map(|(_, x, reads)| (x, reads)));
        }
        line.extend(found);
        line.sort_by(|a, b| a.0.total_cmp(&b.0));
    }

    /// Where an answer is yes along a line of samples, with every border narrowed.
    fn stretches(
        &mut self,
        key: Key,
        subject: &str,
        line: &[(f64, Reads)],
        yes: &dyn Fn(&Reads) -> bool,
    ) -> Vec<Stretch> {
        let width = NARROW * (self.wanted.span.to - self.wanted.span.from);
        let mut out = Vec::new();
        let mut open: Option<Border> = None;
        let mut last: Option<&(f64, Reads)> = None;
        for sample in line {
            let (x, reads) = sample;
            match (last.filter(|l| yes(&l.1) != yes(reads)), yes(reads)) {
                (None, true) if last.is_none() => open = Some(self.border(*x, true, Vec::new())),
                (Some(outside), true) => {
                    let (si, stop) = self.turn(key, *x, outside, width, yes);
                    let stop = self.stop(key, subject, stop);
                    open = Some(self.border(si, true, vec![stop]));
                }
                (Some(inside), false) => {
                    let (si, stop) = self.turn(key, inside.0, sample, width, yes);
                    let stop = self.stop(key, subject, stop);
                    let to = self.border(si, false, vec![stop]);
                    out.extend(open.take().map(|from| Stretch { from, to }));
                }
                _ => {}
            }
            last = Some(sample);
        }
        if let (Some(from), Some((x, _))) = (open, last) {
            let to = self.border(*x, false, Vec::new());
            out.push(Stretch { from, to });
        }
        out
    }

    /// The last value with yes between one with yes and one with no, and what comes out just beyond it.
    fn turn(
        &mut self,
        key: Key,
        inside: f64,
        outside: &(f64, Reads),
        width: f64,
        yes: &dyn Fn(&Reads) -> bool,
    ) -> (f64, Outcome) {
        let mut beyond = outside.1.outcome.clone();
        let (si, _) = turning_between(inside, outside.0, width, |x| {
            let reads = self.reads(key, x);
            let answer = yes(&reads);
            if !answer {
                beyond = reads.outcome;
            }
            answer
        });
        // A limit is mostly a round number, and halving ends just beside it.
        let round = self.wanted.rounded(si, 6, f64::round);
        if (round - si).abs() <= 4.0 * width && yes(&self.reads(key, round)) { (round, beyond) } else { (si, beyond) }
    }

    fn stop(&self, key: Key, subject: &str, outcome: Outcome) -> Stop {
        Stop { rule: key.0, subject: subject.to_string(), case: self.case.clone(), outcome }
    }

    fn border(&self, si: f64, least: bool, stops: Vec<Stop>) -> Border {
        Border { si, shown: self.wanted.shown(si, least), stops }
    }
}

/// What two rows of stretches have in common; where both end at one value, both say what stops there.
fn common(a: &[Stretch], b: &[Stretch]) -> Vec<Stretch> {
    let mut out = Vec::new();
    for one in a {
        for other in b {
            let from = inner(&one.from, &other.from, one.from.si.total_cmp(&other.from.si));
            let to = inner(&one.to, &other.to, other.to.si.total_cmp(&one.to.si));
            if from.si <= to.si {
                out.push(Stretch { from, to });
            }
        }
    }
    out
}

fn inner(one: &Border, other: &Border, order: std::cmp::Ordering) -> Border {
    match order {
        std::cmp::Ordering::Greater => one.clone(),
        std::cmp::Ordering::Less => other.clone(),
        std::cmp::Ordering::Equal => {
            let stops = one.stops.iter().chain(&other.stops).cloned().collect();
            Border { stops, ..one.clone() }
        }
    }
}

impl Room {
    /// The stretch in which the value as written lies.
    pub fn around_now(&self) -> Option<&Stretch> {
        let now = self.now?;
        self.free.iter().find(|s| (s.from.si..=s.to.si).contains(&now))
    }

    /// A value with its unit.
    pub fn shown(&self, si: f64) -> String {
        quantity::show(si, self.kind.into(), self.unit, None)
    }

    /// The way from the value as written to another, with its unit and without a sign.
    pub fn way(&self, si: f64) -> Option<String> {
        let kind = self.kind.difference().unwrap_or(self.kind);
        Some(quantity::show((si - self.now?).abs(), kind.into(), self.unit, Some(Digits::Significant(3))))
    }
}
