//! What reports say, on a small rulebook that stands in the tests, at several widths.

mod common;

use common::{BUILD, DRIVELINE, TANKS, WORKSHOP};
use jiff::civil::{Date, date};
use tramgauge::assess::{Assessment, Needed, Request, assess, budget, needed};
use tramgauge::language::Overrides;
use tramgauge::report::{self, Judged, Look, Trouble};
use tramgauge::rulebook::{Rulebook, load};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Spec, Terms, build_spec};

const DAY: Date = date(2026, 6, 1);

fn book() -> Rulebook {
    let terms = Terms::built_in().expect("terms");
    match load(terms, &[("rules/workshop/workshop.yaml", WORKSHOP)], &[]) {
        Ok(book) => book,
        Err((texts, errors)) => {
            let errors: Vec<Trouble> = errors.iter().map(Trouble::from).collect();
            panic!("{}", report::errors("rulebook", &errors, &texts, Look::new(100, false)));
        }
    }
}

struct Case {
    spec: Spec,
    errors: Vec<Trouble>,
    assessment: Assessment,
    needed: Vec<Needed>,
}

fn case(book: &Rulebook, files: &[(&str, &str)]) -> Case {
    let read = read_build(&MemoryFiles::from_texts(files.iter().copied()), files[0].0);
    let mut errors: Vec<Trouble> = read.errors.iter().map(Trouble::from).collect();
    let (spec, more) = build_spec(&book.library.terms, read);
    errors.extend(more.iter().map(Trouble::from));
    let request = Request { spec: &spec, rulebook: book, day: DAY, figures: true, explained: true, only: None };
    let assessment = assess(&request, &Overrides::new());
    let needed = needed(&assessment, &spec);
    Case { spec, errors, assessment, needed }
}

fn marlow(book: &Rulebook) -> Case {
    case(book, &[("marlow/build.yaml", BUILD), ("marlow/driveline.yaml", DRIVELINE), ("marlow/tanks.yaml", TANKS)])
}

fn judged(case: &Case) -> Judged<'_> {
    Judged { path: "marlow/build.yaml", assessment: &case.assessment, errors: &case.errors, needed: &case.needed }
}

fn widest(text: &str) -> usize {
    text.lines().map(unicode_width::UnicodeWidthStr::width).max().unwrap_or(0)
}

#[test]
fn a_report_keeps_to_its_width() {
    let book = book();
    let case = marlow(&book);
    for width in [60, 80, 120] {
        let text = report::terminal(&judged(&case), Look::new(width, false));
        assert!(widest(&text) <= width, "{text}");
        insta::assert_snapshot!(format!("terminal_{width}"), text);
    }
}

#[test]
fn colour_changes_nothing_but_colour() {
    let book = book();
    let case = marlow(&book);
    let plain = report::terminal(&judged(&case), Look::new(80, false));
    let painted = report::terminal(&judged(&case), Look::new(80, true));
    assert!(painted.contains('\u{1b}'));
    let mut bare = String::new();
    for (at, part) in painted.split("\u{1b}[").enumerate() {
        let behind = if at == 0 { part } else { part.split_once('m').map_or("", |(_, rest)| rest) };
        bare.push_str(behind);
    }
    let trimmed: Vec<&str> = bare.lines().map(str::trim_end).collect();
    assert_eq!(trimmed.join("\n"), plain.trim_end_matches('\n'));
}

#[test]
fn the_short_form_is_one_line_a_finding() {
    let book = book();
    insta::assert_snapshot!(report::brief(&judged(&marlow(&book))));
}

#[test]
fn json_has_every_outcome_in_one_order() {
    let book = book();
    insta::assert_json_snapshot!(report::build_json(&judged(&marlow(&book))));
}

#[test]
fn what_is_sound_is_said_in_few_lines() {
    let book = book();
    let text = "tramgauge: 1\nbuild: {name: Marlow estate}\nfuel: {pumps: none}\ndriveline: {gearbox_output: {tilt_under_torque: 1 deg}, line: none}\n";
    let case = case(&book, &[("marlow/build.yaml", text)]);
    let shown = report::terminal(&judged(&case), Look::new(80, false));
    assert!(shown.lines().count() <= 5, "{shown}");
    insta::assert_snapshot!(shown);
}

