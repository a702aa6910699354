//! The tree: nodes in one flat list, in the order of the text.

use std::ops::Range;
use std::sync::Arc;

use super::{Kind, Limits, Problem, build};
use crate::source::{FileId, Span};

/// A node of one [`Tree`]; ids grow in the order in which nodes start in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub(super) u32);

impl NodeId {
    /// The id as an index from 0, for tables with one row per node.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// How a scalar is written.
#[derive(Clone, Copy, Debug)]
pub(super) enum Style {
    Plain,
    Quoted,
    Block,
}

/// What a node holds. Kept at twelve bytes: large sites have millions of nodes.
#[derive(Clone, Copy, Debug)]
pub(super) enum Content {
    Empty,
    /// Decoded text: bytes `lo..hi` of the file or, if `heap`, of the tree's own heap.
    Scalar {
        style: Style,
        heap: bool,
        lo: u32,
        hi: u32,
    },
    /// `cut`: an error ended it early.
    List {
        flow: bool,
        cut: bool,
    },
    Mapping {
        flow: bool,
        cut: bool,
    },
    /// No target if the name is unknown or stands for a node that holds the alias.
    Alias(Option<NodeId>),
}

/// One node. Its children start right after it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub(super) lo: u32,
    pub(super) hi: u32,
    /// One past the last node below this one.
    pub(super) next: u32,
    pub(super) content: Content,
}

/// A node's tag.
#[derive(Clone, Debug)]
pub(super) struct Tagged {
    pub(super) node: NodeId,
    /// `!!str` and the like for the core schema, the full tag for any other.
    pub(super) name: String,
    pub(super) span: Span,
    /// Whether the core schema does not have it.
    pub(super) is_foreign: bool,
}

/// The YAML of one file. It shares the text and can outlive the file's entry in the site.
#[derive(Clone, Debug)]
pub struct Tree {
    pub(super) file: FileId,
    pub(super) text: Arc<str>,
    pub(super) nodes: Vec<Node>,
    /// Decoded text of scalars that differ from the file's bytes.
    pub(super) heap: String,
    pub(super) roots: Vec<NodeId>,
    /// Anchored nodes, ascending, with the place of `&name`.
    pub(super) anchors: Vec<(NodeId, Span)>,
    /// Tagged nodes, ascending.
    pub(super) tags: Vec<Tagged>,
    pub(super) complete: bool,
    /// Where the text of a document breaks off, in order.
    pub(super) breaks: Vec<Span>,
}

impl Tree {
    /// Reads all documents of `text`.
    ///
    /// Broken text gives problems and the part of the tree before each mistake; see
    /// [`Tree::is_complete`] and [`Tree::is_cut_short`].
    pub fn parse(file: FileId, text: &Arc<str>, limits: &Limits) -> (Self, Vec<Problem>) {
        build::build(file, text, limits)
    }

    /// The file the text belongs to.
    pub fn file(&self) -> FileId {
        self.file
    }

    /// The top node of each document, in order.
    pub fn roots(&self) -> &[NodeId] {
        &self.roots
    }

    /// All nodes, in the order in which they start in the text.
    pub fn ids(&self) -> impl Iterator<Item = NodeId> + use<> {
        (0..self.nodes.len() as u32).map(NodeId)
    }

    /// Number of nodes.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether the text holds no node, as in an empty file or one of comments only.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// Whether all of the text was read; if not, more keys and documents may have been meant.
    pub fn is_complete(&self) -> bool {
        self.complete
    }

    /// Where the text of a document breaks off, in order: the places of those problems after which
    /// the rest of a document was not read.
    pub fn breaks(&self) -> &[Span] {
        &self.breaks
    }

    /// Whether an error ended this list or mapping early: a key that is absent may have been meant.
    pub fn is_cut_short(&self, id: NodeId) -> bool {
        matches!(
            self.node(id).content,
            Content::List { cut: true, .. } | Content::Mapping { cut: true, .. }
        )
    }

    /// How the node is written.
    pub fn kind(&self, id: NodeId) -> Kind {
        match self.node(id).content {
            Content::Empty => Kind::Empty,
            Content::Scalar { style, .. } => match style {
                Style::Plain => Kind::Plain,
                Style::Quoted => Kind::Quoted,
                Style::Block => Kind::Block,
            },
            Content::List { .. } => Kind::List,
            Content::Mapping { .. } => Kind::Mapping,
            Content::Alias(_) => Kind::Alias,
        }
    }

    /// Whether the node is `~` or `null` without quotes, and not tagged as a text (YAML 1.2.2, 10.3.2).
    pub fn is_null(&self, id: NodeId) -> bool {
        let node = self.node(id);
        // Four bytes at most: most scalars are longer, and need no second look.
        node.hi - node.lo <= 4
            && self.kind(id) == Kind::Plain
            && matches!(self.text(id), "~" | "null" | "Null" | "NULL")
            && self.tag(id) != Some("!!str")
    }

    /// Whether the node is a list or mapping in brackets, or a `key: value` pair inside `[ ]`.
    pub fn is_flow(&self, id: NodeId) -> bool {
        matches!(
            self.node(id).content,
            Content::List { flow: true, .. } | Content::Mapping { flow: true, .. }
        )
    }

