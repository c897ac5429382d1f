//! The review comment: whatever a spec says stays text, and a comment is never longer than review services take.

#[path = "common/bench.rs"]
mod bench;

use jiff::civil::date;
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser};
use std::sync::LazyLock;
use tramgauge::history::compare::{Asked, Comparison, compare};
use tramgauge::report::{COMMENT_LIMIT, Compared, ComparedBuild, Revisions, comparison_markdown};
use tramgauge::rulebook::Rulebook;

const RULES: &str = r#"
sources:
  - {source: practice, kind: practice, title: Common practice}
figures:
  - figure: slack
    of: rod in own.bench.parts where rod is rod
    is: rod.limit - rod.length
    means: what is left
rules:
  - rule: bench.rods
    title: Each rod is within its limit
    for: rod in own.bench.parts where rod is rod
    class: minor
    holds: rod.slack >= 10 mm
    says: "{rod} has {rod.slack}"
    why: x
    remedy: x
    sources: [practice]
"#;

static BOOK: LazyLock<Rulebook> =
    LazyLock::new(|| bench::rulebook(RULES).unwrap_or_else(|_| panic!("{:?}", bench::refusals(RULES))));

/// A bench of rods with these names: those of the first list are there before, those of the second after.
fn compared(before: &[(String, u32)], after: &[(String, u32)]) -> Comparison {
    let bench = |rods: &[(String, u32)]| {
        let rod = |(name, length): &(String, u32)| {
            let name = serde_json::Value::from(name.as_str());
            format!("  - {{rod: {name}, length: {length} mm, limit: 100 mm}}\n")
        };
        format!("parts:\n{}", rods.iter().map(rod).collect::<String>())
    };
    let (old, new) = (bench::spec(&BOOK, &bench(before)), bench::spec(&BOOK, &bench(after)));
    let day = date(2026, 6, 1);
    compare(&Asked { old: &old, new: &new, book: &BOOK, day, old_day: day })
}

fn comment(comparison: &Comparison, path: &str) -> String {
    let revisions = Revisions { base: path.into(), head: "HEAD".into(), day: date(2026, 6, 1), unchanged: 0 };
    let build = Compared { path, old_path: Some(path), comparison, old_errors: &[], errors: &[], book: None };
    comparison_markdown(&revisions, &[ComparedBuild::Both(build)])
}

/// Everything in a comment that is not text, in order.
fn structure(markdown: &str) -> Vec<String> {
    let of = |event: Event| match event {
        Event::Start(tag) => Some(format!("<{tag:?}>")),
        Event::End(tag) => Some(format!("</{tag:?}>")),
        Event::Code(_) => Some("code".into()),
        Event::Rule => Some("rule".into()),
        Event::TaskListMarker(_) => Some("task".into()),
        Event::FootnoteReference(_) => Some("footnote".into()),
        Event::InlineMath(_) | Event::DisplayMath(_) => Some("mathematics".into()),
        Event::Html(html) => Some(format!("html {html}")),
        // It parts an at sign from a name behind it.
        Event::InlineHtml(html) if &*html == "<!-- -->" => None,
        Event::InlineHtml(html) => Some(format!("html {html}")),
        Event::HardBreak => Some("break".into()),
        Event::Text(_) | Event::SoftBreak => None,
    };
    Parser::new_ext(markdown, Options::all() - Options::ENABLE_SMART_PUNCTUATION).filter_map(of).collect()
}

/// Three rods: one gets too long, one comes, one gets another name.
fn with_name(name: &str) -> Comparison {
    let rod = |suffix: &str, length| (format!("{name}{suffix}"), length);
    compared(&[rod("", 50), rod("a", 20)], &[rod("", 95), rod("b", 20), rod("c", 99)])
}

fn assert_stays_text(name: &str) {
    let shown = comment(&with_name(name), "build.yaml");
    assert_eq!(structure(&shown), structure(&comment(&with_name("rod"), "build.yaml")), "{name:?}\n{shown}");
}

#[test]
fn names_that_look_like_markdown_stay_text() {
    for name in [
        "`a`",
        "a`b``c",
        "a|b",
        "|",
        "<b>a</b>",
        "<script>alert(1)</script>",
        "a\\|b",
        "a\nb",
        "a\n\n# b",
        "# a",
        "- a",
        "1. a",
        "[a](https://example.org)",
        "![a](x)",
        "*a*",
        "_a_",
        "**",
        "~~a~~",
        "https://example.org",
        "www.example.org",
        "@a",
        "a@b.example",
        "&lt;",
        "&#64;",
        "</details>",
        "<!-- a",
        "$a$",
        "[^1]",
        ":a:",
        "a\\",
        "\\",
        "==a==",
        "> a",
        "    a",
        "\t",
        "#10-32",
        "---",
        "+ a",
        "a\r\n</summary>",
        "{{a}}",
        "[x]",
        "[[a]]",
        "^a^",
        "||a||",
    ] {
        assert_stays_text(name);
    }
}

#[test]
fn paths_and_revisions_stay_text() {
    let comparison = with_name("rod");
    let plain = structure(&comment(&comparison, "build.yaml"));
    for path in ["a`b/build.yaml", "a|b.yaml", "<b>/build.yaml", "``/x", "a b"] {
        assert_eq!(structure(&comment(&comparison, path)), plain, "{path}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn no_name_makes_an_element(name in "[-`|<>\\[\\]()!*_~#@&\\\\$^:.=+ a1\n/\"']{1,12}") {
        prop_assume!(!name.trim().is_empty());
        assert_stays_text(&name);
    }
}

#[test]
fn a_comment_is_never_too_long_and_says_what_it_leaves_out() {
    let rods = |length| (0..900).map(|at| (format!("rod of the bench number {at}"), length)).collect::<Vec<_>>();
    let comparison = compared(&rods(50), &rods(95));
    let shown = comment(&comparison, "build.yaml");
    assert!(shown.chars().count() < COMMENT_LIMIT, "{}", shown.chars().count());
    assert!(shown.chars().count() > COMMENT_LIMIT * 9 / 10, "{}", shown.chars().count());
    assert!(shown.contains("lines left out"), "{}", &shown[shown.len() - 400..]);
    assert!(shown.ends_with("licensed inspection decide.*\n"));
    assert_eq!(shown.matches("<details>").count(), shown.matches("</details>").count());
    let few = comment(&compared(&rods(50)[..3], &rods(95)[..3]), "build.yaml");
    assert!(!few.contains("left out:"), "{few}");
}

#[test]
fn long_lists_are_folded_and_short_ones_stand_open() {
    let rods = |n: usize, length| (0..n).map(|at| (format!("rod {at}"), length)).collect::<Vec<_>>();
    let long = comment(&compared(&rods(12, 50), &rods(12, 60)), "build.yaml");
    assert!(long.contains("<details><summary>Values (12)</summary>\n\n| value |"), "{long}");
    let short = comment(&compared(&rods(2, 50), &rods(2, 60)), "build.yaml");
    assert!(short.contains("### Values\n") && !short.contains("<details>"), "{short}");
}
