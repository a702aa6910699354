//! Bytes of the core as places of the protocol.

use std::path::PathBuf;

use lsp_types::{Location, Position, Range, Uri};

use super::client::Client;
use super::documents::Documents;
use super::uri;
use crate::editor::OpenSite;
use crate::host;
use crate::source::{FileId, Span};

/// A site with what is needed to speak of places in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Places<'a> {
    pub site: &'a OpenSite,
    pub root: &'a PathBuf,
    pub documents: &'a Documents,
    pub client: &'a Client,
}

impl Places<'_> {
    pub(super) fn path(&self, file: FileId) -> PathBuf {
        host::below(self.root, &self.site.source(file).path)
    }

    /// The file as the editor names it, if it has it open.
    pub(super) fn uri(&self, file: FileId) -> Option<Uri> {
        let path = self.path(file);
        match self.documents.get(&path) {
            Some(document) => Some(document.uri.clone()),
            None => uri::of_path(&path),
        }
    }

    pub(super) fn version(&self, file: FileId) -> Option<i32> {
        self.documents
            .get(&self.path(file))
            .map(|document| document.version)
    }

    pub(super) fn range(&self, span: Span) -> Range {
        let source = self.site.source(span.file);
        let at = |byte: usize| {
            let (line, character) = self.client.encoding.position(source, byte);
            Position { line, character }
        };
        Range::new(at(span.range().start), at(span.range().end))
    }

    pub(super) fn location(&self, span: Span) -> Option<Location> {
        Some(Location::new(self.uri(span.file)?, self.range(span)))
    }

    pub(super) fn byte(&self, file: FileId, at: Position) -> usize {
        let encoding = self.client.encoding;
        encoding.byte(self.site.source(file), at.line, at.character)
    }
}
