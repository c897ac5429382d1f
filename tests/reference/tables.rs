//! Reads the tables that the scripts beside this file made: `tests/data/*.json` with their rows of numbers.

use std::path::Path;

use serde_json::Value;

/// The rows of a table, of which there have to be at least `least`.
pub fn table(name: &str, least: usize) -> Vec<Vec<Value>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name);
    let text = std::fs::read_to_string(path).expect("the table");
    let table: Value = serde_json::from_str(&text).expect("JSON");
    let rows = table["rows"].as_array().expect("rows");
    assert!(rows.len() >= least, "{name} holds {} rows", rows.len());
    rows.iter().map(|row| row.as_array().expect("a row").clone()).collect()
}

/// The numbers of a row or a list; texts are left out.
pub fn numbers(row: &[Value]) -> Vec<f64> {
    row.iter().filter_map(Value::as_f64).collect()
}

/// Holds a result against the table's within a share of it.
pub fn near(what: &str, got: f64, wanted: f64, share: f64) {
    assert!((got - wanted).abs() <= share * wanted.abs(), "{what}: {got}, expected {wanted} within {share}");
}
