//! Rules, figures, tables and sources: loaded, checked and listed.
