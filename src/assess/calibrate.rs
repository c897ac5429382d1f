//! Calibration: runs the check pieces that the rules and tables carry, and looks whether they are complete.

use super::assessment::{Judgement, Outcome};
use super::judge::{Request, outcomes};
use crate::language::code::Op;
use crate::language::table::{Cell, Found};
use crate::language::{Code, Decision, Evaluator, Number, Overrides, Piece, Value};
use crate::quantity::Kind;
use crate::rulebook::{CheckPiece, Class, Reads, Rule, Rulebook, Subject, TablePiece, build_of};
use crate::source::Span;
use crate::terms::{Absence, Held, PlaceId, Spec, build_spec};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The result of a calibration.
#[derive(Debug, Clone, Default)]
pub struct Calibration {
    /// Every piece of every rule and table, in the order of the rulebook.
    pub pieces: Vec<PieceResult>,
    /// What the pieces leave open: rule or table, what is missing, and where the rule stands.
    pub gaps: Vec<(String, String, Span)>,
    /// Pieces of replaced rules which read otherwise on what stands in for them.
    pub changed: Vec<PieceResult>,
}

/// One piece.
#[derive(Debug, Clone)]
pub struct PieceResult {
    /// The rule or table.
    pub of: String,
    /// The piece's number, from 1.
    pub number: usize,
    /// What it must read.
    pub expected: String,
    /// How it went.
    pub verdict: PieceVerdict,
    /// Its place.
    pub place: Span,
}

/// How a piece went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PieceVerdict {
    /// It reads what it must.
    Reads,
    /// It reads something else, with what more there is to say.
    Differs(String),
    /// It is no spec that can be judged.
    Unusable(String),
}

impl Calibration {
    /// Whether every piece reads what it must and nothing is missing.
    pub fn sound(&self) -> bool {
        self.gaps.is_empty() && self.pieces.iter().all(|p| p.verdict == PieceVerdict::Reads)
    }
}

/// Runs all pieces of all rules (or of those whose name begins with `only`).
pub fn calibrate(rulebook: &Rulebook, day: Date, only: Option<&str>) -> Calibration {
    let mut calibration = Calibration::default();
    for (number, rule) in rulebook.rules.iter().enumerate() {
        if only.is_none_or(|o| rule.name.starts_with(o)) {
            rule_pieces(rulebook, number, rule, day, &mut calibration);
        }
    }
    for (at, info) in rulebook.tables.iter().enumerate() {
        if only.is_some_and(|o| !info.name.starts_with(o)) {
            continue;
        }
        for (n, piece) in info.pieces.iter().enumerate() {
            calibration.pieces.push(table_piece(rulebook, at, n, piece));
        }
    }
    for replaced in &rulebook.replaced {
        let Some(number) = rulebook.rules.iter().position(|r| r.name == replaced.stand_in) else { continue };
        for (n, piece) in replaced.pieces.iter().enumerate() {
            let verdict = match piece_spec(rulebook, piece) {
                Err(why) => PieceVerdict::Unusable(why),
                Ok(spec) => verdict(rulebook, number, &rulebook.rules[number], piece, &spec, day),
            };
            if verdict != PieceVerdict::Reads {
                calibration.changed.push(result(&replaced.name, n, piece, verdict));
            }
        }
    }
    calibration
}

fn result(of: &str, n: usize, piece: &CheckPiece, verdict: PieceVerdict) -> PieceResult {
    let expected = piece.reads.words().to_string();
    PieceResult { of: of.into(), number: n + 1, expected, verdict, place: piece.place }
}

/// The checked spec of a piece.
pub(super) fn piece_spec(rulebook: &Rulebook, piece: &CheckPiece) -> Result<Spec, String> {
    let build = build_of(piece, &rulebook.tree, &rulebook.texts).map_err(|path| {
        if path.is_empty() { "it is no map".to_string() } else { format!("`{path}` leads nowhere in it") }
    })?;
    let (spec, errors) = build_spec(&rulebook.library.terms, build);
    match errors.first() {
        None => Ok(spec),
        Some(error) => Err(format!("{} ({})", error.message(), spec.sources.slice(error.span))),
    }
}

/// The outcome of a rule on a piece's subjects that counts.
pub(super) fn reading(
    rulebook: &Rulebook,
    number: usize,
    rule: &Rule,
    piece: &CheckPiece,
    spec: &Spec,
    day: Date,
    overrides: &Overrides,
) -> (Option<Reads>, Vec<Judgement>) {
    let request = Request { spec, rulebook, day, figures: false, explained: false, only: None };
    let judged = outcomes(&request, number, rule, overrides);
    let worst = judged
        .iter()
        .filter(|j| piece.subject.as_ref().is_none_or(|s| *j.subject == **s))
        .map(|j| reads(&j.outcome))
        .max_by_key(|r| rank(*r));
    (worst, judged)
}

