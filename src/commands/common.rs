//! Arguments that several commands take.

use crate::rulebook::Class;
use jiff::civil::Date;
use std::path::PathBuf;

/// The form of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Form {
    /// For a person.
    Terminal,
    /// For a machine.
    Json,
}

/// How the answer looks.
#[derive(Debug, clap::Args)]
pub struct Looks {
    /// Form of the answer
    #[arg(long = "as", value_name = "FORM", default_value = "terminal")]
    pub form: Form,
    /// Columns of the page, from 60 to 120; without it those of the terminal, else 80
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
}

/// The rulebook, and the day for which is judged.
#[derive(Debug, Clone, clap::Args)]
pub struct Judging {
    /// Folder with more rules, beside shop-rules/ at the repository's root; can be given several times
    #[arg(long, value_name = "FOLDER")]
    pub rules: Vec<PathBuf>,
    /// Day of the inspection, as 2026-05-02; today if not given
    #[arg(long, value_name = "DAY")]
    pub on: Option<Date>,
}

impl Judging {
    /// The day. This is the only place of the program that reads the clock.
    pub fn day(&self) -> Date {
        self.on.unwrap_or_else(|| jiff::Zoned::now().date())
    }
}

/// The class of a word on the command line.
///
/// # Errors
/// The words that it may be.
pub fn class(word: &str) -> Result<Class, String> {
    Class::named(word).ok_or_else(|| format!("it may be {}", Class::ALL.map(Class::word).join(", ")))
}
