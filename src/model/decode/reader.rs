//! Walks one tree and gathers what is wrong, each fault with the keys that lead to it.

use std::mem::{Discriminant, discriminant, take};

use rustc_hash::{FxHashMap, FxHashSet};

use crate::budget::{Budget, Work};
use crate::model::fault::{Fault, Noted};
use crate::model::value::{Name, Spanned};
use crate::source::Span;
use crate::spelling::nearest;
use crate::yaml::{Kind, NodeId, Tree};

use super::free::{Free, index_of};
use super::torn;
use super::{Key, Record};

/// More keys than any record has.
pub(super) const MOST_KEYS: usize = 32;

/// Bytes of the longest text that is read: far more than any name, value or reason takes. An alias may
/// bring a text into use thousands of times.
const LONGEST_TEXT: usize = 4_000;

/// Things that the ranges of every file may make, however short it is.
const SOME_MADE: usize = 20;

/// Tags of the core schema (YAML 1.2.2, 10.3). What any other tag means is not known here, and the
/// reading of the file has said so.
const CORE_TAGS: [&str; 7] = [
    "!!str", "!!int", "!!float", "!!bool", "!!null", "!!seq", "!!map",
];

/// Reads one tree, gathering faults.
pub struct Reader<'t> {
    /// The tree that is read.
    pub tree: &'t Tree,
    faults: Vec<Noted>,
    /// Keys and list items that lead to what is being read.
    path: Vec<NodeId>,
    /// Faults by place, so that a place read again through an alias is told once.
    noted: FxHashMap<(Span, Discriminant<Fault>), usize>,
    zero_is_nonsense: bool,
    /// Keys that things must have and that do not stand in what was read of their broken text.
    lacking: FxHashMap<NodeId, Vec<&'static str>>,
    /// Whether something was too long to be read.
    is_cut: bool,
    /// Mappings of which only the first things are read.
    overfull: FxHashSet<NodeId>,
    /// Aliases repeat nodes, and must not multiply the work.
    visits_left: usize,
    /// Things that ranges may still make of themselves.
    makes_left: usize,
    /// Words of tables that the nearest one is still looked for of.
    pub searches_left: u32,
    budget: Budget,
}

impl<'t> Reader<'t> {
    /// A reader over `tree`, with so many visits to each part of it as the budget allows.
    pub fn new(tree: &'t Tree, budget: &Budget) -> Self {
        let visits = budget.count(Work::Visits);
        Self {
            tree,
            faults: Vec::new(),
            path: Vec::new(),
            noted: FxHashMap::default(),
            zero_is_nonsense: false,
            lacking: FxHashMap::default(),
            searches_left: 2_000,
            is_cut: false,
            overfull: FxHashSet::default(),
            makes_left: tree.len().saturating_mul(visits).saturating_add(SOME_MADE),
            visits_left: tree.len().saturating_mul(visits).saturating_add(10_000),
            budget: *budget,
        }
    }

