//! The sheet of a build: that its page is sound HTML which needs nothing else, that every number on it is the one of the JSON,
//! and that no text of a spec becomes anything but text.

mod common;
#[path = "common/page.rs"]
mod page;

use common::{Run, Workshop};
use page::{all, bare_numbers, complaints, drawn_points, drawn_shapes, pointer, repository, shows, text, text_of};
use scraper::{Html, Selector};
use serde_json::Value;
use std::sync::OnceLock;

const DAY: &str = "2026-06-01";

fn sheet(workshop: &Workshop, build: &str, more: &[&str]) -> Run {
    let mut arguments = vec!["sheet", build, "--on", DAY];
    arguments.extend(more);
    workshop.run(&arguments)
}

/// Page and JSON of an example; made once.
fn example(build: &'static str) -> (&'static str, Html, &'static Value) {
    static MADE: [OnceLock<(String, Value)>; 2] = [const { OnceLock::new() }; 2];
    let (page, json) = MADE[usize::from(build == "fell-wagon")].get_or_init(|| {
        let (page, _, json) = both(&repository(build), build);
        (page, json)
    });
    (page, Html::parse_document(page), json)
}

/// Page and JSON of a build.
fn both(workshop: &Workshop, build: &str) -> (String, Html, Value) {
    let page = sheet(workshop, build, &[]).out;
    let json = sheet(workshop, build, &["--as", "json"]);
    let json = serde_json::from_str(&json.out).unwrap_or_else(|why| panic!("{why}\n{}", json.err));
    let read = Html::parse_document(&page);
    (page, read, json)
}

#[test]
fn every_number_of_the_page_is_that_of_the_json() {
    for build in ["lark-roadster", "fell-wagon"] {
        let (_, page, json) = example(build);
        let keyed = all(&page, "[data-at], [data-key]");
        assert!(keyed.len() > 3000, "{} values", keyed.len());
        for element in keyed {
            shows(element, json, &pointer(element).expect("a key"));
        }
    }
}

#[test]
fn no_number_stands_on_the_page_without_its_key() {
    let (_, page, _) = example("fell-wagon");
    assert_eq!(bare_numbers(&page), Vec::<String>::new());
}

#[test]
fn the_page_is_sound_html() {
    for build in ["lark-roadster", "fell-wagon"] {
        let (_, page, _) = example(build);
        assert_eq!(complaints(&page), Vec::<String>::new(), "{build}");
    }
    // The examiner sees what it must see.
    let bad = Html::parse_document("<!doctype html><h2 id=a>x</h2><p id=a></h3><table><tr><th>y</table>");
    assert!(complaints(&bad).len() >= 5, "{:?}", complaints(&bad));
}

#[test]
fn the_page_needs_nothing_but_itself() {
    let (text, page, _) = example("fell-wagon");
    assert!(all(&page, "script, link, img, iframe, object, embed, base, form, [src], [onload], [onclick]").is_empty());
    assert!(all(&page, "[href]").iter().all(|a| a.value().attr("href").is_some_and(|h| h.starts_with('#'))));
    let without_namespaces = text.replace("http://www.w3.org/2000/svg", "");
    for word in ["http:", "https:", "url(", "@import", "javascript:"] {
        assert!(!without_namespaces.contains(word), "{word}");
    }
    assert!(text.len() < 2_500_000, "{} bytes", text.len());
    let sound = example("lark-roadster").0;
    assert!(sound.len() < 1_500_000, "{} bytes", sound.len());
}

#[test]
fn pictures_show_the_values_of_their_curves() {
    let (_, page, json) = example("lark-roadster");
    let compared = drawn_points(&page, json);
    assert!(compared > 1000, "{compared} points");
}

#[test]
fn drawings_show_the_coordinates_of_the_json() {
    let (_, page, json) = example("lark-roadster");
    let drawings = json["drawings"].as_array().expect("drawings");
    assert_eq!(drawings.len(), 1);
    let numbers = |point: &Value| ["forwards", "left", "up"].map(|axis| point[axis].as_f64().expect("a number"));
    let shapes = drawings[0]["shapes"].as_array().expect("shapes");
    assert!(shapes.len() > 25, "{}", shapes.len());

    assert_eq!(drawn_shapes(&page, &drawings[0], "data-figure"), 2 * shapes.len());

    // The table says the same in words, in millimetres.
    let rows = all(&page, "table.shapes tbody tr");
    assert_eq!(rows.len(), shapes.len());
    for (row, shape) in rows.iter().zip(shapes) {
        let cell = row.select(&Selector::parse("td:last-child").expect("a selector")).map(text).collect::<String>();
        let parts = cell.split(['[', ']', ',']).map(|part| part.split('\u{b1}').next().unwrap_or_default().trim());
        let said: Vec<f64> = parts.filter_map(|p| p.trim_end_matches("mm").trim().parse().ok()).collect();
        let points = shape["points"].as_array().expect("points").iter().flat_map(numbers);
        let known: Vec<f64> = points.map(|metres| metres * 1000.0).collect();
        assert_eq!(said.len(), known.len(), "{cell}");
        assert!(said.iter().zip(&known).all(|(a, b)| (a - b).abs() <= 6e-4 * b.abs() + 0.051), "{cell}: {known:?}");
    }
    // Spec: the front wheels, 1272 mm apart on tyres of 274 mm loaded radius.
    assert_eq!(shapes[0]["called"], "front wheels");
    assert_eq!(numbers(&shapes[0]["points"][0]).map(|m| (m * 1e6).round()), [0.0, 636_000.0, 274_000.0]);
}

