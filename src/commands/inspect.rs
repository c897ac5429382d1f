//! `inspect`: judges builds and shows what is found.

use super::Status;
use super::common::{Form, Judging, Looks, class};
use super::in_force::{Opened, Refused, open};
use super::judging::judge;
use super::output::Output;
use super::place::{builds_at, root_of};
use crate::assess::Counts;
use crate::report::{self, Look, Total, Trouble};
use crate::repository::Repository;
use crate::rulebook::{Class, Rulebook};
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
  tramgauge inspect --as json --on 2026-05-02    for a machine, judged for that day

Exit status: 0 nothing at or above the holding class; 1 something is; 2 a spec, a rulebook or the call could not be used.")]
pub struct Arguments {
    /// Folders of builds, their build.yaml, or folders with builds somewhere below
    #[arg(default_value = ".")]
    paths: Vec<PathBuf>,
    /// One line a finding: path:line:col: class rule: sentence
    #[arg(long)]
    brief: bool,
    /// Class from which on a finding makes the exit status 1; concessions in force do not count
    #[arg(long, value_name = "CLASS", default_value = "major", value_parser = class)]
    holding: Class,
    /// How many builds are judged at the same time; without it one for each core
    #[arg(long, value_name = "NUMBER")]
    workers: Option<usize>,
    #[command(flatten)]
    judging: Judging,
    #[command(flatten)]
    pub looks: Looks,
}

/// The form in which builds are shown.
#[derive(Clone, Copy)]
enum Shape {
    Full(Look),
    Brief,
    Json,
}

/// A build shown, with what counts for the end.
struct Shown {
    text: String,
    errors: usize,
    counts: Counts,
    worst: Option<Class>,
    /// Rules that needed more steps than they may take.
    exhausted: Vec<(String, String)>,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let machine = arguments.looks.form == Form::Json;
    let shape = match (machine, arguments.brief) {
        (true, _) => Shape::Json,
        (_, true) => Shape::Brief,
        _ => Shape::Full(output.look),
    };
    let day = arguments.judging.day();
    let (repositories, builds) = match gather(arguments) {
        Ok(gathered) => gathered,
        Err(refused) => return refused.told(output, machine),
    };
    let builds: Vec<(&Opened, &str)> =
        builds.iter().filter_map(|(root, path)| Some((repositories.get(root)?, path.as_str()))).collect();
    start(&repositories, day, shape, output);
    let mut total = Total::default();
    let mut worst = None;
    let mut exhausted: BTreeMap<&Path, BTreeMap<String, String>> = BTreeMap::new();
    let workers = arguments.workers.unwrap_or_else(|| std::thread::available_parallelism().map_or(1, usize::from));
    in_order(
        &builds,
        workers,
        |(opened, path)| show(&opened.repository, path, day, shape),
        |at, shown| {
            if at > 0 {
                match shape {
                    Shape::Json => output.text(",\n"),
                    Shape::Full(_) => output.text("\n"),
                    Shape::Brief => {}
                }
            }
            output.text(&shown.text);
            total.add(shown.counts, shown.errors);
            worst = worst.max(shown.worst);
            if let Some((opened, _)) = builds.get(at).filter(|_| !shown.exhausted.is_empty()) {
                let of_root = exhausted.entry(&opened.root).or_default();
                for (rule, subject) in shown.exhausted {
                    of_root.entry(rule).or_insert(subject);
                }
            }
        },
    );
    for (root, of_root) in &exhausted {
        if let Some(opened) = repositories.get(*root) {
            endless(&opened.repository.book, of_root, shape, output);
        }
    }
    match shape {
        Shape::Json => output.text(&report::inspection_end(&total)),
        Shape::Brief => output.text(&report::brief_closing(&total)),
        Shape::Full(look) => {
            output.text("\n");
            output.text(&report::closing(&total, look));
        }
    }
    if total.with_errors > 0 || !exhausted.is_empty() {
        Status::Unusable
    } else if worst.is_some_and(|worst| worst >= arguments.holding) {
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
            let found = builds_at(path, &root, &*opened.repository.files).map_err(Refused::Call)?;
            builds.extend(found.into_iter().map(|build| (root.clone(), build)));
        }
    }
    Ok((repositories, builds))
}

fn start(repositories: &BTreeMap<PathBuf, Opened>, day: Date, shape: Shape, output: &mut Output) {
    let Some(first) = repositories.values().next() else { return };
    match shape {
        Shape::Json => output.text(&report::inspection_start(day, &first.repository.book.index)),
        Shape::Full(look) => {
            for opened in repositories.values() {
                let replaced = report::replaced(&opened.repository.book.index, look);
                if !replaced.is_empty() {
                    output.text(&replaced);
                    output.text("\n");
                }
            }
        }
        Shape::Brief => {}
    }
}

/// Tells of rules that needed more steps than they may take, which is an error of the rulebook; JSON tells it with each build.
fn endless(book: &Rulebook, rules: &BTreeMap<String, String>, shape: Shape, output: &mut Output) {
    let trouble = |(name, subject): (&String, &String)| {
        let span = book.rule(name)?.name_place;
        let message = format!("rule `{name}` needs more steps on {subject} than one judgement may take");
        Some(Trouble { message, remedy: None, span, other: None })
    };
    let troubles: Vec<Trouble> = rules.iter().filter_map(trouble).collect();
    match shape {
        Shape::Json => {}
        Shape::Brief => output.text(&report::brief_errors("rulebook", &troubles, &book.texts)),
        Shape::Full(look) => {
            output.text("\n");
            output.text(&report::errors("rulebook", &troubles, &book.texts, look));
        }
    }
}

fn show(repository: &Repository, path: &str, day: Date, shape: Shape) -> Shown {
    let build = judge(repository, path, day, matches!(shape, Shape::Json));
    let judged = build.judged();
    let text = match shape {
        Shape::Full(look) => report::terminal(&judged, look),
        Shape::Brief => report::brief(&judged),
        Shape::Json => report::escaped(&report::build_json(&judged).to_string()).into_owned(),
    };
    Shown {
        text,
        errors: build.errors.len(),
        counts: build.assessment.counts(),
        worst: build.assessment.worst(),
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
