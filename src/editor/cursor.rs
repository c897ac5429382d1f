//! What is being written at a place in a text: under which keys, and whether a key or a value.
//!
//! In come a text and a byte; out comes a [`Cursor`]. It goes by lines, indentation and brackets alone, so that it knows its
//! way in texts that are no YAML yet. What may stand there is for the terms to say.

use std::ops::Range;

/// How one container lies in the one around it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// The whole text.
    Top,
    /// Under a key.
    Key(String),
    /// As an item of a list.
    Item,
}

/// A map or list around the place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Level {
    /// How it lies in the one before.
    pub step: Step,
    /// Keys that are written in it.
    pub keys: Vec<String>,
}

/// What is written at the place; ranges are bytes of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Writing {
    /// A key or a bare member.
    Word {
        /// What is written of it.
        range: Range<usize>,
        /// Whether a colon follows.
        colon: bool,
        /// Whether a dash or a bracket before it begins an item.
        item: bool,
    },
    /// The value of a key.
    Value {
        /// The key.
        key: String,
        /// What is written of the value.
        range: Range<usize>,
    },
    /// Text that runs over several lines, or a comment.
    Text,
}

/// A place in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cursor {
    /// The containers around it, from the outermost.
    pub levels: Vec<Level>,
    /// What is written there.
    pub writing: Writing,
}

/// What is written at a byte of a text.
pub fn cursor(text: &str, byte: usize) -> Cursor {
    let mut scan = Scan {
        text,
        byte,
        nodes: vec![Node { parent: None, step: Step::Top, keys: Vec::new(), list: false }],
        stack: vec![Frame { column: 0, node: 0 }],
        block: None,
        open_key: false,
        found: None,
    };
    let mut at = 0;
    while at < text.len() {
        at = scan.line(at);
    }
    if scan.found.is_none() {
        let column = byte - text.get(..byte).and_then(|t| t.rfind('\n')).map_or(0, |n| n + 1);
        scan.resolve(column, Writing::Word { range: byte..byte, colon: false, item: false });
    }
    scan.finish()
}

struct Node {
    parent: Option<usize>,
    step: Step,
    keys: Vec<String>,
    list: bool,
}

/// A block map or list that is open, with the column at which its keys or dashes stand.
#[derive(Clone, Copy)]
struct Frame {
    column: usize,
    node: usize,
}

struct Found {
    node: usize,
    /// A container that is about to be begun under a key of the node.
    under: Option<Step>,
    writing: Writing,
}

struct Scan<'a> {
    text: &'a str,
    byte: usize,
    nodes: Vec<Node>,
    stack: Vec<Frame>,
    /// Column of the key whose text fills the lines below it.
    block: Option<usize>,
    /// Whether the last key has no value yet.
    open_key: bool,
    found: Option<Found>,
}

