//! Tables of a rulebook and looking things up in them; outside its rows a table says *beyond*, never a guess.

use super::types::{FieldNames, Type};
use crate::quantity::{Dimension, UnitId};
use crate::source::SharedText;
use smallvec::SmallVec;
use std::sync::Arc;

/// A table of a [`super::Library`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct TableId(pub u16);

/// How a key column is matched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Match {
    /// The same value.
    Exact,
    /// The row whose value is the last one not above the key; `open_ended` lets the last row go on for ever.
    Band {
        /// Whether the last row has no upper end.
        open_ended: bool,
    },
    /// Interpolation on a straight line between neighbouring rows.
    Linear,
}

/// What a column holds.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum ColumnType {
    /// Numbers.
    Number(Dimension),
    /// Words of a choice key, or free text.
    Words(Option<Arc<[SharedText]>>),
    /// `yes` or `no`.
    Truth,
}

impl ColumnType {
    /// The type of its cells.
    pub fn of_cells(&self) -> Type {
        match self {
            ColumnType::Number(dimension) => Type::Quantity(*dimension),
            ColumnType::Words(Some(choices)) => Type::Choice(choices.clone()),
            ColumnType::Words(None) => Type::Text,
            ColumnType::Truth => Type::Truth,
        }
    }
}

/// A column.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Column {
    /// Its name.
    pub name: SharedText,
    /// What it holds.
    pub ty: ColumnType,
    /// How it is matched, for a key column.
    pub matched: Option<Match>,
}

/// A cell.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum Cell {
    /// A number in SI with the unit as written.
    Number(f64, Option<UnitId>),
    /// A word.
    Word(Arc<str>),
    /// Yes or no.
    Truth(bool),
    /// There is no value here: the look-up is not applicable.
    None,
}

/// A key value to look for.
#[derive(Debug, Clone, PartialEq)]
pub enum Key {
    /// A number in SI.
    Number(f64),
    /// A word.
    Word(Arc<str>),
    /// Yes or no.
    Truth(bool),
}

/// A table.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Table {
    /// Its name in expressions.
    pub name: SharedText,
    /// Its title for people.
    pub title: SharedText,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows of cells, one for each column.
    pub rows: Vec<Vec<Cell>>,
}

/// What a look-up finds.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// A cell of a row.
    Row(usize),
    /// Between two rows.
    Between {
        /// The row below.
        low: usize,
        /// The row above.
        high: usize,
        /// The share of the way from the row below to the row above.
        share: f64,
        /// The key column on which it lies between them.
        key: usize,
        /// How far apart the rows stand on that column, SI.
        apart: f64,
    },
}

impl Table {
    /// The fields of a row.
    pub fn fields(&self) -> FieldNames {
        self.columns.iter().map(|column| (column.name.clone(), column.ty.of_cells())).collect()
    }

    /// The column of that name.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|c| &*c.name == name)
    }

    /// Key columns.
    pub fn keys(&self) -> impl Iterator<Item = (usize, &Column)> {
        self.columns.iter().enumerate().filter(|(_, c)| c.matched.is_some())
    }

    /// Rows that fit the exact keys given; a key column that is not given does not restrict.
    pub fn rows_with(&self, keys: &[(usize, Key)]) -> impl Iterator<Item = usize> {
        let fit = |row: &[Cell]| keys.iter().all(|(column, key)| fits(&row[*column], key));
        self.rows.iter().enumerate().filter(move |(_, row)| fit(row)).map(|(number, _)| number)
    }

    /// Looks up by all keys.
    ///
    /// # Errors
    /// The column whose key lies outside the table.
    pub fn find(&self, keys: &[(usize, Key)]) -> Result<Found, usize> {
        let is_exact = |(column, _): &&(usize, Key)| self.columns[*column].matched == Some(Match::Exact);
        let exact: SmallVec<[_; 4]> = keys.iter().filter(is_exact).cloned().collect();
        let mut rows: SmallVec<[usize; 16]> = self.rows_with(&exact).collect();
        if rows.is_empty() {
            return Err(exact.first().or(keys.first()).map_or(0, |k| k.0));
        }
        let mut found = None;
        for (column, key) in keys {
            let (Some(matched), Key::Number(x)) = (self.columns[*column].matched, key) else { continue };
            match matched {
                Match::Exact => {}
                Match::Band { open_ended } => {
                    let at = band(&self.column_values(*column, &rows), *x, open_ended).ok_or(*column)?;
                    rows.retain(|row| same(&self.rows[*row][*column], at));
                }
                Match::Linear => {
                    let values = self.column_values(*column, &rows);
                    let (low, high) = bracket(&values, *x).ok_or(*column)?;
                    let row_of = |v: f64| rows.iter().copied().find(|r| same(&self.rows[*r][*column], v));
                    let (Some(a), Some(b)) = (row_of(low), row_of(high)) else { return Err(*column) };
                    found = Some(if a == b {
                        Found::Row(a)
                    } else {
                        {
                            Found::Between {
                                low: a,
                                high: b,
                                share: (x - low) / (high - low),
                                key: *column,
                                apart: high - low,
                            }
                        }
                    });
                    rows.clear();
                    rows.push(a);
                }
            }
        }
        found.or_else(|| rows.first().map(|r| Found::Row(*r))).ok_or(0)
    }

    fn column_values(&self, column: usize, rows: &[usize]) -> SmallVec<[f64; 16]> {
        let mut values: SmallVec<[f64; 16]> = rows
            .iter()
            .filter_map(|r| if let Cell::Number(v, _) = self.rows[*r][column] { Some(v) } else { None })
            .collect();
        values.sort_by(f64::total_cmp);
        values.dedup();
        values
    }
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

fn same(cell: &Cell, value: f64) -> bool {
    matches!(cell, Cell::Number(v, _) if *v == value)
}

fn fits(cell: &Cell, key: &Key) -> bool {
    match (cell, key) {
        (Cell::Number(v, _), Key::Number(k)) => close(*v, *k),
        (Cell::Word(w), Key::Word(k)) => w == k,
        (Cell::Truth(t), Key::Truth(k)) => t == k,
        _ => false,
    }
}

/// The last value not above `x`; none below the first, or beyond the last of a closed table.
fn band(values: &[f64], x: f64, open_ended: bool) -> Option<f64> {
    let last = *values.last()?;
    if x > last && !open_ended && !close(x, last) {
        return None;
    }
    values.iter().rev().copied().find(|v| *v <= x || close(*v, x))
}

/// The neighbouring values around `x`, equal where it meets one.
fn bracket(values: &[f64], x: f64) -> Option<(f64, f64)> {
    if let Some(hit) = values.iter().copied().find(|v| close(*v, x)) {
        return Some((hit, hit));
    }
    let above = values.iter().position(|v| *v > x)?;
    let low = *values.get(above.checked_sub(1)?)?;
    Some((low, values[above]))
}
