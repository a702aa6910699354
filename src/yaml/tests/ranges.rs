//! Exact ranges of every way to write a value.

use super::super::{Kind, Kind::*};
use super::{all, sound, source};

/// Kinds and sources of all nodes, in order, with LF, with CRLF and after a byte-order mark.
fn expect(text: &str, nodes: &[(Kind, &str)]) {
    let crlf = text.replace('\n', "\r\n");
    let with_mark = format!("\u{feff}{text}");
    for (text, newline) in [(text, "\n"), (&crlf, "\r\n"), (&with_mark, "\n")] {
        let tree = sound(text);
        let found: Vec<_> = all(&tree)
            .map(|id| (tree.kind(id), source(&tree, id).replace(newline, "\n")))
            .collect();
        let wanted: Vec<_> = nodes.iter().map(|(k, s)| (*k, (*s).to_owned())).collect();
        assert_eq!(found, wanted, "in {text:?}");
    }
}

/// Offsets of the empty nodes.
fn empties(text: &str) -> Vec<usize> {
    let tree = sound(text);
    all(&tree)
        .filter(|&id| tree.kind(id) == Empty)
        .map(|id| tree.span(id).range().start)
        .collect()
}

#[test]
fn thirteen_ranges_are_exact() {
    let list = "- &x !!str a\n- - b\n  - c";
    let block = "|-\n  α - |\n  two";
    let text = format!(
        "# ½ µ\ngröße: plain  # | > -\nflow: [1, {{k: v}}]\ntext: {block}\n\n\
         quoted: \"\\u00e9\"\nlist: # - no\n{list}\nalias: *x\nlast: end\n"
    );
    let root = text["# ½ µ\n".len()..].trim_end();
    expect(
        &text,
        &[
            (Mapping, root),
            (Plain, "größe"),
            (Plain, "plain"),
            (Plain, "flow"),
            (List, "[1, {k: v}]"),
            (Plain, "1"),
            (Mapping, "{k: v}"),
            (Plain, "k"),
            (Plain, "v"),
            (Plain, "text"),
            (Block, block),
            (Plain, "quoted"),
            (Quoted, "\"\\u00e9\""),
            (Plain, "list"),
            (List, list),
            (Plain, "a"),
            (List, "- b\n  - c"),
            (Plain, "b"),
            (Plain, "c"),
            (Plain, "alias"),
            (Alias, "*x"),
            (Plain, "last"),
            (Plain, "end"),
        ],
    );
}

#[test]
fn text_of_several_lines_ends_before_its_comment() {
    expect(
        "a: x\n  y # c\nb: 'p\n\n  q' # d\n",
        &[
            (Mapping, "a: x\n  y # c\nb: 'p\n\n  q'"),
            (Plain, "a"),
            (Plain, "x\n  y"),
            (Plain, "b"),
            (Quoted, "'p\n\n  q'"),
        ],
    );
    let tree = sound("a: x\n  y # c\nb: 'p\n\n  q' # d\n");
    let texts: Vec<_> = all(&tree).map(|id| tree.text(id)).collect();
    assert_eq!(texts, ["", "a", "x y", "b", "p\nq"]);
}

#[test]
fn a_document_may_be_a_single_value() {
    expect("|\n---\n", &[(Block, "|"), (Empty, "")]);
    expect("# | c\n>-\n x\n...\n", &[(Block, ">-\n x")]);
    expect("!!str &x\n", &[(Empty, "")]);
    expect("!!str &x |\n y\n", &[(Block, "|\n y")]);
    expect("&x !!seq [y]\n", &[(List, "[y]"), (Plain, "y")]);
}

#[test]
fn explicit_keys_keep_their_ranges() {
    expect(
        "? - a\n  - b\n: - c\n? |\n  t\n: {x: 1}\n",
        &[
            (Mapping, "? - a\n  - b\n: - c\n? |\n  t\n: {x: 1}"),
            (List, "- a\n  - b"),
            (Plain, "a"),
            (Plain, "b"),
            (List, "- c"),
            (Plain, "c"),
            (Block, "|\n  t"),
            (Mapping, "{x: 1}"),
            (Plain, "x"),
            (Plain, "1"),
        ],
    );
}

#[test]
fn pairs_inside_a_list_end_with_their_value() {
    expect(
        "[a: b , c, d: ]",
        &[
            (List, "[a: b , c, d: ]"),
            (Mapping, "a: b"),
            (Plain, "a"),
            (Plain, "b"),
            (Plain, "c"),
            (Mapping, "d:"),
            (Plain, "d"),
            (Empty, ""),
        ],
    );
}

