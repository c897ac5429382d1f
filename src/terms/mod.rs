//! What a spec may say: the schema, the types of paths, help texts, and the checked tree of a build.
//!
//! In come the files of `schema/` and the located tree of a build; out come [`Terms`] and, for each build, a [`Spec`] whose
//! every value is typed, placed and readable, or marked as unreadable with a [`TermsError`] that says why. It knows nothing
//! of rules.

mod bundle;
mod check;
mod error;
mod evidence;
mod filled;
mod help;
mod in_force;
mod keywords;
mod lay;
mod meta;
mod nearest;
mod node;
mod read;
mod round;
mod schema;
mod settings;
mod spec;
mod stale;
mod take;
mod types;

pub use bundle::{KNOWN_BY, LONG_FORM};
pub use error::{EvidenceProblem, Found, SchemaError, SchemaProblem, TermsError, TermsProblem, Wanted, WhyNotSet};
pub use evidence::{EVIDENCE_LIMIT, EvidenceFile, check_evidence};
pub use filled::{Answer, Filled, List, Misfit, Then, read_list};
pub use help::{KeyHelp, belongs, keys, new_spec};
pub use in_force::{SchemaRefused, Terms};
pub use nearest::nearest;
pub use read::build_spec;
pub use round::{Asked, Station, Tool};
pub use settings::{SettingError, Settings, find_value, read_settings};
pub use spec::{Held, KnownBy, Place, PlaceId, Setting, Spec, SpecQuantity, Staleness, Step};
pub use take::take;
pub use types::{Absence, Field, FieldType, ListId, ListMembers, ListType, RecordId, RecordType, Slot, Types};

#[cfg(test)]
mod tests;
