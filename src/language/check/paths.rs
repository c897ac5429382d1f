//! Paths: names, keys, figures, items, neighbours and references become slots.

use super::super::code::{Code, EntryPart, IsA, Key, Odd, Op};
use super::super::error::{Fault, Problem};
use super::super::library::FigureSignature;
use super::super::syntax::{Expr, Neighbour, Word};
use super::super::types::Type;
use super::{Checked, Checker, FoundFigures, FoundKeys, nearest, neighbour, shown_takes};
use crate::quantity::{Kind, PartType};
use crate::source::SharedText;
use crate::terms::{Absence, FieldType, ListId, ListMembers, RecordId};
use std::ops::Range;
use std::sync::Arc;

/// What rules may ask of a written value.
const ENTRY_PARTS: [(&str, EntryPart, Type); 6] = [
    ("written", EntryPart::Written, Type::Text),
    ("usual", EntryPart::Usual, Type::Text),
    ("is_usual", EntryPart::IsUsual, Type::Truth),
    ("taken", EntryPart::Taken, Type::Date),
    ("changed", EntryPart::Changed, Type::Date),
    ("changed_by", EntryPart::ChangedBy, Type::Text),
];

fn odd_values(name: &str) -> Option<Odd> {
    match name {
        "unusual_values" => Some(Odd::Unusual),
        "stale_values" => Some(Odd::Stale),
        _ => None,
    }
}

