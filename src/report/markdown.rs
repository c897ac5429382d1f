//! Findings as Markdown (CommonMark) for a review comment or a build's summary page.
//!
//! Whatever a spec or a rule file says is escaped, so that it shows as what it is and can make no heading, link, picture, table cell or
//! HTML of its own; names after an at sign call nobody.

use super::errors::sentence;
use super::figures::without;
use super::picture::pictured;
use super::summary::{self, CAUTION};
use super::terminal::{concession, label_words, limit, source_words};
use super::{Judged, Total, cases};
use crate::assess::{Assessment, ConcessionState, Finding, Judgement, Outcome};
use crate::language::{Role, WorkingLine};
use crate::rulebook::Class;
use crate::source::{Sources, Span};
use std::fmt::Write as _;

/// How many findings of a build are explained; the others get a line each. Review services refuse comments without end.
const MOST_EXPLAINED: usize = 15;

/// A text as running Markdown in one line.
pub(super) fn text(written: &str) -> String {
    let shown = pictured(written);
    let shown = shown.trim();
    let mut out = String::with_capacity(shown.len() + 8);
    let mut before = '\n';
    // What would begin a list or underline a heading does so only at the beginning.
    let number = shown.chars().take_while(char::is_ascii_digit).count();
    for (at, c) in shown.chars().enumerate() {
        let begins = (at == 0 && matches!(c, '-' | '+' | '=' | ':'))
            || (number > 0 && at == number && matches!(c, '.' | ')'))
            || (before == ':' && c == '/')
            || (matches!(before, 'w' | 'W') && c == '.');
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '&' | '~' | '$' | '^' | '!' => {
                out.push('\\');
                out.push(c);
            }
            // Services turn a name behind an at sign into a call to that person; an empty comment parts the two.
            '@' => out.push_str("@<!-- -->"),
            c if begins => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
        before = c;
    }
    out
}

/// A text as code within a line.
pub(super) fn code(written: &str) -> String {
    let shown = pictured(written);
    let longest = shown.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest + 1);
    let pad = if shown.starts_with(['`', ' ']) || shown.ends_with(['`', ' ']) { " " } else { "" };
    format!("{fence}{pad}{shown}{pad}{fence}")
}

/// Lines as a block of code.
fn block(lines: &[String]) -> String {
    let shown: Vec<_> = lines.iter().map(|line| pictured(line)).collect();
    let longest = shown.iter().flat_map(|l| l.split(|c| c != '`').map(str::len)).max().unwrap_or(0);
    let fence = "`".repeat(longest.max(2) + 1);
    format!("{fence}text\n{}\n{fence}\n", shown.join("\n"))
}

fn place(sources: &Sources, span: Option<Span>, build: &str) -> String {
    let Some(span) = span else { return code(build) };
    let at = sources.position(span.file, span.start);
    code(&format!("{}:{}:{}", sources.name(span.file), at.line, at.column))
}

/// One build.
pub fn markdown_build(judged: &Judged) -> String {
    let a = judged.assessment;
    let mut out = format!("## {}\n\n", text(a.name.as_deref().unwrap_or("A build without a name")));
    let _ = writeln!(out, "{}, judged for {}\n", code(judged.path), a.day);
    let _ = writeln!(out, "{}\n", text(&summary::line(&a.counts(), judged.errors.len())));
    errors(judged, &mut out);
    let broken = a.broken();
    for (judgement, class, found) in broken.iter().take(MOST_EXPLAINED) {
        finding(judged, judgement, *class, found, &mut out);
    }
    if broken.len() > MOST_EXPLAINED {
        out.push_str("### More findings\n\n");
        for (judgement, class, found) in broken.iter().skip(MOST_EXPLAINED) {
            let at = place(&a.sources, found.points_at.span.or(judgement.span), judged.path);
            let covered = found.concession.as_ref().is_some_and(ConcessionState::in_force);
            let conceded = if covered { " (concession in force)" } else { "" };
            let _ = writeln!(
                out,
                "- *{}* {}: {}{conceded} ({at})",
                class.word(),
                text(rule(a, judgement)),
                text(&format!("{}{}", found.says, cases::broken_in(a, judgement)))
            );
        }
        out.push('\n');
    }
    for found in &a.concession_findings {
        let _ = writeln!(out, "### {}: concession for {}\n", found.class.word(), text(&found.concession.rule));
        let _ = writeln!(out, "**{}**\n", text(&sentence(&found.says)));
        let _ = writeln!(out, "- where: {}", place(&a.sources, Some(found.span), judged.path));
        let _ = writeln!(out, "- remedy: {}\n", text(&found.remedy));
    }
    open(a, &mut out);
    out
}

