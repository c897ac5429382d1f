//! Subjects: what a rule or figure is about, one section of a spec or the members of a list.

use crate::language::check::Checker;
use crate::language::syntax::{Expr, Form as Written, Members};
use crate::language::{Code, Fault, Problem, Type, parser};
use crate::source::SharedText;
use crate::terms::{FieldType, ListMembers, RecordId, Types};

/// What a rule or figure is about.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum Subject {
    /// One section: the path, and its value.
    Section {
        /// Its path as written.
        path: SharedText,
        /// Its value.
        code: Code,
    },
    /// The members of a list.
    Members {
        /// The list's path as written.
        path: SharedText,
        /// The name of each member in expressions.
        name: SharedText,
        /// The list.
        list: Code,
        /// Which members are meant.
        condition: Option<Code>,
    },
}

impl Subject {
    /// The path as written.
    pub fn path(&self) -> &str {
        match self {
            Subject::Section { path, .. } | Subject::Members { path, .. } => path,
        }
    }
}

/// A subject as written.
#[derive(Debug, Clone)]
pub(super) enum SubjectText {
    Section(Expr, String),
    Members(Members, String),
}

/// Reads `NAME in LIST where CONDITION` or a section's path.
pub(super) fn parse(text: &str) -> Result<SubjectText, Fault> {
    if text.contains(" in ") {
        let members = parser::parse_members(text)?;
        let path = text.get(members.list.range.clone()).unwrap_or_default().to_string();
        return Ok(SubjectText::Members(members, path));
    }
    Ok(SubjectText::Section(parser::parse(text)?, text.trim().to_string()))
}

impl SubjectText {
    /// The record types that it can be, by its path alone; what its condition excludes is not taken away.
    pub fn records(&self, types: &Types) -> Vec<RecordId> {
        let expr = match self {
            SubjectText::Section(expr, _) => expr,
            SubjectText::Members(members, _) => &members.list,
        };
        match (field_type(expr, types), self) {
            (Some(FieldType::Record(id)), SubjectText::Section(..)) => vec![id],
            (Some(FieldType::List(id)), SubjectText::Members(..)) => match &types.list(id).members {
                ListMembers::Records(ids) => ids.clone(),
                ListMembers::Values(_) => Vec::new(),
            },
            _ => Vec::new(),
        }
    }

    /// Checks it; the subject becomes local 0 and gets its type back, narrowed by its condition.
    pub fn check(&self, checker: &mut Checker) -> Result<(Subject, Type), Fault> {
        match self {
            SubjectText::Section(expr, path) => {
                let code = checker.check(expr)?;
                if !matches!(code.ty(), Type::Record(_)) {
                    let found = code.ty().shown(checker.terms());
                    let problem = Problem::WrongType { expected: "a section".into(), found };
                    return Err(Fault::new(problem, expr.range.clone()));
                }
                let ty = code.ty().clone();
                checker.add_local("", ty.clone());
                Ok((Subject::Section { path: path.as_str().into(), code }, ty))
            }
            SubjectText::Members(members, path) => {
                let (list, ty, condition) = checker.subject(members)?;
                let name = members.name.text.as_str().into();
                Ok((Subject::Members { path: path.as_str().into(), name, list, condition }, ty))
            }
        }
    }
}

/// The type of a plain path.
fn field_type(expr: &Expr, types: &Types) -> Option<FieldType> {
    let (record, key) = match &expr.form {
        Written::Name(name) => (types.root(), name.as_str()),
        Written::Field(base, word) => match field_type(base, types)? {
            FieldType::Record(id) => (id, word.text.as_str()),
            _ => return None,
        },
        _ => return None,
    };
    let record = types.record(record);
    record.field(record.slot(key)?).map(|f| f.ty.clone())
}
