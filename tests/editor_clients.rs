//! The language server with clients of other makers: a client library over standard input and output, and two real editors.
//! Where one is not installed, its test says so and is passed over; `.ci/run` installs them where it can.

#![allow(clippy::print_stderr)]

mod common;

use common::Workshop;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

const RULE: &str = "electrical.fuse-guards-wire";
const OFFER: &str = "Meet `electrical.fuse-guards-wire`: electrical.wires/fan feed.size 10 mm2, a size of the trade";

fn below_root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The faulty example in a repository of its own, and its electrical section there.
fn example() -> (Workshop, PathBuf) {
    let shop = Workshop::new(&[]);
    for entry in std::fs::read_dir(below_root("examples/fell-wagon")).expect("the example") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        shop.write(&format!("builds/fell-wagon/{name}"), &std::fs::read(&path).expect("a text"));
    }
    let section = shop.path("builds/fell-wagon/electrical.yaml");
    (shop, section.canonicalize().expect("a path"))
}

fn program() -> PathBuf {
    assert_cmd::cargo::cargo_bin("tramgauge")
}

/// Whether a command runs; says so where it does not.
fn runs(command: &mut Command, what: &str) -> bool {
    let there = command.output().is_ok_and(|output| output.status.success());
    if !there {
        eprintln!("passed over: {what} is not installed here");
    }
    there
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

#[test]
fn a_client_library_over_standard_input_and_output() {
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".into());
    if !runs(Command::new(&python).args(["-c", "import pygls.lsp.client"]), "pygls") {
        return;
    }
    let (shop, section) = example();
    let output = Command::new(&python)
        .arg(below_root("tests/editor/session.py"))
        .args([program(), shop.path(""), section])
        .args([RULE, OFFER])
        .output()
        .expect("a run");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let seen: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(seen["encoding"], "utf-8");
    assert!(text(&seen["message"]).starts_with("dangerous: "), "{seen:#}");
    assert!(seen["related"].as_u64().is_some_and(|count| count > 0), "{seen:#}");
    assert!(text(&seen["hover"]).contains("**40 A**"), "{seen:#}");
    assert!(seen["proposed"].as_array().is_some_and(|p| p.contains(&"A".into())), "{seen:#}");
    assert_eq!(seen["mends"], serde_json::json!([RULE]));
    assert_eq!(seen["gone"], true);
    assert_eq!(seen["status"], 0);
}

/// What an editor saw that ran a session, and the section as it was saved.
fn session(command: &mut Command) -> Value {
    let (shop, section) = example();
    let seen = shop.path("seen.json");
    let output = command
        .envs([("PROGRAM", program()), ("ROOT", shop.path("")), ("FILE", section.clone()), ("SEEN", seen.clone())])
        .envs([("RULE", RULE), ("OFFER", OFFER)])
        .env("XDG_STATE_HOME", shop.path("state"))
        .output()
        .expect("a run");
    let seen = std::fs::read_to_string(&seen).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)));
    let seen: Value = serde_json::from_str(&seen).expect("JSON");
    assert_eq!(seen.get("trouble"), None, "{seen:#}");
    assert!(text(&seen["hover"]).contains("*Requirement:*"), "{seen:#}");
    assert_eq!((&seen["applied"], &seen["gone"]), (&Value::Bool(true), &Value::Bool(true)), "{seen:#}");
    let saved = std::fs::read_to_string(&section).expect("the file");
    let mended = "{wire: fan feed, use: loads, feed: fuse box feed, size: 10 mm2, length: 2.2 m,";
    assert!(saved.contains(mended), "{saved}");
    seen
}

#[test]
fn neovim_headless() {
    if !runs(Command::new("nvim").arg("--version"), "Neovim") {
        return;
    }
    let script = format!("luafile {}", below_root("tests/editor/session.lua").display());
    let seen = session(Command::new("nvim").args(["--headless", "-u", "NONE", "-i", "NONE", "-n", "-c", &script]));
    assert!(text(&seen["message"]).starts_with("dangerous: "), "{seen:#}");
}

#[test]
fn emacs_in_batch() {
    let ready = ["--batch", "--eval", "(package-initialize)"];
    if !runs(Command::new("emacs").args(ready).args(["--eval", "(require 'eglot)"]), "Emacs with eglot") {
        return;
    }
    let seen = session(Command::new("emacs").args(ready).arg("-l").arg(below_root("tests/editor/session.el")));
    assert!(text(&seen["message"]).contains("dangerous: "), "{seen:#}");
}
