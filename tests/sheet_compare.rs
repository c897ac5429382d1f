//! The sheet of a build beside what it was at another revision: that both show the same values as the JSON, that what is marked is
//! what `compare` tells, and what is said where the other revision cannot be used.

mod common;
#[path = "common/page.rs"]
mod page;

use common::git::{changed_example, commit_all};
use common::{BUILD, DRIVELINE, Run, TANKS, WORKSHOP, Workshop};
use page::{all, bare_numbers, complaints, drawn_points, drawn_shapes, pointer, shows, text, text_of};
use scraper::Html;
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::OnceLock;

const DAY: &str = "2026-06-01";

/// A committed repository with these files.
fn committed(files: &[(&str, &str)]) -> Workshop {
    let workshop = Workshop::new(files);
    commit_all(&workshop);
    workshop
}

fn sheet(workshop: &Workshop, build: &str, more: &[&str]) -> Run {
    workshop.run(&[&["sheet", build, "--on", DAY][..], more].concat())
}

fn json(run: &Run) -> Value {
    serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}: {}", run.err))
}

/// The page of the changed example beside its first revision, its JSON, and what `compare` tells of it; made once.
fn example() -> (&'static str, Html, &'static Value, &'static Value) {
    static MADE: OnceLock<(String, Value, Value)> = OnceLock::new();
    let (page, sheet, compare) = MADE.get_or_init(|| {
        let workshop = changed_example();
        let page = sheet(&workshop, "examples/lark-roadster", &["--compare", "HEAD"]);
        assert_eq!((page.status, page.err.as_str()), (0, ""));
        let told = workshop.run(&["compare", "HEAD", "--on", DAY, "--as", "json"]);
        let sheet = sheet(&workshop, "examples/lark-roadster", &["--compare", "HEAD", "--as", "json"]);
        (page.out, json(&sheet), json(&told))
    });
    (page, Html::parse_document(page), sheet, compare)
}

#[test]
fn every_number_of_both_revisions_is_that_of_the_json() {
    let (_, page, json, _) = example();
    let keyed = all(&page, "[data-at], [data-key], [data-before]");
    let before = keyed.iter().filter(|e| e.value().attr("data-before").is_some()).count();
    assert!(keyed.len() > 3000 && before > 300, "{} values, {before} of before", keyed.len());
    for element in keyed {
        shows(element, json, &pointer(element).expect("a key"));
    }
    assert_eq!(bare_numbers(&page), Vec::<String>::new());
    assert_eq!(complaints(&page), Vec::<String>::new());
}

/// Holds what a page marks against what `compare` tells; gives how many marks there are.
fn marked_as_told(page: &Html, json: &Value, told: &Value) -> usize {
    let build = &told["builds"][0];
    for list in ["verdicts", "margins", "figures", "changes", "renamed", "concessions", "faulty_concessions"] {
        assert_eq!(json["compared"][list], build[list], "{list}");
    }
    for (count, list) in [("slight_margins", "margins_left_out"), ("figures_left_out", "figures_left_out")] {
        assert_eq!(json["compared"]["counts"][count], build[list], "{list}");
    }
    let marked: BTreeSet<&str> =
        all(page, "[data-change]").iter().filter_map(|e| e.value().attr("data-change")).collect();
    let mut expected = BTreeSet::new();
    let length = |list: &str| build[list].as_array().expect("a list").len();
    expected.extend((0..length("figures")).map(|n| format!("/compared/figures/{n}")));
    let turned = |n: &usize| build["verdicts"][*n]["turn"] != "still";
    let verdicts: Vec<usize> = (0..length("verdicts")).filter(turned).collect();
    expected.extend(verdicts.iter().map(|n| format!("/compared/verdicts/{n}")));
    // An outcome that turned is marked as that, its margin beside it.
    let same = |m: &Value, n: &usize| {
        let verdict = &build["verdicts"][*n];
        m["rule"] == verdict["rule"] && m["subject"] == verdict["subject"]
    };
    let margins = (0..length("margins")).filter(|n| !verdicts.iter().any(|v| same(&build["margins"][*n], v)));
    expected.extend(margins.map(|n| format!("/compared/margins/{n}")));
    let expected: BTreeSet<&str> = expected.iter().map(String::as_str).collect();
    assert_eq!(marked, expected);
    // Every row that is marked says so in a word, or with the difference.
    let word = scraper::Selector::parse(".change").expect("a selector");
    for row in all(page, "tr[data-change]") {
        assert!(row.select(&word).any(|w| !text(w).trim().is_empty()), "{}", row.html());
    }
    marked.len()
}

