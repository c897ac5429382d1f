//! `inspect`: judges builds and shows what is found.

use super::Status;
use super::answers::{Answers, Piece, Wanted, piece};
use super::common::{Judging, class};
use super::form::{Asked, Shape, asked};
use super::in_force::{Opened, Refused};
use super::judging::judge;
use super::output::{Output, refuse};
use super::scope::Scope;
use super::tries::{self, Call};
use super::workers::in_order;
use crate::assess::{Assessment, ConcessionState, Counts, Finding, Holding, Judgement};
use crate::report::{Concedable, Standing, Total};
use crate::repository::{Repository, Stage};
use crate::rulebook::Class;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What `inspect` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge inspect                              the build in this folder, or all builds below it
  tramgauge inspect builds/marlow --brief        one line a finding
  tramgauge inspect --holding dangerous          exit status 1 for dangerous findings only
  tramgauge inspect --as json --on 2026-05-02    for a program, judged for that day
  tramgauge inspect --staged                     what the next commit would hold
  tramgauge inspect --since v1.0                 only what that revision did not have
  tramgauge inspect builds/marlow --try 'brakes.balance_bar.pivot_to_front = 33 mm'
                                                 what another value would make different
  tramgauge inspect --as terminal --as sarif=findings.sarif
                                                 for a person, and into a file for a review service

Forms: terminal; json (everything, described by `terms --inspection`); sarif (SARIF 2.1.0, for code review services); markdown (for a
comment or a summary page); junit (for build services that show test reports). A file is written whole or not at all.

What is unmeasured holds a build up too where its settings say so; without settings on a build that is running, or does not say
its stage, where something dangerous could show.

Exit status: 0 nothing holds a build up; 1 something does; 2 a spec, a rulebook or the call could not be used.")]
pub struct Arguments {
    /// Folders of builds, their build.yaml, or folders with builds somewhere below; without them this folder, and with
    /// --staged the whole repository
    paths: Vec<PathBuf>,
    /// Judge what is staged in git, not what lies in the working tree, and only builds that it touches
    #[arg(long)]
    staged: bool,
    /// Report only what this revision did not have
    #[arg(long, value_name = "REVISION", allow_hyphen_values = true)]
    since: Option<String>,
    /// One line a finding: path:line:col: class rule: sentence
    #[arg(long)]
    brief: bool,
    /// Class from which on a finding makes the exit status 1, in place of what the settings say for the build's stage
    /// (without them major); concessions in force do not count
    #[arg(long, value_name = "CLASS", value_parser = class)]
    holding: Option<Class>,
    /// Show what other values would make different, as "path = value; path = value"; can be given several times, for variants side
    /// by side; nothing is written
    #[arg(long = "try", value_name = "SETTINGS", conflicts_with_all = ["staged", "since", "brief"])]
    tries: Vec<String>,
    /// How many builds are judged at the same time; without it one for each core
    #[arg(long, value_name = "NUMBER")]
    workers: Option<usize>,
    #[command(flatten)]
    judging: Judging,
    /// Form of the answer: terminal, json, sarif, markdown or junit; with =FILE into a file; can be given several times
    #[arg(long = "as", value_name = "FORM[=FILE]", value_parser = asked)]
    forms: Vec<Asked>,
    /// In sarif also what holds, is open or does not apply
    #[arg(long)]
    every_outcome: bool,
    /// Columns of the page, from 60 to 120; without it those of the terminal, else 80
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
}

/// How builds are judged and shown.
struct Task {
    day: Date,
    shapes: Vec<Shape>,
    /// The class from which on findings hold, where the command line says one.
    findings: Option<Class>,
}

/// A build shown, with what counts for the end.
struct Shown {
    pieces: Vec<Piece>,
    errors: usize,
    counts: Counts,
    held: bool,
    first: Option<Concedable>,
    /// Rules that needed more steps than they may take.
    exhausted: Vec<(String, String)>,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    if !arguments.tries.is_empty() {
        let Arguments { paths, tries: texts, judging, forms, holding, .. } = arguments;
        return tries::run(&Call { paths, texts, judging, forms, holding: *holding }, output);
    }
    judged(arguments, output).0
}

/// Judges what is staged for a person, as the hook does; gives also the first finding that holds it up, the worst of its build.
pub fn staged(judging: &Judging, width: Option<usize>, output: &mut Output) -> (Status, Option<Concedable>) {
    let arguments = Arguments {
        paths: Vec::new(),
        staged: true,
        since: None,
        brief: false,
        holding: None,
        tries: Vec::new(),
        workers: None,
        judging: judging.clone(),
        forms: Vec::new(),
        every_outcome: false,
        width,
    };
    judged(&arguments, output)
}

