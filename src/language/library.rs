//! What expressions can refer to besides the spec: figures, tables and functions in force.

use super::code::{Code, Key};
use super::function::Function;
use super::table::{Table, TableId};
use super::types::Type;
use crate::quantity::{Dimension, UnitId};
use crate::source::{Later, SharedText};
use crate::terms::{RecordId, Terms};
use std::sync::Arc;

/// A figure of a [`Library`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct FigureId(pub u16);

/// A figure, resolved.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct FigureCode {
    /// Its name.
    pub name: SharedText,
    /// The record types that have it.
    pub records: Vec<RecordId>,
    /// Which subjects have it: evaluated with the subject as local 0.
    pub condition: Later<Option<Code>>,
    /// Parameters, locals 1 to n.
    pub takes: Vec<(SharedText, Dimension)>,
    /// Local names in order, behind the parameters.
    pub with: Later<Vec<(SharedText, Code)>>,
    /// The formula.
    pub is: Later<Code>,
    /// How many locals the formula needs.
    pub locals: u16,
    /// The unit to show it in.
    pub unit: Option<UnitId>,
    /// Its type.
    pub ty: Later<Type>,
}

/// What a figure looks like to an expression that uses it.
#[derive(Debug, Clone)]
pub struct FigureSignature {
    /// The figure.
    pub id: FigureId,
    /// Parameters.
    pub takes: Vec<(SharedText, Dimension)>,
    /// Type of its value.
    pub ty: Type,
}

/// Everything that resolved expressions refer to.
#[derive(Clone)]
pub struct Library {
    /// The terms of the specs they are about.
    pub terms: Arc<Terms>,
    /// Figures by [`FigureId`].
    pub figures: Vec<FigureCode>,
    /// Tables by [`TableId`].
    pub tables: Vec<Table>,
    /// Functions, by their index in [`super::code::Op::Native`].
    pub functions: Arc<[Function]>,
}

impl Library {
    /// The name of a key, which is the same in every record type that has it.
    pub fn key_name(&self, keys: &[Key]) -> &str {
        keys.first().map_or("", |key| key.name(&self.terms))
    }

    /// The name of a figure, which is the same on every record type that has it.
    pub fn figure_name(&self, figures: &[(RecordId, FigureId)]) -> &str {
        figures.first().map_or("", |figure| &self.figure(figure.1).name)
    }

    /// The figure.
    pub fn figure(&self, id: FigureId) -> &FigureCode {
        &self.figures[usize::from(id.0)]
    }

    /// The table.
    pub fn table(&self, id: TableId) -> &Table {
        &self.tables[usize::from(id.0)]
    }
}
