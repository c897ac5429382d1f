//! The language server bears whatever a client sends, in whatever order.

mod common;

use common::editor::{Editor, able, uri};
use common::{BUILD, Workshop};
use lsp_server::{ErrorCode, Message, Response};
use serde_json::{Value, json};
use tramgauge::editor::Ended;

fn code(answer: Result<Value, lsp_server::ResponseError>) -> i32 {
    answer.expect_err("a refusal").code
}

#[test]
fn beginnings_and_ends_in_every_order() {
    // Requests before the first are refused, notifications passed over.
    let mut editor = Editor::silent();
    editor.notify("textDocument/didOpen", json!({"textDocument": 3}));
    assert_eq!(code(editor.request("textDocument/hover", json!({}))), ErrorCode::ServerNotInitialized as i32);
    assert_eq!(code(editor.request("shutdown", Value::Null)), ErrorCode::ServerNotInitialized as i32);
    assert_eq!(code(editor.request("initialize", json!([1]))), ErrorCode::InvalidParams as i32);
    let begun = editor.request("initialize", json!({"capabilities": {}})).expect("an answer");
    assert_eq!(begun["capabilities"]["positionEncoding"], "utf-16");
    assert_eq!(begun["serverInfo"]["name"], "tramgauge");
    assert_eq!(code(editor.request("initialize", json!({"capabilities": {}}))), ErrorCode::InvalidRequest as i32);
    // It works before `initialized` has come, too.
    assert_eq!(code(editor.request("no/such", json!({}))), ErrorCode::MethodNotFound as i32);
    assert_eq!(editor.request("shutdown", Value::Null).expect("an answer"), Value::Null);
    assert_eq!(code(editor.request("textDocument/hover", json!({}))), ErrorCode::InvalidRequest as i32);
    assert_eq!(code(editor.request("shutdown", Value::Null)), ErrorCode::InvalidRequest as i32);
    editor.notify("exit", Value::Null);
    assert_eq!(editor.ended(), Ended::Announced);

    let mut gone = Editor::silent();
    assert_eq!(gone.ended(), Ended::Abruptly);
    let mut exits_first = Editor::silent();
    exits_first.notify("exit", Value::Null);
    assert_eq!(exits_first.ended(), Ended::Abruptly);
    let mut without_shutdown = Editor::started();
    without_shutdown.notify("exit", Value::Null);
    assert_eq!(without_shutdown.ended(), Ended::Abruptly);
    let mut hung_up = Editor::started();
    hung_up.request("shutdown", Value::Null).expect("an answer");
    assert_eq!(hung_up.ended(), Ended::Announced);
}

#[test]
fn the_first_known_encoding_that_is_offered_is_taken() {
    for (offered, taken, character) in [
        (json!(["utf-8", "utf-16"]), "utf-8", 20),
        (json!(["utf-32"]), "utf-32", 17),
        (json!(["utf-7", "utf-16"]), "utf-16", 18),
        (json!([]), "utf-16", 18),
    ] {
        let shop = Workshop::new(&[]);
        let build = shop.path("build.yaml");
        let mut editor = Editor::silent();
        let capabilities = json!({"general": {"positionEncodings": offered}});
        let begun = editor.request("initialize", json!({"capabilities": capabilities})).expect("an answer");
        assert_eq!(begun["capabilities"]["positionEncoding"], taken);
        // A key unknown to the terms behind a character of four bytes: `brakes: {🔧` begins at 0, `odd` behind `"🔧", `.
        editor.open(&build, "tramgauge: 1\r\nbrakes: {\"🔧\": 1, odd: 2}\r\n");
        editor.judged(&build);
        let found = editor.coded(&build, "terms");
        let starts: Vec<u32> = found.iter().map(|d| d.range.start.character).collect();
        assert_eq!(starts, [9, character], "{taken}");
        assert!(found.iter().all(|d| d.range.start.line == 1));
        editor.notify("exit", Value::Null);
        editor.ended();
    }
}

