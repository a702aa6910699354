//! From the spanned tree to typed records, gathering every error on the way.
//!
//! A record never fails to be read: what is wrong with one key is a [`Fault`], the key stays
//! unknown, and all other keys are read. The same [`Key`] tables drive the reading, the JSON Schema
//! and the editor's completions, so that they cannot differ.

use serde_json::{Value, json};

use crate::source::Span;
use crate::yaml::{Kind, NodeId, Tree};

use super::fault::Fault;
use super::value::{Field, Name, Named, Section, Spanned};

/// A key of a record.
pub struct Key {
    /// The word.
    pub name: &'static str,
    /// Meaning, in the trade's words.
    pub doc: &'static str,
    /// Whether the record must have it.
    pub required: bool,
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
    /// The key that a bare scalar stands for, as in `breaker: 16 A`.
    const SHORT_FOR: Option<&'static str> = None;
    /// Reads the value of the key at `index` of [`Record::KEYS`].
    fn fill(&mut self, index: usize, reader: &mut Reader<'_>, node: NodeId);
}

/// Reads one tree, gathering faults.
pub struct Reader<'t> {
    /// The tree that is read.
    pub tree: &'t Tree,
    /// What was wrong so far.
    pub faults: Vec<Fault>,
    /// Visits left: aliases repeat nodes, and must not multiply the work.
    budget: usize,
}

impl<'t> Reader<'t> {
    /// A reader over `tree`.
    pub fn new(tree: &'t Tree) -> Self {
        Self {
            tree,
            faults: Vec::new(),
            budget: tree.len() * 4 + 10_000,
        }
    }

    /// Follows an alias and counts the visit; `None` where there is nothing to read.
    pub fn enter(&mut self, node: NodeId) -> Option<NodeId> {
        if self.budget == 1 {
            let span = self.tree.span(node);
            let message =
                "anchors and aliases repeat too much of this file; the rest of it was not judged"
                    .into();
            let advice = "Write the repeated parts out, or anchor smaller ones.".into();
            self.faults.push(Fault::Unreadable {
                span,
                message,
                advice,
                related: None,
            });
        }
        self.budget = self.budget.saturating_sub(1);
        if self.budget == 0 {
            None
        } else {
            self.tree.resolve(node)
        }
    }