impl Checker<'_> {
    pub(super) fn name(&mut self, name: &str, range: &Range<usize>) -> Checked {
        if let Some((text, ty, local)) = self.scope.iter().rev().find(|(n, ..)| &**n == name).cloned() {
            return Ok(self.code(Op::Local(local, text), ty, range));
        }
        if name == "inspection_day" {
            return Ok(self.code(Op::InspectionDay, Type::Date, range));
        }
        if let Some(odd) = odd_values(name) {
            return Ok(self.code(Op::OddValues(odd), Type::List(Arc::new(Type::Entry)), range));
        }
        let root = self.names.terms().root();
        let base = self.code(Op::Root, Type::Record([root].into()), range);
        let word = Word { text: name.into(), range: range.clone() };
        self.field(base, &word, range).map_err(|fault| match fault.problem {
            Problem::UnknownField { name, .. } => {
                let terms = self.names.terms();
                let known = terms.record(root).fields.iter().map(|f| f.name.to_string());
                let known = known.chain(self.scope.iter().map(|s| s.0.to_string()));
                let nearest = nearest(&name, known);
                Fault::new(Problem::UnknownName { name, nearest }, range.clone())
            }
            other => Fault::new(other, fault.range),
        })
    }

    /// The type of what stands at a key.
    pub(super) fn field_type(&self, ty: &FieldType) -> Type {
        match ty {
            FieldType::Quantity(kind) => Type::Quantity((*kind).into()),
            FieldType::Text => Type::Text,
            FieldType::Choice(choices) => Type::Choice(choices.clone()),
            FieldType::YesNo => Type::Truth,
            FieldType::Date => Type::Date,
            FieldType::Point => Type::Point,
            FieldType::Designation(kind) => Type::Designation(*kind),
            FieldType::Reference(list) => self.member_type(*list),
            FieldType::Record(record) => Type::Record([*record].into()),
            FieldType::List(list) => Type::List(Arc::new(self.member_type(*list))),
        }
    }

    pub(super) fn member_type(&self, list: ListId) -> Type {
        match &self.names.terms().list(list).members {
            ListMembers::Records(ids) => Type::Record(ids.clone().into()),
            ListMembers::Values(ty) => self.field_type(ty),
        }
    }

    /// The key in every record type that has it, and its type.
    pub(super) fn keys(&self, records: &[RecordId], name: &str, range: &Range<usize>) -> FoundKeys {
        let mut keys = Vec::new();
        let mut ty: Option<Type> = None;
        for record in records {
            let terms = self.names.terms();
            let record_type = terms.record(*record);
            let Some((slot, field)) = record_type.slot(name).and_then(|s| Some((s, record_type.field(s)?))) else {
                continue;
            };
            let here = self.field_type(&field.ty);
            match &ty {
                None => ty = Some(here),
                Some(known) if *known == here => {}
                Some(Type::Choice(known)) if matches!(here, Type::Choice(_)) => {
                    let Type::Choice(more) = here else { continue };
                    let all: Vec<SharedText> =
                        known.iter().cloned().chain(more.iter().filter(|m| !known.contains(m)).cloned()).collect();
                    ty = Some(Type::Choice(all.into()));
                }
                Some(Type::Record(known)) if matches!(here, Type::Record(_)) => {
                    let Type::Record(more) = here else { continue };
                    let all: Vec<RecordId> =
                        known.iter().copied().chain(more.iter().filter(|m| !known.contains(m)).copied()).collect();
                    ty = Some(Type::Record(all.into()));
                }
                Some(known) => return Err(self.wrong(&known.shown(terms), &here, range)),
            }
            keys.push(Key { record: *record, slot, unwritten_is_none: field.absent == Absence::None });
        }
        Ok(ty.map(|ty| (keys[..].into(), ty)))
    }

    pub(super) fn figures(&mut self, records: &[RecordId], name: &Word) -> FoundFigures {
        let mut figures = Vec::new();
        let mut signature: Option<FigureSignature> = None;
        for record in records {
            match self.names.figure(*record, &name.text) {
                None => {}
                Some(Err(problem)) => return Err(Fault::new(problem, name.range.clone())),
                Some(Ok(found)) => {
                    if let Some(known) = &signature
                        && known.ty != found.ty
                    {
                        let expected = known.ty.shown(self.names.terms());
                        return Err(self.wrong(&expected, &found.ty, &name.range));
                    }
                    figures.push((*record, found.id));
                    signature = Some(found);
                }
            }
        }
        Ok(signature.map(|s| (figures[..].into(), s)))
    }

    pub(super) fn field(&mut self, base: Code, word: &Word, range: &Range<usize>) -> Checked {
        let name: SharedText = word.text.as_str().into();
        match base.ty().clone() {
            Type::Record(records) => {
                if let Some((keys, ty)) = self.keys(&records, &name, &word.range)? {
                    return Ok(self.code(Op::Field { base: Box::new(base), keys }, ty, range));
                }
                if let Some((figures, signature)) = self.figures(&records, word)? {
                    if !signature.takes.is_empty() {
                        let takes = shown_takes(&signature.takes);
                        let problem = Problem::ArgumentCount { name: name.to_string(), takes, given: 0 };
                        return Err(Fault::new(problem, word.range.clone()));
                    }
                    let op = Op::Figure { base: Box::new(base), figures };
                    return Ok(self.code(op, signature.ty, range));
                }
                if let Some(which) = neighbour(&name) {
                    return self.neighbour(base, which, &records, word, range);
                }
                Err(self.unknown_field(&records, word))
            }
            Type::Fields(fields) => match fields.iter().position(|f| *f.0 == *name) {
                Some(at) => {
                    let ty = fields[at].1.clone();
                    Ok(self.code(Op::Part(Box::new(base), at as u16, name), ty, range))
                }
                None => {
                    let nearest = nearest(&name, fields.iter().map(|f| f.0.to_string()));
                    let problem =
                        Problem::UnknownField { name: name.to_string(), on: "this computed record".into(), nearest };
                    Err(Fault::new(problem, word.range.clone()))
                }
            },
            Type::Point => match ["x", "y", "z"].iter().position(|c| *c == &*name) {
                Some(at) => {
                    Ok(self.code(Op::Coordinate(Box::new(base), at), Type::Quantity(Kind::Length.into()), range))
                }
                None => {
                    let problem = Problem::UnknownField { name: name.to_string(), on: "a point".into(), nearest: None };
                    Err(Fault::new(problem, word.range.clone()))
                }
            },
            Type::Entry => match ENTRY_PARTS.iter().find(|(part, ..)| *part == &*name) {
                Some((_, part, ty)) => Ok(self.code(Op::EntryPart(Box::new(base), *part), ty.clone(), range)),
                None => {
                    let nearest = nearest(&name, ENTRY_PARTS.iter().map(|(part, ..)| (*part).to_string()));
                    let on = "a written value".into();
                    Err(Fault::new(Problem::UnknownField { name: name.to_string(), on, nearest }, word.range.clone()))
                }
            },
            Type::Designation(kind) => match kind.parts().iter().find(|p| p.0 == &*name) {
                Some((_, part)) => {
                    let ty = match part {
                        PartType::Quantity(kind) => Type::Quantity((*kind).into()),
                        PartType::Text => Type::Text,
                    };
                    Ok(self.code(Op::DesignationPart(Box::new(base), name), ty, range))
                }
                None => {
                    let nearest = nearest(&name, kind.parts().iter().map(|p| p.0.to_string()));
                    let problem =
                        Problem::UnknownField { name: name.to_string(), on: "this designation".into(), nearest };
                    Err(Fault::new(problem, word.range.clone()))
                }
            },
            other => {
                let on = other.shown(self.names.terms());
                Err(Fault::new(Problem::UnknownField { name: name.to_string(), on, nearest: None }, word.range.clone()))
            }
        }
    }

    pub(super) fn unknown_field(&self, records: &[RecordId], word: &Word) -> Fault {
        let terms = self.names.terms();
        let mut known = Vec::new();
        for record in records {
            known.extend(terms.record(*record).fields.iter().map(|f| f.name.to_string()));
            known.extend(self.names.figure_names(*record));
        }
        let on = Type::Record(records.into()).shown(terms);
        let nearest = nearest(&word.text, known.into_iter());
        Fault::new(Problem::UnknownField { name: word.text.clone(), on, nearest }, word.range.clone())
    }

    pub(super) fn neighbour(
        &mut self,
        base: Code,
        which: Neighbour,
        records: &[RecordId],
        word: &Word,
        range: &Range<usize>,
    ) -> Checked {
        let list = records.first().and_then(|r| self.names.terms().record(*r).in_list);
        let Some(list) = list else {
            return Err(Fault::new(Problem::NoNeighbours(word.text.clone()), word.range.clone()));
        };
        let member = self.member_type(list);
        let ty = match which {
            Neighbour::Before | Neighbour::After => member,
            Neighbour::AllBefore | Neighbour::AllAfter => Type::List(Arc::new(member)),
        };
        Ok(self.code(Op::Neighbour(Box::new(base), which, records.into()), ty, range))
    }

    pub(super) fn is_a(&mut self, base: &Expr, word: &Word, range: &Range<usize>) -> Checked {
        let code = self.check(base)?;
        let Type::Record(ids) = code.ty().clone() else {
            return Err(self.wrong("an item", code.ty(), &base.range));
        };
        let (records, kinds) = self.kinds(&ids, &word.text);
        if records.is_empty() && kinds.is_empty() {
            let terms = self.names.terms();
            let mut known = Vec::new();
            for id in ids.iter() {
                let record = terms.record(*id);
                known.extend(record.naming.and_then(|s| record.field(s)).map(|f| f.name.to_string()));
                if let Some(FieldType::Choice(choices)) =
                    record.slot("kind").and_then(|s| record.field(s)).map(|f| &f.ty)
                {
                    known.extend(choices.iter().map(ToString::to_string));
                }
            }
            return Err(self.unknown_choice(&word.text, known, &word.range));
        }
        let word: SharedText = word.text.as_str().into();
        let asked = IsA { base: code, word, records, kinds };
        Ok(self.code(Op::IsA(Box::new(asked)), Type::Truth, range))
    }

    /// The record types which a word names, and those whose `kind` may be that word.
    pub(super) fn kinds(&self, ids: &[RecordId], word: &str) -> (Vec<RecordId>, Vec<Key>) {
        let terms = self.names.terms();
        let (mut records, mut kinds) = (Vec::new(), Vec::new());
        for id in ids {
            let record = terms.record(*id);
            if record.naming.and_then(|s| record.field(s)).is_some_and(|f| &*f.name == word) {
                records.push(*id);
            }
            let Some(slot) = record.slot("kind") else { continue };
            let Some(field) = record.field(slot) else { continue };
            if matches!(&field.ty, FieldType::Choice(choices) if choices.iter().any(|c| &**c == word)) {
                kinds.push(Key { record: *id, slot, unwritten_is_none: false });
            }
        }
        (records, kinds)
    }

    pub(super) fn users(&mut self, inner: &Expr, range: &Range<usize>) -> Checked {
        let code = self.boxed(inner)?;
        let Type::Record(ids) = code.ty().clone() else {
            return Err(self.wrong("an item that can be referred to", code.ty(), &inner.range));
        };
        let terms = self.names.terms();
        let lists: Vec<ListId> = ids.iter().filter_map(|id| terms.record(*id).in_list).collect();
        let refers = |ty: &FieldType| match ty {
            FieldType::Reference(list) => lists.contains(list),
            FieldType::List(list) => {
                matches!(&terms.list(*list).members, ListMembers::Values(FieldType::Reference(l)) if lists.contains(l))
            }
            _ => false,
        };
        let users: Vec<RecordId> =
            terms.types().records().filter(|(_, r)| r.fields.iter().any(|f| refers(&f.ty))).map(|(id, _)| id).collect();
        if users.is_empty() {
            return Err(self.wrong("an item that can be referred to", code.ty(), &inner.range));
        }
        Ok(self.code(Op::Users(code), Type::records(users), range))
    }

    pub(super) fn along(&mut self, base: &Expr, word: &Word, range: &Range<usize>) -> Checked {
        let code = self.boxed(base)?;
        let Type::Record(start) = code.ty().clone() else {
            return Err(self.wrong("an item", code.ty(), &base.range));
        };
        let mut ids: Vec<RecordId> = start.to_vec();
        let mut at = 0;
        // A chain may lead through several record types: gather all that it can reach.
        while at < ids.len() {
            if let Some((_, ty)) = self.keys(&ids[at..=at], &word.text, &word.range)? {
                let Type::Record(next) = ty else {
                    return Err(self.wrong("a reference", &ty, &word.range));
                };
                let new: Vec<_> = next.iter().filter(|n| !ids.contains(n)).copied().collect();
                ids.extend(new);
            }
            at += 1;
        }
        let Some((keys, _)) = self.keys(&ids, &word.text, &word.range)? else {
            return Err(self.unknown_field(&start, word));
        };
        Ok(self.code(Op::Along(code, keys), Type::records(ids), range))
    }
}
