//! Writing changed definitions back to the files that they were read from.

use crate::failure::Failure;
use crate::host::{AllOrNone, Originals};
use crate::source::Sources;

/// Writes the files of a site that are changed, all or none, each over the very file that was read.
pub(super) fn rewrite(
    originals: &Originals,
    read: &Sources,
    changed: &[(String, String)],
) -> Result<(), Failure> {
    originals.clear_leftovers();
    let mut files = AllOrNone::default();
    for (name, text) in changed {
        let source = read.by_path(name);
        let before = source.map(|id| &read.file(id).text);
        let both = originals.get(name).zip(before);
        let (original, before) = both
            .ok_or_else(|| Failure::new(format!("cannot write {name}: no such file was read")))?;
        files.rewrite(original, before.as_bytes(), text.as_bytes());
    }
    files.carry_out()
}