    /// The text of a scalar; a fault if the node is none.
    pub fn scalar(&mut self, node: NodeId, wanted: &str) -> Option<&'t str> {
        let tree = self.tree;
        match tree.kind(node) {
            Kind::Plain | Kind::Quoted | Kind::Block => Some(tree.text(node)),
            _ => {
                self.wanted(node, wanted);
                None
            }
        }
    }

    /// Says that something else was wanted here.
    pub fn wanted(&mut self, node: NodeId, wanted: &str) {
        let found = match self.tree.kind(node) {
            Kind::Empty => "nothing stands here",
            Kind::List => "a list stands here",
            Kind::Mapping => "a mapping of keys and values stands here",
            _ => "another kind of value stands here",
        };
        let span = self.tree.span(node);
        self.bad(
            span,
            format!("{found} where {wanted} is wanted"),
            format!("Write {wanted}."),
        );
    }

    /// Says that a value is not what its key wants.
    pub fn bad(&mut self, span: Span, headline: String, advice: String) {
        self.faults.push(Fault::BadValue {
            span,
            headline,
            advice,
            replacement: None,
        });
    }

    /// Reads a record from a mapping, or from the scalar that is its short form.
    pub fn record<T: Record>(&mut self, node: NodeId, name: Option<&Spanned<Name>>) -> T {
        let mut record = T::default();
        match (self.tree.kind(node), T::SHORT_FOR) {
            (Kind::Mapping, _) => self.keys(&mut record, node, name),
            (Kind::Empty, _) => self.missing::<T>(&[false; MOST_KEYS], node, name),
            (Kind::Plain | Kind::Quoted | Kind::Block, Some(key)) => {
                if let Some(index) = T::KEYS.iter().position(|k| k.name == key) {
                    record.fill(index, self, node);
                }
            }
            _ => self.wanted(node, &format!("the keys of a {}", T::WHAT)),
        }
        record
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
        self.missing::<T>(&seen.map(|place| place.is_some()), node, name);
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
        for (key, value) in tree.pairs(node) {
            let Some(text) = self.key_text(key) else {
                continue;
            };
            let span = tree.span(key);
            if text == "<<" && tree.kind(key) == Kind::Plain {
                self.merge_sources(value, merged);
                continue;
            }
            let Some(index) = T::KEYS.iter().position(|k| k.name == text) else {
                let known = T::KEYS.iter().map(|k| k.name).collect();
                self.faults.push(Fault::UnknownKey {
                    span,
                    key: text.into(),
                    owner: T::WHAT,
                    known,
                });
                continue;
            };
            match seen[index] {
                Some(first) => self.faults.push(Fault::Repeated {
                    name: text.into(),
                    what: "key",
                    first,
                    again: span,
                }),
                None => {
                    seen[index] = Some(span);
                    if let Some(value) = self.enter(value) {
                        record.fill(index, self, value);
                    }
                }
            }
        }
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
        for (key, value) in tree.pairs(node) {
            let Some(key_node) = self.enter(key) else {
                return;
            };
            let text = tree.text(key_node);
            if text == "<<" {
                self.merge_sources(value, merged);
                continue;
            }
            let index = T::KEYS.iter().position(|k| k.name == text);
            let Some(index) = index.filter(|&index| seen[index].is_none()) else {
                continue;
            };
            seen[index] = Some(tree.span(key));
            if let Some(value) = self.enter(value) {
                record.fill(index, self, value);
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
                Some(other) => self.wanted(other, "a mapping to merge"),
                None => {}
            }
        }
    }

    fn key_text(&mut self, key: NodeId) -> Option<&'t str> {
        let key = self.enter(key)?;
        self.scalar(key, "a name")
    }

    fn missing<T: Record>(
        &mut self,
        seen: &[bool; MOST_KEYS],
        node: NodeId,
        name: Option<&Spanned<Name>>,
    ) {
        let whole = self.tree.span(node);
        for (key, _) in T::KEYS
            .iter()
            .zip(seen)
            .filter(|(key, seen)| key.required && !**seen)
        {
            self.faults.push(Fault::MissingKey {
                span: name.map_or(
                    Span {
                        hi: whole.lo.saturating_add(1).min(whole.hi),
                        ..whole
                    },
                    |name| name.span,
                ),
                owner: T::WHAT,
                name: name.map(|name| name.value.clone()).unwrap_or_default(),
                key: key.name,
                holds: key.doc,
            });
        }
    }

    /// Reads a mapping of names to things, calling `each` for every entry.
    pub fn entries(
        &mut self,
        node: NodeId,
        what: &str,
        mut each: impl FnMut(&mut Self, Spanned<Name>, NodeId),
    ) {
        let tree = self.tree;
        match tree.kind(node) {
            Kind::Mapping => {}
            Kind::Empty => return,
            _ => return self.wanted(node, &format!("a mapping from a name to a {what}")),
        }
        for (key, value) in tree.pairs(node) {
            let Some(text) = self.key_text(key) else {
                continue;
            };
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
                each(self, name, value);
            }
        }
    }
}

/// More keys than any record has.
pub const MOST_KEYS: usize = 32;

/// A mapping below this size is searched for a repeated name at once; the long sections of a site
/// are, when they are put together from all files.
const SHORT: usize = 64;

impl<T: Decode> Slot for Field<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let span = reader.tree.span(node);
        *self = match T::decode(reader, node) {
            Some(value) => Self::Given(Spanned { value, span }),
            None => Self::Unreadable(span),
        };
    }

    fn schema() -> Value {
        T::schema()
    }
}

