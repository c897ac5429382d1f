//! The rule language: parse, check, evaluate, show working.
