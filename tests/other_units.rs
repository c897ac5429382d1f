//! A build judged the same whatever units it is written in: every quantity of the examples is written anew in inches, pounds,
//! degrees Fahrenheit and the like, and every outcome stays.
//!
//! The factors are the exact ones of NIST SP 811 (2008), appendix B.8, written out here and not taken from the program.

use jiff::civil::date;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use tramgauge::assess::{Assessment, Request, assess};
use tramgauge::language::Overrides;
use tramgauge::quantity::{Kind, parse};
use tramgauge::rulebook::{Rulebook, load_built_in};
use tramgauge::source::{DiskFiles, Files, MemoryFiles, Span, read_build};
use tramgauge::terms::{FieldType, Held, Spec, Terms, build_spec};

/// How far a margin may move, as a share of the largest value at stake: rounding, and nothing else.
const ROUNDING: f64 = 1e-9;

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = POUND * 9.806_65;
const GALLON: f64 = 231.0 * INCH * INCH * INCH;

/// The other unit of a kind, and its factor to SI.
fn other_unit(kind: Kind) -> Option<(&'static str, f64)> {
    Some(match kind {
        Kind::Length => ("in", INCH),
        Kind::Area => ("in2", INCH * INCH),
        Kind::Volume => ("US gal", GALLON),
        Kind::Mass => ("lb", POUND),
        Kind::Force => ("lbf", POUND_FORCE),
        Kind::Torque => ("lbf ft", POUND_FORCE * FOOT),
        Kind::SpringRate => ("lbf/in", POUND_FORCE / INCH),
        Kind::Pressure | Kind::Stress => ("psi", POUND_FORCE / (INCH * INCH)),
        Kind::GaugePressure => ("psig", POUND_FORCE / (INCH * INCH)),
        Kind::AbsolutePressure => ("psia", POUND_FORCE / (INCH * INCH)),
        Kind::Speed => ("mph", 1609.344 / 3600.0),
        Kind::Angle => ("rad", 1.0),
        _ => return None,
    })
}

fn in_other_units(spec: &Spec) -> (Vec<(Span, String)>, BTreeSet<&'static str>) {
    let (mut edits, mut kinds) = (BTreeMap::new(), BTreeSet::new());
    for (id, place) in spec.places() {
        let (Held::Quantity(quantity), Some(FieldType::Quantity(kind))) = (&place.held, spec.type_of(id)) else {
            continue;
        };
        // The long form keeps its keys; only plain texts are written anew.
        if parse(spec.sources.slice(place.span), *kind).is_err() {
            continue;
        }
        let text = if *kind == Kind::Temperature {
            let value = format!("{} degF", quantity.si * 1.8 - 459.67);
            quantity.give_or_take.map_or(value.clone(), |u| format!("{value} ± {} degF", u * 1.8))
        } else {
            let Some((unit, factor)) = other_unit(*kind) else { continue };
            let value = format!("{} {unit}", quantity.si / factor);
            // The uncertainty of a gauge pressure is a difference of pressures.
            let step = unit.trim_end_matches(['g', 'a']).to_owned();
            let step = if unit.starts_with("psi") { step } else { unit.to_owned() };
            quantity.give_or_take.map_or(value.clone(), |u| format!("{value} ± {} {step}", u / factor))
        };
        kinds.insert(kind.name());
        edits.insert((place.span.file, place.span.start), (place.span, text));
    }
    (edits.into_values().collect(), kinds)
}

fn judged(book: &Rulebook, files: &dyn Files, build: &str) -> (Spec, Assessment) {
    let read = read_build(files, build);
    assert!(read.errors.is_empty(), "{build}: {:?}", read.errors);
    let (spec, errors) = build_spec(&book.library.terms, read);
    assert!(errors.is_empty(), "{build}: {:?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    let request =
        Request { spec: &spec, rulebook: book, day: date(2026, 6, 1), figures: false, explained: false, only: None };
    let assessment = assess(&request, &Overrides::new());
    (spec, assessment)
}

#[test]
fn a_build_in_other_units_has_the_same_outcomes() {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms load"));
    let book = load_built_in(terms, &[]).unwrap_or_else(|_| panic!("the built-in rules load"));
    for example in ["lark-roadster", "fell-wagon"] {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf();
        let build = format!("examples/{example}/build.yaml");
        let (spec, as_written) = judged(&book, &DiskFiles::new(root), &build);
        let (edits, kinds) = in_other_units(&spec);
        assert!(edits.len() > 200 && kinds.len() > 9, "{example}: only {} quantities of {kinds:?}", edits.len());
        let mut files = MemoryFiles::default();
        for file in spec.sources.ids() {
            let mut text = spec.sources.text(file).to_string();
            for (span, other) in edits.iter().rev().filter(|(span, _)| span.file == file) {
                text.replace_range(span.start as usize..span.end as usize, other);
            }
            files.files.insert(spec.sources.name(file).to_string(), text.into_bytes());
        }
        let (_, other) = judged(&book, &files, &build);
        assert_eq!(as_written.judgements.len(), other.judgements.len(), "{example}");
        for (one, two) in as_written.judgements.iter().zip(&other.judgements) {
            let rule = &book.rules[one.rule].name;
            let told = format!("{example}: {rule} on {}", one.subject);
            assert_eq!((one.rule, &one.subject), (two.rule, &two.subject), "{told}");
            assert_eq!(one.outcome.word(), two.outcome.word(), "{told}");
            let margins = one.margin.as_ref().zip(two.margin.as_ref());
            assert_eq!(one.margin.is_some(), two.margin.is_some(), "{told}");
            if let Some((a, b)) = margins {
                let size =
                    a.share().filter(|s| *s != 0.0).map_or(1.0, |share| (a.si() / share).abs()).max(a.si().abs());
                assert!((a.si() - b.si()).abs() <= ROUNDING * size.max(1e-6), "{told}: {} and {}", a.si(), b.si());
            }
        }
    }
}
