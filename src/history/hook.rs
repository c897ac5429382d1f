//! The hook that judges what is staged: put into a folder of hooks, and taken out again so that nothing of it is left.
//!
//! A hook that stood there before is kept under another name and goes first. What was put in is known again by its text: a file
//! that somebody has changed since is left alone.

use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// The moments at which git asks: before a commit, and before a merge makes one by itself.
pub const MOMENTS: [&str; 2] = ["pre-commit", "pre-merge-commit"];

/// What is put behind the name of a hook that stood there before.
const KEPT: &str = ".before-tramgauge";

/// The line by which a hook of ours is known, up to the number of its form.
const MARK: &str = "# Put in by `tramgauge hook in`, taken out by `tramgauge hook out`; form ";

/// The form of the text below. A new text has a new number.
const FORM: &str = "1";

/// The line that says that the folder was made for the hook.
const MADE: &str = "# Its folder was made with it.\n";

/// What happened to one hook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Done {
    /// It was put in; a hook that stood there before is kept, and goes first, if there was one.
    PutIn {
        /// The hook.
        hook: PathBuf,
        /// The hook from before.
        kept: Option<PathBuf>,
    },
    /// It was there already.
    WasIn(PathBuf),
    /// It was taken out; the hook from before stands there again, if there was one.
    TakenOut {
        /// The hook.
        hook: PathBuf,
        /// Whether there was one.
        restored: bool,
    },
    /// There was none of ours.
    WasNotIn(PathBuf),
}

/// Why a hook cannot be put in or taken out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HookError {
    /// The system refuses; its words.
    Refused(PathBuf, String),
    /// Somebody has changed it by hand.
    Changed(PathBuf),
    /// The name under which the hook from before would be kept is taken.
    NameTaken(PathBuf),
}

impl HookError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        match self {
            HookError::Refused(path, words) => format!("{}: {words}", path.display()),
            HookError::Changed(path) => {
                format!("{} was changed by hand since it was put in, and stays as it is", path.display())
            }
            HookError::NameTaken(path) => {
                format!("{} is there already, so that the present hook cannot be kept under that name", path.display())
            }
        }
    }
}

/// Puts the hook in, at both moments. `program` is what it starts.
///
/// # Errors
/// See [`HookError`]; what was done before the error stays done, and doing it again goes on from there.
pub fn put_in(hooks: &Path, program: &Path) -> Result<Vec<Done>, HookError> {
    let made = !hooks.exists();
    fs::create_dir_all(hooks).map_err(|error| refused(hooks, &error))?;
    let folder_made = made || MOMENTS.iter().any(|moment| says_made(&hooks.join(moment)));
    MOMENTS.iter().map(|moment| put_in_one(&hooks.join(moment), &text(moment, program, folder_made))).collect()
}

/// Takes the hook out, at both moments.
///
/// # Errors
/// As [`put_in`].
pub fn take_out(hooks: &Path) -> Result<Vec<Done>, HookError> {
    let made = MOMENTS.iter().any(|moment| says_made(&hooks.join(moment)));
    let done: Result<Vec<Done>, HookError> =
        MOMENTS.iter().map(|moment| take_out_one(&hooks.join(moment), moment)).collect();
    if made && done.is_ok() {
        // It is removed only if nothing is in it, which is what the system sees to.
        let _ = fs::remove_dir(hooks);
    }
    done
}

fn put_in_one(hook: &Path, text: &str) -> Result<Done, HookError> {
    let found = read(hook)?;
    let kept = kept(hook);
    match &found {
        Some(found) if found == text.as_bytes() => return Ok(Done::WasIn(hook.to_path_buf())),
        Some(found) if is_changed(found, text) => return Err(HookError::Changed(hook.to_path_buf())),
        Some(found) if is_ours(found) => {}
        Some(_) if kept.symlink_metadata().is_ok() => return Err(HookError::NameTaken(kept)),
        Some(_) => fs::rename(hook, &kept).map_err(|error| refused(hook, &error))?,
        None => {}
    }
    write(hook, text).map_err(|error| refused(hook, &error))?;
    let kept = kept.symlink_metadata().is_ok().then_some(kept);
    Ok(Done::PutIn { hook: hook.to_path_buf(), kept })
}

