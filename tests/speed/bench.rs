//! Speed, as ratios measured in one run: `cargo bench --bench speed`.
//!
//! The yardstick is the time in which `serde_yaml` parses the same bytes into its `Value`. The bounds stand in the guide for
//! contributors; what misses its bound is marked.

#![allow(clippy::print_stdout)]

use jiff::civil::date;
use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tramgauge::assess::{Request, assess, assess_cases};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Rulebook, load_built_in};
use tramgauge::source::{DiskFiles, MemoryFiles, read_build};
use tramgauge::terms::{Held, Spec, SpecQuantity, Terms, build_spec};

/// How often each thing is measured; the median counts.
const TIMES: usize = 60;

/// How many generated builds stand in one repository.
const BUILDS: usize = 2_000;

fn book_in_force() -> Rulebook {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms load"));
    load_built_in(terms, &[]).unwrap_or_else(|_| panic!("the built-in rules load"))
}

fn median(mut run: impl FnMut() -> Duration) -> Duration {
    let mut all: Vec<Duration> = (0..TIMES).map(|_| run()).collect();
    all.sort();
    all[TIMES / 2]
}

fn timed<T>(run: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    black_box(run());
    start.elapsed()
}

fn line(what: &str, time: Duration, ratio: f64, bound: f64, unit: &str) {
    let mark = if ratio <= bound { "within" } else { "MISSED" };
    println!("{what:<58} {:>10.1} us {ratio:>8.2} {unit:<4} bound {bound:<6} {mark}", time.as_secs_f64() * 1e6);
}

/// The texts of an example build's files, by their paths from its folder, and those of the data sheets that it uses, by their
/// paths from the root.
fn example(name: &str) -> Vec<(String, String)> {
    let sheets = texts("parts").into_iter().map(|(sheet, text)| (format!("examples/parts/{sheet}"), text));
    texts(name).into_iter().chain(sheets).collect()
}

/// The texts of a folder of the examples.
fn texts(name: &str) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    let mut files: Vec<(String, String)> = fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{folder:?}: {e}"))
        .filter_map(Result::ok)
        .filter(|e| e.path().extension().is_some_and(|x| x == "yaml"))
        .map(|e| {
            let text = fs::read_to_string(e.path()).unwrap_or_else(|e| panic!("{e}"));
            (e.file_name().to_string_lossy().into_owned(), text)
        })
        .collect();
    files.sort();
    files
}

/// The same without stated uncertainties.
fn without_uncertainty(files: &[(String, String)]) -> Vec<(String, String)> {
    let strip = |text: &str| {
        let mut out = String::new();
        for line in text.lines() {
            let kept = match line.find(" ±").or_else(|| line.find(", give_or_take:")) {
                Some(at) => {
                    let rest = &line[at + 1..];
                    let end = rest.find([',', '}', ']', '#']).map_or(line.len(), |n| at + 1 + n);
                    format!("{}{}", &line[..at], &line[end..])
                }
                None => line.to_string(),
            };
            out.push_str(&kept);
            out.push('\n');
        }
        out
    };
    files.iter().map(|(n, t)| (n.clone(), strip(t))).collect()
}

fn read(book: &Rulebook, files: &MemoryFiles) -> Spec {
    build_spec(&book.library.terms, read_build(files, "build.yaml")).0
}

fn memory(files: &[(String, String)]) -> MemoryFiles {
    MemoryFiles::from_texts(files.iter().map(|(n, t)| (n.as_str(), t.as_str())))
}

fn main() {
    let book = book_in_force();
    println!("rulebook: {} rules, {} figures", book.rules.len(), book.figures.len());
    for name in ["lark-roadster", "fell-wagon"] {
        let files = without_uncertainty(&example(name));
        let bytes: usize = files.iter().map(|f| f.1.len()).sum();
        let lines: usize = files.iter().map(|f| f.1.lines().count()).sum();
        println!("\n{name}: {lines} lines, {bytes} bytes");
        library(&book, &files, &example(name));
    }
    process();
}

fn library(book: &Rulebook, files: &[(String, String)], with_uncertainty: &[(String, String)]) {
    let yardstick = median(|| {
        timed(|| {
            for (_, text) in files {
                let _ = black_box(serde_yaml::from_str::<serde_yaml::Value>(text));
            }
        })
    });
    let of = |time: Duration| time.as_secs_f64() / yardstick.as_secs_f64();
    println!("{:<58} {:>10.1} us", "yardstick: parsed into a plain value", yardstick.as_secs_f64() * 1e6);
    let source = memory(files);
    let reading = median(|| timed(|| read(book, &source)));
    line("read into a checked tree", reading, of(reading), 1.5, "x");
    let spec = read(book, &source);
    assert!(!spec.places().any(|(_, place)| is_uncertain(&place.held)), "an uncertainty is stated in another way");
    let request =
        Request { spec: &spec, rulebook: book, day: date(2026, 6, 1), figures: false, explained: false, only: None };
    let judging = median(|| timed(|| assess(&request, &Overrides::new())));
    line("judged, one load case, no uncertainty", judging, of(judging), 1.5, "x");
    slowest(&request);
    let base = assess(&request, &Overrides::new());
    let quantities: Vec<_> = spec.places().filter(|(_, p)| matches!(p.held, Held::Quantity(_))).map(|p| p.0).collect();
    let mut case = Overrides::new();
    for place in quantities.iter().step_by(quantities.len().div_ceil(3)) {
        if let Held::Quantity(q) = spec.held(*place) {
            case.insert(*place, Held::Quantity(SpecQuantity { si: q.si * 1.02, ..*q }));
        }
    }
    let again = median(|| timed(|| base.again(&request, &case)));
    line("a further load case (three values moved)", again, again.as_secs_f64() / judging.as_secs_f64(), 3.0, "x j");
    let cases = assess_cases(&request).cases.len().max(1) as u32;
    let each = median(|| timed(|| assess_cases(&request))).saturating_sub(judging) / cases;
    line("each load case that the build has", each, each.as_secs_f64() / judging.as_secs_f64(), 3.0, "x j");
    let uncertain = read(book, &memory(with_uncertainty));
    let request = Request { spec: &uncertain, ..request };
    let all = median(|| timed(|| assess(&request, &Overrides::new())));
    line("judged with the uncertainties stated", all, all.as_secs_f64() / judging.as_secs_f64(), 4.0, "x j");
}

