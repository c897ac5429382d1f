//! Writes [`Types`] as one JSON Schema (draft 2020-12): for the validator, and for anyone else's editor or validator.
//!
//! Keywords of ours stand beside plain ones which say as much of the same as plain words can, so that a validator that
//! does not know ours still finds unknown keys, wrong choices and wrong forms. `none` goes everywhere.

use serde_json::{Map, Value, json};

use super::evidence::EVIDENCE;
use super::keywords::NONE;
use super::lay::CHANGED_KEY;
use super::types::{Absence, Field, FieldType, ListMembers, ListType, RecordType, Types};
use crate::quantity::{Kind, show};
use crate::source::PART_KEY;

/// How a quantity can be known, as `known_by` says it.
pub const KNOWN_BY: [&str; 4] = ["measured", "maker", "drawn", "assumed"];

/// The keys of a quantity's long form.
pub const LONG_FORM: [&str; 5] = ["is", "give_or_take", "known_by", "taken", EVIDENCE];

/// The schema of one value of a spec.
pub(super) fn bundle_of(types: &Types, ty: &FieldType) -> Value {
    let mut schema = bundle(types, false);
    if let Value::Object(map) = &mut schema {
        map.remove("$ref");
        map.extend(value_schema(types, ty, false));
    }
    schema
}

/// The schema of a spec. `words`: with descriptions, examples and all that validation does not need.
pub(super) fn bundle(types: &Types, words: bool) -> Value {
    let mut definitions = Map::new();
    for (_, record) in types.records() {
        definitions.insert(record.name.to_string(), record_schema(types, record, words));
    }
    for kind in Kind::ALL {
        definitions.insert(quantity_name(*kind), long_form(*kind));
    }
    debug_assert!(
        definitions.len() == types.records().count() + Kind::ALL.len(),
        "each definition has a name of its own"
    );
    let root = types.record(types.root());
    let mut schema = Map::new();
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    if words {
        schema.insert("title".into(), json!(root.description));
    }
    schema.insert("$ref".into(), json!(pointer(&root.name)));
    schema.insert("$defs".into(), Value::Object(definitions));
    Value::Object(schema)
}

fn pointer(name: &str) -> String {
    format!("#/$defs/{name}")
}

fn quantity_name(kind: Kind) -> String {
    format!("quantity.{}", kind.name().replace(' ', "_"))
}

fn long_form(kind: Kind) -> Value {
    let difference = kind.difference().unwrap_or(kind);
    let known_by: Vec<&str> = KNOWN_BY.into_iter().chain([NONE]).collect();
    json!({
        "additionalProperties": false,
        "required": ["is"],
        "properties": {
            "is": {"type": ["string", "number"], "quantity": kind.name()},
            "give_or_take": {"type": ["string", "number"], "quantity": difference.name()},
            "known_by": {"enum": known_by},
            "taken": {"type": "string", "date": true},
            EVIDENCE: {
                "type": ["object", "string"],
                "pattern": "^none$",
                "additionalProperties": false,
                "required": ["file"],
                "properties": {
                    "file": {"type": ["string", "number"], "minLength": 1},
                    "sha256": {"type": ["string", "number"], "digest": true},
                },
            },
        },
    })
}

fn record_schema(types: &Types, record: &RecordType, words: bool) -> Value {
    let mut schema = or_none("object");
    if words {
        schema.insert("description".into(), json!(record.description));
    }
    let naming = record.naming.and_then(|slot| record.field(slot));
    if let Some(naming) = naming {
        schema.insert("naming".into(), json!(naming.name));
        schema.insert("required".into(), json!([naming.name]));
    }
    if !record.open {
        schema.insert("additionalProperties".into(), json!(false));
    }
    if record.stands_in && words {
        schema.insert("stands_in".into(), json!(true));
    }
    let mut properties = Map::new();
    for field in &record.fields {
        let mut value = value_schema(types, &field.ty, words);
        if words {
            say(&mut value, field);
        }
        properties.insert(field.name.to_string(), Value::Object(value));
    }
    if record.takes_part {
        for (key, mut value, description) in of_part() {
            if words {
                value.insert("description".into(), json!(description));
            }
            properties.insert(key.into(), Value::Object(value));
        }
    }
    schema.insert("properties".into(), Value::Object(properties));
    Value::Object(schema)
}

/// The keys of every record that can have a data sheet.
fn of_part() -> [(&'static str, Map<String, Value>, &'static str); 2] {
    let text = |keyword: &str| {
        let mut schema = Map::new();
        schema.insert("type".into(), json!("string"));
        schema.insert(keyword.into(), json!(true));
        schema
    };
    let sheet = "Data sheet of this part, by its path from the repository's root; what stands there counts as if it stood here, but for keys that are written here too.";
    let changed = "Last day on which this part was changed or put in place of another; what was measured on it or through it before is stale.";
    [(PART_KEY, text("names_sheet"), sheet), (CHANGED_KEY, text("date"), changed)]
}

