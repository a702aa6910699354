//! Files of our own that other programs may open while we run.

use std::fs;
use std::path::PathBuf;

use tempfile::{Builder, TempDir};

/// A folder of our own, gone when this is dropped. Nobody else may write into it.
#[derive(Debug)]
pub struct Shelf(TempDir);

impl Shelf {
    /// Lays out `files`, each a name and a text; `None` if there is no place for them.
    pub fn with<'a>(files: impl IntoIterator<Item = (String, &'a str)>) -> Option<Self> {
        let shelf = Self(Builder::new().prefix("cordwright-").tempdir().ok()?);
        for (name, text) in files {
            fs::write(shelf.place(&name), text).ok()?;
        }
        Some(shelf)
    }

    /// Where a file of this name is.
    pub fn place(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }
}