#[test]
fn what_is_marked_is_what_compare_tells() {
    let (_, page, json, told) = example();
    assert!(marked_as_told(&page, json, told) > 100);
}

#[test]
fn curves_of_both_revisions_stand_in_one_picture_where_the_json_has_them() {
    let (_, page, json, _) = example();
    assert!(drawn_points(&page, json) > 1200);
    let now = all(&page, "path.line:not(.was), path.limit:not(.was)").len();
    let was = all(&page, "figure.plot path.line.was");
    assert!(was.len() >= 8 && now > was.len(), "{} of {now}", was.len());
    // A picture without a change has no shadow; one with a shadow names it in its legend and to those who cannot see it.
    for plot in all(&page, "figure.plot[id]") {
        let of = |selector: &str| plot.select(&scraper::Selector::parse(selector).expect("a selector")).count();
        let changed = of("h4 .change") > 0;
        assert_eq!(changed, of(".was") > 0, "{}", plot.html());
        let said = text(plot).contains("Nothing in it changed since HEAD");
        assert_ne!(changed, said, "{}", plot.html());
        assert!(!changed || text(plot).contains(" at HEAD"), "{}", plot.html());
    }
    // Both wheels behind, what hangs on them and the silencer that is gone stood elsewhere.
    assert!(drawn_shapes(&page, &json["drawings"][0], "data-figure") > 50);
    assert!(drawn_shapes(&page, &json["before"]["drawings"][0], "data-older-figure") >= 8);
    assert!(text_of(&page, "table.shapes").contains("not there any more"));
    assert!(!all(&page, ".moved rect.was").is_empty() && !all(&page, ".bar-of.was").is_empty());
    assert!(!all(&page, "svg.bar rect.was").is_empty());
}

#[test]
fn nothing_is_marked_where_nothing_changed_and_without_a_revision_nothing_is_said() {
    let files = [
        ("marlow/build.yaml", BUILD),
        ("marlow/driveline.yaml", DRIVELINE),
        ("marlow/tanks.yaml", TANKS),
        ("shop-rules/workshop/workshop.yaml", WORKSHOP),
    ];
    let workshop = committed(&files);
    let plain = sheet(&workshop, "marlow", &[]).out;
    for word in ["data-before", "data-change", "compared with", "solid-", ".was"] {
        assert!(!plain.contains(word), "{word}");
    }
    let page = Html::parse_document(&sheet(&workshop, "marlow", &["--compare", "HEAD"]).out);
    assert!(all(&page, "[data-change], .was, .change, tr.changed").is_empty());
    assert!(text_of(&page, ".since").contains("No value of the spec changed, nor any figure, finding or margin."));
    assert!(text_of(&page, "header dl").contains("HEAD ("));
}

