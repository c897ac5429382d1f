//! Help texts made from the types: the commented spec that a new build starts from, and the list of all keys.

use std::fmt::Write as _;

use super::types::{Absence, Field, FieldType, ListMembers, RecordId, Types};
use crate::quantity::Kind;

/// The width to which comments are filled.
const WIDTH: usize = 100;

/// One key of the terms, for a printed reference, an editor's hover or its completion.
#[derive(Debug, Clone)]
pub struct KeyHelp<'a> {
    /// Where it stands, keys only: `fuel.pumps.inlet_height`.
    pub path: String,
    /// All that the schema says of it.
    pub field: &'a Field,
    /// What belongs there, in words.
    pub belongs: String,
}

/// Every key, each section's own before the next section, in the order of the schema. Records within themselves are not
/// followed.
pub fn keys(types: &Types) -> Vec<KeyHelp<'_>> {
    let mut found = Vec::new();
    let mut within = Vec::new();
    collect(types, types.root(), "", &mut within, &mut found);
    found
}

fn collect<'a>(
    types: &'a Types,
    record: RecordId,
    path: &str,
    within: &mut Vec<RecordId>,
    found: &mut Vec<KeyHelp<'a>>,
) {
    if within.contains(&record) {
        return;
    }
    within.push(record);
    for field in &types.record(record).fields {
        let path = if path.is_empty() { field.name.to_string() } else { format!("{path}.{}", field.name) };
        found.push(KeyHelp { path: path.clone(), field, belongs: belongs(types, &field.ty) });
        for record in records_below(types, &field.ty) {
            collect(types, *record, &path, within, found);
        }
    }
    within.pop();
}

fn records_below<'a>(types: &'a Types, ty: &'a FieldType) -> &'a [RecordId] {
    match ty {
        FieldType::Record(record) => std::slice::from_ref(record),
        FieldType::List(list) => match &types.list(*list).members {
            ListMembers::Records(records) => records,
            ListMembers::Values(_) => &[],
        },
        _ => &[],
    }
}

/// What belongs at such a key, in words: `length`, `one of: …`, `name of an item of fuel.tanks`.
pub fn belongs(types: &Types, ty: &FieldType) -> String {
    match ty {
        FieldType::Quantity(Kind::Number) => "a number".into(),
        FieldType::Quantity(kind) => kind.name().into(),
        FieldType::Text => "text".into(),
        FieldType::Choice(choices) => format!("one of: {}", choices.join(", ")),
        FieldType::YesNo => "yes or no".into(),
        FieldType::Date => "a day".into(),
        FieldType::Point => "a point, [x, y, z]".into(),
        FieldType::Designation(kind) => format!("designation of a {}", kind.name()),
        FieldType::Reference(list) => format!("name of an item of {}", types.list(*list).path),
        FieldType::Record(_) => "a section".into(),
        FieldType::List(list) => match &types.list(*list).members {
            ListMembers::Values(ty) => format!("list: {}", belongs(types, ty)),
            ListMembers::Records(records) => {
                let naming = |record: &RecordId| {
                    let record = types.record(*record);
                    record.naming.and_then(|slot| record.field(slot)).map(|field| &*field.name)
                };
                let names: Vec<&str> = records.iter().filter_map(naming).collect();
                if names.is_empty() { "list".into() } else { format!("list, of: {}", names.join(", ")) }
            }
        },
    }
}

/// The text of a new build's `build.yaml`: every key with its description, commented out but for the first few. A line whose
/// `#` is followed at once by its text is a key to take into use; the others are comments.
pub fn new_spec(types: &Types, name: &str) -> String {
    let mut text = String::from(
        "# The specification of one build. Take a key into use by deleting the # right in front of it (and in front of the\n\
         # sections that it stands in), and write your own value. Leave out what is not known yet: it will be asked for when\n\
         # something depends on it. Write none in place of anything that the car does not have.\n",
    );
    let mut writer = Writer { types, text: &mut text, name, within: Vec::new() };
    writer.record(types.root(), 0, true);
    text
}

struct Writer<'a> {
    types: &'a Types,
    text: &'a mut String,
    name: &'a str,
    within: Vec<RecordId>,
}

impl<'a> Writer<'a> {
    /// Writes the keys of a record; `top` marks the whole spec and `build`, parts of which are in use from the start.
    fn record(&mut self, record: RecordId, depth: usize, top: bool) {
        if self.within.contains(&record) {
            return;
        }
        self.within.push(record);
        for field in &self.types.record(record).fields {
            // What is known better is written only against a computed figure, never from the start.
            if &*field.name != "known" {
                self.field(field, depth, "", top);
            }
        }
        self.within.pop();
    }

