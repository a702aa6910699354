//! What became of files that a site had and does not read any more.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use rustc_hash::FxHashMap;
use walkdir::{DirEntry, WalkDir};

use super::ignored::{Ignored, Within};
use super::paths::{settle, shown};
use super::read::FILE_LIMIT;
use crate::model::value::Name;

mod stray;

pub use stray::{Gone, Stray, strays};

/// A file that was read before.
#[derive(Clone, Copy, Debug)]
pub struct Former<'a> {
    /// Its path below the root, as it was.
    pub path: &'a str,
    /// What was in it.
    pub bytes: &'a [u8],
    /// The names of the things that it defined.
    pub things: &'a [Name],
}

/// What became of a file that is still there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fate {
    /// In words that finish "it …".
    pub words: String,
    /// Whether it lies where it lay.
    pub in_place: bool,
}

/// Of files that are not among those `read` now, what became of them where they are still there. Those
/// `passed_over` hold no definition any more: if they still name what they defined, they are there.
/// What is deleted is not told, nor what was moved to where it is read.
/// What is `ignored` is as good as deleted: others do not have it.
pub fn fates(
    root: &Path,
    former: &[Former<'_>],
    (read, passed_over): (&BTreeSet<&str>, &BTreeSet<&str>),
    ignored: &Ignored,
) -> BTreeMap<String, Fate> {
    let root = settle(root);
    let mut within = ignored.within(&root);
    let missing = former.iter().filter(|file| !read.contains(file.path));
    let mut fates = BTreeMap::new();
    let mut moved: Vec<&Former<'_>> = Vec::new();
    for file in missing {
        let fate = match passed_over.contains(file.path) {
            true => fate_of_passed_over(&root, file),
            false => fate_in_place(&root, file.path, &within),
        };
        match fate {
            Some(fate) => drop(fates.insert(file.path.to_owned(), fate)),
            None => moved.push(file),
        }
    }
    if !moved.is_empty() {
        fates.extend(elsewhere(&root, &moved, read, &mut within));
    }
    fates
}

/// What became of a file that is still at its place and is taken for somebody else's.
fn fate_of_passed_over(root: &Path, file: &Former<'_>) -> Option<Fate> {
    let bytes = fs::read(root.join(file.path)).ok()?;
    let keys = keys(&bytes);
    let named = file
        .things
        .iter()
        .filter(|thing| keys.contains(thing.as_str()));
    (named.count() * 2 > file.things.len()).then(|| Fate {
        words: "is still there, but nothing in it is read as a definition any more".to_owned(),
        in_place: true,
    })
}

/// What became of a file that is still at its place.
fn fate_in_place(root: &Path, path: &str, within: &Within<'_>) -> Option<Fate> {
    let place = root.join(path);
    place.symlink_metadata().ok()?;
    let folder = Path::new(path).parent().unwrap_or(Path::new(""));
    let words = match within.in_nested_site(root, folder) {
        true => "now lies in a site of its own",
        false => "is still there and is not read any more",
    };
    Some(Fate {
        words: words.to_owned(),
        in_place: true,
    })
}

/// Files whose text, or most of whose things, lie elsewhere below the root where nothing reads them.
fn elsewhere(
    root: &Path,
    moved: &[&Former<'_>],
    read: &BTreeSet<&str>,
    within: &mut Within<'_>,
) -> BTreeMap<String, Fate> {
    let mut lost = Lost::of(moved);
    for (name, bytes) in unread_files(root, read, within) {
        lost.found_in(&bytes, &name);
    }
    lost.fates
}

/// The files below the root that are not `read` as a part of the site, by their names, with what is in
/// them.
fn unread_files<'w>(
    root: &'w Path,
    read: &'w BTreeSet<&str>,
    within: &'w mut Within<'_>,
) -> impl Iterator<Item = (String, Vec<u8>)> + 'w {
    let not_git = |entry: &DirEntry| {
        let is_folder = entry.file_type().is_dir();
        let mut why = || within.why_not(entry.path(), is_folder);
        entry.depth() == 0 || entry.file_name() != ".git" && why().is_none()
    };
    let entries = WalkDir::new(root)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(not_git);
    entries.flatten().filter_map(move |entry| {
        let name = shown(entry.path().strip_prefix(root).unwrap_or(entry.path()));
        let bytes = unread_bytes(&entry, &name, read)?;
        Some((name, bytes))
    })
}

/// Files that are looked for: by their bytes, and by the things in them.
struct Lost<'a> {
    files: &'a [&'a Former<'a>],
    by_bytes: FxHashMap<&'a [u8], Vec<usize>>,
    by_thing: FxHashMap<&'a str, Vec<usize>>,
    fates: BTreeMap<String, Fate>,
}

