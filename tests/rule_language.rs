//! The rule language, seen through small rulebooks which carry their own check pieces.

use tramgauge::assess::{PieceVerdict, calibrate};
use tramgauge::rulebook::load;
use tramgauge::terms::Terms;

/// Loads a rulebook and runs its pieces; what reads otherwise is told.
fn hold(rules: &str) {
    let terms = Terms::built_in().unwrap_or_else(|refused| panic!("{:?}", refused.errors));
    let book = load(terms, &[("rules/small.yaml", rules)], &[])
        .unwrap_or_else(|(_, errors)| panic!("{}", errors.iter().map(|e| e.message()).collect::<Vec<_>>().join("\n")));
    let result = calibrate(&book, jiff::civil::date(2026, 6, 1), None);
    assert!(!result.pieces.is_empty());
    for piece in &result.pieces {
        assert_eq!(piece.verdict, PieceVerdict::Reads, "{} piece {}", piece.of, piece.number);
    }
}

#[test]
fn a_local_name_keeps_its_value_behind_a_quantifier() {
    hold(
        "
sources: [{source: practice, kind: practice, title: Practice}]
rules:
  - rule: small.locals
    title: Two local names, the first with a quantifier in it
    for: vehicle
    with:
      heavy: any load in vehicle.loads has load.front_axle > 500 kg
      long: vehicle.wheelbase > 2500 mm
    holds: heavy and not long
    class: minor
    says: too light or too long
    why: Only for this test.
    remedy: None.
    sources: [practice]
    check_pieces:
      - {piece: {vehicle: {wheelbase: 2400 mm, loads: [{load: laden, front_axle: 510 kg}]}}, reads: holds}
      - {piece: {vehicle: {wheelbase: 2600 mm, loads: [{load: laden, front_axle: 510 kg}]}}, reads: minor}
      - {piece: {vehicle: {wheelbase: 2400 mm, loads: [{load: laden, front_axle: 490 kg}]}}, reads: minor}
",
    );
}

#[test]
fn what_a_designation_does_not_say_is_unmeasured() {
    hold(
        "
sources: [{source: practice, kind: practice, title: Practice}]
rules:
  - rule: small.parts
    title: The tyre has a load index
    for: vehicle
    holds: vehicle.front.tyre.size.load_index >= 90 and vehicle.wheelbase > 2 m
    class: minor
    says: too small
    why: Only for this test.
    remedy: None.
    sources: [practice]
    check_pieces:
      - {piece: {vehicle: {wheelbase: 2400 mm, front: {tyre: {size: 205/55R16 91V}}}}, reads: holds}
      - {piece: {vehicle: {wheelbase: 2400 mm, front: {tyre: {size: 205/55R16 89V}}}}, reads: minor}
      - {piece: {vehicle: {wheelbase: 2400 mm, front: {tyre: {size: 205/55R16}}}}, reads: unmeasured}
",
    );
}

/// What a figure takes and what it rests on besides are told apart: it is asked twice for each of two subjects.
#[test]
fn a_figure_with_arguments_reads_each_subject_and_each_argument() {
    hold(
        "
sources: [{source: practice, kind: practice, title: Practice}]
figures:
  - figure: lighter
    of: load in vehicle.loads
    takes: {more: mass}
    with:
      most: greatest of l.front_axle for l in vehicle.loads
      here: load.front_axle
    is: most - here + more
    means: how much lighter it is in front than the heaviest load, and more
rules:
  - rule: small.lighter
    title: No load is much lighter in front than the heaviest one
    for: load in vehicle.loads
    holds: load.lighter(10 kg) <= 110 kg and load.lighter(30 kg) <= 130 kg and load.lighter(30 kg) = load.lighter(10 kg) + 20 kg
    class: minor
    says: too light
    why: Only for this test.
    remedy: None.
    sources: [practice]
    check_pieces:
      - {piece: {vehicle: {loads: [{load: laden, front_axle: 500 kg}, {load: empty, front_axle: 401 kg}]}}, reads: holds}
      - {piece: {vehicle: {loads: [{load: laden, front_axle: 500 kg}, {load: empty, front_axle: 399 kg}]}}, reads: minor}
",
    );
}

/// Names of a figure are computed when they are first asked for, which may be inside lists and sweeps whose members stand in
/// the same frame, and other names are computed on the way.
#[test]
fn a_name_first_asked_for_inside_a_list_or_a_sweep_leaves_their_members_alone() {
    hold(
        "
sources: [{source: practice, kind: practice, title: Practice}]
figures:
  - figure: listed
    of: vehicle
    with:
      most: greatest of l.front_axle for l in vehicle.loads
      lacking: total of most - l.front_axle for l in vehicle.loads
    is: >-
      total of most - l.front_axle + lacking for l in vehicle.loads
      where (count of m in vehicle.loads where m.front_axle > most - lacking) >= 2 and l.front_axle < most
    means: of all loads but the heaviest what they lack, and what all lack for each
  - figure: swept
    of: vehicle
    with:
      most: greatest of l.front_axle for l in vehicle.loads
      lacking: total of most - l.front_axle for l in vehicle.loads
    is: greatest of lacking * z + (total of l.front_axle for l in vehicle.loads where l.front_axle = most) over z from 0 to 1
    means: what all lack, and the heaviest
rules:
  - rule: small.names
    title: Names are right wherever they are first asked for
    for: vehicle
    holds: vehicle.listed = 897 kg and vehicle.swept = 799 kg
    class: minor
    says: wrong
    why: Only for this test.
    remedy: None.
    sources: [practice]
    check_pieces:
      - {piece: {vehicle: {loads: [{load: laden, front_axle: 500 kg}, {load: half, front_axle: 401 kg}, {load: empty, front_axle: 300 kg}]}}, reads: holds}
      - {piece: {vehicle: {loads: [{load: laden, front_axle: 500 kg}, {load: half, front_axle: 402 kg}, {load: empty, front_axle: 300 kg}]}}, reads: minor}
",
    );
}
