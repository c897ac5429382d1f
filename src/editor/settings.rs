//! What a builder can choose in the editor's settings.

use serde_json::Value;

/// The settings, as they are until an editor says otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Whether values that rules wait for are pointed out, and what is unproven or beyond a table.
    pub unmeasured: bool,
    /// Whether figures are shown beside the values that they come from.
    pub figures: bool,
    /// Whether builds are judged of which no file is open.
    pub all_builds: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Settings { unmeasured: true, figures: true, all_builds: true }
    }
}

impl Settings {
    /// The settings with what an editor says of them, alone or under `tramgauge`. What is not a truth value there is
    /// passed over: an editor sends what its user has typed.
    #[must_use]
    pub fn with(self, said: &Value) -> Settings {
        let said = said.get("tramgauge").unwrap_or(said);
        let choice = |key: &str, before: bool| said.get(key).and_then(Value::as_bool).unwrap_or(before);
        Settings {
            unmeasured: choice("unmeasured", self.unmeasured),
            figures: choice("figures", self.figures),
            all_builds: choice("all_builds", self.all_builds),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn settings_change_where_something_is_said() {
        let settings = Settings::default().with(&json!({"tramgauge": {"unmeasured": false, "figures": "perhaps"}}));
        assert_eq!(settings, Settings { unmeasured: false, ..Settings::default() });
        assert_eq!(settings.with(&json!({"unmeasured": true})), Settings::default());
        for nothing in [json!(null), json!([]), json!("x"), json!({"tramgauge": 3})] {
            assert_eq!(settings.with(&nothing), settings);
        }
    }
}
