//! `needed --take`: a filled measuring list is written back into the files of a build; all of it, or nothing.

use super::Status;
use super::in_force::{Opened, Refused};
use super::output::{Output, refuse};
use crate::assess::{Counts, Request, assess, now};
use crate::language::Overrides;
use crate::report::{self, Trouble};
use crate::repository::read_build_in;
use crate::source::{self, EditedFile, FILE_LIMIT, Files, MemoryFiles, OverlayFiles};
use crate::terms::{Misfit, Spec, read_list, take};
use jiff::civil::Date;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Takes a list back into the build at `path`.
pub fn run(opened: &Opened, path: &str, list: &Path, on: Date, output: &mut Output) -> Status {
    let text = match read(list) {
        Ok(text) => text,
        Err(words) => return Refused::Call(words).told(output, false),
    };
    let files = &*opened.repository.files;
    let build = source::read_build(files, path);
    let sections: Vec<String> = build.sections.iter().map(|(name, _)| name.clone()).collect();
    if !build.errors.is_empty() {
        let errors: Vec<Trouble> = build.errors.iter().map(Trouble::from).collect();
        output.text(&report::errors("spec", &errors, &build.sources, output.look));
        refuse("nothing is written: the files of the build have errors that must be mended first");
        return Status::Unusable;
    }
    let before = read_build_in(&opened.repository, files, path);
    let spec = &before.spec;
    let found = read_list(&text, spec);
    let mut misfits = found.misfits;
    let mut edited = Vec::new();
    for name in std::iter::once(path).chain(sections.iter().map(String::as_str)) {
        match files.read(name).ok().and_then(|bytes| EditedFile::read(name, &bytes).ok()) {
            Some(file) => edited.push(file),
            None => return Refused::Call(format!("{name} cannot be read again")).told(output, false),
        }
    }
    let texts: Vec<String> = edited.iter().map(|file| file.text().to_string()).collect();
    if let Err(more) = take(&found.filled, spec, &mut edited, on, &|place| now(spec, Some(place))) {
        misfits.extend(more);
    }
    if !misfits.is_empty() {
        return refused(list, misfits);
    }
    let changed = edited.into_iter().zip(&texts).filter(|(file, text)| file.text() != *text).map(|(file, _)| file);
    let changed: Vec<EditedFile> = changed.collect();
    let over = MemoryFiles::from_texts(changed.iter().map(|file| (file.name(), file.text())));
    let overlay = OverlayFiles { over, below: opened.repository.files.clone() };
    let after = read_build_in(&opened.repository, &overlay, path);
    if after.terms_errors.len() > before.terms_errors.len() || !after.source_errors.is_empty() {
        let mut errors: Vec<Trouble> = after.source_errors.iter().map(Trouble::from).collect();
        errors.extend(after.terms_errors.iter().map(Trouble::from));
        output.text(&report::errors("spec", &errors, &after.spec.sources, output.look));
        refuse("nothing is written: the build would have these errors");
        return Status::Unusable;
    }
    if let Err(words) = replace_all(&opened.root, &changed, files) {
        return Refused::Call(format!("nothing is written: {words}")).told(output, false);
    }
    let counts = |spec: &Spec| {
        let book = &opened.repository.book;
        let request = Request { spec, rulebook: book, day: on, figures: false, explained: false, only: None };
        assess(&request, &Overrides::new()).counts()
    };
    let outcome = (counts(spec), counts(&after.spec));
    output.text(&told(found.filled.len(), found.blank, &changed, outcome));
    Status::Clear
}

fn read(list: &Path) -> Result<String, String> {
    let said = |error: io::Error| format!("{}: {error}", list.display());
    let mut bytes = Vec::new();
    File::open(list).map_err(said)?.take(FILE_LIMIT + 1).read_to_end(&mut bytes).map_err(said)?;
    if bytes.len() as u64 > FILE_LIMIT {
        return Err(format!("{}: at most {FILE_LIMIT} bytes are read", list.display()));
    }
    String::from_utf8(bytes).map_err(|_| format!("{}: this is not UTF-8 text", list.display()))
}

/// Says what is wrong, line by line of the list.
fn refused(list: &Path, mut misfits: Vec<Misfit>) -> Status {
    misfits.sort_by_key(|misfit| misfit.line);
    for misfit in &misfits {
        let help = misfit.help.as_ref().map_or(String::new(), |help| format!("; {help}"));
        refuse(&format!("{}:{}: {}{help}", list.display(), misfit.line, misfit.message));
    }
    refuse("nothing is written");
    Status::Unusable
}

/// Writes new files beside the old ones, then puts each in its place; should that stop half way, the old texts are written back.
fn replace_all(root: &Path, changed: &[EditedFile], old: &dyn Files) -> Result<(), String> {
    let mut ready: Vec<(PathBuf, PathBuf, Vec<u8>)> = Vec::new();
    let result = changed.iter().try_for_each(|file| {
        let said = |error: io::Error| format!("{}: {error}", file.name());
        let real = root.join(file.name()).canonicalize().map_err(said)?;
        let was = old.read(file.name()).map_err(|_| format!("{} cannot be read again", file.name()))?;
        if fs::read(&real).map_err(said)? != was {
            return Err(format!("{} has changed meanwhile", file.name()));
        }
        let name = real.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let new = real.with_file_name(format!(".{name}.new"));
        let mut sink = File::options().write(true).create_new(true).open(&new).map_err(said)?;
        ready.push((new, real.clone(), was));
        sink.write_all(file.text().as_bytes()).map_err(said)?;
        sink.set_permissions(fs::metadata(&real).map_err(said)?.permissions()).map_err(said)?;
        sink.sync_all().map_err(said)
    });
    let result = result.and_then(|()| {
        for (at, (new, real, _)) in ready.iter().enumerate() {
            if let Err(error) = fs::rename(new, real) {
                for (_, real, was) in &ready[..at] {
                    fs::write(real, was).map_err(|error| format!("{}: {error}", real.display()))?;
                }
                return Err(format!("{}: {error}", real.display()));
            }
        }
        Ok(())
    });
    if result.is_err() {
        for (new, ..) in &ready {
            // What cannot be taken away is in nobody's way but for its name.
            let _ = fs::remove_file(new);
        }
    }
    result
}

/// What was done, and what it did to the verdicts.
fn told(taken: usize, blank: usize, changed: &[EditedFile], (before, after): (Counts, Counts)) -> String {
    let values = |count: usize| if count == 1 { "1 value".to_string() } else { format!("{count} values") };
    let left = if blank == 0 { String::new() } else { format!(", {blank} left blank") };
    let mut text = format!("{} taken{left}\n", values(taken));
    for file in changed {
        text += &format!("  {}\n", file.name());
    }
    let broken = |counts: &Counts| counts.dangerous + counts.major + counts.minor + counts.advisory;
    let rows = [
        ("broken", broken(&before), broken(&after)),
        ("unproven", before.unproven, after.unproven),
        ("unmeasured", before.unmeasured, after.unmeasured),
        ("hold", before.holds, after.holds),
    ];
    for (word, before, after) in rows {
        text += &format!("  {word:<12}{before} -> {after}\n");
    }
    text
}
