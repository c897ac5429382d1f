//! Where a call works: the repository around a path, and the builds that paths name.

use crate::repository::{BUILD_FILE, Repository, builds_below};
use crate::source::{Files, ReadProblem};
use std::path::{Path, PathBuf};

/// The repository around a path: the nearest folder above with `.git`, else the folder itself.
pub fn root_of(path: &Path) -> Result<PathBuf, String> {
    let real = real(path)?;
    let folder = if real.is_dir() { real.as_path() } else { real.parent().unwrap_or(&real) };
    let root = folder.ancestors().find(|a| a.join(".git").exists()).unwrap_or(folder);
    Ok(root.to_path_buf())
}

/// Paths of build files from the repository's root: the build file itself, that of a folder, or all that are found below it
/// where the settings look for builds.
pub fn builds_at(path: &Path, root: &Path, repository: &Repository) -> Result<Vec<String>, String> {
    located(path, root, |folder| repository.builds_below(folder))
}

fn located(
    path: &Path,
    root: &Path,
    below: impl Fn(&str) -> Result<Vec<String>, ReadProblem>,
) -> Result<Vec<String>, String> {
    let real = real(path)?;
    let from_root =
        from_root(&real, root).ok_or_else(|| format!("{} cannot be named from {}", path.display(), root.display()))?;
    if real.is_file() {
        if real.file_name().is_some_and(|name| name == BUILD_FILE) {
            return Ok(vec![from_root]);
        }
        return Err(format!("{} is no build file; name the folder of the build, or its {BUILD_FILE}", path.display()));
    }
    let builds = below(&from_root).map_err(|problem| format!("{}: {}", path.display(), words(&problem)))?;
    if builds.is_empty() {
        return Err(format!("there is no {BUILD_FILE} in {} or below it", path.display()));
    }
    Ok(builds)
}

/// The one build that a path names.
pub fn build_at(path: &Path, root: &Path, files: &dyn Files) -> Result<String, String> {
    match &located(path, root, |folder| builds_below(files, folder))?[..] {
        [one] => Ok(one.clone()),
        several => Err(format!("{} holds {} builds; name one of them", path.display(), several.len())),
    }
}

/// The path from the root of something that need not be there.
pub fn below_root(path: &Path, root: &Path) -> Result<String, String> {
    let whole = std::path::absolute(path).map_err(|error| format!("{}: {error}", path.display()))?;
    // What is there goes by its real name, as the root does.
    let there = whole.ancestors().find_map(|part| Some((part, part.canonicalize().ok()?)));
    let real = there.and_then(|(part, real)| Some(real.join(whole.strip_prefix(part).ok()?)));
    let below = real.and_then(|real| from_root(&real, root));
    below.ok_or_else(|| format!("{} cannot be named from {}", path.display(), root.display()))
}

fn real(path: &Path) -> Result<PathBuf, String> {
    path.canonicalize().map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => format!("there is no {}", path.display()),
        _ => format!("{}: {error}", path.display()),
    })
}

fn from_root(real: &Path, root: &Path) -> Option<String> {
    let parts = real.strip_prefix(root).ok()?.components().map(|c| c.as_os_str().to_str());
    Some(parts.collect::<Option<Vec<_>>>()?.join("/"))
}

/// Why a file or folder cannot be read, in words.
pub fn words(problem: &ReadProblem) -> String {
    problem.message()
}
