//! The conversation with one client: its beginning and end, the order of its messages, and who answers what.
//!
//! All that has come is taken note of before anything is judged, so that a key that is held down is judged once; a request
//! is answered on the text as it was when it was sent. Nothing a client sends ends the conversation but its end.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;

use jiff::civil::Date;
use lsp_server::{Connection, ErrorCode, Message, Notification, Request, RequestId, Response, ResponseError};
use lsp_types::notification::{
    Cancel, DidChangeConfiguration, DidChangeTextDocument, DidChangeWatchedFiles, DidChangeWorkspaceFolders,
    DidCloseTextDocument, DidOpenTextDocument, DidSaveTextDocument, Exit, Initialized, Notification as _,
    PublishDiagnostics,
};
use lsp_types::request::{Initialize, RegisterCapability, Request as _, Shutdown};
use lsp_types::{
    CancelParams, DidChangeConfigurationParams, DidChangeTextDocumentParams, DidChangeWatchedFilesParams,
    DidChangeWorkspaceFoldersParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
    InitializeParams, NumberOrString, PublishDiagnosticsParams, Uri,
};
use serde_json::{Value, json};

use super::capabilities::{client_of, server_for};
use super::requests;
use super::uri::path_of;
use super::workplace::Workplace;

/// How a conversation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// As the client announced.
    Announced,
    /// Without a word before.
    Abruptly,
}

/// What the server is told from outside.
pub struct Options<'a> {
    /// The day for which is judged, asked for anew at every judgement: an editor stays open over midnight.
    pub day: &'a dyn Fn() -> Date,
    /// Folders with rules beside the repositories' own.
    pub more_rules: Vec<PathBuf>,
}

/// Serves one client until it goes.
pub fn serve(connection: &Connection, options: &Options) -> Ended {
    let workplace = Workplace::new(&options.more_rules);
    let mut server =
        Server { connection, options, workplace, stage: Stage::Awaited, waiting: VecDeque::new(), asked: 0 };
    server.run()
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// Before `initialize`.
    Awaited,
    /// At work.
    Begun,
    /// After `shutdown`.
    Closing,
}

struct Server<'a> {
    connection: &'a Connection,
    options: &'a Options<'a>,
    workplace: Workplace,
    stage: Stage,
    /// What has come and is not yet dealt with.
    waiting: VecDeque<Message>,
    /// How many requests of its own it has sent.
    asked: i32,
}

/// What a request is answered with.
pub type Answer = Result<Value, (ErrorCode, String)>;

