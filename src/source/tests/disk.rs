//! Files on a real disk: what lies outside the root stays there.

use std::path::Path;

use crate::source::{DiskFiles, FILE_LIMIT, Files, MemoryFiles, ReadProblem};

fn write(root: &Path, path: &str, text: &str) {
    let path = root.join(path);
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    std::fs::write(path, text).expect("a file");
}

#[test]
fn reads_what_lies_below_the_root_and_nothing_else() {
    let home = tempfile::tempdir().expect("a folder");
    write(home.path(), "secret.yaml", "a: 1");
    write(home.path(), "repository/cars/build.yaml", "b: 2");
    let files = DiskFiles::new(home.path().join("repository"));
    assert_eq!(files.read("cars/build.yaml"), Ok(b"b: 2".to_vec()));
    assert_eq!(files.read("./cars/build.yaml"), Ok(b"b: 2".to_vec()));
    assert_eq!(files.read("cars/other.yaml"), Err(ReadProblem::Missing));
    assert_eq!(files.read("cars/build.yaml/x"), Err(ReadProblem::Missing));
    assert_eq!(files.read("../secret.yaml"), Err(ReadProblem::Outside));
    assert_eq!(files.read("cars/../../secret.yaml"), Err(ReadProblem::Outside));
    let absolute = home.path().join("secret.yaml");
    assert_eq!(files.read(absolute.to_str().expect("a name")), Err(ReadProblem::Outside));
    assert!(matches!(files.read("cars"), Err(ReadProblem::Unreadable(_))));
    assert!(matches!(files.read("cars/\0.yaml"), Err(ReadProblem::Unreadable(_))));
}

#[cfg(unix)]
#[test]
fn links_are_followed_only_inside() {
    use std::os::unix::fs::symlink;
    let home = tempfile::tempdir().expect("a folder");
    let root = home.path().join("repository");
    write(home.path(), "secret.yaml", "a: 1");
    write(&root, "real/a.yaml", "a: 2");
    symlink("../secret.yaml", root.join("out.yaml")).expect("a link");
    symlink(home.path(), root.join("up")).expect("a link");
    symlink("real/a.yaml", root.join("in.yaml")).expect("a link");
    symlink("loop.yaml", root.join("loop.yaml")).expect("a link");
    let files = DiskFiles::new(root);
    assert_eq!(files.read("out.yaml"), Err(ReadProblem::Outside));
    assert_eq!(files.read("up/secret.yaml"), Err(ReadProblem::Outside));
    assert_eq!(files.read("in.yaml"), Ok(b"a: 2".to_vec()));
    assert!(matches!(files.read("loop.yaml"), Err(ReadProblem::Unreadable(_))));
    assert_eq!(files.list(""), Ok(vec!["in.yaml".to_owned(), "real/a.yaml".to_owned()]));
}

#[test]
fn a_large_file_is_not_read() {
    let home = tempfile::tempdir().expect("a folder");
    let file = std::fs::File::create(home.path().join("a.yaml")).expect("a file");
    file.set_len(FILE_LIMIT + 1).expect("room");
    let refused = Err(ReadProblem::TooLarge { limit: FILE_LIMIT, size: FILE_LIMIT + 1 });
    assert_eq!(DiskFiles::new(home.path().to_owned()).read("a.yaml"), refused);
    let mut files = MemoryFiles::default();
    files.files.insert("a.yaml".into(), vec![b'a'; FILE_LIMIT as usize + 1]);
    assert_eq!(files.read("a.yaml"), refused);
}

#[test]
fn lists_yaml_files_in_order_on_disk_and_in_memory() {
    let home = tempfile::tempdir().expect("a folder");
    let texts = [("b/z.yaml", ""), ("b/a/x.yaml", ""), ("a.yaml", ""), ("b/readme.md", ""), ("bb/q.yaml", "")];
    for (path, text) in texts {
        write(home.path(), path, text);
    }
    write(home.path(), ".git/hidden.yaml", "");
    let disk = DiskFiles::new(home.path().to_owned());
    let memory = MemoryFiles::from_texts(texts);
    for files in [&disk as &dyn Files, &memory] {
        assert_eq!(files.list("").expect("a list"), ["a.yaml", "b/a/x.yaml", "b/z.yaml", "bb/q.yaml"]);
        assert_eq!(files.list("b").expect("a list"), ["b/a/x.yaml", "b/z.yaml"]);
    }
    assert_eq!(disk.list("nowhere"), Err(ReadProblem::Missing));
    assert_eq!(disk.list(".."), Err(ReadProblem::Outside));
}
