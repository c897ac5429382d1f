//! The room to move of one value, told for a person: how far it may go either way, what stops it there, where it holds again beyond
//! a gap, and what would clear that which is broken already.

use super::page::{Look, Page, Style};
use super::summary::CAUTION;
use super::{Trouble, json};
use crate::assess::{Assessment, Border, Outcome, Room, RoomOf, Stop, Stretch};
use serde_json::{Value, json};

/// Broken and open judgements that are told one by one.
const MOST_TOLD: usize = 12;

/// The room to move of one value.
pub fn room(assessment: &Assessment, room: &Room, look: Look) -> String {
    let mut page = Page::new(look);
    let name = assessment.name.as_deref().unwrap_or("A build without a name");
    page.title(name, &format!("room to move, judged for {}", assessment.day));
    let now = room.now.map_or_else(|| "not written".to_string(), |now| room.shown(now));
    page.paragraph(Style::Strong, &format!("{}: {now}", room.path));
    let why = if room.usual { ", the usual range there" } else { "" };
    let searched = format!("{} to {}{why}", room.shown(room.searched.0), room.shown(room.searched.1));
    page.field("searched", &searched);
    if room.judgements.is_empty() {
        page.blank();
        page.paragraph(Style::Plain, "No rule rests on it, so nothing stops it.");
    } else {
        page.field("rests on it", &resting(room));
        page.blank();
        told(assessment, room, &mut page);
    }
    page.blank();
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

fn resting(room: &Room) -> String {
    match room.judgements.len() {
        1 => "one judgement".into(),
        n => format!("{n} judgements"),
    }
}

fn told(assessment: &Assessment, room: &Room, page: &mut Page) {
    match (room.around_now(), room.now) {
        (Some(stretch), Some(now)) => {
            page.paragraph(Style::Plain, "Nothing breaks that does not break now, from");
            page.rows(
                2,
                &[end(assessment, room, &stretch.from, now, true), end(assessment, room, &stretch.to, now, false)],
            );
        }
        _ if room.free.is_empty() => page.paragraph(Style::Plain, "No value in that range leaves everything unbroken."),
        _ => page.paragraph(Style::Plain, "Nothing breaks in these ranges:"),
    }
    let around = room.around_now();
    let others: Vec<&Stretch> = room.free.iter().filter(|stretch| Some(*stretch) != around).collect();
    if !others.is_empty() {
        if around.is_some() {
            page.paragraph(Style::Plain, "There are gaps; beyond them nothing breaks either:");
        }
        let rows: Vec<_> = others.iter().map(|stretch| (range(stretch), both_stops(assessment, stretch))).collect();
        page.rows(2, &rows);
    }
    let broken: Vec<&RoomOf> = room.judgements.iter().filter(|of| matches!(of.now, Outcome::Broken(_))).collect();
    clearing(assessment, &broken, "Broken now, and met by this value alone:", page);
    let open = |of: &&RoomOf| matches!(of.now, Outcome::Unproven(_) | Outcome::Beyond(_) | Outcome::Unmeasured { .. });
    let open: Vec<&RoomOf> = room.judgements.iter().filter(open).filter(|of| !of.met.is_empty()).collect();
    clearing(assessment, &open, "Open now, and met by this value alone:", page);
}

/// An end with the way to it, and what stops there.
fn end(assessment: &Assessment, room: &Room, border: &Border, now: f64, least: bool) -> (String, String) {
    let way = match room.way(border.si) {
        Some(way) if border.si != now => format!("{way} {}", if least { "less" } else { "more" }),
        _ => "no way to go".into(),
    };
    let word = if least { "" } else { "to " };
    (format!("{word}{} ({way})", border.shown), stops(assessment, border))
}

fn stops(assessment: &Assessment, border: &Border) -> String {
    if border.stops.is_empty() {
        return "nothing stops it there; the search ends".into();
    }
    border.stops.iter().map(|stop| stop_words(assessment, stop)).collect::<Vec<_>>().join("; ")
}

fn stop_words(assessment: &Assessment, stop: &Stop) -> String {
    let rule = assessment.index.rules.get(stop.rule).map_or("", |rule| &rule.name);
    let subject = if stop.subject.is_empty() { "the build" } else { &stop.subject };
    let case = stop.case.as_ref().map_or(String::new(), |case| format!(" (in {case})"));
    let subject = format!("{subject}{case}");
    match &stop.outcome {
        Outcome::Broken(class) => format!("{rule} on {subject} stops it: {} beyond", class.word()),
        Outcome::Unproven(_) => format!("beyond, its uncertainty leaves {rule} on {subject} unproven"),
        Outcome::Unmeasured { missing, .. } => {
            let needs: Vec<&str> = missing.iter().map(|m| &*m.path).collect();
            format!("beyond, {rule} on {subject} is unmeasured: needs {}", needs.join(", "))
        }
        Outcome::Beyond(words) => format!("beyond, {rule} on {subject} cannot be told: {}", words.join("; ")),
        outcome => format!("{rule} on {subject}: {} beyond", outcome.word()),
    }
}

fn range(stretch: &Stretch) -> String {
    if stretch.from.si == stretch.to.si {
        return stretch.from.shown.clone();
    }
    format!("{} to {}", stretch.from.shown, stretch.to.shown)
}

fn both_stops(assessment: &Assessment, stretch: &Stretch) -> String {
    let stops: Vec<String> = [&stretch.from, &stretch.to]
        .into_iter()
        .flat_map(|border| &border.stops)
        .map(|stop| stop_words(assessment, stop))
        .collect();
    let mut told: Vec<String> = Vec::new();
    for words in stops {
        if !told.contains(&words) {
            told.push(words);
        }
    }
    told.join("; ")
}

fn clearing(assessment: &Assessment, some: &[&RoomOf], words: &str, page: &mut Page) {
    if some.is_empty() {
        return;
    }
    page.blank();
    page.paragraph(Style::Plain, words);
    let row = |of: &&RoomOf| {
        let rule = assessment.index.rules.get(of.rule).map_or("", |rule| &rule.name);
        let ranges: Vec<String> = of.met.iter().map(range).collect();
        let ranges = if ranges.is_empty() { "nowhere in that range".into() } else { ranges.join(", ") };
        let case = of.case.as_ref().map_or(String::new(), |case| format!(" (in {case})"));
        (format!("{rule} on {}{case}", of.subject), ranges)
    };
    page.rows(2, &some.iter().take(MOST_TOLD).map(row).collect::<Vec<_>>());
    if some.len() > MOST_TOLD {
        page.paragraph(Style::Quiet, &format!("and {} more", some.len() - MOST_TOLD));
    }
}

/// The same for machines: numbers in SI; a border is `si`, `shown`, `stops` (`rule`, `subject`, `outcome`).
pub fn room_json(assessment: &Assessment, room: &Room, errors: &[Trouble]) -> Value {
    let rule = |number: usize| assessment.index.rules.get(number).map(|rule| &rule.name);
    let stop =
        |s: &Stop| json!({"rule": rule(s.rule), "subject": s.subject, "case": s.case, "outcome": s.outcome.word()});
    let border =
        |b: &Border| json!({"si": b.si, "shown": b.shown, "stops": b.stops.iter().map(stop).collect::<Vec<_>>()});
    let stretch = |s: &Stretch| json!({"from": border(&s.from), "to": border(&s.to)});
    let stretches = |all: &[Stretch]| all.iter().map(stretch).collect::<Vec<_>>();
    let of = |of: &RoomOf| {
        json!({
            "rule": rule(of.rule),
            "subject": of.subject,
            "case": of.case,
            "outcome": of.now.word(),
            "met": stretches(&of.met),
            "free": stretches(&of.free),
        })
    };
    json!({
        "name": assessment.name,
        "day": assessment.day.to_string(),
        "errors": json::errors_json(errors, &assessment.sources),
        "path": room.path,
        "kind": room.kind.name(),
        "now": room.now.map(|now| json!({"si": now, "shown": room.shown(now)})),
        "searched": {"from": room.searched.0, "to": room.searched.1, "usual": room.usual},
        "free": stretches(&room.free),
        "judgements": room.judgements.iter().map(of).collect::<Vec<_>>(),
        "caution": CAUTION,
    })
}
