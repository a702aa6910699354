//! The pieces every section is made of: a value with its place, a field that may be missing, a
//! section of named things and the typed ids into it.

use std::collections::hash_map::Entry;
use std::fmt;
use std::marker::PhantomData;
use std::ops::{Deref, Index, IndexMut};

use rustc_hash::FxHashMap;
use smol_str::SmolStr;

use crate::source::Span;

/// A name as it stands in the definitions.
pub type Name = SmolStr;

/// A value and the bytes it was read from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

/// A value that the definitions give, leave out, or give in a form that could not be read.
///
/// What is not `Given` is unknown: never zero, never a default that nobody chose.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Field<T> {
    /// Left out.
    #[default]
    Absent,
    /// There, but not readable; a finding says so already.
    Unreadable(Span),
    /// Known.
    Given(Spanned<T>),
}

impl<T> Field<T> {
    /// The value, if it is known. Nobody knows more of what is left out than of what cannot be read.
    pub fn known(&self) -> Option<&T> {
        match self {
            Self::Given(given) => Some(&given.value),
            Self::Absent | Self::Unreadable(_) => None,
        }
    }

    /// The value and its place, if it is known.
    pub fn given(&self) -> Option<&Spanned<T>> {
        match self {
            Self::Given(given) => Some(given),
            Self::Absent | Self::Unreadable(_) => None,
        }
    }

    /// Where it stands, readable or not.
    pub fn span(&self) -> Option<Span> {
        match self {
            Self::Given(given) => Some(given.span),
            Self::Unreadable(span) => Some(*span),
            Self::Absent => None,
        }
    }

    /// This, or what stands further off where nothing is written here. What cannot be read is no reason
    /// to look further.
    pub fn or_further<'a>(&'a self, further: &'a Self) -> &'a Self {
        match self {
            Self::Absent => further,
            Self::Given(_) | Self::Unreadable(_) => self,
        }
    }

    /// Whether nothing was written at all.
    pub fn is_absent(&self) -> bool {
        matches!(self, Self::Absent)
    }
}

impl<T: Clone> Field<T> {
    /// The same, shown at another place.
    pub fn shown_at(&self, span: Span) -> Self {
        match self {
            Self::Given(given) => Self::Given(Spanned {
                value: given.value.clone(),
                span,
            }),
            Self::Unreadable(_) => Self::Unreadable(span),
            Self::Absent => Self::Absent,
        }
    }
}

/// A typed index into a [`Section`].
pub struct Id<T> {
    index: u32,
    section: PhantomData<fn() -> T>,
}

impl<T> Id<T> {
    /// The `index`-th thing of its section.
    pub fn new(index: usize) -> Self {
        Self {
            index: u32::try_from(index).unwrap_or(u32::MAX),
            section: PhantomData,
        }
    }

    /// The index.
    pub fn index(self) -> usize {
        self.index as usize
    }
}

// Derives would ask the same of `T`.
impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.index == other.index
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.index.cmp(&other.index)
    }
}
impl<T> std::hash::Hash for Id<T> {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.index.hash(state);
    }
}
impl<T> fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{}", self.index)
    }
}

/// A thing under its name.
#[derive(Clone, Debug)]
pub struct Named<T> {
    /// The key it stands under.
    pub name: Spanned<Name>,
    /// The bytes of what stands under the key.
    pub body: Span,
    /// What somebody has noted of it: never judged.
    pub note: Option<Name>,
    /// The thing itself; its fields are reached directly.
    pub item: T,
}

impl<T> Deref for Named<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.item
    }
}

/// Named things, in the order of the files and the lines in them.
#[derive(Clone, Debug)]
pub struct Section<T> {
    items: Vec<Named<T>>,
    by_name: FxHashMap<Name, u32>,
    unreadable: Option<Span>,
}

/// Things that are found as quickly by looking at each.
const SHORT: usize = 16;

/// A section put together from the parts of several files.
#[derive(Debug)]
pub struct Joined<T> {
    /// The whole of it.
    pub section: Section<T>,
    /// Of names that are given twice, the first place and the one that repeats it.
    pub repeated: Vec<(Spanned<Name>, Span)>,
}

impl<T> Default for Section<T> {
    fn default() -> Self {
        Self {
            items: Vec::new(),
            by_name: FxHashMap::default(),
            unreadable: None,
        }
    }
}

impl<T> Section<T> {
    /// Notes that what should hold the things stands here and cannot be read.
    pub(super) fn spoil(&mut self, at: Span) {
        self.unreadable = Some(at);
    }

    /// Where something stands in place of the things that cannot be read: there may be more than are
    /// known.
    pub fn unreadable(&self) -> Option<Span> {
        self.unreadable
    }

    /// Adds a thing at the end; it is found by name once [`Section::index_names`] has run.
    pub fn push(&mut self, item: Named<T>) {
        self.items.push(item);
    }

    /// Adds a thing at the end and fills it where it lies: things are large, and there are many. `fill` gives
    /// what is noted of it.
    pub fn push_default(
        &mut self,
        name: Spanned<Name>,
        body: Span,
        fill: impl FnOnce(&Spanned<Name>, &mut T) -> Option<Name>,
    ) where
        T: Default,
    {
        let item = T::default();
        self.items.push(Named {
            name,
            body,
            note: None,
            item,
        });
        if let Some(Named {
            name, note, item, ..
        }) = self.items.last_mut()
        {
            *note = fill(name, item);
        }
    }

