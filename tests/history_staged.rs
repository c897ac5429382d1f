//! What is staged is judged, not what lies in the working tree, and only builds that it touches: each situation with the real
//! `git`, its exit status, and the findings that come.

mod common;

use common::git::{Place, bare, build, findings, program, ran};

const GOOD: u32 = 280;
const BAD: u32 = 360;

fn found(path: &str) -> Vec<String> {
    vec![format!("{path} workshop.pump-low fuel.pumps/lift")]
}

fn nothing() -> Vec<String> {
    Vec::new()
}

#[test]
fn the_index_counts_and_not_the_working_tree() {
    let place = Place::new();
    place.write("a/build.yaml", &build(BAD));
    place.git(&["add", "-A"]);
    place.write("a/build.yaml", &build(GOOD));
    assert_eq!(place.staged(), (1, found("a/build.yaml")));
    place.git(&["add", "-A"]);
    place.write("a/build.yaml", &build(BAD));
    assert_eq!(place.staged(), (0, nothing()));
}

#[test]
fn a_file_staged_in_part_is_judged_by_that_part() {
    let place = Place::new();
    let two = |first: u32, second: u32| {
        let more: String = (0..12).map(|n| format!("    # line {n}\n")).collect();
        let pump = format!(
            "    - pump: second\n      place: frame\n      draws_from: main\n      inlet_height: {second} mm\n"
        );
        build(first) + &more + &pump
    };
    place.write("a/build.yaml", &two(GOOD, GOOD));
    place.commit();
    place.write("a/build.yaml", &two(BAD, BAD));
    // The second of the two hunks, without the first.
    let diff = place.git(&["diff", "-U1", "a/build.yaml"]);
    let hunks: Vec<usize> = diff.match_indices("\n@@").map(|(at, _)| at + 1).collect();
    assert_eq!(hunks.len(), 2, "{diff}");
    place.write("second.patch", &format!("{}{}", &diff[..hunks[0]], &diff[hunks[1]..]));
    place.git(&["apply", "--cached", "--unidiff-zero", "second.patch"]);
    assert_eq!(place.staged(), (1, vec!["a/build.yaml workshop.pump-low fuel.pumps/second".to_string()]));
}

#[test]
fn only_builds_that_are_touched_are_judged() {
    let place = Place::new();
    place.write("old/build.yaml", &build(BAD));
    place.commit();
    assert_eq!(place.staged(), (0, nothing()));
    place.write("new/build.yaml", &build(GOOD));
    place.write("notes.txt", "nothing for a build");
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (0, nothing()));
    // What lies in the folder without belonging to the build leaves it alone.
    place.write("old/unlisted.yaml", "fuel: {}\n");
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (0, nothing()));
    let told = ran(bare(program()).args(["inspect", "--staged", "old"]).current_dir(place.root()));
    assert_eq!(
        (told.status, told.out.lines().next()),
        (0, Some("Nothing that is staged touches a build.")),
        "{}",
        told.err
    );
}

#[test]
fn sections_shared_files_rules_and_settings_touch_their_builds() {
    let place = Place::new();
    let pumps =
        |height: u32| build(height).split("fuel:\n").nth(1).map(|fuel| format!("fuel:\n{fuel}")).expect("pumps");
    let head = "tramgauge: 1\nbuild: {name: A}\nsections: [../shared/pumps.yaml]\n";
    place.write("a/build.yaml", head);
    place.write("b/build.yaml", head);
    place.write("c/build.yaml", &build(BAD));
    place.write("shared/pumps.yaml", &pumps(GOOD));
    place.commit();
    place.write("shared/pumps.yaml", &pumps(BAD));
    place.git(&["add", "-A"]);
    let both = [found("a/build.yaml"), found("b/build.yaml")].concat();
    assert_eq!(place.staged(), (1, both.clone()));
    let all = [both, found("c/build.yaml")].concat();
    place.git(&["reset", "-q", "--hard"]);
    place.write("shop-rules/workshop/workshop.yaml", &format!("# Read anew\n{}", common::WORKSHOP));
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (1, found("c/build.yaml")));
    place.git(&["reset", "-q", "--hard"]);
    place.write("shared/pumps.yaml", &pumps(BAD));
    place.write("tramgauge.yaml", &format!("# Read anew\n{}", common::git::SETTINGS));
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (1, all));
}

#[test]
fn a_data_sheet_of_a_part_touches_the_builds_that_use_it() {
    let place = Place::new();
    let using = "tramgauge: 1\nbuild: {name: A}\nfuel:\n  tanks: [{tank: main, lowest_level: 310 mm}]\n  pumps:\n    - pump: lift\n      part: parts/lift.yaml\n      draws_from: main\n      inlet_height: 360 mm\n";
    place.write("a/build.yaml", using);
    place.write("parts/lift.yaml", "place: in the tank\n");
    place.write("b/build.yaml", &build(BAD));
    place.commit();
    place.write("parts/lift.yaml", "place: frame\n");
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (1, found("a/build.yaml")));
}

