//! The sheet in a real browser, where one is installed: nothing on the console, no request but for the page, no part wider than
//! a phone or a desk, and no picture taller than a printed page. Without a browser the test says so and passes.

#![allow(clippy::print_stderr)]

mod common;

use common::Workshop;
use common::browser::{BROWSERS, browser, open};
use std::path::Path;

/// Height of a printed page at 96 dots an inch without its margins, the smaller of A4 (297 mm) and Letter (11 in).
const PAGE_HEIGHT: f64 = 11.0 * 96.0 - 2.0 * 10.0 / 25.4 * 96.0;

/// A page that asks for a picture, to know that such a thing is seen.
const ASKING: &str =
    "<!doctype html><meta charset=utf-8><title>asks</title><img alt=x src=\"http://127.0.0.1:9/picture.png\">";

/// What a page asked of a network. The browser itself asks for things of its own, for which no page is to blame: the log
/// names them as begun by no origin.
fn asked(browser: &str, folder: &Path, page: &Path) -> (Vec<String>, String) {
    let net = folder.join("net.json");
    let log = format!("--log-net-log={}", net.display());
    let output = open(browser, folder, &["--dump-dom", &log], page);
    let words = String::from_utf8_lossy(&output.stderr);
    assert!(!words.contains("CONSOLE"), "{words}");
    let requests = std::fs::read_to_string(&net).expect("the log of the network");
    // The browser may end before it closes its list.
    let requests = requests.trim_end().trim_end_matches(',');
    let log: serde_json::Value =
        serde_json::from_str(requests).or_else(|_| serde_json::from_str(&format!("{requests}]}}"))).expect("a log");
    let of_page = |event: &&serde_json::Value| {
        event["params"]["initiator"].as_str().is_some_and(|initiator| initiator != "not an origin")
    };
    let events = log["events"].as_array().expect("events").iter();
    let urls = events.filter(of_page).filter_map(|event| event["params"]["url"].as_str()).map(str::to_string);
    (urls.filter(|url| !url.starts_with("file:")).collect(), String::from_utf8_lossy(&output.stdout).into_owned())
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
    let workshop = Workshop::with_example("lark-roadster");
    looked_at(browser, &workshop, &[]);
    // It would see if a page asked for something.
    workshop.write("asks.html", ASKING.as_bytes());
    let (urls, _) = asked(browser, &workshop.path("browser"), &workshop.path("asks.html"));
    assert_eq!(urls, ["http://127.0.0.1:9/picture.png"]);
}

#[test]
fn a_browser_shows_the_sheet_beside_an_older_revision_as_it_is_meant() {
    // Without one the test above says so.
    let Some(browser) = browser() else { return };
    looked_at(browser, &common::git::changed_example(), &["--compare", "HEAD"]);
}

/// Opens the sheet of the example, made with more arguments, and measures it.
fn looked_at(browser: &str, workshop: &Workshop, more: &[&str]) {
    let call = ["sheet", "examples/lark-roadster", "--on", "2026-06-01", "--to", "page.html"];
    let made = workshop.run(&[&call[..], more].concat());
    assert_eq!(made.status, 0, "{}", made.err);
    let folder = workshop.path("browser");
    std::fs::create_dir(&folder).expect("a folder");

    let (urls, dom) = asked(browser, &folder, &workshop.path("page.html"));
    assert!(dom.contains("</html>"), "{dom}");
    assert_eq!(urls, Vec::<String>::new());
    workshop.write("ruler.html", RULER.as_bytes());
    let measured = open(browser, &folder, &["--dump-dom", "--window-size=1600,1200"], &workshop.path("ruler.html"));
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
}
