//! How far a mapping reads like a thing of ours: by its keys, and by values that can be read.

use crate::model::decode::{Reader, Record};
use crate::yaml::{Kind, NodeId, Tree};

/// Finds out how far a mapping reads like a thing of one kind.
pub(super) type Measure = fn(&mut Reader<'_>, NodeId) -> Likeness;

/// Keys that tell nothing: files of all kinds have them, with any words for a value.
const COMMON: [&str; 17] = [
    "approvals",
    "at",
    "bundle",
    "colour",
    "country",
    "critical",
    "feed",
    "files",
    "from",
    "label",
    "levels",
    "model",
    "name",
    "reason",
    "rule",
    "type",
    "zone",
];

/// Keys with a name for a value that other files have seldom.
const HINTS: [&str; 1] = ["rack"];

/// How far a mapping reads like a thing of ours.
#[derive(Clone, Copy, Default)]
pub(super) struct Likeness {
    /// Keys that the thing has, with values that can be read.
    known: usize,
    /// Those of them that, with such a value, hardly anything else has.
    pub(super) telling: usize,
    /// Those that other things may have, but seldom.
    hints: usize,
    /// Whether no other key is there, and none is missing that the thing must have.
    is_whole: bool,
}

/// Measures a mapping against the keys of one kind of thing.
pub(super) fn measure<T: Record>(reader: &mut Reader<'_>, node: NodeId) -> Likeness {
    reader.forget();
    let tree = reader.tree;
    let (mut likeness, mut thing) = (Likeness::default(), T::default());
    let (mut others, mut merges, mut required) = (0, false, 0);
    for (key, value) in tree.pairs(node) {
        let text = tree.text(key);
        merges |= text == "<<";
        let index = T::KEYS.iter().position(|known| known.name == text);
        match index.filter(|&index| reader.reads_well(&mut thing, index, value)) {
            Some(index) => {
                likeness.known += 1;
                likeness.add(tree, text, value);
                required += usize::from(T::KEYS[index].required);
            }
            None => others += usize::from(text != "<<"),
        }
    }
    let wanted = T::KEYS.iter().filter(|key| key.required).count();
    likeness.is_whole = others == 0 && (merges || required >= wanted);
    likeness
}

impl Likeness {
    /// Whether it can be one: it says two things at least, all that it must, and nothing else.
    pub(super) fn is_one(self) -> bool {
        self.is_whole && self.known > 1
    }

    /// Whether any key speaks for it.
    pub(super) fn tells(self) -> bool {
        self.telling + self.hints > 0
    }

    /// Adds what a key with this value tells. That of a cord's far end does, if an inlet of a device
    /// is named there, or one for each leg.
    fn add(&mut self, tree: &Tree, key: &str, value: NodeId) {
        let names_inlet = |text: &str| {
            let plain = |part: &str| !part.is_empty() && !part.contains(['/', ':', ' ', '.']);
            text.split_once('/')
                .is_some_and(|(device, inlet)| plain(device) && plain(inlet))
        };
        let tells = match (key, tree.kind(value)) {
            (_, Kind::Empty) => false,
            (_, Kind::List | Kind::Mapping) if tree.children(value).next().is_none() => false,
            ("to", Kind::Plain | Kind::Quoted) => names_inlet(tree.text(value)),
            _ => !COMMON.contains(&key),
        };
        let is_hint = HINTS.contains(&key);
        self.hints += usize::from(tells && is_hint);
        self.telling += usize::from(tells && !is_hint);
    }
}
