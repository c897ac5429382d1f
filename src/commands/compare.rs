//! `compare`: what a change of a spec did, between two revisions, what is staged, and the working tree.

use super::Status;
use super::common::{Judging, class};
use super::in_force::{Refused, rule_folders};
use super::output::Output;
use super::sides::{Older, Side, builds, judged, revision_words};
use crate::assess::Assessment;
use crate::history::compare::{Asked, BookChange, Comparison, compare, match_builds};
use crate::history::{Git, GitFiles, Head};
use crate::report::{self, Compared, ComparedBuild, Revisions};
use crate::repository::{Repository, Settings, Stage};
use crate::rulebook::Class;
use crate::source::{DiskFiles, Files, Sources};
use jiff::civil::Date;
use std::path::Path;
use std::sync::Arc;

/// The form of the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Form {
    /// For a person.
    Terminal,
    /// For a review comment.
    Markdown,
    /// For a machine.
    Json,
}

/// What `compare` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge compare HEAD                         the working tree against the last commit
  tramgauge compare HEAD --staged                what is staged against the last commit
  tramgauge compare main my-branch               a branch against another
  tramgauge compare main HEAD --as markdown      the same for a review comment

Both sides are judged by the rulebook of the newer one. A concession in force does not count; what newly cannot be told counts
where the settings say so, without settings where something dangerous could show.

Exit status: 0 nothing new at or above the holding class; 1 something new; 2 a spec of the newer side, a rulebook or the call could
not be used.")]
pub struct Arguments {
    /// The older revision: a commit, branch or tag, as git names it
    base: String,
    /// The newer revision; the working tree if not given
    #[arg(conflicts_with = "staged")]
    head: Option<String>,
    /// The newer side is what is staged
    #[arg(long)]
    staged: bool,
    /// Only builds in this folder or below, by its path from the repository's root; can be given several times
    #[arg(long, value_name = "FOLDER")]
    build: Vec<String>,
    /// One line each: path:line:col: what turned rule: sentence
    #[arg(long)]
    brief: bool,
    /// Class from which on something new makes the exit status 1, in place of what the settings say for the build's stage
    #[arg(long, value_name = "CLASS", value_parser = class)]
    holding: Option<Class>,
    #[command(flatten)]
    judging: Judging,
    /// Form of the answer
    #[arg(long = "as", value_name = "FORM", default_value = "terminal")]
    form: Form,
    /// Columns of the page, from 60 to 120; without it those of the terminal, else 80
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    match told(arguments, output) {
        Ok(status) => status,
        Err(refused) => refused.told(output, arguments.form == Form::Json),
    }
}

/// Both sides as files, and what git says of them.
struct Sides {
    old: Arc<dyn Files>,
    new: Arc<dyn Files>,
    base: String,
    head: String,
    /// The day of the older revision.
    old_day: Date,
    /// Paths, before and now, of files that git takes for the same.
    renamed: Vec<(String, String)>,
}

/// A build compared, or standing on one side only.
enum Found {
    Both { old: usize, new: usize, comparison: Box<Comparison>, book: Option<BookChange> },
    Added(usize, Box<Assessment>),
    Removed(usize),
}

