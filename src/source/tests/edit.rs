//! Changes of single values: what each layout makes of them, and that nothing else changes in any.
//!
//! The measure of the property is `serde_yaml`, which knows nothing of places.

use proptest::prelude::*;
use serde_yaml::{Mapping, Value};

use crate::source::{EditProblem, EditStep, EditedFile, NewValue, TextEdit, apply};

/// A path as `a.b/name.c`; `a(x y)` is the key `a`, usually behind `x` and `y`; `/name` is told by the key `name`; `[1]` an item.
fn path(text: &str) -> Vec<EditStep> {
    let mut steps = Vec::new();
    for part in text.split('.') {
        let (part, order) = part.split_once('(').map_or((part, ""), |(key, order)| (key, order.trim_end_matches(')')));
        let (part, number) =
            part.split_once('[').map_or((part, None), |(key, n)| (key, n.trim_end_matches(']').parse().ok()));
        let (key, item) = part.split_once('/').map_or((part, None), |(key, item)| (key, Some(item)));
        steps.push(EditStep::Key { key: key.into(), behind: order.split_whitespace().map(String::from).collect() });
        steps.extend(item.map(|name| EditStep::Item { naming: "name".into(), name: name.into() }));
        steps.extend(number.map(EditStep::At));
    }
    steps
}

fn put(text: &str, at: &str, value: &NewValue) -> Result<String, EditProblem> {
    let mut file = EditedFile::read("build.yaml", text.as_bytes())?;
    let edits = file.put(&path(at), value)?;
    assert_eq!(apply(text, &edits).as_deref(), Some(file.text()), "the edits are the change");
    Ok(file.text().to_owned())
}

#[track_caller]
fn puts(text: &str, at: &str, value: &str, expected: &str) {
    let found = put(text, at, &NewValue::Text(value.into()));
    assert_eq!(found.as_deref(), Ok(expected), "{}", found.clone().unwrap_or_default());
}

#[test]
fn a_value_is_replaced_in_its_own_quotes_and_its_comment_stays() {
    puts("a: 5 mm  # rule\nb: 1\n", "a", "6 mm", "a: 6 mm  # rule\nb: 1\n");
    puts("a: \"5 mm\" # x\n", "a", "1-3/4 in", "a: \"1-3/4 in\" # x\n");
    puts("a: '5 mm'\r\n", "a", "6' mm", "a: '6'' mm'\r\n");
    puts("m: {a: 5 mm, b: [x, 2]}\n", "m.b[1]", "3, 4", "m: {a: 5 mm, b: [x, \"3, 4\"]}\n");
    puts("a:   # later\nb: 1\n", "a", "#10-32", "a: \"#10-32\"   # later\nb: 1\n");
    puts("m: {a: , b: 1}\n", "m.a", "-3.4° ± 0.2°", "m: {a: -3.4° ± 0.2° , b: 1}\n");
}

#[test]
fn a_key_goes_behind_those_that_are_usually_before_it() {
    let text = "m:\n    a: 1 # one\n    # of c\n    c: 3\n\n# of n\nn: 1\n";
    puts(text, "m.b(a)", "2", "m:\n    a: 1 # one\n    b: 2\n    # of c\n    c: 3\n\n# of n\nn: 1\n");
    puts(text, "m.d(a b c)", "4", "m:\n    a: 1 # one\n    # of c\n    c: 3\n    d: 4\n\n# of n\nn: 1\n");
    puts(text, "m.q(z)", "0", "m:\n    q: 0\n    a: 1 # one\n    # of c\n    c: 3\n\n# of n\nn: 1\n");
    puts("m: {a: 1, c: 3}", "m.b(a)", "2", "m: {a: 1, b: 2, c: 3}");
    puts("m: {a: 1, c: 3}", "m.b(z)", "2", "m: {b: 2, a: 1, c: 3}");
    puts("m: {}", "m.b(z)", "2", "m: {b: 2}");
    puts("a: 1", "b(a)", "2", "a: 1\nb: 2");
    puts("l:\n- name: x\n  a: 1\r- name: y\n", "l/x.b(name a)", "2", "l:\n- name: x\n  a: 1\r  b: 2\n- name: y\n");
}

