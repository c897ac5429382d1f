//! File addresses as clients write them, and the paths that they mean.

use std::path::{Path, PathBuf};

/// The path of a `file:` address; nothing for any other. The folder is taken as it really lies, links followed, so that
/// two ways to one file are one.
pub fn path_of(uri: &str) -> Option<PathBuf> {
    let rest = uri.strip_prefix("file://")?;
    let path = rest.find('/').and_then(|at| rest.get(at..))?;
    let path = path.split(['?', '#']).next().unwrap_or(path);
    let path = String::from_utf8(unescaped(path)).ok()?;
    // A drive's letter follows the stroke.
    let drive = path.as_bytes().get(2) == Some(&b':') && cfg!(windows);
    let path = PathBuf::from(if drive { path.trim_start_matches('/') } else { &path });
    let real = match (path.parent().and_then(|folder| folder.canonicalize().ok()), path.file_name()) {
        (Some(folder), Some(name)) => folder.join(name),
        _ => path,
    };
    Some(real)
}

/// The address of a file.
pub fn uri_of(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    let mut uri = String::from(if text.starts_with('/') { "file://" } else { "file:///" });
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-' | b'.' | b'_' | b'~' => uri.push(byte as char),
            _ => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    uri
}

fn unescaped(text: &str) -> Vec<u8> {
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while let Some(byte) = bytes.get(at) {
        let code = text.get(at + 1..at + 3).filter(|_| *byte == b'%').and_then(|hex| u8::from_str_radix(hex, 16).ok());
        out.push(code.unwrap_or(*byte));
        at += if code.is_some() { 3 } else { 1 };
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_and_paths() {
        for (uri, path) in [
            ("file:///builds/fell%20wagon/build.yaml", "/builds/fell wagon/build.yaml"),
            ("file:///builds/%C3%A9t%C3%A9.yaml", "/builds/été.yaml"),
            ("file://localhost/builds/a.yaml", "/builds/a.yaml"),
            ("file:///builds/100%.yaml", "/builds/100%.yaml"),
            ("file:///builds/100%é.yaml", "/builds/100%é.yaml"),
        ] {
            assert_eq!(path_of(uri), Some(PathBuf::from(path)), "{uri}");
        }
        assert_eq!(path_of("untitled:new-1"), None);
        assert_eq!(path_of("file://"), None);
        assert_eq!(path_of("file:///%FF"), None);
        let odd = "/builds/a b/ü+#?%.yaml";
        assert_eq!(path_of(&uri_of(Path::new(odd))), Some(PathBuf::from(odd)));
    }
}