impl Scan<'_> {
    /// Reads the line that begins at `start`, or as many as a bracket takes, and gives where the next begins.
    fn line(&mut self, start: usize) -> usize {
        let rest = self.text.get(start..).unwrap_or_default();
        let length = rest.find('\n').map_or(rest.len(), |n| n + 1);
        let line = rest.get(..length).unwrap_or_default().trim_end_matches(['\n', '\r']);
        let next = start + length;
        let here = (start..start + line.len() + 1).contains(&self.byte) && self.found.is_none();
        let written = line.trim_start();
        let indent = line.len() - written.len();
        if let Some(column) = self.block {
            if written.is_empty() || indent > column {
                if here && (!written.is_empty() || self.byte - start > column) {
                    self.find(0, None, Writing::Text);
                } else if here {
                    self.resolve(
                        self.byte - start,
                        Writing::Word { range: self.byte..self.byte, colon: false, item: false },
                    );
                }
                return next;
            }
            self.block = None;
        }
        if written.is_empty() || written.starts_with('#') {
            if here {
                let comment = start + indent < self.byte && !written.is_empty();
                let word = Writing::Word { range: self.byte..self.byte, colon: false, item: false };
                self.resolve(self.byte - start, if comment { Writing::Text } else { word });
            }
            return next;
        }
        self.content(start, line, indent, here).unwrap_or(next)
    }

    fn content(&mut self, start: usize, line: &str, indent: usize, here: bool) -> Option<usize> {
        let mut column = indent;
        let mut dashed = false;
        while let Some(behind) = line.get(column..).and_then(|rest| rest.strip_prefix('-')) {
            if !(behind.is_empty() || behind.starts_with([' ', '\t'])) {
                break;
            }
            if here && self.byte <= start + column {
                self.resolve(column, Writing::Word { range: self.byte..self.byte, colon: false, item: false });
            }
            self.dash(column);
            dashed = true;
            column += 1 + (behind.len() - behind.trim_start().len());
        }
        let rest = line.get(column..).unwrap_or_default();
        let begin = start + column;
        if rest.starts_with(['[', '{']) {
            let node = self.stack.last().map_or(0, |frame| frame.node);
            let step = if dashed { Step::Item } else { Step::Top };
            return Some(self.flow(begin, node, step, indent));
        }
        let Some(colon) = colon_of(rest) else {
            if here && self.found.is_none() {
                let bare = rest.split(" #").next().unwrap_or(rest).trim_end();
                let range = begin..begin + bare.len();
                if self.byte > range.end && rest.len() > bare.len() {
                    self.find(0, None, Writing::Text);
                } else {
                    let range =
                        if range.contains(&self.byte) || range.end == self.byte { range } else { self.byte..self.byte };
                    let word = Writing::Word { range, colon: false, item: dashed };
                    if dashed { self.member(word) } else { self.resolve(column, word) }
                }
            }
            return None;
        };
        let key = unquoted(rest.get(..colon).unwrap_or_default());
        self.key(column, key, dashed);
        let node = self.stack.last().map_or(0, |frame| frame.node);
        if here && self.found.is_none() && self.byte <= begin + colon {
            self.find(node, None, Writing::Word { range: begin..begin + colon, colon: true, item: dashed });
        }
        let behind = rest.get(colon + 1..).unwrap_or_default();
        let value = behind.trim_start();
        let value_at = begin + colon + 1 + (behind.len() - value.len());
        self.open_key = value.is_empty() || value.starts_with('#');
        if value.starts_with(['[', '{']) {
            let step = Step::Key(key.to_owned());
            return Some(self.flow(value_at, node, step, column));
        }
        if value.starts_with(['|', '>']) {
            self.block = Some(column);
        }
        if here && self.found.is_none() {
            let bare = if value.starts_with('#') { "" } else { value.split(" #").next().unwrap_or(value).trim_end() };
            let range = value_at..value_at + bare.len();
            let commented = value.len() > bare.len() && self.byte > range.end;
            let range = if self.byte < range.start || range.is_empty() { self.byte..self.byte } else { range };
            let writing = if commented && value.contains('#') {
                Writing::Text
            } else {
                Writing::Value { key: key.to_owned(), range }
            };
            self.find(node, None, writing);
        }
        None
    }

    /// Closes what does not reach to a column.
    fn close(&mut self, column: usize, dash: bool) {
        while let Some(frame) = self.stack.last() {
            let list = self.nodes.get(frame.node).is_some_and(|node| node.list);
            if self.stack.len() > 1 && (frame.column > column || (list && frame.column == column && !dash)) {
                self.stack.pop();
            } else {
                break;
            }
        }
    }

    fn push(&mut self, column: usize, list: bool, step: Step) {
        let parent = self.stack.last().map(|frame| frame.node);
        self.nodes.push(Node { parent, step, keys: Vec::new(), list });
        self.stack.push(Frame { column, node: self.nodes.len() - 1 });
    }

    /// How a container lies that begins now.
    fn step_below(&self) -> Step {
        let top = self.stack.last().and_then(|frame| self.nodes.get(frame.node));
        match top {
            Some(node) if node.list => Step::Item,
            Some(node) => node.keys.last().map_or(Step::Top, |key| Step::Key(key.clone())),
            None => Step::Top,
        }
    }

    fn dash(&mut self, column: usize) {
        self.close(column, true);
        let on_list = self
            .stack
            .last()
            .is_some_and(|frame| frame.column == column && self.nodes.get(frame.node).is_some_and(|node| node.list));
        if !on_list {
            let step = self.step_below();
            self.push(column, true, step);
        }
        self.open_key = false;
    }

    fn key(&mut self, column: usize, key: &str, dashed: bool) {
        self.close(column, false);
        let on_map = self.stack.last().is_some_and(|frame| {
            (frame.column == column || self.stack.len() == 1 && column == 0)
                && self.nodes.get(frame.node).is_some_and(|node| !node.list)
        });
        // The first key behind a dash begins an item, whatever stood in the one before.
        if !on_map || dashed {
            let step = self.step_below();
            self.push(column, false, step);
        }
        if let Some(node) = self.stack.last().and_then(|frame| self.nodes.get_mut(frame.node)) {
            node.keys.push(key.to_owned());
        }
    }

    fn find(&mut self, node: usize, under: Option<Step>, writing: Writing) {
        if self.found.is_none() {
            self.found = Some(Found { node, under, writing });
        }
    }

    /// The place as an item of the list that was last begun.
    fn member(&mut self, writing: Writing) {
        let node = self.stack.last().map_or(0, |frame| frame.node);
        self.find(node, Some(Step::Item), writing);
    }

    /// The place by its column alone: in the container whose entries stand there, or in a new one below a key without value.
    fn resolve(&mut self, column: usize, writing: Writing) {
        let list_at = |scan: &Self, frame: &Frame| scan.nodes.get(frame.node).is_some_and(|node| node.list);
        let mut stack = self.stack.clone();
        while stack.len() > 1 && stack.last().is_some_and(|frame| frame.column > column) {
            stack.pop();
        }
        let Some(top) = stack.last().copied() else { return };
        let is_list = list_at(self, &top);
        let deeper = top.column < column && top.node == self.stack.last().map_or(0, |frame| frame.node);
        // A list may stand as far to the left as the key that it is under.
        let under_key = self.open_key && !is_list && deeper;
        let under = under_key.then(|| self.nodes.get(top.node)?.keys.last().cloned().map(Step::Key)).flatten();
        let under = under.or((is_list && top.column < column).then_some(Step::Item));
        self.find(top.node, under, writing);
    }

    fn finish(self) -> Cursor {
        let Some(found) = self.found else {
            return Cursor { levels: vec![Level { step: Step::Top, keys: Vec::new() }], writing: Writing::Text };
        };
        let mut levels: Vec<Level> = found.under.into_iter().map(|step| Level { step, keys: Vec::new() }).collect();
        let mut at = Some(found.node);
        while let Some(node) = at.and_then(|at| self.nodes.get(at)) {
            levels.push(Level { step: node.step.clone(), keys: node.keys.clone() });
            at = node.parent;
        }
        levels.reverse();
        Cursor { levels, writing: found.writing }
    }

    /// Reads from a bracket to the one that closes it, and gives where the next line begins. A line that is indented no
    /// deeper than the bracket's own ends it, for a bracket that is just being written is not closed yet.
    fn flow(&mut self, start: usize, node: usize, step: Step, indent: usize) -> usize {
        let mut open: Vec<usize> = Vec::new();
        let mut pending = step;
        let mut word = start;
        let mut characters = self.text.get(start..).unwrap_or_default().char_indices().peekable();
        let mut before = ' ';
        while let Some((offset, character)) = characters.next() {
            let at = start + offset;
            match character {
                '"' | '\'' if self.text.get(word..at).is_some_and(|w| w.trim().is_empty()) => {
                    for (_, inner) in characters.by_ref() {
                        if inner == character || inner == '\n' {
                            break;
                        }
                    }
                }
                '#' if before.is_whitespace() => {
                    self.in_flow(&open, node, &pending, word, at);
                    while characters.next_if(|(_, c)| *c != '\n').is_some() {}
                    word = characters.peek().map_or(self.text.len(), |(offset, _)| start + offset);
                    if (at + 1..=word).contains(&self.byte) {
                        self.find(node, None, Writing::Text);
                    }
                }
                '[' | '{' => {
                    let parent = open.last().copied().unwrap_or(node);
                    let step = std::mem::replace(&mut pending, Step::Item);
                    self.nodes.push(Node { parent: Some(parent), step, keys: Vec::new(), list: character == '[' });
                    open.push(self.nodes.len() - 1);
                    word = at + 1;
                }
                ']' | '}' => {
                    self.in_flow(&open, node, &pending, word, at);
                    open.pop();
                    pending = Step::Item;
                    word = at + 1;
                }
                ',' => {
                    self.in_flow(&open, node, &pending, word, at);
                    pending = Step::Item;
                    word = at + 1;
                }
                ':' if characters.peek().is_none_or(|(_, c)| c.is_whitespace() || matches!(c, ',' | ']' | '}')) => {
                    let key = unquoted(self.text.get(word..at).unwrap_or_default()).to_owned();
                    if (word..=at).contains(&self.byte) {
                        let range = trimmed(self.text, word..at);
                        let holder = open.last().copied().unwrap_or(node);
                        self.find(holder, None, Writing::Word { range, colon: true, item: false });
                    }
                    if let Some(holder) = open.last().and_then(|holder| self.nodes.get_mut(*holder)) {
                        holder.keys.push(key.clone());
                    }
                    pending = Step::Key(key);
                    word = at + 1;
                }
                '\n' => {
                    let below = self.text.get(at + 1..).unwrap_or_default();
                    let line = below.lines().next().unwrap_or_default();
                    let written = line.trim_start();
                    let ends =
                        !written.is_empty() && line.len() - written.len() <= indent && !written.starts_with([']', '}']);
                    if ends {
                        self.in_flow(&open, node, &pending, word, at);
                        return at + 1;
                    }
                }
                _ => {}
            }
            before = character;
            if open.is_empty() {
                let rest = self.text.get(word..).unwrap_or_default();
                let end = rest.find('\n').map_or(self.text.len(), |n| word + n + 1);
                if (word..end).contains(&self.byte) {
                    self.find(node, None, Writing::Text);
                }
                return end;
            }
        }
        self.in_flow(&open, node, &pending, word, self.text.len());
        self.text.len()
    }

    /// Takes the place as that of a word within brackets, if it lies there.
    fn in_flow(&mut self, open: &[usize], around: usize, pending: &Step, word: usize, end: usize) {
        if !(word..=end).contains(&self.byte) || self.found.is_some() {
            return;
        }
        let holder = open.last().copied().unwrap_or(around);
        let range = trimmed(self.text, word..end);
        let range = if range.is_empty() || self.byte < range.start || self.byte > range.end {
            self.byte..self.byte
        } else {
            range
        };
        let list = self.nodes.get(holder).is_some_and(|node| node.list);
        match pending {
            Step::Key(key) => self.find(holder, None, Writing::Value { key: key.clone(), range }),
            _ if list => self.find(holder, Some(Step::Item), Writing::Word { range, colon: false, item: true }),
            _ => self.find(holder, None, Writing::Word { range, colon: false, item: false }),
        }
    }
}

