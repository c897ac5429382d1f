//! Data sheets of parts: which are read, and every way in which one can be of no use.

use super::{said, shown_errors};
use crate::source::{MemoryFiles, PART_LIMIT, ReadBuild, read_build};
use std::fmt::Write as _;

fn read(files: &[(&str, &str)]) -> ReadBuild {
    read_build(&MemoryFiles::from_texts(files.iter().copied()), files[0].0)
}

fn errors(files: &[(&str, &str)]) -> String {
    let read = read(files);
    shown_errors(&read.sources, &read.errors)
}

#[test]
fn a_sheet_is_read_once_from_the_root_and_found_by_each_use() {
    let read = read(&[
        ("cars/lark/build.yaml", "sections: [fuel.yaml]\na: {part: parts/pump.yaml}\n"),
        ("cars/lark/fuel.yaml", "b: [{part: ./parts/pump.yaml, x: 1}]\nc: {part: a name}\n"),
        ("parts/pump.yaml", "flow: 3\nmotor: {part: parts/motor.yml}\n"),
        ("parts/motor.yml", "turns: 5\n"),
    ]);
    assert_eq!(read.errors, []);
    let paths: Vec<_> = read.parts.files().iter().map(|(path, _)| path.as_str()).collect();
    assert_eq!(paths, ["parts/pump.yaml", "parts/motor.yml"]);
    let root = read.tree.root();
    let value = |map: &str| read.tree.get(read.tree.get(root, map).expect("a key"), "part").expect("a part");
    let sheet = read.parts.sheet(value("a")).expect("a sheet");
    assert_eq!(said(&read.tree, sheet), "{flow: 3, motor: {part: parts/motor.yml}}");
    let item = read.tree.items(read.tree.get(root, "b").expect("a list")).expect("a list")[0];
    assert_eq!(read.parts.sheet(read.tree.get(item, "part").expect("a part")), Some(sheet));
    assert_eq!(read.parts.sheet(value("c")), None, "a name that is none of a file");
    let file = read.tree.node(sheet).span.file;
    assert!(read.parts.holds(file) && !read.parts.holds(read.tree.node(root).span.file));
    let motor = read.parts.sheet(read.tree.get(read.tree.get(sheet, "motor").expect("a key"), "part").expect("a part"));
    let motor = read.tree.node(motor.expect("a sheet")).span.file;
    let used = read.parts.used(motor).expect("a use");
    assert_eq!((read.sources.name(used.file), read.sources.slice(used)), ("cars/lark/build.yaml", "parts/pump.yaml"));
}

#[test]
fn each_useless_sheet_is_told_once_at_its_first_use() {
    assert_eq!(
        errors(&[
            (
                "cars/build.yaml",
                "a: {part: parts/gone.yaml}\nb: {part: parts/gone.yaml}\nc: {part: ../x.yaml}\nd: {part: /x.yaml}\n\
                 e: {part: parts/list.yaml}\nf: {part: parts/empty.yaml}\ng: {part: cars/build.yaml}\nh: {part: parts/open.yaml}\n",
            ),
            ("parts/list.yaml", "- 1\n"),
            ("parts/empty.yaml", ""),
            ("parts/open.yaml", "x: \"1\ny: 2\n"),
        ]),
        r#"! 1:11 "parts/gone.yaml" data sheet `parts/gone.yaml` cannot be read: there is no such file
! 3:11 "../x.yaml" data sheet `../x.yaml` cannot be read: it lies outside the repository
! 4:11 "/x.yaml" data sheet `/x.yaml` cannot be read: it lies outside the repository
! parts/list.yaml:1:1 "- 1" the file must hold keys with values, as in `brakes: ...` (5:11 "parts/list.yaml")
! parts/empty.yaml:1:1 "" the file says nothing (6:11 "parts/empty.yaml")
! 7:11 "cars/build.yaml" `cars/build.yaml` is a build; a data sheet has another name
! parts/open.yaml:1:4 "\"1" this quote is not closed (8:11 "parts/open.yaml")
"#
    );
}

