//! A small world for a command to run in: a folder of its own and nothing of the tester's.

use std::fs;
use std::path::PathBuf;

use assert_cmd::Command;
use tempfile::TempDir;

/// A folder that is gone after the test.
pub struct World(TempDir);

/// What a command did.
pub struct Ended {
    pub code: Option<i32>,
    pub output: String,
    pub errors: String,
}

impl Ended {
    /// What it said, the exit code being as expected.
    #[track_caller]
    pub fn expect(self, code: i32) -> String {
        assert_eq!(self.code, Some(code), "{}\n{}", self.output, self.errors);
        self.output
    }
}

impl World {
    /// A folder with these files, each a path and a text.
    pub fn with(files: &[(&str, &str)]) -> Self {
        let world = Self(tempfile::tempdir().unwrap());
        files.iter().for_each(|(path, text)| world.put(path, text));
        world
    }

    pub fn at(&self, path: &str) -> PathBuf {
        self.0.path().join(path)
    }

    pub fn put(&self, path: &str, text: &str) {
        let path = self.at(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    /// The command, to be run in the folder, with an empty environment but for the way to git.
    pub fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_cordwright"));
        command.current_dir(self.0.path()).env_clear().args(words);
        if let Some(path) = std::env::var_os("PATH") {
            command.env("PATH", path);
        }
        command
    }

    /// Runs the command with `words`.
    pub fn run(&self, words: &[&str]) -> Ended {
        ended(&mut self.command(words))
    }
}

/// Checks the example site from the repository's root, on the day that its README names.
pub fn example_site(format: &str) -> Command {
    let words = [
        "check",
        "example-repo",
        "--on",
        "2026-11-25",
        "--format",
        format,
    ];
    let mut command = World::with(&[]).command(&words);
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

/// Runs `command` to its end.
pub fn ended(command: &mut Command) -> Ended {
    let output = loop {
        match command.output() {
            // A process that another test has just started may hold the program open for a moment.
            Err(error) if error.kind() == std::io::ErrorKind::ExecutableFileBusy => {
                std::thread::sleep(std::time::Duration::from_millis(20));
            }
            output => break output.unwrap(),
        }
    };
    Ended {
        code: output.status.code(),
        output: String::from_utf8(output.stdout).unwrap(),
        errors: String::from_utf8(output.stderr).unwrap(),
    }
}