#[test]
fn sections_and_items_are_made_in_the_habits_of_the_file() {
    let text = "a:\n   b:\n   - name: x\n\nc: 1\n";
    puts(text, "a.b/y.k", "v", "a:\n   b:\n   - name: x\n   - name: y\n     k: v\n\nc: 1\n");
    puts(text, "d(a c).e/x.k", "v", "a:\n   b:\n   - name: x\n\nc: 1\n\nd:\n   e:\n   - name: x\n     k: v\n");
    puts(text, "a.f.g.h", "v", "a:\n   b:\n   - name: x\n   f:\n      g:\n         h: v\n\nc: 1\n");
    puts("a: # later\n  # deep\nb: 1\n", "a.c.d", "v", "a: # later\n  c:\n    d: v\n  # deep\nb: 1\n");
    puts("l: [{name: x}, ]\n", "l/y.k.m", "v", "l: [{name: x}, {name: y, k: {m: v}}, ]\n");
    puts("l:\n  -   {name: x}\n", "l/y.k", "v", "l:\n  -   {name: x}\n  -   {name: y, k: v}\n");
    puts("l: []\n", "l/yes.k", "v", "l: [{name: \"yes\", k: v}]\n");
}

#[test]
fn a_long_form_goes_on_one_line_and_takes_the_place_of_another() {
    let long = NewValue::Map(vec![
        ("is".into(), NewValue::Text("4.1:1".into())),
        ("taken".into(), NewValue::Text("2026-05-02".into())),
    ]);
    assert_eq!(put("a: 1 # c\n", "a", &long).as_deref(), Ok("a: {is: 4.1:1, taken: 2026-05-02} # c\n"));
    assert_eq!(put("a: {is: 1, x: 2}\n", "a", &long).as_deref(), Ok("a: {is: 4.1:1, taken: 2026-05-02}\n"));
    let in_lines = put("a:\n  is: 1\n", "a", &long);
    assert!(matches!(in_lines, Err(EditProblem::Occupied(_))), "{in_lines:?}");
}

#[test]
fn a_key_is_taken_out_with_its_line() {
    let removed = |text: &str, at: &str| {
        let mut file = EditedFile::read("build.yaml", text.as_bytes())?;
        file.remove(&path(at)).map(|_| file.text().to_owned())
    };
    assert_eq!(removed("m:\n  a: 1\n  b: 2 # two\nc: 3\n", "m.b").as_deref(), Ok("m:\n  a: 1\nc: 3\n"));
    assert_eq!(removed("m: {a: 1, b: 2, c: 3}\n", "m.b").as_deref(), Ok("m: {a: 1, c: 3}\n"));
    assert_eq!(removed("m: {a: 1, b: 2}\n", "m.a").as_deref(), Ok("m: {b: 2}\n"));
    assert!(removed("m:\n  a: 1\n", "m.a").is_err(), "nothing would be left of it");
    assert!(removed("m:\n  - name: 1\n    b: 2\n", "m/1.name").is_err(), "the dash stands on its line");
}

#[test]
fn what_cannot_be_changed_with_certainty_is_refused() {
    let refused = |text: &str, at: &str| put(text, at, &NewValue::Text("v".into())).expect_err(text);
    assert!(matches!(refused("a: [1\n", "a"), EditProblem::Faulty));
    assert!(matches!(refused("a: &x 5\nb: *x\n", "a"), EditProblem::Shared(_)));
    assert!(matches!(refused("a: &x 5\nb: *x\n", "b"), EditProblem::Shared(_)));
    assert!(matches!(refused("a: &x {c: 1}\nb: {<<: *x}\nd: {e: *x}\n", "d.e.c"), EditProblem::Shared(_)));
    assert!(matches!(refused("l: [&x {name: y}, *x]\n", "l[1].k"), EditProblem::Shared(_)));
    assert!(matches!(refused("a: 5\n", "a.b"), EditProblem::Occupied(_)));
    assert!(matches!(refused("a: |\n  5\n", "a"), EditProblem::Occupied(_)));
    assert!(matches!(refused("a: [1]\n", "a[1]"), EditProblem::NoSuchItem(_)));
    assert!(
        matches!(refused("a: |+\n  5\n\nb: 1\n", "c(a)"), EditProblem::Layout(_)),
        "the blank line belongs to the text"
    );
    puts("a: *x\nb: 1\n".replace("*x", "1").as_str(), "a", "v", "a: v\nb: 1\n");
}

/// A random file: a value with its layout.
#[derive(Debug, Clone)]
enum Drawn {
    Scalar(usize),
    Map(Vec<Drawn>, bool),
    List(Vec<Drawn>, bool),
}

