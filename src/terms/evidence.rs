//! Evidence files: a photo or a leaflet beside a quantity, named by its path and, so that nobody changes it unseen, by its
//! SHA-256.
//!
//! In come a checked tree and [`Files`]; out comes an error at each name whose file is not there or is another one than was named.
//! Nothing of such a file but its bytes is looked at. It is for those who judge a build; reading one does not wait for it.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Read;

use sha2::{Digest, Sha256};

use super::error::{EvidenceProblem, TermsError, TermsProblem};
use super::spec::{PlaceId, Spec};
use crate::source::{Files, ReadProblem, Span};

/// The largest evidence file that is read, in bytes (64 MiB): a photo as a camera gives it, not a film.
pub const EVIDENCE_LIMIT: u64 = 64 * 1024 * 1024;

/// How much is read at a time.
const PIECE: usize = 64 * 1024;

/// The key of a quantity's long form under which its evidence stands.
pub(super) const EVIDENCE: &str = "evidence";

/// The keys of an evidence file.
pub(super) const EVIDENCE_KEYS: [&str; 2] = ["file", "sha256"];

/// An evidence file as a quantity names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EvidenceFile {
    /// The quantity.
    pub of: PlaceId,
    /// Its path from the repository's root.
    pub file: Box<str>,
    /// Where that is written.
    pub span: Span,
    /// Its SHA-256 in small letters, and where that is written.
    pub sha256: Option<(Box<str>, Span)>,
}

/// Whether a text can be a SHA-256: 64 hexadecimal digits.
pub(super) fn is_sha256(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| b.is_ascii_hexdigit())
}

/// Looks for every evidence file that a spec names, and compares its digest where the spec gives one; each file is read
/// once. Errors come in the order of reading.
pub fn check_evidence(spec: &Spec, files: &dyn Files) -> Vec<TermsError> {
    let mut read: BTreeMap<&str, Result<String, ReadProblem>> = BTreeMap::new();
    let mut errors: Vec<TermsError> = Vec::new();
    for named in spec.evidence() {
        let found = read.entry(&named.file).or_insert_with(|| digest(files, &named.file));
        let (span, problem) = match (found, &named.sha256) {
            (Err(problem), _) => (named.span, EvidenceProblem::Read(problem.clone())),
            (Ok(found), Some((wanted, span))) if *found != **wanted => {
                (*span, EvidenceProblem::Changed { found: found.as_str().into() })
            }
            (Ok(_), _) => continue,
        };
        // A data sheet that is used twice names its evidence twice.
        if errors.iter().any(|error| error.span == span) {
            continue;
        }
        let problem = TermsProblem::Evidence { file: (*named.file).into(), problem };
        errors.push(TermsError { problem, span, other: spec.used(named.of) });
    }
    errors
}

fn digest(files: &dyn Files, path: &str) -> Result<String, ReadProblem> {
    let mut file = files.open(path, EVIDENCE_LIMIT)?;
    let mut hasher = Sha256::new();
    let mut piece = vec![0; PIECE];
    let mut size = 0u64;
    loop {
        let read = match file.read(&mut piece) {
            Ok(0) => break,
            Ok(read) => read,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(ReadProblem::Unreadable(error.to_string())),
        };
        size += read as u64;
        // It may have grown since its size was asked for.
        if size > EVIDENCE_LIMIT {
            return Err(ReadProblem::TooLarge { limit: EVIDENCE_LIMIT, size });
        }
        hasher.update(piece.get(..read).unwrap_or_default());
    }
    let mut text = String::with_capacity(64);
    for byte in hasher.finalize() {
        let _ = write!(text, "{byte:02x}");
    }
    Ok(text)
}
