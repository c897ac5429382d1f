//! A comparison as Markdown (CommonMark with tables) for a review comment: what matters stands open, long parts are folded, and what does
//! not fit below [`COMMENT_LIMIT`] is said to be left out.

use super::super::errors::sentence;
use super::super::markdown::{code, text};
use super::super::summary::CAUTION;
use super::super::terminal::limit;
use super::super::{Trouble, cases};
use super::{BookWords, Compared, ComparedBuild, Revisions, words};
use crate::assess::Assessment;
use crate::history::compare::{Comparison, Manner, Turn, Verdict};
use crate::rulebook::Class;
use crate::source::Sources;
use std::fmt::Write as _;

/// Review services refuse comments of about 65,000 characters.
pub const COMMENT_LIMIT: usize = 60_000;

/// Room for the line that says what is left out, and for what stands below every report.
const CLOSING_ROOM: usize = 600;

/// Rows up to which a table stands open.
const MOST_OPEN: usize = 10;

/// All builds.
pub fn comparison_markdown(revisions: &Revisions, builds: &[ComparedBuild]) -> String {
    let mut page = Comment::default();
    let between = format!("{} to {}, judged for {}", code(&revisions.base), code(&revisions.head), revisions.day);
    for build in builds {
        match build {
            ComparedBuild::Both(compared) => both(compared, &between, &mut page),
            ComparedBuild::Added(path, assessment, troubles) => added(path, assessment, troubles, &between, &mut page),
            ComparedBuild::Removed(path, name) => {
                let name = text(name.unwrap_or("A build without a name"));
                page.block(&format!("## {name}\n\n{}, there no more; {between}\n\n", code(path)));
            }
        }
    }
    if builds.is_empty() {
        page.block(&format!("{between}: no build changed.\n\n"));
    } else if revisions.unchanged > 0 {
        page.block(&format!("{} unchanged.\n\n", words::plural(revisions.unchanged, "more build")));
    }
    page.finish()
}

/// A comment that is being written, no longer than it may be.
#[derive(Default)]
struct Comment {
    text: String,
    length: usize,
    left_out: usize,
}

impl Comment {
    /// Whether so much more fits.
    fn fits(&self, text: &str) -> bool {
        self.length + text.chars().count() + CLOSING_ROOM <= COMMENT_LIMIT
    }

    fn push(&mut self, text: &str) {
        self.text.push_str(text);
        self.length += text.chars().count();
    }

    /// A part that is written whole or left out.
    fn block(&mut self, text: &str) {
        if self.left_out == 0 && self.fits(text) {
            self.push(text);
        } else {
            self.left_out += text.lines().filter(|line| !line.is_empty()).count();
        }
    }

    /// A table, folded if it is long; rows that do not fit are left out.
    fn table(&mut self, title: &str, heads: &[&str], rows: &[Vec<String>]) {
        if rows.is_empty() {
            return;
        }
        let folded = rows.len() > MOST_OPEN;
        let title = match folded {
            true => format!("<details><summary>{title} ({})</summary>\n\n", rows.len()),
            false => format!("### {title}\n\n"),
        };
        let head = format!("{title}| {} |\n|{}\n", heads.join(" | "), " --- |".repeat(heads.len()));
        let end = if folded { "\n</details>\n\n" } else { "\n" };
        if self.left_out > 0 || !self.fits(&format!("{head}{end}")) {
            self.left_out += rows.len();
            return;
        }
        self.push(&head);
        for (at, row) in rows.iter().enumerate() {
            let cells: Vec<String> = row.iter().map(|cell| cell.replace('\n', " ")).collect();
            let row = format!("| {} |\n", cells.join(" | "));
            if !self.fits(&format!("{row}{end}")) {
                self.left_out += rows.len() - at;
                break;
            }
            self.push(&row);
        }
        self.push(end);
    }

    fn finish(mut self) -> String {
        if self.left_out > 0 {
            let lines = words::plural(self.left_out, "line");
            self.push(&format!(
                "**{lines} left out: a comment takes no more.** `tramgauge compare` tells the rest.\n\n"
            ));
        }
        self.push(&format!("*{CAUTION}*\n"));
        self.text
    }
}

fn errors(title: &str, troubles: &[Trouble], sources: &Sources, page: &mut Comment) {
    if troubles.is_empty() {
        return;
    }
    page.block(&format!("### {title}\n\n"));
    for trouble in troubles {
        let remedy = trouble.remedy.as_deref().map_or(String::new(), |r| format!("; {}", text(r)));
        page.block(&format!("- {}: {}{remedy}\n", code(&words::place(sources, trouble.span)), text(&trouble.message)));
    }
    page.block("\n");
}

