//! The facts of a site's texts, one for every value that is written, and the same texts without some
//! of them.

use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;

use cordwright::source::FileId;
use cordwright::yaml::{Kind, Limits, NodeId, Tree};

use crate::site::Files;

/// What nobody can read as a quantity, a word of a table or the name of a thing.
const UNREADABLE: &str = "\"?? 90 mtrs\"";

/// Keys under which every key is a name that somebody chose.
const OF_NAMES: [&str; 7] = ["legs", "inlets", "outlets", "banks", "feeds", "to", "modes"];

/// A value that is written somewhere.
#[derive(Clone, Debug)]
pub struct Fact {
    /// Its file, as the place among all.
    pub file: usize,
    /// The keys that lead to it; an item of a list goes by its number.
    pub path: Vec<String>,
    /// The bytes of what stands there.
    value: Range<usize>,
    /// What goes where key and value are left out, and the bytes in place of them.
    cut: Option<(Range<usize>, &'static str)>,
}

/// What becomes of a fact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Loss {
    /// Something stands there that cannot be read.
    Unreadable,
    /// Key and value are left out.
    Deleted,
}

impl Fact {
    /// The keys that the format gives, without the names of things: `cord-types.legs.*.conductor`.
    pub fn key(&self) -> String {
        let is_alone = self.path[0] == "site";
        let mut words = vec![self.path[0].as_str()];
        let mut is_name = false;
        for word in &self.path[if is_alone { 1 } else { 2 }..] {
            if word.parse::<usize>().is_ok() && !is_name {
                continue;
            }
            words.push(if is_name { "*" } else { word });
            is_name = OF_NAMES.contains(&word.as_str());
        }
        words.join(".")
    }

    /// What stands there, if it is one word or quantity.
    pub fn word<'a>(&self, files: &'a Files) -> Option<&'a str> {
        let text = &files[self.file].1[self.value.clone()];
        (!text.contains(['{', '[', '\n', '\'', '"'])).then_some(text)
    }

    /// Whether it is a thing under its own name, such as a leg: without it, that thing is gone.
    pub fn is_thing(&self) -> bool {
        self.path
            .iter()
            .rev()
            .nth(1)
            .is_some_and(|word| OF_NAMES.contains(&word.as_str()))
    }

    /// The keys that lead to the thing that has it.
    pub fn owner(&self) -> &[String] {
        let depth = if self.path[0] == "site" { 1 } else { 2 };
        &self.path[..depth.min(self.path.len())]
    }
}

/// The tree of a text, if the text is sound.
pub fn tree(text: &str) -> Option<Tree> {
    let (tree, problems) = Tree::parse(FileId(0), &Arc::from(text), &Limits::default());
    problems.is_empty().then_some(tree)
}

/// All facts of the site's texts, in their order; none of a text that is broken by itself.
pub fn all(files: &Files) -> Vec<Fact> {
    let mut facts = Vec::new();
    for (file, (path, text)) in files.iter().enumerate() {
        let Some(tree) = ["yaml", "yml"]
            .iter()
            .any(|end| path.ends_with(end))
            .then(|| tree(text))
            .flatten()
        else {
            continue;
        };
        for root in tree.roots() {
            let mut walk = Walk {
                tree: &tree,
                file,
                path: Vec::new(),
                facts: &mut facts,
            };
            walk.below(*root);
        }
    }
    // Of what is written twice in one file the first is the one that its path leads to.
    let mut seen = HashSet::new();
    facts.retain(|fact| {
        let is_first = seen.insert((fact.file, fact.path.clone()));
        is_first && fact.path.len() > fact.owner().len()
    });
    facts
}

struct Walk<'a> {
    tree: &'a Tree,
    file: usize,
    path: Vec<String>,
    facts: &'a mut Vec<Fact>,
}

