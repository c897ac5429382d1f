//! Reads the files of `schema/`, and a repository's own, into [`Types`].
//!
//! In come named texts of the form that `schema/README.md` gives; out come the record and list types reachable from the
//! definition `spec`, or every [`SchemaError`] with its place. The meta-schema (`meta`) looks after the form; this looks after
//! what a form cannot say: that references lead somewhere, that kinds exist, that ranges are quantities.

use std::collections::{BTreeMap, BTreeSet};

use super::error::{SchemaError, SchemaProblem};
use super::lay::CHANGED_KEY;
use super::round::{Station, Tool};
use super::types::{Absence, Field, FieldType, ListId, ListMembers, ListType, RecordId, RecordType, Slot, Types};
use crate::quantity::{Designation, DesignationKind, Kind, parse};
use crate::source::{Later, NodeId, PART_KEY, ReadFiles, SharedText, Sources, Span, Tree, parse_file};

/// The deepest chain of definitions that only name another one.
const CHAIN_LIMIT: usize = 16;

/// Records within records, along any path; a repository's own schema must not be able to exhaust the stack.
const DEPTH_LIMIT: usize = 100;

/// Records, and keys of one record: what slots and ids can number, with room to spare.
const COUNT_LIMIT: usize = 60_000;

/// All definitions of the schema files, before they are made into types.
pub(super) struct Definitions {
    pub(super) sources: Sources,
    pub(super) tree: Tree,
    /// The root map of each file, and whether it is the repository's own.
    pub(super) files: Vec<(NodeId, bool)>,
    named: BTreeMap<SharedText, (NodeId, Span)>,
    pub(super) errors: Vec<SchemaError>,
}

impl Definitions {
    pub(super) fn new() -> Definitions {
        Definitions {
            sources: Sources::default(),
            tree: Tree::default(),
            files: Vec::new(),
            named: BTreeMap::new(),
            errors: Vec::new(),
        }
    }

    /// The definitions of files that were read before.
    pub(super) fn of_read(files: ReadFiles) -> Definitions {
        let mut definitions = Definitions { sources: files.sources, tree: files.tree, ..Definitions::new() };
        for root in files.roots.into_iter().flatten() {
            definitions.define(root, false);
        }
        definitions
    }

    /// Adds a file; its definitions must be `own.…` if it is the repository's own.
    pub(super) fn add(&mut self, name: &str, text: &str, own: bool) {
        let (root, errors) = parse_file(&mut self.sources, name, text.as_bytes(), &mut self.tree);
        self.errors.extend(errors.into_iter().map(|e| SchemaError { span: e.span, problem: SchemaProblem::Source(e) }));
        if let Some(root) = root {
            self.define(root, own);
        }
    }

    /// Adds files that are not a repository's own.
    pub(super) fn add_all(&mut self, files: &[(&str, &str)]) {
        for (name, text) in files {
            self.add(name, text, false);
        }
    }

    /// Takes the definitions of a file that has been read.
    fn define(&mut self, root: NodeId, own: bool) {
        self.files.push((root, own));
        for entry in self.tree.entries(root).unwrap_or_default() {
            let problem = if own && !entry.key.starts_with("own.") {
                SchemaProblem::NotOwn { name: (*entry.key).into() }
            } else if let Some((_, first)) = self.named.get(&*entry.key) {
                SchemaProblem::DefinedTwice { name: (*entry.key).into(), first: *first }
            } else {
                self.named.insert((*entry.key).into(), (entry.value, entry.key_span));
                continue;
            };
            self.errors.push(SchemaError { problem, span: entry.key_span });
        }
    }

    /// Makes the types that the definition `root` leads to; gives also the definitions that nothing leads to.
    pub(super) fn types(&mut self, root: &str) -> (Types, Vec<(SharedText, Span)>) {
        let mut loader = Loader {
            tree: &self.tree,
            sources: &self.sources,
            named: &self.named,
            types: Types { records: Vec::new(), lists: Vec::new() },
            records: BTreeMap::new(),
            lists: BTreeMap::new(),
            used: BTreeSet::new(),
            references: Vec::new(),
            depth: 0,
            errors: Vec::new(),
        };
        loader.load(root);
        let unused = self.named.iter().filter(|(name, _)| !loader.used.contains(&***name));
        let unused = unused.map(|(name, (_, span))| (name.clone(), *span)).collect();
        let (types, errors) = (loader.types, loader.errors);
        self.errors.extend(errors);
        (types, unused)
    }
}

/// Where a reference's list must be put in once all lists are known.
enum Waiting {
    Field(RecordId, Slot),
    Member(ListId),
}

