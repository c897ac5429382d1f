//! The rule language: parse, check, evaluate, show working.
//!
//! In come expression texts from rule files, a [`Library`] of figures, tables and functions, and a checked spec; out come values
//! together with the evidence they rest on, or the reason why they are unknown. The language is small and pure, has a
//! step budget and always ends. It knows the form of terms and specs, but nothing of vehicles.

pub mod check;
pub mod code;
pub mod error;
pub mod evaluate;
pub mod evidence;
pub mod function;
pub mod lexer;
pub mod library;
pub mod made;
pub mod number;
pub mod parser;
pub mod syntax;
pub mod table;
pub mod template;
pub mod types;
pub mod unknown;
pub mod value;
pub mod working;

pub use check::{Checker, Names};
pub use code::Code;
pub use error::{Fault, Problem};
pub use evaluate::{Evaluator, Found, Frame, Overrides, Replacement};
pub use evidence::{Evidence, EvidenceArena, Flat, Piece, Role, Touched};
pub use function::{Argument, Function, Output};
pub use library::{FigureCode, FigureId, Library};
pub use number::Number;
pub use table::{Cell, Table, TableId};
pub use template::Template;
pub use types::Type;
pub use unknown::{Missing, Reasons, Unknown};
pub use value::{Curve, Decision, Reading, Value};
pub use working::{Sheet, WorkingLine};
