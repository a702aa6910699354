//! Whether git keeps a file, as far as its index tells, without running git.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Bytes at the end of a name that tell it from all others.
const END: usize = 16;

/// Whether the index of the repository around a file names it. Yes, where that is not known.
///
/// The index is only searched for the end of the file's name, which is drawn by chance: that may
/// find too much, which does no harm here. The beginning is not always written out in it.
pub(super) fn is_tracked(path: &Path) -> bool {
    let Some(name) = path.file_name() else {
        return true;
    };
    let folder = path.parent().unwrap_or(Path::new("."));
    let Ok(folder) = folder.canonicalize() else {
        return true;
    };
    let mut entries = folder.ancestors().map(|up| up.join(".git"));
    let Some(entry) = entries.find(|entry| entry.symlink_metadata().is_ok()) else {
        return false;
    };
    let name = name.as_encoded_bytes();
    let end = &name[name.len().saturating_sub(END)..];
    let names_it = |text: &Vec<u8>| text.windows(end.len()).any(|part| part == end);
    indexes(&entry).map_or(true, |texts| texts.iter().any(names_it))
}

/// The bytes of the index, and of those that it shares with others.
fn indexes(entry: &Path) -> io::Result<Vec<Vec<u8>>> {
    let folder = git_folder(entry)?;
    let mut texts = Vec::new();
    for file in folder.read_dir()? {
        let file = file?;
        let name = file.file_name();
        let name = name.to_string_lossy();
        if name == "index" || name.starts_with("sharedindex.") {
            texts.push(fs::read(file.path())?);
        }
    }
    Ok(texts)
}

/// Where a `.git` leads: it is a folder, or a file that names one.
fn git_folder(entry: &Path) -> io::Result<PathBuf> {
    if entry.is_dir() {
        return Ok(entry.to_owned());
    }
    let text = fs::read_to_string(entry)?;
    let named = text
        .trim_end()
        .strip_prefix("gitdir: ")
        .ok_or(io::ErrorKind::InvalidData)?;
    let beside = entry.parent().unwrap_or(Path::new("."));
    Ok(beside.join(named))
}
