//! The sheet for machines: what the page shows, under the keys that its values carry.
//!
//! As a build of an inspection (see [`crate::report::json`]), and besides:
//!
//! - `form`: 1, the version of this form; `day`, `uses`, `revision` (`null` outside a repository), `caution`
//! - `systems`: `system`, `counts` (as for the build)
//! - `rules`: every rule in the order of its number: `rule`, `system`, `title`
//! - `formulas`: every figure in the order of its number: `figure`, `system`, `means`, `is`, `with` (`name`, `is`)

use super::super::json::build_json;
use super::super::summary::CAUTION;
use super::{Judged, SheetOptions, systems::systems};
use serde_json::{Value, json};

/// The sheet as JSON.
pub fn sheet_json(judged: &Judged, options: &SheetOptions) -> Value {
    let assessment = judged.assessment;
    let index = &assessment.index;
    let with = |with: &[(Box<str>, Box<str>)]| -> Vec<Value> {
        with.iter().map(|(name, is)| json!({"name": name, "is": is})).collect()
    };
    let rules: Vec<Value> =
        index.rules.iter().map(|r| json!({"rule": r.name, "system": r.system, "title": r.title})).collect();
    let formulas: Vec<Value> = index
        .figures
        .iter()
        .map(
            |f| json!({"figure": f.name, "system": f.system, "means": f.means, "is": f.formula, "with": with(&f.with)}),
        )
        .collect();
    let systems: Vec<Value> = systems(judged).iter().map(|s| json!({"system": s.name, "counts": s.counts})).collect();
    let mut sheet = json!({
        "form": 1,
        "day": assessment.day.to_string(),
        "uses": assessment.uses,
        "revision": options.revision,
        "caution": CAUTION,
        "systems": systems,
        "rules": rules,
        "formulas": formulas,
    });
    if let (Value::Object(sheet), Value::Object(build)) = (&mut sheet, build_json(judged)) {
        sheet.extend(build);
    }
    sheet
}