const SCALARS: [&str; 9] =
    ["5 mm", "\"1-3/4 in\"", "'it''s'", "", "yes", "3.5", "-3.4° ± 0.2°", "\"x\\u00e4\"", "4.1:1"];
const KEYS: [&str; 7] = ["name", "b", "c", "\"d\"", "länge", "f_g", "h"];

fn drawn() -> impl Strategy<Value = Drawn> {
    let leaf = (0..SCALARS.len()).prop_map(Drawn::Scalar);
    leaf.prop_recursive(4, 40, 5, |inner| {
        prop_oneof![
            (prop::collection::vec(inner.clone(), 1..5), any::<bool>()).prop_map(|(m, flow)| Drawn::Map(m, flow)),
            (prop::collection::vec(inner, 0..4), any::<bool>()).prop_map(|(l, flow)| Drawn::List(l, flow)),
        ]
    })
}

/// How a file is laid out.
#[derive(Debug, Clone)]
struct Layout {
    end: &'static str,
    section: usize,
    list: usize,
    comments: bool,
    last_break: bool,
}

fn layout() -> impl Strategy<Value = Layout> {
    (any::<bool>(), 1usize..5, 0usize..4, any::<bool>(), any::<bool>()).prop_map(
        |(crlf, section, list, comments, last)| Layout {
            end: if crlf { "\r\n" } else { "\n" },
            section,
            list,
            comments,
            last_break: last,
        },
    )
}

impl Layout {
    fn comment(&self) -> &str {
        if self.comments { "  # a comment: {" } else { "" }
    }

    fn file(&self, keys: &[Drawn]) -> String {
        let text = self.map(keys, 0);
        if self.last_break { text } else { text.trim_end_matches(['\r', '\n']).to_owned() }
    }

    fn map(&self, values: &[Drawn], column: usize) -> String {
        let mut out = String::new();
        for (at, (key, value)) in KEYS.iter().zip(values).enumerate() {
            let blanks = " ".repeat(column);
            if self.comments && at > 0 {
                out += &format!("{blanks}# of {key}: x{}", self.end);
            }
            out += &format!(
                "{}{key}:{}",
                if at == 0 { "" } else { &blanks },
                self.behind(value, column, self.section, self.list)
            );
        }
        out
    }

    fn behind(&self, value: &Drawn, column: usize, section: usize, list: usize) -> String {
        match value {
            Drawn::Map(values, false) => {
                let column = column + section;
                format!("{}{}{}{}", self.comment(), self.end, " ".repeat(column), self.map(values, column))
            }
            Drawn::List(items, false) if !items.is_empty() => {
                let column = column + list;
                let item = |item: &Drawn| match item {
                    Drawn::Map(values, false) => format!("{}- {}", " ".repeat(column), self.map(values, column + 2)),
                    other => format!("{}-{}", " ".repeat(column), self.behind(other, column, 2, 2)),
                };
                format!("{}{}{}", self.comment(), self.end, items.iter().map(item).collect::<String>())
            }
            other => format!(" {}{}{}", in_line(other), self.comment(), self.end),
        }
    }
}

fn in_line(value: &Drawn) -> String {
    match value {
        Drawn::Scalar(at) => SCALARS[*at].into(),
        Drawn::Map(values, _) => {
            let entry = |(key, value): (&&str, &Drawn)| format!("{key}: {}", in_line(value));
            format!("{{{}}}", KEYS.iter().zip(values).map(entry).collect::<Vec<_>>().join(", "))
        }
        Drawn::List(items, _) => {
            // Nothing cannot stand between two commas.
            let item = |item: &Drawn| if let Drawn::Scalar(3) = item { "~".into() } else { in_line(item) };
            format!("[{}]", items.iter().map(item).collect::<Vec<_>>().join(", "))
        }
    }
}

