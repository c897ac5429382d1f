//! Which request is answered by whom.

use lsp_server::ErrorCode;
use lsp_types::Uri;
use lsp_types::request::{FoldingRangeRequest, HoverRequest, Request};
use serde_json::Value;

use super::server::Answer;
use super::workplace::Workplace;
use super::{folding, hover};

/// The text that a request is about, if its answer rests on the judgement of that text.
pub fn text_of(_method: &str, params: &Value) -> Option<Uri> {
    let uri = params.get("textDocument")?.get("uri")?;
    serde_json::from_value(uri.clone()).ok()
}

/// Answers a request.
pub fn answer(workplace: &Workplace, method: &str, params: Value) -> Answer {
    match method {
        FoldingRangeRequest::METHOD => by::<FoldingRangeRequest>(params, |params| folding::ranges(workplace, &params)),
        HoverRequest::METHOD => by::<HoverRequest>(params, |params| hover::hover(workplace, &params)),
        _ => Err((ErrorCode::MethodNotFound, format!("`{method}` is not known here"))),
    }
}

fn by<R: Request>(params: Value, act: impl FnOnce(R::Params) -> R::Result) -> Answer {
    let params = serde_json::from_value(params).map_err(|error| (ErrorCode::InvalidParams, error.to_string()))?;
    serde_json::to_value(act(params)).map_err(|error| (ErrorCode::InternalError, error.to_string()))
}