impl Server<'_> {
    fn run(&mut self) -> Ended {
        loop {
            while let Ok(message) = self.connection.receiver.try_recv() {
                self.take(message);
            }
            let next = match self.waiting.pop_front() {
                Some(message) => message,
                None if self.stage == Stage::Begun && self.step() => continue,
                None => match self.connection.receiver.recv() {
                    Ok(message) => {
                        // Others may have come with it, and among them its cancellation.
                        self.take(message);
                        continue;
                    }
                    Err(_) => return self.ended(),
                },
            };
            match next {
                Message::Request(request) => self.request(request),
                Message::Notification(notification) if notification.method == Exit::METHOD => return self.ended(),
                Message::Notification(notification) => {
                    // What a notification breaks off is at worst one text, which the next opening mends.
                    let _ = catch_unwind(AssertUnwindSafe(|| self.notification(notification)));
                }
                // Whatever a client says to the wish that it watch files, nothing here depends on it.
                Message::Response(_) => {}
            }
        }
    }

    fn ended(&self) -> Ended {
        if self.stage == Stage::Closing { Ended::Announced } else { Ended::Abruptly }
    }

    /// Puts a message behind those that wait. A cancellation is carried out at once, on a request that waits.
    fn take(&mut self, message: Message) {
        if let Message::Notification(n) = &message
            && n.method == Cancel::METHOD
        {
            let Ok(params) = serde_json::from_value::<CancelParams>(n.params.clone()) else { return };
            let id = match params.id {
                NumberOrString::Number(number) => RequestId::from(number),
                NumberOrString::String(text) => RequestId::from(text),
            };
            let waits = |m: &Message| matches!(m, Message::Request(r) if r.id == id);
            if let Some(at) = self.waiting.iter().position(waits) {
                self.waiting.remove(at);
                self.answer(id, Err((ErrorCode::RequestCanceled, "cancelled".to_owned())));
            }
            return;
        }
        self.waiting.push_back(message);
    }

    /// One step of what is to be judged; says whether there was one.
    fn step(&mut self) -> bool {
        let day = (self.options.day)();
        let step = catch_unwind(AssertUnwindSafe(|| self.workplace.step(day)));
        match step {
            Ok(Some(news)) => {
                self.publish(news);
                true
            }
            Ok(None) => false,
            // What was to be judged is marked as done before it is begun, so that this comes once.
            Err(_) => true,
        }
    }

    /// Judges what an answer about a text depends on.
    fn settle(&mut self, uri: &Uri) {
        let day = (self.options.day)();
        let news = self.workplace.settle(uri, day);
        self.publish(news);
    }

    fn publish(&self, news: Vec<PublishDiagnosticsParams>) {
        for params in news {
            self.notify(PublishDiagnostics::METHOD, &params);
        }
    }

    fn notify(&self, method: &str, params: &impl serde::Serialize) {
        let params = serde_json::to_value(params).unwrap_or_default();
        self.send(Message::Notification(Notification { method: method.to_owned(), params }));
    }

    fn send(&self, message: Message) {
        // A client that has gone is noticed when the next message is awaited.
        let _ = self.connection.sender.send(message);
    }

    fn answer(&self, id: RequestId, answer: Answer) {
        let response_result =
            answer.map_err(|(code, message)| ResponseError { code: code as i32, message, data: None });
        self.send(Message::Response(Response { id, response_result }));
    }

    fn request(&mut self, request: Request) {
        let Request { id, method, params } = request;
        let answer = match (&*method, self.stage) {
            (Initialize::METHOD, Stage::Awaited) => self.initialize(params),
            (_, Stage::Awaited) => Err((ErrorCode::ServerNotInitialized, "`initialize` comes first".to_owned())),
            (_, Stage::Closing) => {
                Err((ErrorCode::InvalidRequest, "nothing but `exit` comes after `shutdown`".to_owned()))
            }
            (Initialize::METHOD, Stage::Begun) => {
                Err((ErrorCode::InvalidRequest, "`initialize` comes once".to_owned()))
            }
            (Shutdown::METHOD, Stage::Begun) => {
                self.stage = Stage::Closing;
                Ok(Value::Null)
            }
            (method, Stage::Begun) => {
                let answered = catch_unwind(AssertUnwindSafe(|| {
                    if let Some(uri) = requests::text_of(method, &params) {
                        self.settle(&uri);
                    }
                    requests::answer(&self.workplace, method, params)
                }));
                answered.unwrap_or_else(|_| Err((ErrorCode::InternalError, "this could not be answered".to_owned())))
            }
        };
        self.answer(id, answer);
    }

    fn initialize(&mut self, params: Value) -> Answer {
        let params: InitializeParams = match serde_json::from_value(params) {
            Ok(params) => params,
            Err(error) => return Err((ErrorCode::InvalidParams, error.to_string())),
        };
        self.stage = Stage::Begun;
        let workplace = &mut self.workplace;
        workplace.client = client_of(&params.capabilities);
        if let Some(said) = &params.initialization_options {
            workplace.settings = workplace.settings.with(said);
        }
        // Older clients say one folder only.
        #[allow(deprecated)]
        let root = params.root_uri;
        let folders = params.workspace_folders.unwrap_or_default().into_iter().map(|folder| folder.uri).chain(root);
        workplace.folders = folders.filter_map(|uri| path_of(uri.as_str())).collect();
        let info = json!({"name": "tramgauge", "version": env!("CARGO_PKG_VERSION")});
        Ok(json!({"capabilities": server_for(workplace.client), "serverInfo": info}))
    }

    fn notification(&mut self, notification: Notification) {
        let Notification { method, params } = notification;
        if self.stage != Stage::Begun {
            return;
        }
        match &*method {
            Initialized::METHOD => self.watch(),
            DidOpenTextDocument::METHOD => {
                let Ok(params) = serde_json::from_value::<DidOpenTextDocumentParams>(params) else { return };
                let document = params.text_document;
                let Some(path) = path_of(document.uri.as_str()) else { return };
                let uri = document.uri.as_str();
                self.workplace.documents.open(path.clone(), uri, document.version, &document.text);
                self.workplace.changed(&path);
            }
            DidChangeTextDocument::METHOD => {
                let Ok(params) = serde_json::from_value::<DidChangeTextDocumentParams>(params) else { return };
                let Some(path) = path_of(params.text_document.uri.as_str()) else { return };
                let encoding = self.workplace.client.encoding;
                let version = params.text_document.version;
                self.workplace.documents.change(&path, version, &params.content_changes, encoding);
                self.workplace.changed(&path);
            }
            DidCloseTextDocument::METHOD => {
                let Ok(params) = serde_json::from_value::<DidCloseTextDocumentParams>(params) else { return };
                let Some(path) = path_of(params.text_document.uri.as_str()) else { return };
                self.workplace.documents.close(&path);
                self.workplace.changed(&path);
            }
            DidSaveTextDocument::METHOD => {
                let Ok(params) = serde_json::from_value::<DidSaveTextDocumentParams>(params) else { return };
                if let Some(path) = path_of(params.text_document.uri.as_str()) {
                    self.workplace.changed(&path);
                }
            }
            DidChangeWatchedFiles::METHOD => {
                let Ok(params) = serde_json::from_value::<DidChangeWatchedFilesParams>(params) else { return };
                for change in params.changes {
                    if let Some(path) = path_of(change.uri.as_str()) {
                        self.workplace.changed(&path);
                    }
                }
            }
            DidChangeConfiguration::METHOD => {
                let Ok(params) = serde_json::from_value::<DidChangeConfigurationParams>(params) else { return };
                self.workplace.settings = self.workplace.settings.with(&params.settings);
                self.workplace.all_changed();
            }
            DidChangeWorkspaceFolders::METHOD => {
                let Ok(params) = serde_json::from_value::<DidChangeWorkspaceFoldersParams>(params) else { return };
                let removed: Vec<PathBuf> =
                    params.event.removed.iter().filter_map(|folder| path_of(folder.uri.as_str())).collect();
                let added = params.event.added.iter().filter_map(|folder| path_of(folder.uri.as_str()));
                let folders = &mut self.workplace.folders;
                folders.retain(|folder| !removed.contains(folder));
                folders.extend(added);
            }
            // Notifications that are not known are passed over, as the protocol asks.
            _ => {}
        }
    }

    /// Asks the client to tell of changes on the disk: by git, or by another program.
    fn watch(&mut self) {
        if !self.workplace.client.watches {
            return;
        }
        self.asked += 1;
        let registration = json!({
            "id": "files",
            "method": DidChangeWatchedFiles::METHOD,
            "registerOptions": {"watchers": [{"globPattern": "**/*.{yaml,yml,csv}"}]},
        });
        let params = json!({"registrations": [registration]});
        let (id, method) = (RequestId::from(self.asked), RegisterCapability::METHOD.to_owned());
        self.send(Message::Request(Request { id, method, params }));
    }
}
