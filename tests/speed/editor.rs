//! From a keystroke to what is said of it, with the whole rulebook: `cargo bench --bench editor`.
//!
//! A client in the same process changes a file of a build a thousand times, each time by what a finger does, and waits for the
//! diagnostics of just that version of the text, turned into JSON as they would be for a client outside.

#![allow(clippy::print_stdout)]

use jiff::civil::date;
use lsp_server::{Connection, Message, Notification, Request, RequestId};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tramgauge::editor::{Options, serve};

/// How many keystrokes are measured.
const KEYSTROKES: usize = 1_000;

/// By when 99 of 100 keystrokes are to be answered.
const BOUND: Duration = Duration::from_millis(20);

fn main() {
    for (example, lines) in [("fell-wagon", 900), ("lark-roadster", 2_000)] {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
        fs::create_dir(folder.path().join(".git")).unwrap_or_else(|e| panic!("{e}"));
        let files = grown(example, lines);
        let lines: usize = files.iter().map(|(_, text)| text.lines().count()).sum();
        for (name, text) in &files {
            fs::write(folder.path().join(name), text).unwrap_or_else(|e| panic!("{e}"));
        }
        let mut times = typed(folder.path(), &files);
        times.sort();
        let (median, late) = (times[KEYSTROKES / 2], times[KEYSTROKES * 99 / 100]);
        let mark = if late <= BOUND { "within" } else { "MISSED" };
        println!(
            "keystroke to diagnostics, {lines} lines: median {:.1} ms, 99 of 100 below {:.1} ms, bound {} ms {mark}",
            median.as_secs_f64() * 1e3,
            late.as_secs_f64() * 1e3,
            BOUND.as_millis()
        );
    }
}

/// The files of an example with about so many lines: without its last sections, or with its fuel lines written again under other
/// names.
fn grown(example: &str, wanted: usize) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(example);
    let entries = fs::read_dir(&folder).unwrap_or_else(|e| panic!("{folder:?}: {e}"));
    let paths = entries.map(|e| e.unwrap_or_else(|e| panic!("{e}")).path());
    let mut files: Vec<(String, String)> = paths
        .filter(|path| path.extension().is_some_and(|x| x == "yaml"))
        .map(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            (name, fs::read_to_string(&path).unwrap_or_else(|e| panic!("{e}")))
        })
        .collect();
    files.sort();
    let count = |files: &[(String, String)]| files.iter().map(|(_, text)| text.lines().count()).sum::<usize>();
    // Sections that are too many go, and with them their entries in the build file.
    let spare = |(name, _): &(String, String)| name != "build.yaml" && name != "fuel.yaml";
    while count(&files) > wanted {
        let Some(last) = files.iter().rposition(spare) else { break };
        let (gone, _) = files.remove(last);
        for (_, text) in files.iter_mut().filter(|(name, _)| name == "build.yaml") {
            *text = text.replace(&format!("  - {gone}\n"), "");
        }
    }
    let mut copy = 1;
    while count(&files) < wanted {
        let missing = wanted - count(&files);
        let fuel = files.iter_mut().find(|(name, _)| name == "fuel.yaml").unwrap_or_else(|| panic!("a fuel section"));
        let more = again(&fuel.1, copy, missing);
        assert!(more.len() > fuel.1.len(), "there is a line to copy");
        fuel.1 = more;
        copy += 1;
    }
    files
}

/// The text with its fuel lines written once more, up to so many lines of text.
fn again(text: &str, copy: usize, most: usize) -> String {
    let starts: Vec<usize> = text.match_indices("\n    - line: ").map(|(at, _)| at + 1).collect();
    let Some(first) = starts.first().copied() else { return text.to_owned() };
    let behind = text[first..].lines().skip(1).take_while(|l| l.is_empty() || l.starts_with("    "));
    let length: usize = text[first..].lines().take(1).chain(behind).map(|l| l.len() + 1).sum();
    let block = text[first..(first + length).min(text.len())].trim_end();
    // Only what was there at first is copied.
    let block = block.split("\n    - line: copy").next().unwrap_or(block);
    let mut copied = String::new();
    for (number, item) in block.split("\n    - line: ").enumerate() {
        if copied.lines().count() >= most {
            break;
        }
        let item = item.strip_prefix("    - line: ").unwrap_or(item);
        let rest = item.split_once('\n').map_or("", |(_, rest)| rest);
        copied.push_str(&format!("    - line: copy {copy} of {number}\n{rest}\n"));
    }
    let (before, after) = text.split_at(first);
    format!("{before}{}\n{copied}{}", &after[..block.len()], after[block.len()..].trim_start_matches('\n'))
}

