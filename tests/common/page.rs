//! What the tests of a sheet's page share: the page as a reader and a validator see it, and the way from a number on it to the JSON.

#![allow(dead_code)]

use crate::common::Workshop;
use scraper::{ElementRef, Html, Selector};
use serde_json::Value;
use std::collections::BTreeSet;
use tramgauge::quantity::{self, Kind};

/// An example, with the data sheets of its parts where it names them.
pub fn repository(build: &str) -> Workshop {
    Workshop::with_examples(&[(build, build), ("parts", "examples/parts")])
}

pub fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    let selector = Selector::parse(selector).expect("a selector");
    page.select(&selector).collect()
}

pub fn text(element: ElementRef) -> String {
    element.text().collect()
}

/// The JSON pointer that an element's value carries.
pub fn pointer(element: ElementRef) -> Option<String> {
    if let Some(key) = element.value().attr("data-before") {
        return Some(format!("/before{key}"));
    }
    if let Some(key) = element.value().attr("data-key") {
        return Some(key.to_string());
    }
    let at = element.value().attr("data-at")?;
    let parents: Vec<&str> =
        element.ancestors().filter_map(ElementRef::wrap).filter_map(|e| e.value().attr("data-of")).collect();
    Some(parents.into_iter().rev().collect::<String>() + at)
}

/// The unit of a cell in a table of points.
pub fn unit_of_point(cell: ElementRef) -> Option<String> {
    let table = cell.ancestors().filter_map(ElementRef::wrap).find(|e| e.value().attr("data-across").is_some())?;
    let before = cell.prev_siblings().filter_map(ElementRef::wrap).filter(|e| e.value().name() == "td").count();
    let only_across = table.select(&Selector::parse("thead th").expect("a selector")).any(|th| text(th) == "limit");
    let axis = if before == 0 || only_across { "data-across" } else { "data-up" };
    table.value().attr(axis).map(str::to_string)
}

/// A number with a unit's symbol in SI.
pub fn in_si(value: f64, unit: &str) -> f64 {
    if unit.is_empty() {
        return value;
    }
    // Of a temperature and its difference the scale is meant; other kinds of one unit agree in it.
    let kinds = [Kind::Temperature].into_iter().chain(Kind::ALL.iter().copied());
    let read = |kind: Kind| quantity::parse(&format!("{value:.12} {unit}"), kind).ok();
    kinds.filter_map(read).next().unwrap_or_else(|| panic!("{value} {unit} is no quantity")).si
}