fn judged(arguments: &Arguments, output: &mut Output) -> (Status, Option<Concedable>) {
    let wanted = Wanted {
        forms: &arguments.forms,
        brief: arguments.brief,
        every_outcome: arguments.every_outcome,
        width: arguments.width,
    };
    let mut answers = match Answers::new(&wanted, output) {
        Ok(answers) => answers,
        Err(words) => return (Refused::Call(words).told(output, false), None),
    };
    let day = arguments.judging.day();
    let scope = match scope(arguments) {
        Ok(scope) => scope,
        Err(refused) => return (answers.refused(&refused, output), None),
    };
    let (repositories, builds) = (&scope.repositories, scope.builds());
    let task = Task { day, shapes: answers.shapes(), findings: arguments.holding };
    answers.start(repositories, day, output);
    if builds.is_empty() {
        answers.note("Nothing that is staged touches a build.", output);
    }
    let mut total = Total::default();
    let mut held = false;
    let mut first = None;
    let mut exhausted: BTreeMap<&Path, BTreeMap<String, String>> = BTreeMap::new();
    let workers = arguments.workers.unwrap_or_else(|| std::thread::available_parallelism().map_or(1, usize::from));
    in_order(
        &builds,
        workers,
        |(opened, path)| show(&scope, opened, path, &task),
        |at, shown| {
            let Some((opened, _)) = builds.get(at) else { return };
            answers.build(at, &opened.root, shown.pieces, output);
            total.add(shown.counts, shown.errors);
            held |= shown.held;
            first = first.take().or(shown.first);
            if !shown.exhausted.is_empty() {
                let of_root = exhausted.entry(&opened.root).or_default();
                for (rule, subject) in shown.exhausted {
                    of_root.entry(rule).or_insert(subject);
                }
            }
        },
    );
    for (root, of_root) in &exhausted {
        if let Some(opened) = repositories.get(*root) {
            answers.endless(&opened.repository.book, of_root, output);
        }
    }
    if let Err(words) = answers.end(repositories, &total, day, output) {
        refuse(&words);
        return (Status::Unusable, None);
    }
    let status = if total.with_errors > 0 || !exhausted.is_empty() {
        Status::Unusable
    } else if held {
        Status::Held
    } else {
        Status::Clear
    };
    (status, first)
}

/// What is to be judged.
fn scope(arguments: &Arguments) -> Result<Scope, Refused> {
    let rules = &arguments.judging.rules;
    let mut scope = if arguments.staged {
        Scope::staged(&arguments.paths, rules)?
    } else {
        Scope::on_disk(&arguments.paths, rules)?
    };
    if let Some(name) = &arguments.since {
        scope.only_since(name)?;
    }
    Ok(scope)
}

/// The worst finding that holds a build up.
fn first_held(path: &str, assessment: &Assessment, holding: &Holding) -> Option<Concedable> {
    let holds = |(_, class, finding): &(&Judgement, Class, &Finding)| {
        let covered = finding.concession.as_ref().is_some_and(ConcessionState::in_force);
        !covered && holding.findings.is_some_and(|from| *class >= from)
    };
    let (judgement, class, _) = assessment.broken().into_iter().find(holds)?;
    let rule = assessment.index.rules.get(judgement.rule)?.name.to_string();
    Some(Concedable { file: path.to_string(), rule, subject: judgement.subject.clone(), class })
}

fn show(scope: &Scope, opened: &Opened, path: &str, task: &Task) -> Shown {
    let repository: &Repository = &opened.repository;
    let mut build = judge(repository, path, task.day, task.shapes.iter().any(|shape| matches!(shape, Shape::Json)));
    let since = scope.since(&opened.root).map(|since| {
        let known = since.drop_known(repository, path, &build.spec, &mut build.assessment);
        (since.name.as_str(), known)
    });
    let stage = Stage::of(&build.spec);
    let mut holding = repository.settings.holding(stage);
    holding.findings = task.findings.or(holding.findings);
    let held = build.assessment.held_up(&holding);
    let standing = Standing { stage: stage.map(Stage::word), holding: &holding, held: &held, since };
    let judged = build.judged();
    Shown {
        pieces: task.shapes.iter().map(|shape| piece(&judged, &standing, *shape)).collect(),
        errors: build.errors.len(),
        counts: build.assessment.counts(),
        held: held.any(),
        first: first_held(path, &build.assessment, &holding),
        exhausted: build.assessment.exhausted,
    }
}
