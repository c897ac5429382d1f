//! The forms in which `inspect` can answer, as the command line asks for them: `--as FORM`, or `--as FORM=FILE`.

use crate::report::Look;
use std::path::{Path, PathBuf};

/// A form of the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// For a person at a terminal.
    Terminal,
    /// Everything, for a program.
    Json,
    /// Findings, for a code review service.
    Sarif,
    /// Findings, for a comment or a summary page.
    Markdown,
    /// Outcomes, for a build service that shows test reports.
    Junit,
}

impl Form {
    const ALL: [Form; 5] = [Form::Terminal, Form::Json, Form::Sarif, Form::Markdown, Form::Junit];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Form::Terminal => "terminal",
            Form::Json => "json",
            Form::Sarif => "sarif",
            Form::Markdown => "markdown",
            Form::Junit => "junit",
        }
    }
}

/// A form with where it is to go.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The form.
    pub form: Form,
    /// The file; standard output where there is none.
    pub file: Option<PathBuf>,
}

/// A form, and a file if one is named.
///
/// # Errors
/// The forms that there are.
pub fn asked(words: &str) -> Result<Asked, String> {
    let (word, file) = match words.split_once('=') {
        Some((_, "")) => return Err("behind = a file is named".into()),
        Some((word, file)) => (word, Some(PathBuf::from(file))),
        None => (words, None),
    };
    match Form::ALL.into_iter().find(|form| form.word() == word) {
        Some(form) => Ok(Asked { form, file }),
        None => Err(format!("it may be {}, each alone or with =FILE", Form::ALL.map(Form::word).join(", "))),
    }
}

/// A form with what it takes to show a build in it.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// For a person.
    Full(Look),
    /// A line each.
    Brief,
    /// Everything.
    Json,
    /// Findings; with `true` every outcome.
    Sarif(bool),
    /// Findings.
    Markdown,
    /// Outcomes; findings fail from the class on that holds the build up.
    Junit,
}

/// Writes a file whole or not at all: a reader sees the old content or the new one.
///
/// # Errors
/// Why it cannot be written.
pub fn write_whole(path: &Path, text: &str) -> Result<(), String> {
    let told = |error: std::io::Error| format!("{} cannot be written: {error}", path.display());
    // A link stays a link; a device or pipe cannot be put aside.
    let real = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    if real.exists() && !real.is_file() {
        return std::fs::write(&real, text).map_err(told);
    }
    let mut name = std::ffi::OsString::from(".");
    name.push(real.file_name().unwrap_or_default());
    name.push(format!(".{}.part", std::process::id()));
    let part = real.with_file_name(name);
    std::fs::write(&part, text).and_then(|()| std::fs::rename(&part, &real)).map_err(|error| {
        // What is left of the attempt is of no use to anyone; that it stays is no second error.
        let _ = std::fs::remove_file(&part);
        told(error)
    })
}
