//! `inspect --try`: judges a build with other values in place of some, variants side by side; nothing is written.

use super::Status;
use super::common::Judging;
use super::form::{Asked, Form, write_whole};
use super::in_force::{Refused, open};
use super::judging::read;
use super::output::{Output, refuse};
use super::place::build_at;
use crate::assess::{Request, tries};
use crate::report::{self, Trouble};
use crate::repository::Stage;
use crate::rulebook::Class;
use crate::terms::read_settings;
use std::path::{Path, PathBuf};

/// What the command line says.
pub struct Call<'a> {
    /// The build; one alone.
    pub paths: &'a [PathBuf],
    /// The settings of each variant.
    pub texts: &'a [String],
    /// Rules and day.
    pub judging: &'a Judging,
    /// The form; one alone.
    pub forms: &'a [Asked],
    /// The class from which on a finding counts, in place of what the settings say.
    pub holding: Option<Class>,
}

/// Runs it.
pub fn run(call: &Call, output: &mut Output) -> Status {
    let (machine, file) = match call.forms {
        [] => (false, None),
        [Asked { form: Form::Terminal, file }] => (false, file.as_deref()),
        [Asked { form: Form::Json, file }] => (true, file.as_deref()),
        _ => return Refused::Call("--try answers in one form, terminal or json".into()).told(output, false),
    };
    let path = match call.paths {
        [] => Path::new("."),
        [path] => path,
        _ => return Refused::Call("--try is about one build; name it".into()).told(output, machine),
    };
    let opened = match open(path, &call.judging.rules) {
        Ok(opened) => opened,
        Err(refused) => return refused.told(output, machine),
    };
    let build = match build_at(path, &opened.root, &*opened.repository.files) {
        Ok(build) => build,
        Err(words) => return Refused::Call(words).told(output, machine),
    };
    let (spec, errors) = read(&opened.repository, &build);
    let texts: Vec<&str> = call.texts.iter().map(String::as_str).collect();
    let settings = match read_settings(&spec, &texts) {
        Ok(settings) => settings,
        Err((sources, wrong)) => {
            let troubles = wrong.iter().map(Trouble::from).collect();
            return Refused::Wrong("try", sources, troubles).told(output, machine);
        }
    };
    let request = Request {
        spec: &settings.spec,
        rulebook: &opened.repository.book,
        day: call.judging.day(),
        figures: true,
        explained: true,
        only: None,
    };
    let mut holding = opened.repository.settings.holding(Stage::of(&spec));
    holding.findings = call.holding.or(holding.findings);
    let tried = tries(&request, &settings.groups, &holding);
    let text = if machine {
        let told = report::tries_json(&build, &tried, &texts, &errors);
        format!("{}\n", report::escaped(&format!("{told:#}")))
    } else {
        let mut text = report::errors("spec", &errors, &spec.sources, output.look);
        text.push_str(&report::tries(&tried, &texts, output.look));
        text
    };
    match file {
        None => output.text(&text),
        Some(file) => {
            if let Err(words) = write_whole(file, &text) {
                refuse(&words);
                return Status::Unusable;
            }
        }
    }
    if !errors.is_empty() || tried.variants.iter().any(|v| !v.exhausted.is_empty()) {
        Status::Unusable
    } else if tried.variants.iter().any(|v| v.held) {
        Status::Held
    } else {
        Status::Clear
    }
}
