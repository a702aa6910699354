//! What became of files that a site had and does not read any more.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use walkdir::WalkDir;

use super::paths::{in_nested_site, settle, shown};
use super::read::FILE_LIMIT;

/// A file that was read before: its path below the root, and its bytes.
pub type Former<'a> = (&'a str, &'a [u8]);

/// Of files that are not among those `read` now, what became of them where they are still there, in
/// words that finish "it …". What is deleted is not told, nor what was moved to where it is read.
pub fn fates(
    root: &Path,
    former: &[Former<'_>],
    read: &BTreeSet<&str>,
) -> BTreeMap<String, String> {
    let root = settle(root);
    let missing = former.iter().filter(|(path, _)| !read.contains(path));
    let mut fates = BTreeMap::new();
    let mut moved: Vec<&Former<'_>> = Vec::new();
    for file in missing {
        match fate_in_place(&root, file.0) {
            Some(fate) => drop(fates.insert(file.0.to_owned(), fate)),
            None => moved.push(file),
        }
    }
    if !moved.is_empty() {
        fates.extend(elsewhere(&root, &moved, read));
    }
    fates
}

/// What became of a file that is still at its place.
fn fate_in_place(root: &Path, path: &str) -> Option<String> {
    let place = root.join(path);
    place.symlink_metadata().ok()?;
    let folder = Path::new(path).parent().unwrap_or(Path::new(""));
    Some(match in_nested_site(root, folder) {
        true => "now lies in a site of its own".to_owned(),
        false => "is still there and is not read any more".to_owned(),
    })
}

/// Files that lie elsewhere below the root, byte for byte, where nothing reads them.
fn elsewhere(root: &Path, moved: &[&Former<'_>], read: &BTreeSet<&str>) -> Vec<(String, String)> {
    let mut by_length: BTreeMap<u64, Vec<&Former<'_>>> = BTreeMap::new();
    for file in moved {
        by_length.entry(file.1.len() as u64).or_default().push(file);
    }
    let not_git = |entry: &walkdir::DirEntry| entry.file_name() != ".git";
    let entries = WalkDir::new(root)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(not_git);
    let mut found = BTreeMap::new();
    for entry in entries
        .flatten()
        .filter(|entry| entry.file_type().is_file())
    {
        let Some(alike) = entry
            .metadata()
            .ok()
            .filter(|about| about.len() > 0 && about.len() <= FILE_LIMIT)
            .and_then(|about| by_length.get(&about.len()))
        else {
            continue;
        };
        let name = shown(entry.path().strip_prefix(root).unwrap_or(entry.path()));
        let Some(bytes) = fs::read(entry.path()).ok() else {
            continue;
        };
        for (path, _) in alike.iter().filter(|(_, former)| *former == bytes) {
            let is_read = read.contains(name.as_str());
            // A copy that is read has it in sight, wherever others lie.
            let fate = (!is_read).then(|| format!("now lies at {name}, where nothing reads it"));
            let known: &mut Option<String> =
                found.entry((*path).to_owned()).or_insert(fate.clone());
            if is_read {
                *known = None;
            }
        }
    }
    let lost = found.into_iter();
    lost.filter_map(|(path, fate)| Some((path, fate?)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_there_and_not_read_is_told_and_a_deleted_one_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let put = |path: &str, text: &str| {
            let path = folder.path().join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        };
        put("left.yaml", "devices: {a: {}}\n");
        put("attic/hidden.txt", "cords: {b: {}}\n");
        put("inner/cordwright.yaml", "site: {}\n");
        put("inner/apart.yaml", "cords: {c: {}}\n");
        put("moved/here.yaml", "cords: {d: {}}\n");
        put(".git/copy", "cords: {e: {}}\n");
        let former: [Former<'_>; 6] = [
            ("left.yaml", b"old"),
            ("hidden.yaml", b"cords: {b: {}}\n"),
            ("inner/apart.yaml", b"old"),
            ("there.yaml", b"cords: {d: {}}\n"),
            ("deleted.yaml", b"cords: {e: {}}\n"),
            ("kept.yaml", b"x"),
        ];
        let read = BTreeSet::from(["moved/here.yaml", "kept.yaml"]);
        let fates = fates(folder.path(), &former, &read);
        let told: Vec<(&str, &str)> = fates.iter().map(|(a, b)| (&**a, &**b)).collect();
        assert_eq!(
            told,
            [
                (
                    "hidden.yaml",
                    "now lies at attic/hidden.txt, where nothing reads it"
                ),
                ("inner/apart.yaml", "now lies in a site of its own"),
                ("left.yaml", "is still there and is not read any more"),
            ]
        );
    }
}
