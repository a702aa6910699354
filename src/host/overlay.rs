//! Text that stands for files: unsaved buffers of an editor, and `--stdin-as`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::paths::settle;

/// Files as they would be if they were saved, over those on disk.
#[derive(Clone, Debug, Default)]
pub struct Overlay {
    files: BTreeMap<PathBuf, Vec<u8>>,
}

impl Overlay {
    /// Lets `bytes` stand for the file at `path`, which need not exist.
    pub fn put(&mut self, path: &Path, bytes: Vec<u8>) {
        self.files.insert(settle(path), bytes);
    }

    /// What stands for the file at the settled `path`.
    pub(super) fn get(&self, path: &Path) -> Option<&[u8]> {
        self.files.get(path).map(Vec::as_slice)
    }

    /// Everything that stands below `root`, by path below it.
    pub(super) fn below<'a>(
        &'a self,
        root: &'a Path,
    ) -> impl Iterator<Item = (&'a Path, &'a [u8])> {
        let inside = move |(path, bytes): (&'a PathBuf, &'a Vec<u8>)| {
            let below = path.strip_prefix(root).ok()?;
            Some((below, bytes.as_slice()))
        };
        self.files.iter().filter_map(inside)
    }
}
