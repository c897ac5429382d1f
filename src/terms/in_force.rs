//! The terms in force: the built-in schema, a repository's own, and what the rulebook adds under `known`.

use std::sync::{Arc, OnceLock};

use jsonschema::Validator;
use serde_json::Value;

use super::bundle::bundle;
use super::error::{SchemaError, SchemaProblem};
use super::keywords::compile;
use super::meta::check_form;
use super::node::LocatedJson;
use super::schema::Definitions;
use super::types::{Absence, Field, FieldType, ListId, ListType, RecordId, RecordType, Types};
use crate::source::{Sources, unpack};

/// The built-in files: path from the project's root, and text.
pub(super) const BUILT_IN: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/schema_files.rs"));

/// The same as read, packed by the build script.
const PACKED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/schema_tree.bin"));

/// The definition of a whole spec.
pub(super) const SPEC: &str = "spec";

/// The definition of a repository's settings.
pub(super) const SETTINGS: &str = "settings";

/// What a spec may say.
pub struct Terms {
    types: Arc<Types>,
    validator: OnceLock<Result<Validator<LocatedJson>, String>>,
}

/// Schema files that cannot be used, with every reason.
#[derive(Debug, Clone)]
pub struct SchemaRefused {
    /// The texts that the reasons point into.
    pub sources: Sources,
    /// The reasons, in the order of files and places.
    pub errors: Vec<SchemaError>,
}

impl Terms {
    /// The built-in terms.
    ///
    /// # Errors
    /// If the built-in files are wrong, which a test rules out.
    pub fn built_in() -> Result<Terms, SchemaRefused> {
        Terms::with_own(&[])
    }

    /// The built-in terms with a repository's own below the key `own`: files of the same form, name and text, whose definitions
    /// are named `own.…`; each `own.x` becomes the key `x`.
    ///
    /// # Errors
    /// Everything that is wrong with the files.
    pub fn with_own(files: &[(&str, &str)]) -> Result<Terms, SchemaRefused> {
        match unpack(PACKED, BUILT_IN) {
            Some(read) => Terms::of(Definitions::of_read(read), files, SPEC),
            None => Terms::load(BUILT_IN, files),
        }
    }

    /// The terms of a repository's settings: what the file of that name may say.
    ///
    /// # Errors
    /// If the built-in files are wrong, which a test rules out.
    pub fn of_settings() -> Result<Terms, SchemaRefused> {
        let mut definitions = unpack(PACKED, BUILT_IN).map(Definitions::of_read).unwrap_or_else(Definitions::new);
        if definitions.files.is_empty() {
            definitions.add_all(BUILT_IN);
        }
        Terms::of(definitions, &[], SETTINGS)
    }

    /// Terms of other files than the built-in ones, for those who write them.
    ///
    /// # Errors
    /// Everything that is wrong with the files.
    pub fn of_files(files: &[(&str, &str)]) -> Result<Terms, SchemaRefused> {
        Terms::load(files, &[])
    }

    /// As [`Terms::with_own`], on other files than the built-in ones. Those must be of the form that a schema has: a test has
    /// seen to it, and no time is spent on it here.
    pub(super) fn load(files: &[(&str, &str)], own: &[(&str, &str)]) -> Result<Terms, SchemaRefused> {
        let mut definitions = Definitions::new();
        definitions.add_all(files);
        Terms::of(definitions, own, SPEC)
    }

    /// The terms of types that were made from schema files before.
    pub(crate) fn of_types(types: Types) -> Terms {
        Terms { types: Arc::new(types), validator: OnceLock::new() }
    }

    fn of(mut definitions: Definitions, own: &[(&str, &str)], root: &str) -> Result<Terms, SchemaRefused> {
        for (name, text) in own {
            definitions.add(name, text, true);
        }
        if !own.is_empty() {
            check_form(&mut definitions, |own| own);
        }
        let mut types = None;
        if definitions.errors.is_empty() {
            let (made, unused) = definitions.types(root);
            let unused = unused.into_iter().filter(|(name, _)| name.starts_with("own."));
            let unused = unused.map(|(name, span)| SchemaError { problem: SchemaProblem::Unused { name }, span });
            definitions.errors.extend(unused.collect::<Vec<_>>());
            types = Some(made);
        }
        match types {
            Some(types) if definitions.errors.is_empty() => Ok(Terms::of_types(types)),
            _ => {
                let (sources, mut errors) = (definitions.sources, definitions.errors);
                errors.sort_by_key(|error| (error.span.file, error.span.start, error.span.end));
                Err(SchemaRefused { sources, errors })
            }
        }
    }

    /// Gives a record a key `known`, a record of these keys: what a builder may know better than a figure computes it. A second
    /// call for the same record adds to it. Call it before any spec is read; specs read before keep their types.
    pub fn add_known(&mut self, record: RecordId, fields: Vec<Field>) {
        self.validator = OnceLock::new();
        let types = Arc::make_mut(&mut self.types);
        let owner = types.record(record);
        let present = owner.slot("known").and_then(|slot| owner.field(slot)).map(|field| field.ty.clone());
        let known = match present {
            Some(FieldType::Record(known)) => known,
            _ => {
                let name = format!("{}.known", owner.name);
                let description =
                    "What is known better than it can be computed here: measured, or stated by the maker.";
                let known = RecordId(types.records.len() as u16);
                types.records.push(RecordType::new(&name, description));
                let mut field = Field::new("known", FieldType::Record(known), description);
                // Nothing is asked for here: the figure stands in.
                field.absent = Absence::None;
                types.record_mut(record).push(field);
                known
            }
        };
        for mut field in fields {
            field.absent = Absence::None;
            if types.record(known).slot(&field.name).is_none() {
                types.record_mut(known).push(field);
            }
        }
    }

    /// The record and list types.
    pub fn types(&self) -> &Arc<Types> {
        &self.types
    }

    /// A record type; as [`Types::record`].
    pub fn record(&self, id: RecordId) -> &RecordType {
        self.types.record(id)
    }

    /// A list type; as [`Types::list`].
    pub fn list(&self, id: ListId) -> &ListType {
        self.types.list(id)
    }

    /// The record type of the whole spec.
    pub fn root(&self) -> RecordId {
        self.types.root()
    }

    /// The record type of a definition, `brakes.axle`.
    pub fn record_named(&self, name: &str) -> Option<RecordId> {
        self.types.record_named(name)
    }

    /// The list type whose path that is, `fuel.pumps`.
    pub fn list_at(&self, path: &str) -> Option<ListId> {
        self.types.list_at(path)
    }

    /// The whole schema as one JSON Schema (draft 2020-12), with our keywords beside plain ones.
    pub fn bundle(&self) -> Value {
        bundle(&self.types, true)
    }

    /// The compiled schema; compiled on first use.
    pub(super) fn validator(&self) -> Result<&Validator<LocatedJson>, &String> {
        self.validator.get_or_init(|| compile(&bundle(&self.types, false))).as_ref()
    }
}
