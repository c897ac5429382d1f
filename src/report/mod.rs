//! One file for each output form; formats, never computes.
