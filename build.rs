//! Lists the files of `schema/` and `rules/` for the program to take in, so that adding a system needs no change of Rust.
//!
//! Writes `schema_files.rs` and `rule_files.rs` into the build's output folder: arrays of pairs, a file's path from the project's
//! root and its text.

use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let root = env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?;
    let out = env::var("OUT_DIR").map_err(io::Error::other)?;
    for (folder, list) in [("schema", "schema_files.rs"), ("rules", "rule_files.rs")] {
        println!("cargo::rerun-if-changed={folder}");
        let mut names = Vec::new();
        gather(Path::new(&root), folder, &mut names)?;
        names.sort();
        fs::write(Path::new(&out).join(list), listing(Path::new(&root), &names)?)?;
    }
    Ok(())
}

/// The files below a folder whose names end in `.yaml`, as paths from the project's root.
fn gather(root: &Path, folder: &str, names: &mut Vec<String>) -> io::Result<()> {
    for entry in fs::read_dir(root.join(folder))? {
        let entry = entry?;
        let name = format!("{folder}/{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            gather(root, &name, names)?;
        } else if name.ends_with(".yaml") {
            names.push(name);
        }
    }
    Ok(())
}

/// The text of a Rust array of the files.
fn listing(root: &Path, names: &[String]) -> io::Result<String> {
    let mut text = String::from("&[\n");
    for name in names {
        let path = root.join(name);
        writeln!(text, "    ({name:?}, include_str!({path:?})),").map_err(io::Error::other)?;
    }
    text.push_str("]\n");
    Ok(text)
}