#[test]
fn concessions_are_told_by_their_state() {
    let book = book();
    let with = |concession: &str| {
        let text =
            format!("{BUILD}concessions:\n  - {{rule: workshop.pump-low, subject: fuel.pumps/lift, {concession}}}\n");
        let case = case(
            &book,
            &[("marlow/build.yaml", &text), ("marlow/driveline.yaml", DRIVELINE), ("marlow/tanks.yaml", TANKS)],
        );
        assert!(case.errors.is_empty(), "{:?}", case.errors);
        let shown = report::terminal(&judged(&case), Look::new(80, false));
        let from = shown.find("  concession").unwrap_or_else(|| panic!("{shown}"));
        let told: Vec<_> = shown[from..].lines().take_while(|l| !l.is_empty()).map(str::trim).collect();
        format!("{} [{} conceded]", told.join(" "), case.assessment.counts().conceded)
    };
    let states = [
        with("reason: trailer only, by: M. Okafor, until: 2026-12-31"),
        with("reason: trailer only, by: M. Okafor, until: 2026-05-31"),
        with("reason: trailer only, until: 2026-12-31"),
        with("reason: trailer only, by: M. Okafor"),
    ];
    insta::assert_snapshot!(states.join("\n"));
}

#[test]
fn figures_are_shown_with_values_or_why_there_are_none() {
    let book = book();
    let case = marlow(&book);
    insta::assert_snapshot!("figures", report::figures(&case.assessment, Look::new(80, false)));
    insta::assert_snapshot!("listed_figures", report::listed_figures(&book, Look::new(80, false)));
    let json = report::figures_json(&case.assessment, &case.errors);
    let curve = json["figures"].as_array().and_then(|all| all.iter().find(|f| f.get("curve").is_some()));
    let curve = &curve.expect("a curve")["curve"];
    assert_eq!(curve["x"].as_array().map(Vec::len), curve["y"].as_array().map(Vec::len));
    assert!(curve["x"].as_array().is_some_and(|x| x.len() > 10));
}

#[test]
fn what_is_needed_is_told_with_how_to_measure_it() {
    let book = book();
    let case = marlow(&book);
    let budget = budget(&case.assessment, &case.spec);
    insta::assert_snapshot!(report::needed(&case.assessment, &case.needed, &budget, Look::new(80, false)));
}

#[test]
fn one_rule_is_shown_in_full() {
    let book = book();
    let rule = book.rule("workshop.pump-low").expect("the rule");
    insta::assert_snapshot!("rule", report::rule(&book, rule, Look::new(80, false)));
    insta::assert_snapshot!("book", report::book(&book, report::Listed::Rules, Look::new(80, false)));
    let json = report::rule_json(&book, rule);
    assert_eq!(json["check_pieces"][0]["reads"], "major");
    assert_eq!(json["sources"][1]["text"], "memory");
}

#[test]
fn nothing_of_a_spec_reaches_a_terminal_as_it_is() {
    let book = book();
    let text = "tramgauge: 1\nbuild: {name: \"a\\e[31m\\u202Eb\\0\"}\nfuel:\n  tanks: [{tank: \"t\\e]0;x\\a\", lowest_level: 1 mm}]\n  pumps:\n    - {pump: \"p\\u2066q\\r\\nz\", place: frame, draws_from: \"t\\e]0;x\\a\", inlet_height: 9 mm}\n";
    let case = case(&book, &[("marlow/build.yaml", text)]);
    let judged = judged(&case);
    let acts = |c: char| (c.is_control() && c != '\n') || matches!(c, '\u{202e}' | '\u{2066}');
    let texts = [
        report::terminal(&judged, Look::new(80, false)),
        report::brief(&judged),
        report::figures(&case.assessment, Look::new(80, false)),
        report::needed(&case.assessment, &case.needed, &budget(&case.assessment, &case.spec), Look::new(80, false)),
        report::escaped(&report::build_json(&judged).to_string()).into_owned(),
    ];
    for text in &texts {
        assert!(!text.chars().any(acts), "{text:?}");
    }
    assert!(texts[0].contains("p\u{fffd}q"), "{}", texts[0]);
    assert!(texts[1].lines().all(|line| line.contains(": ")), "{}", texts[1]);
    let _ = case.spec;
}
