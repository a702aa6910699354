//! From the spanned tree to typed records, gathering every error on the way.
//!
//! A record never fails to be read: what is wrong with one key is a [`Fault`], the key stays
//! unknown, and all other keys are read. The same [`Key`] tables drive the reading, the JSON Schema
//! and the editor's completions, so that they cannot differ.

mod free;
mod reader;
pub(crate) mod remarks;
mod torn;

use rustc_hash::FxHashMap;
use serde_json::{Value, json};

use crate::source::Span;
use crate::yaml::{Kind, NodeId};

use super::fault::Fault;
use super::optional::Optional;
use super::schema;
use super::value::{Field, Section, Spanned};

pub use reader::{Reader, with_article};

/// A key of a record.
pub struct Key {
    /// The word.
    pub name: &'static str,
    /// Meaning, in the trade's words.
    pub doc: &'static str,
    /// Whether the record must have it.
    pub required: bool,
    /// Whether only the site as a whole can tell if it must be there: no file by itself does.
    pub told_later: bool,
    /// Keys of which each may stand in its stead.
    pub instead: &'static [&'static str],
    /// Whether zero makes no sense in it.
    pub above_zero: bool,
    /// Whether it sets a limit of the site, which no change relaxes unseen.
    pub is_limit: bool,
    /// JSON Schema of its value.
    pub schema: fn() -> Value,
}

/// Something that a node of the tree can be read as.
pub trait Decode: Sized {
    /// Reads a node (aliases already followed); `None` if it cannot be read, which is then a fault
    /// in `reader`.
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self>;
    /// JSON Schema (draft-07) of what is accepted.
    fn schema() -> Value;
}

/// A place in a record that a key fills.
pub trait Slot {
    /// Reads the value of the key into the slot.
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId);
    /// Notes that what should hold the key stands here and cannot be read: the key is not left out.
    fn spoil(&mut self, at: Span);
    /// JSON Schema of the key's value.
    fn schema() -> Value
    where
        Self: Sized;
}

/// A mapping with known keys.
pub trait Record: Default {
    /// What it is, as in "this circuit has no …".
    const WHAT: &'static str;
    /// What it means, in the trade's words.
    const DOC: &'static str;
    /// Its keys.
    const KEYS: &'static [Key];
    /// The words of its keys.
    const NAMES: &'static [&'static str];
    /// The key that a bare scalar stands for, as in `breaker: 16 A`.
    const SHORT_FOR: Option<&'static str> = None;
    /// Reads the value of the key at `index` of [`Record::KEYS`].
    fn fill(&mut self, index: usize, reader: &mut Reader<'_>, node: NodeId);
    /// Notes that the key at `index` of [`Record::KEYS`] stands here and cannot be read: it is not left out.
    fn spoil(&mut self, index: usize, at: Span);
}

impl<T: Decode> Slot for Field<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let span = reader.tree.span(node);
        *self = match T::decode(reader, node) {
            Some(value) => Self::Given(Spanned { value, span }),
            None => Self::Unreadable(span),
        };
    }

    fn spoil(&mut self, at: Span) {
        *self = Self::Unreadable(at);
    }

    fn schema() -> Value {
        T::schema()
    }
}

impl<T: Decode> Slot for Optional<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let mut field = Field::default();
        field.fill(reader, node);
        *self = field.into();
    }

    fn spoil(&mut self, at: Span) {
        *self = Self::Unreadable(at);
    }

    fn schema() -> Value {
        T::schema()
    }
}

impl<T: Decode> Slot for Vec<Spanned<T>> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let tree = reader.tree;
        if reader.kind(node) != Kind::List {
            return reader.wanted(node, "a list");
        }
        for item in tree.children(node) {
            let Some(child) = reader.enter(item) else {
                return;
            };
            let span = tree.span(child);
            let value = reader.under(item, |reader| T::decode(reader, child));
            self.extend(value.map(|value| Spanned { value, span }));
        }
    }

    fn spoil(&mut self, _: Span) {}

    fn schema() -> Value {
        json!({"type": "array", "items": T::schema()})
    }
}