fn reads(outcome: &Outcome) -> Reads {
    match outcome {
        Outcome::Holds => Reads::Holds,
        Outcome::Broken(class) => Reads::Broken(*class),
        Outcome::Unmeasured { .. } => Reads::Unmeasured,
        Outcome::Unproven(_) => Reads::Unproven,
        Outcome::Beyond(_) => Reads::Beyond,
        Outcome::NotApplicable => Reads::NotApplicable,
    }
}

fn rank(reads: Reads) -> u8 {
    match reads {
        Reads::NotApplicable => 0,
        Reads::Holds => 1,
        Reads::Beyond => 2,
        Reads::Unmeasured => 3,
        Reads::Unproven => 4,
        Reads::Broken(class) => 5 + class as u8,
    }
}

fn verdict(
    rulebook: &Rulebook,
    number: usize,
    rule: &Rule,
    piece: &CheckPiece,
    spec: &Spec,
    day: Date,
) -> PieceVerdict {
    let (read, judged) = reading(rulebook, number, rule, piece, spec, day, &Overrides::new());
    match read {
        Some(read) if read == piece.reads => PieceVerdict::Reads,
        Some(read) => PieceVerdict::Differs(format!("{}{}", read.words(), more(&judged))),
        None => PieceVerdict::Differs("no such subject".into()),
    }
}

/// What helps to see why a piece reads otherwise.
fn more(judged: &[Judgement]) -> String {
    let mut words = Vec::new();
    for judgement in judged {
        match &judgement.outcome {
            Outcome::Unmeasured { missing, unreadable } => {
                let paths: Vec<_> =
                    missing.iter().map(|m| m.path.as_str()).chain(unreadable.iter().map(String::as_str)).collect();
                words.push(format!("{} needs {}", judgement.subject, paths.join(", ")));
            }
            Outcome::Beyond(why) => words.push(why.join(", ")),
            Outcome::Unproven(all) => words.extend(all.iter().map(|u| u.words.clone())),
            Outcome::Holds | Outcome::Broken(_) => {
                if let Some(m) = &judgement.margin {
                    words.push(format!("{}: {} {} {}", judgement.subject, m.value(), m.sign(), m.limit()));
                }
            }
            Outcome::NotApplicable => {}
        }
    }
    words.truncate(3);
    if words.is_empty() { String::new() } else { format!(" ({})", words.join("; ")) }
}

/// The nearest margins seen on both sides of a comparison, as shares of its limit.
#[derive(Debug, Clone, Copy, Default)]
struct Sides {
    holding: Option<f64>,
    broken: Option<f64>,
    without_share: [bool; 2],
}

fn rule_pieces(rulebook: &Rulebook, number: usize, rule: &Rule, day: Date, calibration: &mut Calibration) {
    let mut seen: Vec<Reads> = Vec::new();
    let mut sides: BTreeMap<u32, Sides> = BTreeMap::new();
    for (n, piece) in rule.pieces.iter().enumerate() {
        let spec = match piece_spec(rulebook, piece) {
            Ok(spec) => spec,
            Err(why) => {
                calibration.pieces.push(result(&rule.name, n, piece, PieceVerdict::Unusable(why)));
                continue;
            }
        };
        let verdict = verdict(rulebook, number, rule, piece, &spec, day);
        if verdict == PieceVerdict::Reads {
            seen.push(piece.reads);
            note_sides(rulebook, rule, &spec, day, &mut sides);
            for why in without_evidence(rulebook, number, rule, piece, &spec, day) {
                calibration.gaps.push((rule.name.to_string(), format!("piece {}: {why}", n + 1), piece.place));
            }
        }
        calibration.pieces.push(result(&rule.name, n, piece, verdict));
    }
    let mut gap = |words: String| calibration.gaps.push((rule.name.to_string(), words, rule.name_place));
    for (class, _) in rule.holds.iter() {
        if !seen.contains(&Reads::Broken(*class)) {
            gap(format!("no piece reads {}", class.word()));
        }
    }
    // A rule over odd values has no subject where nothing is odd, and its subjects are written.
    let over_odd = matches!(rule.subject.value(), Subject::Members { list, .. } if matches!(list.op, Op::OddValues(_)));
    let wanted: &[Reads] = if over_odd { &[Reads::NotApplicable] } else { &[Reads::Holds, Reads::Unmeasured] };
    for wanted in wanted {
        if !seen.contains(wanted) {
            gap(format!("no piece reads {}", wanted.words()));
        }
    }
    for (class, code) in rule.holds.iter() {
        code.walk(&mut |part| {
            if let Some(words) = uncovered(part, sides.get(&part.id)) {
                gap(format!("{} limit at `{}`: {words}", class.word(), text_of(rule, *class, part)));
            }
        });
    }
}

