//! `inspect`: judges builds and shows what is found.

use super::Status;
use super::answers::{Answers, Piece, Wanted, piece};
use super::common::{Judging, class};
use super::form::{Asked, Shape, asked};
use super::in_force::{Opened, Refused, open};
use super::judging::judge;
use super::output::{Output, refuse};
use super::place::{builds_at, root_of};
use crate::assess::Counts;
use crate::report::{Standing, Total};
use crate::repository::{Repository, Stage};
use crate::rulebook::Class;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

/// Stack of a worker, in bytes; as large as that of a program's first thread.
const STACK: usize = 8 * 1024 * 1024;

/// What `inspect` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge inspect                              the build in this folder, or all builds below it
  tramgauge inspect builds/marlow --brief        one line a finding
  tramgauge inspect --holding dangerous          exit status 1 for dangerous findings only
  tramgauge inspect --as json --on 2026-05-02    for a program, judged for that day
  tramgauge inspect --as terminal --as sarif=findings.sarif
                                                 for a person, and into a file for a review service

Forms: terminal; json (everything, described by `terms --inspection`); sarif (SARIF 2.1.0, for code review services); markdown (for a
comment or a summary page); junit (for build services that show test reports). A file is written whole or not at all.

What is unmeasured holds a build up too where its settings say so; without settings on a build that is running, or does not say
its stage, where something dangerous could show.

Exit status: 0 nothing holds a build up; 1 something does; 2 a spec, a rulebook or the call could not be used.")]
pub struct Arguments {
    /// Folders of builds, their build.yaml, or folders with builds somewhere below
    #[arg(default_value = ".")]
    paths: Vec<PathBuf>,
    /// One line a finding: path:line:col: class rule: sentence
    #[arg(long)]
    brief: bool,
    /// Class from which on a finding makes the exit status 1, in place of what the settings say for the build's stage
    /// (without them major); concessions in force do not count
    #[arg(long, value_name = "CLASS", value_parser = class)]
    holding: Option<Class>,
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

/// A build shown, with what counts for the end.
struct Shown {
    pieces: Vec<Piece>,
    errors: usize,
    counts: Counts,
    held: bool,
    /// Rules that needed more steps than they may take.
    exhausted: Vec<(String, String)>,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let wanted = Wanted {
        forms: &arguments.forms,
        brief: arguments.brief,
        every_outcome: arguments.every_outcome,
        width: arguments.width,
    };
    let mut answers = match Answers::new(&wanted, output) {
        Ok(answers) => answers,
        Err(words) => return Refused::Call(words).told(output, false),
    };
    let day = arguments.judging.day();
    let (repositories, builds) = match gather(arguments) {
        Ok(gathered) => gathered,
        Err(refused) => return answers.refused(&refused, output),
    };
    let builds: Vec<(&Opened, &str)> =
        builds.iter().filter_map(|(root, path)| Some((repositories.get(root)?, path.as_str()))).collect();
    let shapes = answers.shapes();
    answers.start(&repositories, day, output);
    let mut total = Total::default();
    let mut held = false;
    let mut exhausted: BTreeMap<&Path, BTreeMap<String, String>> = BTreeMap::new();
    let workers = arguments.workers.unwrap_or_else(|| std::thread::available_parallelism().map_or(1, usize::from));
    in_order(
        &builds,
        workers,
        |(opened, path)| show(&opened.repository, path, day, &shapes, arguments.holding),
        |at, shown| {
            let Some((opened, _)) = builds.get(at) else { return };
            answers.build(at, &opened.root, shown.pieces, output);
            total.add(shown.counts, shown.errors);
            held |= shown.held;
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
    if let Err(words) = answers.end(&repositories, &total, day, output) {
        refuse(&words);
        return Status::Unusable;
    }
    if total.with_errors > 0 || !exhausted.is_empty() {
        Status::Unusable
    } else if held {
        Status::Held
    } else {
        Status::Clear
    }
}

/// The repositories around the paths by their roots, and the builds, sorted.
type Gathered = (BTreeMap<PathBuf, Opened>, BTreeSet<(PathBuf, String)>);

fn gather(arguments: &Arguments) -> Result<Gathered, Refused> {
    let mut repositories = BTreeMap::new();
    let mut builds = BTreeSet::new();
    for path in &arguments.paths {
        let root = root_of(path).map_err(Refused::Call)?;
        if !repositories.contains_key(&root) {
            repositories.insert(root.clone(), open(path, &arguments.judging.rules)?);
        }
        if let Some(opened) = repositories.get(&root) {
            let found = builds_at(path, &root, &opened.repository).map_err(Refused::Call)?;
            builds.extend(found.into_iter().map(|build| (root.clone(), build)));
        }
    }
    Ok((repositories, builds))
}

fn show(repository: &Repository, path: &str, day: Date, shapes: &[Shape], findings: Option<Class>) -> Shown {
    let build = judge(repository, path, day, shapes.iter().any(|shape| matches!(shape, Shape::Json)));
    let judged = build.judged();
    let stage = Stage::of(&build.spec);
    let mut holding = repository.settings.holding(stage);
    holding.findings = findings.or(holding.findings);
    let held = build.assessment.held_up(&holding);
    let standing = Standing { stage: stage.map(Stage::word), holding: &holding, held: &held };
    Shown {
        pieces: shapes.iter().map(|shape| piece(&judged, &standing, *shape)).collect(),
        errors: build.errors.len(),
        counts: build.assessment.counts(),
        held: held.any(),
        exhausted: build.assessment.exhausted,
    }
}

/// Works on all items with several threads and takes the results in the order of the items.
fn in_order<I: Sync, T: Send>(
    items: &[I],
    workers: usize,
    work: impl Fn(&I) -> T + Sync,
    mut take: impl FnMut(usize, T),
) {
    let workers = workers.clamp(1, items.len().max(1));
    if workers == 1 {
        for (at, item) in items.iter().enumerate() {
            take(at, work(item));
        }
        return;
    }
    let next = AtomicUsize::new(0);
    let (sender, receiver) = mpsc::channel();
    std::thread::scope(|scope| {
        let mut started = 0;
        for _ in 0..workers {
            let sender = sender.clone();
            let (next, work) = (&next, &work);
            let thread = std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, move || {
                while let Some((at, item)) =
                    Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|at| Some((at, items.get(at)?)))
                {
                    if sender.send((at, work(item))).is_err() {
                        break;
                    }
                }
            });
            started += usize::from(thread.is_ok());
        }
        drop(sender);
        let mut waiting = BTreeMap::new();
        let mut due = 0;
        for (at, done) in receiver {
            waiting.insert(at, done);
            while let Some(done) = waiting.remove(&due) {
                take(due, done);
                due += 1;
            }
        }
        if started == 0 {
            for (at, item) in items.iter().enumerate() {
                take(at, work(item));
            }
        }
    });
}
