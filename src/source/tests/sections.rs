//! Builds in several files.

use super::{said, shown_errors};
use crate::source::{MemoryFiles, ReadBuild, read_build};

fn read(files: &[(&str, &str)]) -> ReadBuild {
    read_build(&MemoryFiles::from_texts(files.iter().copied()), files[0].0)
}

fn assert_read(files: &[(&str, &str)], kept: &str, errors: &str) {
    let read = read(files);
    assert_eq!(read.root.map(|root| said(&read.tree, root)).unwrap_or_default(), kept);
    assert_eq!(shown_errors(&read.sources, &read.errors).trim_end(), errors.trim());
}

#[test]
fn sections_grow_into_one_tree_and_keep_their_places() {
    let read = read(&[
        ("cars/marlow/build.yaml", "sections: [brakes.yaml, ./parts/axles.yaml, ../shared.yml]\nbrakes: {front: 1}\n"),
        ("cars/marlow/brakes.yaml", "brakes:\n  rear: 2\n"),
        ("cars/marlow/parts/axles.yaml", "axles: [a]\n"),
        ("cars/shared.yml", "brakes: {rear_line: {bore: 3}}\n"),
    ]);
    assert_eq!(read.errors, []);
    let root = read.root.expect("a map");
    assert_eq!(root, read.tree.root());
    assert_eq!(
        said(&read.tree, root),
        "{sections: [brakes.yaml, ./parts/axles.yaml, ../shared.yml], \
         brakes: {front: 1, rear: 2, rear_line: {bore: 3}}, axles: [a]}"
    );
    let rear = read.tree.get(read.tree.get(root, "brakes").expect("brakes"), "rear").expect("rear");
    let span = read.tree.node(rear).span;
    assert_eq!(read.sources.name(span.file), "cars/marlow/brakes.yaml");
    assert_eq!((read.sources.position(span.file, span.start).line, read.sources.slice(span)), (2, "2"));
    let sections: Vec<_> = read.sections.iter().map(|(path, at)| (path.as_str(), read.sources.slice(*at))).collect();
    assert_eq!(
        sections,
        [
            ("cars/marlow/brakes.yaml", "brakes.yaml"),
            ("cars/marlow/parts/axles.yaml", "./parts/axles.yaml"),
            ("cars/shared.yml", "../shared.yml")
        ]
    );
}

#[test]
fn keys_given_in_two_files_name_both() {
    assert_read(
        &[
            ("build.yaml", "sections: [a.yaml, b.yaml]\nx: {y: 1, z: [1]}\n"),
            ("a.yaml", "x:\n  y: 2\n  z: [2]\n  w: 3\n"),
            ("b.yaml", "x: 5\nv: 6\n"),
        ],
        "{sections: [a.yaml, b.yaml], x: {y: 1, z: [1], w: 3}, v: 6}",
        r#"
! a.yaml:2:3 "y" `y` is given twice (2:5 "y")
! a.yaml:3:3 "z" `z` is given twice (2:11 "z")
! b.yaml:1:1 "x" `x` is given twice (2:1 "x")"#,
    );
}

#[test]
fn a_map_shared_by_an_alias_does_not_grow_elsewhere() {
    assert_read(
        &[("build.yaml", "sections: [a.yaml]\nx: &s {y: 1}\nz: *s\n"), ("a.yaml", "x: {w: 2}\n")],
        "{sections: [a.yaml], x: {y: 1, w: 2}, z: {y: 1}}",
        "",
    );
}

#[test]
fn a_bad_section_does_not_hide_what_the_others_say() {
    assert_read(
        &[
            ("build.yaml", "sections: [a.yaml, missing.yaml, b.yaml, list.yaml, none.yaml, c.yaml]\n"),
            ("a.yaml", "a: 1\nq: \"open\n"),
            ("b.yaml", "b: \u{1}\n"),
            ("list.yaml", "- x\n"),
            ("none.yaml", "# later\n"),
            ("c.yaml", "c: 3\n"),
        ],
        "{sections: [a.yaml, missing.yaml, b.yaml, list.yaml, none.yaml, c.yaml], a: 1, c: 3}",
        r#"
! a.yaml:2:4 "\"open" this quote is not closed
! 1:20 "missing.yaml" section `missing.yaml` cannot be read: there is no such file
! b.yaml:1:4 "\u{1}" invisible character U+0001 in the file
! list.yaml:1:1 "- x" the file must hold keys with values, as in `brakes: ...`
! none.yaml:1:1 "" the file says nothing"#,
    );
}

