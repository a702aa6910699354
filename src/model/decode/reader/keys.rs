//! How the keys of a record are read from a mapping.

use crate::model::fault::Fault;
use crate::model::value::{Name, Spanned};
use crate::source::Span;
use crate::spelling::nearest;
use crate::yaml::{Kind, NodeId};

use super::super::free::{Free, index_of};
use super::super::{Key, Record, remarks, torn};
use super::{LONGEST_TEXT, MOST_KEYS, Reader, with_article};

impl<'t> Reader<'t> {
    /// Reads a record from a mapping, or from the scalar that is its short form.
    pub fn record<T: Record>(&mut self, node: NodeId, name: Option<&Spanned<Name>>) -> T {
        let mut record = T::default();
        self.record_into(&mut record, node, name);
        record
    }

    /// Whether a node can be read as a record at all: what is anything else is unreadable, not a record
    /// that says nothing.
    pub fn may_be<T: Record>(&self, node: NodeId) -> bool {
        match self.kind(node) {
            Kind::Mapping | Kind::Empty => true,
            Kind::Plain | Kind::Quoted | Kind::Block => T::SHORT_FOR.is_some(),
            Kind::List | Kind::Alias => false,
        }
    }

    /// [`Reader::record`], into a record that has nothing in it yet; its `note`, if it has one.
    pub fn record_into<T: Record>(
        &mut self,
        record: &mut T,
        node: NodeId,
        name: Option<&Spanned<Name>>,
    ) -> Option<Name> {
        match (self.kind(node), T::SHORT_FOR) {
            (Kind::Mapping, _) => return self.keys(record, node, name),
            (Kind::Empty, _) => self.missing::<T>(&[None; MOST_KEYS], node, name),
            (Kind::Plain | Kind::Quoted | Kind::Block, Some(key)) => {
                if let Some(index) = T::KEYS.iter().position(|k| k.name == key) {
                    record.fill(index, self, node);
                }
            }
            _ => {
                let at = self.tree.span(node);
                (0..T::KEYS.len()).for_each(|index| record.spoil(index, at));
                self.wanted(node, &format!("the keys of {}", with_article(T::WHAT)));
            }
        }
        None
    }

    fn keys<T: Record>(
        &mut self,
        record: &mut T,
        node: NodeId,
        name: Option<&Spanned<Name>>,
    ) -> Option<Name> {
        let mut seen = [None; MOST_KEYS];
        let mut merged = Vec::new();
        let note = self.own_keys(record, node, &mut seen, &mut merged);
        let mut next = 0;
        while let Some(&mapping) = merged.get(next) {
            next += 1;
            self.merged_keys(record, mapping, &mut seen, &mut merged);
        }
        self.missing::<T>(&seen, node, name);
        if self.tree.is_cut_short(node) {
            spoil_unseen(record, &seen, self.tree.span(node));
        }
        note
    }

    /// The keys written in the mapping itself; its note.
    fn own_keys<T: Record>(
        &mut self,
        record: &mut T,
        node: NodeId,
        seen: &mut [Option<Span>; MOST_KEYS],
        merged: &mut Vec<NodeId>,
    ) -> Option<Name> {
        let tree = self.tree;
        let (mut free, mut note) = (Free::default(), None);
        let mut pairs = tree.pairs(node).peekable();
        while let Some((key, value)) = pairs.next() {
            let Some(text) = self.key_text(key) else {
                continue;
            };
            let span = tree.span(key);
            if text == "<<" && tree.kind(key) == Kind::Plain {
                self.merge_sources(value, merged);
                continue;
            }
            let Some(index) = index_of::<T>(text) else {
                if text == remarks::NOTE {
                    note = self
                        .under(key, |reader| remarks::note(reader, value))
                        .or(note);
                } else if !remarks::is_own(text) {
                    self.unknown_key::<T>(key, text, free.in_mapping::<T>(tree, node));
                }
                continue;
            };
            match seen[index] {
                Some(first) => self.push(Fault::Repeated {
                    name: text.into(),
                    what: "key",
                    first,
                    again: span,
                }),
                None => {
                    seen[index] = Some(span);
                    let tail = pairs.next_if(|next| torn::is_tail(tree, value, *next));
                    if let Some((tail, _)) = tail {
                        let fault = torn::by_comma(tree, value, tail);
                        record.spoil(index, tree.span(value));
                        self.under(key, |reader| reader.push(fault));
                        continue;
                    }
                    self.value(record, index, key, value, self.is_unfinished(node, value));
                }
            }
        }
        note
    }

    /// Reads the value of a known key.
    fn value<T: Record>(
        &mut self,
        record: &mut T,
        index: usize,
        key: NodeId,
        value: NodeId,
        is_unfinished: bool,
    ) {
        let Some(value) = self.enter(value).filter(|_| !is_unfinished) else {
            return;
        };
        self.under(key, |reader| {
            let known = &T::KEYS[index];
            if known.required && reader.holds_nothing(value) {
                let span = reader.tree.span(key);
                if known.told_later {
                    record.spoil(index, span);
                }
                return reader.push(missing_key::<T>(known, span, Name::default()));
            }
            record.fill(index, reader, value);
        });
        self.zero_is_nonsense = false;
    }

