//! Reads tables of check values (`tests/data/reference_*.yaml`): every case has inputs, expected values with their
//! own tolerance, and the source of the figures. Units become SI here by factors of this file, so that a slip of the
//! program's units cannot hide.

use std::collections::BTreeMap;
use std::path::Path;

use serde_yaml::Value;

/// One case of a table.
pub struct Case {
    pub id: String,
    pub computation: String,
    inputs: BTreeMap<String, Given>,
    expect: BTreeMap<String, Given>,
    source: String,
}

struct Given {
    value: Value,
    unit: String,
    tolerance: f64,
    margin: f64,
}

impl Given {
    fn numbers(&self) -> Vec<f64> {
        let one = |v: &Value| si(v.as_f64().expect("a number"), &self.unit);
        match &self.value {
            Value::Sequence(list) => list.iter().map(one).collect(),
            single => vec![one(single)],
        }
    }
}

#[allow(dead_code, reason = "no test asks for everything")]
impl Case {
    /// An input in SI units.
    pub fn si(&self, name: &str) -> f64 {
        let numbers = self.list(name);
        assert_eq!(numbers.len(), 1, "{}: {name} is a list", self.id);
        numbers[0]
    }

    /// A list of inputs in SI units.
    pub fn list(&self, name: &str) -> Vec<f64> {
        self.inputs.get(name).unwrap_or_else(|| panic!("{}: no input {name}", self.id)).numbers()
    }

    /// An input that is text.
    pub fn text(&self, name: &str) -> &str {
        self.inputs[name].value.as_str().expect("text")
    }

    /// Whether an input that is yes or no is yes.
    pub fn yes(&self, name: &str) -> bool {
        self.inputs[name].value.as_bool().expect("yes or no")
    }

    /// Whether the case has an input of that name.
    pub fn has(&self, name: &str) -> bool {
        self.inputs.contains_key(name)
    }

    /// Holds a word against what the case expects, where it expects one.
    pub fn check_text(&self, name: &str, got: &str) {
        if let Some(expected) = self.expect.get(name) {
            assert_eq!(expected.value.as_str(), Some(got), "{}: {name} ({})", self.id, self.source);
        }
    }

    /// Holds results in SI units against what the case expects; every expected number has to be among them.
    pub fn check(&self, results: &[(&str, f64)]) {
        let lists: Vec<_> = results.iter().map(|(name, value)| (*name, vec![*value])).collect();
        self.check_lists(&lists);
    }

    /// As [`Case::check`], for results some of which are lists.
    pub fn check_lists(&self, results: &[(&str, Vec<f64>)]) {
        for (name, expected) in self.expect.iter().filter(|(_, e)| e.unit != "text") {
            let got = results.iter().find(|(n, _)| n == name).map(|(_, v)| v);
            let got = got.unwrap_or_else(|| panic!("{}: nothing computed for {name}", self.id));
            let wanted = expected.numbers();
            assert_eq!(got.len(), wanted.len(), "{}: {name}", self.id);
            for (got, wanted) in got.iter().zip(wanted) {
                self.check_number(name, expected, *got, wanted);
            }
        }
    }

    fn check_number(&self, name: &str, expected: &Given, got: f64, wanted: f64) {
        // One part in 1e8 for the figures' last digit where the table asks for exactness.
        // A share of a temperature is one of its figure in degrees Celsius, not of the kelvins above absolute zero.
        let basis = if expected.unit == "degC" { wanted - 273.15 } else { wanted };
        let allowed = expected.tolerance.max(1e-8) * basis.abs() + expected.margin;
        assert!(
            (got - wanted).abs() <= allowed,
            "{}: {name} is {got}, expected {wanted} within {allowed} ({})",
            self.id,
            self.source
        );
    }
}

/// The cases of one table.
pub fn cases(file: &str) -> Vec<Case> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(file);
    let text = std::fs::read_to_string(&path).expect("the table of check values");
    let root: Value = serde_yaml::from_str(&text).expect("YAML");
    let list = root.get("cases").and_then(Value::as_sequence).expect("cases");
    assert!(!list.is_empty(), "{file} holds no case");
    list.iter().map(case).collect()
}

fn case(value: &Value) -> Case {
    let text = |name: &str| value.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
    let quantities = |name: &str| {
        let map = value.get(name).and_then(Value::as_mapping).expect("a map of quantities");
        map.iter().map(|(k, v)| (k.as_str().expect("a name").to_owned(), given(v))).collect()
    };
    Case {
        id: text("id"),
        computation: text("computation"),
        inputs: quantities("inputs"),
        expect: quantities("expect"),
        source: text("source"),
    }
}

fn given(value: &Value) -> Given {
    // The axes that coordinates are counted along stand behind the unit, in brackets.
    let unit = value.get("unit").and_then(Value::as_str).expect("a unit");
    let unit = unit.split(" [").next().unwrap_or(unit).to_owned();
    Given {
        value: value.get("value").expect("a value").clone(),
        margin: value.get("abs_tol").and_then(Value::as_f64).map_or(0.0, |margin| si(margin, &unit)),
        unit,
        tolerance: value.get("rel_tol").and_then(Value::as_f64).unwrap_or_default(),
    }
}

/// A number of a unit in SI units.
fn si(number: f64, unit: &str) -> f64 {
    const TURN: f64 = 2.0 * std::f64::consts::PI;
    let factor = match unit {
        "1" | "g" | "s" | "Hz" | "N*m/rad" | "s*(hp/lb)^(1/3)" | "K" | "W/K" | "J/(kg*K)" | "W/(m^2*K)" | "kg/s"
        | "m^2" | "m^3/s" | "N" | "N*m" | "Pa" | "Pa*s" | "m" | "m/s" | "m/s^2" | "kg" | "kg/m" | "kg/m^3" | "V"
        | "A" | "W" | "ohm" | "ohm*m" | "1/K" => 1.0,
        "%" => 0.01,
        "mm" => 1e-3,
        "in" => 0.0254,
        "mm^2" => 1e-6,
        "mm^3" => 1e-9,
        "mm^4" => 1e-12,
        "1/km" | "ohm/km" | "ms" | "mPa*s" => 1e-3,
        "km/h" => 1.0 / 3.6,
        "L/h" => 1e-3 / 3600.0,
        "cm^3" => 1e-6,
        "L/min" => 1e-3 / 60.0,
        "kg/min" => 1.0 / 60.0,
        "cm^3/min" => 1e-6 / 60.0,
        "kg/h" => 1.0 / 3600.0,
        "g/(kW*h)" => 1e-3 / 3.6e6,
        "kJ/kg" | "kJ/(kg*K)" | "kPa" | "kW" => 1e3,
        "N/mm" => 1e3,
        "N*m/deg" => 360.0 / TURN,
        "deg/mm" => TURN / 0.36,
        "lb" => 0.453_592_37,
        "hp" => 745.699_871_582_270_2,
        "MPa" => 1e6,
        "GPa" => 1e9,
        "bar" => 1e5,
        "rpm" => TURN / 60.0,
        "deg" => TURN / 360.0,
        "degC" => return number + 273.15,
        other => panic!("no factor for the unit {other}"),
    };
    number * factor
}