#[test]
fn circles_end_where_they_close() {
    let three = [
        ("build.yaml", "x: {part: parts/a.yaml}\n"),
        ("parts/a.yaml", "part: parts/b.yaml\nv: 1\n"),
        ("parts/b.yaml", "w: {part: parts/c.yaml}\n"),
        ("parts/c.yaml", "part: parts/a.yaml\n"),
    ];
    assert_eq!(
        errors(&three),
        "! parts/c.yaml:1:7 \"parts/a.yaml\" data sheet `parts/a.yaml` is named within itself (1:11 \"parts/a.yaml\")\n"
    );
    assert_eq!(
        errors(&[("build.yaml", "x: {part: a.yaml}\ny: {part: a.yaml}\n"), ("a.yaml", "part: a.yaml\n")]),
        "! a.yaml:1:7 \"a.yaml\" data sheet `a.yaml` is named within itself (1:11 \"a.yaml\")\n"
    );
    assert!(read(&three).parts.sheet(read(&three).tree.root()).is_none());
}

#[test]
fn long_chains_many_sheets_and_sheets_that_multiply_are_refused() {
    let chain: Vec<(String, String)> = (0..12)
        .map(|n| (format!("{n}.yaml"), format!("v: {n}\npart: {}.yaml\n", n + 1)))
        .chain([("12.yaml".to_string(), "v: 12\n".to_string())])
        .collect();
    let mut files = vec![("build.yaml", "x: {part: 0.yaml}\n")];
    files.extend(chain.iter().map(|(path, text)| (path.as_str(), text.as_str())));
    assert_eq!(
        errors(&files),
        "! 7.yaml:2:7 \"8.yaml\" with data sheet `8.yaml` more than 8 sheets name one another in a row (1:11 \"0.yaml\")\n"
    );
    // Read by its end first, the same chain is as long.
    files[0] = ("build.yaml", "a: {part: 6.yaml}\nx: {part: 0.yaml}\n");
    assert!(errors(&files).contains("more than 8 sheets"), "{}", errors(&files));

    let many: Vec<(String, String)> =
        (0..=PART_LIMIT + 3).map(|n| (format!("p{n}.yaml"), "v: 1\n".to_string())).collect();
    let mut build = String::new();
    for (at, (path, _)) in many.iter().enumerate() {
        let _ = writeln!(build, "k{at}: {{part: {path}}}");
    }
    let mut files = vec![("build.yaml", build.as_str())];
    files.extend(many.iter().map(|(path, text)| (path.as_str(), text.as_str())));
    assert_eq!(errors(&files), "! 257:14 \"p256.yaml\" a build has at most 256 data sheets\n");

    let twenty = |sheet: &str| (0..20).map(|n| format!("k{n}: {{part: {sheet}}}\n")).collect::<String>();
    let (a, b, c, d) = (twenty("a.yaml"), twenty("b.yaml"), twenty("c.yaml"), twenty("d.yaml"));
    let told = errors(&[("build.yaml", &a), ("a.yaml", &b), ("b.yaml", &c), ("c.yaml", &d), ("d.yaml", "v: 1\n")]);
    assert_eq!(told.lines().count(), 1, "{told}");
    assert!(told.contains("stand for more than 100000 values"), "{told}");
    // An alias of a record with a sheet stands for the sheet each time.
    let mut build = String::from("k: &k {part: big.yaml}\nl: [");
    build += &"*k, ".repeat(2000);
    build += "]\n";
    let big: String = (0..100).map(|n| format!("v{n}: 1\n")).collect();
    let told = errors(&[("build.yaml", &build), ("big.yaml", &big)]);
    assert!(told.contains("stand for more than 100000 values") && told.lines().count() == 1, "{told}");
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_out_of_the_repository_is_not_followed() {
    let outside = tempfile::tempdir().expect("a folder");
    let root = tempfile::tempdir().expect("a folder");
    std::fs::write(outside.path().join("pump.yaml"), "v: 1\n").expect("written");
    std::os::unix::fs::symlink(outside.path().join("pump.yaml"), root.path().join("pump.yaml")).expect("linked");
    std::fs::write(root.path().join("build.yaml"), "x: {part: pump.yaml}\n").expect("written");
    let read = read_build(&crate::source::DiskFiles::new(root.path().to_path_buf()), "build.yaml");
    assert_eq!(
        shown_errors(&read.sources, &read.errors),
        "! 1:11 \"pump.yaml\" data sheet `pump.yaml` cannot be read: it lies outside the repository\n"
    );
}
