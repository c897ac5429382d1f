//! The hook, put in and taken out with the real `git`: what it refuses, what it says, and that nothing of it is left.

mod common;

use common::Run;
use common::git::{Place, bare, build, program, ran};
use std::path::Path;
use std::process::Command;

const GOOD: u32 = 280;
const BAD: u32 = 360;

fn hook(place: &Place, what: &str) -> Run {
    ran(bare(program()).args(["hook", what]).current_dir(place.root()))
}

fn put_in(place: &Place) {
    let run = hook(place, "in");
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
}

fn git(place: &Place, arguments: &[&str]) -> Run {
    place.try_git(&place.root(), arguments)
}

/// Everything in a folder: name, whether it can be run, content.
fn folder(path: &Path) -> Vec<(String, bool, Vec<u8>)> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(path).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        all.push((name, can_be_run(&path), std::fs::read(&path).expect("a file")));
    }
    all.sort();
    all
}

#[cfg(unix)]
fn can_be_run(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    path.metadata().expect("a file").permissions().mode() & 0o111 != 0
}

#[cfg(not(unix))]
fn can_be_run(_: &Path) -> bool {
    true
}

#[cfg(unix)]
fn write_hook(path: &Path, text: &str, mode: u32) {
    use std::os::unix::fs::PermissionsExt;
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    std::fs::write(path, text).expect("a file");
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).expect("a mode");
}

