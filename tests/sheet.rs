//! The sheet of a build: that its page is sound HTML which needs nothing else, that every number on it is the one of the JSON,
//! and that no text of a spec becomes anything but text.

mod common;

use common::{Run, Workshop};
use scraper::{ElementRef, Html, Selector};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::OnceLock;
use tramgauge::quantity::{self, Kind};

const DAY: &str = "2026-06-01";

/// An example, with the data sheets of its parts where it names them.
fn repository(build: &str) -> Workshop {
    let workshop = Workshop::new(&[]);
    for (from, to) in [(build, build), ("parts", "examples/parts")] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(from);
        for entry in std::fs::read_dir(folder).expect("the example's folder") {
            let path = entry.expect("an entry").path();
            let name = path.file_name().and_then(|name| name.to_str()).expect("a name in UTF-8");
            workshop.write(&format!("{to}/{name}"), &std::fs::read(&path).expect("a file"));
        }
    }
    workshop
}

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

fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    let selector = Selector::parse(selector).expect("a selector");
    page.select(&selector).collect()
}

fn text(element: ElementRef) -> String {
    element.text().collect()
}

/// The JSON pointer that an element's value carries.
fn pointer(element: ElementRef) -> Option<String> {
    if let Some(key) = element.value().attr("data-key") {
        return Some(key.to_string());
    }
    let at = element.value().attr("data-at")?;
    let parents: Vec<&str> =
        element.ancestors().filter_map(ElementRef::wrap).filter_map(|e| e.value().attr("data-of")).collect();
    Some(parents.into_iter().rev().collect::<String>() + at)
}

/// The unit of a cell in a table of points.
fn unit_of_point(cell: ElementRef) -> Option<String> {
    let table = cell.ancestors().filter_map(ElementRef::wrap).find(|e| e.value().attr("data-across").is_some())?;
    let before = cell.prev_siblings().filter_map(ElementRef::wrap).filter(|e| e.value().name() == "td").count();
    let only_across = table.select(&Selector::parse("thead th").expect("a selector")).any(|th| text(th) == "limit");
    let axis = if before == 0 || only_across { "data-across" } else { "data-up" };
    table.value().attr(axis).map(str::to_string)
}

/// A number with a unit's symbol in SI.
fn in_si(value: f64, unit: &str) -> f64 {
    if unit.is_empty() {
        return value;
    }
    // Of a temperature and its difference the scale is meant; other kinds of one unit agree in it.
    let kinds = [Kind::Temperature].into_iter().chain(Kind::ALL.iter().copied());
    let read = |kind: Kind| quantity::parse(&format!("{value:.12} {unit}"), kind).ok();
    kinds.filter_map(read).next().unwrap_or_else(|| panic!("{value} {unit} is no quantity")).si
}

/// What the page must show for a value of the JSON.
fn expected(value: &Value, form: Option<&str>) -> String {
    match (value, form) {
        (Value::Number(share), Some("percent")) => {
            let percent = share.as_f64().expect("a share") * 100.0;
            let sign = if percent < 0.0 { "\u{2212}" } else { "" };
            let percent = percent.abs();
            if percent >= 9.95 { format!("{sign}{percent:.0} %") } else { format!("{sign}{percent:.1} %") }
        }
        (Value::String(text), None) => text.replace('\n', " "),
        (Value::Number(number), None) => number.to_string(),
        other => panic!("{other:?} is no value of a page"),
    }
}

#[test]
fn every_number_of_the_page_is_that_of_the_json() {
    for build in ["lark-roadster", "fell-wagon"] {
        let (_, page, json) = example(build);
        let keyed = all(&page, "[data-at], [data-key]");
        assert!(keyed.len() > 3000, "{} values", keyed.len());
        for element in keyed {
            let pointer = pointer(element).expect("a key");
            let value = json.pointer(&pointer).unwrap_or_else(|| panic!("{build} has no {pointer}"));
            if let Some(unit) = unit_of_point(element) {
                let shown: f64 = text(element).parse().unwrap_or_else(|why| panic!("{pointer}: {why}"));
                let (si, read_back) = (value.as_f64().expect("a number"), in_si(shown, &unit));
                assert!((si - read_back).abs() <= 6e-4 * si.abs() + 1e-9, "{build} {pointer}: {shown} {unit} is {si}");
                continue;
            }
            assert_eq!(text(element), expected(value, element.value().attr("data-as")), "{build} {pointer}");
        }
    }
}

#[test]
fn no_number_stands_on_the_page_without_its_key() {
    let (_, page, _) = example("fell-wagon");
    // The title repeats the day; captions say the coverage factor.
    // Marks of a picture's axes are no values of the judgement.
    let free = ["title", "style", "caption", "svg"];
    let counted = |e: ElementRef| e.value().has_class("number", scraper::CaseSensitivity::CaseSensitive);
    let mut bare = Vec::new();
    for node in page.tree.nodes() {
        let Some(words) = node.value().as_text().filter(|t| t.chars().any(|c| c.is_ascii_digit())) else { continue };
        let mut around = node.ancestors().filter_map(ElementRef::wrap);
        let known = |e: ElementRef| {
            e.value().attr("data-at").is_some()
                || e.value().attr("data-key").is_some()
                || free.contains(&e.value().name())
                || counted(e)
        };
        if !around.any(known) {
            bare.push(words.to_string());
        }
    }
    assert!(bare.is_empty(), "{bare:#?}");
}