impl<T: Decode> Slot for Vec<Spanned<T>> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let tree = reader.tree;
        if tree.kind(node) != Kind::List {
            return reader.wanted(node, "a list");
        }
        for child in tree.children(node) {
            let Some(child) = reader.enter(child) else {
                return;
            };
            let span = tree.span(child);
            self.extend(T::decode(reader, child).map(|value| Spanned { value, span }));
        }
    }

    fn schema() -> Value {
        json!({"type": "array", "items": T::schema()})
    }
}

impl<T: Record> Slot for Section<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        reader.entries(node, T::WHAT, |reader, name, value| {
            if self.len() < SHORT
                && let Some((_, first)) = self.named(&name.value)
            {
                let (what, first, again) = (T::WHAT, first.name.span, name.span);
                return reader.faults.push(Fault::Repeated {
                    name: name.value,
                    what,
                    first,
                    again,
                });
            }
            let body = reader.tree.span(value);
            let item = reader.record(value, Some(&name));
            self.push(Named { name, body, item });
        });
    }

    fn schema() -> Value {
        json!({"type": "object", "additionalProperties": record_schema::<T>()})
    }
}

/// JSON Schema of a record.
pub fn record_schema<T: Record>() -> Value {
    let properties: serde_json::Map<String, Value> = T::KEYS
        .iter()
        .map(|key| (key.name.to_owned(), described(key)))
        .collect();
    let required: Vec<&str> = T::KEYS
        .iter()
        .filter(|key| key.required)
        .map(|key| key.name)
        .collect();
    let mut schema = json!({
        "type": "object",
        "description": T::DOC.trim(),
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    match T::SHORT_FOR.and_then(|short| T::KEYS.iter().find(|key| key.name == short)) {
        Some(short) => json!({"anyOf": [described(short), schema]}),
        None => schema,
    }
}

fn described(key: &Key) -> Value {
    let mut schema = (key.schema)();
    if let Some(object) = schema.as_object_mut() {
        object.insert("description".into(), json!(key.doc.trim()));
    }
    schema
}

/// Declares a record: its type, its keys with their meaning, and how it is read.
macro_rules! record {
    (
        $(#[doc = $doc:literal])*
        $name:ident: $what:literal $(, short for $short:literal)?;
        $( $(#[doc = $key_doc:literal])* $key:literal $(($required:ident))? => $field:ident: $type:ty, )*
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
                    required: record!(@required $($required)?),
                    schema: <$type as $crate::model::decode::Slot>::schema,
                },
            )*];
            $(const SHORT_FOR: Option<&'static str> = Some($short);)?

            fn fill(&mut self, index: usize, reader: &mut $crate::model::decode::Reader<'_>, node: $crate::yaml::NodeId) {
                match Self::KEYS.get(index).map(|key| key.name) {
                    $(Some($key) => $crate::model::decode::Slot::fill(&mut self.$field, reader, node),)*
                    _ => {}
                }
            }
        }

        impl $crate::model::decode::Decode for $name {
            fn decode(reader: &mut $crate::model::decode::Reader<'_>, node: $crate::yaml::NodeId) -> Option<Self> {
                Some(reader.record(node, None))
            }

            fn schema() -> serde_json::Value {
                $crate::model::decode::record_schema::<Self>()
            }
        }
    };
    (@required required) => { true };
    (@required) => { false };
}
pub(crate) use record;

/// Declares a closed set of words.
macro_rules! words {
    (
        $(#[doc = $doc:literal])*
        $name:ident: $what:literal;
        $( $(#[doc = $word_doc:literal])* $variant:ident = $word:literal, )*
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
                    $($word => Some(Self::$variant),)*
                    _ => {
                        $crate::model::text::unknown_word(reader, node, $what, &[$($word),*]);
                        None
                    }
                }
            }

            fn schema() -> serde_json::Value {
                serde_json::json!({"enum": [$($word),*]})
            }
        }
    };
}
pub(crate) use words;
