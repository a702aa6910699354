//! Checks shared by the tests of the tree.

mod broken;
mod hostile;
mod mutated;
mod random;
mod ranges;
mod text;
mod writer;

use std::sync::Arc;

use super::{Kind, Limits, NodeId, Problem, Tree};
use crate::source::FileId;

const FILE: FileId = FileId(3);

/// Parses with the usual limits and checks what must hold for any text.
fn parse(text: &str) -> (Tree, Vec<Problem>) {
    let (tree, problems) = Tree::parse(FILE, &Arc::from(text), &Limits::default());
    check_invariants(&tree, &problems, text);
    (tree, problems)
}

/// Parses text that must be sound.
fn sound(text: &str) -> Tree {
    let (tree, problems) = parse(text);
    assert_eq!(problems, [], "in {text:?}");
    assert!(tree.is_complete());
    tree
}

/// The source of a node.
fn source(tree: &Tree, id: NodeId) -> &str {
    &tree.text[tree.span(id).range()]
}

/// All nodes in the order of the text.
fn all(tree: &Tree) -> impl Iterator<Item = NodeId> + use<> {
    (0..u32::try_from(tree.len()).unwrap()).map(NodeId)
}

fn check_invariants(tree: &Tree, problems: &[Problem], text: &str) {
    for problem in problems {
        let related = problem.related.iter().map(|(span, _)| *span);
        for span in related.chain([problem.span]) {
            assert!(text.get(span.range()).is_some(), "{problem:?} in {text:?}");
        }
        assert!(!problem.message.is_empty() && !problem.advice.is_empty());
    }
    assert!(
        tree.is_complete() || !problems.is_empty(),
        "silent loss in {text:?}"
    );
    let mut reached = 0;
    let mut last_root = 0;
    for &root in tree.roots() {
        let range = tree.span(root).range();
        assert!(last_root <= range.start);
        last_root = range.end;
        assert_eq!(root.index(), reached, "nodes outside a document");
        reached = tree.nodes[root.index()].next as usize;
    }
    assert_eq!(reached, tree.len());
    for id in all(tree) {
        check_node(tree, id, text);
    }
}

fn check_node(tree: &Tree, id: NodeId, text: &str) {
    let range = tree.span(id).range();
    assert!(text.get(range.clone()).is_some(), "{id:?} in {text:?}");
    let mut last = range.start;
    let mut count = 0;
    for child in tree.children(id) {
        let inner = tree.span(child).range();
        assert!(
            last <= inner.start && inner.end <= range.end,
            "{child:?} in {text:?}"
        );
        last = inner.end;
        count += 1;
    }
    match tree.kind(id) {
        Kind::Mapping => {
            assert_eq!(count % 2, 0, "a key without a value in {text:?}");
            assert_eq!(tree.pairs(id).count(), count / 2);
        }
        Kind::List => assert_eq!(tree.pairs(id).count(), 0),
        Kind::Empty => assert!(range.is_empty() && count == 0),
        _ => assert!(!range.is_empty() && count == 0, "{id:?} in {text:?}"),
    }
    if let Some(target) = tree.resolve(id) {
        assert_ne!(tree.kind(target), Kind::Alias);
        let is_alias = tree.kind(id) == Kind::Alias;
        assert!(!is_alias || tree.nodes[target.index()].next <= id.0);
    }
    let part = 0..tree.text(id).len();
    let exact = tree.part_span(id, part).range();
    assert!(
        range.start <= exact.start && exact.end <= range.end,
        "{exact:?} in {range:?} in {text:?}"
    );
}

/// Marsaglia's xorshift: the same numbers on every machine.
struct Random(u64);

impl Random {
    fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// A number below `end`.
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 16) % end as u64) as usize
    }

    /// True once in `n` times.
    fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    fn pick<'a, T: ?Sized>(&mut self, from: &[&'a T]) -> &'a T {
        from[self.below(from.len())]
    }
}
