//! One file for each command: arguments in, rooms called, exit status out.
