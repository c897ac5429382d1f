//! Puts the built-in rulebook into the program as it stands after loading: every expression checked, and packed.
//!
//! Where the rule files are faulty it puts in nothing; the program then reads them itself, and says what is wrong.

use std::path::Path;
use std::{env, fs, io};
use tramgauge_foundation::rulebook::pack_built_in;

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=build.rs");
    let out = env::var("OUT_DIR").map_err(io::Error::other)?;
    fs::write(Path::new(&out).join("rulebook.bin"), pack_built_in().unwrap_or_default())
}
