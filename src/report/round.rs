//! The measuring round as a list that is filled in by hand and taken back, and for machines.
//!
//! A line is `PATH = BLANK ± BLANK (was VALUE)`, or `(not written)`; a line that begins with `#` is for the reader. What is said
//! in brackets at the end tells at the taking back whether the spec has changed since.

use super::Judged;
use super::json;
use super::page::wrapped;
use super::picture::pictured;
use crate::assess::{Assessment, Blank, Round, RoundLine, Why};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// What is to be written over.
const BLANK: &str = "______";

/// Columns to which the reader's lines are filled.
const WIDTH: usize = 98;

/// The list; `build` is how the command line names the build.
pub fn round(assessment: &Assessment, round: &Round, build: &str) -> String {
    let mut text = String::new();
    let name = assessment.name.as_deref().unwrap_or("A build without a name");
    say(&mut text, &format!("Measuring round: {name}, {}", assessment.day));
    say(
        &mut text,
        "Write each value with its unit over the first blank, and behind the plus-minus sign how far it may be off. Leave both blanks where nothing was measured.",
    );
    say(&mut text, &format!("Then: tramgauge needed {build} --take THIS-FILE --on DAY"));
    let mut stop = None;
    for line in &round.lines {
        let here = (line.station, line.tool);
        if stop != Some(here) {
            let station = line.station.map_or("elsewhere", |station| station.word());
            let _ = write!(text, "\n## {station}: {}\n", line.tool.word());
            stop = Some(here);
        }
        text.push('\n');
        say(&mut text, &format!("{} {}", line.description, why(line)));
        let now = line.now.as_ref().map_or("not written".into(), |now| format!("was {now}"));
        let _ = writeln!(text, "{} = {}   ({})", pictured(&line.path), blank(&line.blank), pictured(&now));
    }
    if !round.by_hand.is_empty() {
        text.push_str("\n## to be written into the spec by hand: lists and sections\n\n");
        for (path, description) in &round.by_hand {
            say(&mut text, &format!("{path}: {description}"));
        }
    }
    text
}

fn say(text: &mut String, words: &str) {
    for line in wrapped(&pictured(words), WIDTH) {
        let _ = writeln!(text, "# {line}");
    }
}

fn blank(blank: &Blank) -> String {
    let with = |unit: &str| format!("{BLANK} {unit}").trim_end().to_string();
    match blank {
        Blank::Quantity { unit, difference } => format!("{} \u{b1} {}", with(unit), with(difference)),
        Blank::Point { unit } => format!("[{0}, {0}, {0}] \u{b1} {0}", with(unit)),
        Blank::Choice(_) | Blank::Text { .. } => BLANK.into(),
    }
}

fn plural(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// Why it is asked for, and what may be written.
fn why(line: &RoundLine) -> String {
    let mut words = match &line.why {
        Why::Missing { settles_alone, helps, again } => {
            let again = if *again { "Its measurement is older than a change. " } else { "" };
            let settles = match (*settles_alone, *helps) {
                (0, helps) => format!("Helps to settle {helps}."),
                (alone, 0) => format!("Settles {alone}."),
                (alone, helps) => format!("Settles {alone}, helps with {helps}."),
            };
            format!("{again}{settles}")
        }
        Why::Uncertain { open, would_do } => {
            let do_it = would_do.as_ref().map_or(String::new(), |would_do| format!("; \u{b1} {would_do} would do"));
            format!("Not known well enough for {}{do_it}.", plural(*open, "verdict", "verdicts"))
        }
        Why::Assumed(rests) => format!("Assumed, and {} on it.", plural(*rests, "verdict rests", "verdicts rest")),
    };
    match &line.blank {
        Blank::Choice(choices) => words += &format!(" One of: {}.", choices.join(", ")),
        Blank::Text { example: Some(example) } => words += &format!(" For example {example}."),
        Blank::Quantity { .. } | Blank::Point { .. } | Blank::Text { example: None } => {}
    }
    words
}

/// The same for machines, with the errors of the spec.
pub fn round_json(judged: &Judged, round: &Round) -> Value {
    let assessment = judged.assessment;
    let one = |line: &RoundLine| {
        let (unit, choices) = match &line.blank {
            Blank::Quantity { unit, .. } | Blank::Point { unit } => (Some(unit), None),
            Blank::Choice(choices) => (None, Some(choices)),
            Blank::Text { .. } => (None, None),
        };
        let (because, would_do, outcomes) = match &line.why {
            Why::Missing { settles_alone, helps, again: false } => ("missing", None, settles_alone + helps),
            Why::Missing { settles_alone, helps, again: true } => ("stale", None, settles_alone + helps),
            Why::Uncertain { open, would_do } => ("uncertain", would_do.as_ref(), *open),
            Why::Assumed(rests) => ("assumed", None, *rests),
        };
        json!({
            "path": line.path,
            "where": line.station.map(|station| station.word()),
            "tool": line.tool.word(),
            "description": line.description,
            "unit": unit,
            "choices": choices,
            "now": line.now,
            "because": because,
            "outcomes": outcomes,
            "would_do": would_do,
        })
    };
    let by_hand: Vec<Value> =
        round.by_hand.iter().map(|(path, words)| json!({"path": path, "description": words})).collect();
    json!({
        "name": assessment.name,
        "day": assessment.day.to_string(),
        "errors": json::errors_json(judged.errors, &assessment.sources),
        "round": round.lines.iter().map(one).collect::<Vec<_>>(),
        "by_hand": by_hand,
    })
}
