//! Which builds a change touches.

use super::changes::Change;
use crate::repository::Settings;
use std::collections::BTreeSet;

/// The paths that a change is about.
#[derive(Debug, Clone)]
pub struct Touched {
    paths: BTreeSet<String>,
    all: bool,
}

impl Touched {
    /// What these changes touch; own rules, own terms and settings touch every build.
    pub fn new(changes: &[Change], settings: &Settings) -> Touched {
        let paths: BTreeSet<String> = changes.iter().flat_map(Change::paths).map(str::to_string).collect();
        let all = paths.iter().any(|path| settings.is_in_force(path));
        Touched { paths, all }
    }

    /// Whether nothing at all is touched.
    pub fn is_empty(&self) -> bool {
        self.paths.is_empty()
    }

    /// Whether every build is, by what is in force for all of them.
    pub fn all(&self) -> bool {
        self.all
    }

    /// Whether a build is that is read from these files. A path on the way to a file counts too: it may be a link, a submodule,
    /// or a file in whose place a folder stands now.
    pub fn reaches(&self, files: &BTreeSet<String>) -> bool {
        let on_the_way = |file: &String| {
            let ends = file.match_indices('/').map(|(at, _)| at).chain([file.len()]);
            ends.into_iter().any(|end| file.get(..end).is_some_and(|part| self.paths.contains(part)))
        };
        self.all || files.iter().any(on_the_way)
    }
}
