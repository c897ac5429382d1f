//! The sheet on paper, A4 and Letter, where a browser is installed to print it: how many pages it takes, that no picture is cut at the
//! border of a page, and that all findings, tables and pictures are there. What stands where is read from the tags of the printed
//! file (ISO 32000-1, 14.7: its structure, each element with the page of its content). Without a browser the test says so and passes.

#![allow(clippy::print_stderr)]

mod common;

use common::Workshop;
use common::browser::{BROWSERS, browser, open};
use lopdf::{Dictionary, Document, Object, ObjectId};
use scraper::{Html, Selector};
use std::collections::{BTreeMap, BTreeSet};

/// What a printed file holds.
#[derive(Default)]
struct Printed {
    pages: usize,
    /// How many elements there are of each sort.
    sorts: BTreeMap<String, usize>,
    /// The pages on which each picture stands, with what it is called.
    figures: Vec<(String, BTreeSet<usize>)>,
}

impl Printed {
    fn read(bytes: &[u8]) -> Printed {
        let document = Document::load_mem(bytes).expect("a printed file");
        let pages = document.get_pages();
        let numbers: BTreeMap<ObjectId, usize> = pages.iter().map(|(n, id)| (*id, *n as usize)).collect();
        let root = document.catalog().and_then(|c| c.get_deref(b"StructTreeRoot", &document)).and_then(Object::as_dict);
        let mut printed = Printed { pages: pages.len(), ..Printed::default() };
        printed.walk(&document, &numbers, root.expect("tags"));
        printed
    }

    /// Takes an element and all below it in; the pages on which they stand.
    fn walk(&mut self, document: &Document, numbers: &BTreeMap<ObjectId, usize>, of: &Dictionary) -> BTreeSet<usize> {
        let mut pages: BTreeSet<usize> = of
            .get(b"Pg")
            .and_then(Object::as_reference)
            .ok()
            .and_then(|id| numbers.get(&id))
            .copied()
            .into_iter()
            .collect();
        let sort = of.get(b"S").and_then(Object::as_name).map(|name| String::from_utf8_lossy(name).into_owned());
        let kids = match of.get_deref(b"K", document) {
            Ok(Object::Array(kids)) => kids.iter().collect(),
            Ok(kid) => vec![kid],
            Err(_) => Vec::new(),
        };
        for kid in kids {
            let kid = document.dereference(kid).map_or(kid, |(_, kid)| kid);
            if let Ok(kid) = kid.as_dict() {
                pages.extend(self.walk(document, numbers, kid));
            }
        }
        if let Ok(sort) = sort {
            if sort == "Figure" {
                let called =
                    of.get(b"Alt").and_then(Object::as_str).map(|alt| String::from_utf8_lossy(alt).into_owned());
                self.figures.push((called.unwrap_or_default(), pages.clone()));
            }
            *self.sorts.entry(sort).or_default() += 1;
        }
        pages
    }

    fn count(&self, sort: &str) -> usize {
        self.sorts.get(sort).copied().unwrap_or_default()
    }
}

/// How many elements of the page a selector finds, those that are folded away left out.
fn shown(page: &Html, selector: &str) -> usize {
    let all = Selector::parse(selector).expect("a selector");
    let folded = Selector::parse(&format!("details {selector}")).expect("a selector");
    page.select(&all).count() - page.select(&folded).count()
}

/// Prints pages of an example on both papers; each with its arguments and the most pages that it may take.
fn print(build: &str, calls: &[(&[&str], usize)]) {
    print_in(&Workshop::with_example(build), build, calls);
}

