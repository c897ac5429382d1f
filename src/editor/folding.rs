//! Which lines can be folded away: everything that is written below a key or an item.

use lsp_types::{FoldingRange, FoldingRangeParams};

use super::workplace::Workplace;

/// The lines below each line, down to the next one that is not indented deeper. By lines, not by the tree, so that it
/// goes on while the YAML is broken.
pub fn ranges(workplace: &Workplace, params: &FoldingRangeParams) -> Option<Vec<FoldingRange>> {
    let text = workplace.text(&params.text_document.uri)?;
    let mut open: Vec<(usize, u32)> = Vec::new();
    let mut found = Vec::new();
    let mut last = 0;
    for (number, line) in text.lines().enumerate().map(|(number, line)| (number as u32, line)) {
        let written = line.trim_start();
        if written.is_empty() || written.starts_with('#') {
            continue;
        }
        let indent = line.len() - written.len();
        while let Some((_, start)) = open.pop_if(|(deep, _)| *deep >= indent) {
            found.extend(folded(start, last));
        }
        open.push((indent, number));
        last = number;
    }
    found.extend(open.into_iter().filter_map(|(_, start)| folded(start, last)));
    found.sort_by_key(|range| (range.start_line, range.end_line));
    Some(found)
}

fn folded(start_line: u32, end_line: u32) -> Option<FoldingRange> {
    (start_line < end_line).then(|| FoldingRange { start_line, end_line, ..FoldingRange::default() })
}