#[test]
fn systems_can_be_chosen_and_a_brief_page_leaves_out_what_the_car_does_not_need() {
    let workshop = repository("fell-wagon");
    let count = |page: &Html, selector: &str| all(page, selector).len();
    let (_, whole, json) = example("fell-wagon");
    let systems = json["systems"].as_array().expect("systems");

    let part = Html::parse_document(&sheet(&workshop, "fell-wagon", &["--system", "fuel", "--system", "brakes"]).out);
    let heads: Vec<String> = all(&part, "section.system > h2").into_iter().map(text).collect();
    assert_eq!(heads, ["brakes", "fuel"]);
    let of_both = |list: &str| {
        let all = json[list].as_array().expect("a list").iter();
        all.filter(|f| f["rule"].as_str().is_some_and(|r| r.starts_with("brakes.") || r.starts_with("fuel."))).count()
    };
    assert_eq!(count(&part, "article.finding"), of_both("findings"));
    assert!(text_of(&part, "header").contains("Only these systems are shown: fuel, brakes."));
    // The counts of the whole car stay.
    assert_eq!(text_of(&part, "tfoot"), text_of(&whole, "tfoot"));
    assert_eq!(complaints(&part), Vec::<String>::new());

    let brief = Html::parse_document(&sheet(&workshop, "fell-wagon", &["--brief"]).out);
    for selector in ["article.finding", "figure.plot", "figure.drawing", ".blank", "section.system"] {
        assert!(count(&brief, selector) > 0, "{selector}");
        assert_eq!(count(&brief, selector), count(&whole, selector), "{selector}");
    }
    for selector in [".figures", ".working", ".evidence", ".word.holds"] {
        assert!(count(&whole, selector) > 0, "{selector}");
        assert_eq!(count(&brief, selector), 0, "{selector}");
    }
    let open = ["unproven", "beyond"].map(|k| systems.iter().filter_map(|s| s["counts"][k].as_u64()).sum::<u64>());
    assert_eq!(count(&brief, ".rules tbody tr") as u64, open.iter().sum::<u64>());
    for element in all(&brief, "[data-at], [data-key]") {
        shows(element, json, &pointer(element).expect("a key"));
    }
    assert_eq!(complaints(&brief), Vec::<String>::new());

    let refused = sheet(&workshop, "fell-wagon", &["--system", "brake"]);
    assert_eq!((refused.out.as_str(), refused.status), ("", 2));
    assert!(refused.err.contains("no system brake, did you mean brakes? It has balance, brakes, "), "{}", refused.err);
    let refused = sheet(&workshop, "fell-wagon", &["--system", "sails"]);
    assert!(refused.err.contains("no system sails. It has balance, "), "{}", refused.err);
    for form in ["json", "csv"] {
        let refused = sheet(&workshop, "fell-wagon", &["--brief", "--as", form]);
        assert_eq!((refused.out.as_str(), refused.status), ("", 2));
        assert!(refused.err.contains("hold everything"), "{}", refused.err);
    }
}

#[test]
fn the_same_build_gives_the_same_page() {
    let workshop = repository("fell-wagon");
    assert_eq!(sheet(&workshop, "fell-wagon", &[]).out, example("fell-wagon").0);
}

#[test]
fn hostile_names_stay_text() {
    let name = "</svg></title></style><script>alert(1)</script><img src=x onerror=a> \\\" ' & \\u202Eright\\u2066 &lt;";
    let build = format!(
        "tramgauge: 1\nbuild: {{name: \"{name}\", use: [road]}}\n\
         fuel:\n  tanks: [{{tank: \"{name}\", lowest_level: 310 mm}}]\n  \
         pumps: [{{pump: \"{name}\", place: frame, draws_from: \"{name}\", inlet_height: 900 mm}}]\n\
         concessions: [{{rule: \"{name}\", subject: \"{name}\", reason: \"{name}\", by: \"{name}\", until: 2027-01-01}}]\n"
    );
    let workshop = Workshop::new(&[("marlow/build.yaml", &build)]);
    let (text, page, json) = both(&workshop, "marlow");
    assert_eq!(complaints(&page), Vec::<String>::new());
    assert!(all(&page, "script, img, [onerror]").is_empty());
    assert_eq!(all(&page, "title").len(), all(&page, "svg title").len() + 1);
    assert!(!text.contains(['\u{202e}', '\u{2066}']));
    let shown = json["name"].as_str().expect("the name").replace(['\u{202e}', '\u{2066}'], "\u{fffd}");
    assert_eq!(text_of(&page, "h1"), shown);
    assert!(text_of(&page, "body").matches(&shown).count() > 3);
}

#[test]
fn figures_come_as_comma_separated_values_and_files_are_written() {
    let workshop = repository("lark-roadster");
    let csv = sheet(&workshop, "lark-roadster", &["--as", "csv"]).out;
    let lines: Vec<&str> = csv.split("\r\n").collect();
    assert_eq!(lines.first(), Some(&"system,figure,subject,at,at_unit,value,unit,give_or_take,outcome"));
    let mass = "balance,corner_sum,vehicle.loads/driver and half tank,,,832,kg,2,";
    assert!(lines.contains(&mass), "{}", lines[..20].join("\n"));
    let camber = lines.iter().filter(|l| l.starts_with("suspension,camber_over_travel,suspension.axles/front,"));
    assert_eq!(camber.count(), 61);
    let run = sheet(&workshop, "lark-roadster", &["--to", "page.html"]);
    assert_eq!((run.out.as_str(), run.status), ("", 0));
    let written = std::fs::read_to_string(workshop.path("page.html")).expect("the page");
    assert_eq!(written, example("lark-roadster").0);
    assert_eq!(sheet(&workshop, "lark-roadster", &["--to", "no/such/folder.html"]).status, 2);
}
