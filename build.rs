//! Lists the files of `schema/` for the program to take in, so that adding a system needs no change of Rust.
//!
//! Writes `schema_files.rs` into the build's output folder: an array of pairs, the file's path from the project's root and its text.

use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let root = env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?;
    let out = env::var("OUT_DIR").map_err(io::Error::other)?;
    fs::write(Path::new(&out).join("schema_files.rs"), listing(Path::new(&root), "schema")?)
}

/// The files below a folder whose names end in `.yaml`, sorted, as the text of a Rust array.
fn listing(root: &Path, folder: &str) -> io::Result<String> {
    println!("cargo::rerun-if-changed={folder}");
    let mut names = Vec::new();
    for entry in fs::read_dir(root.join(folder))? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if name.ends_with(".yaml") {
            names.push(format!("{folder}/{name}"));
        }
    }
    names.sort();
    let mut text = String::from("&[\n");
    for name in names {
        let path = root.join(&name);
        writeln!(text, "    ({name:?}, include_str!({path:?})),").map_err(io::Error::other)?;
    }
    text.push_str("]\n");
    Ok(text)
}