fn added(path: &str, assessment: &Assessment, troubles: &[Trouble], between: &str, page: &mut Comment) {
    let name = text(assessment.name.as_deref().unwrap_or("A build without a name"));
    page.block(&format!("## {name}\n\n{}, a new build; {between}\n\n", code(path)));
    errors("Errors of the spec", troubles, &assessment.sources, page);
    page.block(&format!("{}\n\n", text(&words::added(assessment))));
    let row = |(judgement, class, finding): (&crate::assess::Judgement, Class, &crate::assess::Finding)| {
        let rule = assessment.index.rules.get(judgement.rule).map_or("", |r| &r.name);
        vec![class.word().to_string(), text(rule), text(&judgement.subject), text(&finding.says)]
    };
    let rows: Vec<_> = assessment.broken().into_iter().map(row).collect();
    page.table("Findings", &["class", "rule", "subject", "finding"], &rows);
}

fn both(compared: &Compared, between: &str, page: &mut Comment) {
    let c = compared.comparison;
    let name = text(c.after.name.as_deref().unwrap_or("A build without a name"));
    let moved = compared.old_path.map_or(String::new(), |old| format!(", before {}", code(old)));
    page.block(&format!("## {name}\n\n{}{moved}; {between}\n\n", code(compared.path)));
    errors("Errors of the older spec", compared.old_errors, &c.before.sources, page);
    errors("Errors of the spec", compared.errors, &c.after.sources, page);
    page.block(&format!("{}\n\n", text(&words::summary(c))));
    let urgent = |v: &&Verdict| match v.turn {
        Turn::New | Turn::Uncovered | Turn::GradedUp => true,
        Turn::Open => v.at_stake == Some(Class::Dangerous),
        _ => false,
    };
    for verdict in c.verdicts.iter().filter(urgent) {
        page.block(&told(c, verdict));
    }
    for found in &c.faulty_concessions {
        let at = code(&words::place(&c.after.sources, found.span));
        let says = text(&sentence(&found.says));
        page.block(&format!(
            "### new {}: concession\n\n**{says}**\n\n- where: {at}\n- remedy: {}\n\n",
            found.class.word(),
            text(&found.remedy)
        ));
    }
    margins(c, page);
    verdicts(c, "Better", &[Turn::Cleared, Turn::GradedDown], page);
    values(c, page);
    let open: Vec<&Verdict> = c.verdicts.iter().filter(|v| v.turn == Turn::Open && !urgent(v)).collect();
    let rows = open.into_iter().map(|v| {
        let needs = v.new.as_ref().map(words::needs).unwrap_or_default();
        vec![text(words::rule(c, v.rule)), text(&v.subject), text(&words::was(v)), text(&words::turn(v)), text(&needs)]
    });
    page.table("Cannot be told", &["rule", "subject", "before", "now", "needs"], &rows.collect::<Vec<_>>());
    verdicts(c, "Judged now", &[Turn::Judged], page);
    let figures = c.figures.iter().map(|m| {
        let name = c.after.index.figures.get(m.figure).map_or("", |f| &f.name);
        vec![text(name), text(&m.subject), text(&words::figure(m)), causes(c, &m.causes)]
    });
    page.table("Figures", &["figure", "subject", "moved", "because"], &figures.collect::<Vec<_>>());
    let concessions = c.concessions.iter().filter_map(|m| {
        let concession = m.concession()?;
        Some(vec![text(&concession.rule), text(&concession.subject), text(&words::concession(m))])
    });
    page.table("Concessions", &["rule", "subject", "what"], &concessions.collect::<Vec<_>>());
    verdicts(c, "Still there", &[Turn::Still], page);
    book(compared, page);
    for note in words::left_out(c).into_iter().chain(words::grouping(c)) {
        page.block(&format!("{}\n\n", text(&note)));
    }
}

fn causes(c: &Comparison, causes: &crate::history::compare::Causes) -> String {
    text(&words::causes_by_path(c, causes).join("; "))
}