#[test]
fn sections_that_lead_nowhere_good() {
    assert_read(
        &[
            (
                "cars/build.yaml",
                "sections:\n- ../../etc/passwd\n- /etc/passwd\n- build.yaml\n- ../cars/./build.yaml\n- a.yaml\n- ./a.yaml\n- \
                 x/../a.yaml\n- notes.txt\n- ''\n- [b.yaml]\n-\n",
            ),
            ("cars/a.yaml", "a: 1\nsections: [c.yaml]\n"),
            ("cars/notes.txt", "b: 1"),
        ],
        "{sections: [../../etc/passwd, /etc/passwd, build.yaml, ../cars/./build.yaml, a.yaml, ./a.yaml, x/../a.yaml, notes.txt, \
         , [b.yaml], ], a: 1}",
        r#"
! 10:3 "''" an entry of `sections` must be the name of a file
! 11:3 "[b.yaml]" an entry of `sections` must be the name of a file
! 12:2 "" an entry of `sections` must be the name of a file
! 2:3 "../../etc/passwd" section `../../etc/passwd` cannot be read: it lies outside the repository
! 3:3 "/etc/passwd" section `/etc/passwd` cannot be read: it lies outside the repository
! 4:3 "build.yaml" section `build.yaml` is the build file itself
! 5:3 "../cars/./build.yaml" section `../cars/./build.yaml` is the build file itself
! cars/a.yaml:2:1 "sections" only the build file can list sections
! 7:3 "./a.yaml" section `./a.yaml` is listed twice (6:3 "a.yaml")
! 8:3 "x/../a.yaml" section `x/../a.yaml` is listed twice (6:3 "a.yaml")
! 9:3 "notes.txt" section `notes.txt` is not a `.yaml` file"#,
    );
}

#[test]
fn sections_must_be_a_list() {
    assert_read(
        &[("build.yaml", "sections: brakes.yaml\na: 1\n"), ("brakes.yaml", "b: 1")],
        "{sections: brakes.yaml, a: 1}",
        r#"! 1:11 "brakes.yaml" `sections` must be a list of file names"#,
    );
    assert_read(&[("build.yaml", "sections:\na: 1\n")], "{sections: , a: 1}", "");
}

#[test]
fn the_build_file_itself_may_be_at_fault() {
    let none = read_build(&MemoryFiles::default(), "cars/build.yaml");
    assert_eq!(none.root, None);
    assert_eq!(
        shown_errors(&none.sources, &none.errors),
        "! 1:1 \"\" the build file cannot be read: there is no such file\n"
    );
    assert_read(&[("build.yaml", "")], "", r#"! 1:1 "" the file says nothing"#);
    assert_read(&[("build.yaml", "~\n")], "", r#"! 1:1 "~" the file must hold keys with values, as in `brakes: ...`"#);
}

#[test]
fn a_build_past_the_limits_is_cut_there() {
    let big = format!("# {}\n", "x".repeat(2 * 1024 * 1024 - 3));
    let mut files = MemoryFiles::default();
    files.files.insert("build.yaml".into(), b"sections: [a.yaml, b.yaml, c.yaml, d.yaml, e.yaml, f.yaml]".to_vec());
    for name in ["a", "b", "c", "d", "e", "f"] {
        files.files.insert(format!("{name}.yaml"), big.clone().into_bytes());
    }
    let read = read_build(&files, "build.yaml");
    let shown = shown_errors(&read.sources, &read.errors);
    assert!(
        shown.ends_with("! 1:36 \"d.yaml\" with section `d.yaml` the build is larger than 8388608 bytes\n"),
        "{shown}"
    );
    assert_eq!(read.sections.len(), 3);

    let names: Vec<String> = (0..300).map(|n| format!("s{n}.yaml")).collect();
    let mut files = MemoryFiles::default();
    files.files.insert("build.yaml".into(), format!("sections: [{}]", names.join(", ")).into_bytes());
    for name in &names {
        files.files.insert(name.clone(), format!("{}: 1", &name[..name.len() - 5]).into_bytes());
    }
    let read = read_build(&files, "build.yaml");
    assert_eq!(read.sections.len(), 256);
    assert!(shown_errors(&read.sources, &read.errors).ends_with("a build has at most 256 sections\n"));
}