/// Things inside one thing that are read: more than any strip has banks, any device inlets or any splitter
/// legs, each of which every such strip, device and splitter has.
pub(super) const MOST_INSIDE: usize = 200;

/// A list of which every item can be read; what is wrong with the others is told.
pub fn list<T>(
    reader: &mut Reader<'_>,
    node: NodeId,
    wanted: &str,
    mut read: impl FnMut(&mut Reader<'_>, NodeId) -> Option<T>,
) -> Option<Vec<T>> {
    let tree = reader.tree;
    if reader.kind(node) != Kind::List {
        reader.wanted(node, wanted);
        return None;
    }
    let mut all = Some(Vec::new());
    for (number, item) in tree.children(node).enumerate() {
        if number == MOST_INSIDE {
            reader.too_many(node, tree.span(item), "item");
            return None;
        }
        let child = reader.enter(item)?;
        let value = reader.under(item, |reader| read(reader, child));
        all = all.zip(value).map(|(mut all, value)| {
            all.push(value);
            all
        });
    }
    all
}

impl<T: Record> Slot for Section<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        if !matches!(reader.kind(node), Kind::Mapping | Kind::Empty) {
            self.spoil(reader.tree.span(node));
        }
        let mut places = FxHashMap::default();
        let is_indexed_later = reader.is_at_top();
        self.reserve(reader.tree.pairs(node).count());
        reader.entries(node, T::WHAT, |reader, name, value| {
            if !is_indexed_later {
                if self.len() == MOST_INSIDE {
                    return reader.too_many(node, name.span, T::WHAT);
                }
                let again = name.span;
                let first = *places.entry(name.value.clone()).or_insert(again);
                if first != again {
                    return reader.push(Fault::Repeated {
                        name: name.value,
                        what: T::WHAT,
                        first,
                        again,
                    });
                }
            }
            let body = reader.tree.span(value);
            self.push_default(name, body, |name, item| {
                reader.record_into(item, value, Some(name))
            });
        });
        if !is_indexed_later {
            self.index_if_long();
        }
    }

    fn spoil(&mut self, at: Span) {
        self.spoil(at);
    }

    fn schema() -> Value {
        schema::named(schema::record::<T>())
    }
}

