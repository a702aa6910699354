//! Things whose text breaks off: what is read of them need not be what was meant.

use super::decode::Reader;
use super::fault::{Fault, Noted};
use super::value::Name;
use crate::source::Span;
use crate::yaml::{Kind, NodeId, Tree};

/// A thing that was being typed where the text of its document breaks off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HalfTyped {
    /// The bytes that were read of it, its name among them.
    pub span: Span,
    /// Where the text breaks off: the place of the fault that says so.
    pub fault: Span,
    /// Its name; empty where it has none.
    pub name: Name,
    /// Keys that it must have, and that were not found before the text breaks off.
    pub lacks: Vec<&'static str>,
}

/// The half-typed thing of a document, if its text breaks off within one.
pub(super) fn of(tree: &Tree, root: NodeId, reader: &Reader<'_>) -> Option<HalfTyped> {
    let section = last_entry(tree, root).filter(|_| tree.is_cut_short(root))?;
    let before = |span: &Span| span.lo < tree.span(root).lo;
    let fault = *tree.breaks().get(tree.breaks().partition_point(before))?;
    let is_site = section.key.is_some_and(|key| tree.text(key) == "site");
    let entry = match is_site || !is_of_things(tree, section.value) {
        true => section,
        false => last_entry(tree, section.value).filter(|_| tree.is_cut_short(section.value))?,
    };
    // Indented text goes on as long as it stands deeper in than the name, bracketed text to its bracket.
    let is_deeper = column(tree, fault) > column(tree, entry.span(tree));
    (is_deeper || is_in_brackets(tree, entry.value)).then(|| HalfTyped {
        span: entry.span(tree),
        fault,
        name: entry.key.map_or("", |key| tree.text(key)).into(),
        lacks: reader.lacking(entry.value).collect(),
    })
}

/// A value with its key; without one where it is an item of a list.
#[derive(Clone, Copy)]
struct Entry {
    key: Option<NodeId>,
    value: NodeId,
}

impl Entry {
    fn span(self, tree: &Tree) -> Span {
        let value = tree.span(self.value);
        self.key.map_or(value, |key| tree.span(key).to(value))
    }
}

fn last_entry(tree: &Tree, node: NodeId) -> Option<Entry> {
    match tree.kind(node) {
        Kind::Mapping => tree.pairs(node).last().map(|(key, value)| Entry {
            key: Some(key),
            value,
        }),
        Kind::List => tree
            .children(node)
            .last()
            .map(|value| Entry { key: None, value }),
        _ => None,
    }
}

/// Whether the text breaks off within brackets that were opened in a value.
fn is_in_brackets(tree: &Tree, value: NodeId) -> bool {
    let mut at = Some(value).filter(|value| tree.is_cut_short(*value));
    while let Some(value) = at.filter(|value| !tree.is_flow(*value)) {
        let last = last_entry(tree, value).map(|entry| entry.value);
        at = last.filter(|last| tree.is_cut_short(*last));
    }
    at.is_some()
}

fn is_of_things(tree: &Tree, section: NodeId) -> bool {
    matches!(tree.kind(section), Kind::Mapping | Kind::List)
}

fn column(tree: &Tree, span: Span) -> usize {
    tree.column(span.lo as usize)
}

impl HalfTyped {
    /// Whether a place lies in what was read of the thing.
    pub fn holds(&self, place: Span) -> bool {
        place.file == self.span.file && self.span.lo <= place.lo && place.hi <= self.span.hi
    }
}

/// Adds the keys that were missed of things which are closed; the things come in the order of the text.
pub(super) fn add_missed(
    things: &mut [HalfTyped],
    faults: &[Noted],
    told_later: &[(Span, &'static str)],
) {
    let faults = faults.iter().filter(|noted| noted.path.len() == 2);
    let missed = faults.filter_map(|noted| match noted.fault {
        Fault::MissingKey { span, key, .. } => Some((span, key)),
        _ => None,
    });
    for (span, key) in missed.chain(told_later.iter().copied()) {
        let before = things.partition_point(|thing| thing.span.lo <= span.lo);
        let thing = before.checked_sub(1).and_then(|at| things.get_mut(at));
        if let Some(thing) = thing.filter(|thing| thing.holds(span)) {
            thing.lacks.push(key);
        }
    }
}