fn text_of(rule: &Rule, class: Class, part: &Code) -> String {
    let written = rule.written.iter().find(|w| w.0 == class).map_or("", |w| &w.1);
    written.get(part.range()).unwrap_or(written).to_string()
}

/// Records how near to their limits the comparisons of a rule come on a piece.
fn note_sides(rulebook: &Rulebook, rule: &Rule, spec: &Spec, day: Date, sides: &mut BTreeMap<u32, Sides>) {
    let overrides = Overrides::new();
    let mut evaluator = Evaluator::new(spec, &rulebook.library, &overrides, day);
    let list = match rule.subject.value() {
        Subject::Section { code, .. } => code,
        Subject::Members { list, .. } => list,
    };
    let found = evaluator.eval(list, &mut Vec::new());
    let subjects = match &found.value {
        Ok(Value::List(items)) => items.to_vec(),
        Ok(Value::Place(_)) => vec![found.clone()],
        _ => Vec::new(),
    };
    for subject in subjects {
        let mut frame = vec![None; usize::from(rule.locals).max(1)];
        frame[0] = Some(subject);
        let trace = evaluator.traced(|e| {
            for (at, (_, code)) in rule.with.iter().enumerate() {
                let value = e.eval(code, &mut frame);
                frame[at + 1] = Some(value);
            }
            for (_, code) in rule.holds.iter() {
                e.eval(code, &mut frame);
            }
        });
        for (id, reading) in trace {
            let Ok(Value::Truth(holds, Some(decision))) = &reading.value else { continue };
            if decision.code != id {
                continue;
            }
            let side = sides.entry(id).or_default();
            match decision.share {
                Some(share) => {
                    let share = if one_count_apart(decision) { 0.0 } else { share.abs() };
                    let nearest = if *holds { &mut side.holding } else { &mut side.broken };
                    *nearest = Some(nearest.map_or(share, |n| n.min(share)));
                }
                None => side.without_share[usize::from(*holds)] = true,
            }
        }
    }
}

/// Whether both sides are counts that differ by at most one: nothing can come nearer to such a limit.
fn one_count_apart(decision: &Decision) -> bool {
    let count = |n: &Number| n.dimension == Kind::Number.into() && n.si.fract() == 0.0;
    count(&decision.left) && count(&decision.right) && (decision.left.si - decision.right.si).abs() <= 1.0
}

/// What is missing for a comparison of numbers: a piece within 2 % of the limit on both sides.
fn uncovered(part: &Code, sides: Option<&Sides>) -> Option<String> {
    const NEAR: f64 = 0.02 + 1e-9;
    let Op::Comparison(_, left, _) = &part.op else { return None };
    if !matches!(left.ty(), crate::language::Type::Quantity(_)) {
        return None;
    }
    let Some(sides) = sides else { return Some("no piece reaches it".into()) };
    if sides.without_share != [false, false] {
        let both =
            (sides.without_share[0] || sides.broken.is_some()) && (sides.without_share[1] || sides.holding.is_some());
        return (!both).then(|| "the pieces see only one side of it".into());
    }
    let near = |side: Option<f64>| side.is_some_and(|s| s <= NEAR);
    match (near(sides.holding), near(sides.broken)) {
        (true, true) => None,
        (false, true) => Some("no piece holds within 2 % of it".into()),
        (true, false) => Some("no piece breaks it within 2 %".into()),
        (false, false) => Some("no piece comes within 2 % of it on either side".into()),
    }
}