    fn comment(&mut self, depth: usize, words: &str) {
        let indent = " ".repeat(depth * 2);
        let mut line = String::new();
        for word in words.split_whitespace() {
            if !line.is_empty() && indent.len() + line.chars().count() + word.chars().count() + 3 > WIDTH {
                let _ = writeln!(self.text, "{indent}# {line}");
                line.clear();
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        if !line.is_empty() {
            let _ = writeln!(self.text, "{indent}# {line}");
        }
    }

    fn field(&mut self, field: &'a Field, depth: usize, dash: &str, top: bool) {
        if depth == 0 && &*field.name != "tramgauge" {
            self.text.push('\n');
        }
        let indent = " ".repeat(depth * 2);
        let words = match &field.ty {
            FieldType::Choice(choices) if choices.len() > 1 => {
                format!("{} One of: {}.", *field.description, choices.join(", "))
            }
            FieldType::List(_) => match belongs(self.types, &field.ty).strip_prefix("list: one of: ") {
                Some(choices) => format!("{} Some of: {choices}.", *field.description),
                None => field.description.to_string(),
            },
            _ => field.description.to_string(),
        };
        self.comment(depth, &words);
        if field.absent == Absence::None {
            self.comment(depth, "Left out: there is none.");
        }
        if top && self.in_use(field, depth, &indent) {
            return;
        }
        match &field.ty {
            FieldType::Record(record) if self.types.record(*record).fields.is_empty() => {
                let _ = writeln!(self.text, "{indent}#{dash}{}: {{}}", field.name);
            }
            FieldType::Record(record) => {
                let _ = writeln!(self.text, "{indent}#{dash}{}:", field.name);
                self.record(*record, depth + 1 + dash.len() / 2, false);
            }
            FieldType::List(list) => match &self.types.list(*list).members {
                ListMembers::Records(records) => {
                    let _ = writeln!(self.text, "{indent}#{dash}{}:", field.name);
                    for record in records {
                        self.item(*record, depth + 1 + dash.len() / 2);
                    }
                }
                ListMembers::Values(_) => {
                    let example = field.examples.first().map_or("[]", |example| &**example);
                    let _ = writeln!(self.text, "{indent}#{dash}{}: {example}", field.name);
                }
            },
            ty => {
                let example = field.examples.first().map_or_else(|| stand_in(ty), ToString::to_string);
                let _ = writeln!(self.text, "{indent}#{dash}{}: {example}", field.name);
            }
        }
    }

    /// Writes the keys that a new spec has in use: the version, and the build's name and stage.
    fn in_use(&mut self, field: &'a Field, depth: usize, indent: &str) -> bool {
        match (&field.ty, &*field.name, depth) {
            (FieldType::Choice(only), "tramgauge", 0) => {
                let _ = writeln!(self.text, "tramgauge: {}", only.first().map_or("1", |only| only));
            }
            (FieldType::Record(record), "build", 0) => {
                self.text.push_str("build:\n");
                self.record(*record, 1, true);
            }
            // What does not say its stage counts as running, where nothing may be left unmeasured that can be dangerous.
            (FieldType::Choice(stages), "stage", 1) => {
                let _ = writeln!(self.text, "{indent}stage: {}", stages.first().map_or("drawn", |first| first));
            }
            (FieldType::Text, "name", 1) => {
                let quoted = serde_json::Value::from(self.name).to_string();
                let _ = writeln!(self.text, "{indent}name: {quoted}");
            }
            _ => return false,
        }
        true
    }

    fn item(&mut self, record: RecordId, depth: usize) {
        if self.within.contains(&record) {
            return;
        }
        let ty = self.types.record(record);
        self.comment(depth, &ty.description);
        self.within.push(record);
        for (index, field) in ty.fields.iter().filter(|field| &*field.name != "known").enumerate() {
            if index == 0 { self.field(field, depth, "- ", false) } else { self.field(field, depth + 1, "", false) }
        }
        self.within.pop();
    }
}

/// An example for a key that has none of its own.
fn stand_in(ty: &FieldType) -> String {
    match ty {
        FieldType::Choice(choices) => choices.first().map_or_else(String::new, |first| first.to_string()),
        FieldType::YesNo => "yes".into(),
        FieldType::Date => "2026-05-02".into(),
        FieldType::Point => "[120 mm, -340 mm, 415 mm]".into(),
        _ => "...".into(),
    }
}
