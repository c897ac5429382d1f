//! Where a command's answer goes: standard output, with the decisions about width and colour made once.

use crate::report::{Look, escaped};
use std::io::{ErrorKind, IsTerminal, Write};

/// Columns where nothing says how wide the terminal is.
const USUAL_WIDTH: usize = 80;

/// Writes a command's answer.
pub struct Output {
    /// How reports look.
    pub look: Look,
    sink: std::io::Stdout,
    /// Whether whoever read has gone, or writing failed.
    closed: Option<std::io::Error>,
}

impl Output {
    /// Standard output; `width` is what the call asks for.
    pub fn new(width: Option<usize>) -> Output {
        let sink = std::io::stdout();
        let terminal = sink.is_terminal();
        let found = if terminal { terminal_size::terminal_size().map(|(w, _)| usize::from(w.0)) } else { None };
        let width = width.or(found).unwrap_or(USUAL_WIDTH);
        let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let colour = terminal && !set("NO_COLOR") && !dumb;
        Output { look: Look::new(width, colour), sink, closed: None }
    }

    /// Writes a text.
    pub fn text(&mut self, text: &str) {
        if self.closed.is_none()
            && let Err(error) = self.sink.write_all(text.as_bytes())
        {
            self.closed = Some(error);
        }
    }

    /// Writes a JSON value and ends the line.
    pub fn json(&mut self, value: &serde_json::Value) {
        let text = serde_json::to_string_pretty(value).unwrap_or_default();
        self.text(&escaped(&text));
        self.text("\n");
    }

    /// Hands over what is still held back; an error says why it could not be written. A reader who has gone is none.
    ///
    /// # Errors
    /// The system's words.
    pub fn finish(mut self) -> Result<(), String> {
        let flushed = self.sink.flush();
        match self.closed.map_or(flushed, Err) {
            Ok(()) => Ok(()),
            Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
            Err(error) => Err(format!("the answer cannot be written: {error}")),
        }
    }
}

/// Says on standard error why the call itself could not be used.
pub fn refuse(words: &str) {
    let words = crate::report::pictured(words);
    // Where even that cannot be written, the exit status still tells.
    let _ = writeln!(std::io::stderr(), "tramgauge: {words}");
}
