//! Messages over a pair of byte streams, framed as the protocol says.
//!
//! In come the bytes of a client, out goes a [`Connection`]. Whatever is wrong with a message, the next one is read all
//! the same: a reader that gave up on the first stray byte would leave the builder without a server until the next start.

use std::io::{BufRead, BufReader, Read, Write, copy, sink};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{JoinHandle, spawn};

use lsp_server::{Connection, ErrorCode, Message};
use serde_json::{Value, json};

/// The largest message that is taken, in bytes (64 MiB): a client sends whole files, of which none that is read is
/// larger than 2 MiB.
const MESSAGE_LIMIT: u64 = 64 * 1024 * 1024;

/// Bytes of a header line that are kept; what is longer is no header.
const LINE_LIMIT: u64 = 4096;

/// The threads behind a [`Connection`].
pub struct Streams {
    writer: JoinHandle<()>,
}

impl Streams {
    /// Waits until everything that was answered is written. The connection must be gone by then.
    pub fn finish(self) {
        // A writer that broke off has nobody left to write to.
        let _ = self.writer.join();
    }
}

/// A connection to the client behind these streams.
pub fn connect(input: impl Read + Send + 'static, output: impl Write + Send + 'static) -> (Connection, Streams) {
    let (ours, Connection { sender, receiver }) = Connection::memory();
    let output = Arc::new(Mutex::new(output));
    let refusals = output.clone();
    spawn(move || {
        let mut input = BufReader::new(input);
        while let Some(frame) = next_frame(&mut input) {
            match frame.and_then(|body| message(&body)) {
                Ok(message) => {
                    let last = matches!(&message, Message::Notification(n) if n.method == "exit");
                    if sender.send(message).is_err() || last {
                        break;
                    }
                }
                Err(refusal) => {
                    write(&refusals, &refusal.to_string());
                }
            }
        }
    });
    let writer = spawn(move || {
        for message in receiver {
            let mut value = serde_json::to_value(&message).unwrap_or_default();
            if let Some(object) = value.as_object_mut() {
                object.insert("jsonrpc".into(), "2.0".into());
            }
            if !write(&output, &value.to_string()) {
                break;
            }
        }
    });
    (ours, Streams { writer })
}

/// Writes one message; says whether somebody takes it.
fn write(output: &Mutex<impl Write>, text: &str) -> bool {
    let mut output = output.lock().unwrap_or_else(PoisonError::into_inner);
    write!(output, "Content-Length: {}\r\n\r\n{text}", text.len()).and_then(|()| output.flush()).is_ok()
}

/// The next body, or what is to be answered in its place; nothing at the end.
fn next_frame(input: &mut impl BufRead) -> Option<Result<Vec<u8>, Value>> {
    let size = next_size(input)?;
    if size > MESSAGE_LIMIT {
        copy(&mut input.take(size), &mut sink()).ok()?;
        let words = format!("a message of {size} bytes; at most {MESSAGE_LIMIT} are read");
        return Some(Err(refusal(&Value::Null, ErrorCode::InvalidRequest, &words)));
    }
    let mut body = Vec::new();
    let read = input.take(size).read_to_end(&mut body).ok()?;
    (read as u64 == size).then_some(Ok(body))
}

/// The size that the next header announces. Lines that are no header are passed over, so that reading finds the next
/// message again whatever went wrong before it.
fn next_size(input: &mut impl BufRead) -> Option<u64> {
    let mut size = None;
    let mut line = Vec::new();
    loop {
        line.clear();
        if input.take(LINE_LIMIT).read_until(b'\n', &mut line).ok()? == 0 {
            return None;
        }
        let text = String::from_utf8_lossy(&line).to_ascii_lowercase();
        // Behind a body of the wrong length the header does not begin its line.
        match (text.rsplit_once("content-length:"), size) {
            (Some((_, number)), _) => size = number.trim().parse().ok(),
            (None, Some(size)) if text.trim().is_empty() => return Some(size),
            _ => {}
        }
    }
}

fn message(body: &[u8]) -> Result<Message, Value> {
    serde_json::from_slice(body).map_err(|_| match serde_json::from_slice::<Value>(body) {
        Ok(value) => {
            let id = value.get("id").filter(|id| id.is_string() || id.is_number());
            refusal(id.unwrap_or(&Value::Null), ErrorCode::InvalidRequest, "this is no request, notification or answer")
        }
        Err(error) => refusal(&Value::Null, ErrorCode::ParseError, &format!("this is no JSON: {error}")),
    })
}

fn refusal(id: &Value, code: ErrorCode, words: &str) -> Value {
    json!({"jsonrpc": "2.0", "id": id, "error": {"code": code as i32, "message": words}})
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;

    struct Sink(mpsc::Sender<Vec<u8>>);

    impl Write for Sink {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            let _ = self.0.send(bytes.to_vec());
            Ok(bytes.len())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    fn exchanged(sent: &'static [u8]) -> (Vec<String>, String) {
        let (sender, written) = mpsc::channel();
        let (connection, streams) = connect(sent, Sink(sender));
        let methods = connection.receiver.iter().filter_map(|m| match m {
            Message::Request(r) => Some(r.method),
            Message::Notification(n) => Some(n.method),
            Message::Response(_) => None,
        });
        let methods = methods.collect();
        drop(connection);
        streams.finish();
        (methods, written.iter().map(|b| String::from_utf8_lossy(&b).into_owned()).collect())
    }

    #[test]
    fn a_message_behind_anything_broken_is_read() {
        let good: &str = "Content-Length: 33\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"good\"}";
        for (broken, answered) in [
            ("", ""),
            ("\r\n\r\nwhat is this?\r\n", ""),
            ("Content-Length: many\r\n\r\n", ""),
            ("Content-Length: 3\r\n\r\n{{{", "-32700"),
            ("Content-Length: 2\r\n\r\n{}", "-32600"),
            ("Content-Length: 2\r\n\r\n[]", "-32600"),
            ("Content-Length: 8\r\n\r\n{\"id\":7}", "\"id\":7"),
            ("Content-Length: 4\r\n\r\n\u{0}\u{0}\u{0}\u{0}", "-32700"),
            ("Content-Length: 3\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"lost\"}", "-32700"),
            ("Content-Type: odd\r\ncontent-length:2\n\n{}", "-32600"),
        ] {
            let text: &'static str = format!("{broken}{good}").leak();
            let (methods, written) = exchanged(text.as_bytes());
            assert_eq!(methods, ["good"], "{broken:?}");
            assert!(written.contains(answered), "{broken:?}: {written}");
            assert_eq!(written.is_empty(), answered.is_empty(), "{broken:?}: {written}");
        }
    }

    #[test]
    fn a_message_too_large_is_refused_and_a_short_one_ends() {
        let (methods, written) = exchanged(b"Content-Length: 18446744073709551615\r\n\r\n{}");
        assert!(methods.is_empty());
        assert!(written.contains("at most"), "{written}");
        assert_eq!(exchanged(b"Content-Length: 10\r\n\r\n{}"), (Vec::new(), String::new()));
    }
}