fn is_uncertain(held: &Held) -> bool {
    matches!(held, Held::Quantity(q) if q.give_or_take.is_some())
}

/// The rules that take the most time when each is judged by itself.
fn slowest(request: &Request) {
    let mut times: Vec<(Duration, &str)> = (0..request.rulebook.rules.len())
        .map(|rule| {
            let alone = Request { only: Some(rule), ..*request };
            let mut all: Vec<Duration> = (0..9).map(|_| timed(|| assess(&alone, &Overrides::new()))).collect();
            all.sort();
            (all[4], &*request.rulebook.rules[rule].name)
        })
        .collect();
    times.sort_by_key(|t| std::cmp::Reverse(t.0));
    let shown: Vec<String> =
        times.iter().take(8).map(|(t, n)| format!("{n} {:.0} us", t.as_secs_f64() * 1e6)).collect();
    println!("slowest alone: {}", shown.join(", "));
}

/// CPU time of a command and its children, from the accounting of this process's children.
fn cpu(command: &mut Command, times: u32) -> Duration {
    let before = children_cpu();
    for _ in 0..times {
        let _ = command.stdout(Stdio::null()).stderr(Stdio::null()).status();
    }
    (children_cpu() - before) / times
}

fn children_cpu() -> Duration {
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<&str> = stat.rsplit(')').next().unwrap_or_default().split_whitespace().collect();
    let ticks: u64 = [13, 14].iter().filter_map(|i| fields.get(*i)?.parse::<u64>().ok()).sum();
    Duration::from_millis(ticks * 10)
}

fn program() -> PathBuf {
    PathBuf::from(env!("CARGO_BIN_EXE_tramgauge"))
}

fn process() {
    println!("\nwhole process");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let bare = cpu(Command::new(program()).arg("--version"), 100);
    let build = root.join("examples/lark-roadster");
    let one = cpu(Command::new(program()).args(["inspect", "--on", "2026-06-01"]).arg(&build), 50);
    let beyond = one.saturating_sub(bare);
    line("inspect of one build beyond reading arguments", beyond, beyond.as_secs_f64() * 1e3, 15.0, "ms");
    let folder = std::env::temp_dir().join(format!("tramgauge-speed-{}", std::process::id()));
    for n in 0..BUILDS {
        let to = folder.join(format!("build-{n:04}"));
        fs::create_dir_all(&to).unwrap_or_else(|e| panic!("{e}"));
        for (name, text) in example("lark-roadster") {
            let to = if name.contains('/') { folder.join(name) } else { to.join(name) };
            fs::create_dir_all(to.parent().unwrap_or(&folder)).unwrap_or_else(|e| panic!("{e}"));
            fs::write(to, text).unwrap_or_else(|e| panic!("{e}"));
        }
    }
    let book = book_in_force();
    let files = DiskFiles::new(folder.clone());
    let single = median(|| {
        timed(|| {
            let (spec, _) = build_spec(&book.library.terms, read_build(&files, "build-0000/build.yaml"));
            let request = Request {
                spec: &spec,
                rulebook: &book,
                day: date(2026, 6, 1),
                figures: false,
                explained: true,
                only: None,
            };
            assess(&request, &Overrides::new())
        })
    });
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let expected = single.as_secs_f64() * BUILDS as f64 / cores as f64;
    let all = timed(|| {
        let mut command = Command::new(program());
        let _ = command.args(["inspect", "--brief", "--on", "2026-06-01"]).arg(&folder).stdout(Stdio::null()).status();
    });
    line(
        &format!("{BUILDS} builds against the sum of single ones / {cores} cores"),
        all,
        all.as_secs_f64() / expected,
        1.2,
        "x",
    );
    let largest: u64 = example("lark-roadster").iter().map(|f| f.1.len() as u64).sum();
    let peak = peak_memory(Command::new(program()).args(["inspect", "--on", "2026-06-01"]).arg(&build));
    let bound = 40 * largest + 30 * 1024 * 1024;
    println!(
        "peak memory of one inspect: {:.1} MiB, bound {:.1} MiB",
        peak as f64 / 1048576.0,
        bound as f64 / 1048576.0
    );
    let _ = fs::remove_dir_all(folder);
}

/// The greatest resident memory of a command, in bytes, as the system accounts it while it runs.
fn peak_memory(command: &mut Command) -> u64 {
    let Ok(mut child) = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn() else { return 0 };
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    while let Ok(None) = child.try_wait() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let kib =
            text.lines().find_map(|l| l.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.trim().parse::<u64>().ok());
        peak = peak.max(kib.unwrap_or(0) * 1024);
    }
    peak
}
