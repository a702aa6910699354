//! Edits of the core as edits of the protocol.

use std::collections::BTreeMap;

use lsp_types::{
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit, TextEdit,
    WorkspaceEdit,
};

use super::place::Places;
use crate::finding::Edit;
use crate::source::FileId;

/// Edits as one change of the workspace: for the versions that they were made for, if the editor can
/// tell versions apart. `None` if a file has no URI.
pub(super) fn workspace_edit(
    places: &Places<'_>,
    edits: &[Edit],
    with_versions: bool,
) -> Option<WorkspaceEdit> {
    let mut by_file: BTreeMap<FileId, Vec<TextEdit>> = BTreeMap::new();
    for edit in edits {
        let range = places.range(edit.span);
        let file = by_file.entry(edit.span.file).or_default();
        file.push(TextEdit::new(range, edit.text.clone()));
    }
    let files = by_file.into_iter();
    if !with_versions {
        let changes = files.map(|(file, edits)| Some((places.uri(file)?, edits)));
        return Some(WorkspaceEdit::new(changes.collect::<Option<_>>()?));
    }
    let changes = files.map(|(file, edits)| {
        Some(TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier {
                uri: places.uri(file)?,
                version: places.version(file),
            },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        })
    });
    Some(WorkspaceEdit {
        document_changes: Some(DocumentChanges::Edits(changes.collect::<Option<_>>()?)),
        ..WorkspaceEdit::default()
    })
}
