//! Loads a rulebook: reads the files, settles what stands in for what, and checks every expression.
//!
//! Figures are checked when they are first asked for, so that their order in the files does not matter, and a circle of
//! figures is found where it closes.

use super::built_in::{BUILT_IN, unpacked, unpacked_for_judging};
use super::drawings::{Drawing, read_drawing};
use super::error::{RulebookError, RulebookProblem};
use super::events::{Event, read_events};
use super::figures::{Figure, RawFigure, read_figure};
use super::form::Form;
use super::functions::functions;
use super::index::Index;
use super::pieces::Stock;
use super::plots::{Plot, read_plot};
use super::rules::{RawRule, Replaced, check_rule, read_replaces, read_rule};
use super::sources::{Source, read_sources};
use super::subject::Subject;
use super::tables::{TableInfo, read_table};
use super::{Rulebook, rules::Replaces};
use crate::language::check::{Checker, Names};
use crate::language::library::FigureSignature;
use crate::language::{Fault, FigureCode, FigureId, Function, Library, Problem, Table, Type};
use crate::source::{Later, NodeId, ReadFiles, SharedText, Sources, Tree, parse_file};
use crate::terms::{Field, FieldType, RecordId, Terms};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Loads the built-in rule files and a repository's own ones (path and text) on top.
///
/// # Errors
/// Everything that is wrong with them, with the texts that the places point into.
pub fn load_built_in(terms: Terms, own: &[(&str, &str)]) -> Result<Rulebook, (Sources, Vec<RulebookError>)> {
    load_packed(terms, unpacked(), own)
}

/// As [`load_built_in`], without check pieces: for judging only, and in half the time.
///
/// # Errors
/// As [`load_built_in`].
pub fn load_for_judging(terms: Terms, own: &[(&str, &str)]) -> Result<Rulebook, (Sources, Vec<RulebookError>)> {
    load_packed(terms, unpacked_for_judging(), own)
}

fn load_packed(
    terms: Terms,
    packed: Option<ReadFiles>,
    own: &[(&str, &str)],
) -> Result<Rulebook, (Sources, Vec<RulebookError>)> {
    let Some(packed) = packed else { return load(terms, BUILT_IN, own) };
    let mut read = Read { texts: packed.sources, tree: packed.tree, ..Read::default() };
    for ((name, _), root) in BUILT_IN.iter().zip(packed.roots) {
        read.roots.extend(root.map(|r| (r, system_of(name), false)));
    }
    read.add(own, true);
    check(terms, read)
}

/// Loads rule files (path and text) in place of the built-in ones, and a repository's own ones on top.
///
/// # Errors
/// Everything that is wrong with them, with the texts that the places point into.
pub fn load(
    terms: Terms,
    files: &[(&str, &str)],
    own: &[(&str, &str)],
) -> Result<Rulebook, (Sources, Vec<RulebookError>)> {
    let mut read = Read::default();
    read.add(files, false);
    read.add(own, true);
    check(terms, read)
}

/// Rule files as read, before anything in them is checked.
#[derive(Default)]
struct Read {
    texts: Sources,
    tree: Tree,
    /// The top of each file, the system whose folder it stands in, and whether it is a repository's own.
    roots: Vec<(NodeId, String, bool)>,
    errors: Vec<RulebookError>,
}

impl Read {
    fn add(&mut self, files: &[(&str, &str)], own: bool) {
        for (name, text) in files {
            let (root, problems) = parse_file(&mut self.texts, name, text.as_bytes(), &mut self.tree);
            self.errors.extend(problems.into_iter().map(|p| RulebookError {
                span: p.span,
                other: p.other,
                problem: RulebookProblem::Source(p),
            }));
            self.roots.extend(root.map(|r| (r, system_of(name), own)));
        }
    }
}

