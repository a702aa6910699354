//! A git repository of its own for a test, with a command to run in it.

use std::fs;
use std::process::Command;

use crate::world::World;

/// A repository whose branch is `main`.
pub struct Repository {
    pub world: World,
}

impl Repository {
    pub fn new() -> Self {
        let repository = Self {
            world: World::with(&[]),
        };
        repository.git(&["init", "-q", "-b", "main"]);
        repository
    }

    /// Runs git as nobody in particular, and gives back what it says.
    pub fn git(&self, words: &[&str]) -> String {
        let identity = [
            "-c",
            "user.name=Test",
            "-c",
            "user.email=test@example.invalid",
        ];
        let mut git = Command::new("git");
        git.current_dir(self.world.at(""))
            .args(identity)
            .args(words);
        git.env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_NOSYSTEM", "1");
        let output = git.output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "git {words:?}: {said}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// Commits all that is there.
    pub fn commit(&self) {
        self.git(&["add", "--all"]);
        self.git(&["commit", "-qm", "state"]);
    }

    pub fn put(&self, path: &str, text: &str) {
        self.world.put(path, text);
    }

    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.world.at(path)).unwrap()
    }

    /// Deletes a file, and gives back what was in it.
    pub fn take(&self, path: &str) -> String {
        let text = self.read(path);
        fs::remove_file(self.world.at(path)).unwrap();
        text
    }
}
