//! Approval marks as they stand on a part: a list of them, or a bare one.

use serde_json::{Value, json};

use crate::source::Span;
use crate::yaml::{Kind, NodeId};

use super::decode::{Decode, Reader, Slot};
use super::optional::Stated;
use super::value::{Name, Spanned};

/// Marks, in the order in which they are written.
#[derive(Clone, Debug, Default)]
pub struct Marks {
    given: Vec<Spanned<Name>>,
    unreadable: Option<Span>,
}

/// What people write between marks.
const BETWEEN: [char; 3] = [',', ';', '\n'];

impl Marks {
    /// Those that can be read.
    pub fn given(&self) -> &[Spanned<Name>] {
        &self.given
    }

    /// Where something stands among them that cannot be read: it may be the very mark that is asked for.
    pub fn unreadable(&self) -> Option<Span> {
        self.unreadable
    }

    /// Their words.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.given.iter().map(|mark| mark.value.as_str())
    }

    /// Reads one text, in which people write several marks with commas between them.
    fn read(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let whole = reader.tree.span(node);
        let Some(text) = Name::decode(reader, node) else {
            self.unreadable.get_or_insert(whole);
            return;
        };
        let mut start = 0;
        for part in text.split(BETWEEN) {
            let mark = part.trim();
            let lo = start + (part.len() - part.trim_start().len());
            let span = match part.len() == text.len() {
                true => whole,
                false => reader.tree.part_span(node, lo..lo + mark.len()),
            };
            start += part.len() + 1;
            if !mark.is_empty() {
                let value = mark.into();
                self.given.push(Spanned { value, span });
            }
        }
    }
}

impl Stated for Marks {
    fn place(&self) -> Option<Span> {
        let first = self.given.first().map(|mark| mark.span);
        first.or(self.unreadable)
    }

    fn is_unreadable(&self) -> bool {
        self.unreadable.is_some()
    }
}

impl Slot for Marks {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let tree = reader.tree;
        match reader.kind(node) {
            Kind::List => {
                for item in tree.children(node) {
                    let Some(child) = reader.enter(item) else {
                        return self.spoil(tree.span(node));
                    };
                    reader.under(item, |reader| self.read(reader, child));
                }
            }
            Kind::Plain | Kind::Quoted | Kind::Block => self.read(reader, node),
            _ => {
                reader.wanted(node, "a list of marks");
                self.spoil(tree.span(node));
            }
        }
    }

    fn spoil(&mut self, at: Span) {
        self.unreadable.get_or_insert(at);
    }

    fn schema() -> Value {
        let mark = Name::schema();
        json!({
            "anyOf": [{"type": "array", "items": mark.clone()}, mark],
            "examples": [["VDE", "HAR"], "BSI"],
        })
    }
}