fn print_in(workshop: &Workshop, build: &str, calls: &[(&[&str], usize)]) {
    let Some(browser) = browser() else {
        eprintln!("no browser is installed ({}): the sheet is not printed", BROWSERS.join(", "));
        return;
    };
    let folder = workshop.path("browser");
    std::fs::create_dir(&folder).expect("a folder");
    let path = format!("examples/{build}");
    for (arguments, most) in calls {
        let made = workshop.run(&[&["sheet", &path, "--on", "2026-06-01"], *arguments].concat());
        assert_eq!(made.status, 0, "{}", made.err);
        let page = Html::parse_document(&made.out);
        for (paper, size, points) in [("A4", "210mm 297mm", [595.0, 842.0]), ("Letter", "8.5in 11in", [612.0, 792.0])] {
            let what = format!("{build} {arguments:?} on {paper}");
            let sized = made.out.replacen("</style>", &format!("@page{{size:{size}}}</style>"), 1);
            workshop.write("page.html", sized.as_bytes());
            let file = folder.join("page.pdf");
            let to = format!("--print-to-pdf={}", file.display());
            open(browser, &folder, &[&to, "--no-pdf-header-footer"], &workshop.path("page.html"));
            let bytes = std::fs::read(&file).expect("the printed file");
            std::fs::remove_file(&file).expect("the file goes");
            assert_eq!(size_of_paper(&bytes), points, "{what}");

            let printed = Printed::read(&bytes);
            assert!((2..=*most).contains(&printed.pages), "{what}: {} pages", printed.pages);
            assert_eq!(printed.count("Art"), shown(&page, "article.finding"), "{what}: findings");
            assert_eq!(printed.count("Table"), shown(&page, "table"), "{what}: tables");
            let rows = shown(&page, "tr") - shown(&page, ".drawn tr");
            assert_eq!(printed.count("TR"), rows, "{what}: rows of tables, blanks to write on among them");
            // A picture is tagged twice, with its caption and alone.
            let pictures = shown(&page, "figure") + shown(&page, "figure > svg");
            assert_eq!(printed.figures.len(), pictures, "{what}: pictures");
            let cut: Vec<_> = printed.figures.iter().filter(|(_, pages)| pages.len() != 1).collect();
            assert!(cut.is_empty(), "{what}: {cut:?}");
        }
    }
}

/// Width and height of the first page, in whole points.
fn size_of_paper(bytes: &[u8]) -> [f64; 2] {
    let document = Document::load_mem(bytes).expect("a printed file");
    let first = document.get_pages().into_values().next().expect("a page");
    let page = document.get_dictionary(first).expect("a page");
    let box_of = page.get_deref(b"MediaBox", &document).and_then(Object::as_array).expect("the size of the paper");
    let side = |n: usize| f64::from(box_of.get(n).and_then(|o| o.as_float().ok()).expect("a length")).round();
    [side(2), side(3)]
}

#[test]
fn a_sound_car_fits_on_fifty_pages_in_brief_on_twelve_and_a_system_on_ten() {
    print(
        "lark-roadster",
        &[
            (&[], 50),
            (&["--brief"], 12),
            (&["--system", "brakes"], 10),
            (&["--system", "road", "--system", "fuel"], 10),
        ],
    );
}

#[test]
fn findings_and_blanks_of_a_faulty_car_are_all_on_paper() {
    print("fell-wagon", &[(&["--brief"], 50)]);
}

#[test]
fn both_revisions_of_a_compared_sheet_are_on_paper() {
    let compared = ["--compare", "HEAD", "--brief"];
    print_in(&common::git::changed_example(), "lark-roadster", &[(&compared, 30), (&compared[..2], 70)]);
}

#[test]
fn a_picture_that_is_cut_is_seen() {
    let Some(browser) = browser() else { return };
    let workshop = Workshop::new(&[]);
    let folder = workshop.path("browser");
    std::fs::create_dir(&folder).expect("a folder");
    let long = "<figure><p>above</p><div style=\"height:300mm\"></div><p>below</p></figure>";
    workshop.write("page.html", format!("<!doctype html><html lang=\"en\"><title>long</title>{long}").as_bytes());
    let file = folder.join("page.pdf");
    let to = format!("--print-to-pdf={}", file.display());
    open(browser, &folder, &[&to, "--no-pdf-header-footer"], &workshop.path("page.html"));
    let printed = Printed::read(&std::fs::read(&file).expect("the printed file"));
    assert_eq!(printed.figures.iter().map(|(_, pages)| pages.len()).collect::<Vec<_>>(), [2]);
}
