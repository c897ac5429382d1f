//! A repository opened over files that are on no disk: the same rulebook, the same builds.

use serde::Serialize;
use std::sync::Arc;
use tramgauge::repository::{Refused, Repository, builds_below, read_build};
use tramgauge::rulebook::load_for_judging;
use tramgauge::source::{Files, MemoryFiles, OverlayFiles, ReadProblem};
use tramgauge::terms::Terms;

const RULE: &str = "
rules:
  - rule: shop.tunnel-gap
    title: Propeller shafts keep 25 mm from the tunnel
    for: clearance in driveline.clearances
    class: minor
    holds: clearance.gap >= 25 mm
    points_at: clearance.gap
    says: \"{clearance} has {clearance.gap}\"
    why: Mounts sag.
    remedy: Dress the tunnel.
    sources: [practice]
";

fn memory(texts: &[(&str, &str)]) -> Arc<dyn Files> {
    Arc::new(MemoryFiles::from_texts(texts.iter().copied()))
}

#[test]
fn own_rules_are_in_force_wherever_the_files_come_from() {
    let files = memory(&[("shop-rules/driveline/gap.yaml", RULE), ("a/build.yaml", "tramgauge: 1\n")]);
    let opened = Repository::open(files, &[], false);
    let repository = opened.unwrap_or_else(|refused| panic!("{refused:?}"));
    assert!(repository.book.rule("shop.tunnel-gap").is_some_and(|rule| rule.own));
    let read = read_build(&repository, "a/build.yaml");
    assert!(read.source_errors.is_empty() && read.terms_errors.is_empty());
}

/// Holds two things against each other, as far as they are packed: not the types of expressions that are no quantities.
fn pairs<T: Serialize + ?Sized>(a: &T, b: &T) {
    let packed = |of: &T| postcard::to_stdvec(of).unwrap_or_else(|error| panic!("{error}"));
    assert!(packed(a) == packed(b));
}

#[test]
fn the_packed_rulebook_is_what_reading_the_rule_files_gives() {
    let opened = Repository::open(memory(&[]), &[], false);
    let packed = opened.unwrap_or_else(|refused| panic!("{refused:?}")).book;
    // Read anew it would carry the tree of its files.
    assert!(packed.tree.is_empty());
    let terms = Terms::built_in().unwrap_or_else(|refused| panic!("{:?}", refused.errors));
    let read = load_for_judging(terms, &[]).unwrap_or_else(|(_, errors)| panic!("{errors:?}"));
    assert!(read.rules.len() > 300 && read.library.figures.len() > 300);
    pairs(&**packed.library.terms.types(), &**read.library.terms.types());
    pairs(&packed.library.figures, &read.library.figures);
    pairs(&packed.library.tables, &read.library.tables);
    pairs(&packed.rules, &read.rules);
    pairs(&packed.figures, &read.figures);
    pairs(
        &packed.tables.iter().map(|t| (&t.cells, &t.sources)).collect::<Vec<_>>(),
        &read.tables.iter().map(|t| (&t.cells, &t.sources)).collect::<Vec<_>>(),
    );
    pairs(&packed.sources, &read.sources);
    pairs(&packed.events, &read.events);
    pairs(&*packed.index, &*read.index);
}

#[test]
fn a_faulty_own_rule_is_refused_with_its_text() {
    let files = memory(&[("shop-rules/driveline/gap.yaml", &RULE.replace("25 mm\n    points", "25 deg\n    points"))]);
    let Err(Refused::Rulebook(texts, errors)) = Repository::open(files, &[], false) else { panic!("it is refused") };
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert_eq!(texts.name(errors[0].span.file), "shop-rules/driveline/gap.yaml");
}

#[test]
fn a_folder_with_a_build_of_its_own_hides_those_below_it() {
    let files =
        memory(&[("a/build.yaml", ""), ("b/c/build.yaml", ""), ("b/d/build.yaml", ""), ("a/old/build.yaml", "")]);
    let below = |folder| builds_below(&*files, folder).unwrap_or_else(|problem| panic!("{problem:?}"));
    assert_eq!(below("a"), ["a/build.yaml"]);
    assert_eq!(below("b"), ["b/c/build.yaml", "b/d/build.yaml"]);
    assert_eq!(below(""), ["a/build.yaml", "a/old/build.yaml", "b/c/build.yaml", "b/d/build.yaml"]);
}

#[test]
fn what_lies_over_is_read_first_and_listed_once() {
    let over = MemoryFiles::from_texts([("a/build.yaml", "new"), ("a/more.yaml", "more")]);
    let below = memory(&[("a/build.yaml", "old"), ("a/brakes.yaml", "brakes")]);
    let files = OverlayFiles { over, below };
    assert_eq!(files.read("a/build.yaml"), Ok(b"new".to_vec()));
    assert_eq!(files.read("a/brakes.yaml"), Ok(b"brakes".to_vec()));
    assert_eq!(files.read("a/none.yaml"), Err(ReadProblem::Missing));
    assert_eq!(files.read("../a/build.yaml"), Err(ReadProblem::Outside));
    let listed = files.list("a");
    assert_eq!(listed, Ok(["a/brakes.yaml", "a/build.yaml", "a/more.yaml"].map(str::to_string).to_vec()));
}
