//! A folder of JSON resources that somebody saved.

use std::fs::File;
use std::path::Path;

use walkdir::WalkDir;

use super::paths::shown;
use super::read::{read_within_limit, words};
use crate::failure::Failure;

/// Bytes of the longest resource that is read: real ones have a few thousand.
const MOST_OF_ONE: u64 = 1 << 20;
/// Bytes of all of them, and how many there may be.
const MOST_OF_ALL: u64 = 16 << 20;
const MOST_FILES: usize = 20_000;

/// What a folder holds, by the paths in it, in their order.
#[derive(Debug, Default)]
pub struct SavedTree {
    /// The texts of the resources.
    pub files: Vec<(String, Vec<u8>)>,
    /// Files that are not read, and why.
    pub unread: Vec<(String, String)>,
}

/// Whether a folder is at a path.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// All `.json` files in a folder and below it, over no link.
///
/// # Errors
/// There is no folder that can be read, or more in it than belongs to a few hundred strips.
pub fn read_saved_tree(folder: &Path) -> Result<SavedTree, Failure> {
    let mut tree = SavedTree::default();
    let mut bytes = 0;
    for entry in WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(|error| {
            let failure = Failure::new(format!("cannot read all of {}: {error}", shown(folder)));
            failure.advise("Name a folder that may be read, with all that is in it.")
        })?;
        let is_json = entry
            .path()
            .extension()
            .is_some_and(|ending| ending == "json");
        if !entry.file_type().is_file() || !is_json {
            continue;
        }
        let below = entry.path().strip_prefix(folder).unwrap_or(entry.path());
        let name = shown(below);
        let size = entry.metadata().map_or(0, |about| about.len());
        if size > MOST_OF_ONE {
            let why = format!("it has {size} bytes, far more than a resource has");
            tree.unread.push((name, why));
            continue;
        }
        bytes += size;
        if bytes > MOST_OF_ALL || tree.files.len() >= MOST_FILES {
            let failure =
                Failure::new(format!("{} holds more than is read at once", shown(folder)));
            return Err(failure.advise("Name the folder of the strips alone, or of some of them."));
        }
        match File::open(entry.path())
            .map_err(|error| words(&error))
            .and_then(read_within_limit)
        {
            Ok(text) => tree.files.push((name, text)),
            Err(why) => tree.unread.push((name, why)),
        }
    }
    Ok(tree)
}
