//! `reckon`: evaluates one expression of the rule language, with its working.

use super::Status;
use super::common::{Form, Judging, Looks};
use super::in_force::{Opened, Refused, open};
use super::judging::read;
use super::output::Output;
use super::place::build_at;
use crate::assess::reckon;
use crate::report::{self, Trouble};
use crate::source::{MemoryFiles, Sources, Span, read_build};
use crate::terms::{Spec, build_spec};
use std::path::{Path, PathBuf};

/// What `reckon` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge reckon '0.4375 in + 3 mm'
  tramgauge reckon 'joint_angle(3 deg, 0 deg, 1 deg, 1.5 deg)'
  tramgauge reckon 'engine.torque * gearbox.lowest_ratio' --build builds/marlow

The form of expressions is told in rules/README.md; `tramgauge book --functions` lists what they can call.")]
pub struct Arguments {
    /// The expression
    #[arg(allow_hyphen_values = true)]
    expression: String,
    /// Folder of a build whose values the expression may use, or its build.yaml
    #[arg(long, value_name = "PATH")]
    build: Option<PathBuf>,
    #[command(flatten)]
    judging: Judging,
    #[command(flatten)]
    pub looks: Looks,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let machine = arguments.looks.form == Form::Json;
    let path = arguments.build.as_deref().unwrap_or(Path::new("."));
    let opened = match open(path, &arguments.judging.rules) {
        Ok(opened) => opened,
        Err(refused) => return refused.told(output, machine),
    };
    let (spec, errors) = match spec(&opened, arguments.build.as_deref()) {
        Ok(read) => read,
        Err(words) => return Refused::Call(words).told(output, machine),
    };
    let expression = &arguments.expression;
    let reckoning = match reckon(&opened.repository.book, &spec, arguments.judging.day(), expression) {
        Ok(reckoning) => reckoning,
        Err(fault) => {
            let mut texts = Sources::default();
            let file = texts.add("expression", expression.as_str().into());
            let whole = Span { file, start: 0, end: expression.len() as u32 };
            let trouble = Trouble::in_expression(&fault, whole);
            return Refused::Wrong("expression", texts, vec![trouble]).told(output, machine);
        }
    };
    if machine {
        output.json(&report::bench_json(expression, &reckoning, report::errors_json(&errors, &spec.sources)));
    } else {
        output.text(&report::errors("spec", &errors, &spec.sources, output.look));
        output.text(&report::bench(&reckoning, output.look));
    }
    if errors.is_empty() { Status::Clear } else { Status::Unusable }
}

/// The spec that the expression is reckoned on: the build's, or an empty one.
fn spec(opened: &Opened, build: Option<&Path>) -> Result<(Spec, Vec<Trouble>), String> {
    match build {
        Some(path) => Ok(read(&opened.repository, &build_at(path, &opened.root, &*opened.repository.files)?)),
        None => {
            let empty = MemoryFiles::from_texts([("build.yaml", "tramgauge: 1\n")]);
            let (spec, _) = build_spec(&opened.repository.book.library.terms, read_build(&empty, "build.yaml"));
            Ok((spec, Vec::new()))
        }
    }
}