#[test]
fn an_evidence_file_touches_the_build_that_names_it() {
    let place = Place::new();
    let named = "inlet_height: {is: 360 mm, known_by: measured, evidence: {file: photos/pump.jpg}}";
    place.write("a/build.yaml", &build(BAD).replace("inlet_height: 360 mm", named));
    place.write("b/build.yaml", &build(BAD));
    place.write("photos/pump.jpg", "a photo");
    place.commit();
    place.write("photos/pump.jpg", "another photo");
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (1, found("a/build.yaml")));
    place.git(&["rm", "-q", "-f", "photos/pump.jpg"]);
    let (status, told) = place.staged();
    assert_eq!((status, told.len()), (2, 2), "{told:?}");
    assert!(told[0].starts_with("a/build.yaml error: ") && told[0].contains("photos/pump.jpg"), "{told:?}");
}

#[test]
fn renames_deletions_and_new_sections() {
    let place = Place::new();
    place.write("a/build.yaml", &build(BAD));
    place.write("b/build.yaml", "tramgauge: 1\nbuild: {name: B}\nsections: [more.yaml]\n");
    place.write("b/more.yaml", "cabin: {}\n");
    place.commit();
    place.git(&["mv", "a", "moved"]);
    assert_eq!(place.staged(), (1, found("moved/build.yaml")));
    place.git(&["reset", "-q", "--hard"]);
    place.git(&["rm", "-q", "a/build.yaml"]);
    assert_eq!(place.staged(), (0, nothing()));
    place.git(&["reset", "-q", "--hard"]);
    place.git(&["rm", "-q", "b/more.yaml"]);
    let (status, told) = place.staged();
    assert_eq!((status, told.len()), (2, 1), "{told:?}");
    assert!(told[0].starts_with("b/build.yaml error: ") && told[0].contains("more.yaml"), "{told:?}");
    place.git(&["reset", "-q", "--hard"]);
    // A section that is listed and written, but not staged, would not be in the commit.
    place.write("b/build.yaml", "tramgauge: 1\nbuild: {name: B}\nsections: [more.yaml, new.yaml]\n");
    place.write("b/new.yaml", "road: {}\n");
    place.git(&["add", "b/build.yaml"]);
    let (status, told) = place.staged();
    assert_eq!((status, told.len()), (2, 1), "{told:?}");
    place.git(&["add", "b/new.yaml"]);
    assert_eq!(place.staged(), (0, nothing()));
}

#[test]
fn a_merge_is_judged_by_what_it_brings_and_not_before_it_is_settled() {
    let place = Place::new();
    place.write("a/build.yaml", &build(GOOD));
    place.commit();
    place.git(&["checkout", "-q", "-b", "side"]);
    place.write("a/build.yaml", &build(BAD));
    place.write("b/build.yaml", &build(BAD));
    place.commit();
    place.git(&["checkout", "-q", "main"]);
    place.write("a/build.yaml", &build(GOOD - 1));
    place.commit();
    let merge = place.try_git(&place.root(), &["merge", "-q", "--no-edit", "side"]);
    assert_eq!(merge.status, 1, "{}", merge.err);
    let (status, told) = place.staged();
    assert_eq!(status, 2);
    assert!(told[0].contains("its merge is not settled"), "{told:?}");
    place.write("a/build.yaml", &build(GOOD));
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (1, found("b/build.yaml")));
}

#[test]
fn a_repository_without_a_first_commit() {
    let place = Place::fresh();
    place.write("a/build.yaml", &build(BAD));
    assert_eq!(place.staged(), (0, nothing()));
    place.git(&["add", "-A"]);
    assert_eq!(place.staged(), (1, found("a/build.yaml")));
}

#[test]
fn a_linked_worktree_has_an_index_of_its_own() {
    let place = Place::new();
    place.write("a/build.yaml", &build(GOOD));
    place.commit();
    place.git(&["worktree", "add", "-q", "../linked", "-b", "linked"]);
    let linked = place.root().join("../linked");
    std::fs::write(linked.join("a/build.yaml"), build(BAD)).expect("a file");
    place.try_git(&linked, &["add", "-A"]);
    let in_linked = place.staged_in(&linked, &[]);
    let removed = std::fs::remove_dir_all(&linked);
    assert_eq!(in_linked, (1, found("a/build.yaml")));
    assert_eq!(place.staged(), (0, nothing()));
    removed.expect("the linked worktree goes away");
}

