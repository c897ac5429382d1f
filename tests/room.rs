//! Room to move: what is told of a value is held against judging the spec afresh just inside and just outside every border.

#[path = "common/bench.rs"]
mod bench;

use bench::{rulebook, spec};
use jiff::civil::date;
use std::path::Path;
use tramgauge::assess::{Assessment, NoRoom, Outcome, Request, Room, RoomFor, assess, put_in, room, room as room_of};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Rulebook, load_for_judging};
use tramgauge::source::{DiskFiles, MemoryFiles, read_build};
use tramgauge::terms::{Held, Spec, SpecQuantity, Terms, build_spec};

/// How far on either side of a border is judged, as a share of what was searched.
const STEP: f64 = 1e-6;

fn example(name: &str) -> (Rulebook, Spec) {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms load"));
    let book = load_for_judging(terms, &[]).unwrap_or_else(|_| panic!("the built-in rules load"));
    let files = DiskFiles::new(Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf());
    let read = read_build(&files, &format!("examples/{name}/build.yaml"));
    let (spec, errors) = build_spec(&book.library.terms, read);
    assert!(errors.is_empty(), "{errors:?}");
    (book, spec)
}

fn request<'a>(book: &'a Rulebook, spec: &'a Spec) -> Request<'a> {
    Request { spec, rulebook: book, day: date(2026, 6, 1), figures: false, explained: false, only: None }
}

fn moved(room: &Room, spec: &Spec, si: f64) -> Overrides {
    let Held::Quantity(written) = spec.held(room.place) else { panic!("{} is written", room.path) };
    Overrides::from([(room.place, Held::Quantity(SpecQuantity { si, ..*written }))])
}

/// Whether an outcome that held goes on holding, one that was open does not break, and one that was broken gets no worse.
fn no_worse(was: &Outcome, is: &Outcome) -> bool {
    match (was, is) {
        (_, Outcome::Holds | Outcome::NotApplicable) => true,
        (Outcome::Broken(was), Outcome::Broken(is)) => is <= was,
        (Outcome::Holds, _) | (_, Outcome::Broken(_)) => false,
        _ => true,
    }
}

/// What a load case puts in.
fn case_values(spec: &Spec, case: &str) -> Overrides {
    let set = spec.find(&format!("cases/{case}.set")).unwrap_or_else(|| panic!("{case} is a case"));
    put_in(spec, spec.settings(set))
}

/// Judges just inside and just outside every border of what is free, and tells how many borders something stops at.
fn confirm(base: &Assessment, request: &Request, room: &Room) -> usize {
    let step = (room.searched.1 - room.searched.0) * STEP;
    let mut stopped = 0;
    for stretch in &room.free {
        for (border, inwards) in [(&stretch.from, 1.0), (&stretch.to, -1.0)] {
            // A stretch may be a single value.
            let inside = (border.si + inwards * step).clamp(stretch.from.si, stretch.to.si);
            let result = assess(request, &moved(room, request.spec, inside));
            for (was, is) in base.judgements.iter().zip(&result.judgements) {
                let told = format!("{} at {}: {} {:?}", room.path, room.shown(inside), is.subject, is.outcome);
                assert_eq!((was.rule, &was.subject), (is.rule, &is.subject), "{told}");
                assert!(no_worse(&was.outcome, &is.outcome), "{told}");
            }
            for stop in &border.stops {
                let alone = Request { only: Some(stop.rule), ..*request };
                let case = stop.case.as_ref().map_or_else(Overrides::new, |case| case_values(request.spec, case));
                let read = |overrides: &Overrides| {
                    let result = assess(&alone, overrides);
                    let found = result.judgements.into_iter().find(|j| j.subject == stop.subject);
                    found.map_or(Outcome::NotApplicable, |judgement| judgement.outcome)
                };
                let mut beyond = case.clone();
                beyond.extend(moved(room, request.spec, border.si - inwards * step));
                let (was, is) = (read(&case), read(&beyond));
                assert!(!no_worse(&was, &is), "{} at {}: {was:?} {is:?}", room.path, border.shown);
                assert_eq!(is.word(), stop.outcome.word(), "{} at {}", room.path, border.shown);
            }
            stopped += usize::from(!border.stops.is_empty());
        }
    }
    stopped
}

