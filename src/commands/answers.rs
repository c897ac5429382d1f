//! The answers of `inspect`, one for each form asked for, being made while builds are judged.
//!
//! At most one goes to standard output, and does so as it comes; those for files are held until the end, so that a file is whole.

use super::Status;
use super::form::{Asked, Form, Shape, write_whole};
use super::in_force::{Opened, Refused};
use super::output::Output;
use crate::report::{self, Judged, Look, SarifBuild, Standing, Total, Trouble};
use crate::rulebook::{Index, Rulebook};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Columns of a page that goes into a file.
const FILE_WIDTH: usize = 80;

/// What the command line says about the forms.
pub struct Wanted<'a> {
    /// The forms; none means the terminal.
    pub forms: &'a [Asked],
    /// Whether the terminal's form is the short one.
    pub brief: bool,
    /// Whether outcomes that are no findings are wanted where they are usually left out.
    pub every_outcome: bool,
    /// Columns of a page, if given.
    pub width: Option<usize>,
}

/// All answers.
pub struct Answers {
    all: Vec<Answer>,
}

struct Answer {
    shape: Shape,
    file: Option<PathBuf>,
    held: String,
    logs: BTreeMap<PathBuf, Vec<SarifBuild>>,
}

/// A build in one form.
pub enum Piece {
    /// Ready to be written.
    Text(String),
    /// To be put together with others.
    Log(SarifBuild),
}

impl Answers {
    /// Begins them.
    ///
    /// # Errors
    /// Why they cannot be given, in words.
    pub fn new(wanted: &Wanted, output: &Output) -> Result<Answers, String> {
        let terminal = [Asked { form: Form::Terminal, file: None }];
        let forms = if wanted.forms.is_empty() { &terminal[..] } else { wanted.forms };
        let out: Vec<&str> = forms.iter().filter(|a| a.file.is_none()).map(|a| a.form.word()).collect();
        if out.len() > 1 {
            return Err(format!("{} cannot share standard output; --as FORM=FILE names a file", out.join(" and ")));
        }
        if wanted.brief && forms.iter().all(|a| a.form != Form::Terminal) {
            return Err("--brief is about the terminal's form, which is not asked for".into());
        }
        for file in forms.iter().filter_map(|a| a.file.as_deref()) {
            let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
            if !folder.is_dir() || file.is_dir() {
                return Err(format!("{} cannot be a file", file.display()));
            }
        }
        let answer = |asked: &Asked| Answer {
            shape: match asked.form {
                Form::Terminal if wanted.brief => Shape::Brief,
                Form::Terminal if asked.file.is_none() => Shape::Full(output.look),
                Form::Terminal => Shape::Full(Look::new(wanted.width.unwrap_or(FILE_WIDTH), false)),
                Form::Json => Shape::Json,
                Form::Sarif => Shape::Sarif(wanted.every_outcome),
                Form::Markdown => Shape::Markdown,
                Form::Junit => Shape::Junit,
            },
            file: asked.file.clone(),
            held: String::new(),
            logs: BTreeMap::new(),
        };
        Ok(Answers { all: forms.iter().map(answer).collect() })
    }

    /// The shapes in which each build is wanted.
    pub fn shapes(&self) -> Vec<Shape> {
        self.all.iter().map(|a| a.shape).collect()
    }

    /// What stands before the builds.
    pub fn start(&mut self, repositories: &BTreeMap<PathBuf, Opened>, day: Date, output: &mut Output) {
        let none = Index::default();
        let index = repositories.values().next().map_or(&none, |opened| &opened.repository.book.index);
        for answer in &mut self.all {
            match answer.shape {
                Shape::Json => answer.put(&report::inspection_start(day, index), output),
                Shape::Junit => answer.put(report::JUNIT_START, output),
                Shape::Full(look) => {
                    for opened in repositories.values() {
                        let replaced = report::replaced(&opened.repository.book.index, look);
                        if !replaced.is_empty() {
                            answer.put(&replaced, output);
                            answer.put("\n", output);
                        }
                    }
                }
                Shape::Brief | Shape::Markdown | Shape::Sarif(_) => {}
            }
        }
    }

    /// Says something to a person.
    pub fn note(&mut self, words: &str, output: &mut Output) {
        for answer in &mut self.all {
            if matches!(answer.shape, Shape::Full(_) | Shape::Brief) {
                answer.put(&format!("{words}\n"), output);
            }
        }
    }

