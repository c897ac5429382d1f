//! What is unpacked when it is first asked for: most of what the program carries is not looked at in one run.

use serde::de::{Deserialize, Deserializer, Visitor};
use serde::ser::{Error as _, Serialize, Serializer};
use std::fmt;
use std::ops::{Deref, DerefMut};
use std::sync::OnceLock;

/// A value at hand, or packed in the program and unpacked when it is first asked for.
///
/// # Panics
/// It panics when it is asked for and the bytes are not what was packed. They are written when the program is built, by the same
/// code that reads them, and a test unpacks all of them.
pub struct Later<T> {
    packed: &'static [u8],
    /// Behind a box: most never come to hand, and need no room then.
    at_hand: OnceLock<Box<T>>,
}

impl<T> Later<T> {
    /// A value at hand.
    pub fn now(value: T) -> Later<T> {
        Later { packed: &[], at_hand: OnceLock::from(Box::new(value)) }
    }
}

impl<T: Deserialize<'static>> Later<T> {
    /// The value.
    pub fn value(&self) -> &T {
        self.at_hand.get_or_init(|| match postcard::from_bytes(self.packed) {
            Ok(value) => Box::new(value),
            Err(error) => panic!("what the program carries cannot be unpacked: {error}"),
        })
    }
}

impl<T: Deserialize<'static>> Deref for Later<T> {
    type Target = T;

    fn deref(&self) -> &T {
        self.value()
    }
}

impl<T: Deserialize<'static>> DerefMut for Later<T> {
    fn deref_mut(&mut self) -> &mut T {
        self.value();
        match self.at_hand.get_mut() {
            Some(value) => value,
            None => unreachable!("it has just been put there"),
        }
    }
}

impl<T: Clone> Clone for Later<T> {
    fn clone(&self) -> Later<T> {
        Later { packed: self.packed, at_hand: self.at_hand.clone() }
    }
}

impl<T: Deserialize<'static> + fmt::Debug> fmt::Debug for Later<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value().fmt(f)
    }
}

/// Packs it; for a reader, it is its value.
impl<T: Serialize + Deserialize<'static>> Serialize for Later<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if serializer.is_human_readable() {
            return self.value().serialize(serializer);
        }
        serializer.serialize_bytes(&postcard::to_stdvec(self.value()).map_err(S::Error::custom)?)
    }
}

impl<'de: 'static, T> Deserialize<'de> for Later<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Later<T>, D::Error> {
        let packed = deserializer.deserialize_bytes(Bytes)?;
        Ok(Later { packed, at_hand: OnceLock::new() })
    }
}

struct Bytes;

impl<'de: 'static> Visitor<'de> for Bytes {
    type Value = &'static [u8];

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("packed bytes of the program")
    }

    fn visit_borrowed_bytes<E: serde::de::Error>(self, bytes: &'de [u8]) -> Result<&'static [u8], E> {
        Ok(bytes)
    }

    fn visit_bytes<E: serde::de::Error>(self, _: &[u8]) -> Result<&'static [u8], E> {
        Err(E::custom("bytes that do not stand in the program"))
    }
}

#[cfg(test)]
mod tests {
    use super::Later;

    #[test]
    fn it_unpacks_what_was_packed_and_can_be_changed() {
        let now = Later::now(vec!["a".to_string(), "b".to_string()]);
        let bytes: &'static [u8] = postcard::to_stdvec(&now).unwrap_or_default().leak();
        let mut later: Later<Vec<String>> = postcard::from_bytes(bytes).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(*later, *now);
        later.push("c".into());
        assert_eq!(later.len(), 3);
        assert_eq!(serde_json::to_string(&later).ok().as_deref(), Some(r#"["a","b","c"]"#));
    }
}