fn check(mut terms: Terms, read: Read) -> Result<Rulebook, (Sources, Vec<RulebookError>)> {
    let Read { texts, tree, roots, errors } = read;
    let mut form = Form::new(&tree, &texts);
    form.errors = errors;
    let read = read_all(&mut form, &roots, &terms);
    for figure in &read.figures {
        let records = figure.of.records(terms.types());
        // A path finds the key first: such a figure could never be read.
        let hidden = |record: &RecordId| terms.types().record(*record).slot(&figure.name).is_some();
        if !records.is_empty() && records.iter().all(hidden) {
            form.error(RulebookProblem::Taken { what: "key", name: figure.name.to_string() }, figure.place);
        }
        let Some(kind) = figure.may_be_known else { continue };
        for record in records {
            terms.add_known(record, vec![Field::new(&figure.name, FieldType::Quantity(kind), &figure.means)]);
        }
    }
    let terms = Arc::new(terms);
    let mut loading = Loading::new(terms.clone(), read.figures, read.tables, &mut form);
    for at in 0..loading.raw.len() {
        let _ = loading.settle(at);
    }
    let mut rules = Vec::new();
    for raw in read.rules {
        let mut rule_form = Form::new(&tree, &texts);
        let rule = check_rule(raw, &mut rule_form, Checker::new(&mut loading));
        rule_form.errors.retain(|e| !matches!(&e.problem, RulebookProblem::Expression(Problem::FaultyFigure(_))));
        loading.errors.append(&mut rule_form.errors);
        rules.extend(rule);
    }
    let Loading { figures, tables, errors: more, replaced, functions, .. } = loading;
    let mut errors = form.errors;
    errors.extend(more);
    errors.sort_by_key(|e| (e.span.file, e.span.start, e.span.end));
    let (mut codes, mut infos) = (Vec::new(), Vec::new());
    for state in figures {
        if let State::Done(code, info) = state {
            codes.push(*code);
            infos.push(*info);
        }
    }
    let mut plot_form = Form::new(&tree, &texts);
    let (plots, drawings) = read_plots(&mut plot_form, &roots, &infos);
    // A figure that is faulty itself is not missed a second time.
    if errors.is_empty() {
        errors = plot_form.errors;
    }
    if !errors.is_empty() {
        return Err((texts, errors));
    }
    let (tables, table_infos) = tables.into_iter().unzip();
    let replaced: Vec<Replaced> = read.replaced.into_iter().chain(replaced).collect();
    let index = Arc::new(Index { plots, drawings, ..Index::new(&rules, &infos, &codes, &replaced) });
    let library = Library { terms, figures: codes, tables, functions };
    let (figures, tables) = (Later::now(infos), Later::now(table_infos));
    let (sources, events) = (read.sources, read.events);
    Ok(Rulebook { library, rules, figures, tables, sources, events, replaced, index, texts, tree })
}

/// How many figures may rest on each other in a row.
const LONGEST_CHAIN: usize = 24;

/// The folder below which a rule file stands.
fn system_of(name: &str) -> String {
    let mut parts = name.rsplit('/');
    parts.next();
    parts.next().unwrap_or_default().to_string()
}

/// Everything read, with stand-ins settled.
struct AllRead {
    sources: Vec<Source>,
    events: Vec<Event>,
    tables: Vec<(Table, TableInfo)>,
    figures: Vec<RawFigure>,
    rules: Vec<RawRule>,
    replaced: Vec<Replaced>,
}

/// The plots and drawings of all files, when their figures are known.
fn read_plots(form: &mut Form, roots: &[(NodeId, String, bool)], figures: &[Figure]) -> (Vec<Plot>, Vec<Drawing>) {
    let (mut plots, mut drawings) = (Vec::new(), Vec::new());
    for (root, system, _) in roots {
        let list = |form: &mut Form, key: &str| form.tree.get(*root, key).map_or(Vec::new(), |n| form.list(n));
        for node in list(form, "plots") {
            plots.extend(read_plot(form, node, system, figures));
        }
        for node in list(form, "drawings") {
            drawings.extend(read_drawing(form, node, system, figures));
        }
    }
    (plots, drawings)
}