/// What a finding, a figure and a curve of the small build read on its page.
#[test]
fn findings_figures_and_curves_come_and_go() {
    let workshop = committed(&[
        ("marlow/build.yaml", BUILD),
        ("marlow/driveline.yaml", DRIVELINE),
        ("marlow/tanks.yaml", &format!("{TANKS}      lowest_point: 290 mm\n")),
        ("shop-rules/workshop/workshop.yaml", WORKSHOP),
    ]);
    // The pump comes down to where nothing is wrong with it; the last joint goes, and a shaft with another joint comes.
    workshop.write("marlow/build.yaml", BUILD.replace("360 mm", "250 mm").as_bytes());
    let driveline = DRIVELINE.replace("slope: 4.5 deg", "slope: 6.5 deg").replace(
        "    - joint: rear\n      kind: cardan\n    - shaft: stub\n      slope: 3.5° ± 0.2°\n",
        "    - joint: hindmost\n      kind: rubber-disc\n      rated_angle: 1.5 deg\n    - shaft: pinion\n      slope: 1.5 deg\n",
    );
    workshop.write("marlow/driveline.yaml", driveline.as_bytes());
    let run = sheet(&workshop, "marlow", &["--compare", "HEAD"]);
    let page = Html::parse_document(&run.out);
    assert_eq!(complaints(&page), Vec::<String>::new());
    assert_eq!(bare_numbers(&page), Vec::<String>::new());
    let json = json(&sheet(&workshop, "marlow", &["--compare", "HEAD", "--as", "json"]));
    let told = workshop.run(&["compare", "HEAD", "--on", DAY, "--as", "json"]);
    assert!(marked_as_told(&page, &json, &serde_json::from_str(&told.out).expect("JSON")) > 10);
    for element in all(&page, "[data-at], [data-key], [data-before]") {
        shows(element, &json, &pointer(element).expect("a key"));
    }
    assert!(drawn_points(&page, &json) > 100);
    let cleared = text_of(&page, "ul.cleared");
    assert!(cleared.starts_with("cleared (before major) lift draws at 360 mm"), "{cleared}");
    assert!(cleared.contains("workshop.pump-low · fuel.pumps/lift: now holds"), "{cleared}");
    let rows: Vec<String> = all(&page, "table.figures tr.changed").into_iter().map(text).collect();
    for words in [
        "driveline.line/middle5.90.2deg3.9 deg ± 0.2 deg+2 deg",
        "driveline.line/rearnot there any more2.9 deg ± 0.28 deggone",
        "driveline.line/hindmost0.90.2degnot therenew",
        "driveline.line/middlecurve over share, see the plotsa curve, see the plotsby up to +2 deg",
    ] {
        assert!(rows.iter().any(|r| r.starts_with(words)), "{words}: {rows:#?}");
    }
    let plots: Vec<String> = all(&page, "figure.plot[id] h4").into_iter().map(text).collect();
    for words in [
        "not there any more, as at HEADdriveline.line/rear",
        "newdriveline.line/hindmost",
        "changeddriveline.line/middle",
    ] {
        assert!(plots.iter().any(|p| p.ends_with(words)), "{words}: {plots:#?}");
    }
}

#[test]
fn a_spreadsheet_has_the_values_of_before_beside_those_of_now() {
    let workshop = changed_example();
    let plain = sheet(&workshop, "examples/lark-roadster", &["--as", "csv"]).out;
    let csv = sheet(&workshop, "examples/lark-roadster", &["--as", "csv", "--compare", "HEAD"]).out;
    let (plain, lines): (Vec<&str>, Vec<&str>) = (plain.split("\r\n").collect(), csv.split("\r\n").collect());
    let head = "before,before_unit,before_give_or_take,before_outcome,change";
    assert_eq!(lines[0], format!("{},{head}", plain[0]));
    // What stood there without a comparison still stands there, in its order.
    let known: Vec<&str> =
        lines.iter().filter_map(|l| plain.iter().find(|p| !p.is_empty() && l.starts_with(**p))).copied().collect();
    assert!(plain.iter().filter(|p| !p.is_empty()).all(|p| known.contains(p)));
    assert!(lines.contains(&"brakes,front_share,brakes,,,66.8,%,2.4,,73.1,%,2.1,,changed"), "{:#?}", &lines[..3]);
    assert!(
        lines
            .iter()
            .any(|l| l.starts_with("balance,corner_sum,vehicle.loads/driver and half tank,,,832,kg,2,,832,kg,2,,"))
    );
}

