//! A client of the language server in this process, over a connection in memory.

#![allow(dead_code)]

use jiff::civil::date;
use lsp_server::{Connection, Message, Notification, Request, RequestId, Response, ResponseError};
use lsp_types::{Diagnostic, DiagnosticSeverity, NumberOrString, PublishDiagnosticsParams};
use serde_json::{Value, json};
use std::collections::{BTreeMap, HashMap};
use std::path::Path;
use std::thread::JoinHandle;
use std::time::Duration;
use tramgauge::editor::{Ended, Options, serve};

/// No answer takes longer, not even where the machine is busy.
const PATIENCE: Duration = Duration::from_secs(120);

/// A client with the server that serves it.
pub struct Editor {
    connection: Option<Connection>,
    server: Option<JoinHandle<Ended>>,
    asked: i32,
    answers: HashMap<RequestId, Response>,
    /// What was last said of each address.
    pub said: BTreeMap<String, PublishDiagnosticsParams>,
    /// Requests of the server.
    pub requests: Vec<Request>,
}

/// What a client can do that shows everything.
pub fn able() -> Value {
    json!({
        "general": {"positionEncodings": ["utf-16"]},
        "textDocument": {
            "publishDiagnostics": {"relatedInformation": true},
            "completion": {"completionItem": {"snippetSupport": true}},
        },
    })
}

impl Editor {
    /// A connection on which nothing has been said yet.
    pub fn silent() -> Editor {
        let (ours, theirs) = Connection::memory();
        // Judged for the day of the example builds.
        let day = || date(2026, 6, 1);
        let server = std::thread::spawn(move || serve(&theirs, &Options { day: &day, more_rules: Vec::new() }));
        Editor {
            connection: Some(ours),
            server: Some(server),
            asked: 0,
            answers: HashMap::new(),
            said: BTreeMap::new(),
            requests: Vec::new(),
        }
    }

    /// A client that has begun to work.
    pub fn started() -> Editor {
        Editor::started_with(able(), json!({}))
    }

    /// A client that has begun to work, with its abilities and settings.
    pub fn started_with(capabilities: Value, settings: Value) -> Editor {
        let mut editor = Editor::silent();
        let params = json!({"processId": null, "rootUri": null, "capabilities": capabilities, "initializationOptions": settings});
        editor.request("initialize", params).expect("an answer");
        editor.notify("initialized", json!({}));
        editor
    }

    /// Sends a message.
    pub fn send(&self, message: Message) {
        self.connection.as_ref().expect("a connection").sender.send(message).expect("a server");
    }

    /// Sends a notification.
    pub fn notify(&self, method: &str, params: Value) {
        self.send(Message::Notification(Notification { method: method.into(), params }));
    }

    /// Sends a request without waiting for its answer.
    pub fn ask(&mut self, method: &str, params: Value) -> RequestId {
        self.asked += 1;
        let id = RequestId::from(self.asked);
        self.send(Message::Request(Request { id: id.clone(), method: method.into(), params }));
        id
    }

    /// The answer to a request; what else comes in between is taken note of.
    pub fn answer(&mut self, id: &RequestId) -> Result<Value, ResponseError> {
        while !self.answers.contains_key(id) {
            let message = self.connection.as_ref().expect("a connection").receiver.recv_timeout(PATIENCE);
            self.note(message.expect("an answer in time"));
        }
        self.answers.remove(id).expect("the answer").response_result
    }

    /// Sends a request and waits for its answer.
    pub fn request(&mut self, method: &str, params: Value) -> Result<Value, ResponseError> {
        let id = self.ask(method, params);
        self.answer(&id)
    }

    fn note(&mut self, message: Message) {
        match message {
            Message::Notification(n) if n.method == "textDocument/publishDiagnostics" => {
                let said: PublishDiagnosticsParams = serde_json::from_value(n.params).expect("diagnostics");
                self.said.insert(said.uri.as_str().to_owned(), said);
            }
            Message::Notification(_) => {}
            Message::Request(request) => self.requests.push(request),
            Message::Response(response) => drop(self.answers.insert(response.id.clone(), response)),
        }
    }