struct Loader<'a> {
    tree: &'a Tree,
    sources: &'a Sources,
    named: &'a BTreeMap<SharedText, (NodeId, Span)>,
    types: Types,
    records: BTreeMap<NodeId, RecordId>,
    lists: BTreeMap<NodeId, ListId>,
    used: BTreeSet<&'a str>,
    references: Vec<(Waiting, NodeId)>,
    depth: usize,
    errors: Vec<SchemaError>,
}

/// Stands in a reference until its list is known; the load fails if it never is.
const NO_LIST: ListId = ListId(u16::MAX);

impl<'a> Loader<'a> {
    fn load(&mut self, root: &str) {
        let Some((name, (spec, span))) = self.named.get_key_value(root) else {
            self.errors
                .push(SchemaError { problem: SchemaProblem::NoSpec, span: self.tree.node(self.tree.root()).span });
            return;
        };
        self.used.insert(name);
        if !self.is_record(*spec) {
            self.errors.push(SchemaError { problem: SchemaProblem::NoSpec, span: *span });
            return;
        }
        self.record(root, *spec, "");
        self.load_own();
        for (waiting, node) in std::mem::take(&mut self.references) {
            let path = self.text(node);
            let Some(list) = self.list_of(path) else {
                self.problem(node, SchemaProblem::NoSuchList { path: path.into() });
                continue;
            };
            match waiting {
                Waiting::Field(record, slot) => {
                    self.types.records[usize::from(record.0)].fields[usize::from(slot.0)].ty =
                        FieldType::Reference(list);
                }
                Waiting::Member(of) => {
                    self.types.lists[usize::from(of.0)].members = ListMembers::Values(FieldType::Reference(list));
                }
            }
        }
    }

    /// Puts the repository's own systems below the key `own`.
    fn load_own(&mut self) {
        let root = &self.types.records[0];
        let own = root.slot("own").and_then(|slot| root.field(slot)).map(|field| &field.ty);
        let Some(&FieldType::Record(own)) = own else { return };
        for (name, (node, _)) in self.named {
            let Some(key) = name.strip_prefix("own.").filter(|key| !key.contains('.')) else { continue };
            self.used.insert(name);
            self.types.records[usize::from(own.0)].open = false;
            self.field(own, key, *node, name, "own", Some(name));
        }
    }

    fn problem(&mut self, node: NodeId, problem: SchemaProblem) {
        self.errors.push(SchemaError { problem, span: self.tree.node(node).span });
    }