    /// The keys that `thing` must have and that do not stand in what was read of its broken text.
    pub fn lacking(&self, thing: NodeId) -> impl Iterator<Item = &'static str> {
        self.lacking.get(&thing).into_iter().flatten().copied()
    }

    /// What was wrong, and whether all of the tree was read.
    pub fn finish(self) -> (Vec<Noted>, bool) {
        let is_whole = self.is_whole();
        (self.faults, is_whole)
    }

    /// Whether all that was to be read of the tree was read.
    pub fn is_whole(&self) -> bool {
        self.visits_left > 0 && !self.is_cut
    }

    /// Forgets what was wrong, as one does that only wants to know whether something can be read.
    pub fn forget(&mut self) {
        self.faults.clear();
        self.noted.clear();
    }

    /// Notes a fault under the keys that lead to it.
    pub fn push(&mut self, fault: Fault) {
        let span = fault.span();
        // An anchor always stands above the alias that brings it here.
        let keys = self.path.iter().rev().map(|&key| self.tree.span(key));
        let used_at = keys.into_iter().find(|key| key.lo > span.lo);
        let place = (span, discriminant(&fault));
        if let (Some(used_at), Some(&known)) = (used_at, self.noted.get(&place)) {
            return self.faults[known].add_use(used_at);
        }
        let texts = self.path.iter().map(|&key| self.tree.text(key));
        let path = texts.filter(|text| !text.is_empty()).map(Name::from);
        let mut noted = Noted::new(fault, path);
        used_at.into_iter().for_each(|at| noted.add_use(at));
        self.noted.insert(place, self.faults.len());
        self.faults.push(noted);
    }

    /// Reads what stands under a key or in an item of a list.
    pub fn under<T>(&mut self, key: NodeId, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(key);
        let value = read(self);
        self.path.pop();
        value
    }

    /// Follows an alias and counts the visit; `None` where there is nothing to read.
    pub fn enter(&mut self, node: NodeId) -> Option<NodeId> {
        if self.visits_left == 1 {
            self.push(Fault::Unreadable {
                span: self.tree.span(node),
                message:
                    "Anchors and aliases repeat too much of this file; the rest of it is not judged."
                        .into(),
                advice: format!(
                    "Write the repeated parts out, or anchor smaller ones. {}",
                    Work::Visits.advice(&self.budget)
                ),
                related: None,
            });
        }
        self.visits_left = self.visits_left.saturating_sub(1);
        if self.visits_left == 0 {
            None
        } else {
            self.tree.resolve(node)
        }
    }

    /// Whether a range at `span` may still make so many things; if not, that is a fault.
    pub fn may_make(&mut self, span: Span, count: usize) -> bool {
        let left = self.makes_left.checked_sub(count);
        self.makes_left = left.unwrap_or(0);
        if left.is_none() {
            self.is_cut = true;
            self.push(Fault::Unreadable {
                span,
                message: "The ranges of this file make far more things than are written in it; this one is not read.".into(),
                advice: format!(
                    "Give a strip no more outlets than it has. {}",
                    Work::Visits.advice(&self.budget)
                ),
                related: None,
            });
        }
        left.is_some()
    }

    /// Says that from `span` on there are more things in a mapping than are read; once for each mapping.
    pub fn too_many(&mut self, mapping: NodeId, span: Span, what: &str) {
        self.is_cut = true;
        if self.overfull.insert(mapping) {
            self.push(Fault::Unreadable {
                span,
                message: format!(
                    "This {what} and those after it are not read: there are far more here than one thing has."
                ),
                advice: "Write down those that there are.".into(),
                related: None,
            });
        }
    }

    /// How a node is written; `~` and `null` without quotes are nothing at all.
    pub fn kind(&self, node: NodeId) -> Kind {
        match self.tree.kind(node) {
            Kind::Plain if self.tree.is_null(node) => Kind::Empty,
            kind => kind,
        }
    }

    /// The text of a scalar; a fault if the node is none. A scalar whose tag means nothing here
    /// stays unread: the reading of the file has said so.
    pub fn scalar(&mut self, node: NodeId, wanted: &str) -> Option<&'t str> {
        let tree = self.tree;
        match self.kind(node) {
            Kind::Plain | Kind::Quoted | Kind::Block => {
                let known = tree.tag(node).is_none_or(|tag| CORE_TAGS.contains(&tag));
                let text = Some(tree.text(node)).filter(|_| known)?;
                if text.len() > LONGEST_TEXT {
                    self.too_long(node, text.len());
                    return None;
                }
                Some(text)
            }
            _ => {
                self.wanted(node, wanted);
                None
            }
        }
    }

    fn too_long(&mut self, node: NodeId, bytes: usize) {
        self.is_cut = true;
        self.push(Fault::Unreadable {
            span: self.tree.span(node),
            message: format!(
                "This text has {bytes} bytes; texts of more than {LONGEST_TEXT} bytes are not read."
            ),
            advice: "Write a shorter one.".into(),
            related: None,
        });
    }

    /// Says that something else was wanted here; not where an error ended the value, for then it is
    /// not known what was meant.
    pub fn wanted(&mut self, node: NodeId, wanted: &str) {
        if self.tree.is_cut_short(node) {
            return;
        }
        let found = self.found(node);
        let span = self.tree.span(node);
        self.bad(
            span,
            format!("{found} where {wanted} is wanted"),
            format!("Write {wanted}."),
        );
    }

    fn found(&self, node: NodeId) -> &'static str {
        match self.kind(node) {
            Kind::Empty => "nothing stands here",
            Kind::List => "a list stands here",
            Kind::Mapping => "keys with values stand here",
            _ => "a single value stands here",
        }
    }

    /// Says that a value is not what its key wants.
    pub fn bad(&mut self, span: Span, headline: String, advice: String) {
        self.push(Fault::BadValue {
            span,
            headline,
            advice,
            edit: None,
        });
    }

    /// Says that zero makes no sense in the next quantity that is read.
    pub fn zero_is_nonsense(&mut self) {
        self.zero_is_nonsense = true;
    }

    /// Whether zero makes no sense in the quantity that is being read; forgotten once asked.
    pub fn must_be_above_zero(&mut self) -> bool {
        take(&mut self.zero_is_nonsense)
    }

    /// Whether a section of the file is read, and not one inside a thing.
    pub fn is_at_top(&self) -> bool {
        self.path.len() <= 1
    }

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

    /// [`Reader::record`], into a record that has nothing in it yet.
    pub fn record_into<T: Record>(
        &mut self,
        record: &mut T,
        node: NodeId,
        name: Option<&Spanned<Name>>,
    ) {
        match (self.kind(node), T::SHORT_FOR) {
            (Kind::Mapping, _) => self.keys(record, node, name),
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
    }

    fn keys<T: Record>(&mut self, record: &mut T, node: NodeId, name: Option<&Spanned<Name>>) {
        let mut seen = [None; MOST_KEYS];
        let mut merged = Vec::new();
        self.own_keys(record, node, &mut seen, &mut merged);
        let mut next = 0;
        while let Some(&mapping) = merged.get(next) {
            next += 1;
            self.merged_keys(record, mapping, &mut seen, &mut merged);
        }
        self.missing::<T>(&seen, node, name);
    }

    /// The keys written in the mapping itself.
    fn own_keys<T: Record>(
        &mut self,
        record: &mut T,
        node: NodeId,
        seen: &mut [Option<Span>; MOST_KEYS],
        merged: &mut Vec<NodeId>,
    ) {
        let tree = self.tree;
        let mut free = Free::default();
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
                self.unknown_key::<T>(key, text, free.in_mapping::<T>(tree, node));
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
    fn holds_nothing(&self, value: NodeId) -> bool {
        match self.kind(value) {
            Kind::Empty => true,
            Kind::List | Kind::Mapping => {
                self.tree.children(value).next().is_none() && !self.tree.is_cut_short(value)
            }
            _ => false,
        }
    }

    /// Whether a value was still to be typed where an error ended the text.
    fn is_unfinished(&self, mapping: NodeId, value: NodeId) -> bool {
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

    fn key_text(&mut self, key: NodeId) -> Option<&'t str> {
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
        let missing = keys.filter(|(key, seen)| key.required && seen.is_none());
        if self.tree.is_cut_short(node) {
            let lacking = self.lacking.entry(node).or_default();
            lacking.extend(missing.map(|(key, _)| key.name));
            return;
        }
        for (key, _) in missing {
            let span = name.map_or_else(|| self.head(node), |name| name.span);
            let name = name.map(|name| name.value.clone()).unwrap_or_default();
            self.push(missing_key::<T>(key, span, name));
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

    /// Reads a mapping of names to things, calling `each` for every entry.
    pub fn entries(
        &mut self,
        node: NodeId,
        what: &str,
        mut each: impl FnMut(&mut Self, Spanned<Name>, NodeId),
    ) {
        let tree = self.tree;
        match self.kind(node) {
            Kind::Mapping => {}
            Kind::Empty => return,
            _ if tree.is_cut_short(node) => return,
            _ => {
                return self.bad(
                    tree.span(node),
                    format!(
                        "{} where a name and then the {what} are wanted",
                        self.found(node)
                    ),
                    format!("Write a name, a colon, and below it the keys of the {what}."),
                );
            }
        }
        for (key, value) in tree.pairs(node) {
            let Some(text) = self.key_text(key) else {
                continue;
            };
            if self.is_unfinished(node, value) {
                continue;
            }
            let name = Spanned {
                value: text.into(),
                span: tree.span(key),
            };
            if text.is_empty() {
                self.bad(
                    name.span,
                    "a name is empty here".into(),
                    format!("Give the {what} a name."),
                );
            } else if let Some(value) = self.enter(value) {
                self.under(key, |reader| {
                    crate::model::text::look_for_trap(reader, key);
                    each(reader, name, value);
                });
            }
        }
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

/// `a circuit`, `an outlet`.
pub fn with_article(what: &str) -> String {
    let article = if what.starts_with(['a', 'e', 'i', 'o']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {what}")
}
