//! `start`: writes a commented new spec, and never over anything.

use super::Status;
use super::output::{Output, refuse};
use crate::repository::BUILD_FILE;
use crate::terms::{Terms, new_spec};
use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// What `start` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge start                                a new build.yaml in this folder
  tramgauge start builds/marlow                  in that folder, which is made if it is not there")]
pub struct Arguments {
    /// Folder of the new build
    #[arg(default_value = ".")]
    folder: PathBuf,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    match write(&arguments.folder) {
        Ok(path) => {
            output.text(&format!("{} is written; take its keys into use one by one\n", crate::report::pictured(&path)));
            Status::Clear
        }
        Err(words) => {
            refuse(&words);
            Status::Unusable
        }
    }
}

fn write(folder: &Path) -> Result<String, String> {
    let terms = Terms::built_in().map_err(|_| "the built-in terms cannot be used".to_string())?;
    std::fs::create_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let name = folder.canonicalize().ok().and_then(|f| Some(f.file_name()?.to_string_lossy().into_owned()));
    let text = new_spec(terms.types(), name.as_deref().unwrap_or("new build"));
    let path = folder.join(BUILD_FILE);
    let mut file = OpenOptions::new().write(true).create_new(true).open(&path).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => format!("{} is there already and stays as it is", path.display()),
        _ => format!("{}: {error}", path.display()),
    })?;
    file.write_all(text.as_bytes()).map_err(|error| format!("{}: {error}", path.display()))?;
    Ok(path.display().to_string())
}