fn rule<'a>(a: &'a Assessment, judgement: &Judgement) -> &'a str {
    a.index.rules.get(judgement.rule).map_or("", |r| &r.name)
}

fn errors(judged: &Judged, out: &mut String) {
    let a = judged.assessment;
    if !judged.errors.is_empty() {
        out.push_str("### Errors of the spec\n\n");
    }
    for error in judged.errors {
        let remedy = error.remedy.as_deref().map_or(String::new(), |r| format!("; {}", text(r)));
        let at = place(&a.sources, Some(error.span), judged.path);
        let _ = writeln!(out, "- {at}: {}{remedy}", text(&error.message));
    }
    for (rule, subject) in &a.exhausted {
        let _ =
            writeln!(out, "- rule {} needs more steps on {} than one judgement may take", text(rule), text(subject));
    }
    if !judged.errors.is_empty() || !a.exhausted.is_empty() {
        out.push('\n');
    }
}

fn finding(judged: &Judged, judgement: &Judgement, class: Class, found: &Finding, out: &mut String) {
    let a = judged.assessment;
    let _ = writeln!(out, "### {}: {} on {}\n", class.word(), text(rule(a, judgement)), text(&judgement.subject));
    let _ = writeln!(out, "**{}**\n", text(&sentence(&found.says)));
    let field = |out: &mut String, name: &str, words: &str| {
        if !words.is_empty() {
            let _ = writeln!(out, "- {name}: {}", text(words));
        }
    };
    let at = place(&a.sources, found.points_at.span.or(judgement.span), judged.path);
    let used = found.points_at.used.map(|used| place(&a.sources, Some(used), judged.path));
    let _ = writeln!(out, "- where: {at}{}", used.map_or(String::new(), |used| format!(", used at {used}")));
    field(out, "limit", &judgement.margin.as_ref().map(limit).unwrap_or_default());
    field(out, "load cases", &cases::readings(a, judgement));
    field(out, "remedy", &found.remedy);
    field(out, "concession", &found.concession.as_ref().map(concession).unwrap_or_default());
    if let Some(worse) = &judgement.worse_open {
        field(out, "open", &format!("could be {}: needs {}", worse.class.word(), worse.needs.join(", ")));
    }
    out.push_str("\n<details><summary>Working, evidence and reasons</summary>\n\n");
    if !found.working.is_empty() {
        let lines = found.working.iter().flat_map(worked);
        let _ = writeln!(out, "{}", block(&lines.collect::<Vec<_>>()));
    }
    let required = a.index.rules.get(judgement.rule).map_or("", |r| &r.title);
    field(out, "required", required);
    for label in found.evidence.iter().filter(|l| l.role != Role::Considered) {
        if label.span.is_some() {
            let at = place(&a.sources, label.span, judged.path);
            let words = format!("{}: {}, {}", label.path, label.value, label_words(label));
            let _ = writeln!(out, "- {at}: {}", text(&words));
        } else {
            field(out, "table", &format!("{} {}", label.path, label.value));
        }
    }
    field(out, "broken by", &found.members.join(", "));
    field(out, "taken", &found.notes.join("; "));
    field(out, "why", &found.why);
    field(out, "measure", found.measure.as_deref().unwrap_or_default());
    field(out, "caution", found.caution.as_deref().unwrap_or_default());
    for source in &found.sources {
        field(out, "source", &source_words(source));
    }
    out.push_str("\n</details>\n\n");
}