#[test]
fn a_commit_is_refused_and_told_why_and_what_can_be_done() {
    let place = Place::new();
    put_in(&place);
    place.write("a/build.yaml", &build(BAD));
    place.git(&["add", "-A"]);
    let refused = git(&place, &["commit", "-m", "bad"]);
    assert_eq!(refused.status, 1);
    let said = refused.out + &refused.err;
    for part in [
        "── major ── workshop.pump-low ── fuel.pumps/lift ──",
        "── the commit is held up ──",
        "# in a/build.yaml",
        "    - rule: workshop.pump-low\n      subject: fuel.pumps/lift\n      reason: ",
        "-12-31\n",
        "git commit --no-verify",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert_eq!(place.git(&["log", "--format=%s"]).trim(), "state");
    // Git's own way past it.
    place.git(&["commit", "-q", "--no-verify", "-m", "passed once"]);
    place.write("a/build.yaml", &build(GOOD));
    place.git(&["commit", "-q", "-a", "-m", "good"]);
    assert_eq!(place.git(&["log", "--format=%s"]).trim(), "good\npassed once\nstate");
}

#[test]
fn commits_of_all_of_one_file_and_from_a_subfolder() {
    let place = Place::new();
    put_in(&place);
    for name in ["a", "b"] {
        place.write(&format!("{name}/build.yaml"), &build(GOOD));
    }
    place.commit();
    // commit -a stages what was not staged.
    place.write("a/build.yaml", &build(BAD));
    assert_eq!(git(&place, &["commit", "-q", "-a", "-m", "all"]).status, 1);
    // One file alone: the other stays staged and is not judged.
    place.git(&["add", "-A"]);
    place.write("b/build.yaml", &build(GOOD - 1));
    let one = git(&place, &["commit", "-q", "-m", "one", "b/build.yaml"]);
    assert_eq!(one.status, 0, "{}", one.err);
    place.write("b/build.yaml", &build(BAD));
    let other = place.try_git(&place.workshop.path("b"), &["commit", "-q", "-m", "from below", "build.yaml"]);
    assert_eq!(other.status, 1);
    assert!(other.err.contains("b/build.yaml, judged for"), "{}", other.err);
    assert!(!other.err.contains("a/build.yaml"), "{}", other.err);
    // A spec that cannot be read is no commit either.
    place.write("b/build.yaml", "tramgauge: 1\nfule: {}\n");
    let unusable = git(&place, &["commit", "-q", "-m", "unusable", "b/build.yaml"]);
    assert_eq!(unusable.status, 1);
    assert!(unusable.err.contains("── the commit cannot be judged ──"), "{}", unusable.err);
}

#[test]
fn a_merge_that_commits_by_itself_is_judged() {
    let place = Place::new();
    place.write("a/build.yaml", &build(GOOD));
    place.commit();
    place.git(&["checkout", "-q", "-b", "side"]);
    place.write("b/build.yaml", &build(BAD));
    place.commit();
    place.git(&["checkout", "-q", "main"]);
    place.write("a/build.yaml", &build(GOOD - 1));
    place.commit();
    put_in(&place);
    let merge = git(&place, &["merge", "--no-edit", "side"]);
    assert_ne!(merge.status, 0, "{}", merge.out);
    let said = merge.out + &merge.err;
    assert!(said.contains("workshop.pump-low") && said.contains("git merge --no-verify"), "{said}");
    assert_eq!(place.git(&["log", "--format=%s", "--merges"]), "");
}

#[test]
fn a_linked_worktree_uses_the_same_hook() {
    let place = Place::new();
    put_in(&place);
    let linked = tempfile::tempdir().expect("a folder");
    let at = linked.path().join("tree");
    place.git(&["worktree", "add", "-q", at.to_str().expect("UTF-8"), "-b", "linked"]);
    std::fs::create_dir(at.join("a")).expect("a folder");
    std::fs::write(at.join("a/build.yaml"), build(BAD)).expect("a file");
    place.try_git(&at, &["add", "-A"]);
    let commit = place.try_git(&at, &["commit", "-q", "-m", "bad"]);
    assert_eq!(commit.status, 1);
    assert!(commit.err.contains("workshop.pump-low"), "{}", commit.err);
    let again = ran(bare(program()).args(["hook", "in"]).current_dir(&at));
    assert_eq!(again.out.matches("is in already").count(), 2, "{}", again.out);
}

#[cfg(unix)]
#[test]
fn a_hook_from_before_goes_first_and_stands_there_again() {
    for mode in [0o755, 0o644] {
        let place = Place::new();
        let hooks = place.workshop.path(".git/hooks");
        write_hook(&hooks.join("pre-commit"), "#!/bin/sh\necho from before >> ran\ntest ! -e stop\n", mode);
        let before = folder(&hooks);
        put_in(&place);
        let after = folder(&hooks);
        put_in(&place);
        assert_eq!(folder(&hooks), after, "twice is once");
        place.write("a/build.yaml", &build(GOOD));
        place.git(&["add", "a"]);
        place.git(&["commit", "-q", "-m", "good"]);
        // Git does not run a hook that cannot be run, and neither does ours.
        assert_eq!(place.workshop.path("ran").exists(), mode == 0o755);
        place.write("stop", "");
        place.write("a/build.yaml", &build(GOOD - 1));
        let stopped = git(&place, &["commit", "-q", "-m", "stopped", "a"]);
        assert_eq!(stopped.status, i32::from(mode == 0o755));
        assert_eq!(hook(&place, "out").status, 0);
        assert_eq!(folder(&hooks), before);
        let none = hook(&place, "out");
        assert_eq!((none.status, none.out.matches("was not put in").count()), (0, 2));
        assert_eq!(folder(&hooks), before);
    }
}

#[test]
fn without_a_folder_of_hooks_nothing_is_left() {
    let place = Place::new();
    let hooks = place.workshop.path(".git/hooks");
    std::fs::remove_dir_all(&hooks).expect("a folder");
    put_in(&place);
    put_in(&place);
    assert_eq!(folder(&hooks).len(), 2);
    assert_eq!(hook(&place, "out").status, 0);
    assert!(!hooks.exists());
    // A folder that was there stays.
    std::fs::create_dir(&hooks).expect("a folder");
    put_in(&place);
    assert_eq!(hook(&place, "out").status, 0);
    assert_eq!(folder(&hooks), []);
}

#[test]
fn the_folder_of_hooks_is_where_git_looks_for_it() {
    let elsewhere = tempfile::tempdir().expect("a folder");
    for path in ["with space/hooks", elsewhere.path().to_str().expect("UTF-8")] {
        let place = Place::new();
        place.git(&["config", "core.hooksPath", path]);
        std::fs::create_dir(place.workshop.path("sub")).expect("a folder");
        let run = ran(bare(program()).args(["hook", "in"]).current_dir(place.workshop.path("sub")));
        assert_eq!(run.status, 0, "{}", run.err);
        assert!(place.workshop.path(path).join("pre-commit").exists(), "{}", run.out);
        assert!(!place.workshop.path(".git/hooks/pre-commit").exists());
        place.write("a/build.yaml", &build(BAD));
        place.git(&["add", "a"]);
        assert_eq!(git(&place, &["commit", "-q", "-m", "bad"]).status, 1);
        assert_eq!(hook(&place, "out").status, 0);
        assert!(!place.workshop.path(path).join("pre-commit").exists());
        place.git(&["commit", "-q", "-m", "bad"]);
    }
}

#[test]
fn what_somebody_changed_by_hand_stays() {
    let place = Place::new();
    put_in(&place);
    let path = place.workshop.path(".git/hooks/pre-commit");
    let changed = std::fs::read_to_string(&path).expect("a hook").replace("hook judge", "hook judge --width 60");
    std::fs::write(&path, &changed).expect("a file");
    for what in ["in", "out"] {
        let run = hook(&place, what);
        assert_eq!(run.status, 2, "{}", run.out);
        assert!(run.err.contains("was changed by hand"), "{}", run.err);
        assert_eq!(std::fs::read_to_string(&path).expect("a hook"), changed);
    }
    // A kept hook is not written over.
    std::fs::write(&path, "#!/bin/sh\n").expect("a file");
    std::fs::write(place.workshop.path(".git/hooks/pre-commit.before-tramgauge"), "kept").expect("a file");
    let run = hook(&place, "in");
    assert_eq!(run.status, 2);
    assert!(run.err.contains("is there already"), "{}", run.err);
}

#[test]
fn a_commit_of_something_else_is_not_held_up_by_an_old_build() {
    let place = Place::new();
    place.write("a/build.yaml", &build(BAD));
    place.commit();
    put_in(&place);
    place.write("notes.txt", "something else");
    place.git(&["add", "-A"]);
    place.git(&["commit", "-q", "-m", "notes"]);
}

/// The manager that runs hooks by a repository's own configuration file, where it is installed.
fn manager() -> Option<Command> {
    let found = bare("pre-commit").arg("--version").output().is_ok_and(|output| output.status.success());
    found.then(|| bare("pre-commit"))
}

#[test]
#[allow(clippy::print_stderr)]
fn the_manager_of_hooks_runs_it_by_its_description() {
    if manager().is_none() {
        eprintln!("skipped: the program pre-commit is not on the path; `pip install pre-commit` brings it");
        return;
    }
    // A repository that holds the description, as this project's does.
    let source = Place::new();
    let description = Path::new(env!("CARGO_MANIFEST_DIR")).join(".pre-commit-hooks.yaml");
    source.write(".pre-commit-hooks.yaml", &std::fs::read_to_string(description).expect("the description"));
    source.commit();
    let revision = source.git(&["rev-parse", "HEAD"]);
    let from = source.root();
    let place = Place::new();
    place.write(
        ".pre-commit-config.yaml",
        &format!(
            "repos:\n  - repo: '{}'\n    rev: {}\n    hooks:\n      - id: tramgauge-installed\n",
            from.to_str().expect("UTF-8").trim_end_matches('/'),
            revision.trim()
        ),
    );
    place.commit();
    let home = tempfile::tempdir().expect("a folder");
    let folder = Path::new(program()).parent().expect("a folder").to_path_buf();
    let path = std::env::var_os("PATH").unwrap_or_default();
    let path = std::env::join_paths([folder].into_iter().chain(std::env::split_paths(&path))).expect("a path");
    let with = |program: &str, arguments: &[&str]| {
        let mut command = bare(program);
        command.args(arguments).current_dir(place.root()).env("PATH", &path).env("PRE_COMMIT_HOME", home.path());
        ran(&mut command)
    };
    let installed = with("pre-commit", &["install"]);
    assert_eq!(installed.status, 0, "{}{}", installed.out, installed.err);
    place.write("a/build.yaml", &build(BAD));
    place.git(&["add", "a"]);
    // It lies in the tree otherwise, which the manager puts aside meanwhile.
    place.write("a/build.yaml", &build(GOOD));
    let refused = with("git", &["commit", "-q", "-m", "bad"]);
    assert_eq!(refused.status, 1);
    let said = refused.out + &refused.err;
    assert!(said.contains("workshop.pump-low") && said.contains("the commit is held up"), "{said}");
    place.git(&["add", "a"]);
    let good = with("git", &["commit", "-q", "-m", "good"]);
    assert_eq!(good.status, 0, "{}{}", good.out, good.err);
}
