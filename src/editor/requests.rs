//! Which request is answered by whom.

use lsp_server::ErrorCode;
use lsp_types::Uri;
use lsp_types::request::{
    CodeActionRequest, Completion, DocumentSymbolRequest, FoldingRangeRequest, GotoDefinition, HoverRequest,
    InlayHintRequest, PrepareRenameRequest, References, Rename, Request, SelectionRangeRequest, WorkspaceSymbolRequest,
};
use serde_json::Value;

use super::server::Answer;
use super::workplace::Workplace;
use super::{actions, completion, folding, hover, inlays, navigation, rule_files, symbols};

/// The text that a request is about, if its answer rests on the judgement of that text as it is now. Completion does not wait
/// for it: what can be written follows from the text, and names from the build as it was a moment ago.
pub fn text_of(method: &str, params: &Value) -> Option<Uri> {
    if method == Completion::METHOD {
        return None;
    }
    let uri = params.get("textDocument")?.get("uri")?;
    serde_json::from_value(uri.clone()).ok()
}

/// Answers a request.
pub fn answer(workplace: &Workplace, method: &str, params: Value) -> Answer {
    match method {
        FoldingRangeRequest::METHOD => by::<FoldingRangeRequest>(params, |params| folding::ranges(workplace, &params)),
        CodeActionRequest::METHOD => by::<CodeActionRequest>(params, |params| actions::actions(workplace, &params)),
        Completion::METHOD => by::<Completion>(params, |params| {
            completion::completion(workplace, &params).or_else(|| rule_files::completion(workplace, &params))
        }),
        HoverRequest::METHOD => by::<HoverRequest>(params, |params| {
            hover::hover(workplace, &params).or_else(|| rule_files::hover(workplace, &params))
        }),
        GotoDefinition::METHOD => by::<GotoDefinition>(params, |params| navigation::definition(workplace, &params)),
        References::METHOD => by::<References>(params, |params| navigation::references(workplace, &params)),
        PrepareRenameRequest::METHOD => {
            by::<PrepareRenameRequest>(params, |params| navigation::prepare_rename(workplace, &params))
        }
        Rename::METHOD => by::<Rename>(params, |params| navigation::rename(workplace, &params)),
        DocumentSymbolRequest::METHOD => {
            by::<DocumentSymbolRequest>(params, |params| symbols::of_document(workplace, &params))
        }
        WorkspaceSymbolRequest::METHOD => {
            by::<WorkspaceSymbolRequest>(params, |params| symbols::of_workspace(workplace, &params))
        }
        SelectionRangeRequest::METHOD => {
            by::<SelectionRangeRequest>(params, |params| symbols::selections(workplace, &params))
        }
        InlayHintRequest::METHOD => by::<InlayHintRequest>(params, |params| inlays::hints(workplace, &params)),
        _ => Err((ErrorCode::MethodNotFound, format!("`{method}` is not known here"))),
    }
}

fn by<R: Request>(params: Value, act: impl FnOnce(R::Params) -> R::Result) -> Answer {
    let params = serde_json::from_value(params).map_err(|error| (ErrorCode::InvalidParams, error.to_string()))?;
    serde_json::to_value(act(params)).map_err(|error| (ErrorCode::InternalError, error.to_string()))
}
