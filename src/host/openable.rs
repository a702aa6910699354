//! Files of our own that other programs may open while we run.

use std::ffi::OsStr;
use std::fs::{self, DirEntry, File, Metadata};
use std::path::{Path, PathBuf};

use tempfile::{Builder, TempDir};

use super::hold::{held_by_nobody, hold};

const BEGIN: &str = "cordwright-openable-";
/// Letters and digits of the name that are drawn by chance.
const DRAWN: usize = 12;
/// The file that is held for as long as the openable is in use.
const IN_USE: &str = "in-use";

/// A folder of our own, gone when this is dropped. Nobody else may write into it.
#[derive(Debug)]
pub struct OpenableFiles {
    // First, for a folder with an open file in it cannot be taken away everywhere.
    _in_use: File,
    folder: TempDir,
}

impl OpenableFiles {
    /// Lays out `files`, each a name and a text; `None` if there is no place for them. What servers
    /// left there that were killed is taken away.
    pub fn with<'a>(files: impl IntoIterator<Item = (String, &'a str)>) -> Option<Self> {
        Self::within(&std::env::temp_dir(), files)
    }

    fn within<'a>(
        above: &Path,
        files: impl IntoIterator<Item = (String, &'a str)>,
    ) -> Option<Self> {
        let mut builder = Builder::new();
        let folder = builder
            .prefix(BEGIN)
            .rand_bytes(DRAWN)
            .tempdir_in(above)
            .ok()?;
        let sign = folder.path().join(IN_USE);
        let in_use = File::create_new(&sign).ok()?;
        hold(&in_use, &sign).then_some(())?;
        let openable = Self {
            _in_use: in_use,
            folder,
        };
        for (name, text) in files {
            fs::write(openable.place(&name), text).ok()?;
        }
        clear(above, openable.folder.path());
        Some(openable)
    }

    /// Where a file of this name is.
    pub fn place(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }
}

/// Takes away shelves that nobody uses any more and that have the owner of `own`.
fn clear(above: &Path, own: &Path) -> Option<()> {
    let own = own.symlink_metadata().ok()?;
    for entry in above.read_dir().ok()?.flatten() {
        let about = entry.path().symlink_metadata();
        let is_ours = |about: &Metadata| about.is_dir() && have_one_owner(about, &own);
        if is_named_as_ours(&entry.file_name()) && about.is_ok_and(|about| is_ours(&about)) {
            clear_one(&entry.path());
        }
    }
    Some(())
}

fn is_named_as_ours(name: &OsStr) -> bool {
    let drawn = name.to_str().and_then(|name| name.strip_prefix(BEGIN));
    drawn.is_some_and(|drawn| {
        drawn.len() == DRAWN && drawn.bytes().all(|byte| byte.is_ascii_alphanumeric())
    })
}

/// Takes away a openable, if nobody uses it and nothing lies in it but files.
fn clear_one(folder: &Path) -> Option<()> {
    let sign = folder.join(IN_USE);
    let _held = held_by_nobody(&sign)?;
    let entries: Result<Vec<DirEntry>, _> = folder.read_dir().ok()?.collect();
    let entries = entries.ok()?;
    let is_file = |entry: &DirEntry| entry.file_type().is_ok_and(|kind| kind.is_file());
    entries.iter().all(is_file).then_some(())?;
    // The sign goes last: what is not cleared to the end is cleared the next time.
    let others = entries.iter().filter(|entry| entry.file_name() != IN_USE);
    others.for_each(|entry| drop(fs::remove_file(entry.path())));
    fs::remove_file(&sign).ok()?;
    fs::remove_dir(folder).ok()
}

/// Whether two folders have the same owner: in that of another, he could let a name lead anywhere.
#[cfg(unix)]
fn have_one_owner(a: &Metadata, b: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    a.uid() == b.uid()
}

#[cfg(not(unix))]
fn have_one_owner(_: &Metadata, _: &Metadata) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::host::folder::Folder;

    fn openable(folder: &Folder) -> OpenableFiles {
        OpenableFiles::within(&folder.root(), [("page.md".to_owned(), "text")]).unwrap()
    }

    /// A openable as a server leaves it that is killed.
    fn left(folder: &Folder) -> PathBuf {
        openable(folder).folder.keep()
    }

    #[test]
    fn a_folder_is_gone_with_its_server() {
        let folder = Folder::with(&[]);
        let openable = openable(&folder);
        assert_eq!(
            fs::read_to_string(openable.place("page.md")).unwrap(),
            "text"
        );
        drop(openable);
        assert_eq!(folder.root().read_dir().unwrap().count(), 0);
    }

    #[test]
    fn shelves_of_killed_servers_go_and_those_in_use_stay() {
        let folder = Folder::with(&["x"]);
        let used = openable(&folder);
        let dead = [(); 2].map(|()| left(&folder));
        let with_more = dead[1].join("more");
        fs::create_dir(&with_more).unwrap();
        let unsigned = folder.at("cordwright-openable-0123456789ab");
        fs::create_dir(&unsigned).unwrap();
        folder.put("cordwright-openable-0123456789/in-use", "of another shape");
        let new = openable(&folder);
        assert!(used.place("page.md").exists() && new.place("page.md").exists());
        assert!(!dead[0].exists());
        assert!(with_more.exists() && dead[1].join("page.md").exists());
        assert!(unsigned.exists() && folder.at("cordwright-openable-0123456789/in-use").exists());
        assert!(folder.at("x").exists());
    }

    #[cfg(unix)]
    #[test]
    fn the_folder_of_another_owner_stays() {
        let folder = Folder::with(&[]);
        let dead = left(&folder);
        let root = || Path::new("/").symlink_metadata().unwrap();
        if std::os::unix::fs::chown(&dead, Some(65534), None).is_ok() {
            drop(openable(&folder));
            assert!(dead.join("page.md").exists());
        } else {
            // Only the superuser can give folders away; to all others the topmost is another's.
            assert!(!have_one_owner(&root(), &dead.symlink_metadata().unwrap()));
        }
    }

    #[cfg(unix)]
    #[test]
    fn links_to_shelves_and_in_them_are_not_followed() {
        let folder = Folder::with(&[]);
        let elsewhere = Folder::with(&["in-use", "page.md"]);
        folder.link("cordwright-openable-0123456789ab", elsewhere.root());
        let dead = left(&folder);
        std::os::unix::fs::symlink(elsewhere.at("page.md"), dead.join("linked.md")).unwrap();
        drop(openable(&folder));
        assert!(elsewhere.at("page.md").exists() && elsewhere.at("in-use").exists());
        assert!(dead.join("page.md").exists());
    }
}
