//! Puts the built-in rulebook into the program as it stands after loading: checked, and packed.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
}
