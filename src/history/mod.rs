//! Git: staged content and revisions as [`Files`](crate::source::Files), and which paths differ between them.
//!
//! In come a folder and names of revisions; out come files to open a [`Repository`](crate::repository::Repository) over,
//! and [`Change`]s. The `git` binary does the work, with arguments as an array and never through a shell; it is the one
//! that knows every form of index, worktree and object store. It knows nothing of output forms.

mod changes;
pub mod compare;
mod error;
mod files;
mod git;
pub mod hook;
mod objects;
mod since;
mod touched;

pub use changes::{Change, Head};
pub use error::GitError;
pub use files::GitFiles;
pub use git::{Git, Revision};
pub use since::{Known, Since};
pub use touched::Touched;
