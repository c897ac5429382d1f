//! What holds up a commit besides findings: open outcomes in which something bad could show.

use super::markdown;
use super::page::{Look, Page, Style};
use super::picture::pictured;
use crate::assess::{AtStake, HeldUp, Holding};
use crate::history::Known;
use crate::rulebook::{Class, Index};
use serde_json::{Value, json};

/// How many open outcomes are named.
const MOST_NAMED: usize = 5;

/// How far a build is, what holds it up there, and what does.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// Its stage, as it says it.
    pub stage: Option<&'a str>,
    /// From which class on something holds it up.
    pub holding: &'a Holding,
    /// What does.
    pub held: &'a HeldUp,
    /// The revision since which only what is new is reported, with what was known then.
    pub since: Option<(&'a str, Known)>,
}

/// Says what is left open that holds up a commit; empty if nothing is.
pub fn held_up(standing: &Standing, index: &Index, look: Look) -> String {
    let mut page = Page::new(look);
    if standing.held.any_open() {
        page.heading(Style::Plain, "held up", &[]);
        for (word, open) in both(standing.held) {
            page.field(word, &format!("{}: {}", at_stake(open), named(index, open)));
        }
        page.field("stage", &stage_words(standing.stage));
    }
    if let Some(known) = since_words(standing) {
        page.blank();
        page.paragraph(Style::Plain, &known);
    }
    let text = page.finish();
    if text.is_empty() { text } else { format!("\n{text}") }
}

/// The same in one line.
pub fn brief_held_up(path: &str, standing: &Standing) -> String {
    let held = line(standing).map(|line| format!("held up: {line}"));
    let lines = held.into_iter().chain(since_words(standing));
    lines.map(|line| format!("{}\n", pictured(&format!("{path}:1:1: {line}")))).collect()
}

/// The same as Markdown.
pub fn markdown_held_up(standing: &Standing) -> String {
    let held = line(standing).map(|line| format!("**Held up**: {}\n\n", markdown::text(&line)));
    let known = since_words(standing).map(|words| format!("{}\n\n", markdown::text(&words)));
    held.into_iter().chain(known).collect()
}

/// What a revision had already, for a machine: `revision`, `findings`, `open`; null where nothing was asked of one.
pub fn since_json(standing: &Standing) -> Value {
    let one = |(name, known): (&str, Known)| json!({"revision": name, "findings": known.findings, "open": known.open});
    standing.since.map_or(Value::Null, one)
}

fn since_words(standing: &Standing) -> Option<String> {
    let (name, known) = standing.since?;
    let plural = |n: usize| if n == 1 { "" } else { "s" };
    let (findings, open) = (known.findings, known.open);
    Some(format!(
        "not shown, for {name} had it too: {findings} finding{}, {open} open outcome{}",
        plural(findings),
        plural(open)
    ))
}

/// The same for a machine: `stage`, `findings` (how many), `unmeasured` and `unproven` (`rule`, `subject`, `class`).
pub fn held_up_json(standing: &Standing, index: &Index) -> Value {
    let rule = |o: &AtStake| index.rules.get(o.rule).map(|rule| &rule.name);
    let one = |o: &AtStake| json!({"rule": rule(o), "subject": o.subject, "class": o.class});
    let list = |open: &[AtStake]| open.iter().map(one).collect::<Vec<_>>();
    json!({
        "stage": standing.stage,
        "findings": standing.held.findings,
        "unmeasured": list(&standing.held.unmeasured),
        "unproven": list(&standing.held.unproven),
    })
}

fn line(standing: &Standing) -> Option<String> {
    let words: Vec<String> = both(standing.held).map(|(word, open)| format!("{word} {}", at_stake(open))).collect();
    (!words.is_empty()).then(|| format!("{}; stage {}", words.join(", "), stage_words(standing.stage)))
}

fn both(held: &HeldUp) -> impl Iterator<Item = (&'static str, &Vec<AtStake>)> {
    [("unmeasured", &held.unmeasured), ("unproven", &held.unproven)].into_iter().filter(|(_, open)| !open.is_empty())
}

/// How many, and what could show at worst.
fn at_stake(open: &[AtStake]) -> String {
    let count = |class| open.iter().filter(|o| o.class == class).count();
    let classes = Class::ALL.into_iter().map(|class| (count(class), class.word())).filter(|(n, _)| *n > 0);
    let words: Vec<String> = classes.map(|(n, word)| format!("{n} that could be {word}")).collect();
    words.join(", ")
}

fn named(index: &Index, open: &[AtStake]) -> String {
    let one = |o: &AtStake| format!("{} on {}", index.rules.get(o.rule).map_or("", |rule| &rule.name), o.subject);
    let mut words: Vec<String> = open.iter().take(MOST_NAMED).map(one).collect();
    if open.len() > MOST_NAMED {
        words.push(format!("and {} more", open.len() - MOST_NAMED));
    }
    words.join("; ")
}

fn stage_words(stage: Option<&str>) -> String {
    match stage {
        Some(stage) => stage.to_string(),
        None => "not written, so it counts as running; build.stage may be drawn, mock-up or running".into(),
    }
}