/// What a validator of HTML would complain of, besides errors of the parser.
fn complaints(page: &Html) -> Vec<String> {
    let mut wrong: Vec<String> = page.errors.iter().map(ToString::to_string).collect();
    let mut ids = BTreeSet::new();
    for element in all(page, "[id]") {
        let id = element.value().attr("id").unwrap_or_default();
        if id.is_empty() || id.contains(char::is_whitespace) || !ids.insert(id) {
            wrong.push(format!("id {id:?}"));
        }
    }
    for element in all(page, "[href], [aria-labelledby]") {
        let target = element.value().attr("aria-labelledby").or(element.value().attr("href")).unwrap_or_default();
        if target.split_whitespace().any(|t| !ids.contains(t.trim_start_matches('#'))) {
            wrong.push(format!("nothing is called {target:?}"));
        }
    }
    let mut level = 0;
    for heading in all(page, "h1, h2, h3, h4, h5, h6") {
        let this: u32 = heading.value().name()[1..].parse().expect("a level");
        if this > level + 1 {
            wrong.push(format!("{} comes below level {level}", heading.html()));
        }
        level = this;
    }
    if all(page, "h1").len() != 1 {
        wrong.push("there must be one first heading".into());
    }
    for table in all(page, "table") {
        if table.select(&Selector::parse("caption").expect("a selector")).next().is_none() {
            wrong.push("a table has no caption".into());
        }
    }
    wrong.extend(all(page, "th:not([scope])").iter().map(|th| format!("{} has no scope", th.html())));
    wrong.extend(
        all(page, "[role=region]:not([tabindex])").iter().map(|_| "the keyboard cannot move a region".to_string()),
    );
    wrong.extend(
        all(page, "svg:not([aria-hidden]):not([role=img])").iter().map(|_| "a picture without its role".to_string()),
    );
    wrong
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
    let numbers = |text: Option<&str>| -> Vec<f64> {
        text.unwrap_or_default().split_whitespace().map(|n| n.parse().expect("a number")).collect()
    };
    let mut compared = 0;
    for plot in all(&page, "figure.plot") {
        let of = |selector: &str| plot.select(&Selector::parse(selector).expect("a selector")).collect::<Vec<_>>();
        let Some(drawn) = of("[data-ranges]").first().copied() else { panic!("{} is empty", plot.html()) };
        let (ranges, area) = (numbers(drawn.value().attr("data-ranges")), numbers(drawn.value().attr("data-area")));
        let tables = of("table[data-across]");
        let Some(table) = tables.first() else { continue };
        for path in of("path.line, path.limit") {
            let Some(mark) = path.value().attr("data-mark") else { continue };
            let body = Selector::parse("tbody").expect("a selector");
            let body = table.select(&body).nth(mark.parse().expect("a number")).expect("the rows of the mark");
            let cell = Selector::parse("tr td").expect("a selector");
            let cells: Vec<ElementRef> = body.select(&cell).collect();
            let Some(base) = cells.first().and_then(|c| pointer(*c)) else { continue };
            let Some((curve, _)) = base.split_once("/x/") else { continue };
            let curve = json.pointer(curve).expect("a curve");
            let si = |key: &str| curve[key].as_array().expect("values").iter().map(Value::as_f64).collect::<Vec<_>>();
            let known: Vec<(f64, f64)> = si("x").into_iter().zip(si("y")).filter_map(|(x, y)| x.zip(y)).collect();
            let d = path.value().attr("d").expect("a path").replace(['M', 'L'], " ");
            let places = numbers(Some(&d));
            assert_eq!(places.len(), 2 * known.len(), "{}", plot.html());
            for (place, (x, y)) in places.chunks(2).zip(&known) {
                let back =
                    |at: f64, from: f64, to: f64, low: f64, high: f64| low + (at - from) / (to - from) * (high - low);
                let shown = (
                    back(place[0], area[0], area[1], ranges[0], ranges[1]),
                    back(place[1], area[3], area[2], ranges[2], ranges[3]),
                );
                let unit = |name: &str| table.value().attr(name).unwrap_or_default();
                let fine = |v: f64, unit: &str, want: f64, low: f64, high: f64, size: f64| {
                    let step = (in_si(high, unit) - in_si(low, unit)).abs() / size.abs();
                    let (low, high) = (in_si(low, unit), in_si(high, unit));
                    let want = want.clamp(low.min(high), low.max(high));
                    assert!((in_si(v, unit) - want).abs() <= 0.51 * step + 1e-12, "{v} {unit} for {want}");
                };
                fine(shown.0, unit("data-across"), *x, ranges[0], ranges[1], area[1] - area[0]);
                fine(shown.1, unit("data-up"), *y, ranges[2], ranges[3], area[3] - area[2]);
                compared += 1;
            }
        }
    }
    assert!(compared > 1000, "{compared} points");
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

fn text_of(page: &Html, selector: &str) -> String {
    all(page, selector).first().map(|e| text(*e)).unwrap_or_default()
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
