//! YAML text to a tree in which every value knows the exact bytes it was written with.
//!
//! [`Tree::parse`] never panics, never recurses and never stops at the first error: what was read
//! before a mistake stays in the tree, and the next document of the file is read as usual. Aliases
//! stay references, so that no file can blow up in memory. Values are text only; what a value means
//! is for the reader of the tree to decide.
//!
//! The ranges are those an editor needs to replace a value: without the anchor and tag before it,
//! with the quotes, brackets or block header that belong to it.

mod build;
mod decode;
mod mend;
mod place;
mod problem;
#[cfg(test)]
mod tests;
mod tree;
mod words;

use crate::budget::{Budget, Work};

pub use build::events_only;
pub use decode::decode_text;
pub use problem::Problem;
pub use tree::{NodeId, Tree};

/// What one file may cost before reading it is given up, each limit a [`Problem`] when it is hit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of text.
    pub bytes: usize,
    /// Nodes (keys, values and lists together) in all documents of the file.
    pub nodes: usize,
    /// Levels of nesting, counted apart for indented and for bracketed lists and sections.
    pub depth: usize,
    /// Anchors (`&name`) in all documents of the file.
    pub anchors: usize,
}

impl Limits {
    /// What the budget allows for one file.
    pub fn within(budget: &Budget) -> Self {
        Self {
            bytes: 64 << 20,
            nodes: budget.count(Work::Values),
            depth: 64,
            anchors: budget.count(Work::Anchors),
        }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self::within(&Budget::default())
    }
}

/// How a node is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Nothing at all: the place after `key:` or `-` where a value could stand.
    Empty,
    /// Text without quotes.
    Plain,
    /// Text in single or double quotes.
    Quoted,
    /// Text of several lines after `|` or `>`.
    Block,
    /// A list, of `- ` lines or in `[ ]`.
    List,
    /// Keys with values, one per line or in `{ }`.
    Mapping,
    /// `*name`, which stands for an earlier node.
    Alias,
}
