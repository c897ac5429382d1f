//! Keys given twice: all of them are found, the first of each stays.

use super::error::{SourceError, SourceProblem};
use super::tree::Entry;

/// Up to this many entries comparing each with each is quicker than sorting.
const FEW: usize = 16;

/// Takes away every entry whose key stands earlier in `entries`, with an error that names both places.
pub(super) fn remove(entries: &mut Vec<Entry>, errors: &mut Vec<SourceError>) {
    let repeats = repeats(entries);
    if repeats.is_empty() {
        return;
    }
    for (repeat, first) in &repeats {
        errors.push(error(&entries[*repeat], &entries[*first]));
    }
    let mut index = 0;
    entries.retain(|_| {
        index += 1;
        repeats.binary_search_by_key(&(index - 1), |(repeat, _)| *repeat).is_err()
    });
}

/// The error for a key given again.
pub(super) fn error(repeat: &Entry, first: &Entry) -> SourceError {
    let problem = SourceProblem::DuplicateKey((*repeat.key).into());
    SourceError { problem, span: repeat.key_span, other: Some(first.key_span) }
}

/// Index of each repeated entry with the index of the first of its key, in order.
fn repeats(entries: &[Entry]) -> Vec<(usize, usize)> {
    if entries.len() <= FEW {
        let first = |index: usize| entries[..index].iter().position(|entry| entry.key == entries[index].key);
        return (1..entries.len()).filter_map(|index| Some((index, first(index)?))).collect();
    }
    let mut order: Vec<usize> = (0..entries.len()).collect();
    order.sort_by(|a, b| entries[*a].key.cmp(&entries[*b].key));
    let mut found = Vec::new();
    for group in order.chunk_by(|a, b| entries[*a].key == entries[*b].key) {
        if let [first, again @ ..] = group {
            found.extend(again.iter().map(|repeat| (*repeat, *first)));
        }
    }
    found.sort_unstable();
    found
}