/// A row of numbers that looks like chance and is the same on every run.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}

/// Line and character of a text, in units of UTF-16.
type Place = (usize, usize);

/// One change of one file.
#[derive(Clone)]
struct Keystroke {
    file: usize,
    start: Place,
    end: Place,
    new: String,
}

/// What a finger does somewhere: a character more, a character less, or another one; longer files are met more often.
fn struck(texts: &[String], chance: &mut Chance) -> Keystroke {
    let all: usize = texts.iter().map(|text| text.lines().count()).sum();
    let mut line = chance.below(all);
    let mut file = 0;
    while line >= texts[file].lines().count() {
        line -= texts[file].lines().count();
        file += 1;
    }
    let length = texts[file].lines().nth(line).unwrap_or_default().encode_utf16().count();
    let from = chance.below(length + 1);
    let to = (from + usize::from(chance.below(3) == 0)).min(length);
    let new = ["1", "5", "0", " ", "m", "a", "-", ":", "\n", ""][chance.below(10)].to_owned();
    Keystroke { file, start: (line, from), end: (line, to), new }
}

/// The byte of a place.
fn byte(text: &str, (line, character): Place) -> usize {
    let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
    let mut left = character;
    let taken = text[start..].chars().take_while(|c| {
        let fits = left > 0;
        left = left.saturating_sub(c.len_utf16());
        fits
    });
    start + taken.map(char::len_utf8).sum::<usize>()
}

fn uri(path: &Path) -> String {
    format!("file://{}", path.display())
}

/// The time from each keystroke to its diagnostics.
fn typed(folder: &Path, files: &[(String, String)]) -> Vec<Duration> {
    let folder: PathBuf = folder.canonicalize().unwrap_or_else(|e| panic!("{e}"));
    let (ours, theirs) = Connection::memory();
    let server = std::thread::spawn(move || {
        let day = || date(2026, 6, 1);
        serve(&theirs, &Options { day: &day, more_rules: Vec::new() })
    });
    let notify = |method: &str, params: Value| {
        let message = Message::Notification(Notification { method: method.into(), params });
        ours.sender.send(message).unwrap_or_else(|e| panic!("{e}"));
    };
    let capabilities = json!({"textDocument": {"publishDiagnostics": {"relatedInformation": true}}});
    let begin =
        Request { id: RequestId::from(1), method: "initialize".into(), params: json!({"capabilities": capabilities}) };
    ours.sender.send(Message::Request(begin)).unwrap_or_else(|e| panic!("{e}"));
    notify("initialized", json!({}));
    let mut texts: Vec<String> = files.iter().map(|(_, text)| text.clone()).collect();
    for (name, text) in files {
        let document = json!({"uri": uri(&folder.join(name)), "languageId": "yaml", "version": 0, "text": text});
        notify("textDocument/didOpen", json!({"textDocument": document}));
    }
    let said = |uri: &str, version: i64| {
        loop {
            let message = ours.receiver.recv().unwrap_or_else(|e| panic!("{e}"));
            let text = serde_json::to_string(&message).unwrap_or_else(|e| panic!("{e}"));
            let Message::Notification(said) = message else { continue };
            if said.params["uri"] == uri && said.params["version"] == version {
                return text.len();
            }
        }
    };
    said(&uri(&folder.join(&files[0].0)), 0);
    let mut chance = Chance(7);
    let mut undo: Option<Keystroke> = None;
    let mut times = Vec::new();
    for version in 1..=KEYSTROKES {
        // Every other keystroke takes the one before back, so that the text stays one that somebody would write.
        let taken_back = undo.is_some();
        let stroke = undo.take().unwrap_or_else(|| struck(&texts, &mut chance));
        let text = &mut texts[stroke.file];
        let range = byte(text, stroke.start)..byte(text, stroke.end);
        let old = text[range.clone()].to_owned();
        text.replace_range(range, &stroke.new);
        let uri = uri(&folder.join(&files[stroke.file].0));
        let position = |(line, character): Place| json!({"line": line, "character": character});
        let range = json!({"start": position(stroke.start), "end": position(stroke.end)});
        let change = json!({"range": range, "text": stroke.new});
        let params = json!({"textDocument": {"uri": uri, "version": version}, "contentChanges": [change]});
        let start = Instant::now();
        notify("textDocument/didChange", params);
        said(&uri, version as i64);
        times.push(start.elapsed());
        if !taken_back {
            let (line, character) = stroke.start;
            let end = if stroke.new == "\n" { (line + 1, 0) } else { (line, character + stroke.new.len()) };
            undo = Some(Keystroke { end, new: old, ..stroke });
        }
    }
    notify("exit", Value::Null);
    let _ = server.join();
    times
}
