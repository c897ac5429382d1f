//! What client and server tell each other that they can do.

use lsp_types::{
    ClientCapabilities, FoldingRangeProviderCapability, HoverProviderCapability, OneOf, SaveOptions,
    ServerCapabilities, TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions,
    TextDocumentSyncSaveOptions, WorkspaceFoldersServerCapabilities, WorkspaceServerCapabilities,
};

use super::position::Encoding;
use super::workplace::Client;

/// What matters here of what a client can do.
pub fn client_of(capabilities: &ClientCapabilities) -> Client {
    let text = capabilities.text_document.as_ref();
    let related = text.and_then(|t| t.publish_diagnostics.as_ref()).and_then(|d| d.related_information);
    let watched = capabilities.workspace.as_ref().and_then(|w| w.did_change_watched_files.as_ref());
    Client {
        encoding: Encoding::negotiated(capabilities),
        related: related.unwrap_or(false),
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
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        workspace: Some(WorkspaceServerCapabilities { workspace_folders: Some(folders), file_operations: None }),
        ..ServerCapabilities::default()
    }
}
