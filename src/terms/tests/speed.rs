//! How long it takes to read a build, held against the time in which `serde_yaml` parses the same bytes.

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::{Duration, Instant};

use super::{small, source, take_into_use};
use crate::terms::{Terms, build_spec, new_spec};

/// A build of about 500 lines in the small terms.
fn build() -> String {
    let mut text = String::from("tramgauge: 1\nfuel:\n  grade: petrol\n  tanks:\n");
    for i in 0..40 {
        let _ = write!(
            text,
            "    - tank: tank {i}\n      lowest_level: {{is: {i}10.5 mm, give_or_take: 2 mm, known_by: measured}}\n      full: 20 °C ± 2 °C\n      \
             vented: yes\n      end_of_life: 2027-01-31\n      middle: [1{i} mm, -2 mm, 1-3/4 in]\n      outlets:\n        - outlet: feed\n          diameter: 8 mm\n"
        );
    }
    text += "  pumps:\n";
    for i in 0..30 {
        let _ = write!(
            text,
            "    - pump: pump {i}\n      draws_from: tank {i}\n      thread: M10x1.25\n      note: as bought\n"
        );
    }
    text
}

fn least(mut run: impl FnMut()) -> Duration {
    let time = |run: &mut dyn FnMut()| {
        let start = Instant::now();
        run();
        start.elapsed()
    };
    (0..60).map(|_| time(&mut run)).min().unwrap_or_default()
}

fn measure(what: &str, terms: &Terms, text: &str) {
    let yardstick = least(|| drop(black_box(serde_yaml::from_str::<serde_yaml::Value>(text))));
    let parse = least(|| drop(black_box(source(text))));
    let whole = least(|| drop(black_box(build_spec(terms, source(text)))));
    let ratio = whole.as_secs_f64() / yardstick.as_secs_f64();
    let lines = text.lines().count();
    let words = format!(
        "{what}, {lines} lines: yardstick {yardstick:?}, located tree {parse:?}, checked tree {whole:?}, {ratio:.2} x"
    );
    assert!(ratio <= 1.5, "{words}");
    #[expect(clippy::print_stdout, reason = "the measurement is what this test is run for")]
    {
        println!("{words}");
    }
}

#[test]
#[ignore = "measures time; run it alone and in release: cargo test --release terms::tests::speed -- --ignored --nocapture"]
fn a_build_is_read_within_its_bound() {
    let small = small();
    let text = build();
    assert!(build_spec(small, source(&text)).1.is_empty());
    measure("a small schema", small, &text);
    let start = Instant::now();
    let built_in = Terms::built_in().expect("the built-in terms are right");
    let loaded = start.elapsed();
    assert!(built_in.validator().is_ok());
    #[expect(clippy::print_stdout, reason = "the measurement is what this test is run for")]
    {
        println!(
            "loading the terms {loaded:?}, compiling them {:?}, both for the first time",
            start.elapsed() - loaded
        );
    }
    // Every key of the terms in use, without the comments.
    let started = new_spec(built_in.types(), "all");
    let keys = started.lines().map(take_into_use).filter(|line| !line.trim_start().starts_with('#'));
    let text: String = keys.map(|line| line + "\n").collect();
    measure("every key there is", &built_in, &text);
}