/// Values of an example with the number of borders at which something must stop them.
fn confirm_all(name: &str, values: &[(&str, usize)]) {
    let (book, spec) = example(name);
    let request = request(&book, &spec);
    let base = assess(&request, &Overrides::new());
    for (path, borders) in values {
        let place = spec.find(path).unwrap_or_else(|| panic!("{path} is a place"));
        let room = room(&base, &request, place, RoomFor::All).unwrap_or_else(|why| panic!("{path}: {why:?}"));
        assert!(room.around_now().is_some(), "{path}: {room:#?}");
        assert_eq!(confirm(&base, &request, &room), *borders, "{path}");
    }
}

#[test]
fn ten_values_of_the_sound_example_stop_where_it_is_told() {
    confirm_all(
        "lark-roadster",
        &[
            ("vehicle.rear.rated_load", 2),
            ("vehicle.rear.tyre.tread_depth", 1),
            ("wheels.axles/front.rim.seat_angle", 2),
            ("wheels.axles/front.hub.face_runout", 1),
            ("wheels.axles/front.approved_rim.narrowest", 1),
            ("wheels.axles/rear.rim.bolts", 2),
            ("wheels.axles/rear.hub.bolt_circle", 2),
            ("wheels.clearances/front tyre to inner wing at full lock.deflection", 1),
            ("underside.rear_overhang.distance", 2),
            ("suspension.axles/rear.unsprung_mass", 2),
        ],
    );
}

const GAPS: &str = r#"
sources:
  - {source: practice, kind: practice, title: Common practice}
rules:
  - rule: bench.band
    title: The length keeps out of the band in which the bench sings
    for: own.bench
    class: major
    holds: own.bench.length <= 50 mm or own.bench.length >= 80 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.narrow
    title: The length is not that of the stop
    for: own.bench
    class: minor
    holds: abs(own.bench.length - 113.37 mm) >= 0.05 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.width
    title: The bench is wide enough
    for: own.bench
    class: major
    holds: own.bench.width >= 100 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.square
    title: The bench is not much longer than wide
    for: own.bench
    class: minor
    holds: own.bench.width <= own.bench.spare + 40 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
"#;

fn borders(room: &Room) -> Vec<(String, String)> {
    room.free.iter().map(|s| (s.from.shown.clone(), s.to.shown.clone())).collect()
}

fn bench_room(text: &str, path: &str) -> (Rulebook, Spec, Room) {
    let book = rulebook(GAPS).unwrap_or_else(|_| panic!("{:?}", bench::refusals(GAPS)));
    let spec = spec(&book, text);
    let request = request(&book, &spec);
    let base = assess(&request, &Overrides::new());
    let place = spec.find(path).unwrap_or_else(|| panic!("{path}"));
    let found = room(&base, &request, place, RoomFor::All).unwrap_or_else(|why| panic!("{why:?}"));
    if found.now.is_some() {
        confirm(&base, &request, &found);
    }
    (book, spec, found)
}

#[test]
fn gaps_are_told_even_where_no_sample_meets_them() {
    let (_, _, room) = bench_room("length: 40 mm\nwidth: 100 mm\nspare: 90 mm", "own.bench.length");
    let words = |from: &str, to: &str| (from.to_string(), to.to_string());
    assert_eq!(borders(&room), [words("10 mm", "50 mm"), words("80 mm", "113.3 mm"), words("113.5 mm", "160 mm")]);
}

#[test]
fn what_is_broken_already_says_what_would_clear_it() {
    let (book, spec, room) = bench_room("length: 40 mm\nwidth: 90 mm\nspare: 90 mm", "own.bench.width");
    let clears = room.judgements.iter().find(|j| matches!(j.now, Outcome::Broken(_)));
    let clears = clears.unwrap_or_else(|| panic!("one is broken"));
    assert_eq!(&*book.rules[clears.rule].name, "bench.width");
    let met: Vec<_> = clears.met.iter().map(|s| (s.from.shown.as_str(), s.to.shown.as_str())).collect();
    assert_eq!(met, [("100 mm", "360 mm")]);
    // What is broken stops nothing as long as it gets no worse.
    assert_eq!(borders(&room), [("22.5 mm".to_string(), "130 mm".to_string())]);
    let request = request(&book, &spec);
    let base = assess(&request, &Overrides::new());
    let one = room_of(&base, &request, room.place, RoomFor::One(clears.rule, clears.place));
    let one = one.unwrap_or_else(|why| panic!("{why:?}"));
    assert_eq!(one.judgements.len(), 1);
    assert_eq!(one.judgements[0].met, clears.met);
}