#[test]
fn texts_of_the_older_revision_stay_text() {
    let name = "</svg></title></style><script>alert(1)</script><img src=x onerror=a> \\\" ' & \\u202Eright\\u2066 &lt;";
    let build = |name: &str, height: u32| {
        format!(
            "tramgauge: 1\nbuild: {{name: \"{name}\", use: [road]}}\nfuel:\n  tanks: [{{tank: \"{name}\", lowest_level: 310 mm}}]\n  pumps: [{{pump: \"{name}\", place: frame, draws_from: \"{name}\", inlet_height: {height} mm}}]\ndriveline:\n  line: [{{shaft: a, slope: 1 deg}}, {{joint: \"{name}\", kind: cardan}}, {{shaft: b, slope: 3 deg}}]\nconcessions: [{{rule: \"{name}\", subject: \"{name}\", reason: \"{name}\", by: \"{name}\", until: 2027-01-01}}]\n"
        )
    };
    let workshop =
        committed(&[("marlow/build.yaml", &build(name, 900)), ("shop-rules/workshop/workshop.yaml", WORKSHOP)]);
    // A branch may be called what a spec may be called, as far as git lets it.
    let tag = common::git::ran(common::git::bare("git").args(["tag", "<b>x&y</b>"]).current_dir(workshop.path("")));
    assert_eq!(tag.status, 0, "{}", tag.err);
    workshop
        .write("marlow/build.yaml", build("plain", 100).replace("lowest_level: 310", "lowest_level: 320").as_bytes());
    let run = sheet(&workshop, "marlow", &["--compare", "<b>x&y</b>"]);
    let page = Html::parse_document(&run.out);
    assert_eq!(complaints(&page), Vec::<String>::new());
    assert!(all(&page, "script, img, [onerror]").is_empty());
    assert!(all(&page, "b").iter().all(|b| !text(*b).starts_with("x&y")));
    assert!(!run.out.contains(['\u{202e}', '\u{2066}']));
    assert!(text_of(&page, "h2#since").ends_with("<b>x&y</b>"));
    assert!(text_of(&page, "body").contains("<script>alert(1)</script>"));
}

#[test]
fn what_cannot_be_compared_is_said_and_nothing_is_written() {
    let workshop = committed(&[("old/build.yaml", BUILD), ("shop-rules/workshop/workshop.yaml", WORKSHOP)]);
    let refused = |workshop: &Workshop, build: &str, revision: &str| {
        let run = sheet(workshop, build, &["--compare", revision, "--to", "page.html"]);
        assert_eq!((run.status, run.out.as_str()), (2, ""));
        assert!(!workshop.path("page.html").exists());
        run.err
    };
    let unknown = refused(&workshop, "old", "nowhere");
    assert!(unknown.starts_with("tramgauge: there is no revision nowhere in this repository; `git log"), "{unknown}");
    workshop.write("new/build.yaml", BUILD.replace("Marlow estate", "Elm").as_bytes());
    let missing = refused(&workshop, "new", "HEAD");
    assert!(missing.starts_with("tramgauge: new/build.yaml is not there at HEAD ("), "{missing}");
    let bare = Workshop::new(&[("old/build.yaml", BUILD)]);
    let none = refused(&bare, "old", "HEAD");
    assert!(none.contains("git finds no repository here") && none.contains("--compare needs a repository"), "{none}");
}

#[test]
fn a_build_is_known_again_under_another_path() {
    let workshop = committed(&[("old/build.yaml", BUILD), ("shop-rules/workshop/workshop.yaml", WORKSHOP)]);
    std::fs::create_dir(workshop.path("moved")).expect("a folder");
    std::fs::rename(workshop.path("old/build.yaml"), workshop.path("moved/build.yaml")).expect("a file");
    let run = sheet(&workshop, "moved", &["--compare", "HEAD"]);
    let page = Html::parse_document(&run.out);
    assert!(text_of(&page, ".since").contains("The build stood at old/build.yaml there."), "{}", run.err);
}

