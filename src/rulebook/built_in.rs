//! The built-in rule files, taken into the program when it is built.

/// Path from the project's root, and text.
pub const BUILT_IN: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/rule_files.rs"));
