//! Texts of files, and of what is written in schema and rule files: those of the built-in files stand in the program and are
//! never copied.

use serde::de::{Deserialize, Deserializer, Visitor};
use serde::ser::{Serialize, Serializer};
use std::borrow::{Borrow, Cow};
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::ops::Deref;
use std::sync::Arc;

/// A text that is shared, not copied: it stands in the program, or was read from a file.
#[derive(Clone)]
pub struct SharedText(Held);

#[derive(Clone)]
enum Held {
    BuiltIn(&'static str),
    /// Behind one word more, so that a text takes two words and not three: most stand in the program.
    Read(Arc<Arc<str>>),
}

impl SharedText {
    /// A text that stands in the program.
    pub const fn built_in(text: &'static str) -> SharedText {
        SharedText(Held::BuiltIn(text))
    }
}

impl Deref for SharedText {
    type Target = str;

    fn deref(&self) -> &str {
        match &self.0 {
            Held::BuiltIn(text) => text,
            Held::Read(text) => text,
        }
    }
}

impl From<&str> for SharedText {
    fn from(text: &str) -> SharedText {
        Arc::<str>::from(text).into()
    }
}

impl From<Arc<str>> for SharedText {
    fn from(text: Arc<str>) -> SharedText {
        SharedText(Held::Read(Arc::new(text)))
    }
}

impl From<String> for SharedText {
    fn from(text: String) -> SharedText {
        Arc::<str>::from(text).into()
    }
}

impl From<Cow<'_, str>> for SharedText {
    fn from(text: Cow<'_, str>) -> SharedText {
        (*text).into()
    }
}

impl AsRef<str> for SharedText {
    fn as_ref(&self) -> &str {
        self
    }
}

impl Borrow<str> for SharedText {
    fn borrow(&self) -> &str {
        self
    }
}

impl fmt::Debug for SharedText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (**self).fmt(f)
    }
}

impl fmt::Display for SharedText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self)
    }
}

impl PartialEq for SharedText {
    fn eq(&self, other: &SharedText) -> bool {
        **self == **other
    }
}

impl Eq for SharedText {}

impl PartialOrd for SharedText {
    fn partial_cmp(&self, other: &SharedText) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for SharedText {
    fn cmp(&self, other: &SharedText) -> Ordering {
        (**self).cmp(&**other)
    }
}

impl Hash for SharedText {
    fn hash<H: Hasher>(&self, state: &mut H) {
        (**self).hash(state);
    }
}

impl Serialize for SharedText {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self)
    }
}

impl<'de: 'static> Deserialize<'de> for SharedText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<SharedText, D::Error> {
        deserializer.deserialize_str(InProgram)
    }
}

struct InProgram;

impl<'de: 'static> Visitor<'de> for InProgram {
    type Value = SharedText;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text of the program")
    }

    fn visit_borrowed_str<E: serde::de::Error>(self, text: &'de str) -> Result<SharedText, E> {
        Ok(SharedText(Held::BuiltIn(text)))
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<SharedText, E> {
        Ok(text.into())
    }
}
