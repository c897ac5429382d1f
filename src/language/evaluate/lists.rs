//! Lists: quantifiers, totals, extremes, counting, table rows.

use super::super::code::{Code, Members};
use super::super::evidence::Evidence;
use super::super::made::Fields;
use super::super::number::Number;
use super::super::syntax::{Extreme, Gather};
use super::super::table::{Cell, ColumnType, Found, Key, TableId};
use super::super::unknown::Unknown;
use super::super::value::{Decision, Reading, Value};
use super::compare::equal;
use super::logic::{Seen, seen, tighter, truth};
use super::{Evaluator, Frame, list, needed};
use crate::quantity::Dimension;
use smallvec::SmallVec;
use std::rc::Rc;
use std::sync::Arc;

/// Keys of a look-up, by their columns.
type TableKeys = SmallVec<[(usize, Key); 4]>;

/// A member of a list, with what its condition rests on and why it cannot be decided, if so.
struct Member {
    reading: Reading,
    doubt: Option<Unknown>,
    evidence: Evidence,
}

impl Evaluator<'_> {
    /// The members that count; one whose condition cannot be decided stays, in doubt.
    fn chosen_members(&mut self, members: &Members, frame: &mut Frame) -> Result<(Vec<Member>, Evidence), Reading> {
        let listed = self.eval(&members.list, frame);
        let items = match &listed.value {
            Ok(Value::List(items)) => items.clone(),
            Ok(_) => return Err(Reading::unknown(Unknown::none(), listed.evidence)),
            Err(_) => return Err(listed),
        };
        let mut out = Vec::new();
        let mut passed_over = listed.evidence;
        for item in items.iter() {
            set(frame, members.local, item.clone());
            let Some(condition) = &members.condition else {
                out.push(Member { reading: item.clone(), doubt: None, evidence: Evidence::NONE });
                continue;
            };
            let condition = self.eval(condition, frame);
            match seen(&condition) {
                Seen::True(_) => {
                    out.push(Member { reading: item.clone(), doubt: None, evidence: condition.evidence });
                }
                Seen::Unknown(doubt) => {
                    out.push(Member { reading: item.clone(), doubt: Some(doubt), evidence: condition.evidence });
                }
                Seen::False(_) | Seen::Nothing => {
                    let considered = self.evidence.considered(condition.evidence);
                    passed_over = self.evidence.join(passed_over, considered);
                }
            }
        }
        Ok((out, passed_over))
    }

    /// `each` (all = true) or `any` (all = false).
    #[inline(never)]
    pub(super) fn quantified(&mut self, all: bool, members: &Members, has: &Code, frame: &mut Frame) -> Reading {
        let (chosen, passed_over) = match self.chosen_members(members, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let mut deciding = Evidence::NONE;
        let mut considered = passed_over;
        let mut decided: Option<Option<Rc<Decision>>> = None;
        let mut decided_member: Option<Reading> = None;
        let mut open: Option<Unknown> = None;
        let mut nearest: Option<Rc<Decision>> = None;
        let mut settled = 0;
        for member in &chosen {
            set(frame, members.local, member.reading.clone());
            let result = self.eval(has, frame);
            let evidence = self.evidence.join(result.evidence, member.evidence);
            let outcome = match (seen(&result), &member.doubt) {
                // A member in doubt cannot decide; it can only leave things open.
                (Seen::True(_), Some(_)) if all => Seen::Nothing,
                (Seen::False(_), Some(_)) if !all => Seen::Nothing,
                (Seen::Unknown(u), Some(doubt)) => Seen::Unknown(u.and(doubt)),
                (Seen::Nothing, _) => Seen::Nothing,
                (_, Some(doubt)) => Seen::Unknown(doubt.clone()),
                (outcome, None) => outcome,
            };
            match (outcome, all) {
                (Seen::False(d), true) | (Seen::True(d), false) => {
                    let d = d.map(|d| with_member(&d, &member.reading));
                    deciding = self.evidence.join(deciding, evidence);
                    let tight = match &decided {
                        None => d,
                        Some(known) => merged(known.clone(), d),
                    };
                    decided_member.get_or_insert_with(|| member.reading.clone());
                    decided = Some(tight);
                }
                (Seen::True(d) | Seen::False(d), _) => {
                    settled += 1;
                    let d = d.map(|d| with_member(&d, &member.reading));
                    nearest = tighter(nearest, d);
                    considered = self.evidence.join(considered, evidence);
                }
                (Seen::Unknown(u), _) => {
                    open = Some(match open {
                        None => u,
                        Some(known) => known.and(&u),
                    });
                    deciding = if decided.is_none() { self.evidence.join(deciding, evidence) } else { deciding };
                }
                (Seen::Nothing, _) => {
                    settled += usize::from(member.doubt.is_some());
                    considered = self.evidence.join(considered, evidence);
                }
            }
        }
        if self.tracing()
            && let Some(member) = decided_member
        {
            set(frame, members.local, member);
            self.eval(has, frame);
        }
        if let Some(decision) = decided {
            return self.decided(truth(!all, decision), deciding, considered);
        }
        if let Some(unknown) = open {
            return self.decided(Err(unknown), deciding, considered);
        }
        if settled == 0 && all && !chosen.is_empty() {
            return Reading::unknown(Unknown::none(), considered);
        }
        Reading { value: truth(all, nearest), evidence: considered }
    }

    #[inline(never)]
    pub(super) fn gather(
        &mut self,
        gather: Gather,
        body: &Code,
        members: &Members,
        dimension: Dimension,
        frame: &mut Frame,
    ) -> Reading {
        let (chosen, passed_over) = match self.chosen_members(members, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let mut readings = Vec::new();
        for member in chosen {
            set(frame, members.local, member.reading.clone());
            let mut reading = self.eval(body, frame);
            if let Some(doubt) = member.doubt {
                reading.value = Err(match reading.value {
                    Ok(_) => doubt,
                    Err(u) => u.and(&doubt),
                });
            }
            reading.evidence = self.evidence.join(reading.evidence, member.evidence);
            readings.push(reading);
        }
        let considered = self.evidence.considered(passed_over);
        // A member that has no such value adds nothing to a total and is no candidate for an extreme.
        if gather != Gather::List {
            readings.retain(|r| !matches!(&r.value, Err(u) if u.is_none()));
        }
        let evidence = self.joined(&readings);
        let evidence = self.evidence.join(evidence, considered);
        if gather == Gather::List {
            return match needed(&readings) {
                Some(unknown) => Reading::unknown(unknown, evidence),
                None => Reading::known(list(readings), evidence),
            };
        }
        if let Gather::Extreme(extreme) = gather {
            if readings.is_empty() {
                return Reading::unknown(Unknown::none(), evidence);
            }
            let found = self.extreme(extreme, &readings);
            return Reading { value: found.value, evidence: self.evidence.join(found.evidence, considered) };
        }
        if let Some(unknown) = needed(&readings) {
            return Reading::unknown(unknown, evidence);
        }
        let mut total = Number::exact(0.0, dimension);
        for number in readings.iter().filter_map(Reading::number) {
            total.si += number.si;
            total.spread = total.spread.plus(&number.spread);
            total.unit = total.unit.or(number.unit);
        }
        Reading::known(Value::Number(total), evidence)
    }

    #[inline(never)]
    pub(super) fn extreme(&mut self, extreme: Extreme, readings: &[Reading]) -> Reading {
        let evidence = self.joined(readings);
        if let Some(unknown) = needed(readings) {
            return Reading::unknown(unknown, evidence);
        }
        let mut best: Option<&Reading> = None;
        for reading in readings {
            let Some(number) = reading.number() else { continue };
            let better = match best.and_then(Reading::number) {
                None => true,
                Some(known) => match extreme {
                    Extreme::Least => number.si < known.si,
                    Extreme::Greatest => number.si > known.si,
                },
            };
            if better {
                best = Some(reading);
            }
        }
        let Some(best) = best.cloned() else { return Reading::unknown(Unknown::none(), evidence) };
        self.decided(best.value, best.evidence, evidence)
    }

    #[inline(never)]
    pub(super) fn count(&mut self, members: &Members, frame: &mut Frame) -> Reading {
        let (chosen, passed_over) = match self.chosen_members(members, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let mut evidence = passed_over;
        let mut doubt: Option<Unknown> = None;
        for member in &chosen {
            evidence = self.evidence.join(evidence, member.reading.evidence);
            evidence = self.evidence.join(evidence, member.evidence);
            if let Some(why) = &member.doubt {
                doubt = Some(doubt.map_or_else(|| why.clone(), |d| d.and(why)));
            }
        }
        match doubt {
            Some(unknown) => Reading::unknown(unknown, evidence),
            None => Reading::known(Value::Number(Number::plain(chosen.len() as f64)), evidence),
        }
    }

    #[inline(never)]
    pub(super) fn first(&mut self, members: &Members, frame: &mut Frame) -> Reading {
        let (chosen, passed_over) = match self.chosen_members(members, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        match chosen.into_iter().next() {
            None => Reading::unknown(Unknown::none(), passed_over),
            Some(Member { doubt: Some(doubt), evidence, .. }) => Reading::unknown(doubt, evidence),
            Some(Member { reading, evidence, .. }) => {
                let evidence = self.evidence.considered(evidence);
                Reading { value: reading.value, evidence: self.evidence.join(reading.evidence, evidence) }
            }
        }
    }

    #[inline(never)]
    pub(super) fn contains(&mut self, value: Reading, listed: Reading) -> Reading {
        let evidence = self.evidence.join(value.evidence, listed.evidence);
        let readings = [value, listed];
        if let Some(unknown) = needed(&readings) {
            return Reading::unknown(unknown, evidence);
        }
        let [Reading { value: Ok(wanted), .. }, Reading { value: Ok(Value::List(items)), .. }] = &readings else {
            return Reading::unknown(Unknown::none(), evidence);
        };
        let evidence_of_items = self.joined(items);
        let evidence = self.evidence.join(evidence, evidence_of_items);
        let mut open: Option<Unknown> = None;
        for item in items.iter() {
            match &item.value {
                Ok(found) if equal(wanted, found) => return Reading { value: truth(true, None), evidence },
                Ok(_) => {}
                Err(unknown) => open = Some(open.map_or_else(|| unknown.clone(), |o| o.and(unknown))),
            }
        }
        Reading { value: open.map_or_else(|| truth(false, None), Err), evidence }
    }

    /// The keys of a table, by their columns, from their readings.
    fn table_keys(&mut self, keys: &[(usize, Code)], readings: &[Reading]) -> Result<(TableKeys, Evidence), Reading> {
        let evidence = self.joined(readings);
        if let Some(unknown) = needed(readings) {
            return Err(Reading::unknown(unknown, evidence));
        }
        let mut out = TableKeys::new();
        for ((column, _), reading) in keys.iter().zip(readings) {
            let key = match &reading.value {
                Ok(Value::Number(n)) => Key::Number(n.si),
                Ok(Value::Truth(t, _)) => Key::Truth(*t),
                Ok(Value::Text(word)) => Key::Word(word.clone()),
                Ok(value @ Value::Choice(..)) => Key::Word(value.word().unwrap_or_default().into()),
                _ => return Err(Reading::unknown(Unknown::none(), evidence)),
            };
            out.push((*column, key));
        }
        Ok((out, evidence))
    }

    fn cell(&mut self, table: TableId, row: usize, column: usize) -> Reading {
        let evidence = self.evidence.cell(table, row, column);
        let found = self.library.table(table);
        let value = match (&found.rows[row][column], &found.columns[column].ty) {
            (Cell::Number(si, unit), ColumnType::Number(dimension)) => {
                let mut number = Number::exact(*si, *dimension);
                number.unit = *unit;
                Ok(Value::Number(number))
            }
            (Cell::Word(word), ColumnType::Words(Some(choices))) => match choices.iter().position(|c| **c == **word) {
                Some(at) => Ok(Value::Choice(Arc::clone(choices), at as u16)),
                None => Ok(Value::Text(word.clone())),
            },
            (Cell::Word(word), _) => Ok(Value::Text(word.clone())),
            (Cell::Truth(value), _) => truth(*value, None),
            _ => Err(Unknown::none()),
        };
        Reading { value, evidence }
    }

    #[inline(never)]
    pub(super) fn look_up(
        &mut self,
        table: TableId,
        column: usize,
        given: &[(usize, Code)],
        readings: &[Reading],
    ) -> Reading {
        let (keys, evidence) = match self.table_keys(given, readings) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let library = self.library;
        let found = library.table(table);
        match found.find(&keys) {
            Err(at) => {
                let key = keys.iter().find(|k| k.0 == at);
                let shown = match key {
                    Some((_, Key::Number(si))) => match found.columns[at].ty {
                        ColumnType::Number(d) => crate::quantity::show(*si, d, None, None),
                        _ => String::new(),
                    },
                    Some((_, Key::Word(word))) => word.to_string(),
                    _ => String::new(),
                };
                let words = format!("the table of {} does not reach {} {shown}", found.title, found.columns[at].name);
                Reading::unknown(Unknown::beyond(words), evidence)
            }
            Ok(Found::Row(row)) => {
                let mut cell = self.cell(table, row, column);
                cell.evidence = self.evidence.join(evidence, cell.evidence);
                cell
            }
            Ok(Found::Between { low, high, share, key, apart }) => {
                let (a, b) = (self.cell(table, low, column), self.cell(table, high, column));
                let cells = self.evidence.join(a.evidence, b.evidence);
                let evidence = self.evidence.join(evidence, cells);
                match (a.number(), b.number()) {
                    (Some(x), Some(y)) => {
                        let mut number = x.clone();
                        number.si += (y.si - x.si) * share;
                        let by = given.iter().position(|given| given.0 == key).and_then(|at| readings.get(at));
                        if let Some(at) = by.and_then(Reading::number) {
                            number.spread = at.spread.scaled((y.si - x.si) / apart);
                        }
                        Reading::known(Value::Number(number), evidence)
                    }
                    _ => Reading::unknown(Unknown::none(), evidence),
                }
            }
        }
    }

    #[inline(never)]
    pub(super) fn rows(&mut self, table: TableId, given: &[(usize, Code)], readings: &[Reading]) -> Reading {
        let (keys, evidence) = match self.table_keys(given, readings) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let found = self.library.table(table);
        let mut rows = found.rows_with(&keys).peekable();
        if rows.peek().is_none() {
            let shown: Vec<String> = keys
                .iter()
                .filter_map(|(_, k)| if let Key::Word(w) = k { Some(w.to_string()) } else { None })
                .collect();
            let words = format!("the table of {} has no row for {}", found.title, shown.join(", "));
            return Reading::unknown(Unknown::beyond(words), evidence);
        }
        let names = found.fields();
        let mut readings = Vec::new();
        for row in rows {
            let cells = (0..found.columns.len()).map(|column| self.cell(table, row, column)).collect();
            readings.push(Reading::known(Value::Fields(Fields::read(cells, names.clone())), Evidence::NONE));
        }
        Reading::known(list(readings), evidence)
    }
}

/// Puts a value under a local name.
pub(super) fn set(frame: &mut Frame, local: u16, reading: Reading) {
    let at = usize::from(local);
    if frame.len() <= at {
        frame.resize(at + 1, None);
    }
    frame[at] = Some(reading);
}

fn with_member(decision: &Rc<Decision>, member: &Reading) -> Rc<Decision> {
    let Ok(Value::Place(place)) = member.value else { return decision.clone() };
    let mut named = (**decision).clone();
    named.members.insert(0, place);
    Rc::new(named)
}

/// The tighter decision, naming the members of both.
fn merged(a: Option<Rc<Decision>>, b: Option<Rc<Decision>>) -> Option<Rc<Decision>> {
    let members: Vec<_> = a.iter().chain(b.iter()).flat_map(|d| d.members.clone()).collect();
    tighter(a, b).map(|d| {
        let mut all = (*d).clone();
        all.members = members;
        Rc::new(all)
    })
}