/// What the page must show for a value of the JSON.
pub fn expected(value: &Value, form: Option<&str>) -> String {
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

/// What a validator of HTML would complain of, besides errors of the parser.
pub fn complaints(page: &Html) -> Vec<String> {
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

pub fn text_of(page: &Html, selector: &str) -> String {
    all(page, selector).first().map(|e| text(*e)).unwrap_or_default()
}

/// Holds what an element shows against the value of the JSON at a pointer.
pub fn shows(element: ElementRef, json: &Value, pointer: &str) {
    let value = json.pointer(pointer).unwrap_or_else(|| panic!("there is no {pointer}"));
    let Some(unit) = unit_of_point(element) else {
        return assert_eq!(text(element), expected(value, element.value().attr("data-as")), "{pointer}");
    };
    let shown: f64 = text(element).parse().unwrap_or_else(|why| panic!("{pointer}: {why}"));
    let (si, read_back) = (value.as_f64().expect("a number"), in_si(shown, &unit));
    assert!((si - read_back).abs() <= 6e-4 * si.abs() + 1e-9, "{pointer}: {shown} {unit} is {si}");
}

/// Texts with a digit that carry no key.
pub fn bare_numbers(page: &Html) -> Vec<String> {
    // The title repeats the day; captions say the coverage factor.
    // Marks of a picture's axes are no values of the judgement.
    let free = ["title", "style", "caption", "svg"];
    let counted = |e: ElementRef| e.value().has_class("number", scraper::CaseSensitivity::CaseSensitive);
    let mut bare = Vec::new();
    for node in page.tree.nodes() {
        let Some(words) = node.value().as_text().filter(|t| t.chars().any(|c| c.is_ascii_digit())) else { continue };
        let mut around = node.ancestors().filter_map(ElementRef::wrap);
        let known = |e: ElementRef| {
            ["data-at", "data-key", "data-before"].iter().any(|name| e.value().attr(name).is_some())
                || free.contains(&e.value().name())
                || counted(e)
        };
        if !around.any(known) {
            bare.push(words.to_string());
        }
    }
    bare
}

/// Reads the curves of all pictures back from where they are drawn, and holds them against the JSON; gives the number of points.
pub fn drawn_points(page: &Html, json: &Value) -> usize {
    let numbers = |text: Option<&str>| -> Vec<f64> {
        text.unwrap_or_default().split_whitespace().map(|n| n.parse().expect("a number")).collect()
    };
    let mut compared = 0;
    for plot in all(page, "figure.plot") {
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
    compared
}

/// Reads the shapes of a drawing back from where they are drawn, from the side and from above, and holds them against the JSON; gives how
/// many there are. They carry the number of their figure in the attribute.
pub fn drawn_shapes(page: &Html, drawing: &Value, attribute: &str) -> usize {
    let numbers = |point: &Value| ["forwards", "left", "up"].map(|axis| point[axis].as_f64().expect("a number"));
    let shapes = drawing["shapes"].as_array().expect("shapes");
    // By hand: 250 units of the picture are a metre, the front points left, up or left points up.
    let views: Vec<ElementRef> = all(page, "figure.drawing svg");
    let drawn = Selector::parse(&format!("[{attribute}]")).expect("a selector");
    let mut compared = 0;
    for (view, up) in views.iter().zip([2, 1]) {
        for path in view.select(&drawn) {
            let figure = path.value().attr(attribute);
            let shape = shapes.iter().find(|s| figure == Some(&*s["figure"].to_string())).expect("a shape");
            compared += 1;
            let points: Vec<[f64; 3]> = shape["points"].as_array().expect("points").iter().map(numbers).collect();
            let places: Vec<(f64, f64)> = points.iter().map(|p| (-250.0 * p[0], -250.0 * p[up])).collect();
            let d = path.value().attr("d").expect("a path");
            let radius = 250.0 * shape["radius"].as_f64().unwrap_or_default();
            // Where the pen is put down, against where the point stands.
            let offset = |(x, y): (f64, f64)| match (shape["as"].as_str().expect("a form"), up) {
                ("line", _) => (x, y),
                ("wheel", _) => (x - radius, y),
                ("height", 2) => (x, 0.0),
                ("bar", 2) => (x - 8.0, y),
                ("bar", _) => (x, y - 12.0),
                _ => (x - 7.0, y),
            };
            let pen: Vec<(f64, f64)> = d
                .split(['M', 'L'])
                .filter_map(|part| {
                    let (x, rest) = part.split_once(' ')?;
                    let y: String = rest.chars().take_while(|c| c.is_ascii_digit() || "-.".contains(*c)).collect();
                    Some((x.parse().ok()?, y.parse().ok()?))
                })
                .collect();
            let cross = shape["as"] == "spot" || (shape["as"] == "height" && up == 1);
            let pen: Vec<(f64, f64)> = pen.into_iter().step_by(if cross { 2 } else { 1 }).collect();
            assert_eq!(pen.len(), places.len(), "{d}");
            for (pen, place) in pen.iter().zip(places) {
                let want = offset(place);
                assert!((pen.0 - want.0).abs() <= 0.051 && (pen.1 - want.1).abs() <= 0.051, "{d}: {want:?}");
            }
            if shape["as"] == "height" && up == 2 {
                let top: f64 =
                    d.split('V').nth(1).and_then(|v| v.split('m').next()).expect("a top").parse().expect("a top");
                assert!((top + 250.0 * points[0][2]).abs() <= 0.051, "{d}");
            }
        }
    }
    compared
}
