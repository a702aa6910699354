//! Keys that a record could still have.

use crate::yaml::{NodeId, Tree};

use super::Record;
use super::reader::MOST_KEYS;

/// Keys that a mapping could have and has not, found when they are first asked for: a mapping may have
/// thousands of unknown ones.
#[derive(Default)]
pub(super) struct Free(Option<Vec<&'static str>>);

impl Free {
    /// Those that a mapping has not.
    pub fn in_mapping<T: Record>(&mut self, tree: &Tree, mapping: NodeId) -> &[&'static str] {
        self.0.get_or_insert_with(|| {
            let mut is_written = [false; MOST_KEYS];
            let keys = tree.pairs(mapping).map(|(key, _)| tree.text(key));
            keys.filter_map(index_of::<T>)
                .for_each(|index| is_written[index] = true);
            let names = T::NAMES.iter().zip(is_written);
            names
                .filter(|(_, is_written)| !is_written)
                .map(|(name, _)| *name)
                .collect()
        })
    }
}

/// The place of a key among those of its record.
pub(super) fn index_of<T: Record>(key: &str) -> Option<usize> {
    T::KEYS.iter().position(|known| known.name == key)
}
