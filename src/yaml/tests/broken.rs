//! Half-typed and mistyped files: what is kept, and what is said.

use super::super::Kind;
use super::{all, parse, source};

/// Sources of the scalars that were kept.
fn kept(text: &str) -> Vec<String> {
    let (tree, problems) = parse(text);
    assert!(!tree.is_complete() && problems.len() == 1, "{problems:?}");
    let scalar = |&id: &_| matches!(tree.kind(id), Kind::Plain | Kind::Quoted | Kind::Block);
    let nodes = all(&tree).filter(scalar);
    nodes.map(|id| source(&tree, id).to_owned()).collect()
}

#[test]
fn what_was_complete_before_the_error_stays() {
    assert_eq!(kept("a: 1\nb: 2\nc\n"), ["a", "1", "b", "2"]);
    assert_eq!(
        kept("a:\n  - x\n  - y: 1\n    z: [\n"),
        ["a", "x", "y", "1", "z"]
    );
    assert_eq!(kept("a: 1\nb: }\n"), ["a", "1", "b"]);
    assert_eq!(kept("a: \"x\n---\nok: 1\n"), ["a", "ok", "1"]);
    assert_eq!(kept("x: y: z\n---\nb: 2\n"), ["x", "y", "b", "2"]);
}

#[test]
fn open_collections_are_closed_and_marked() {
    let text = "a:\n  - done: 1\n  - key: }\n---\nb: 1\n";
    let (tree, _) = parse(text);
    let cut: Vec<_> = all(&tree)
        .filter(|&id| tree.is_cut_short(id))
        .map(|id| source(&tree, id))
        .collect();
    let list = "- done: 1\n  - key:";
    assert_eq!(cut, [&format!("a:\n  {list}"), list, "key:"]);
    let empty = all(&tree).find(|&id| tree.kind(id) == Kind::Empty).unwrap();
    assert_eq!(tree.span(empty).range().start, text.find(" }").unwrap());
    assert_eq!(tree.roots().len(), 2);
}

/// The first message, and the bytes it points at.
fn said(text: &str) -> (String, &str) {
    let (_, problems) = parse(text);
    let problem = problems.into_iter().next().expect("a problem");
    (problem.message, &text[problem.span.range()])
}

#[test]
fn common_mistakes_are_explained_in_plain_words() {
    for (text, word, place) in [
        ("a: [1, 2\n", "never closed", "["),
        ("a: {b: 1, c\n", "never closed", "{"),
        ("a: [1}\n", "closed with '}'", "["),
        ("a: }\n", "no opening", "}"),
        ("a: {b: 1\nc: 2\n", "comma", ":"),
        ("a: [1, 2\nb: 3\n", "comma", ":"),
        ("a: 'x\n", "quotation mark is never closed", "'"),
        ("a: 'x' y\n", "after the closing quotation", "y"),
        ("a: \"\\q\"\n", "backslash", "\""),
        ("a:\n\tb: 1\n", "tab", "\t"),
        ("a: 1\nbad # no\n", "colon is missing", "bad"),
        ("a: b: c\n", "second colon", ":"),
        ("a: 1\n  b: 2\n", "line up", "b"),
        ("- a\n b: 1\n", "line up", "b"),
        ("a:\n  - b\n  c: 1\n", "line up", "c"),
        ("a: @x\n", "'@'", "@"),
        ("a: 1\n\u{feff}b: 2\n", "byte-order mark", "\u{feff}"),
        ("a: *nope\n", "no anchor", "*nope"),
        ("a: &\n", "name is missing", "&"),
        ("a: !e!x 1\n", "'!'", "!"),
    ] {
        let (message, found) = said(text);
        assert!(message.contains(word), "{text:?}: {message}");
        assert_eq!(found, place, "{text:?}: {message}");
    }
}

#[test]
fn an_error_inside_brackets_shows_the_open_bracket() {
    let text = "a: {b: 1\nc: 2\n";
    let (_, problems) = parse(text);
    let (span, _) = problems[0].related.as_ref().unwrap();
    assert_eq!(span.range(), 3..4);
}

#[test]
fn rare_errors_keep_the_words_of_the_parser() {
    let (message, _) = said("%YAML 1.2\n%YAML 1.2\n---\na: 1\n");
    assert!(
        message.contains("[duplicate version directive]"),
        "{message}"
    );
}

#[test]
fn a_quotation_mark_that_swallows_lines_is_told_at_the_first_of_them() {
    for text in [
        "note: \"of the shift\ncords:\n  W-1: \"\nend: 1\n",
        "note: \"of the shift\n\tcords: 1\"\nend: 1\n",
        "a:\r\n- b: 'x\r\n  cords: 1'\r\nend: 1\r\n",
        "a:\n  - &n b: 'x\n\n    cords: 1'\nend: 1\n",
    ] {
        let (tree, problems) = parse(text);
        let (message, place) = said(text);
        assert!(message.contains("too far left"), "{text:?}: {message}");
        assert!(place.starts_with("cords:"), "{text:?}: {place}");
        let opened = problems[0].related.as_ref().unwrap().0.range();
        assert!(["\"", "'"].contains(&&text[opened]), "{text:?}");
        // What comes after is read, and the reading is known not to be whole.
        assert!(!tree.is_complete() && problems.len() == 1, "{text:?}");
        let last = tree.pairs(tree.roots()[0]).last().unwrap();
        assert_eq!(tree.text(last.0), "end", "{text:?}");
    }
}

#[test]
fn quoted_text_of_several_lines_is_sound_where_it_is_indented() {
    for text in [
        "a: \"b\n  c\n\n  d\"\n",
        "\"b\nc\"\n",
        "- \"b\n  c\"\n",
        "a:\n- \"b\n  c\"\n",
        "- - 'b\n    c'\n",
        "a: [\"b\n  c\"]\n",
        "[\"b\nc\"]\n",
    ] {
        let (_, problems) = parse(text);
        assert_eq!(problems, [], "{text:?}");
    }
}

/// Lists in brackets may go on in the column of their key, as many people write the last bracket,
/// though the letter of YAML 1.2.2 (7.4) wants them further right: nothing is lost by it, since all
/// that stands in the brackets is judged like any other value.
#[test]
fn lists_in_brackets_may_go_on_in_the_column_of_their_key() {
    for text in [
        "flow: [a,\nb,\nc]\nend: 1\n",
        "flow: [\n  a, b, c\n]\nend: 1\n",
    ] {
        let (tree, problems) = parse(text);
        assert_eq!(problems, [], "{text:?}");
        let (_, list) = tree.pairs(tree.roots()[0]).next().unwrap();
        let items: Vec<_> = tree.children(list).map(|item| tree.text(item)).collect();
        assert_eq!(items, ["a", "b", "c"], "{text:?}");
    }
}