#[test]
fn an_older_spec_with_errors_and_older_rules_that_are_broken_are_told_on_the_page_and_beside_it() {
    let broken = WORKSHOP.replace("joint.shop_bend <= 3 deg", "joint.shop_bend <= 3 mm");
    let spec = BUILD.replace("360 mm", "360 furlongs").replace("sections: [driveline.yaml, tanks.yaml]\n", "");
    let workshop = committed(&[("marlow/build.yaml", &spec), ("shop-rules/workshop/workshop.yaml", &broken)]);
    workshop.write("shop-rules/workshop/workshop.yaml", WORKSHOP.as_bytes());
    workshop.write("marlow/build.yaml", BUILD.replace("sections: [driveline.yaml, tanks.yaml]\n", "").as_bytes());
    let run = sheet(&workshop, "marlow", &["--compare", "HEAD"]);
    assert!(
        run.err.contains("the spec at HEAD (") && run.err.contains("compared as if it were not written"),
        "{}",
        run.err
    );
    assert!(run.err.contains("the rulebook in force at HEAD (") && run.err.contains("cannot be used"), "{}", run.err);
    let page = Html::parse_document(&run.out);
    assert_eq!(complaints(&page), Vec::<String>::new());
    let since = text_of(&page, ".since");
    assert!(since.contains("Errors of the spec at HEAD") && since.contains("furlongs"), "{since}");
    assert!(since.contains("The rulebook in force at HEAD cannot be used"), "{since}");
    let machine = json(&sheet(&workshop, "marlow", &["--compare", "HEAD", "--as", "json"]));
    assert_eq!(
        machine["before"]["errors"].as_array().map(Vec::len),
        Some(machine["compared"]["old_errors"].as_array().map_or(0, Vec::len))
    );
    for element in all(&page, "[data-at], [data-key], [data-before]") {
        shows(element, &machine, &pointer(element).expect("a key"));
    }
}

#[test]
fn rules_that_changed_are_told_with_what_they_do() {
    let strict = WORKSHOP.replace("joint.shop_bend <= 3 deg", "joint.shop_bend <= 1 deg");
    let build = BUILD.replace("sections: [driveline.yaml, tanks.yaml]\n", "")
        + "driveline:\n  line: [{shaft: a, slope: 1 deg}, {joint: middle, kind: cardan}, {shaft: b, slope: 3 deg}]\n";
    let workshop = committed(&[("marlow/build.yaml", &build), ("shop-rules/workshop/workshop.yaml", WORKSHOP)]);
    workshop.write("shop-rules/workshop/workshop.yaml", strict.as_bytes());
    let page = Html::parse_document(&sheet(&workshop, "marlow", &["--compare", "HEAD"]).out);
    let since = text_of(&page, ".since");
    assert!(since.contains("workshop.joint-bend · driveline.line/middle: holds \u{2192} major"), "{since}");
    // The spec did not change, so nothing of it is marked.
    assert!(all(&page, "tr[data-change]").is_empty());
}

#[test]
fn in_brief_what_changed_is_still_shown() {
    let workshop = changed_example();
    let run = sheet(&workshop, "examples/lark-roadster", &["--compare", "HEAD", "--brief"]);
    let page = Html::parse_document(&run.out);
    let (_, whole, _, _) = example();
    let marked = |page: &Html| -> BTreeSet<String> {
        all(page, "[data-change]").iter().filter_map(|e| e.value().attr("data-change")).map(str::to_string).collect()
    };
    assert_eq!(marked(&page), marked(&whole));
    let rows = |page: &Html| all(page, "table.figures tr[data-of]").len();
    assert!(rows(&page) < rows(&whole) / 2, "{} of {}", rows(&page), rows(&whole));
    assert_eq!(complaints(&page), Vec::<String>::new());
    assert!(text_of(&page, "header").contains("are left out, but for what changed."));
}

#[test]
fn an_older_build_file_that_cannot_be_read_at_all_is_said_and_loses_nothing() {
    let workshop = committed(&[("marlow/build.yaml", "\0"), ("shop-rules/workshop/workshop.yaml", WORKSHOP)]);
    workshop.write("marlow/build.yaml", BUILD.replace("sections: [driveline.yaml, tanks.yaml]\n", "").as_bytes());
    let run = sheet(&workshop, "marlow", &["--compare", "HEAD"]);
    assert_eq!(run.status, sheet(&workshop, "marlow", &[]).status);
    let page = Html::parse_document(&run.out);
    let machine = json(&sheet(&workshop, "marlow", &["--compare", "HEAD", "--as", "json"]));
    for element in all(&page, "[data-at], [data-key], [data-before]") {
        shows(element, &machine, &pointer(element).expect("a key"));
    }
    assert_eq!(complaints(&page), Vec::<String>::new());
    let since = text_of(&page, ".since");
    assert!(since.contains("Errors of the spec at HEAD"), "{since}");
    assert!(since.contains("the whole spec") && since.contains("fuel.pumps/lift.inlet_height 360 mm"), "{since}");
}
