//! Evidence files in the long form of a quantity, and what becomes of their names when someone looks for them.

use super::{read, said, small};
use crate::source::MemoryFiles;
use crate::terms::{EVIDENCE_LIMIT, Held, check_evidence};

/// SHA-256 of `abc`, FIPS 180-4's example.
const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

fn level(evidence: &str) -> String {
    format!("fuel:\n  tanks:\n    - {{tank: main, lowest_level: {{is: 310 mm, evidence: {evidence}}}}}\n")
}

#[test]
fn evidence_is_kept_beside_the_quantity() {
    let (spec, errors) = read(small(), &level(&format!("{{file: photos/level.jpg, sha256: {}}}", ABC.to_uppercase())));
    assert_eq!(said(&spec, &errors), Vec::<String>::new());
    let [evidence] = spec.evidence() else { panic!("{:?}", spec.evidence()) };
    assert_eq!(spec.path(evidence.of), "fuel.tanks/main.lowest_level");
    assert_eq!((&*evidence.file, spec.sources.slice(evidence.span)), ("photos/level.jpg", "photos/level.jpg"));
    assert_eq!(evidence.sha256.as_ref().map(|(digest, _)| &**digest), Some(ABC));
    for none in ["none", "{file: a.jpg, sha256: none}", "{file: a.jpg}"] {
        let (spec, errors) = read(small(), &level(none));
        assert_eq!(said(&spec, &errors), Vec::<String>::new(), "{none}");
        assert!(spec.evidence().iter().all(|evidence| evidence.sha256.is_none()), "{none}");
    }
}

#[test]
fn faults_of_evidence_are_told_and_leave_the_quantity_readable() {
    for (evidence, message) in [
        ("photo.jpg", "text stands where a section with keys of its own belongs"),
        ("[photo.jpg]", "a list stands where a section with keys of its own belongs"),
        ("{sha256: none}", "this evidence names no file"),
        ("{file: a.jpg, sha256: 12ab}", "this is not a SHA-256, which has 64 hexadecimal digits, but 4 characters"),
        ("{file: a.jpg, hash: none}", "`hash` is not a key of an evidence file"),
        ("{file: [a.jpg]}", "a list stands where text belongs"),
        ("{file: }", "nothing is written where text belongs"),
    ] {
        let (spec, errors) = read(small(), &level(evidence));
        let messages: Vec<String> = errors.iter().map(crate::terms::TermsError::message).collect();
        assert!(messages.iter().any(|told| told == message), "{evidence}: {messages:?}");
        let place = spec.find("fuel.tanks/main.lowest_level").expect("written");
        assert!(matches!(spec.held(place), Held::Quantity(_)), "{evidence}");
    }
}

#[test]
fn files_that_are_missing_changed_or_too_large_are_told_at_their_names() {
    let checked = |evidence: &str, files: &[(&str, Vec<u8>)]| {
        let (spec, errors) = read(small(), &level(evidence));
        assert_eq!(said(&spec, &errors), Vec::<String>::new());
        let files = MemoryFiles { files: files.iter().map(|(path, bytes)| ((*path).into(), bytes.clone())).collect() };
        let told = check_evidence(&spec, &files);
        let one = |error: &crate::terms::TermsError| {
            let at = spec.sources.slice(error.span);
            (at.to_string(), error.message(), error.help().unwrap_or_default())
        };
        told.iter().map(one).collect::<Vec<_>>()
    };
    let named = format!("{{file: p/a.jpg, sha256: {ABC}}}");
    assert_eq!(checked(&named, &[("p/a.jpg", b"abc".to_vec())]), []);
    // Bytes that are no text are as good as any.
    assert_eq!(checked("{file: p/a.jpg}", &[("p/a.jpg", vec![0xff, 0xd8, 0, 1])]), []);
    let [(at, message, _)] = &checked(&named, &[])[..] else { panic!("one error") };
    assert_eq!(
        (at.as_str(), message.as_str()),
        ("p/a.jpg", "evidence `p/a.jpg` cannot be read: there is no such file")
    );
    let [(at, message, help)] = &checked(&named, &[("p/a.jpg", b"abd".to_vec())])[..] else { panic!("one error") };
    assert_eq!((at.as_str(), message.as_str()), (ABC, "evidence `p/a.jpg` has been changed since this was written"));
    // SHA-256 of `abd`, by the sha256sum of GNU coreutils 9.1.
    assert!(help.contains("sha256: a52d159f262b2c6ddb724a61840befc36eb30c88877a4030b65cbe86298449c9"), "{help}");
    let [(_, message, _)] = &checked("{file: ../a.jpg}", &[])[..] else { panic!("one error") };
    assert!(message.ends_with("it lies outside the repository"), "{message}");
    let large = vec![0; EVIDENCE_LIMIT as usize + 1];
    let [(_, message, _)] = &checked(&named, &[("p/a.jpg", large)])[..] else { panic!("one error") };
    assert!(message.ends_with("at most 67108864 are read"), "{message}");
}
