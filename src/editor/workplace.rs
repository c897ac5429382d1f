//! Everything the server knows between two messages: what is open, in which repositories, and what it has said of it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use jiff::civil::Date;
use lsp_types::{Diagnostic, Position, PublishDiagnosticsParams, Uri};

use super::diagnostics::Making;
use super::documents::{Document, Documents};
use super::judged::Judged;
use super::opened::{Build, Opened, Touched};
use super::position::{Encoding, Lines};
use super::settings::Settings;
use super::uri::{path_of, uri_of};
use crate::repository::BUILD_FILE;
use crate::source::FileId;

/// What the client can do, and what was agreed with it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Client {
    /// In what positions are counted.
    pub encoding: Encoding,
    /// Whether it shows places related to a diagnostic.
    pub related: bool,
    /// Whether it takes texts with gaps to be filled in.
    pub snippets: bool,
    /// Whether it can be asked to watch files.
    pub watches: bool,
}

/// What was said of a text: of which version of it, and the diagnostics.
type Said = (Option<i32>, Vec<Diagnostic>);

/// What is known between two messages.
pub struct Workplace {
    /// The open texts.
    pub documents: Documents,
    /// What the client can do.
    pub client: Client,
    /// What the builder has chosen.
    pub settings: Settings,
    /// Folders that the client has opened.
    pub folders: Vec<PathBuf>,
    more_rules: Vec<PathBuf>,
    repositories: Vec<Opened>,
    /// What was last said, by address; of the others nothing was.
    said: BTreeMap<String, Said>,
}

/// A file of a build in the hands of a request.
pub struct Here<'a> {
    /// The repository.
    pub opened: &'a Opened,
    /// The build that the file is part of.
    pub build: &'a Build,
    /// The path of the file from the repository's root.
    pub path: String,
}

impl Workplace {
    /// Nothing is open yet. `more_rules` are folders with rules beside the repositories' own.
    pub fn new(more_rules: &[PathBuf]) -> Workplace {
        Workplace {
            documents: Documents::default(),
            client: Client::default(),
            settings: Settings::default(),
            folders: Vec::new(),
            more_rules: more_rules.to_vec(),
            repositories: Vec::new(),
            said: BTreeMap::new(),
        }
    }

    /// Takes note that a file has changed, here or on the disk.
    pub fn changed(&mut self, path: &Path) {
        let Some(at) = self.repository_around(path) else { return };
        let Some(opened) = self.repositories.get_mut(at) else { return };
        if let Some(below) = opened.path_below(path) {
            opened.changed(&below, &self.documents);
        }
    }

    /// Has everything judged anew, after a change of the settings.
    pub fn all_changed(&mut self) {
        self.repositories.iter_mut().for_each(Opened::all_changed);
    }

    /// The repository around a file, opened if it is not yet; only a file that is open, or lies in a repository that is,
    /// opens one.
    fn repository_around(&mut self, path: &Path) -> Option<usize> {
        let known = |o: &Opened| path.starts_with(&o.root);
        let deepest = |(_, o): &(usize, &Opened)| o.root.components().count();
        let known =
            self.repositories.iter().enumerate().filter(|(_, o)| known(o)).max_by_key(deepest).map(|(at, _)| at);
        if self.documents.get(path).is_none() {
            return known;
        }
        let root = self.root_of(path)?;
        let found = self.repositories.iter().position(|o| o.root == root);
        Some(found.unwrap_or_else(|| {
            self.repositories.push(Opened::new(root, &self.more_rules));
            self.repositories.len() - 1
        }))
    }

    /// The nearest folder above with `.git`; without one that which the client has opened, that of the build, or the file's.
    fn root_of(&self, path: &Path) -> Option<PathBuf> {
        let folder = path.parent()?;
        let with = |name: &str| folder.ancestors().find(|a| a.join(name).exists());
        let client = || self.folders.iter().filter(|f| folder.starts_with(f)).max_by_key(|f| f.components().count());
        let root = with(".git").or_else(|| client().map(PathBuf::as_path)).or_else(|| with(BUILD_FILE));
        Some(root.unwrap_or(folder).to_path_buf())
    }

    /// Does one step of what is to be done; `None` if there is nothing left, else what is to be said after it.
    pub fn step(&mut self, day: Date) -> Option<Vec<PublishDiagnosticsParams>> {
        for at in 0..self.repositories.len() {
            let all = self.settings.all_builds;
            let step = self.at_work(at, |opened, documents, making| opened.step(documents, day, making, all));
            if let Some(touched) = step.flatten() {
                return Some(self.news(at, touched));
            }
        }
        None
    }

