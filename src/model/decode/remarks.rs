//! What people write beside the facts: a `note` on any thing, and keys of their own, which begin with `x-`.
//! Both are kept as they are and judge nothing.

use crate::model::value::Name;
use crate::yaml::NodeId;

use super::Reader;

/// The key of a note.
pub(crate) const NOTE: &str = "note";
/// How keys begin that are somebody's own.
pub(crate) const OWN: &str = "x-";

/// Whether a key is somebody's own.
pub(super) fn is_own(key: &str) -> bool {
    key.starts_with(OWN)
}

/// The note that stands at a node, its lines put together; `None` where it says nothing, or is no text,
/// which is told.
pub(super) fn note(reader: &mut Reader<'_>, node: NodeId) -> Option<Name> {
    let node = reader.enter(node)?;
    if reader.holds_nothing(node) {
        return None;
    }
    let text = reader.scalar(node, "a text")?;
    let words: Vec<&str> = text.split_whitespace().collect();
    (!words.is_empty()).then(|| words.join(" ").into())
}