impl<'a> Lost<'a> {
    fn of(files: &'a [&'a Former<'a>]) -> Self {
        let mut by_bytes: FxHashMap<_, Vec<usize>> = FxHashMap::default();
        let mut by_thing: FxHashMap<_, Vec<usize>> = FxHashMap::default();
        for (number, file) in files.iter().enumerate() {
            by_bytes.entry(file.bytes).or_default().push(number);
            for thing in file.things {
                by_thing.entry(thing.as_str()).or_default().push(number);
            }
        }
        Self {
            files,
            by_bytes,
            by_thing,
            fates: BTreeMap::new(),
        }
    }

    /// Notes the files that lie here: of the same bytes, or with most of the things in them.
    fn found_in(&mut self, bytes: &[u8], name: &str) {
        let mut held: FxHashMap<usize, usize> = FxHashMap::default();
        for key in keys(bytes) {
            for &file in self.by_thing.get(key).into_iter().flatten() {
                *held.entry(file).or_default() += 1;
            }
        }
        // A file that was changed a little while it was moved is still the same.
        let is_most = |(file, held): &(usize, usize)| held * 2 > self.files[*file].things.len();
        let most = held.into_iter().filter(is_most).map(|(file, _)| file);
        let same = self.by_bytes.get(bytes).into_iter().flatten().copied();
        let found: Vec<usize> = most.chain(same).collect();
        for file in found {
            let path = self.files[file].path.to_owned();
            self.fates.entry(path).or_insert_with(|| Fate {
                words: format!("now lies at {name}, where nothing reads it"),
                in_place: false,
            });
        }
    }
}

/// The bytes of a file that is not read as a part of the site.
fn unread_bytes(entry: &DirEntry, name: &str, read: &BTreeSet<&str>) -> Option<Vec<u8>> {
    if !entry.file_type().is_file() || read.contains(name) {
        return None;
    }
    let length = entry.metadata().ok()?.len();
    let is_readable = length > 0 && length <= FILE_LIMIT;
    is_readable.then(|| fs::read(entry.path()).ok()).flatten()
}

/// What stands before a colon, whatever is around it: names of things, if it is definitions.
fn keys(bytes: &[u8]) -> BTreeSet<&str> {
    let text = std::str::from_utf8(bytes).unwrap_or("");
    let parts = text.split(|c: char| c.is_whitespace() || "{},[]".contains(c));
    let keys = parts.filter_map(|part| part.strip_suffix(':'));
    keys.map(|key| key.trim_matches(['"', '\''])).collect()
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
        put("struck.yaml", "#cords:\u{2028}#  g: {type: other}\n");
        put("emptied.yaml", "# nothing\n");
        put("attic/changed.txt", "cords:\n  'f': {type: other}\n");
        let [f, g, h] = ["f", "g", "h"].map(|name| [Name::from(name)]);
        let file = |path, bytes| Former {
            path,
            bytes,
            things: &[],
        };
        let former = [
            file("left.yaml", &b"old"[..]),
            file("hidden.yaml", b"cords: {b: {}}\n"),
            file("inner/apart.yaml", b"old"),
            file("there.yaml", b"cords: {d: {}}\n"),
            file("deleted.yaml", b"cords: {e: {}}\n"),
            file("kept.yaml", b"x"),
            Former {
                path: "struck.yaml",
                bytes: b"cords: {g: {}}\n",
                things: &g,
            },
            Former {
                path: "emptied.yaml",
                bytes: b"cords: {h: {}}\n",
                things: &h,
            },
            Former {
                path: "changed.yaml",
                bytes: b"cords: {f: {}}\n",
                things: &f,
            },
        ];
        let read = BTreeSet::from(["moved/here.yaml", "kept.yaml"]);
        let passed_over = BTreeSet::from(["struck.yaml", "emptied.yaml"]);
        let sight = (&read, &passed_over);
        let fates = fates(folder.path(), &former, sight, &Ignored::default());
        let told: Vec<(&str, &str)> = fates
            .iter()
            .map(|(path, fate)| (&**path, &*fate.words))
            .collect();
        assert_eq!(
            told,
            [
                (
                    "changed.yaml",
                    "now lies at attic/changed.txt, where nothing reads it"
                ),
                (
                    "hidden.yaml",
                    "now lies at attic/hidden.txt, where nothing reads it"
                ),
                ("inner/apart.yaml", "now lies in a site of its own"),
                ("left.yaml", "is still there and is not read any more"),
                (
                    "struck.yaml",
                    "is still there, but nothing in it is read as a definition any more"
                ),
            ]
        );
    }
}
