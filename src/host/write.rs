//! Writing files: whole or not at all.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::Path;

use tempfile::Builder;

use super::paths::shown;
use super::read::words;
use crate::failure::Failure;

/// Puts `bytes` in the place of the file at `path`, so that no reader ever sees half of them: they
/// go into a new file beside it, which then takes its name. Permissions are kept. A link is
/// written through, and what is no ordinary file (`/dev/stdout`) is written to, not replaced.
///
/// # Errors
/// The system's own, or a file that is write-protected: nobody means that one to be replaced.
pub fn write_atomically(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let target = match path.is_symlink() {
        true => path.canonicalize().unwrap_or_else(|_| path.to_owned()),
        false => path.to_owned(),
    };
    let written = match target.metadata() {
        Ok(about) if about.is_dir() => Err(io::Error::other("it is a folder")),
        Ok(about) if !about.is_file() => fs::write(&target, bytes),
        Ok(about) if about.permissions().readonly() => Err(io::ErrorKind::PermissionDenied.into()),
        Ok(about) => replace(&target, bytes, Some(&about)),
        Err(_) => replace(&target, bytes, None),
    };
    written.map_err(|error| {
        let what = format!("cannot write {}: {}", shown(path), words(&error));
        Failure::new(what)
            .advise("Name another file, or see to it that this one and its folder can be written.")
    })
}

/// Writes a file that is not there yet, with the folders that it needs.
///
/// # Errors
/// The system's own; also that something is there already, which is never written over.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let folder = path.parent().filter(|up| !up.as_os_str().is_empty());
    let written = folder.map_or(Ok(()), fs::create_dir_all).and_then(|()| {
        let mut file = File::create_new(path)?;
        file.write_all(bytes)
    });
    written.map_err(|error| {
        let what = format!("cannot write {}: {}", shown(path), words(&error));
        Failure::new(what).advise("Name another folder, or see to it that this one can be written.")
    })
}

/// Whether anything is at a path, be it a link that leads nowhere.
pub fn is_there(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

fn replace(target: &Path, bytes: &[u8], before: Option<&Metadata>) -> io::Result<()> {
    let folder = target.parent().filter(|up| !up.as_os_str().is_empty());
    let mut file = as_a_new_file().tempfile_in(folder.unwrap_or(Path::new(".")))?;
    file.write_all(bytes)?;
    if let Some(before) = before {
        file.as_file().set_permissions(before.permissions())?;
    }
    file.as_file().sync_data()?;
    file.persist(target)?;
    Ok(())
}

/// Readable as any new file is: temporary files are private otherwise.
#[cfg(unix)]
fn as_a_new_file() -> Builder<'static, 'static> {
    use std::os::unix::fs::PermissionsExt;
    let mut builder = Builder::new();
    builder.prefix(".cordwright-");
    builder.permissions(fs::Permissions::from_mode(0o666));
    builder
}

#[cfg(not(unix))]
fn as_a_new_file() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(".cordwright-");
    builder
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> = entries
            .map(|e| shown(Path::new(&e.unwrap().file_name())))
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_file_is_made_or_replaced_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("report.json");
        for text in ["first, and longer", "second"] {
            write_atomically(&path, text.as_bytes()).unwrap();
            assert_eq!(fs::read_to_string(&path).unwrap(), text);
        }
        assert_eq!(names(folder.path()), ["report.json"]);
    }

    #[test]
    fn what_cannot_be_written_leaves_no_trace() {
        let folder = tempfile::tempdir().unwrap();
        let failure = write_atomically(folder.path(), b"x").unwrap_err();
        assert!(failure.what.ends_with("it is a folder"), "{failure}");
        let failure = write_atomically(&folder.path().join("no/where"), b"x").unwrap_err();
        assert!(failure.what.contains("not there"), "{failure}");
        assert!(names(folder.path()).is_empty());
    }

    #[cfg(unix)]
    #[test]
    fn permissions_are_kept_and_write_protection_is_respected() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.yaml");
        let mode = || fs::metadata(&path).unwrap().permissions().mode() & 0o777;
        let set = |mode| fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
        fs::write(&path, "old").unwrap();
        set(0o640);
        write_atomically(&path, b"new").unwrap();
        assert_eq!((mode(), fs::read(&path).unwrap()), (0o640, b"new".to_vec()));
        set(0o440);
        write_atomically(&path, b"newer").unwrap_err();
        assert_eq!((mode(), fs::read(&path).unwrap()), (0o440, b"new".to_vec()));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_written_through_and_stays_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real"), folder.path().join("link"));
        fs::write(&real, "old").unwrap();
        std::os::unix::fs::symlink("real", &link).unwrap();
        write_atomically(&link, b"new").unwrap();
        assert!(link.is_symlink());
        assert_eq!(fs::read_to_string(&real).unwrap(), "new");
    }
}