#[test]
fn nonsense_is_refused_and_forgotten() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::started();
    editor.open(&build, BUILD);
    let nonsense = [json!(null), json!(7), json!([]), json!({}), json!("x"), json!({"textDocument": {"uri": "::"}})];
    let methods = [
        "textDocument/didOpen",
        "textDocument/didChange",
        "textDocument/didClose",
        "textDocument/didSave",
        "workspace/didChangeWatchedFiles",
        "workspace/didChangeConfiguration",
        "workspace/didChangeWorkspaceFolders",
        "$/cancelRequest",
        "$/setTrace",
        "no/such",
    ];
    for method in methods {
        nonsense.iter().for_each(|params| editor.notify(method, params.clone()));
    }
    for method in ["textDocument/hover", "textDocument/completion", "workspace/symbol", "$/no", "no/such", ""] {
        for params in &nonsense {
            let _ = editor.request(method, params.clone());
        }
    }
    editor.send(Message::Response(Response { id: 99.into(), response_result: Ok(Value::Null) }));
    // Changes of what is not open, ranges that do not exist, versions that go back.
    editor.change(&shop.path("nowhere.yaml"), 3, json!([{"text": "x"}]));
    let far = json!({"start": {"line": 4_000_000_000_u32, "character": 4_000_000_000_u32}, "end": {"line": 0, "character": 9}});
    editor.change(&build, -5, json!([{"range": far, "text": "\u{0}\u{feff}🔧"}, {"text": BUILD}]));
    editor.notify(
        "textDocument/didOpen",
        json!({"textDocument": {"uri": "untitled:new", "languageId": "yaml", "version": 1, "text": "a: ["}}),
    );
    editor.judged(&build);
    assert_eq!(editor.coded(&build, "workshop.pump-low").len(), 1);
    assert_eq!(editor.said[&uri(&build)].version, Some(-5));
    editor.finish();
}

#[test]
fn a_request_that_waits_can_be_cancelled() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::silent();
    // All of this is there before the server looks: the first request takes it long enough to load the rulebook.
    let begun = editor.ask("initialize", json!({"capabilities": able()}));
    editor.open(&build, BUILD);
    let slow = editor.ask("textDocument/foldingRange", json!({"textDocument": {"uri": uri(&build)}}));
    let cancelled = editor.ask("textDocument/foldingRange", json!({"textDocument": {"uri": uri(&build)}}));
    editor.notify("$/cancelRequest", json!({"id": 3}));
    editor.notify("$/cancelRequest", json!({"id": "unknown"}));
    editor.answer(&begun).expect("an answer");
    // The server may have come so far before the cancellation did; answered are both.
    let answer = editor.answer(&cancelled).map_err(|error| error.code);
    assert!(
        answer.as_ref().is_ok_and(Value::is_array) || answer == Err(ErrorCode::RequestCanceled as i32),
        "{answer:?}"
    );
    assert!(editor.answer(&slow).is_ok_and(|answer| answer.is_array()));
    editor.finish();
}

#[test]
fn watching_is_asked_for_where_the_client_can() {
    let mut editor =
        Editor::started_with(json!({"workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}}}), json!({}));
    let _ = editor.request("no/such", json!({}));
    assert_eq!(editor.requests.len(), 1);
    assert_eq!(editor.requests[0].method, "client/registerCapability");
    editor.finish();
}

/// A message as it goes over the stream.
fn framed(body: &str) -> String {
    format!("Content-Length: {}\r\n\r\n{body}", body.len())
}

#[test]
fn the_program_bears_a_damaged_stream_and_ends_with_it() {
    let shop = Workshop::new(&[]);
    let begin = framed(r#"{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}"#);
    let close = framed(r#"{"jsonrpc":"2.0","id":"last","method":"shutdown"}"#);
    let exit = framed(r#"{"jsonrpc":"2.0","method":"exit"}"#);
    let deep = framed(&format!("{}{}", "[".repeat(100_000), "]".repeat(100_000)));
    let nonsense =
        ["GET / HTTP/1.1\r\n\r\n", "Content-Length: -1\r\n\r\n", "\u{0}\u{1}\n\n", &framed("{"), &framed("[]"), &deep];
    let mut sent = String::new();
    for piece in nonsense {
        sent.push_str(piece);
    }
    sent.push_str(&begin);
    nonsense.iter().for_each(|piece| sent.push_str(piece));
    sent.push_str(&close);
    sent.push_str(&exit);
    let output = shop.command(&["lsp"]).write_stdin(sent.clone()).output().expect("a run");
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(said.contains(r#""id":1"#) && said.contains(r#""id":"last""#), "{said}");
    assert_eq!(said.matches("-32700").count(), 4, "what is no JSON, twice each: {said}");
    assert_eq!((output.status.code(), output.stderr.len()), (Some(0), 0));
    // Cut off anywhere, it ends, and says by its status that nobody took leave.
    for length in [0, 10, sent.len() - exit.len() / 2] {
        let cut = sent.as_bytes()[..length].to_vec();
        let output = shop.command(&["lsp"]).write_stdin(cut).output().expect("a run");
        let announced = length > sent.len() - exit.len();
        assert_eq!(output.status.code(), Some(if announced { 0 } else { 1 }), "{length}");
    }
}
