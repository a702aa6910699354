//! What the editor says it can.

use std::path::PathBuf;

use lsp_types::{
    InitializeParams, MarkupKind, PositionEncodingKind, TextDocumentClientCapabilities,
};
use serde_json::Value;

use super::uri;
use crate::editor::position::Encoding;

/// What matters of an editor's capabilities, and where it works.
#[derive(Debug)]
pub(super) struct Client {
    /// How it counts the characters of a line.
    pub encoding: Encoding,
    /// Whether it asks for the diagnostics of what it has open, instead of waiting for them.
    pub pulls: bool,
    /// Whether it can be told to ask again.
    pub refreshes: bool,
    /// Whether it shows progress.
    pub shows_progress: bool,
    /// Whether it can be asked to watch files.
    pub watches: bool,
    /// Whether edits may name the version of the text they are for.
    pub versions_edits: bool,
    /// Whether it shows the places that bear on a finding beside it.
    pub relates: bool,
    /// Whether what is shown of a thing may be Markdown.
    pub shows_markdown: bool,
    /// Whether the meaning of what may be typed may be Markdown.
    pub documents_in_markdown: bool,
    /// The folders that it has open.
    pub folders: Vec<PathBuf>,
}

impl Client {
    /// Reads the first message; `written` is the same as it came over the wire.
    pub(super) fn new(params: &InitializeParams, written: &Value) -> Self {
        let can = &params.capabilities;
        let text = can.text_document.as_ref();
        let workspace = can.workspace.as_ref();
        let watched = workspace.and_then(|w| w.did_change_watched_files.as_ref());
        let edit = workspace.and_then(|w| w.workspace_edit.as_ref());
        let window = can.window.as_ref();
        let hover = text.and_then(|t| t.hover.as_ref()?.content_format.as_deref());
        let documents = text.and_then(|t| {
            let item = t.completion.as_ref()?.completion_item.as_ref()?;
            item.documentation_format.as_deref()
        });
        // The types of the protocol have this one without its last letter.
        let refreshes = &written["capabilities"]["workspace"]["diagnostics"]["refreshSupport"];
        let encodings = can
            .general
            .as_ref()
            .and_then(|g| g.position_encodings.as_deref());
        Self {
            encoding: encoding(encodings.unwrap_or_default()),
            pulls: text.is_some_and(|text| text.diagnostic.is_some()),
            refreshes: *refreshes == Value::Bool(true),
            shows_progress: window.and_then(|w| w.work_done_progress).unwrap_or(false),
            watches: watched
                .and_then(|w| w.dynamic_registration)
                .unwrap_or(false),
            versions_edits: edit.and_then(|edit| edit.document_changes).unwrap_or(false),
            relates: relates(text, written),
            shows_markdown: takes_markdown(hover),
            documents_in_markdown: takes_markdown(documents),
            folders: folders(params),
        }
    }
}

/// Bytes, if the editor can count them: nothing need be counted again then.
fn encoding(offered: &[PositionEncodingKind]) -> Encoding {
    if offered.contains(&PositionEncodingKind::UTF8) {
        Encoding::Utf8
    } else {
        Encoding::Utf16
    }
}

/// Whether it takes related places with diagnostics that it is told or that it asks for.
fn relates(text: Option<&TextDocumentClientCapabilities>, written: &Value) -> bool {
    let told = text.and_then(|text| text.publish_diagnostics.as_ref()?.related_information);
    // The types of the protocol do not have this one.
    let asked = &written["capabilities"]["textDocument"]["diagnostic"]["relatedInformation"];
    told.unwrap_or(false) || *asked == Value::Bool(true)
}

/// Whether Markdown is the first of the kinds that it takes; plain text, if it names none.
fn takes_markdown(formats: Option<&[MarkupKind]>) -> bool {
    formats.and_then(<[_]>::first) == Some(&MarkupKind::Markdown)
}

#[expect(
    deprecated,
    reason = "editors that know no workspace folders name their root so"
)]
fn folders(params: &InitializeParams) -> Vec<PathBuf> {
    match &params.workspace_folders {
        Some(folders) => {
            let uris = folders.iter().map(|folder| &folder.uri);
            uris.filter_map(uri::to_path).collect()
        }
        None => params.root_uri.iter().filter_map(uri::to_path).collect(),
    }
}