fn told(arguments: &Arguments, output: &mut Output) -> Result<Status, Refused> {
    if arguments.brief && arguments.form != Form::Terminal {
        return Err(Refused::Call("--brief is about the terminal's form".into()));
    }
    let day = arguments.judging.day();
    let sides = sides(arguments, day)?;
    let folders = || rule_folders(&arguments.judging.rules);
    let new = Repository::open(sides.new.clone(), &folders(), false)?;
    let older = Older::open(&sides.old, &new, &folders())?;
    let folders: Vec<&str> = match &arguments.build[..] {
        [] => vec![""],
        some => some.iter().map(|folder| folder.trim_start_matches("./")).collect(),
    };
    let read = |files: &dyn Files, settings: &Settings| -> Result<Vec<Side>, Refused> {
        let paths = builds(files, &new.settings, &folders)?;
        Ok(paths.into_iter().map(|path| Side::read(files, settings, &new.book, path)).collect())
    };
    let (olds, news) = (read(&*sides.old, &older.settings)?, read(&*sides.new, &new.settings)?);
    if olds.is_empty() && news.is_empty() {
        return Err(Refused::Call("there is no build on either side".into()));
    }
    let named = |all: &[Side]| all.iter().map(Side::named).collect::<Vec<_>>();
    let mut found = Vec::new();
    let mut unchanged = 0;
    for pair in match_builds(&named(&olds), &named(&news), &sides.renamed) {
        match (pair.old, pair.new) {
            (Some(old), Some(new_at)) => {
                let (Some(was), Some(is)) = (olds.get(old), news.get(new_at)) else { continue };
                if older.changed.is_none() && texts(&was.spec.sources) == texts(&is.spec.sources) {
                    unchanged += 1;
                    continue;
                }
                let asked =
                    Asked { old: &was.spec, new: &is.spec, book: &new.book, day, old_day: sides.old_day.min(day) };
                let comparison = compare(&asked);
                let book = older.rules_moved(&was.path, &comparison.before, day);
                found.push(Found::Both { old, new: new_at, comparison: Box::new(comparison), book });
            }
            (None, Some(at)) => {
                if let Some(side) = news.get(at) {
                    found.push(Found::Added(at, Box::new(judged(&side.spec, &new.book, day))));
                }
            }
            (Some(at), None) => found.push(Found::Removed(at)),
            (None, None) => {}
        }
    }
    let shown: Vec<ComparedBuild> = found.iter().filter_map(|one| shown(one, &olds, &news, &older)).collect();
    let revisions = Revisions { base: sides.base, head: sides.head, day, unchanged };
    let worst = found.iter().filter_map(worst).max();
    match (arguments.form, arguments.brief) {
        (Form::Json, _) => output.json(&report::comparison_json(&revisions, &shown, worst)),
        (Form::Markdown, _) => output.text(&report::comparison_markdown(&revisions, &shown)),
        (_, true) => output.text(&report::comparison_brief(&revisions, &shown)),
        _ => {
            let text = report::comparison_terminal(&revisions, &shown, output.look);
            output.text(&text);
        }
    }
    let faulty = news.iter().any(|side| !side.errors.is_empty());
    let held = found.iter().any(|one| {
        let side = match one {
            Found::Both { new, .. } | Found::Added(new, _) => news.get(*new),
            Found::Removed(_) => None,
        };
        side.is_some_and(|side| {
            let mut holding = new.settings.holding(Stage::of(&side.spec));
            holding.findings = arguments.holding.or(holding.findings);
            match one {
                Found::Both { comparison, .. } => comparison.holds_up(&holding),
                Found::Added(_, assessment) => assessment.held_up(&holding).any(),
                Found::Removed(_) => false,
            }
        })
    });
    Ok(match (faulty, held) {
        (true, _) => Status::Unusable,
        (false, true) => Status::Held,
        (false, false) => Status::Clear,
    })
}

fn worst(found: &Found) -> Option<Class> {
    match found {
        Found::Both { comparison, .. } => comparison.worst(),
        Found::Added(_, assessment) => assessment.worst(),
        Found::Removed(_) => None,
    }
}

fn sides(arguments: &Arguments, day: Date) -> Result<Sides, Refused> {
    let git = Git::around(Path::new("."))?;
    let base = git.resolve(&arguments.base)?;
    let (head, new, head_words): (Head, Arc<dyn Files>, String) = match (&arguments.head, arguments.staged) {
        (Some(name), _) => {
            let revision = git.resolve(name)?;
            let files = GitFiles::at(&git, &revision)?;
            let shown = revision_words(&revision);
            (Head::Revision(revision), Arc::new(files), shown)
        }
        (None, true) => (Head::Staged, Arc::new(GitFiles::staged(&git)?), "what is staged".into()),
        (None, false) => {
            (Head::WorkingTree, Arc::new(DiskFiles::new(git.root().to_path_buf())), "the working tree".into())
        }
    };
    let renamed = git.changes(Some(&base), &head)?.into_iter();
    let renamed = renamed.filter_map(|change| Some((change.before?, change.after?))).filter(|(old, new)| old != new);
    Ok(Sides {
        old: Arc::new(GitFiles::at(&git, &base)?),
        new,
        old_day: git.day(&base).unwrap_or(day),
        base: revision_words(&base),
        head: head_words,
        renamed: renamed.collect(),
    })
}

fn texts(sources: &Sources) -> Vec<(&str, &str)> {
    sources.ids().map(|file| (sources.name(file), sources.text(file))).collect()
}

fn shown<'a>(found: &'a Found, olds: &'a [Side], news: &'a [Side], older: &'a Older) -> Option<ComparedBuild<'a>> {
    Some(match found {
        Found::Added(at, assessment) => {
            let side = news.get(*at)?;
            ComparedBuild::Added(&side.path, assessment, &side.errors)
        }
        Found::Removed(at) => {
            let side = olds.get(*at)?;
            ComparedBuild::Removed(&side.path, side.name())
        }
        Found::Both { old, new, comparison, book } => {
            let (was, is) = (olds.get(*old)?, news.get(*new)?);
            ComparedBuild::Both(Compared {
                path: &is.path,
                old_path: (was.path != is.path).then_some(&was.path),
                comparison,
                old_errors: &was.errors,
                errors: &is.errors,
                book: older.book(book.as_ref()),
            })
        }
    })
}
