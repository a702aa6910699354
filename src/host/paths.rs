//! Paths: where they really lead, and how they are shown.

use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

use crate::input::SITE_FILE;

/// `path` as shown to people and kept in findings: forward slashes on every system, and a
/// replacement character for what is not UTF-8 or would steer a terminal.
pub fn shown(path: &Path) -> String {
    let parts: Vec<String> = path
        .components()
        .map(|part| plain(part.as_os_str()))
        .collect();
    match parts.as_slice() {
        [] => ".".to_owned(),
        [root, rest @ ..] if path.has_root() && root == "/" => format!("/{}", rest.join("/")),
        all => all.join("/"),
    }
}

fn plain(part: &OsStr) -> String {
    let replace = |c: char| {
        if c.is_control() {
            char::REPLACEMENT_CHARACTER
        } else {
            c
        }
    };
    part.to_string_lossy().chars().map(replace).collect()
}

/// The absolute path with links resolved in the folders above it, but not in its last part: a
/// link that lies in a site belongs to that site wherever it points.
pub(super) fn settle(path: &Path) -> PathBuf {
    if path.is_dir() {
        return path.canonicalize().unwrap_or_else(|_| absolute(path));
    }
    let whole = absolute(path);
    let settled = || {
        Some(
            whole
                .parent()?
                .canonicalize()
                .ok()?
                .join(whole.file_name()?),
        )
    };
    settled().unwrap_or(whole)
}

fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

/// The way from the folder `from` to `to`, both settled.
pub(super) fn relative(from: &Path, to: &Path) -> PathBuf {
    let shared = from
        .components()
        .zip(to.components())
        .take_while(|(a, b)| a == b)
        .count();
    if shared == 0 {
        return to.to_owned();
    }
    let up = from.components().skip(shared).map(|_| Component::ParentDir);
    up.chain(to.components().skip(shared)).collect()
}

/// The absolute path, with links resolved in the folders above it.
pub fn settled(path: &Path) -> PathBuf {
    settle(path)
}

/// The way from the settled `root` of a site to the settled `path`, as paths of its files are written.
pub fn way(root: &Path, path: &Path) -> String {
    shown(&relative(root, path))
}

/// Where a file lies whose path from the settled `root` of a site may lead up, into a catalogue.
pub fn below(root: &Path, path: &str) -> PathBuf {
    let (mut root, mut rest) = (root, path);
    while let Some(below) = rest.strip_prefix("../") {
        (root, rest) = (root.parent().unwrap_or(root), below);
    }
    root.join(rest)
}

/// Whether `folder` is the root of a site.
pub(super) fn is_site(folder: &Path) -> bool {
    folder.join(SITE_FILE).is_file()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_between_folders_goes_up_and_down() {
        let way = |from: &str, to: &str| shown(&relative(Path::new(from), Path::new(to)));
        assert_eq!(way("/a/b", "/a/b"), ".");
        assert_eq!(way("/a", "/a/b/c"), "b/c");
        assert_eq!(way("/a/b/c", "/a"), "../..");
        assert_eq!(way("/a/b", "/a/x/y"), "../x/y");
    }

    #[test]
    fn shown_paths_do_not_steer_the_terminal() {
        assert_eq!(
            shown(Path::new("a/\u{1b}[31mb.yaml")),
            "a/\u{fffd}[31mb.yaml"
        );
        assert_eq!(shown(Path::new("/srv/site")), "/srv/site");
        assert_eq!(shown(Path::new("")), ".");
    }

    #[cfg(unix)]
    #[test]
    fn names_that_are_not_utf8_are_shown_lossily() {
        use std::os::unix::ffi::OsStrExt;
        let name = OsStr::from_bytes(b"rack-\xff.yaml");
        assert_eq!(shown(Path::new(name)), "rack-\u{fffd}.yaml");
    }
}