impl Walk<'_> {
    fn below(&mut self, node: NodeId) {
        match self.tree.kind(node) {
            Kind::Mapping => self.pairs(node),
            Kind::List => {
                for (at, item) in self.tree.children(node).enumerate() {
                    self.enter(at.to_string(), item, None);
                }
            }
            _ => {}
        }
    }

    fn pairs(&mut self, mapping: NodeId) {
        let pairs: Vec<(NodeId, NodeId)> = self.tree.pairs(mapping).collect();
        let lo = |at: usize| self.tree.span(pairs[at].0).lo as usize;
        let hi = |at: usize| self.tree.span(pairs[at].1).hi as usize;
        let cut = |at: usize| {
            let is_last = at + 1 == pairs.len();
            match (at, is_last) {
                (_, false) => (lo(at)..lo(at + 1), ""),
                (0, true) if self.tree.is_flow(mapping) => (lo(0)..hi(0), ""),
                (0, true) => (lo(0)..hi(0), "{}"),
                (_, true) => (hi(at - 1)..hi(at), ""),
            }
        };
        let cuts: Vec<_> = (0..pairs.len()).map(cut).collect();
        for ((key, value), cut) in pairs.into_iter().zip(cuts) {
            let key = self.tree.text(key).to_owned();
            self.enter(key, value, Some(cut));
        }
    }

    fn enter(&mut self, key: String, node: NodeId, cut: Option<(Range<usize>, &'static str)>) {
        self.path.push(key);
        let is_written = !matches!(self.tree.kind(node), Kind::Empty | Kind::Block);
        if is_written && self.path.len() > 1 {
            let span = self.tree.span(node);
            self.facts.push(Fact {
                file: self.file,
                path: self.path.clone(),
                value: span.lo as usize..span.hi as usize,
                cut,
            });
        }
        self.below(node);
        self.path.pop();
    }
}

/// The texts without these facts; nothing where they cannot be left out without breaking a text.
pub fn without(files: &Files, lost: &[(&Fact, Loss)]) -> Option<Files> {
    let mut files = files.clone();
    for (at, (_, text)) in files.iter_mut().enumerate() {
        let here = lost.iter().filter(|(fact, _)| fact.file == at);
        let edits = here.map(|(fact, loss)| match loss {
            Loss::Unreadable => Some((fact.value.clone(), UNREADABLE)),
            Loss::Deleted => fact.cut.clone(),
        });
        let mut edits = edits.collect::<Option<Vec<_>>>()?;
        if edits.is_empty() {
            continue;
        }
        edits.sort_by_key(|(range, _)| (range.start, std::cmp::Reverse(range.end)));
        apply(text, &edits)?;
        tree(text)?;
    }
    Some(files)
}

/// The texts with other words in the place of these facts.
pub fn with(files: &Files, words: &[(&Fact, &str)]) -> Option<Files> {
    let mut files = files.clone();
    for (at, (_, text)) in files.iter_mut().enumerate() {
        let here = words.iter().filter(|(fact, _)| fact.file == at);
        let mut edits: Vec<_> = here
            .map(|(fact, word)| (fact.value.clone(), *word))
            .collect();
        edits.sort_by_key(|(range, _)| range.start);
        apply(text, &edits)?;
        tree(text)?;
    }
    Some(files)
}

/// Makes the edits from the end; nothing where two of them meet, unless both only take away.
fn apply(text: &mut String, edits: &[(Range<usize>, &str)]) -> Option<()> {
    let mut joined: Vec<(Range<usize>, &str)> = Vec::new();
    for (range, new) in edits {
        match joined.last_mut().filter(|(last, _)| range.start < last.end) {
            Some((last, old)) if old.is_empty() && new.is_empty() => {
                last.end = last.end.max(range.end);
            }
            Some(_) => return None,
            None => joined.push((range.clone(), new)),
        }
    }
    for (range, new) in joined.into_iter().rev() {
        text.replace_range(range, new);
    }
    Some(())
}

/// The bytes that a path of keys leads to in a text, the last key among them.
pub fn place(text: &str, path: &[String]) -> Option<Range<usize>> {
    let tree = tree(text)?;
    tree.roots()
        .iter()
        .find_map(|root| place_below(&tree, *root, path))
}

fn place_below(tree: &Tree, node: NodeId, path: &[String]) -> Option<Range<usize>> {
    let (first, rest) = path.split_first()?;
    let at = first.parse::<usize>().ok();
    let (from, next) = match tree.kind(node) {
        Kind::Mapping => tree
            .pairs(node)
            .find(|(key, _)| tree.text(*key) == first)
            .map(|(key, value)| (tree.span(key).lo, value))?,
        Kind::List => {
            let item = tree.children(node).nth(at?)?;
            (tree.span(item).lo, item)
        }
        _ => return None,
    };
    if rest.is_empty() {
        return Some(from as usize..tree.span(next).hi as usize);
    }
    place_below(tree, next, rest)
}