    /// Brings what a file is part of up to date, and gives what is to be said after it.
    pub fn settle(&mut self, uri: &Uri, day: Date) -> Vec<PublishDiagnosticsParams> {
        let Some(path) = path_of(uri.as_str()) else { return Vec::new() };
        let Some(at) = self.repository_around(&path) else { return Vec::new() };
        let touched = self.at_work(at, |opened, documents, making| {
            let below = opened.path_below(&path)?;
            Some(opened.settle(&below, documents, day, making))
        });
        self.news(at, touched.flatten().unwrap_or_default())
    }

    /// Does something with a repository.
    fn at_work<T>(&mut self, at: usize, act: impl Fn(&mut Opened, &Documents, &Making) -> T) -> Option<T> {
        let documents = &self.documents;
        let opened = self.repositories.get_mut(at)?;
        let root = opened.root.clone();
        let making = Making {
            encoding: self.client.encoding,
            related: self.client.related,
            settings: self.settings,
            address: &|path| address(&root, path, documents),
        };
        Some(act(opened, documents, &making))
    }

    /// What differs from what was last said of some files: changed diagnostics, or those of a new version of an open text.
    fn news(&mut self, at: usize, touched: Touched) -> Vec<PublishDiagnosticsParams> {
        let Some(opened) = self.repositories.get(at) else { return Vec::new() };
        let mut news = Vec::new();
        for path in touched {
            let document = self.documents.get(&opened.root.join(&path));
            let (version, diagnostics) = (document.map(|d| d.version), opened.said_of(&path));
            let Some(uri) = address(&opened.root, &path, &self.documents) else { continue };
            let quiet = version.is_none() && diagnostics.is_empty();
            let before = self.said.get(uri.as_str());
            if before.map_or(quiet, |said| said.0 == version && said.1 == diagnostics) {
                continue;
            }
            if quiet {
                self.said.remove(uri.as_str());
            } else {
                self.said.insert(uri.as_str().to_owned(), (version, diagnostics.clone()));
            }
            news.push(PublishDiagnosticsParams::new(uri, diagnostics, version));
        }
        news
    }

    /// The text at an address, if it is open.
    pub fn text(&self, uri: &Uri) -> Option<&str> {
        self.documents.get(&path_of(uri.as_str())?).map(Document::text)
    }

    /// The file of a build at an address.
    pub fn here(&self, uri: &Uri) -> Option<Here<'_>> {
        let path = path_of(uri.as_str())?;
        let opened = self.repository_of(&path)?;
        let path = opened.path_below(&path)?;
        let (_, build) = opened.build_of(&path)?;
        Some(Here { opened, build, path })
    }

    /// The innermost open repository around a file.
    fn repository_of(&self, path: &Path) -> Option<&Opened> {
        let around = self.repositories.iter().filter(|opened| path.starts_with(&opened.root));
        around.max_by_key(|opened| opened.root.components().count())
    }

    /// An open rule file of a repository.
    pub fn rule_file(&self, uri: &Uri) -> Option<(&Opened, &Document)> {
        let path = path_of(uri.as_str())?;
        let document = self.documents.get(&path)?;
        let in_force = |opened: &&Opened| opened.path_below(&path).is_some_and(|below| opened.is_in_force(&below));
        let opened = self.repository_of(&path).filter(in_force)?;
        Some((opened, document))
    }

    /// Every known build, with its repository.
    pub fn builds(&self) -> impl Iterator<Item = (&Opened, &Build)> {
        self.repositories.iter().flat_map(|opened| opened.builds().map(move |(_, build)| (opened, build)))
    }

    /// The address of a file of a repository: as the client writes it, if it is open.
    pub fn address(&self, opened: &Opened, path: &str) -> Option<Uri> {
        address(&opened.root, path, &self.documents)
    }

    /// The file of a judgement, and the byte in it, of a position in a text.
    pub fn byte(&self, here: &Here, judged: &Judged, position: Position) -> Option<(FileId, u32)> {
        let file = judged.file(&here.path)?;
        Some((file, Lines::of(&judged.spec.sources, file, self.client.encoding).byte(position)))
    }
}

fn address(root: &Path, path: &str, documents: &Documents) -> Option<Uri> {
    let path = root.join(path);
    let uri = documents.get(&path).map_or_else(|| uri_of(&path), |document| document.uri.clone());
    Uri::from_str(&uri).ok()
}