fn say(schema: &mut Map<String, Value>, field: &Field) {
    schema.insert("description".into(), json!(field.description));
    let examples: Vec<Value> = field.examples.iter().filter_map(|e| serde_yaml::from_str(e).ok()).collect();
    if !examples.is_empty() {
        schema.insert("examples".into(), json!(examples));
    }
    if field.absent == Absence::None {
        schema.insert("unwritten".into(), json!("none"));
    }
    if !field.moved_by.is_empty() {
        schema.insert("moved_by".into(), json!(field.moved_by));
    }
    if !field.sizes.is_empty() {
        schema.insert("sizes".into(), json!(field.sizes));
    }
    if let Some(station) = field.station {
        schema.insert("where".into(), json!(station.word()));
    }
    if let Some(tool) = field.tool {
        schema.insert("tool".into(), json!(tool.word()));
    }
    if let (Some((low, high)), FieldType::Quantity(kind)) = (field.usual, &field.ty) {
        let ends = [low, high].map(|si| show(si, (*kind).into(), None, None));
        schema.insert("usual".into(), json!(ends));
    }
}

/// A type, or the word `none`; the pattern binds text alone.
fn or_none(form: &str) -> Map<String, Value> {
    let mut schema = Map::new();
    schema.insert("type".into(), json!([form, "string"]));
    schema.insert("pattern".into(), json!("^none$"));
    schema
}

fn value_schema(types: &Types, ty: &FieldType, words: bool) -> Map<String, Value> {
    let schema = match ty {
        FieldType::Quantity(kind) => json!({
            "type": ["string", "number", "object"],
            "quantity": kind.name(),
            "$ref": pointer(&quantity_name(*kind)),
        }),
        FieldType::Text => json!({"type": ["string", "number"], "minLength": 1}),
        FieldType::Choice(choices) => {
            let choices: Vec<Value> = choices.iter().map(|c| choice(c)).chain([json!("none")]).collect();
            json!({"enum": choices})
        }
        FieldType::YesNo => json!({"enum": [true, false, "yes", "no", "none"]}),
        FieldType::Date => json!({"type": "string", "date": true}),
        FieldType::Designation(kind) => json!({"type": ["string", "number"], "designation": kind.name()}),
        FieldType::Reference(list) => json!({"type": ["string", "number"], "refers_to": types.list(*list).path}),
        FieldType::Record(record) => json!({"$ref": pointer(&types.record(*record).name)}),
        FieldType::Point => {
            let mut schema = or_none("array");
            let axis = json!({"type": ["string", "number", "object"], "quantity": "length", "$ref": pointer(&quantity_name(Kind::Length))});
            schema.extend(
                [("point", json!(true)), ("minItems", json!(3)), ("maxItems", json!(3)), ("items", axis)]
                    .map(|(k, v)| (k.to_owned(), v)),
            );
            return schema;
        }
        FieldType::List(list) => return list_schema(types, types.list(*list), words),
    };
    match schema {
        Value::Object(schema) => schema,
        _ => Map::new(),
    }
}

/// Whether a choice is written as a number, which JSON tells from text.
pub(super) fn is_number(choice: &str) -> bool {
    choice.parse::<u32>().is_ok_and(|number| number.to_string() == choice)
}

fn choice(text: &str) -> Value {
    match text.parse::<u32>() {
        Ok(number) if is_number(text) => json!(number),
        _ => json!(text),
    }
}

fn list_schema(types: &Types, list: &ListType, words: bool) -> Map<String, Value> {
    let mut schema = or_none("array");
    if list.ring {
        schema.insert("ring".into(), json!(true));
    }
    let items = match &list.members {
        ListMembers::Values(ty) => Value::Object(value_schema(types, ty, words)),
        ListMembers::Records(records) => match &records[..] {
            [record] => json!({"$ref": pointer(&types.record(*record).name)}),
            several => mixed(types, several),
        },
    };
    schema.insert("items".into(), items);
    schema
}

/// The naming key that an item has decides which definition it must meet: a chain of `if`, so that errors come from the one
/// definition that is meant.
fn mixed(types: &Types, records: &[super::RecordId]) -> Value {
    let named = |record: &super::RecordId| {
        let record = types.record(*record);
        let naming = record.naming.and_then(|slot| record.field(slot))?;
        Some((naming.name.to_string(), pointer(&record.name)))
    };
    let kinds: Vec<(String, String)> = records.iter().filter_map(named).collect();
    let mut chain = json!(false);
    for (key, definition) in kinds.iter().rev() {
        chain = json!({"if": {"required": [key]}, "then": {"$ref": definition}, "else": chain});
    }
    let keys: Vec<&String> = kinds.iter().map(|(key, _)| key).collect();
    json!({"kinds": keys, "allOf": [chain]})
}