/// Where the colon behind a line's key stands.
fn colon_of(rest: &str) -> Option<usize> {
    let from = match rest.chars().next() {
        Some(quote @ ('"' | '\'')) => rest.get(1..)?.find(quote)? + 2,
        _ => 0,
    };
    let behind = rest.get(from..)?;
    let comment = behind.find(" #").unwrap_or(behind.len());
    let colons = behind.get(..comment)?.match_indices(':');
    let ends = |at: usize| behind.get(at + 1..).is_some_and(|b| b.is_empty() || b.starts_with([' ', '\t']));
    colons.map(|(at, _)| at).find(|at| ends(*at)).map(|at| from + at)
}

fn unquoted(key: &str) -> &str {
    let key = key.trim();
    let quoted = |quote: char| key.strip_prefix(quote).and_then(|k| k.strip_suffix(quote));
    quoted('"').or_else(|| quoted('\'')).unwrap_or(key)
}

fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let part = text.get(range.clone()).unwrap_or_default();
    let start = range.start + part.len() - part.trim_start().len();
    start..start + part.trim().len()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The place of `|` in a text, in short: `brakes.circuits[].bore=3/4` for a value, `… > wo` for a word, `~` for text.
    fn short(text: &str) -> String {
        let byte = text.find('|').unwrap_or(0);
        let text = text.replacen('|', "", 1);
        let found = cursor(&text, byte);
        let mut path = String::new();
        for level in &found.levels {
            match &level.step {
                Step::Top => {}
                Step::Key(key) => path += &format!("{}{key}", if path.is_empty() { "" } else { "." }),
                Step::Item => path += "[]",
            }
        }
        let keys = found.levels.last().map_or(String::new(), |level| level.keys.join(","));
        match found.writing {
            Writing::Word { range, colon, item } => format!(
                "{path}{{{keys}}} > {}{}{}",
                &text[range],
                if colon { ":" } else { "" },
                if item { " item" } else { "" }
            ),
            Writing::Value { key, range } => format!("{path}.{key}={}", &text[range]),
            Writing::Text => format!("{path}~"),
        }
    }

    #[test]
    fn places_in_blocks() {
        for (text, expected) in [
            ("|", "{} > "),
            ("bra|", "{} > bra"),
            ("a: 1\n|\nb: 2\n", "{a,b} > "),
            ("brakes:\n  |", "brakes{} > "),
            ("brakes:\n  axles|\n", "brakes{} > axles"),
            ("brakes:\n  pedal: {}\n  |\nfuel: x\n", "brakes{pedal} > "),
            ("brakes:\n  pedal:\n    ratio: 4|:1\n", "brakes.pedal.ratio=4:1"),
            ("brakes:\n  pedal:\n    ratio: |\n", "brakes.pedal.ratio="),
            ("brakes:\n  pedal:\n    rat|io: 4\n", "brakes.pedal{ratio} > ratio:"),
            ("brakes:\n  pedal:\n    ratio: 4\n  |", "brakes{pedal} > "),
            ("brakes:\n  pedal:\n    ratio: 4\n    |", "brakes.pedal{ratio} > "),
            ("brakes:\n  pedal:\n    ratio: 4\n|", "{brakes} > "),
            ("pumps:\n  - pump: a\n    |\n", "pumps[]{pump} > "),
            ("pumps:\n  - pump: a\n    place: fr|\n", "pumps[].place=fr"),
            ("pumps:\n  - |\n", "pumps[]{} >  item"),
            ("pumps:\n  - pu|\n", "pumps[]{} > pu item"),
            ("pumps:\n  - pump: a\n  - pu|mp: b\n    x: 1\n", "pumps[]{pump,x} > pump: item"),
            ("pumps:\n  - pump: a\n  |\n", "pumps{} > "),
            ("pumps:\n- pump: a\n  pl|\n- pump: b\n", "pumps[]{pump} > pl"),
            ("pumps:\n- pump: a\nbuild: |\n", ".build="),
            ("use:\n  - road\n  - hi|\n", "use[]{} > hi item"),
            ("a: >\n  text b: |\n  more\nc: 1\n", "~"),
            ("a: 3 mm # co|mment\n", "~"),
            ("a: # co|mment\n", "~"),
            ("# a|\nb: 1\n", "~"),
            ("a: \"x: |y\"\n", ".a=\"x: y\""),
            ("\"a b\": 3|\n", ".a b=3"),
            ("a:\r\n  b: |\r\n", "a.b="),
            ("p:\n  - a: 1\n    b:\n      - c: |\n", "p[].b[].c="),
        ] {
            assert_eq!(short(text), expected, "{text:?}");
        }
    }

    #[test]
    fn places_in_brackets() {
        for (text, expected) in [
            ("a: {|}\n", "a{} > "),
            ("a: {b: 1, |}\n", "a{b} > "),
            ("a: {b: 1, c|, d: 2}\n", "a{b,d} > c"),
            ("a: {b: |}\n", "a.b="),
            ("a: {b: 3 m|m, c: 1}\n", "a.b=3 mm"),
            ("a: {b|: 3}\n", "a{b} > b:"),
            ("a: [road, hi|]\n", "a[]{} > hi item"),
            ("a: [|]\n", "a[]{} >  item"),
            ("a: [{b: 1}, {c: |}]\n", "a[].c="),
            ("- {b: |\n- c\n", "[].b="),
            ("x:\n  a: {b: 1,\n    c: |\nd: 1\n", "x.a.c="),
            ("x:\n  a: {b: 1, c|\n  d: 1\n", "x.a{b} > c"),
            ("a: {b: 'x, |y'}\n", "a.b='x, y'"),
            ("a: {b: 1} |\n", "~"),
            ("a: {b: 1}\n|", "{a} > "),
            ("a: {b: 1, # no|\n  c: 2}\n", "~"),
        ] {
            assert_eq!(short(text), expected, "{text:?}");
        }
    }

    #[test]
    fn no_text_is_too_odd() {
        let odd = "- - [a: {b\n\t\"é': |\n }]]: -\n-- #x\n  - : :\n'\n";
        for byte in (0..=odd.len()).filter(|byte| odd.is_char_boundary(*byte)) {
            let _ = cursor(odd, byte);
            let _ = cursor(&odd[byte..], 0);
            let _ = cursor(&odd[..byte], byte);
        }
    }
}