    /// Whether the value of the key at `index` of [`Record::KEYS`] can be read without a fault.
    pub fn reads_well<T: Record>(&mut self, record: &mut T, index: usize, value: NodeId) -> bool {
        let before = self.faults.len();
        let value = self.enter(value);
        value
            .into_iter()
            .for_each(|value| record.fill(index, self, value));
        self.zero_is_nonsense = false;
        value.is_some() && self.faults.len() == before
    }

    /// Whether nothing is written, or a list or a group of keys without anything in it.
    pub(in crate::model::decode) fn holds_nothing(&self, value: NodeId) -> bool {
        match self.kind(value) {
            Kind::Empty => true,
            Kind::List | Kind::Mapping => {
                self.tree.children(value).next().is_none() && !self.tree.is_cut_short(value)
            }
            _ => false,
        }
    }

    /// Whether a value was still to be typed where an error ended the text.
    pub(super) fn is_unfinished(&self, mapping: NodeId, value: NodeId) -> bool {
        self.tree.is_cut_short(mapping)
            && self.tree.kind(value) == Kind::Empty
            && self.tree.is_last(mapping, value)
    }

    /// Keys that a merge (`<<`) brings: they stand back behind keys that are there already.
    fn merged_keys<T: Record>(
        &mut self,
        record: &mut T,
        node: NodeId,
        seen: &mut [Option<Span>; MOST_KEYS],
        merged: &mut Vec<NodeId>,
    ) {
        let tree = self.tree;
        let mut free = Free::default();
        for (key, value) in tree.pairs(node) {
            let Some(key_node) = self.enter(key) else {
                return;
            };
            let text = tree.text(key_node);
            if text == "<<" {
                self.merge_sources(value, merged);
                continue;
            }
            match index_of::<T>(text) {
                None if text == remarks::NOTE || remarks::is_own(text) => {}
                None => self.unknown_key::<T>(key, text, free.in_mapping::<T>(tree, node)),
                Some(index) if seen[index].is_none() => {
                    seen[index] = Some(tree.span(key));
                    self.value(record, index, key, value, self.is_unfinished(node, value));
                }
                Some(_) => {}
            }
        }
    }

    fn merge_sources(&mut self, value: NodeId, merged: &mut Vec<NodeId>) {
        let Some(value) = self.enter(value) else {
            return;
        };
        let tree = self.tree;
        let sources: Vec<NodeId> = match tree.kind(value) {
            Kind::List => tree.children(value).collect(),
            _ => vec![value],
        };
        for source in sources {
            match self.enter(source) {
                Some(mapping) if tree.kind(mapping) == Kind::Mapping => merged.push(mapping),
                Some(other) => self.wanted(other, "a group of keys to merge"),
                None => {}
            }
        }
    }

    pub(super) fn key_text(&mut self, key: NodeId) -> Option<&'t str> {
        let key = self.enter(key)?;
        self.scalar(key, "a name")
    }

    fn unknown_key<T: Record>(&mut self, key: NodeId, text: &str, free: &[&'static str]) {
        self.push(Fault::UnknownKey {
            span: self.tree.span(key),
            key: crate::model::text::start(text, LONGEST_TEXT).into(),
            owner: T::WHAT,
            known: T::NAMES,
            nearest: nearest(text, free.iter().copied()),
        });
    }

    /// Tells of keys that must be there and are not; of a mapping that an error cut short they are
    /// only kept in mind.
    fn missing<T: Record>(
        &mut self,
        seen: &[Option<Span>; MOST_KEYS],
        node: NodeId,
        name: Option<&Spanned<Name>>,
    ) {
        let keys = T::KEYS.iter().zip(seen);
        let stands = |name: &str| index_of::<T>(name).is_some_and(|index| seen[index].is_some());
        let missing = keys.filter(|(key, seen)| {
            key.required && seen.is_none() && !key.instead.iter().any(|name| stands(name))
        });
        if self.tree.is_cut_short(node) {
            let lacking = self.lacking.entry(node).or_default();
            lacking.extend(missing.map(|(key, _)| key.name));
            return;
        }
        for (key, _) in missing {
            let span = name.map_or_else(|| self.head(node), |name| name.span);
            let name = name.map(|name| name.value.clone()).unwrap_or_default();
            match key.told_later {
                true => self.told_later.push((span, key.name)),
                false => self.push(missing_key::<T>(key, span, name)),
            }
        }
    }

    /// Where to point for a thing without a name of its own: the key it stands under, or its first
    /// key where it is an item of a list.
    fn head(&self, node: NodeId) -> Span {
        let under = self.path.last().copied().filter(|&key| {
            key != node
                && matches!(
                    self.tree.kind(key),
                    Kind::Plain | Kind::Quoted | Kind::Block
                )
        });
        let first_key = self.tree.pairs(node).next().map(|(key, _)| key);
        let head = under.or(first_key).unwrap_or(node);
        self.tree.span(head)
    }
}

/// Whether a key of which only the site as a whole tells that it is missing stands behind the error that cuts a
/// record short, nobody knows.
fn spoil_unseen<T: Record>(record: &mut T, seen: &[Option<Span>; MOST_KEYS], at: Span) {
    let keys = T::KEYS.iter().zip(seen).enumerate();
    let unseen = keys.filter(|(_, (key, seen))| key.told_later && seen.is_none());
    for (index, _) in unseen {
        record.spoil(index, at);
    }
}

fn missing_key<T: Record>(key: &'static Key, span: Span, name: Name) -> Fault {
    Fault::MissingKey {
        span,
        owner: T::WHAT,
        name,
        key: key.name,
        holds: key.doc,
    }
}
