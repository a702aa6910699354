//! Random documents: the ranges they were written with, and the values another reader finds.

use serde::Deserialize;
use serde_yaml::Value;

use super::super::{Kind, NodeId, Tree};
use super::writer::{Options, Wanted, Writer, Written};
use super::{all, sound};

const DOCUMENTS: u64 = 4_000;

#[test]
fn ranges_of_random_documents_are_exact() {
    let mut seen = [0; 7];
    for seed in 0..DOCUMENTS {
        let written = Writer::write(seed, Options::for_seed(seed));
        let tree = sound(&written.text);
        assert_eq!(tree.roots().len(), written.documents, "seed {seed}");
        assert_eq!(
            tree.len(),
            written.nodes.len(),
            "seed {seed}: {}",
            written.text
        );
        for (id, wanted) in all(&tree).zip(&written.nodes) {
            check(&tree, id, wanted, seed, &written);
            seen[wanted.kind as usize] += 1;
        }
    }
    assert!(seen.iter().all(|&count| count > 1_500), "{seen:?}");
}

fn check(tree: &Tree, id: NodeId, wanted: &Wanted, seed: u64, written: &Written) {
    let found = Wanted {
        kind: tree.kind(id),
        range: tree.span(id).range(),
        text: tree.text(id).to_owned(),
        flow: tree.is_flow(id),
        tag: tree.tag(id).map(str::to_owned),
        target: (tree.kind(id) == Kind::Alias).then(|| tree.resolve(id).unwrap().index()),
    };
    assert_eq!(&found, wanted, "seed {seed}, in\n{}", written.text);
}

#[test]
fn values_of_random_documents_agree_with_another_reader() {
    for seed in 0..DOCUMENTS / 2 {
        // The other reader takes a byte-order mark for a document of its own, and lacks some of
        // the rare forms.
        let options = Options {
            mark: false,
            rare_forms: false,
            ..Options::for_seed(seed)
        };
        let text = Writer::write(seed, options).text;
        let tree = sound(&text);
        let values: Vec<Value> = serde_yaml::Deserializer::from_str(&text)
            .map(Value::deserialize)
            .collect::<Result<_, _>>()
            .unwrap_or_else(|error| panic!("seed {seed}: {error} in\n{text}"));
        assert_eq!(values.len(), tree.roots().len());
        for (&root, value) in tree.roots().iter().zip(&values) {
            assert!(
                agree(&tree, root, value),
                "seed {seed}: {value:?} in\n{text}"
            );
        }
    }
}

fn agree(tree: &Tree, id: NodeId, value: &Value) -> bool {
    let id = tree.resolve(id).unwrap();
    match (tree.kind(id), value) {
        (Kind::Empty, Value::Null) => tree.tag(id).is_none(),
        (Kind::Empty, Value::String(text)) => tree.tag(id) == Some("!!str") && text.is_empty(),
        (Kind::Plain | Kind::Quoted | Kind::Block, Value::String(text)) => tree.text(id) == text,
        (Kind::List, Value::Sequence(items)) => {
            let children: Vec<_> = tree.children(id).collect();
            let mut pairs = children.iter().zip(items);
            children.len() == items.len() && pairs.all(|(&child, item)| agree(tree, child, item))
        }
        (Kind::Mapping, Value::Mapping(entries)) => {
            let pairs: Vec<_> = tree.pairs(id).collect();
            pairs.len() == entries.len()
                && pairs
                    .iter()
                    .zip(entries)
                    .all(|(&(key, value), (k, v))| agree(tree, key, k) && agree(tree, value, v))
        }
        _ => false,
    }
}
