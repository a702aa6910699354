//! Folders for tests, made for one test and gone after it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

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

    /// As [`Folder::with`], with a repository that has all of it.
    pub(super) fn repository(paths: &[&str]) -> Self {
        let folder = Self::with(paths);
        folder.git("", &["init", "--quiet", "--initial-branch", "main"]);
        folder.commit();
        folder
    }

    /// Runs git in the folder `below`, with an identity and a configuration of its own.
    pub(super) fn git(&self, below: &str, words: &[&str]) -> String {
        let output = Command::new("git")
            .current_dir(self.at(below))
            .args([
                "-c",
                "user.name=Test",
                "-c",
                "user.email=test@example.invalid",
            ])
            .args(["-c", "protocol.file.allow=always"])
            .args(words)
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "git {words:?}: {said}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// Commits everything that is not ignored.
    pub(super) fn commit(&self) {
        self.git("", &["add", "--all"]);
        self.git("", &["commit", "--quiet", "--message", "state"]);
    }
}