    /// One build, in the shapes of [`Answers::shapes`]; `at` is its number, `root` its repository.
    pub fn build(&mut self, at: usize, root: &Path, pieces: Vec<Piece>, output: &mut Output) {
        for (answer, piece) in self.all.iter_mut().zip(pieces) {
            match piece {
                Piece::Log(log) => answer.logs.entry(root.to_path_buf()).or_default().push(log),
                Piece::Text(text) => {
                    match answer.shape {
                        Shape::Json if at > 0 => answer.put(",\n", output),
                        Shape::Full(_) if at > 0 => answer.put("\n", output),
                        _ => {}
                    }
                    answer.put(&text, output);
                }
            }
        }
    }

    /// Tells of rules that needed more steps than they may take, which is an error of the rulebook; forms for machines tell it
    /// with each build.
    pub fn endless(&mut self, book: &Rulebook, rules: &BTreeMap<String, String>, output: &mut Output) {
        let trouble = |(name, subject): (&String, &String)| {
            let span = book.rule(name)?.name_place;
            let message = format!("rule `{name}` needs more steps on {subject} than one judgement may take");
            Some(Trouble { message, remedy: None, span, other: None })
        };
        let troubles: Vec<Trouble> = rules.iter().filter_map(trouble).collect();
        for answer in &mut self.all {
            match answer.shape {
                Shape::Brief => answer.put(&report::brief_errors("rulebook", &troubles, &book.texts), output),
                Shape::Full(look) => {
                    answer.put("\n", output);
                    answer.put(&report::errors("rulebook", &troubles, &book.texts, look), output);
                }
                Shape::Json | Shape::Sarif(_) | Shape::Markdown | Shape::Junit => {}
            }
        }
    }

    /// What stands behind the builds; writes the files.
    ///
    /// # Errors
    /// Why a file cannot be written, in words.
    pub fn end(
        mut self,
        repositories: &BTreeMap<PathBuf, Opened>,
        total: &Total,
        day: Date,
        output: &mut Output,
    ) -> Result<(), String> {
        for answer in &mut self.all {
            match answer.shape {
                Shape::Json => answer.put(&report::inspection_end(total), output),
                Shape::Brief => answer.put(&report::brief_closing(total), output),
                Shape::Full(look) => {
                    answer.put("\n", output);
                    answer.put(&report::closing(total, look), output);
                }
                Shape::Markdown => answer.put(&report::markdown_end(total), output),
                Shape::Junit => answer.put(report::JUNIT_END, output),
                Shape::Sarif(_) => {
                    let logs = std::mem::take(&mut answer.logs).into_iter();
                    let runs = logs.filter_map(|(root, log)| Some((&repositories.get(&root)?.repository.book, log)));
                    answer.put(&report::sarif(runs.collect(), day), output);
                }
            }
        }
        self.all.iter().try_for_each(|a| a.file.as_deref().map_or(Ok(()), |file| write_whole(file, &a.held)))
    }

    /// Says why nothing can be judged: in the form of standard output where that has words for it, else beside it. No file is
    /// written.
    pub fn refused(&self, refused: &Refused, output: &mut Output) -> Status {
        match self.all.iter().find(|a| a.file.is_none()).map(|a| a.shape) {
            Some(Shape::Full(_) | Shape::Brief) => refused.told(output, false),
            Some(Shape::Json) => refused.told(output, true),
            _ => refused.told_aside(),
        }
    }
}

impl Answer {
    fn put(&mut self, text: &str, output: &mut Output) {
        match self.file {
            Some(_) => self.held.push_str(text),
            None => output.text(text),
        }
    }
}

/// A build in a shape.
pub fn piece(judged: &Judged, standing: &Standing, shape: Shape) -> Piece {
    let index = &judged.assessment.index;
    Piece::Text(match shape {
        Shape::Full(look) => report::terminal(judged, look) + &report::held_up(standing, index, look),
        Shape::Brief => report::brief(judged) + &report::brief_held_up(judged.path, standing),
        Shape::Json => {
            let mut value = report::build_json(judged);
            if let Some(object) = value.as_object_mut() {
                object.insert("held_up".into(), report::held_up_json(standing, index));
                object.insert("since".into(), report::since_json(standing));
            }
            report::escaped(&value.to_string()).into_owned()
        }
        Shape::Sarif(every_outcome) => return Piece::Log(report::sarif_build(judged, every_outcome)),
        Shape::Markdown => report::markdown_build(judged) + &report::markdown_held_up(standing),
        Shape::Junit => report::junit_build(judged, standing.holding.findings),
    })
}
