//! The built-in rulebook as it stands after loading, as bytes: packed when the program is built, unpacked when it starts.

use super::built_in::BUILT_IN;
use super::functions::functions;
use super::{Event, Figure, Index, Rule, Rulebook, Source, TableInfo, load_for_judging};
use crate::language::{FigureCode, Library, Table};
use crate::source::{Later, Sources, Tree};
use crate::terms::{Terms, Types};
use std::sync::Arc;

/// What stands in the bytes, in this order; the rest of a rulebook is part of the program anyway, or empty.
type Parts = (
    Types,
    Vec<FigureCode>,
    Vec<Table>,
    Vec<Rule>,
    Later<Vec<Figure>>,
    Later<Vec<TableInfo>>,
    Vec<Source>,
    Vec<Event>,
    Index,
);

/// Loads the built-in rulebook and packs it; for the build script. Nothing if the files are faulty, which is for a test to say.
pub fn pack_built_in() -> Option<Vec<u8>> {
    let book = load_for_judging(Terms::built_in().ok()?, &[]).ok()?;
    let Rulebook { library, rules, figures, tables, sources, events, index, .. } = &book;
    let (types, index) = (&**library.terms.types(), &**index);
    let parts = (types, &library.figures, &library.tables, rules, figures, tables, sources, events, index);
    postcard::to_stdvec(&parts).ok()
}

/// The built-in rulebook without its check pieces, from the bytes that [`pack_built_in`] made. Nothing if they are none.
pub fn unpacked(packed: &'static [u8]) -> Option<Rulebook> {
    let parts: Parts = postcard::from_bytes(packed).ok()?;
    let (types, codes, plain_tables, rules, figures, tables, sources, events, index) = parts;
    let terms = Arc::new(Terms::of_types(types));
    let library = Library { terms, figures: codes, tables: plain_tables, functions: functions() };
    let mut texts = Sources::default();
    for (name, text) in BUILT_IN {
        texts.add_built_in(name, text);
    }
    let (replaced, index, tree) = (Vec::new(), Arc::new(index), Tree::new());
    Some(Rulebook { library, rules, figures, tables, sources, events, replaced, index, texts, tree })
}
