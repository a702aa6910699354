//! Bytes → text → tree → definitions.

use std::sync::Arc;

use cordwright::input::{SITE_FILE, SNAG_FILE};
use cordwright::judgement::{FileRead, file_globs};
use cordwright::source::{FileId, Span};
use cordwright::yaml::{Kind, Limits, NodeId, Problem, Tree, decode_text, events_only};

const FILE: FileId = FileId(0);

/// Every node and every problem has bytes of the text, what lies in a node lies in its bytes, and
/// the definitions are found at whole characters.
pub fn run(bytes: &[u8]) {
    let (text, undecodable) = decode_text(FILE, bytes.to_vec());
    assert_eq!(text.len(), bytes.len(), "offsets are those of the file");
    let (tree, problems) = Tree::parse(FILE, &text, &Limits::default());
    for problem in problems.iter().chain(&undecodable) {
        assert_problem(&text, problem);
    }
    assert!(tree.is_complete() || !problems.is_empty(), "not told why");
    for &root in tree.roots() {
        assert_node(&tree, &text, root);
    }
    events_only(&text);
    file_globs(bytes);
    for path in [SITE_FILE, SNAG_FILE] {
        let read = FileRead::new(FILE, path.to_owned(), bytes.to_vec());
        for noted in read.fragment.faults() {
            assert_span(&text, noted.fault.span());
            noted.uses.iter().for_each(|span| assert_span(&text, *span));
        }
    }
}

fn assert_problem(text: &Arc<str>, problem: &Problem) {
    let related = problem.related.iter().map(|(span, _)| *span);
    for span in related.chain([problem.span]) {
        assert_span(text, span);
    }
    assert!(!problem.message.is_empty() && !problem.advice.is_empty());
}

fn assert_span(text: &str, span: Span) {
    assert!(text.get(span.range()).is_some(), "{span:?}");
}

fn assert_node(tree: &Tree, text: &str, top: NodeId) {
    let mut waiting = vec![top];
    while let Some(node) = waiting.pop() {
        let around = tree.span(node);
        assert_span(text, around);
        let mut end = around.lo;
        for child in tree.children(node) {
            let span = tree.span(child);
            assert!(end <= span.lo && span.hi <= around.hi, "{span:?}");
            end = span.hi;
            waiting.push(child);
        }
        if let Some(target) = tree.resolve(node) {
            assert_ne!(tree.kind(target), Kind::Alias);
        }
        if tree.kind(node) == Kind::Mapping {
            assert_eq!(tree.children(node).count() % 2, 0);
        }
    }
}