    /// Makes room for so many more things at once.
    pub fn reserve(&mut self, more: usize) {
        self.items.reserve_exact(more);
    }

    /// Keeps the first things.
    pub fn truncate(&mut self, count: usize) {
        if count < self.items.len() {
            self.items.truncate(count);
            self.by_name.retain(|_, at| (*at as usize) < count);
        }
    }

    /// Keeps the things that are wanted.
    pub fn retain(&mut self, wanted: impl Fn(&T) -> bool) {
        self.items.retain(|item| wanted(item));
        self.by_name.clear();
        // No name stood twice.
        self.index();
    }

    /// The same things, each made of another kind.
    pub(super) fn map<U>(self, mut make: impl FnMut(T) -> U) -> Section<U> {
        let items = self.items.into_iter().map(|named| Named {
            name: named.name,
            body: named.body,
            note: named.note,
            item: make(named.item),
        });
        Section {
            items: items.collect(),
            by_name: self.by_name,
            unreadable: self.unreadable,
        }
    }

    /// Moves all things of `other` to the end of this section.
    pub fn append(&mut self, mut other: Self) {
        self.unreadable = self.unreadable.or(other.unreadable);
        if self.items.capacity() == 0 {
            self.items = other.items;
        } else {
            self.items.append(&mut other.items);
        }
    }

    /// Puts the parts of a section together, in their order, and makes its names findable.
    pub fn join(parts: Vec<Self>) -> Joined<T> {
        let all: usize = parts.iter().map(Self::len).sum();
        let is_filled = |part: &Self| !part.is_empty() || part.unreadable.is_some();
        let mut filled = parts.into_iter().filter(is_filled);
        let mut section = filled.next().unwrap_or_default();
        section.items.reserve_exact(all - section.len());
        filled.for_each(|part| section.append(part));
        let repeated = section.index_names();
        Joined { section, repeated }
    }

    /// Makes names findable. Of things with one name the first is kept; the others are returned as
    /// pairs of places, the first one and the one that repeats it.
    pub fn index_names(&mut self) -> Vec<(Spanned<Name>, Span)> {
        // A map inside a record may have been indexed as it was read.
        self.by_name.clear();
        let repeated = self.index();
        if !repeated.is_empty() {
            let mut at = 0;
            let mut again = repeated.iter().map(|(_, again)| *again).peekable();
            self.items.retain(|_| {
                at += 1;
                again.next_if(|&again| again == at - 1).is_none()
            });
            self.by_name.clear();
            self.index();
        }
        repeated.into_iter().map(|(names, _)| names).collect()
    }

    /// Makes the names findable of a map that is filled once and has no name twice, if it is long.
    pub fn index_if_long(&mut self) {
        if self.items.len() > SHORT {
            self.index();
        }
    }

    /// Indexes all items; pairs of places of those whose name is taken, with their position.
    fn index(&mut self) -> Vec<((Spanned<Name>, Span), usize)> {
        self.by_name.reserve(self.items.len());
        let mut repeated = Vec::new();
        for (at, item) in self.items.iter().enumerate() {
            match self.by_name.entry(item.name.value.clone()) {
                Entry::Vacant(entry) => {
                    entry.insert(at as u32);
                }
                Entry::Occupied(entry) => {
                    let first = self.items[*entry.get() as usize].name.clone();
                    repeated.push(((first, item.name.span), at));
                }
            }
        }
        repeated
    }

    /// The thing of this name.
    pub fn find(&self, name: &str) -> Option<Id<T>> {
        self.by_name.get(name).map(|&index| Id::new(index as usize))
    }

    /// The thing of this name, and its place: also in the maps inside a record, which are searched from
    /// the start while they are short.
    pub fn named(&self, name: &str) -> Option<(usize, &Named<T>)> {
        if !self.by_name.is_empty() {
            let at = self.find(name)?.index();
            return Some((at, &self.items[at]));
        }
        let mut items = self.items.iter().enumerate();
        items.find(|(_, item)| item.name.value == name)
    }

    /// Whether there is a thing of this name.
    pub fn has(&self, name: &str) -> bool {
        self.named(name).is_some()
    }

    /// The names of all things, in order.
    pub fn names(&self) -> impl Iterator<Item = &Spanned<Name>> + Clone {
        self.items.iter().map(|item| &item.name)
    }

    /// All things with their ids.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (Id<T>, &Named<T>)> {
        self.items
            .iter()
            .enumerate()
            .map(|(index, item)| (Id::new(index), item))
    }

    /// All things.
    pub fn items(&self) -> &[Named<T>] {
        &self.items
    }

    /// All things, to be changed; not their names.
    pub(super) fn items_mut(&mut self) -> impl Iterator<Item = &mut Named<T>> {
        self.items.iter_mut()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }
}

impl<T> Index<Id<T>> for Section<T> {
    type Output = Named<T>;
    fn index(&self, id: Id<T>) -> &Named<T> {
        &self.items[id.index()]
    }
}

impl<T> IndexMut<Id<T>> for Section<T> {
    fn index_mut(&mut self, id: Id<T>) -> &mut Named<T> {
        &mut self.items[id.index()]
    }
}
