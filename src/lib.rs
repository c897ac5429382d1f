//! Judges the written specification of a one-off vehicle build.
//!
//! Text becomes a located tree (`source`), the tree is held against the terms of a spec (`terms`) with its
//! quantities read (`quantity`), the rulebook (`rulebook`, written in `language`, computing with `physics`) is
//! applied to it (`assess`), and the one result, the Assessment, is shown (`report`). Each room imports only
//! from the rooms below it; `tests/tidy.rs` holds the table of allowed edges.

pub mod assess;
pub mod commands;
pub mod editor;
pub mod history;
pub mod report;
pub mod repository;

pub use tramgauge_foundation::{language, physics, quantity, rulebook, search, source, terms};
