//! Calls of git, hardened: whatever a tree carries, git obeys none of it and starts no program.
//!
//! Every call of git goes through here. It is run at the top of the work tree, never in the site's
//! own folder: a site may hold files that look like a repository, and bring their own settings. The
//! user's own configuration stays, because it says whose folders are trusted.

use std::ffi::{OsStr, OsString};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::{env, thread};

/// Lists that git answers with are read up to this many bytes (64 MiB): half a million files.
pub(in crate::host) const LIST_LIMIT: u64 = 64 << 20;
/// Of what git complains with.
const COMPLAINT_LIMIT: u64 = 64 << 10;

#[cfg(windows)]
const NO_FILE: &str = "NUL";
#[cfg(not(windows))]
const NO_FILE: &str = "/dev/null";

/// Settings that stand above every file of settings.
const SETTINGS: [(&str, &str); 6] = [
    // A folder that merely looks like a bare repository is never taken for one.
    ("safe.bareRepository", "explicit"),
    // No program is asked which files have changed.
    ("core.fsmonitor", ""),
    // No hook is run.
    ("core.hooksPath", NO_FILE),
    // What a commit comes after is read from the commit; a file beside it could say otherwise.
    ("core.commitGraph", "false"),
    // Nothing is fetched: no program is started to reach another machine …
    ("core.sshCommand", "false"),
    // … and no way there is open.
    ("protocol.allow", "never"),
];

/// Variables for git, in the place of all that it finds in the environment.
const ENVIRONMENT: [(&str, &str); 9] = [
    // An object that is missing stays missing: a partial clone's settings name who is asked for it.
    ("GIT_NO_LAZY_FETCH", "1"),
    // No way to another machine is open, whatever the settings say of a single one …
    ("GIT_ALLOW_PROTOCOL", "none"),
    // … or of those that a user would be asked about.
    ("GIT_PROTOCOL_FROM_USER", "0"),
    // A commit is what its id says, even if another is put in its place …
    ("GIT_NO_REPLACE_OBJECTS", "1"),
    // … and comes after those that it names itself.
    ("GIT_GRAFT_FILE", NO_FILE),
    // Nothing is written, not even to be quicker the next time.
    ("GIT_OPTIONAL_LOCKS", "0"),
    // Nobody is asked for a password.
    ("GIT_TERMINAL_PROMPT", "0"),
    // The machine's attributes have no say.
    ("GIT_ATTR_NOSYSTEM", "1"),
    // What git complains of is in the words that are looked for here.
    ("LC_ALL", "C"),
];

/// Why git gave no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::host) enum Refusal {
    /// No folder at or above has an entry `.git`.
    NoRepository,
    /// The folder has an entry `.git` that is not the repository of this folder.
    Elsewhere(PathBuf),
    /// There is no git, or it cannot be started.
    CannotRun(String),
    /// git's own words; empty where it has none.
    Says(String),
    /// The answer has more than this many bytes.
    TooLong(u64),
}

/// A work tree and its repository, as git itself confirms.
#[derive(Clone, Debug)]
pub(in crate::host) struct Repository {
    top: PathBuf,
}

/// The nearest folder at or above the settled `path` that has an entry `.git`.
pub(in crate::host) fn top_above(path: &Path) -> Option<&Path> {
    path.ancestors().find(|folder| has_repository(folder))
}

/// Whether the folder has an entry `.git`, of whatever kind.
pub(in crate::host) fn has_repository(folder: &Path) -> bool {
    folder.join(".git").symlink_metadata().is_ok()
}

impl Repository {
    /// The repository around the real path of `site`.
    pub(in crate::host) fn around(site: &Path) -> Result<Self, Refusal> {
        let real = site.canonicalize().map_err(|error| cannot_run(&error))?;
        let top = top_above(&real).ok_or(Refusal::NoRepository)?.to_owned();
        let repository = Self { top };
        repository.confirm()?;
        Ok(repository)
    }

    /// A `.git` that is damaged makes git look further up, and settings may name another work tree.
    fn confirm(&self) -> Result<(), Refusal> {
        let told = self.ask(["rev-parse", "--show-toplevel"], LIST_LIMIT)?;
        let told = path_of(told.strip_suffix(b"\n").unwrap_or(&told));
        match told.canonicalize() {
            Ok(real) if real == self.top => Ok(()),
            _ => Err(Refusal::Elsewhere(self.top.clone())),
        }
    }

    /// The top folder of the work tree.
    pub(in crate::host) fn top(&self) -> &Path {
        &self.top
    }

    /// The way from the top to a folder or file below it, as git writes it; `.` for the top.
    pub(in crate::host) fn below(&self, path: &Path) -> OsString {
        let below = path.strip_prefix(&self.top).unwrap_or(path);
        let parts: Vec<&OsStr> = below.iter().collect();
        match parts.as_slice() {
            [] => ".".into(),
            parts => parts.join(OsStr::new("/")),
        }
    }

