//! The settings of a repository: one file at its root, of terms of its own in the form of `schema/`.
//!
//! It is read by the reader of specs, so that whatever is wrong in it is said at its place.

use super::Refused;
use crate::assess::Holding;
use crate::rulebook::Class;
use crate::source::{
    Content, Entry, Files, Parts, ReadBuild, ReadProblem, SourceError, SourceProblem, Sources, Span, Tree, parse_file,
};
use crate::terms::{FieldType, Held, Spec, Terms, TermsError, build_spec};
use std::collections::BTreeMap;

/// The file at a repository's root in which its settings stand.
pub const SETTINGS_FILE: &str = "tramgauge.yaml";

/// The folder of a repository's own rules where no settings say otherwise, and below it, `terms`, its own terms.
pub const OWN_RULES: &str = "shop-rules";

/// How far a build is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// On paper.
    Drawn,
    /// Held together without working parts.
    MockUp,
    /// Moves by itself.
    Running,
}

/// The settings of a repository; those of one without a settings file are [`Settings::default`].
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// Folders in which builds are looked for; none: everywhere.
    pub builds: Option<Vec<String>>,
    /// Folders of its own rules; none: [`OWN_RULES`], if that is there.
    pub own_rules: Option<Vec<String>>,
    holding: BTreeMap<Stage, Holding>,
    /// The file's text, if it says what builds are for.
    uses: Option<Vec<u8>>,
}

/// What is wrong with a settings file.
#[derive(Debug, Clone)]
pub enum SettingsError {
    /// It cannot be read as YAML.
    Source(SourceError),
    /// Its terms do not allow it.
    Terms(TermsError),
    /// A folder that it names cannot be read.
    Folder {
        /// The folder as written.
        folder: String,
        /// Why.
        problem: ReadProblem,
        /// Where.
        span: Span,
    },
}

impl SettingsError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        match self {
            SettingsError::Source(error) => error.message(),
            SettingsError::Terms(error) => error.message(),
            SettingsError::Folder { folder, problem, .. } => match problem {
                ReadProblem::Missing => format!("there is no folder `{folder}`"),
                ReadProblem::Outside => format!("the folder `{folder}` lies outside the repository"),
                _ => format!("the folder `{folder}` cannot be read"),
            },
        }
    }

    /// The way out, where one can be told.
    pub fn help(&self) -> Option<String> {
        match self {
            SettingsError::Source(error) => error.help().map(str::to_string),
            SettingsError::Terms(error) => error.help(),
            SettingsError::Folder { .. } => Some("name folders by their paths from the repository's root".into()),
        }
    }
}

impl Stage {
    /// All stages, in their order.
    pub const ALL: [Stage; 3] = [Stage::Drawn, Stage::MockUp, Stage::Running];

    /// The word for it in a spec.
    pub fn word(self) -> &'static str {
        match self {
            Stage::Drawn => "drawn",
            Stage::MockUp => "mock-up",
            Stage::Running => "running",
        }
    }

    /// The key for it in the settings.
    fn key(self) -> &'static str {
        match self {
            Stage::Drawn => "drawn",
            Stage::MockUp => "mock_up",
            Stage::Running => "running",
        }
    }

    /// The stage that a spec says; none if it does not say.
    pub fn of(spec: &Spec) -> Option<Stage> {
        let word = choice(spec, "build.stage")?;
        Stage::ALL.into_iter().find(|stage| stage.word() == word)
    }

    /// What holds up a commit at this stage where no settings say otherwise.
    fn usual(self) -> Holding {
        let unmeasured = if self == Stage::Running { Some(Class::Dangerous) } else { None };
        Holding { findings: Some(Class::Major), unmeasured, unproven: None }
    }
}

impl Settings {
    /// What holds up a commit of a build at a stage; one that does not say its stage counts as running.
    pub fn holding(&self, stage: Option<Stage>) -> Holding {
        let stage = stage.unwrap_or(Stage::Running);
        self.holding.get(&stage).copied().unwrap_or_else(|| stage.usual())
    }

    /// Whether a build file lies where builds are looked for.
    pub fn looks_at(&self, build_file: &str) -> bool {
        let below = |folder: &String| {
            let folder = plain(folder);
            folder.is_empty() || build_file.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/'))
        };
        self.builds.as_ref().is_none_or(|folders| folders.iter().any(below))
    }

    /// Whether a file belongs to what is in force for all builds: own rules, own terms, the settings themselves.
    pub fn is_in_force(&self, path: &str) -> bool {
        let below = |folder: &str| path.strip_prefix(plain(folder)).is_some_and(|rest| rest.starts_with('/'));
        let rules = self.own_rules.as_ref();
        path == SETTINGS_FILE || rules.map_or_else(|| below(OWN_RULES), |all| all.iter().any(|folder| below(folder)))
    }