/// What got worse, told in full.
fn told(c: &Comparison, verdict: &Verdict) -> String {
    let mut out = format!(
        "### {}: {} on {}\n\n",
        text(&words::turn(verdict)),
        text(words::rule(c, verdict.rule)),
        text(&verdict.subject)
    );
    let Some(new) = &verdict.new else { return out };
    let finding = new.finding.as_deref();
    let field = |out: &mut String, name: &str, words: &str| {
        if !words.is_empty() {
            let _ = writeln!(out, "- {name}: {}", text(words));
        }
    };
    if let Some(finding) = finding {
        let _ = writeln!(out, "**{}**\n", text(&sentence(&finding.says)));
        if let Some(span) = finding.points_at.span.or(new.span) {
            let _ = writeln!(out, "- where: {}", code(&words::place(&c.after.sources, span)));
        }
    }
    field(&mut out, "load cases", &cases::readings(&c.after, new));
    field(&mut out, "was", &words::was(verdict));
    field(&mut out, "limit", &new.margin.as_ref().map(limit).unwrap_or_default());
    if verdict.turn == Turn::Open {
        field(&mut out, "needs", &words::needs(new));
        field(&mut out, "could be", verdict.at_stake.map_or("", Class::word));
    }
    for cause in words::causes(c, &verdict.causes) {
        field(&mut out, "because", &cause);
    }
    field(&mut out, "remedy", finding.map_or("", |f| &f.remedy));
    let state = finding.and_then(|f| f.concession.as_ref());
    field(&mut out, "concession", &state.map(super::super::terminal::concession).unwrap_or_default());
    out.push('\n');
    out
}

fn margins(c: &Comparison, page: &mut Comment) {
    for (title, shrank) in [("Margins shrunk", true), ("Margins grown", false)] {
        let row = |m: &crate::history::compare::MarginMove| {
            vec![text(words::rule(c, m.rule)), text(&m.subject), text(&words::margin(m)), causes(c, &m.causes)]
        };
        let rows: Vec<_> = c.margins.iter().filter(|m| m.shrank == shrank).map(row).collect();
        page.table(title, &["rule", "subject", "margin", "because"], &rows);
    }
}

fn verdicts(c: &Comparison, title: &str, turns: &[Turn], page: &mut Comment) {
    let row = |v: &Verdict| {
        let says = v.new.as_ref().and_then(|j| j.finding.as_ref()).map_or(String::new(), |f| f.says.clone());
        let words = match v.turn {
            Turn::Still | Turn::GradedDown => says,
            _ => format!("was {}; {}", words::was(v), words::causes_by_path(c, &v.causes).join("; ")),
        };
        vec![text(&words::turn(v)), text(words::rule(c, v.rule)), text(&v.subject), text(words.trim_end_matches("; "))]
    };
    let rows: Vec<_> = c.verdicts.iter().filter(|v| turns.contains(&v.turn)).map(row).collect();
    page.table(title, &["", "rule", "subject", ""], &rows);
}

fn values(c: &Comparison, page: &mut Comment) {
    for (title, known) in [("Values", false), ("How values are known", true)] {
        let row = |change: &crate::history::compare::Change| {
            vec![text(&change.path), text(&words::change(change)), text(&words::places(c, change))]
        };
        let of = c.changes.iter().filter(|change| (change.manner == Manner::Known) == known);
        page.table(title, &["value", "change", "where"], &of.map(row).collect::<Vec<_>>());
    }
    let rows: Vec<_> = c.renamed.iter().map(|(old, new)| vec![text(old), text(new)]).collect();
    page.table("New names", &["before", "now"], &rows);
}

fn book(compared: &Compared, page: &mut Comment) {
    match &compared.book {
        None => {}
        Some(BookWords::Unusable(of, texts, troubles)) => {
            page.block(
                "### Changed rules\n\nWhat they do by themselves cannot be told: the older ones cannot be used.\n\n",
            );
            errors(&format!("Errors of the older {of}"), troubles, texts, page);
        }
        Some(BookWords::Change(change)) => {
            page.block("### Changed rules\n\nOn the older spec, the newer rules against the older ones:\n\n");
            for (word, rules) in [("new rule", &change.added), ("no longer a rule", &change.removed)] {
                for rule in rules {
                    page.block(&format!("- {word} {}\n", text(rule)));
                }
            }
            page.block(if change.moves.is_empty() { "\nNo outcome is another.\n\n" } else { "\n" });
            let word = |outcome: Option<&'static str>| outcome.unwrap_or("not judged").to_string();
            let row =
                |m: &crate::history::compare::BookMove| vec![text(&m.rule), text(&m.subject), word(m.old), word(m.new)];
            let rows: Vec<_> = change.moves.iter().map(row).collect();
            page.table("Outcomes by changed rules", &["rule", "subject", "before", "now"], &rows);
        }
    }
}
