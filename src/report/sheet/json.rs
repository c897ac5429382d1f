//! The sheet for machines: what the page shows, under the keys that its values carry.
//!
//! As a build of an inspection (see [`crate::report::json`]), and besides:
//!
//! - `form`: 1, the version of this form; `day`, `uses`, `revision` (`null` outside a repository), `caution`
//! - `systems`: `system`, `counts` (as for the build)
//! - `rules`: every rule in the order of its number: `rule`, `system`, `title`
//! - `formulas`: every figure in the order of its number: `figure`, `system`, `means`, `is`, `with` (`name`, `is`)
//! - `drawings`: `drawing`, `means`, `shapes`: `called`, `as` (what it is drawn as), `subject`, `figure` (its number among the
//!   figures), `radius` (of wheels, else `null`) and `points` (`forwards`, `left`, `up` from the ground below the middle of the
//!   front axle), all in metres. The side view shows `forwards` and `up`, the plan `forwards` and `left`
//!
//! And where the sheet is compared with another revision:
//!
//! - `before`: the build as it was, as a build of an inspection, with `revision` (`name` as asked for, `commit`, `short`), `systems`
//!   and `drawings`
//! - `compared`: as a build of `compare --as json`, with `slight_margins` (moved by less than a tenth) and `counts`

use super::super::json::build_json;
use super::super::summary::CAUTION;
use super::before::Was;
use super::changes::compared_json;
use super::{Judged, SheetOptions, systems::systems};
use crate::source::SharedText;
use serde_json::{Value, json};

/// The sheet as JSON.
pub fn sheet_json(judged: &Judged, options: &SheetOptions) -> Value {
    let assessment = judged.assessment;
    let index = &assessment.index;
    let with = |with: &[(SharedText, SharedText)]| -> Vec<Value> {
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
    let was = options.before.map(Was::new);
    let systems: Vec<Value> =
        systems(judged, was.as_ref()).iter().map(|s| json!({"system": s.name, "counts": s.counts})).collect();
    let mut sheet = json!({
        "form": 1,
        "day": assessment.day.to_string(),
        "uses": assessment.uses,
        "revision": options.revision,
        "caution": CAUTION,
        "systems": systems,
        "rules": rules,
        "formulas": formulas,
        "drawings": super::drawings::drawings_json(judged),
    });
    if let (Value::Object(sheet), Value::Object(build)) = (&mut sheet, build_json(judged)) {
        sheet.extend(build);
        if let Some(was) = &was {
            sheet.insert("before".into(), before_json(was));
            sheet.insert("compared".into(), compared_json(was));
        }
    }
    sheet
}

/// The build as it was.
fn before_json(was: &Was) -> Value {
    let counted = was.assessment.counts_by_system();
    let systems: Vec<Value> = counted.iter().map(|(name, counts)| json!({"system": name, "counts": counts})).collect();
    let mut before = json!({
        "revision": {"name": was.before.name, "commit": was.before.commit, "short": was.before.short},
        "systems": systems,
        "drawings": super::drawings::drawings_json(&was.before.judged()),
    });
    if let (Value::Object(before), Value::Object(build)) = (&mut before, build_json(&was.before.judged())) {
        before.extend(build);
    }
    before
}