    /// Puts the uses that the settings give into a build that says none, with their places in the settings file.
    pub fn complete(&self, read: &mut ReadBuild) {
        let (Some(text), Some(root)) = (&self.uses, read.root) else { return };
        let tree = &read.tree;
        let build = tree.entry(root, "build").cloned();
        let written = match &build {
            Some(build) => tree.entries(build.value).is_none_or(|keys| keys.iter().any(|entry| &*entry.key == "use")),
            None => false,
        };
        if written {
            return;
        }
        let (top, _) = parse_file(&mut read.sources, SETTINGS_FILE, text, &mut read.tree);
        let Some(uses) = top.and_then(|top| read.tree.entry(top, "use").cloned()) else { return };
        let keys = build.as_ref().and_then(|build| read.tree.entries(build.value)).unwrap_or_default();
        let keys = keys.iter().cloned().chain([uses.clone()]).collect();
        let span = build.as_ref().map_or(uses.key_span, |build| read.tree.node(build.value).span);
        let value = read.tree.push(span, Content::Map(keys));
        let completed = Entry { key: "build".into(), key_span: build.map_or(uses.key_span, |b| b.key_span), value };
        let mut entries = read.tree.entries(root).unwrap_or_default().to_vec();
        match entries.iter_mut().find(|entry| &*entry.key == "build") {
            Some(entry) => *entry = completed,
            None => entries.push(completed),
        }
        let span = read.tree.node(root).span;
        let root = read.tree.push(span, Content::Map(entries));
        read.tree.set_root(root);
        read.root = Some(root);
    }

    /// Reads the settings file of a repository.
    ///
    /// # Errors
    /// If it, or a folder that it names, cannot be read, or anything in it is wrong.
    pub fn read(files: &dyn Files) -> Result<Settings, Refused> {
        let text = match files.read(SETTINGS_FILE) {
            Ok(text) => text,
            Err(ReadProblem::Missing) => return Ok(Settings::default()),
            Err(problem) => return Err(Refused::Unreadable(SETTINGS_FILE.into(), problem)),
        };
        let terms = Terms::of_settings().map_err(Refused::Terms)?;
        let (mut sources, mut tree) = (Sources::default(), Tree::new());
        let (top, mut errors) = parse_file(&mut sources, SETTINGS_FILE, &text, &mut tree);
        let root = top.filter(|top| tree.entries(*top).is_some());
        if let (Some(top), None) = (top, root)
            && !tree.node(top).is_unwritten()
        {
            errors.push(SourceError { problem: SourceProblem::NotAMap, span: tree.node(top).span, other: None });
        }
        if let Some(root) = root {
            tree.set_root(root);
        }
        let mut errors: Vec<SettingsError> = errors.into_iter().map(SettingsError::Source).collect();
        let read = ReadBuild { sources, tree, root, sections: Vec::new(), parts: Parts::default(), errors: Vec::new() };
        let (spec, terms_errors) = build_spec(&terms, read);
        errors.extend(terms_errors.into_iter().map(SettingsError::Terms));
        let settings = Settings {
            builds: folders(&spec, "builds", files, &mut errors),
            own_rules: folders(&spec, "own_rules", files, &mut errors),
            holding: Stage::ALL.into_iter().map(|stage| (stage, holding(&spec, stage))).collect(),
            uses: spec.find("use").filter(|place| matches!(spec.held(*place), Held::List { .. })).map(|_| text),
        };
        if errors.is_empty() { Ok(settings) } else { Err(Refused::Settings(spec.sources, errors)) }
    }
}

/// A folder's path without strokes at its ends and dots that mean nothing.
pub(super) fn plain(folder: &str) -> &str {
    let folder = folder.trim_matches('/');
    if folder == "." { "" } else { folder.strip_prefix("./").unwrap_or(folder) }
}

fn folders(spec: &Spec, key: &str, files: &dyn Files, errors: &mut Vec<SettingsError>) -> Option<Vec<String>> {
    let Held::List { items, .. } = spec.held(spec.find(key)?) else { return None };
    let mut folders = Vec::new();
    for item in items {
        let Held::Text(folder) = spec.held(*item) else { continue };
        if let Err(problem) = files.list(plain(folder)) {
            let span = spec.place(*item).span;
            errors.push(SettingsError::Folder { folder: folder.to_string(), problem, span });
        }
        folders.push(folder.to_string());
    }
    Some(folders)
}

fn holding(spec: &Spec, stage: Stage) -> Holding {
    let usual = stage.usual();
    let class = |key: &str, usual: Option<Class>| {
        let path = format!("holding.{}.{key}", stage.key());
        match spec.find(&path).map(|place| spec.held(place)) {
            Some(Held::None) => None,
            Some(Held::Choice(_)) => choice(spec, &path).and_then(Class::named),
            _ => usual,
        }
    };
    Holding {
        findings: class("findings", usual.findings),
        unmeasured: class("unmeasured", usual.unmeasured),
        unproven: class("unproven", usual.unproven),
    }
}

/// The word chosen at a path.
fn choice<'s>(spec: &'s Spec, path: &str) -> Option<&'s str> {
    let place = spec.find(path)?;
    match (spec.held(place), spec.type_of(place)) {
        (Held::Choice(number), Some(FieldType::Choice(words))) => words.get(usize::from(*number)).map(|word| &**word),
        _ => None,
    }
}