/// Declares a record: its type, its keys with their meaning, and how it is read. Behind a key may stand `required`,
/// `or_make` where a make may say it, `or_adapter` where an adapter has none, `told_later` where the
/// site as a whole tells whether it must be there, `above_zero` for quantities that cannot be zero, and `limit` for what a change
/// may not relax unseen.
macro_rules! record {
    (
        $(#[doc = $doc:literal])*
        $name:ident: $what:literal $(, short for $short:literal)?;
        $( $(#[doc = $key_doc:literal])* $key:literal $(($($flag:ident),+))? => $field:ident: $type:ty, )*
    ) => {
        $(#[doc = $doc])*
        #[derive(Clone, Debug, Default)]
        pub struct $name {
            $( $(#[doc = $key_doc])* pub $field: $type, )*
        }

        impl $crate::model::decode::Record for $name {
            const WHAT: &'static str = $what;
            const DOC: &'static str = concat!($($doc, "\n"),*);
            const KEYS: &'static [$crate::model::decode::Key] = &[$(
                $crate::model::decode::Key {
                    name: $key,
                    doc: concat!($($key_doc, "\n"),*),
                    required: record!(@required $($($flag)+)?),
                    told_later: record!(@told_later $($($flag)+)?),
                    instead: record!(@instead $($($flag)+)?),
                    above_zero: record!(@above_zero $($($flag)+)?),
                    is_limit: record!(@limit $($($flag)+)?),
                    schema: <$type as $crate::model::decode::Slot>::schema,
                },
            )*];
            const NAMES: &'static [&'static str] = &[$($key),*];
            $(const SHORT_FOR: Option<&'static str> = Some($short);)?

            fn fill(&mut self, index: usize, reader: &mut $crate::model::decode::Reader<'_>, node: $crate::yaml::NodeId) {
                // The optimiser makes a jump table of this; comparing words here would be slow.
                let mut keys = 0..;
                $(
                    if keys.next() == Some(index) {
                        $($(record!(@before $flag reader);)+)?
                        return $crate::model::decode::Slot::fill(&mut self.$field, reader, node);
                    }
                )*
            }

            fn spoil(&mut self, index: usize, at: $crate::source::Span) {
                let mut keys = 0..;
                $(
                    if keys.next() == Some(index) {
                        return $crate::model::decode::Slot::spoil(&mut self.$field, at);
                    }
                )*
            }
        }

        impl $crate::model::decode::Decode for $name {
            fn decode(reader: &mut $crate::model::decode::Reader<'_>, node: $crate::yaml::NodeId) -> Option<Self> {
                let record = reader.record(node, None);
                reader.may_be::<Self>(node).then_some(record)
            }

            fn schema() -> serde_json::Value {
                $crate::model::schema::record::<Self>()
            }
        }
    };
    (@required required $($flag:ident)*) => { true };
    (@required $other:ident $($flag:ident)*) => { record!(@required $($flag)*) };
    (@required) => { false };
    (@told_later told_later $($flag:ident)*) => { true };
    (@told_later $other:ident $($flag:ident)*) => { record!(@told_later $($flag)*) };
    (@told_later) => { false };
    (@instead or_make or_adapter $($flag:ident)*) => { &["make", "adapter"] };
    (@instead or_make $($flag:ident)*) => { &["make"] };
    (@instead or_adapter $($flag:ident)*) => { &["adapter"] };
    (@instead $other:ident $($flag:ident)*) => { record!(@instead $($flag)*) };
    (@instead) => { &[] };
    (@above_zero above_zero $($flag:ident)*) => { true };
    (@above_zero $other:ident $($flag:ident)*) => { record!(@above_zero $($flag)*) };
    (@above_zero) => { false };
    (@limit limit $($flag:ident)*) => { true };
    (@limit $other:ident $($flag:ident)*) => { record!(@limit $($flag)*) };
    (@limit) => { false };
    // Zero would pass for a real value in every sum.
    (@before above_zero $reader:ident) => { $reader.zero_is_nonsense() };
    (@before required $reader:ident) => {};
    (@before told_later $reader:ident) => {};
    (@before or_make $reader:ident) => {};
    (@before or_adapter $reader:ident) => {};
    (@before limit $reader:ident) => {};
}
pub(crate) use record;

/// Declares a closed set of words; behind `or` stand other words for the same.
macro_rules! words {
    (
        $(#[doc = $doc:literal])*
        $name:ident: $what:literal;
        $( $(#[doc = $word_doc:literal])* $variant:ident = $word:literal $(or $also:literal)*, )*
    ) => {
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $( $(#[doc = $word_doc])* $variant, )*
        }

        impl $name {
            /// The word as it is written.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }

        impl $crate::model::decode::Decode for $name {
            fn decode(reader: &mut $crate::model::decode::Reader<'_>, node: $crate::yaml::NodeId) -> Option<Self> {
                let text = reader.scalar(node, $what)?;
                match text {
                    $($word $(| $also)* => Some(Self::$variant),)*
                    _ => {
                        $crate::model::text::unknown_word(reader, node, $what, &[$($word),*]);
                        None
                    }
                }
            }

            fn schema() -> serde_json::Value {
                $crate::model::schema::words(&[$(
                    ($word, concat!($($word_doc, "\n"),*)),
                    $(($also, concat!("The same as `", $word, "`.")),)*
                )*])
            }
        }
    };
}
pub(crate) use words;