#[test]
fn an_empty_node_stands_where_it_would_be_written() {
    assert_eq!(empties("a:\nb: # c\nc: 1"), [2, 5]);
    assert_eq!(empties("- \n- x\n-\n"), [1, 8]);
    assert_eq!(empties("a: &x\nb: !!str # c\nc: &y !!null\n"), [5, 14, 31]);
    assert_eq!(empties("? a\n? b\n:\n"), [3, 9]);
    assert_eq!(empties("? ? a\n: b\n"), [5]);
    assert_eq!(empties("? a\n:}b: c\n"), [3]);
    assert_eq!(empties("? # c\n: x\n"), [1]);
    assert_eq!(empties("{a, b: , : d, ? }"), [2, 6, 9, 15, 15]);
    assert_eq!(empties("[!!str , b, &x ]"), [6, 14]);
    assert_eq!(empties("\u{feff}!!str &x # c\n"), [11]);
    assert_eq!(empties("---\n---\n- 1\n"), [3]);
    assert_eq!(empties("--- # c\n...\n"), [3]);
}

#[test]
fn a_written_tilde_is_no_empty_value() {
    let tree = sound("a: ~\nb:\n");
    let kinds: Vec<_> = all(&tree).map(|id| tree.kind(id)).collect();
    assert_eq!(kinds, [Mapping, Plain, Plain, Plain, Empty]);
}

#[test]
fn part_of_a_scalar_has_its_own_range_when_it_reads_as_written() {
    let text = "a: pdu-1/outlet-2\nb: 'pdu-1/x'\nc: \"p\\x64u/1\"\nd: v\n  w\n";
    let tree = sound(text);
    let values: Vec<_> = tree.pairs(tree.roots()[0]).map(|(_, v)| v).collect();
    let part = |n: usize, part| &text[tree.part_span(values[n], part).range()];
    assert_eq!(part(0, 6..14), "outlet-2");
    assert_eq!(part(1, 6..7), "x");
    assert_eq!(part(2, 4..5), "\"p\\x64u/1\"");
    assert_eq!(part(3, 0..1), "v\n  w");
    assert_eq!(part(0, 6..99), "pdu-1/outlet-2");
}

#[test]
fn aliases_and_merge_keys_stay_references() {
    let tree = sound("base: &b {x: 1}\nuse:\n  <<: *b\n  *b : y\n");
    let root = tree.roots()[0];
    let base = tree.pairs(root).next().unwrap().1;
    let merged = tree.pairs(root).nth(1).unwrap().1;
    let (merge, target) = tree.pairs(merged).next().unwrap();
    assert_eq!(tree.text(merge), "<<");
    assert_eq!(tree.resolve(target), Some(base));
    assert_eq!(
        tree.pairs(merged).nth(1).map(|(key, _)| tree.kind(key)),
        Some(Alias)
    );
    assert_eq!(
        tree.anchor(base).map(|span| &tree.text[span.range()]),
        Some("&b")
    );
    assert_eq!(tree.anchor(root), None);
}

#[test]
fn tags_are_kept_and_the_place_of_foreign_ones_is_known() {
    let text = "a: !!str 1\nb: !<tag:yaml.org,2002:int> 2\nc: &x !rating 3\nd: !!set {k}\n";
    let tree = sound(text);
    let tags: Vec<_> = tree
        .pairs(tree.roots()[0])
        .map(|(_, v)| tree.tag(v))
        .collect();
    let set = "tag:yaml.org,2002:set";
    assert_eq!(
        tags,
        [Some("!!str"), Some("!!int"), Some("!rating"), Some(set)]
    );
    let places = tree.foreign_tags().map(|(_, span)| tree.source(span));
    assert_eq!(places.collect::<Vec<_>>(), ["!rating", "!!set"]);
}

#[test]
fn several_documents_have_a_root_each() {
    let tree = sound("# one\na: 1\n---\n- b\n...\n# two\n--- c\n");
    let roots: Vec<_> = tree.roots().iter().map(|&id| source(&tree, id)).collect();
    assert_eq!(roots, ["a: 1", "- b", "c"]);
    for text in ["", "\u{feff}", "# only\n", "\n\r\n  \n"] {
        let tree = sound(text);
        assert!(tree.is_empty() && tree.roots().is_empty(), "{text:?}");
    }
}

#[test]
fn a_place_in_the_text_leads_to_its_node() {
    let text = "a: {b: cd}\ne:\n";
    let tree = sound(text);
    let at = |byte| tree.node_at(byte).map(|id| source(&tree, id));
    assert_eq!(at(0), Some("a"));
    assert_eq!(at(7), Some("cd"));
    assert_eq!(at(9), Some("cd"));
    assert_eq!(at(10), Some("{b: cd}"));
    assert_eq!(at(13), Some(""));
    assert_eq!(at(14), None);
    let path: Vec<_> = tree
        .path_to(8)
        .iter()
        .map(|&id| source(&tree, id))
        .collect();
    assert_eq!(path, ["a: {b: cd}\ne:", "{b: cd}", "cd"]);
}
