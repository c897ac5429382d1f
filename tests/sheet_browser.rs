//! The sheet in a real browser, where one is installed: nothing on the console, no request but for the page, no part wider than
//! a phone or a desk, and no picture taller than a printed page. Without a browser the test says so and passes.

#![allow(clippy::print_stderr)]

mod common;

use common::Workshop;
use std::path::Path;
use std::process::{Command, Output};

const BROWSERS: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "chrome"];

/// Height of a printed page at 96 dots an inch without its margins, the smaller of A4 (297 mm) and Letter (11 in).
const PAGE_HEIGHT: f64 = 11.0 * 96.0 - 2.0 * 14.0 / 25.4 * 96.0;

fn browser() -> Option<&'static str> {
    BROWSERS.into_iter().find(|name| Command::new(name).arg("--version").output().is_ok_and(|o| o.status.success()))
}

fn run(browser: &str, folder: &Path, more: &[&str], page: &Path) -> Output {
    let mut command = Command::new(browser);
    command.args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]);
    command.arg(format!("--user-data-dir={}", folder.join("profile").display()));
    command.args(["--allow-file-access-from-files", "--enable-logging=stderr", "--virtual-time-budget=8000"]);
    command.args(more).arg(format!("file://{}", page.display())).output().expect("a run of the browser")
}

/// A workshop with the sheet of the sound example.
fn workshop() -> Workshop {
    let workshop = Workshop::new(&[]);
    for (from, to) in [("lark-roadster", "lark-roadster"), ("parts", "examples/parts")] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(from);
        for entry in std::fs::read_dir(folder).expect("the example's folder") {
            let path = entry.expect("an entry").path();
            let name = path.file_name().and_then(|name| name.to_str()).expect("a name in UTF-8");
            workshop.write(&format!("{to}/{name}"), &std::fs::read(&path).expect("a file"));
        }
    }
    let made = workshop.run(&["sheet", "lark-roadster", "--on", "2026-06-01", "--to", "page.html"]);
    assert_eq!(made.status, 0, "{}", made.err);
    workshop
}

/// A page that shows the sheet at several widths and writes down what it measures.
const RULER: &str = "<!doctype html><meta charset=utf-8><title>ruler</title><body><script>
const widths = [360, 700, 1400];
let left = widths.length;
for (const width of widths) {
  const frame = document.createElement('iframe');
  frame.style.cssText = `border:0;width:${width}px;height:900px`;
  frame.onload = () => {
    const page = frame.contentDocument;
    const tall = Math.max(...[...page.querySelectorAll('figure')].map(f => f.getBoundingClientRect().height));
    const line = document.createElement('p');
    line.textContent = `width ${width} scroll ${page.documentElement.scrollWidth} figures ${page.querySelectorAll('figure').length} tallest ${tall}`;
    document.body.append(line);
    if (--left === 0) document.body.append('measured');
  };
  frame.src = 'page.html';
  document.body.append(frame);
}
</script>";

#[test]
fn a_browser_shows_the_sheet_as_it_is_meant() {
    let Some(browser) = browser() else {
        eprintln!("no browser is installed ({}): the sheet is not looked at", BROWSERS.join(", "));
        return;
    };
    let workshop = workshop();
    let folder = workshop.path("browser");
    std::fs::create_dir(&folder).expect("a folder");

    let net = folder.join("net.json");
    let log = format!("--log-net-log={}", net.display());
    let plain = run(browser, &folder, &["--dump-dom", &log], &workshop.path("page.html"));
    let words = String::from_utf8_lossy(&plain.stderr);
    assert!(!words.contains("CONSOLE"), "{words}");
    assert!(String::from_utf8_lossy(&plain.stdout).contains("</html>"), "{words}");
    let requests = std::fs::read_to_string(&net).expect("the log of the network");
    let started: serde_json::Value = serde_json::from_str(requests.trim_end().trim_end_matches(','))
        .or_else(|_| serde_json::from_str(&format!("{}]}}", requests.trim_end().trim_end_matches(','))))
        .expect("a log");
    let asked: Vec<&str> = started["events"]
        .as_array()
        .expect("events")
        .iter()
        .filter_map(|event| event["params"]["url"].as_str())
        .filter(|url| url.starts_with("http") && !url.contains("google") && !url.contains("gvt1"))
        .collect();
    assert!(asked.is_empty(), "{asked:?}");

    workshop.write("ruler.html", RULER.as_bytes());
    let measured = run(browser, &folder, &["--dump-dom", "--window-size=1600,1200"], &workshop.path("ruler.html"));
    let dom = String::from_utf8_lossy(&measured.stdout);
    assert!(dom.contains("measured"), "{dom}\n{}", String::from_utf8_lossy(&measured.stderr));
    let lines: Vec<&str> = dom.split("<p>").skip(1).filter_map(|p| p.split("</p>").next()).collect();
    assert_eq!(lines.len(), 3, "{dom}");
    for line in lines {
        let numbers: Vec<f64> = line.split(' ').filter_map(|word| word.parse().ok()).collect();
        let [width, scroll, figures, tallest] = numbers[..] else { panic!("{line}") };
        assert!(scroll <= width, "{line}");
        assert!(figures > 15.0, "{line}");
        assert!(width != 700.0 || tallest < PAGE_HEIGHT, "{line}");
    }

    let printed = folder.join("page.pdf");
    let to = format!("--print-to-pdf={}", printed.display());
    run(browser, &folder, &[&to, "--no-pdf-header-footer"], &workshop.path("page.html"));
    let pdf = std::fs::read(&printed).expect("the printed page");
    assert!(pdf.starts_with(b"%PDF") && pdf.len() > 100_000, "{} bytes", pdf.len());
}