/// A path through the file by the numbers drawn: into what is there, or off it where a number says so.
fn choose(file: &Value, numbers: &[usize]) -> Vec<EditStep> {
    let mut steps = Vec::new();
    let mut at = Some(file);
    let before = |key: &str| {
        let keys: Vec<&str> = KEYS.iter().map(|key| key.trim_matches('"')).collect();
        let end = keys.iter().position(|k| *k == key).unwrap_or(keys.len());
        keys[..end].iter().map(|key| (*key).to_owned()).collect::<Vec<_>>()
    };
    for number in numbers {
        match at {
            Some(Value::Sequence(items)) if !items.is_empty() && number % 3 > 0 => {
                let index = number % items.len();
                steps.push(EditStep::At(index));
                at = items.get(index);
            }
            Some(Value::Sequence(items)) => {
                let name = format!("n{}", number % 4);
                at = items.iter().find(|item| item.get("name").and_then(Value::as_str) == Some(&name));
                steps.push(EditStep::Item { naming: "name".into(), name });
            }
            Some(Value::Mapping(_) | Value::Null) | None => {
                // What an item is told by stays as it is.
                let told = usize::from(matches!(steps.last(), Some(EditStep::Item { .. })));
                let key = KEYS[told + number % (KEYS.len() - told)].trim_matches('"');
                at = at.and_then(|at| at.get(key));
                steps.push(EditStep::Key { key: key.into(), behind: before(key) });
            }
            Some(_) => break,
        }
    }
    if !matches!(steps.last(), Some(EditStep::Key { .. } | EditStep::At(_))) {
        steps.push(EditStep::Key { key: "h".into(), behind: before("h") });
    }
    steps
}

/// The same change on a value without places; false where something of another form is in the way.
fn change(at: &mut Value, steps: &[EditStep], new: &Value) -> bool {
    let Some((step, rest)) = steps.split_first() else {
        *at = new.clone();
        return true;
    };
    match step {
        EditStep::Key { key, .. } => {
            if at.is_null() {
                *at = Value::Mapping(Mapping::new());
            }
            let Value::Mapping(map) = at else { return false };
            change(map.entry(key.as_str().into()).or_insert(Value::Null), rest, new)
        }
        EditStep::Item { naming, name } => {
            if at.is_null() {
                *at = Value::Sequence(Vec::new());
            }
            let Value::Sequence(items) = at else { return false };
            let named = |item: &Value| item.get(naming).and_then(Value::as_str) == Some(name);
            if !items.iter().any(named) {
                items.push(Value::Mapping([(naming.as_str().into(), name.as_str().into())].into_iter().collect()));
            }
            items.iter_mut().find(|item| named(item)).is_some_and(|item| change(item, rest, new))
        }
        EditStep::At(index) => at.get_mut(*index).is_some_and(|item| change(item, rest, new)),
    }
}

fn comments(text: &str) -> usize {
    text.matches("# ").count()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn just_the_one_value_changes(
        values in prop::collection::vec(drawn(), 1..5),
        layout in layout(),
        numbers in prop::collection::vec(0usize..40, 1..6),
        new in prop_oneof![Just("742 mm"), Just("#10-32"), Just("-3.4° ± 0.2°"), Just("a, b: c"), Just("it's")],
    ) {
        let text = layout.file(&values);
        let before: Value = serde_yaml::from_str(&text).expect("the text is YAML");
        let steps = choose(&before, &numbers);
        let mut expected = before.clone();
        let fits = change(&mut expected, &steps, &new.into());
        let mut file = EditedFile::read("build.yaml", text.as_bytes()).expect("a sound file");
        let was = file.scalar(&steps).map(str::to_owned);
        match file.put(&steps, &NewValue::Text(new.into())) {
            Ok(edits) => {
                prop_assert!(fits);
                let after: Value = serde_yaml::from_str(file.text()).expect("the text is YAML");
                prop_assert_eq!(&after, &expected, "{}\n---\n{}", text, file.text());
                prop_assert_eq!(comments(&text), comments(file.text()));
                prop_assert_eq!(text.contains("\r\n"), file.text().contains("\r\n"));
                let [TextEdit { range, .. }] = &edits[..] else { return Err(TestCaseError::fail("one edit")) };
                let replaced: Value = serde_yaml::from_str(&text[range.clone()]).expect("a scalar or nothing");
                if let Some(was) = was {
                    prop_assert!(replaced.is_null() && was.is_empty() || !range.is_empty());
                } else {
                    prop_assert!(range.is_empty() || text[range.clone()].starts_with(['{', '[']), "only what is written is replaced");
                }
                let edits = file.remove(&steps);
                if let Ok(edits) = edits {
                    prop_assert!(edits.iter().all(|edit| edit.text.is_empty()));
                }
            }
            Err(problem) => {
                // Maps and lists in lines are not replaced by a text, and nothing is put behind a bare dash; everything else
                // that fits can be done.
                let block = matches!(problem, EditProblem::Occupied(_));
                let dash = text.lines().any(|line| line.split("  # ").next().is_some_and(|line| line.trim_end().ends_with('-')));
                prop_assert!(!fits || block || dash, "{problem:?} {steps:?}\n{text}");
            }
        }
    }
}
