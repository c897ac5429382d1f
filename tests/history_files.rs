//! Staged content and revisions read through the real `git`: the same answers as a disk would give, whatever a name holds.

use std::path::{Path, PathBuf};
use std::process::Command;
use tramgauge::history::{Change, Git, GitError, GitFiles, Head};
use tramgauge::source::{FILE_LIMIT, Files, ReadProblem};

/// A repository of its own, without anyone's settings.
struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    fn new() -> Place {
        let place = Place { folder: tempfile::tempdir().expect("it is there") };
        place.git(&["init", "-q", "-b", "main"]);
        place
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn git(&self, arguments: &[&str]) -> String {
        let output = Command::new("git")
            .args(["-c", "user.name=A. Tester", "-c", "user.email=tester@example.org", "-c", "commit.gpgsign=false"])
            .args(arguments)
            .current_dir(self.path())
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .output()
            .expect("it is there");
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("it is there")
    }

    fn write(&self, path: &str, text: &str) -> PathBuf {
        let path = self.path().join(path);
        std::fs::create_dir_all(path.parent().expect("it is there")).expect("it is there");
        std::fs::write(&path, text).expect("it is there");
        path
    }

    fn commit(&self) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-q", "-m", "state"]);
    }

    fn open(&self) -> Git {
        Git::around(self.path()).expect("it is there")
    }
}

fn change(before: &str, after: &str) -> Change {
    let some = |path: &str| (!path.is_empty()).then(|| path.to_string());
    Change { before: some(before), after: some(after) }
}

#[test]
fn what_is_staged_is_read_and_not_what_lies_in_the_tree() {
    let place = Place::new();
    place.write("a/build.yaml", "one");
    place.git(&["add", "-A"]);
    place.write("a/build.yaml", "two");
    place.write("a/new.yaml", "untracked");
    let files = GitFiles::staged(&place.open()).expect("it is there");
    assert_eq!(files.read("a/build.yaml"), Ok(b"one".to_vec()));
    assert_eq!(files.read("a/new.yaml"), Err(ReadProblem::Missing));
    assert_eq!(files.read("a"), Err(ReadProblem::Missing));
    assert_eq!(files.read("../a/build.yaml"), Err(ReadProblem::Outside));
    assert_eq!(files.list(""), Ok(vec!["a/build.yaml".to_string()]));
    assert_eq!(files.list("b"), Err(ReadProblem::Missing));
}

#[test]
fn odd_names_survive() {
    let place = Place::new();
    let names = [
        "with space/build.yaml",
        "quo\"te/it's.yaml",
        "Märchen/düse.yaml",
        "line\nend/build.yaml",
        "-h/build.yaml",
        ":x/build.yaml",
    ];
    for name in names {
        place.write(name, name);
    }
    place.write(".hidden/build.yaml", "");
    place.commit();
    let git = place.open();
    let staged = GitFiles::staged(&git).expect("it is there");
    let committed = GitFiles::at(&git, &git.resolve("HEAD").expect("it is there")).expect("it is there");
    for name in names {
        assert_eq!(staged.read(name), Ok(name.as_bytes().to_vec()));
        assert_eq!(committed.read(name), Ok(name.as_bytes().to_vec()));
    }
    let mut sorted = names.map(str::to_string).to_vec();
    sorted.sort();
    assert_eq!(staged.list(""), Ok(sorted.clone()));
    assert_eq!(committed.list(""), Ok(sorted));
}

#[cfg(unix)]
#[test]
fn links_are_followed_inside_and_nowhere_else() {
    let place = Place::new();
    let link = |to: &str, at: &str| std::os::unix::fs::symlink(to, place.path().join(at)).expect("it is there");
    place.write("parts/shaft.yaml", "shaft");
    place.write("a/build.yaml", "a");
    link("../parts/shaft.yaml", "a/shaft.yaml");
    link("../parts", "a/shelf");
    link("/etc/passwd", "a/out.yaml");
    link("../../out.yaml", "a/up.yaml");
    link("round.yaml", "a/round.yaml");
    place.commit();
    let files = GitFiles::staged(&place.open()).expect("it is there");
    assert_eq!(files.read("a/shaft.yaml"), Ok(b"shaft".to_vec()));
    assert_eq!(files.read("a/shelf/shaft.yaml"), Ok(b"shaft".to_vec()));
    assert_eq!(files.read("a/out.yaml"), Err(ReadProblem::Outside));
    assert_eq!(files.read("a/up.yaml"), Err(ReadProblem::Outside));
    assert!(matches!(files.read("a/round.yaml"), Err(ReadProblem::Unreadable(_))));
    assert_eq!(files.list("a"), Ok(vec!["a/build.yaml".to_string(), "a/shaft.yaml".to_string()]));
}

#[test]
fn a_file_beyond_the_limit_is_refused_and_the_next_one_is_read() {
    let place = Place::new();
    place.write("big.yaml", &"x".repeat(FILE_LIMIT as usize + 1));
    place.write("small.yaml", "small");
    place.commit();
    let files = GitFiles::staged(&place.open()).expect("it is there");
    assert_eq!(files.read("big.yaml"), Err(ReadProblem::TooLarge { limit: FILE_LIMIT, size: FILE_LIMIT + 1 }));
    assert_eq!(files.read("small.yaml"), Ok(b"small".to_vec()));
}

#[test]
fn changes_know_renames_and_need_no_first_commit() {
    let place = Place::new();
    place.write("a/build.yaml", "tramgauge: 1\nbuild: {name: A long enough name to be known again}\n");
    place.write("gone.yaml", "gone: soon\n");
    place.git(&["add", "-A"]);
    let git = place.open();
    assert!(!git.has_commits());
    assert_eq!(
        git.changes(None, &Head::Staged).expect("it is there"),
        [change("", "a/build.yaml"), change("", "gone.yaml")]
    );
    place.commit();
    assert!(git.has_commits());
    place.git(&["mv", "a", "b b"]);
    place.git(&["rm", "-q", "gone.yaml"]);
    let renamed = [change("a/build.yaml", "b b/build.yaml"), change("gone.yaml", "")];
    assert_eq!(git.changes(None, &Head::Staged).expect("it is there"), renamed);
    place.commit();
    let (old, new) = (git.resolve("HEAD~").expect("it is there"), git.resolve("main").expect("it is there"));
    assert_eq!(git.changes(Some(&old), &Head::Revision(new)).expect("it is there"), renamed);
    place.write("b b/build.yaml", "tramgauge: 1\n");
    assert_eq!(git.changes(None, &Head::Staged).expect("it is there"), []);
    assert_eq!(
        git.changes(None, &Head::WorkingTree).expect("it is there"),
        [change("b b/build.yaml", "b b/build.yaml")]
    );
}

#[test]
fn a_name_that_looks_like_an_option_is_no_revision() {
    let place = Place::new();
    place.write("a/build.yaml", "a");
    place.commit();
    let git = place.open();
    for name in
        ["--upload-pack=x", "-h", "--help", "-", "--", "", "HEAD --all", "HEAD:a/build.yaml", "a\0b", "$(touch made)"]
    {
        assert_eq!(git.resolve(name), Err(GitError::NoRevision(name.to_string())), "{name}");
    }
    assert!(!place.path().join("made").exists());
    assert_eq!(git.resolve("HEAD").expect("it is there").commit, place.git(&["rev-parse", "main"]).trim());
}

#[test]
fn outside_of_a_repository_git_says_so() {
    let folder = tempfile::tempdir().expect("it is there");
    assert!(matches!(Git::around(folder.path()), Err(GitError::NoRepository(_))));
}
