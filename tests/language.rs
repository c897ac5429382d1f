//! The rule language as its users meet it: expressions over a small spec, what they read and why they cannot.

#[path = "common/bench.rs"]
mod bench;

use std::sync::LazyLock;
use tramgauge::rulebook::Rulebook;
use tramgauge::terms::Spec;

const BENCH: &str = "\
length: 120 mm ± 2 mm
width: 4 in
tilt: 30 deg
heat: 90 °C
push: 50 N
boost: 1.5 bar
air: 1.013 bar abs
ready: yes
colour: pale blue
made: 2024-06-01
corner: [0 mm, 0 mm, 0 mm]
far: [300 mm, 0 mm, 400 mm]
bolt: M10x1.25
words: [red]
parts:
  - rod: front
    length: 700 mm
  - knot: first
    kind: tight
    angle: 2 deg
  - rod: rear
    length: 900 mm
    limit: 950 mm
  - knot: second
    kind: half-hitch
ring:
  - bead: a
    length: 1 mm
  - bead: b
    length: 2 mm
  - bead: c
    length: 3 mm
wires:
  - wire: main
    load: 20 A
  - wire: pump
    feed: main
    load: 8 A
  - wire: fan
    feed: main
    load: 12 A
  - wire: relay
    feed: fan
";

/// What an expression reads on the bench.
fn on_bench(expression: &str) -> String {
    static BOOK: LazyLock<(Rulebook, Spec)> = LazyLock::new(|| {
        let book = bench::rulebook("figures: []").unwrap_or_else(|_| panic!("an empty rulebook loads"));
        let spec = bench::spec(&book, BENCH);
        (book, spec)
    });
    bench::reads(&BOOK.0, &BOOK.1, expression)
}

#[test]
fn arithmetic_keeps_units_and_kinds() {
    let cases = [
        ("own.bench.width + 10 mm", "4.394 in"),
        ("2 * own.bench.width", "8 in"),
        ("own.bench.width / 50.8 mm", "2"),
        ("own.bench.push * own.bench.width", "5.08 Nm"),
        ("own.bench.heat + 10 K", "100 °C"),
        ("own.bench.heat - 50 °C", "40 K"),
        ("absolute(own.bench.boost, own.bench.air)", "2.513 bar abs"),
        ("sin(own.bench.tilt)", "0.5"),
        ("distance(own.bench.corner, own.bench.far)", "500 mm"),
        ("distance(point(0 mm, 0 mm, 0 mm), own.bench.far)", "500 mm"),
        ("own.bench.bolt.pitch", "1.25 mm"),
        ("total of x for x in [1 mm, 2 mm, 3 mm]", "6 mm"),
        ("equivalent_angle([3 deg, 3 deg], [0 deg, 90 deg])", "0 deg"),
        ("3 mm in [1 mm, 3 mm]", "yes"),
        ("3 ^ 2", "9"),
        ("16 ^ 0.5", "4"),
        ("-2 ^ 2", "-4"),
        ("2 + 3 * 4 - 6 / 2", "11"),
        ("inspection_day - own.bench.made >= 700 d", "yes"),
    ];
    for (expression, expected) in cases {
        let read = on_bench(expression);
        assert!(read.starts_with(expected), "{expression}: {read}");
    }
}

#[test]
fn lists_neighbours_and_references() {
    let cases = [
        ("count of p in own.bench.parts where p is rod", "2"),
        ("total of p.length for p in own.bench.parts where p is rod", "1600 mm"),
        ("greatest of p.length for p in own.bench.parts where p is rod", "900 mm"),
        ("own.bench.parts/first.before.length", "700 mm"),
        ("own.bench.parts/first.after.length", "900 mm"),
        ("own.bench.parts/front.before.length", "none"),
        ("count of p in own.bench.parts/rear.all_before", "2"),
        ("own.bench.ring/a.before.length", "3 mm"),
        ("own.bench.ring/c.after.length", "1 mm"),
        ("count of p in own.bench.parts where p is half-hitch", "1"),
        ("own.bench.parts/second is not tight", "yes"),
        ("count of w in users of own.bench.wires/main", "2"),
        ("count of w in along own.bench.wires/relay.feed", "2"),
        ("\"red\" in own.bench.words", "yes"),
        ("\"green\" in own.bench.words", "no"),
        ("own.bench.colour = \"pale blue\"", "yes"),
        ("(first p in own.bench.parts where p is knot).angle", "2 deg"),
        ("any p in own.bench.parts where p is rod has p.length > 850 mm", "yes"),
        ("each p in own.bench.parts where p is rod has p.length > 850 mm", "no"),
        // The front rod has no limit, so the requirement falls to the rear one alone.
        ("each p in own.bench.parts where p is rod has p.length <= p.limit", "yes"),
    ];
    for (expression, expected) in cases {
        assert_eq!(on_bench(expression), expected, "{expression}");
    }
}

#[test]
fn three_valued_logic_after_kleene() {
    // S. C. Kleene, Introduction to Metamathematics (1952), section 64: the strong tables. `turn` is not written.
    let (t, f, u) = ("own.bench.ready", "not own.bench.ready", "own.bench.turn > 1 Nm");
    let truth = |e: String| {
        let read = on_bench(&e);
        match read.as_str() {
            "yes" | "no" => read,
            other if other.contains("own.bench.turn") => "unknown".into(),
            other => other.into(),
        }
    };
    let and = [(t, t, "yes"), (t, f, "no"), (t, u, "unknown"), (f, f, "no"), (f, u, "no"), (u, u, "unknown")];
    let or = [(t, t, "yes"), (t, f, "yes"), (t, u, "yes"), (f, f, "no"), (f, u, "unknown"), (u, u, "unknown")];
    for (a, b, expected) in and {
        assert_eq!(truth(format!("{a} and {b}")), expected, "{a} and {b}");
        assert_eq!(truth(format!("{b} and {a}")), expected, "{b} and {a}");
    }
    for (a, b, expected) in or {
        assert_eq!(truth(format!("{a} or {b}")), expected, "{a} or {b}");
        assert_eq!(truth(format!("{b} or {a}")), expected, "{b} or {a}");
    }
    assert_eq!(truth(format!("not ({u})")), "unknown");
}

