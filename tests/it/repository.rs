//! Git repositories for tests, made with a configuration of their own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::world::{Ended, World, ended};

/// A site that is sound, as far as it goes.
pub const SITE: &str = "site: {name: Quay, practice: iec, country: GB}\nsupplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n";
/// Definitions with a fault: nothing that the cord names is there.
pub const LOST: &str = "cords:\n  W-1: {type: a, from: b/1, to: c/1}\n";

/// A repository whose branch is `main`, in a world of its own.
pub struct Repository {
    pub world: World,
}

impl Repository {
    pub fn new() -> Self {
        let world = World::with(&[]);
        init(&world, "");
        Self { world }
    }

    /// Runs git as nobody in particular, and gives back what it says.
    pub fn git(&self, words: &[&str]) -> String {
        git(&self.world, "", words)
    }

    /// Commits all that is there.
    pub fn commit(&self) {
        commit(&self.world, "");
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

/// A repository with a commit without the site, and one with a site in a folder that has a fault.
pub fn repository() -> World {
    let world = World::with(&[("README.md", "# Notes\n")]);
    init(&world, "");
    commit(&world, "");
    world.put("sites/quay/cordwright.yaml", SITE);
    world.put("sites/quay/lost.yaml", LOST);
    commit(&world, "");
    world
}

/// Makes the folder a repository.
pub fn init(world: &World, folder: &str) {
    git(world, folder, &["init", "-q", "-b", "main"]);
}

/// Runs git in the folder, which must succeed, and says what it says.
pub fn git(world: &World, folder: &str, words: &[&str]) -> String {
    let output = try_git(world, folder, words);
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "git {words:?}: {said}");
    String::from_utf8(output.stdout).unwrap().trim().to_owned()
}

/// Runs git in the folder, come what may.
pub fn try_git(world: &World, folder: &str, words: &[&str]) -> Output {
    let mut git = Command::new("git");
    git.current_dir(world.at(folder))
        .args(["-c", "user.name=Test"])
        .args(["-c", "user.email=test@example.invalid"])
        .args(["-c", "protocol.file.allow=always"])
        .args(words)
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1");
    git.output().unwrap()
}

/// Commits all that is in the folder, and says the commit's id.
pub fn commit(world: &World, folder: &str) -> String {
    git(world, folder, &["add", "--all"]);
    git(world, folder, &["commit", "-qm", "state"]);
    git(world, folder, &["rev-parse", "HEAD"])
}

/// Checks in the folder, a line for each finding.
pub fn check_in(world: &World, folder: &str, words: &[&str]) -> Ended {
    let words = [&["check", "--format", "lines"], words].concat();
    ended(world.command(&words).current_dir(world.at(folder)))
}

/// What was told, however its lines were broken to fit a terminal.
pub fn in_one_line(told: &str) -> String {
    let words = told.split_whitespace().filter(|word| *word != "│");
    words.collect::<Vec<_>>().join(" ")
}

/// A path below the world, as text.
pub fn text_of(world: &World, path: &str) -> String {
    world.at(path).to_str().unwrap().to_owned()
}

/// A program in a folder of its own called `git`, which notes each call in a file and calls git.
#[cfg(unix)]
pub fn counting_git(world: &World) -> (PathBuf, PathBuf) {
    let (folder, calls) = (world.at("counting"), world.at("calls"));
    let paths = std::env::var_os("PATH").unwrap();
    let git = std::env::split_paths(&paths).map(|folder| folder.join("git"));
    let git = git.into_iter().find(|git| git.is_file()).unwrap();
    let script = format!(
        "#!/bin/sh\necho \"$@\" >> '{}'\nexec '{}' \"$@\"\n",
        calls.display(),
        git.display()
    );
    world.put("counting/git", &script);
    make_executable(&folder.join("git"));
    (folder, calls)
}

/// Lets the file be run.
#[cfg(unix)]
pub fn make_executable(path: &Path) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
}