    fn text(&self, node: NodeId) -> &'a str {
        self.tree.scalar(node).map_or("", |s| &s.text)
    }

    fn text_at(&self, node: NodeId, key: &str) -> Option<&'a str> {
        self.tree.get(node, key).map(|n| self.text(n))
    }

    fn is_record(&self, node: NodeId) -> bool {
        self.text_at(node, "type") == Some("object")
    }

    /// Follows `$ref`: the schema node that says what stands there, and the definition's name where one was named.
    fn target(&mut self, node: NodeId) -> Option<(NodeId, Option<&'a str>)> {
        let mut at = (node, None);
        for _ in 0..CHAIN_LIMIT {
            let Some(reference) = self.tree.get(at.0, "$ref") else { return Some(at) };
            let Some((name, (target, _))) = self.named.get_key_value(self.text(reference)) else {
                self.problem(reference, SchemaProblem::NoSuchDefinition { name: self.text(reference).into() });
                return None;
            };
            self.used.insert(name);
            at = (*target, Some(name));
        }
        self.problem(node, SchemaProblem::Circle);
        None
    }

    fn record(&mut self, name: &str, node: NodeId, path: &str) -> RecordId {
        if let Some(made) = self.records.get(&node) {
            return *made;
        }
        let properties = self.tree.get(node, "properties").and_then(|p| self.tree.entries(p)).unwrap_or_default();
        if self.depth == DEPTH_LIMIT || self.types.records.len().max(properties.len()) >= COUNT_LIMIT {
            self.problem(node, SchemaProblem::TooLarge);
            return RecordId(0);
        }
        let id = RecordId(self.types.records.len() as u16);
        self.records.insert(node, id);
        self.depth += 1;
        let mut record = RecordType::new(name, self.text_at(node, "description").unwrap_or_default());
        record.open = self.text_at(node, "additionalProperties") == Some("true");
        record.station = self.text_at(node, "where").and_then(Station::named);
        record.tool = self.text_at(node, "tool").and_then(Tool::named);
        record.stands_in = self.text_at(node, "stands_in") == Some("true");
        self.types.records.push(record);
        for entry in properties {
            self.field(id, &entry.key, entry.value, name, path, None);
        }
        let refuses = path.is_empty() || self.text_at(node, "data_sheet") == Some("none");
        let record = self.types.record_mut(id);
        // A record with such a key of its own means something else by it.
        let free = [PART_KEY, CHANGED_KEY].iter().all(|key| record.slot(key).is_none());
        record.takes_part = free && !record.open && !refuses;
        if let Some(naming) = self.tree.get(node, "naming") {
            let key = self.text(naming);
            let record = self.types.record_mut(id);
            record.naming = record.slot(key);
            if record.naming.is_none() {
                self.problem(naming, SchemaProblem::NoSuchKey { key: key.into() });
            }
        }
        self.depth -= 1;
        id
    }

    /// Adds a key to a record. `definition` is the name of the record that it stands in, `path` where that stands.
    fn field(&mut self, record: RecordId, key: &str, node: NodeId, definition: &str, path: &str, named: Option<&str>) {
        let path = if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
        let inline = named.map_or_else(|| format!("{definition}.{key}"), str::to_owned);
        let Some((target, _)) = self.target(node) else { return };
        let Some(ty) = self.field_type(node, &path, &inline) else { return };
        let mut field = Field::new(key, ty, "");
        // What the property itself says goes before what the definition says that it names.
        for node in [target, node] {
            self.words(&mut field, node);
        }
        let reference =
            matches!(field.ty, FieldType::Reference(_)).then(|| self.tree.get(target, "refers_to")).flatten();
        let slot = self.types.records[usize::from(record.0)].push(field);
        if let Some(reference) = reference {
            self.references.push((Waiting::Field(record, slot), reference));
        }
    }

    fn words(&mut self, field: &mut Field, node: NodeId) {
        if let Some(description) = self.text_at(node, "description") {
            field.description = Later::now(description.into());
        }
        if let Some(examples) = self.tree.get(node, "examples").and_then(|n| self.tree.items(n)) {
            // Yes and no are quoted in a schema for other readers' sake, and bare in a spec.
            let written = |node: &NodeId| match field.ty {
                FieldType::YesNo => self.text(*node),
                _ => self.sources.slice(self.tree.node(*node).span),
            };
            field.examples = Later::now(examples.iter().map(|e| written(e).into()).collect());
        }
        if self.text_at(node, "unwritten") == Some("none") {
            field.absent = Absence::None;
        }
        if let Some(moved_by) = self.tree.get(node, "moved_by").and_then(|n| self.tree.items(n)) {
            field.moved_by = moved_by.iter().map(|n| self.text(*n).into()).collect();
        }
        // A definition's own words count for what stands in it, wherever it is used.
        field.station = self.text_at(node, "where").and_then(Station::named).or(field.station);
        field.tool = self.text_at(node, "tool").and_then(Tool::named).or(field.tool);
        if let Some(usual) = self.tree.get(node, "usual") {
            field.usual = self.usual(usual, &field.ty);
        }
        if let Some(sizes) = self.tree.get(node, "sizes") {
            field.sizes = self.sizes(sizes, &field.ty);
        }
    }

    fn sizes(&mut self, node: NodeId, ty: &FieldType) -> Vec<SharedText> {
        let reads = |text: &str| match ty {
            FieldType::Quantity(kind) => parse(text, *kind).is_ok(),
            FieldType::Designation(kind) => Designation::read(text, *kind).is_ok(),
            _ => false,
        };
        let items = self.tree.items(node).unwrap_or_default();
        let bad: Vec<NodeId> = items.iter().copied().filter(|item| !reads(self.text(*item))).collect();
        for item in bad {
            self.problem(item, SchemaProblem::BadSize);
        }
        self.tree.items(node).unwrap_or_default().iter().map(|item| self.text(*item).into()).collect()
    }

    fn usual(&mut self, node: NodeId, ty: &FieldType) -> Option<(f64, f64)> {
        let range = match (self.tree.items(node), ty) {
            (Some([low, high]), FieldType::Quantity(kind)) => {
                let end = |n: &NodeId| parse(self.text(*n), *kind).ok().map(|w| w.si);
                end(low).zip(end(high)).filter(|(low, high)| low < high)
            }
            _ => None,
        };
        if range.is_none() {
            self.problem(node, SchemaProblem::BadRange);
        }
        range
    }

    fn field_type(&mut self, node: NodeId, path: &str, inline: &str) -> Option<FieldType> {
        let (node, named) = self.target(node)?;
        let name = named.unwrap_or(inline);
        if let Some(kind) = self.tree.get(node, "quantity") {
            let found = Kind::named(self.text(kind));
            if found.is_none() {
                self.problem(kind, SchemaProblem::NoSuchKind { name: self.text(kind).into() });
            }
            return found.map(FieldType::Quantity);
        }
        if let Some(kind) = self.tree.get(node, "designation") {
            let found = DesignationKind::named(self.text(kind));
            if found.is_none() {
                self.problem(kind, SchemaProblem::NoSuchKind { name: self.text(kind).into() });
            }
            return found.map(FieldType::Designation);
        }
        if self.tree.get(node, "refers_to").is_some() {
            return Some(FieldType::Reference(NO_LIST));
        }
        if let Some(choices) = self.tree.get(node, "enum").and_then(|n| self.tree.items(n)) {
            return Some(FieldType::Choice(choices.iter().map(|n| self.text(*n).into()).collect()));
        }
        if let Some(only) = self.text_at(node, "const") {
            return Some(FieldType::Choice([only.into()].into()));
        }
        if self.text_at(node, "date") == Some("true") {
            return Some(FieldType::Date);
        }
        if self.text_at(node, "point") == Some("true") {
            return Some(FieldType::Point);
        }
        match self.text_at(node, "type") {
            Some("object") => Some(FieldType::Record(self.record(name, node, path))),
            Some("array") => self.list(node, path, name).map(FieldType::List),
            Some("string") => Some(FieldType::Text),
            Some("boolean") => Some(FieldType::YesNo),
            Some("number" | "integer") => Some(FieldType::Quantity(Kind::Number)),
            _ => {
                self.problem(node, SchemaProblem::NoType);
                None
            }
        }
    }

    fn list(&mut self, node: NodeId, path: &str, name: &str) -> Option<ListId> {
        if let Some(made) = self.lists.get(&node) {
            return Some(*made);
        }
        let Some(items) = self.tree.get(node, "items") else {
            self.problem(node, SchemaProblem::NoType);
            return None;
        };
        let id = ListId(self.types.lists.len() as u16);
        self.lists.insert(node, id);
        let ring = self.text_at(node, "ring") == Some("true");
        self.types.lists.push(ListType { path: path.into(), members: ListMembers::Records(Vec::new()), ring });
        let members = self.members(id, items, path, &format!("{name}.item"))?;
        if let ListMembers::Records(records) = &members {
            for record in records {
                self.types.records[usize::from(record.0)].in_list.get_or_insert(id);
            }
        }
        self.types.lists[usize::from(id.0)].members = members;
        Some(id)
    }

    fn members(&mut self, list: ListId, items: NodeId, path: &str, inline: &str) -> Option<ListMembers> {
        let Some(kinds) = self.tree.get(items, "kinds").and_then(|n| self.tree.entries(n)) else {
            let ty = self.field_type(items, path, inline)?;
            if let FieldType::Reference(_) = ty {
                let (target, _) = self.target(items)?;
                self.references.extend(self.tree.get(target, "refers_to").map(|n| (Waiting::Member(list), n)));
            }
            return Some(match ty {
                FieldType::Record(record) => ListMembers::Records(vec![record]),
                other => ListMembers::Values(other),
            });
        };
        let mut records = Vec::new();
        for entry in kinds {
            let name = self.text(entry.value);
            let Some((name, (node, _))) = self.named.get_key_value(name) else {
                self.problem(entry.value, SchemaProblem::NoSuchDefinition { name: name.into() });
                continue;
            };
            self.used.insert(name);
            let record = self.record(name, *node, path);
            let made = &self.types.records[usize::from(record.0)];
            // A record that is still being made (a list of its own kind) has its naming key set only later.
            let naming = self.text_at(*node, "naming");
            if naming != Some(&*entry.key) || made.open {
                self.errors.push(SchemaError {
                    problem: SchemaProblem::NotNamedBy { key: (*entry.key).into() },
                    span: entry.key_span,
                });
            }
            records.push(record);
        }
        Some(ListMembers::Records(records))
    }

    /// The list at a path of keys, through records and the items of lists.
    fn list_of(&self, path: &str) -> Option<ListId> {
        let mut reached: Vec<&FieldType> = vec![&FieldType::Record(RecordId(0))];
        for key in path.split('.') {
            let mut next = Vec::new();
            for ty in reached {
                let records = match ty {
                    FieldType::Record(record) => std::slice::from_ref(record),
                    FieldType::List(list) => match &self.types.list(*list).members {
                        ListMembers::Records(records) => records,
                        ListMembers::Values(_) => continue,
                    },
                    _ => continue,
                };
                for record in records {
                    let record = self.types.record(*record);
                    next.extend(record.slot(key).and_then(|slot| record.field(slot)).map(|field| &field.ty));
                }
            }
            reached = next;
        }
        match reached.first() {
            Some(FieldType::List(list)) => Some(*list),
            _ => None,
        }
    }
}
