//! `hook`: puts the hook that judges what is staged into a repository, takes it out, and is what that hook starts.

use super::Status;
use super::common::Judging;
use super::in_force::Refused;
use super::inspect;
use super::output::Output;
use crate::history::{Git, hook};
use crate::report::{advice, advice_unusable, pictured};
use std::path::{Path, PathBuf};

/// What `hook` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge hook in                              from now on what is staged is judged before it is committed
  tramgauge hook out                             no longer
  git commit --no-verify                         git's own way past all hooks, once

The hook goes where git looks for hooks, also where core.hooksPath says so, at two moments: before a commit, and before a
merge commits by itself. A hook that stands there is kept under another name, goes first, and stands there again afterwards.")]
pub struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Put the hook into the repository around this folder
    In,
    /// Take it out again
    Out,
    /// Do what the hook does: judge what is staged, and say what can be done about what holds it up
    Judge(Judge),
}

/// What judging as the hook does takes.
#[derive(Debug, clap::Args)]
struct Judge {
    #[command(flatten)]
    judging: Judging,
    /// Columns of the page, from 60 to 120; without it those of the terminal, else 80
    #[arg(long, value_name = "COLUMNS")]
    width: Option<usize>,
}

impl Arguments {
    /// Columns of the page, if given.
    pub fn width(&self) -> Option<usize> {
        if let What::Judge(judge) = &self.what { judge.width } else { None }
    }
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let done = match &arguments.what {
        What::Judge(judge) => return judged(judge, output),
        What::In => put_or_take(true),
        What::Out => put_or_take(false),
    };
    match done {
        Ok((root, done)) => {
            let lines: String = done.iter().map(|one| format!("{}\n", pictured(&words(one, &root)))).collect();
            output.text(&lines);
            Status::Clear
        }
        Err(refused) => refused.told(output, false),
    }
}

fn put_or_take(put: bool) -> Result<(PathBuf, Vec<hook::Done>), Refused> {
    let git = Git::around(Path::new("."))?;
    let hooks = git.own_path("hooks")?;
    let done = if put {
        let program = std::env::current_exe().map_err(|error| Refused::Call(error.to_string()))?;
        hook::put_in(&hooks, &program)
    } else {
        hook::take_out(&hooks)
    };
    let done = done.map_err(|error| Refused::Call(error.message()))?;
    Ok((git.root().to_path_buf(), done))
}

fn words(done: &hook::Done, root: &Path) -> String {
    let shown = |path: &Path| path.strip_prefix(root).unwrap_or(path).display().to_string();
    match done {
        hook::Done::PutIn { hook, kept: None } => format!("{} is put in", shown(hook)),
        hook::Done::PutIn { hook, kept: Some(kept) } => {
            format!("{} is put in; the hook from before goes first, as {}", shown(hook), shown(kept))
        }
        hook::Done::WasIn(hook) => format!("{} is in already", shown(hook)),
        hook::Done::TakenOut { hook, restored: false } => format!("{} is taken out", shown(hook)),
        hook::Done::TakenOut { hook, restored: true } => {
            format!("{} is taken out; the hook from before stands there again", shown(hook))
        }
        hook::Done::WasNotIn(hook) => format!("{} was not put in, and stays as it is", shown(hook)),
    }
}

fn judged(judge: &Judge, output: &mut Output) -> Status {
    let (status, first) = inspect::staged(&judge.judging, judge.width, output);
    let way = match status {
        Status::Clear => return status,
        Status::Held => advice(first.as_ref(), judge.judging.day().year(), output.look),
        Status::Unusable => advice_unusable(output.look),
    };
    output.text(&way);
    status
}