fn take_out_one(hook: &Path, moment: &str) -> Result<Done, HookError> {
    let Some(found) = read(hook)?.filter(|found| is_ours(found)) else { return Ok(Done::WasNotIn(hook.to_path_buf())) };
    if is_changed(&found, &text(moment, Path::new(""), false)) {
        return Err(HookError::Changed(hook.to_path_buf()));
    }
    let kept = kept(hook);
    let restored = kept.symlink_metadata().is_ok();
    let done = if restored { fs::rename(&kept, hook) } else { fs::remove_file(hook) };
    done.map_err(|error| refused(hook, &error))?;
    Ok(Done::TakenOut { hook: hook.to_path_buf(), restored })
}

/// The hook's text. It stays where it is put, so all that may change with the program is behind `hook judge`.
fn text(moment: &str, program: &Path, folder_made: bool) -> String {
    let made = if folder_made { MADE } else { "" };
    let program = program.to_str().unwrap_or("tramgauge").replace('\'', "'\\''");
    format!(
        "#!/bin/sh\n\
         {MARK}{FORM}\n\
         {made}\
         # A hook that stood here before goes first.\n\
         before=\"${{0%/*}}/{moment}{KEPT}\"\n\
         if [ -x \"$before\" ]; then\n\
         \x20   \"$before\" \"$@\" || exit $?\n\
         fi\n\
         program='{program}'\n\
         [ -x \"$program\" ] || program=tramgauge\n\
         exec \"$program\" hook judge\n"
    )
}

/// Whether a hook of this form differs from the text by more than what depends on where it was put in.
fn is_changed(found: &[u8], text: &str) -> bool {
    let place = |line: &&str| !line.starts_with("program='") && format!("{line}\n") != MADE;
    let said = String::from_utf8_lossy(found);
    let same = said.ends_with('\n') && said.lines().filter(place).eq(text.lines().filter(place));
    form_of(found) == Some(FORM) && !same
}

fn is_ours(found: &[u8]) -> bool {
    form_of(found).is_some()
}

fn form_of(found: &[u8]) -> Option<&str> {
    std::str::from_utf8(found).ok()?.lines().nth(1)?.strip_prefix(MARK)
}

fn says_made(hook: &Path) -> bool {
    read(hook).ok().flatten().is_some_and(|found| is_ours(&found) && String::from_utf8_lossy(&found).contains(MADE))
}

fn kept(hook: &Path) -> PathBuf {
    let mut name = hook.as_os_str().to_owned();
    name.push(KEPT);
    PathBuf::from(name)
}

/// What stands there; nothing if nothing does. A link is what it is, not what it leads to.
fn read(hook: &Path) -> Result<Option<Vec<u8>>, HookError> {
    match hook.symlink_metadata() {
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(refused(hook, &error)),
        Ok(found) if found.is_file() => fs::read(hook).map(Some).map_err(|error| refused(hook, &error)),
        Ok(_) => Ok(Some(Vec::new())),
    }
}

/// Writes a hook whole: git never sees half of one.
fn write(hook: &Path, text: &str) -> std::io::Result<()> {
    let folder = hook.parent().unwrap_or(Path::new("."));
    let mut file = tempfile_in(folder, hook)?;
    file.1.write_all(text.as_bytes())?;
    executable(&file.1)?;
    fs::rename(&file.0, hook)
}

fn tempfile_in(folder: &Path, hook: &Path) -> std::io::Result<(PathBuf, fs::File)> {
    let name = hook.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let path = folder.join(format!("{name}.tramgauge-new"));
    let file = fs::File::create(&path)?;
    Ok((path, file))
}

#[cfg(unix)]
fn executable(file: &fs::File) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o755))
}

#[cfg(not(unix))]
fn executable(_: &fs::File) -> std::io::Result<()> {
    Ok(())
}

fn refused(path: &Path, error: &std::io::Error) -> HookError {
    HookError::Refused(path.to_path_buf(), error.to_string())
}