#[test]
fn unknown_carries_its_reasons() {
    assert!(on_bench("own.bench.turn").contains("own.bench.turn"));
    assert!(on_bench("own.bench.parts/second.angle + 1 deg").contains("own.bench.parts/second.angle"));
    let both = on_bench("own.bench.turn > 1 Nm or own.bench.work > 1 J");
    assert!(both.contains("own.bench.turn") && both.contains("own.bench.work"), "{both}");
    assert_eq!(on_bench("own.bench.spare"), "none");
    assert_eq!(on_bench("own.bench.spare otherwise own.bench.width"), "4 in");
    assert_eq!(on_bench("own.bench.turn otherwise 3 Nm"), "3 Nm");
    assert_eq!(on_bench("own.bench.turn is given"), "no");
    assert_eq!(on_bench("own.bench.spare is none"), "yes");
    assert!(on_bench("own.bench.turn is none").contains("own.bench.turn"));
    assert_eq!(on_bench("if own.bench.ready then 1 mm else own.bench.width"), "1 mm");
    assert!(on_bench("1 / 0").contains("division by zero"));
}

#[test]
fn uncertainty_is_first_order_and_shared_inputs_cancel() {
    // JCGM 100:2008, 5.1.2: root sum of squares of sensitivity times uncertainty.
    assert_eq!(on_bench("own.bench.length * 2"), "240 mm ± 4 mm");
    assert_eq!(on_bench("own.bench.length - own.bench.length"), "0 mm");
    assert_eq!(on_bench("own.bench.length + own.bench.length"), "240 mm ± 4 mm");
    // d(x^2) = 2 x dx: 2 * 120 * 2 = 480 mm2.
    assert_eq!(on_bench("(own.bench.length ^ 2) / (1 mm)"), "14400 mm ± 480 mm");
}

#[test]
fn a_requirement_holds_only_where_the_whole_interval_does() {
    // ISO 14253-1: conformity and non-conformity are proven only outside the uncertainty range around the limit.
    let holds = |limit: &str| on_bench(&format!("own.bench.length <= {limit}"));
    assert_eq!(holds("122.01 mm"), "yes");
    assert!(holds("121.9 mm").starts_with("Unproven"), "{}", holds("121.9 mm"));
    assert!(holds("118.1 mm").starts_with("Unproven"));
    assert_eq!(holds("117.9 mm"), "no");
}

#[test]
fn sweeps_find_the_worst_point_between_samples() {
    // 0.25 - (z - 0.4321)^2 has its greatest value 0.25 at z = 0.4321, which is no sample.
    let peak = "0.25 - (z - 0.4321) ^ 2";
    assert_eq!(on_bench(&format!("throughout z from 0 to 1 has {peak} <= 0.2500001")), "yes");
    assert_eq!(on_bench(&format!("throughout z from 0 to 1 has {peak} <= 0.2499999")), "no");
    assert_eq!(on_bench(&format!("greatest of {peak} over z from 0 to 1")), "0.25");
    // Beside the least of the samples, which meets the end of one dip, there is a deeper one between two others.
    let dips = "(least of 40 * abs(z - 0.25) - 1, 12 * abs(z - 17 / 24) - 1.2)";
    assert_eq!(on_bench(&format!("(least of {dips} over z from 0 to 1) <= -1.199")), "yes");
    assert_eq!(on_bench(&format!("throughout z from 0 to 1 has {dips} >= -1.1")), "no");
    assert_eq!(on_bench("curve z from 0 to 1 of z * 2"), "61 points");
}

#[test]
fn faults_have_their_place() {
    let cases = [
        ("own.bench.tilt > 3 mm", "0..21"),
        ("own.bench.lenght", "10..16"),
        ("own.bench.length > ", "19..19"),
        ("frobnicate(1)", "0..10"),
        ("look_up(nothing.here, a: 1)", "8..15"),
        ("own.bench.colour = \"pink\"", "19..25"),
        ("own.bench.turn + own.bench.work", "0..31"),
        ("own.bench.heat + own.bench.heat", "0..31"),
        ("own.bench.boost > own.bench.air", "0..31"),
        ("3 furlong", "9..9"),
        ("\"open", "0..5"),
        ("each p in own.bench.parts has p.nothing > 1", "32..39"),
    ];
    for (expression, range) in cases {
        let read = on_bench(expression);
        assert!(
            read.starts_with(&format!("fault at {range}: ")) || range == "9..9" && read.starts_with("fault"),
            "{expression}: {read}"
        );
    }
}

#[test]
fn deep_nesting_is_refused_not_followed() {
    for open in ["(", "not ", "-", "if yes then "] {
        let text = open.repeat(100_000);
        assert!(on_bench(&text).starts_with("fault"), "{open}");
    }
    let text = format!("{}1", "1 otherwise ".repeat(1000));
    assert!(on_bench(&text).starts_with("fault"));
}

#[test]
fn an_item_that_is_not_in_its_list_is_asked_for() {
    let read = on_bench("own.bench.wires/horn.load");
    assert!(read.contains("Unmeasured") && read.contains("own.bench.wires/horn.load"), "{read}");
}
