//! The language server: what an editor shows of a build while it is typed.
//!
//! In come the messages of a client of the Language Server Protocol; out come diagnostics and answers. What is said comes
//! from the terms, the rulebook and the judgement; here it only gets its place in the editor. Only this room knows the
//! protocol and its ways to count characters. It prints nothing and asks no clock: streams and the day come from outside.

mod actions;
mod belongs;
mod capabilities;
mod completion;
mod cursor;
mod diagnostics;
mod documents;
mod folding;
mod hover;
mod inlays;
mod judged;
mod markdown;
mod navigation;
mod opened;
mod position;
mod proposals;
mod requests;
mod rule_files;
mod rule_scope;
mod server;
mod settings;
mod steps;
mod symbols;
mod target;
mod transport;
mod units;
mod uri;
mod workplace;

pub use server::{Ended, Options, serve};
pub use transport::{Streams, connect};
