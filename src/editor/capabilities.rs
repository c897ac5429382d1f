//! What client and server tell each other that they can do.

use lsp_types::{
    ClientCapabilities, CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions,
    FoldingRangeProviderCapability, HoverProviderCapability, OneOf, RenameOptions, SaveOptions,
    SelectionRangeProviderCapability, ServerCapabilities, TextDocumentSyncCapability, TextDocumentSyncKind,
    TextDocumentSyncOptions, TextDocumentSyncSaveOptions, WorkDoneProgressOptions, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};

use super::position::Encoding;
use super::workplace::Client;

/// What matters here of what a client can do.
pub fn client_of(capabilities: &ClientCapabilities) -> Client {
    let text = capabilities.text_document.as_ref();
    let related = text.and_then(|t| t.publish_diagnostics.as_ref()).and_then(|d| d.related_information);
    let item = text.and_then(|t| t.completion.as_ref()).and_then(|c| c.completion_item.as_ref());
    let watched = capabilities.workspace.as_ref().and_then(|w| w.did_change_watched_files.as_ref());
    Client {
        encoding: Encoding::negotiated(capabilities),
        related: related.unwrap_or(false),
        snippets: item.and_then(|i| i.snippet_support).unwrap_or(false),
        watches: watched.and_then(|w| w.dynamic_registration).unwrap_or(false),
    }
}

/// What the server does for such a client.
pub fn server_for(client: Client) -> ServerCapabilities {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions { include_text: Some(false) })),
        ..TextDocumentSyncOptions::default()
    };
    let folders =
        WorkspaceFoldersServerCapabilities { supported: Some(true), change_notifications: Some(OneOf::Left(true)) };
    ServerCapabilities {
        position_encoding: Some(client.encoding.kind()),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX, CodeActionKind::REFACTOR_REWRITE]),
            ..CodeActionOptions::default()
        })),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some([" ", "-", "[", "{", ",", "."].map(str::to_owned).to_vec()),
            ..CompletionOptions::default()
        }),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        })),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        inlay_hint_provider: Some(OneOf::Left(true)),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        workspace: Some(WorkspaceServerCapabilities { workspace_folders: Some(folders), file_operations: None }),
        ..ServerCapabilities::default()
    }
}
