//! Folders for tests, made for one test and gone after it.

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

/// A folder with files in it.
pub(super) struct Folder(TempDir);

impl Folder {
    /// A folder in which the files at `paths` each hold their own path.
    pub(super) fn with(paths: &[&str]) -> Self {
        let folder = Self(tempfile::tempdir().unwrap());
        paths.iter().for_each(|path| folder.put(path, path));
        folder
    }

    pub(super) fn put(&self, path: &str, text: &str) {
        let path = self.at(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    pub(super) fn root(&self) -> PathBuf {
        self.0.path().canonicalize().unwrap()
    }

    pub(super) fn at(&self, path: &str) -> PathBuf {
        self.root().join(path)
    }

    /// A link at `path` to `target`.
    #[cfg(unix)]
    pub(super) fn link(&self, path: &str, target: impl AsRef<Path>) {
        std::os::unix::fs::symlink(target, self.at(path)).unwrap();
    }
}