fn read_all(form: &mut Form, roots: &[(NodeId, String, bool)], terms: &Terms) -> AllRead {
    let mut all = AllRead {
        sources: Vec::new(),
        events: Vec::new(),
        tables: Vec::new(),
        figures: Vec::new(),
        rules: Vec::new(),
        replaced: Vec::new(),
    };
    let mut stock: Stock = Vec::new();
    for (root, system, own) in roots {
        const KEYS: [&str; 9] =
            ["sources", "events", "tables", "figures", "rules", "plots", "drawings", "stock", "coverage"];
        form.entries(*root, "a rule file", &KEYS);
        if let Some(list) = form.tree.get(*root, "sources") {
            read_sources(form, list, &mut all.sources);
        }
        if let Some(list) = form.tree.get(*root, "events") {
            read_events(form, list, *own, &mut all.events);
        }
        for entry in form.tree.get(*root, "stock").and_then(|n| form.tree.entries(n)).unwrap_or_default() {
            stock.push((system.as_str().into(), (*entry.key).into(), entry.value));
        }
    }
    for (root, system, own) in roots {
        let list = |form: &mut Form, key: &str| form.tree.get(*root, key).map_or(Vec::new(), |n| form.list(n));
        for node in list(form, "tables") {
            let Some((table, info)) = read_table(form, node, system, terms.types(), &all.sources) else { continue };
            let replaces = read_replaces(form, form.tree.get(node, "replaces"));
            let old = all
                .tables
                .iter()
                .position(|t| t.0.name == table.name || replaces.as_ref().is_some_and(|r| r.name == t.0.name));
            match (old, replaces) {
                (None, None) => all.tables.push((table, info)),
                (Some(at), Some(replaces)) if *own => {
                    all.replaced.push(stand_in("table", &replaces, &table.name, Vec::new()));
                    all.tables[at] = (table, info);
                }
                (_, replaces) => refuse(form, "table", &table.name, node, replaces),
            }
        }
        for node in list(form, "figures") {
            let Some(figure) = read_figure(form, node, system, *own, &all.sources) else { continue };
            all.figures.push(figure);
        }
        for node in list(form, "rules") {
            let known = (&all.sources[..], &all.events[..]);
            let Some(mut rule) = read_rule(form, node, system, *own, known, &stock) else { continue };
            let replaces = rule.replaces.take();
            let old = all
                .rules
                .iter()
                .position(|r| r.name == rule.name || replaces.as_ref().is_some_and(|s| s.name == r.name));
            match (old, replaces) {
                (None, None) => all.rules.push(rule),
                (Some(at), Some(replaces)) if *own && !all.rules[at].own => {
                    let pieces = std::mem::take(&mut all.rules[at].pieces);
                    all.replaced.push(stand_in("rule", &replaces, &rule.name, pieces));
                    all.rules[at] = rule;
                }
                (_, replaces) => refuse(form, "rule", &rule.name.clone(), rule.name_node, replaces),
            }
        }
    }
    all
}

fn stand_in(what: &'static str, replaces: &Replaces, name: &str, pieces: Vec<super::CheckPiece>) -> Replaced {
    Replaced {
        what,
        name: replaces.name.clone(),
        stand_in: name.into(),
        reason: replaces.reason.clone(),
        by: replaces.by.clone(),
        pieces,
        place: replaces.place,
    }
}

/// A name that is taken, or a stand-in for something that is not there.
fn refuse(form: &mut Form, what: &'static str, name: &str, node: NodeId, replaces: Option<Replaces>) {
    match replaces {
        Some(replaces) => {
            let problem = RulebookProblem::Unknown { what, name: replaces.name.to_string(), nearest: None };
            form.error(problem, replaces.place);
        }
        None => {
            let span = form.span(node);
            form.error(RulebookProblem::Taken { what, name: name.into() }, span);
        }
    }
}