/// Takes away each value that an outcome rests on, one at a time: the outcome must become unmeasured, stay, or change through
/// a fallback that the rule states.
fn without_evidence(
    rulebook: &Rulebook,
    number: usize,
    rule: &Rule,
    piece: &CheckPiece,
    spec: &Spec,
    day: Date,
) -> Vec<String> {
    if !matches!(piece.reads, Reads::Broken(_) | Reads::Holds) {
        return Vec::new();
    }
    let request = Request { spec, rulebook, day, figures: false, explained: false, only: Some(number) };
    let base = super::judge::assess(&request, &Overrides::new());
    let mut places: Vec<PlaceId> = base
        .judgements
        .iter()
        .flat_map(|j| base.evidence(j))
        .filter_map(|f| if let Piece::Place(p) = f.piece { Some(p) } else { None })
        .filter(|p| is_written_value(spec, *p))
        .collect();
    places.sort();
    places.dedup();
    let mut out = Vec::new();
    for place in places {
        if spec.field(place).is_some_and(|f| f.absent == Absence::None) {
            continue;
        }
        let overrides = Overrides::from([(place, Held::Unwritten)]);
        let (read, after) = reading(rulebook, number, rule, piece, spec, day, &overrides);
        let fine = match read {
            None | Some(Reads::Unmeasured) => true,
            Some(read) => read == piece.reads || falls_back(rulebook, rule),
        };
        if !fine {
            let word = read.map_or("nothing", Reads::words);
            out.push(format!("without {} it reads {word}{}", spec.path(place), more(&after)));
        }
    }
    out
}

fn is_written_value(spec: &Spec, place: PlaceId) -> bool {
    !matches!(
        spec.held(place),
        Held::Unwritten | Held::None | Held::Unreadable | Held::Record { .. } | Held::List { .. }
    )
}

/// Whether a rule, or a figure that it uses, states what is to be used where a value is not known.
fn falls_back(rulebook: &Rulebook, rule: &Rule) -> bool {
    let mut queue: Vec<&Code> =
        rule.holds.iter().map(|h| &h.1).chain(rule.when.iter()).chain(rule.with.iter().map(|w| &w.1)).collect();
    let mut seen = Vec::new();
    while let Some(code) = queue.pop() {
        let mut found = false;
        let mut figures = Vec::new();
        code.walk(&mut |part| match &part.op {
            Op::Otherwise(..) | Op::Best(_) | Op::IsGiven(_) | Op::Or(..) | Op::Any(..) => found = true,
            _ => figures.extend(part.figures().iter().map(|f| f.1)),
        });
        if found {
            return true;
        }
        for id in figures {
            if !seen.contains(&id) {
                seen.push(id);
                let figure = rulebook.library.figure(id);
                queue.push(&figure.is);
                queue.extend(figure.with.iter().map(|w| &w.1));
            }
        }
    }
    false
}

/// Looks up what a table piece asks for.
pub(super) fn table_finds(rulebook: &Rulebook, at: usize, piece: &TablePiece) -> Result<Cell, String> {
    let table = &rulebook.library.tables[at];
    match table.find(&piece.keys) {
        Err(column) => Err(format!("beyond ({})", table.columns[column].name)),
        Ok(Found::Row(row)) => Ok(table.rows[row][piece.column].clone()),
        Ok(Found::Between { low, high, share, .. }) => {
            match (&table.rows[low][piece.column], &table.rows[high][piece.column]) {
                (Cell::Number(a, unit), Cell::Number(b, _)) => Ok(Cell::Number(a + (b - a) * share, *unit)),
                _ => Err("beyond".into()),
            }
        }
    }
}

/// Whether a table piece reads what it must.
pub(super) fn table_reads(rulebook: &Rulebook, at: usize, piece: &TablePiece) -> bool {
    match (table_finds(rulebook, at, piece), &piece.reads) {
        (Err(_), None) => true,
        (Ok(Cell::Number(a, _)), Some(Cell::Number(b, _))) => (a - b).abs() <= 1e-6 * a.abs().max(b.abs()),
        (Ok(found), Some(wanted)) => found == *wanted,
        _ => false,
    }
}

fn table_piece(rulebook: &Rulebook, at: usize, n: usize, piece: &TablePiece) -> PieceResult {
    let column = &rulebook.library.tables[at].columns[piece.column];
    let shown = |cell: &Cell| match (cell, &column.ty) {
        (Cell::Number(si, unit), crate::language::table::ColumnType::Number(d)) => {
            crate::quantity::show(*si, *d, *unit, None)
        }
        (Cell::Word(word), _) => word.to_string(),
        (Cell::Truth(t), _) => if *t { "yes" } else { "no" }.into(),
        _ => "none".into(),
    };
    let verdict = if table_reads(rulebook, at, piece) {
        PieceVerdict::Reads
    } else {
        PieceVerdict::Differs(match table_finds(rulebook, at, piece) {
            Ok(cell) => shown(&cell),
            Err(why) => why,
        })
    };
    PieceResult {
        of: format!("table {}", rulebook.tables[at].name),
        number: n + 1,
        expected: piece.reads.as_ref().map_or("beyond".into(), shown),
        verdict,
        place: piece.place,
    }
}
