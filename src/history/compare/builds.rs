//! Which build of the newer revision is which of the older one: by the path, by what git takes for renamed, by the name.

use std::collections::BTreeMap;

/// A build of one revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// The path of its build file from the repository's root.
    pub path: String,
    /// Its name.
    pub name: Option<String>,
}

/// A build on both sides, or on one only: numbers in the lists of builds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BuildPair {
    /// In the older revision.
    pub old: Option<usize>,
    /// In the newer revision.
    pub new: Option<usize>,
}

/// Matches builds; `renamed` are paths, before and now, of files that git takes for the same. In the order of the newer revision, those
/// that are gone behind.
pub fn match_builds(old: &[Named], new: &[Named], renamed: &[(String, String)]) -> Vec<BuildPair> {
    let mut to: Vec<Option<usize>> = vec![None; new.len()];
    let free = |to: &[Option<usize>], at: usize| !to.contains(&Some(at));
    for (at, build) in new.iter().enumerate() {
        to[at] = old.iter().position(|o| o.path == build.path);
    }
    for (before, now) in renamed {
        let found = old.iter().position(|o| o.path == *before).zip(new.iter().position(|n| n.path == *now));
        if let Some((was, is)) = found
            && to[is].is_none()
            && free(&to, was)
        {
            to[is] = Some(was);
        }
    }
    let left_old: Vec<usize> = (0..old.len()).filter(|at| free(&to, *at)).collect();
    let left_new: Vec<usize> = (0..new.len()).filter(|at| to[*at].is_none()).collect();
    let (before, now) = (by_name(old, &left_old), by_name(new, &left_new));
    for (name, is) in now {
        if let Some(was) = before.get(name) {
            to[is] = Some(*was);
        }
    }
    let both = to.iter().enumerate().map(|(new, old)| BuildPair { old: *old, new: Some(new) });
    let gone = (0..old.len()).filter(|at| free(&to, *at)).map(|old| BuildPair { old: Some(old), new: None });
    both.chain(gone).collect()
}

/// Names that stand once.
fn by_name<'a>(builds: &'a [Named], among: &[usize]) -> BTreeMap<&'a str, usize> {
    let mut found: BTreeMap<&str, Option<usize>> = BTreeMap::new();
    for at in among {
        if let Some(name) = builds.get(*at).and_then(|b| b.name.as_deref()) {
            found.entry(name).and_modify(|seen| *seen = None).or_insert(Some(*at));
        }
    }
    found.into_iter().filter_map(|(name, at)| Some((name, at?))).collect()
}
