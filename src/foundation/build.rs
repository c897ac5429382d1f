//! Lists the files of `schema/` and `rules/` for the program to take in, so that adding a system needs no change of Rust.
//!
//! Writes into the build's output folder `schema_files.rs` and `rule_files.rs`: arrays of pairs, a file's path from the project's
//! root and its text; and `schema_tree.bin` and `rule_tree.bin`, the same as the room `source` reads them, so that the program
//! need not.

#[path = "../source/mod.rs"]
#[allow(dead_code, unused_imports, missing_docs)]
mod source;

use source::{Content, Entry, NodeId, Tree};
use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let package = env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?;
    // The project's root: two folders above this package.
    let root =
        Path::new(&package).ancestors().nth(2).ok_or_else(|| io::Error::other("no project around the package"))?;
    let out = env::var("OUT_DIR").map_err(io::Error::other)?;
    let lists = [("schema", "schema_files.rs", "schema_tree.bin"), ("rules", "rule_files.rs", "rule_tree.bin")];
    for (folder, list, tree) in lists {
        println!("cargo::rerun-if-changed={}", root.join(folder).display());
        let mut names = Vec::new();
        gather(root, folder, &mut names)?;
        names.sort();
        fs::write(Path::new(&out).join(list), listing(root, &names)?)?;
        let (read, roots) = read_all(root, &names)?;
        fs::write(Path::new(&out).join(tree), packed(&read, &roots)?)?;
        if folder == "rules" {
            let (lean, roots) = without(&read, &roots, &["check_pieces", "stock", "coverage"]);
            fs::write(Path::new(&out).join("rule_tree_lean.bin"), packed(&lean, &roots)?)?;
        }
    }
    println!("cargo::rerun-if-changed={}", root.join("src/source").display());
    Ok(())
}

/// The files read into one tree, with the top of each. A file that cannot be read has none; a test says what is wrong.
fn read_all(root: &Path, names: &[String]) -> io::Result<(Tree, Vec<Option<NodeId>>)> {
    let (mut texts, mut tree) = (source::Sources::default(), Tree::new());
    let mut roots = Vec::new();
    for name in names {
        let bytes = fs::read(root.join(name))?;
        roots.push(source::parse_file(&mut texts, name, &bytes, &mut tree).0);
    }
    Ok((tree, roots))
}

fn packed(tree: &Tree, roots: &[Option<NodeId>]) -> io::Result<Vec<u8>> {
    source::pack(tree, roots).ok_or_else(|| io::Error::other("the tree cannot be packed"))
}

/// The same files without what stands at some keys: judging needs no check pieces, and they are most of the rule files.
fn without(tree: &Tree, roots: &[Option<NodeId>], keys: &[&str]) -> (Tree, Vec<Option<NodeId>>) {
    let mut lean = Tree::new();
    let roots = roots.iter().map(|root| root.map(|root| copy(tree, root, keys, &mut lean))).collect();
    (lean, roots)
}

fn copy(tree: &Tree, node: NodeId, keys: &[&str], lean: &mut Tree) -> NodeId {
    let found = tree.node(node);
    let content = match &found.content {
        Content::Scalar(scalar) => Content::Scalar(scalar.clone()),
        Content::List(items) => Content::List(items.iter().map(|item| copy(tree, *item, keys, lean)).collect()),
        Content::Map(entries) => {
            let kept = entries.iter().filter(|entry| !keys.contains(&&*entry.key));
            Content::Map(kept.map(|e| Entry { value: copy(tree, e.value, keys, lean), ..e.clone() }).collect())
        }
    };
    lean.push(found.span, content)
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
