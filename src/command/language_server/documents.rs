//! The texts that the editor has open.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use lsp_types::{TextDocumentContentChangeEvent, Uri};

use crate::editor::position::Encoding;
use crate::host::Overlay;
use crate::source::Source;

/// A text that is open.
#[derive(Debug)]
pub(super) struct Document {
    /// As the editor names it.
    pub uri: Uri,
    /// Its version.
    pub version: i32,
    /// The text.
    pub text: String,
}

impl Document {
    /// Does what the editor says was done, step by step.
    pub(super) fn change(
        &mut self,
        version: i32,
        changes: Vec<TextDocumentContentChangeEvent>,
        encoding: Encoding,
    ) {
        self.version = version;
        for change in changes {
            let Some(range) = change.range else {
                self.text = change.text;
                continue;
            };
            let source = Source::new("", self.text.as_str());
            let lo = encoding.byte(&source, range.start.line, range.start.character);
            let hi = encoding.byte(&source, range.end.line, range.end.character);
            self.text.replace_range(lo..hi.max(lo), &change.text);
        }
    }
}

/// All texts that are open, by path.
#[derive(Debug, Default)]
pub(super) struct Documents(BTreeMap<PathBuf, Document>);

impl Documents {
    pub(super) fn open(&mut self, path: PathBuf, document: Document) {
        self.0.insert(path, document);
    }

    pub(super) fn close(&mut self, path: &Path) {
        self.0.remove(path);
    }

    pub(super) fn get(&self, path: &Path) -> Option<&Document> {
        self.0.get(path)
    }

    pub(super) fn get_mut(&mut self, path: &Path) -> Option<&mut Document> {
        self.0.get_mut(path)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (&Path, &Document)> {
        self.0
            .iter()
            .map(|(path, document)| (path.as_path(), document))
    }

    /// The texts over the files on disk; `kept` may give another text for one.
    pub(super) fn overlay(&self, kept: impl Fn(&Path) -> Option<String>) -> Overlay {
        let mut overlay = Overlay::default();
        for (path, document) in self.iter() {
            let text = kept(path).unwrap_or_else(|| document.text.clone());
            overlay.put(path, text.into_bytes());
        }
        overlay
    }
}

#[cfg(test)]
mod tests {
    use std::str::FromStr;

    use lsp_types::{Position, Range};

    use super::*;

    #[test]
    fn changes_are_made_one_after_the_other() {
        let mut document = Document {
            uri: Uri::from_str("file:///a.yaml").unwrap(),
            version: 1,
            text: "a: 𝔸b\nc: 1\n".to_owned(),
        };
        let change =
            |from: (u32, u32), to: (u32, u32), text: &str| TextDocumentContentChangeEvent {
                range: Some(Range::new(
                    Position::new(from.0, from.1),
                    Position::new(to.0, to.1),
                )),
                range_length: None,
                text: text.to_owned(),
            };
        let changes = vec![change((0, 5), (0, 6), "xy"), change((0, 7), (1, 0), "\n\n")];
        document.change(2, changes, Encoding::Utf16);
        assert_eq!(
            (document.text.as_str(), document.version),
            ("a: 𝔸xy\n\nc: 1\n", 2)
        );
    }
}