    /// Waits until something holds of what was said.
    pub fn wait(&mut self, what: &str, holds: impl Fn(&Editor) -> bool) {
        while !holds(self) {
            let message = self.connection.as_ref().expect("a connection").receiver.recv_timeout(PATIENCE);
            self.note(message.unwrap_or_else(|_| panic!("{what}, but only {:#?}", self.said)));
        }
    }

    /// Opens a text.
    pub fn open(&mut self, path: &Path, text: &str) {
        let document = json!({"uri": uri(path), "languageId": "yaml", "version": 1, "text": text});
        self.notify("textDocument/didOpen", json!({"textDocument": document}));
    }

    /// Opens a file as it is.
    pub fn open_file(&mut self, path: &Path) {
        self.open(path, &std::fs::read_to_string(path).expect("a text"));
    }

    /// Changes an open text.
    pub fn change(&mut self, path: &Path, version: i32, changes: Value) {
        let document = json!({"uri": uri(path), "version": version});
        self.notify("textDocument/didChange", json!({"textDocument": document, "contentChanges": changes}));
    }

    /// Puts a whole new text in place of an open one.
    pub fn replace(&mut self, path: &Path, version: i32, text: &str) {
        self.change(path, version, json!([{"text": text}]));
    }

    /// Closes a text.
    pub fn close(&mut self, path: &Path) {
        self.notify("textDocument/didClose", json!({"textDocument": {"uri": uri(path)}}));
    }

    /// Asks about a place of a text, line and character from 0.
    pub fn at(&mut self, method: &str, path: &Path, line: u32, character: u32) -> Value {
        let position = json!({"line": line, "character": character});
        let params = json!({"textDocument": {"uri": uri(path)}, "position": position});
        self.request(method, params).unwrap_or_else(|error| panic!("{method}: {error:?}"))
    }

    /// Waits until a text that is open has been judged as it is now.
    pub fn judged(&mut self, path: &Path) {
        let params = json!({"textDocument": {"uri": uri(path)}});
        self.request("textDocument/foldingRange", params).expect("an answer");
    }

    /// The diagnostics of a text, in short: severity, line from 1, code.
    pub fn short(&self, path: &Path) -> Vec<String> {
        let said = self.said.get(&uri(path)).map(|said| said.diagnostics.as_slice()).unwrap_or_default();
        said.iter().map(short).collect()
    }

    /// As [`Editor::short`], without what only waits for measurements.
    pub fn wrong(&self, path: &Path) -> Vec<String> {
        self.short(path).into_iter().filter(|line| !line.ends_with(" unmeasured")).collect()
    }

    /// The diagnostics of a text with that code.
    pub fn coded(&self, path: &Path, code: &str) -> Vec<Diagnostic> {
        let said = self.said.get(&uri(path)).map(|said| said.diagnostics.clone()).unwrap_or_default();
        said.into_iter().filter(|d| d.code == Some(NumberOrString::String(code.into()))).collect()
    }

    /// Ends the conversation as the protocol says.
    pub fn finish(mut self) {
        self.request("shutdown", Value::Null).expect("an answer");
        self.notify("exit", Value::Null);
        assert_eq!(self.ended(), Ended::Announced);
    }

    /// Goes away, and says how the server took it.
    pub fn ended(&mut self) -> Ended {
        self.connection = None;
        self.server.take().expect("a server").join().expect("a server that ends")
    }
}

/// The address of a file.
pub fn uri(path: &Path) -> String {
    format!("file://{}", path.canonicalize().unwrap_or(path.to_path_buf()).display())
}

fn short(diagnostic: &Diagnostic) -> String {
    let severity = match diagnostic.severity {
        Some(DiagnosticSeverity::ERROR) => "error",
        Some(DiagnosticSeverity::WARNING) => "warning",
        Some(DiagnosticSeverity::INFORMATION) => "information",
        Some(DiagnosticSeverity::HINT) => "hint",
        _ => "none",
    };
    let code = match &diagnostic.code {
        Some(NumberOrString::String(code)) => code.as_str(),
        _ => "",
    };
    format!("{severity} {} {code}", diagnostic.range.start.line + 1)
}