#[test]
fn a_submodule_is_no_part_of_the_commit_around_it() {
    let (inner, outer) = (Place::new(), Place::new());
    inner.write("a/build.yaml", &build(BAD));
    inner.commit();
    let from = inner.root();
    let from = from.to_str().expect("UTF-8");
    outer.git(&["-c", "protocol.file.allow=always", "submodule", "--quiet", "add", from, "sub"]);
    assert_eq!(outer.staged(), (0, nothing()));
    outer.commit();
    // Inside it git works as in any repository.
    let sub = outer.root().join("sub");
    std::fs::write(sub.join("a/build.yaml"), build(BAD + 1)).expect("a file");
    outer.try_git(&sub, &["add", "-A"]);
    assert_eq!(outer.staged_in(&sub, &[]), (1, found("a/build.yaml")));
    // What lies in it cannot be judged from outside, and that is said.
    outer.write("b/build.yaml", "tramgauge: 1\nbuild: {name: B}\nsections: [../sub/a/build.yaml]\n");
    outer.git(&["add", "b"]);
    let (status, told) = outer.staged();
    assert_eq!(status, 2);
    assert!(told[0].contains("it lies in the submodule sub"), "{told:?}");
}

#[test]
fn a_sparse_checkout_lacks_nothing() {
    let place = Place::new();
    place.write("a/build.yaml", "tramgauge: 1\nbuild: {name: A}\nsections: [../b/pumps.yaml]\n");
    let pumps = build(BAD);
    place.write("b/pumps.yaml", pumps.split_once("name: A build}\n").map(|(_, fuel)| fuel).expect("pumps"));
    place.commit();
    for sparse_index in ["--no-sparse-index", "--sparse-index"] {
        place.git(&["sparse-checkout", "set", "--cone", sparse_index, "a", "shop-rules"]);
        assert!(!place.workshop.path("b/pumps.yaml").exists());
        place.write(
            "a/build.yaml",
            &format!("tramgauge: 1\nbuild: {{name: A {sparse_index}}}\nsections: [../b/pumps.yaml]\n"),
        );
        place.git(&["add", "a"]);
        assert_eq!(place.staged(), (1, found("a/build.yaml")), "{sparse_index}");
    }
}

#[test]
fn odd_names_and_subfolders() {
    let place = Place::new();
    for name in ["with space", "it's \"quoted\"", "Märchen", "line\nend"] {
        place.write(&format!("{name}/build.yaml"), &build(BAD));
        place.git(&["add", "-A"]);
        let wanted = (1, found(&format!("{name}/build.yaml")));
        assert_eq!(place.staged(), wanted);
        assert_eq!(place.staged_in(&place.workshop.path(name), &[]), wanted);
        assert_eq!(place.staged_in(&place.workshop.path("shop-rules/workshop"), &[]), wanted);
        assert_eq!(place.staged_in(&place.workshop.path("shop-rules"), &["."]), (0, nothing()));
        assert_eq!(place.staged_in(&place.workshop.path(name), &["build.yaml"]), wanted);
        place.git(&["reset", "-q", "--hard"]);
    }
}

#[test]
fn what_git_sets_for_a_hook_is_followed() {
    let place = Place::new();
    place.write("a/build.yaml", &build(GOOD));
    place.write("b/build.yaml", &build(GOOD));
    place.commit();
    // The paths are relative to the working folder, as git gives them.
    std::fs::copy(place.workshop.path(".git/index"), place.workshop.path(".git/other")).expect("a copy");
    place.write("a/build.yaml", &build(BAD));
    let other = |program: &str| {
        let mut command = bare(program);
        command.env("GIT_DIR", ".git").env("GIT_INDEX_FILE", ".git/other").current_dir(place.root());
        command
    };
    assert_eq!(ran(other("git").args(["add", "a/build.yaml"])).status, 0);
    let run = ran(other(program()).args(["inspect", "--staged", "--as", "json", "--on", "2026-06-01"]));
    assert_eq!((run.status, findings(&run.out)), (1, found("a/build.yaml")), "{}", run.err);
    assert_eq!(place.staged(), (0, nothing()));
}

#[test]
fn outside_of_a_repository_there_is_nothing_staged() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = ran(bare(program()).args(["inspect", "--staged"]).current_dir(folder.path()));
    assert_eq!(run.status, 2);
    assert!(run.err.contains("git finds no repository here"), "{}", run.err);
}

#[test]
fn faulty_own_rules_are_told_also_where_no_build_is_touched() {
    let place = Place::new();
    place.write("shop-rules/workshop/workshop.yaml", "rules: [{rule: }]\n");
    place.git(&["add", "-A"]);
    let run = ran(bare(program()).args(["inspect", "--staged"]).current_dir(place.root()));
    assert_eq!(run.status, 2);
    assert!(run.out.contains("── rulebook error ──"), "{}", run.out);
}