    /// What git answers, if that is at most `limit` bytes.
    pub(in crate::host) fn ask<W: AsRef<OsStr>>(
        &self,
        words: impl IntoIterator<Item = W>,
        limit: u64,
    ) -> Result<Vec<u8>, Refusal> {
        self.call(words, Stdio::null(), limit)
    }

    /// As [`Repository::ask`], with a text for git to read.
    pub(in crate::host) fn ask_with<W: AsRef<OsStr>>(
        &self,
        words: impl IntoIterator<Item = W>,
        text: &str,
        limit: u64,
    ) -> Result<Vec<u8>, Refusal> {
        let text = in_a_file(text).map_err(|error| cannot_run(&error))?;
        self.call(words, text, limit)
    }

    fn call<W: AsRef<OsStr>>(
        &self,
        words: impl IntoIterator<Item = W>,
        input: Stdio,
        limit: u64,
    ) -> Result<Vec<u8>, Refusal> {
        let mut git = Command::new(program()?);
        git.current_dir(&self.top).stdin(input);
        let of_git = |name: &OsString| name.to_string_lossy().to_uppercase().starts_with("GIT_");
        for (name, _) in env::vars_os().filter(|(name, _)| of_git(name)) {
            git.env_remove(name);
        }
        git.envs(ENVIRONMENT);
        for (key, value) in SETTINGS {
            git.arg("-c").arg(format!("{key}={value}"));
        }
        // No program shows the answer page by page.
        git.arg("--no-pager").args(words);
        answer(&mut git, limit)
    }
}

/// The git of the user's path. Folders that depend on where one is do not count: git is run in a
/// stranger's tree.
fn program() -> Result<PathBuf, Refusal> {
    let name = format!("git{}", env::consts::EXE_SUFFIX);
    let path = env::var_os("PATH").unwrap_or_default();
    let mut folders = env::split_paths(&path).filter(|folder| folder.is_absolute());
    folders
        .find_map(|folder| Some(folder.join(&name)).filter(|file| file.is_file()))
        .ok_or_else(|| Refusal::CannotRun("there is none on the path".to_owned()))
}

/// Runs `git` to its end, or until it has said more than `limit` bytes.
fn answer(git: &mut Command, limit: u64) -> Result<Vec<u8>, Refusal> {
    let git = git.stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = git.spawn().map_err(|error| cannot_run(&error))?;
    let (out, err) = (child.stdout.take(), child.stderr.take());
    // Both are read at once: a pipe that nobody empties would stop git for ever.
    let (answer, complaint) = thread::scope(|scope| {
        let complaint = scope.spawn(|| some_of(err, COMPLAINT_LIMIT));
        let answer = up_to(out, limit + 1);
        if answer
            .as_ref()
            .map_or(true, |answer| answer.len() as u64 > limit)
        {
            // This fails only if it has ended by itself.
            let _ = child.kill();
        }
        (answer, complaint.join().unwrap_or_default())
    });
    let ended = child.wait().map_err(|error| cannot_run(&error))?;
    let answer = answer.map_err(|error| cannot_run(&error))?;
    if answer.len() as u64 > limit {
        return Err(Refusal::TooLong(limit));
    }
    match ended.success() {
        true => Ok(answer),
        false => Err(Refusal::Says(first_line(&complaint))),
    }
}

/// The first `limit` bytes.
fn up_to(from: Option<impl Read>, limit: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    if let Some(from) = from {
        from.take(limit).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

/// The first `limit` bytes, as far as they can be read; the rest is read and dropped.
fn some_of(mut from: Option<impl Read>, limit: u64) -> Vec<u8> {
    let some = up_to(from.as_mut(), limit).unwrap_or_default();
    let rest = from.map(|mut from| io::copy(&mut from, &mut io::sink()));
    drop(rest);
    some
}

/// What is to be told of a complaint; it may quote names, which must not steer a terminal.
fn first_line(complaint: &[u8]) -> String {
    let said = String::from_utf8_lossy(complaint);
    let mut lines = said.lines();
    let line = lines.find(|line| {
        !["warning: ", "hint: "]
            .iter()
            .any(|aside| line.starts_with(aside))
    });
    let line = line.unwrap_or("").trim_start_matches("fatal: ");
    line.replace(char::is_control, "\u{fffd}")
}

/// As a file, because a pipe could fill at both ends.
fn in_a_file(text: &str) -> io::Result<Stdio> {
    let mut file = tempfile::tempfile()?;
    file.write_all(text.as_bytes())?;
    file.rewind()?;
    Ok(Stdio::from(file))
}

fn cannot_run(error: &io::Error) -> Refusal {
    Refusal::CannotRun(error.to_string())
}

/// A folder or file for git to look at, whatever characters its name has.
pub(in crate::host) fn exactly(below: &OsStr) -> OsString {
    let mut words = OsString::from(":(literal)");
    words.push(below);
    words
}

/// A path as git writes it.
#[cfg(unix)]
pub(in crate::host) fn path_of(bytes: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStrExt;
    PathBuf::from(OsStr::from_bytes(bytes))
}

/// A path as git writes it.
#[cfg(not(unix))]
pub(in crate::host) fn path_of(bytes: &[u8]) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(bytes).into_owned())
}
