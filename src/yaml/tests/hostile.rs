//! Text made to exhaust memory, stack or patience.

use std::fmt::Write as _;
use std::sync::Arc;

use super::super::{Kind, Limits, Tree, events_only};
use super::{FILE, all, check_invariants, parse, sound};

fn first_message(text: &str) -> String {
    let (_, problems) = parse(text);
    problems
        .first()
        .map_or(String::new(), |p| p.message.clone())
}

#[test]
fn deep_nesting_is_a_problem_and_no_more() {
    for unit in ["[", "{a: ", "- ", "? ", "[{a: ", "- ? "] {
        let message = first_message(&unit.repeat(100_000));
        let named = message.contains("64 levels") || message.contains("never closed");
        assert!(named, "{unit}: {message}");
    }
    let nested = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    assert!(first_message(&nested).contains("64 levels"));
    let mut stairs = String::new();
    for level in 0..2_000 {
        writeln!(stairs, "{}a:", " ".repeat(level)).unwrap();
    }
    assert!(first_message(&stairs).contains("64 levels"));
    assert_eq!(
        sound(&format!("{}{}", "[".repeat(64), "]".repeat(64))).len(),
        64
    );
}

#[test]
fn aliases_are_never_expanded() {
    let mut text = String::from("a0: &a0 [lol, lol]\n");
    for n in 1..40 {
        let list = vec![format!("*a{}", n - 1); 9].join(", ");
        writeln!(text, "a{n}: &a{n} [{list}]").unwrap();
    }
    assert_eq!(sound(&text).len(), 1 + 4 + 39 * 11);
}

#[test]
fn an_alias_to_its_own_parent_or_to_nothing_is_reported() {
    let text = "a: &x\n  - *x\n  - &y [*y, {k: *x}]\nb: *nope\nc: *x\n";
    let (tree, problems) = parse(text);
    let places: Vec<_> = problems.iter().map(|p| &text[p.span.range()]).collect();
    assert_eq!(places, ["*x", "*y", "*x", "*nope"]);
    let related = problems[1].related.as_ref().unwrap().0;
    assert_eq!(&text[related.range()], "&y");
    let aliases = all(&tree).filter(|&id| tree.kind(id) == Kind::Alias);
    let resolved: Vec<_> = aliases.map(|id| tree.resolve(id).is_some()).collect();
    assert_eq!(resolved, [false, false, false, false, true]);
    assert!(tree.is_complete());
}

#[test]
fn large_values_and_mappings_are_read() {
    let plain = format!("a: {}\n", "x".repeat(10_000_000));
    let tree = sound(&plain);
    assert_eq!(tree.heap.len(), 0, "the text must not be copied");
    let escaped = format!("a: \"{}\"\n", "\\x41".repeat(2_500_000));
    let tree = sound(&escaped);
    let value = tree.pairs(tree.roots()[0]).next().unwrap().1;
    assert_eq!(tree.text(value).len(), 2_500_000);
    let mut flow = String::from("{");
    for n in 0..200_000 {
        write!(flow, "k{n}: , ").unwrap();
    }
    flow.push('}');
    assert_eq!(sound(&flow).len(), 400_001);
}

#[test]
fn long_comments_are_no_problem() {
    let text = format!("a:\n{}  - b\n", "# c\n".repeat(300_000));
    assert_eq!(sound(&text).len(), 4);
}

#[test]
fn control_characters_are_named() {
    for (text, code) in [("a: \0", "U+0000"), ("a: 1\nb: \u{1b}[31m\n", "U+001B")] {
        let message = first_message(text);
        assert!(message.contains(code), "{message}");
    }
}

#[test]
fn thousands_of_problems_are_cut_off() {
    let text = "- *nope\n".repeat(5_000);
    let (tree, problems) = parse(&text);
    assert_eq!(problems.len(), 1_001);
    assert_eq!(tree.len(), 5_001);
}

#[test]
fn each_limit_is_a_problem() {
    let check = |text: &str, limits: Limits, word: &str| {
        let (tree, problems) = Tree::parse(FILE, &Arc::from(text), &limits);
        check_invariants(&tree, &problems, text);
        assert!(!tree.is_complete());
        assert!(problems[0].message.contains(word), "{problems:?}");
        tree.len()
    };
    let usual = Limits::default();
    let bytes = Limits { bytes: 4, ..usual };
    assert_eq!(check("a: 1\n", bytes, "5 bytes"), 0);
    let nodes = Limits { nodes: 3, ..usual };
    assert_eq!(check("a: [1, 2, 3]\n", nodes, "3 names and values"), 4);
    let anchors = Limits {
        anchors: 1,
        ..usual
    };
    assert_eq!(check("- &a 1\n- &b 2\n- 3\n", anchors, "1 anchors"), 3);
    let depth = Limits { depth: 2, ..usual };
    check("[[[1]]]", depth, "2 levels");
}

#[test]
fn the_parser_alone_counts_its_events() {
    // Start and end of the text, the document and the mapping, and two scalars.
    assert_eq!(events_only("a: 1\n"), 8);
}