    /// The bytes the node was written with, without its anchor and tag.
    ///
    /// An empty value has the empty range where a value would be written.
    pub fn span(&self, id: NodeId) -> Span {
        let node = self.node(id);
        Span {
            file: self.file,
            lo: node.lo,
            hi: node.hi,
        }
    }

    /// The text a scalar stands for, quotes and escapes resolved; empty for any other node.
    pub fn text(&self, id: NodeId) -> &str {
        let Content::Scalar { heap, lo, hi, .. } = self.node(id).content else {
            return "";
        };
        let store = if heap { &self.heap } else { &*self.text };
        store.get(lo as usize..hi as usize).unwrap_or_default()
    }

    /// The bytes of `part`, a range of [`Tree::text`].
    ///
    /// Exact if the scalar is written just as it reads; the whole node if it has escapes or runs
    /// over several lines.
    pub fn part_span(&self, id: NodeId, part: Range<usize>) -> Span {
        match self.node(id).content {
            Content::Scalar {
                heap: false,
                lo,
                hi,
                ..
            } if part.start <= part.end && part.end <= (hi - lo) as usize => {
                let lo = lo as usize;
                Span::new(self.file, lo + part.start, lo + part.end)
            }
            _ => self.span(id),
        }
    }

    /// Items of a list, or keys and values of a mapping in turn; nothing for any other node.
    pub fn children(&self, id: NodeId) -> impl Iterator<Item = NodeId> + '_ {
        let end = self.node(id).next;
        let mut at = id.0 + 1;
        std::iter::from_fn(move || {
            let child = (at < end).then_some(NodeId(at))?;
            at = self.node(child).next;
            Some(child)
        })
    }

    /// Whether a child of a list or mapping is the last one.
    pub fn is_last(&self, parent: NodeId, child: NodeId) -> bool {
        self.node(child).next == self.node(parent).next
    }

    /// Keys of a mapping with their values; nothing for any other node.
    ///
    /// Merge keys (`<<`) and keys written twice come as they are.
    pub fn pairs(&self, id: NodeId) -> impl Iterator<Item = (NodeId, NodeId)> + '_ {
        let is_mapping = matches!(self.node(id).content, Content::Mapping { .. });
        let mut children = self.children(id);
        std::iter::from_fn(move || {
            let key = children.next().filter(|_| is_mapping)?;
            Some((key, children.next()?))
        })
    }

    /// The node an alias stands for; the node itself if it is no alias.
    ///
    /// Never an alias and never a node around `id`, so following one always ends. `None` if the
    /// alias has no such node, which was reported as a [`Problem`] on reading.
    pub fn resolve(&self, id: NodeId) -> Option<NodeId> {
        match self.node(id).content {
            Content::Alias(target) => target,
            _ => Some(id),
        }
    }

    /// Where the node's anchor (`&name`) stands, if it has one: editing the node then also changes
    /// every place that refers to it.
    pub fn anchor(&self, id: NodeId) -> Option<Span> {
        let at = self.anchors.binary_search_by_key(&id, |entry| entry.0);
        at.ok().map(|at| self.anchors[at].1)
    }

    /// The node's tag, if one is written: `!!str` and the like for the core schema of YAML 1.2.2
    /// (10.3), the full tag for any other.
    pub fn tag(&self, id: NodeId) -> Option<&str> {
        let at = self.tags.binary_search_by_key(&id, |tagged| tagged.node);
        at.ok().map(|at| self.tags[at].name.as_str())
    }

    /// Nodes with a tag that the core schema does not have, and where it stands: what it means is
    /// not known here.
    pub fn foreign_tags(&self) -> impl Iterator<Item = (NodeId, Span)> + '_ {
        let foreign = self.tags.iter().filter(|tagged| tagged.is_foreign);
        foreign.map(|tagged| (tagged.node, tagged.span))
    }

    /// The top node of the document that a node is in.
    pub fn root_of(&self, id: NodeId) -> NodeId {
        let after = self.roots.partition_point(|root| *root <= id);
        self.roots[..after].last().copied().unwrap_or(id)
    }

    /// The text at a place of the file.
    pub fn source(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or_default()
    }

    /// Bytes from the start of the line to `byte`.
    pub fn column(&self, byte: usize) -> usize {
        let before = self.text.as_bytes().get(..byte).unwrap_or_default();
        before
            .iter()
            .rev()
            .take_while(|byte| **byte != b'\n')
            .count()
    }

    /// The innermost node at `byte`; see [`Tree::path_to`].
    pub fn node_at(&self, byte: usize) -> Option<NodeId> {
        self.path_to(byte).pop()
    }

    /// The nodes around `byte`, outermost first.
    ///
    /// A node also holds the place right after it, where a cursor stands after typing, unless the
    /// next node starts there.
    pub fn path_to(&self, byte: usize) -> Vec<NodeId> {
        let holds = |id: &NodeId| {
            let range = self.span(*id).range();
            range.start <= byte && byte <= range.end
        };
        let mut path = Vec::new();
        let mut step = self.roots.iter().copied().rfind(holds);
        while let Some(id) = step {
            path.push(id);
            step = self.children(id).filter(holds).last();
        }
        path
    }

    fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id.index()]
    }
}