enum State {
    Waiting,
    Checking,
    Done(Box<FigureCode>, Box<Figure>),
    Faulty,
}

/// A rulebook while its expressions are checked.
struct Loading<'a> {
    terms: Arc<Terms>,
    tree: &'a Tree,
    texts: &'a Sources,
    raw: Vec<RawFigure>,
    figures: Vec<State>,
    index: BTreeMap<RecordId, BTreeMap<SharedText, usize>>,
    tables: Vec<(Table, TableInfo)>,
    plain_tables: Arc<[Arc<Table>]>,
    functions: Arc<[Function]>,
    replaced: Vec<Replaced>,
    errors: Vec<RulebookError>,
    stack: Vec<usize>,
    next: u32,
}

impl<'a> Loading<'a> {
    fn new(
        terms: Arc<Terms>,
        raw: Vec<RawFigure>,
        tables: Vec<(Table, TableInfo)>,
        form: &mut Form<'a>,
    ) -> Loading<'a> {
        let mut index: BTreeMap<RecordId, BTreeMap<SharedText, usize>> = BTreeMap::new();
        let mut replaced = Vec::new();
        let mut kept: Vec<RawFigure> = Vec::new();
        for figure in raw {
            let records = figure.of.records(terms.types());
            if records.is_empty() {
                let of = figure.of_node;
                form.form_error(of, "`NAME in LIST`, or the path of a section of a spec");
                continue;
            }
            let replaces = read_replaces(form, figure.replaces);
            let old = kept.iter().position(|k| {
                let named = k.name == figure.name || replaces.as_ref().is_some_and(|r| r.name == k.name);
                named && k.of.records(terms.types()).iter().any(|r| records.contains(r)) && same_condition(k, &figure)
            });
            match (old, replaces) {
                (None, None) => kept.push(figure),
                (Some(at), Some(replaces)) if figure.own && !kept[at].own => {
                    replaced.push(stand_in("figure", &replaces, &figure.name, Vec::new()));
                    kept[at] = figure;
                }
                (_, replaces) => refuse(form, "figure", &figure.name.clone(), figure.is, replaces),
            }
        }
        for (at, figure) in kept.iter().enumerate() {
            for record in figure.of.records(terms.types()) {
                index.entry(record).or_default().entry(figure.name.clone()).or_insert(at);
            }
        }
        let plain_tables = tables.iter().map(|t| Arc::new(t.0.clone())).collect();
        let figures = kept.iter().map(|_| State::Waiting).collect();
        Loading {
            terms,
            tree: form.tree,
            texts: form.texts,
            raw: kept,
            figures,
            index,
            tables,
            plain_tables,
            functions: functions(),
            replaced,
            errors: Vec::new(),
            stack: Vec::new(),
            next: 0,
        }
    }

    /// Checks a figure, unless that is done.
    fn settle(&mut self, at: usize) -> Result<FigureSignature, Problem> {
        match &self.figures[at] {
            State::Done(code, _) => {
                return Ok(FigureSignature {
                    id: FigureId(at as u16),
                    takes: code.takes.clone(),
                    ty: code.ty.value().clone(),
                });
            }
            State::Faulty => return Err(Problem::FaultyFigure(self.raw[at].name.to_string())),
            State::Checking => {
                let from = self.stack.iter().position(|s| *s == at).unwrap_or(0);
                let names: Vec<_> = self.stack[from..].iter().map(|s| self.raw[*s].name.to_string()).collect();
                return Err(Problem::Circle(format!("{} -> {}", names.join(" -> "), self.raw[at].name)));
            }
            State::Waiting => {}
        }
        if self.stack.len() >= LONGEST_CHAIN {
            return Err(Problem::TooDeep(LONGEST_CHAIN));
        }
        self.figures[at] = State::Checking;
        self.stack.push(at);
        let raw = self.raw[at].clone();
        let checked = self.check(&raw);
        self.stack.pop();
        match checked {
            Ok((code, info)) => {
                let signature =
                    FigureSignature { id: FigureId(at as u16), takes: code.takes.clone(), ty: code.ty.value().clone() };
                self.figures[at] = State::Done(Box::new(code), Box::new(info));
                Ok(signature)
            }
            Err((node, fault)) => {
                let mut form = Form::new(self.tree, self.texts);
                form.fault(node, fault);
                // A figure that only uses a faulty one adds no error of its own.
                form.errors.retain(|e| !matches!(&e.problem, RulebookProblem::Expression(Problem::FaultyFigure(_))));
                self.errors.append(&mut form.errors);
                self.figures[at] = State::Faulty;
                Err(Problem::FaultyFigure(raw.name.to_string()))
            }
        }
    }

    fn check(&mut self, raw: &RawFigure) -> Result<(FigureCode, Figure), (NodeId, Fault)> {
        let (tree, texts) = (self.tree, self.texts);
        let mut form = Form::new(tree, texts);
        let mut checker = Checker::new(self);
        let at = |node: NodeId| move |fault: Fault| (node, fault);
        let (of, ty) = raw.of.check(&mut checker).map_err(at(raw.of_node))?;
        for (name, dimension) in &raw.takes {
            checker.add_local(name, Type::Quantity(*dimension));
        }
        let mut with = Vec::new();
        let mut with_texts = Vec::new();
        for (name, node) in &raw.with {
            let text = form.text(*node).unwrap_or_default();
            let code = checker.text(text).map_err(at(*node))?;
            checker.add_local(name, code.ty().clone());
            with.push((name.clone(), code));
            with_texts.push((name.clone(), text.into()));
        }
        let text = form.text(raw.is).unwrap_or_default();
        let is = checker.text(text).map_err(at(raw.is))?;
        let locals = checker.locals();
        let records = match ty {
            Type::Record(ids) => ids.to_vec(),
            _ => Vec::new(),
        };
        let condition = match &of {
            Subject::Members { condition, .. } => condition.clone(),
            Subject::Section { .. } => None,
        };
        let code = FigureCode {
            name: raw.name.clone(),
            records,
            condition: Later::now(condition),
            takes: raw.takes.clone(),
            with: Later::now(with),
            ty: Later::now(is.ty().clone()),
            is: Later::now(is),
            locals,
            unit: raw.unit,
        };
        let info = Figure {
            name: raw.name.clone(),
            system: raw.system.clone(),
            of,
            means: raw.means.clone(),
            formula: text.into(),
            with: with_texts,
            may_be_known: raw.may_be_known,
            sources: raw.sources.clone(),
            place: raw.place,
        };
        Ok((code, info))
    }
}

/// Whether two figures of one name are for the same members: conditions are compared as written.
fn same_condition(a: &RawFigure, b: &RawFigure) -> bool {
    use super::subject::SubjectText::Members;
    match (&a.of, &b.of) {
        (Members(x, _), Members(y, _)) => {
            format!("{:?}", x.condition.as_ref().map(|c| &c.form))
                == format!("{:?}", y.condition.as_ref().map(|c| &c.form))
        }
        _ => true,
    }
}

impl Names for Loading<'_> {
    fn terms(&self) -> &Terms {
        &self.terms
    }

    fn figure(&mut self, record: RecordId, name: &str) -> Option<Result<FigureSignature, Problem>> {
        let at = *self.index.get(&record)?.get(name)?;
        Some(self.settle(at))
    }

    fn figure_names(&self, record: RecordId) -> Vec<String> {
        self.index.get(&record).into_iter().flat_map(BTreeMap::keys).map(ToString::to_string).collect()
    }

    fn tables(&self) -> Arc<[Arc<Table>]> {
        self.plain_tables.clone()
    }

    fn functions(&self) -> Arc<[Function]> {
        self.functions.clone()
    }

    fn next_id(&mut self) -> u32 {
        self.next += 1;
        self.next
    }
}