/// A step of a working in lines; numbers that say no more than the symbols or the result are left out.
fn worked(line: &WorkingLine) -> Vec<String> {
    let mut lines = vec![match &*line.name {
        "" => line.symbols.clone(),
        name => format!("{name} = {}", line.symbols),
    }];
    if line.numbers != line.symbols && line.numbers != line.result {
        lines.push(format!("  {}", line.numbers));
    }
    lines.push(match &*line.result {
        "no" => "  which does not hold".into(),
        "yes" => "  which holds".into(),
        result => format!("  = {result}"),
    });
    lines
}

/// Outcomes that are neither holding nor broken nor for want of a value.
fn open(a: &Assessment, out: &mut String) {
    let open = |j: &&Judgement| matches!(j.outcome, Outcome::Unproven(_) | Outcome::Beyond(_));
    let open: Vec<&Judgement> = a.judgements.iter().filter(open).collect();
    if open.is_empty() {
        return;
    }
    out.push_str("### Not to be told\n\n");
    for judgement in open {
        let words = without(&judgement.outcome);
        let _ = writeln!(out, "- {} on {}: {}", text(rule(a, judgement)), text(&judgement.subject), text(&words));
    }
    out.push('\n');
}

/// What stands under all builds.
pub fn markdown_end(total: &Total) -> String {
    let mut out = String::new();
    if total.builds > 1 {
        let line = summary::line(&total.counts, total.with_errors);
        let _ = writeln!(out, "## {} builds\n\n{}\n", total.builds, text(&line));
    }
    let _ = writeln!(out, "*{CAUTION}*");
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

    /// Everything that Markdown gives meaning to, thickly.
    fn tricky() -> impl Strategy<Value = String> {
        let piece = prop_oneof![
            prop::sample::select(vec![
                "`",
                "``",
                "*",
                "_",
                "[a](b)",
                "![a](b)",
                "<b>",
                "</details>",
                "<!--",
                "-->",
                "#",
                "# ",
                "|",
                "||",
                "&lt;",
                "&",
                "~~",
                "$",
                "\\",
                "\n",
                "\n\n",
                "---",
                "===",
                "1. ",
                "1) ",
                "- ",
                "+ ",
                "> ",
                "    ",
                "\t",
                "@name",
                "http://x.y",
                "www.x.y",
                "[^1]",
                "[x]: y",
                ": ",
                "\u{1b}",
                "\u{202e}",
                "é",
                " ",
                "a",
                "{",
                "}",
            ])
            .prop_map(str::to_string),
            "\\PC{0,3}",
        ];
        prop::collection::vec(piece, 0..12).prop_map(|pieces| pieces.concat())
    }

    fn squeezed(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Text and code of a document; anything else but paragraphs, the lists that are ours and the comment that parts names is refused.
    fn rendered(markdown: &str) -> Result<String, String> {
        let mut out = String::new();
        for event in Parser::new_ext(markdown, Options::all().difference(Options::ENABLE_SMART_PUNCTUATION)) {
            match event {
                Event::Text(t) | Event::Code(t) => out.push_str(&t),
                Event::InlineHtml(t) if &*t == "<!-- -->" => {}
                Event::Start(Tag::Paragraph | Tag::List(None) | Tag::Item) => {}
                Event::End(TagEnd::Paragraph | TagEnd::List(false) | TagEnd::Item) => {}
                other => return Err(format!("{other:?}")),
            }
        }
        Ok(out)
    }

    proptest! {
        #[test]
        fn a_text_shows_as_what_it_is(written in tricky()) {
            for (before, behind) in [("", ""), ("- why: ", ""), ("words ", " words")] {
                let found = rendered(&format!("{before}{}{behind}\n", text(&written)));
                let wanted = format!("{}{}{behind}", before.trim_start_matches("- "), pictured(&written).trim());
                prop_assert_eq!(found.map(|f| squeezed(&f)), Ok(squeezed(&wanted)));
            }
        }

        #[test]
        fn code_shows_as_what_it_is(written in tricky()) {
            prop_assume!(!pictured(&written).trim().is_empty());
            let found = rendered(&format!("- {}: x\n", code(&written)));
            let wanted = format!("{}: x", pictured(&written));
            prop_assert_eq!(found.map(|f| squeezed(&f)), Ok(squeezed(&wanted)));
        }
    }
}