#[test]
fn a_border_that_uncertainty_blurs_is_told_as_unproven() {
    let (_, _, room) = bench_room("length: 40 mm\nwidth: 110 mm ± 5 mm\nspare: 90 mm", "own.bench.width");
    let stretch = room.around_now().unwrap_or_else(|| panic!("{room:?}"));
    assert_eq!((stretch.from.shown.as_str(), stretch.to.shown.as_str()), ("105 mm", "125 mm"));
    let outcomes: Vec<_> = stretch.to.stops.iter().map(|s| s.outcome.word()).collect();
    assert_eq!(outcomes, ["unproven"]);
}

#[test]
fn a_value_that_nothing_rests_on_and_what_is_no_quantity_are_told() {
    let (book, spec, room) = bench_room("length: 40 mm\nwidth: 100 mm\nspare: 90 mm\nready: yes", "own.bench.tilt");
    assert!(room.judgements.is_empty() && room.now.is_none());
    let request = request(&book, &spec);
    let base = assess(&request, &Overrides::new());
    let ready = spec.find("own.bench.ready").unwrap_or_else(|| panic!("a place"));
    assert_eq!(room_of(&base, &request, ready, RoomFor::All).err(), Some(NoRoom::NotAQuantity));
}

#[test]
fn an_unwritten_value_is_searched_where_its_example_stands() {
    let (_, _, room) = bench_room("length: 40 mm\nspare: 20 mm", "own.bench.width");
    assert_eq!(room.now, None);
    // The example is 10 mm; what is searched ends at four times that, where no width is enough.
    assert_eq!(room.free, []);
    assert_eq!(room.searched, (0.0, 0.04));
}

#[test]
fn load_cases_narrow_the_room_and_are_named() {
    let book = rulebook(GAPS).unwrap_or_else(|_| panic!("{:?}", bench::refusals(GAPS)));
    let text = "own:\n  bench: {length: 40 mm, width: 105 mm, spare: 90 mm}\n\
                cases:\n- case: thin spare\n  set: {own.bench.spare: 80 mm}\n\
                - case: wide\n  set: {own.bench.width: 129 mm}\n";
    let files = MemoryFiles::from_texts([("build.yaml", text)]);
    let (spec, errors) = build_spec(&book.library.terms, read_build(&files, "build.yaml"));
    assert!(errors.is_empty(), "{errors:?}");
    let request = request(&book, &spec);
    let base = assess(&request, &Overrides::new());
    let place = spec.find("own.bench.width").unwrap_or_else(|| panic!("a place"));
    let found = room(&base, &request, place, RoomFor::All).unwrap_or_else(|why| panic!("{why:?}"));
    assert_eq!(borders(&found), [("100 mm".to_string(), "120 mm".to_string())]);
    let stops: Vec<_> = found.free[0].to.stops.iter().map(|stop| stop.case.as_deref()).collect();
    assert_eq!(stops, [Some("thin spare")]);
    // Rules that no case touches are not judged once more.
    let told: Vec<_> = found.judgements.iter().map(|of| (&*book.rules[of.rule].name, of.case.as_deref())).collect();
    assert_eq!(told, [("bench.width", None), ("bench.square", None), ("bench.square", Some("thin spare"))]);
}

#[test]
fn ten_values_of_the_faulty_example_stop_where_it_is_told() {
    confirm_all(
        "fell-wagon",
        &[
            ("driveline.line/prop shaft.length", 1),
            ("driveline.line/prop shaft.slope", 6),
            ("driveline.clutch.friction", 1),
            ("driveline.final_drive.ratio", 1),
            ("fuel.lines/feed hose at the engine.bore", 1),
            ("fuel.pumps/main.wire_length", 1),
            ("electrical.wires/control feed.length", 1),
            ("electrical.wires/lamp feed.length", 1),
            ("electrical.loads/radiator fan.current", 1),
            ("vehicle.loads/driver only.rear_axle", 2),
        ],
    );
}
