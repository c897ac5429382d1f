//! Paths of files as relative URI references (RFC 3986): what a URI does not take as it is stands percent-encoded.

use std::fmt::Write as _;

/// The path, each byte that is not unreserved (section 2.3) encoded; strokes between folders stay.
pub(super) fn encoded(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~' | b'/') {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::encoded;

    /// RFC 3986, section 2.5, encodes À as %C3%80.
    #[test]
    fn bytes_that_a_uri_does_not_take_are_encoded() {
        assert_eq!(encoded("builds/my car: \u{c0}#1/a.yaml"), "builds/my%20car%3A%20%C3%80%231/a.yaml");
    }
}
