//! Copies and work trees in repositories made for it.

use super::*;
use crate::host::folder::Folder;
use crate::host::{Found, Overlay, find_sites, read_site};
use crate::input::{FileGlobs, SiteInput};

fn read(root: &Path, ignored: &Ignored) -> SiteInput {
    read_site(
        root,
        &|_| FileGlobs::default(),
        &Overlay::default(),
        ignored,
    )
}

fn files(input: &SiteInput) -> Vec<&str> {
    input.files.iter().map(|(path, _)| path.as_str()).collect()
}

/// What is passed over for what git says of it.
fn passed_over(input: &SiteInput) -> Vec<(&str, &Reason)> {
    let all = input.passed_over.iter().filter(|one| one.is_for_git());
    all.map(|one| (one.path.as_str(), &one.why)).collect()
}

fn find(folder: &Folder, paths: &[&str], ignored: &Ignored) -> Found {
    let paths: Vec<PathBuf> = paths.iter().map(|path| folder.at(path)).collect();
    find_sites(&paths, |_| false, ignored).unwrap()
}

/// The sites found below the folder.
fn sites(folder: &Folder, paths: &[&str]) -> Vec<String> {
    let found = find(folder, paths, &Ignored::default());
    let below = found
        .sites
        .iter()
        .map(|site| site.dir.strip_prefix(folder.root()).unwrap());
    let mut below: Vec<String> = below
        .map(|path| path.to_str().unwrap().to_owned())
        .collect();
    below.sort();
    below
}

#[test]
fn only_what_is_ignored_and_not_tracked_is_left_out() {
    let folder = Folder::repository(&["quay/cordwright.yaml", "quay/a.yaml", "quay/rows/b.yaml"]);
    folder.put(".gitignore", "*.old.yaml\n/quay/copies/\na.yaml\n");
    folder.put("quay/rows/.gitignore", "draft-*\n!draft-2.yaml\n");
    for path in [
        "c.old.yaml",
        "new.yaml",
        "notes.old.txt",
        "copies/a.yaml",
        "copies/b/c.yaml",
        "rows/draft-1.yaml",
        "rows/draft-2.yaml",
        "rows/forced.old.yaml",
    ] {
        folder.put(&format!("quay/{path}"), "");
    }
    folder.git("quay/rows", &["add", "--force", "forced.old.yaml"]);
    let input = read(&folder.at("quay"), &Ignored::default());
    let own = ["a.yaml", "cordwright.yaml", "new.yaml", "rows/b.yaml"];
    let rows = ["rows/draft-2.yaml", "rows/forced.old.yaml"];
    assert_eq!(files(&input), [&own[..], &rows[..]].concat());
    let left_out = ["c.old.yaml", "copies/", "rows/draft-1.yaml"];
    assert_eq!(
        passed_over(&input),
        left_out.map(|path| (path, &Reason::Ignored))
    );
    assert_eq!(input.unread, []);
    let all = read(&folder.at("quay"), &Ignored::nothing());
    assert_eq!((all.files.len(), passed_over(&all)), (10, vec![]));
}

#[test]
fn a_tracked_file_in_an_ignored_folder_is_read() {
    let folder = Folder::repository(&["cordwright.yaml"]);
    folder.put(".gitignore", "copies/\n");
    folder.put("copies/a.yaml", "");
    folder.put("copies/b.yaml", "");
    folder.git("", &["add", "--force", "copies/a.yaml"]);
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(files(&input), ["copies/a.yaml", "cordwright.yaml"]);
    assert_eq!(passed_over(&input), [("copies/b.yaml", &Reason::Ignored)]);
}

#[test]
fn what_one_user_ignores_counts_for_nobody() {
    let folder = Folder::repository(&["cordwright.yaml"]);
    folder.put("a.yaml", "");
    folder.put("b.yaml", "");
    folder.put(".git/info/exclude", "a.yaml\n");
    folder.put(".git/mine", "b.yaml\n");
    let mine = folder.at(".git/mine");
    folder.git("", &["config", "core.excludesFile", mine.to_str().unwrap()]);
    assert_eq!(folder.git("", &["status", "--short"]), "");
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "b.yaml", "cordwright.yaml"]);
}

#[test]
fn an_ignored_site_is_found_and_read_only_where_it_is_named() {
    let folder = Folder::repository(&["quay/cordwright.yaml", "README.md"]);
    folder.put(".gitignore", "/out/\n*.old.yaml\n");
    folder.put("out/pier/cordwright.yaml", "");
    folder.put("out/pier/a.old.yaml", "");
    assert_eq!(sites(&folder, &[""]), ["quay"]);
    let found = find(&folder, &[""], &Ignored::default());
    let told = &found.passed_over[0];
    assert!(
        told.path.ends_with("out/") && told.why == Reason::Ignored,
        "{told:?}"
    );
    assert_eq!(sites(&folder, &["out"]), ["out/pier"]);
    assert_eq!(sites(&folder, &["", "out/pier"]), ["out/pier", "quay"]);
    let ignored = Ignored::default();
    find(&folder, &["", "out/pier"], &ignored);
    let input = read(&folder.at("out/pier"), &ignored);
    assert_eq!(files(&input), ["a.old.yaml", "cordwright.yaml"]);
    let found = find(&folder, &[""], &Ignored::nothing());
    assert_eq!((found.sites.len(), found.passed_over), (2, vec![]));
}

#[test]
fn no_site_found_tells_what_was_not_looked_into() {
    let folder = Folder::repository(&["README.md"]);
    folder.put(".gitignore", "/out/\n");
    folder.put("out/cordwright.yaml", "");
    let failure = find_sites(&[folder.root()], |_| false, &Ignored::default()).unwrap_err();
    let advice = failure.advice.unwrap();
    assert!(advice.contains("/out was not looked into"), "{advice}");
    assert!(advice.contains("--all-files"), "{advice}");
}

#[test]
fn a_site_file_that_is_ignored_makes_no_site_of_tracked_files() {
    let folder = Folder::repository(&["cordwright.yaml", "rows/a.yaml"]);
    folder.put("rows/.gitignore", "cordwright.yaml\n");
    folder.put("rows/cordwright.yaml", "");
    assert_eq!(sites(&folder, &[""]), [""]);
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(files(&input), ["cordwright.yaml", "rows/a.yaml"]);
    assert_eq!(
        passed_over(&input),
        [("rows/cordwright.yaml", &Reason::Ignored)]
    );
    assert_eq!(sites(&folder, &["rows"]), ["rows"]);
    let input = read(&folder.at("rows"), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "cordwright.yaml"]);
}

#[test]
fn a_text_of_an_editor_stands_for_no_ignored_file() {
    let folder = Folder::repository(&["cordwright.yaml"]);
    folder.put(".gitignore", "old/\na.yaml\n");
    folder.put("a.yaml", "");
    folder.put("old/b.yaml", "");
    let mut overlay = Overlay::default();
    for path in ["a.yaml", "old/new.yaml", "new.yaml"] {
        overlay.put(&folder.at(path), b"typed".to_vec());
    }
    let globs_of = |_: &[u8]| FileGlobs::default();
    let input = read_site(&folder.root(), &globs_of, &overlay, &Ignored::default());
    assert_eq!(files(&input), ["cordwright.yaml", "new.yaml"]);
}

#[cfg(unix)]
#[test]
fn a_tracked_link_to_an_ignored_file_is_read() {
    let folder = Folder::repository(&["cordwright.yaml"]);
    folder.put(".gitignore", "store/\nout/\n");
    folder.put("store/a.yaml", "stored");
    folder.put("out/b.yaml", "");
    folder.link("a.yaml", "store/a.yaml");
    folder.link("rows", "store");
    folder.link("out/c.yaml", "../cordwright.yaml");
    folder.commit();
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "cordwright.yaml"]);
    assert_eq!(input.files[0].1, b"stored");
    assert_eq!(
        passed_over(&input),
        [("out/", &Reason::Ignored), ("store/", &Reason::Ignored)]
    );
    let unread: Vec<_> = input.unread.iter().map(|note| note.path.as_str()).collect();
    assert_eq!(
        unread,
        ["rows"],
        "a link to a folder that is not read is told"
    );
}

#[test]
fn a_work_tree_inside_is_found_and_read_only_where_it_is_named() {
    let folder = Folder::repository(&["quay/cordwright.yaml", "quay/a.yaml"]);
    folder.git("", &["branch", "side"]);
    folder.git("", &["worktree", "add", "--quiet", "quay/wt", "side"]);
    folder.git("", &["init", "--quiet", "quay/clone"]);
    folder.put("quay/clone/b.yaml", "");
    assert_eq!(sites(&folder, &[""]), ["quay"]);
    assert_eq!(sites(&folder, &["quay"]), ["quay"]);
    let input = read(&folder.at("quay"), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "cordwright.yaml"]);
    let inside = [("clone/", &Reason::WorkTree), ("wt/", &Reason::WorkTree)];
    assert_eq!(passed_over(&input), inside);
    for named in ["quay/wt", "quay/wt/quay", "quay/wt/quay/a.yaml"] {
        assert_eq!(sites(&folder, &[named]), ["quay/wt/quay"], "{named}");
    }
    let input = read(&folder.at("quay/wt/quay"), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "cordwright.yaml"]);
    let all = read(&folder.at("quay"), &Ignored::nothing());
    assert_eq!(files(&all), ["a.yaml", "clone/b.yaml", "cordwright.yaml"]);
    let found = find(&folder, &[""], &Ignored::nothing());
    assert_eq!(found.sites.len(), 2);
}

#[test]
fn a_repository_whose_files_the_one_around_it_tracks_is_read() {
    let folder = Folder::repository(&["cordwright.yaml", "rows/a.yaml"]);
    folder.git("", &["init", "--quiet", "rows"]);
    folder.put("rows/.gitignore", "new.yaml\n");
    folder.put("rows/new.yaml", "");
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(files(&input), ["cordwright.yaml", "rows/a.yaml"]);
    assert_eq!(passed_over(&input), [("rows/new.yaml", &Reason::Ignored)]);
}

#[test]
fn a_submodule_stays_a_site_and_part_of_one() {
    let other = Folder::repository(&["pier/cordwright.yaml", "extra/x.yaml", ".gitignore"]);
    other.put(".gitignore", "*.old.yaml\n");
    other.commit();
    let folder = Folder::repository(&["cordwright.yaml"]);
    let from = other.root();
    let words = ["submodule", "--quiet", "add", from.to_str().unwrap(), "sub"];
    folder.git("", &words);
    folder.put("sub/extra/y.old.yaml", "");
    folder.put("z.old.yaml", "");
    assert_eq!(sites(&folder, &[""]), ["", "sub/pier"]);
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(
        files(&input),
        ["cordwright.yaml", "sub/extra/x.yaml", "z.old.yaml"]
    );
    assert_eq!(
        passed_over(&input),
        [("sub/extra/y.old.yaml", &Reason::Ignored)]
    );
}

#[test]
fn clones_side_by_side_in_no_repository_are_all_found() {
    let folder = Folder::with(&["a/cordwright.yaml", "b/x/cordwright.yaml", "b/out/c.yaml"]);
    folder.git("", &["init", "--quiet", "a"]);
    folder.git("", &["init", "--quiet", "b"]);
    folder.put("b/.gitignore", "out/\n");
    folder.put("b/out/cordwright.yaml", "");
    assert_eq!(sites(&folder, &[""]), ["a", "b/x"]);
}

#[test]
fn where_git_cannot_be_asked_nothing_is_left_out() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml", "copies/cordwright.yaml"]);
    folder.put(".gitignore", "a.yaml\ncopies/\n");
    assert_eq!(sites(&folder, &[""]), ["", "copies"]);
    folder.put(".git", "gitdir: nowhere\n");
    assert_eq!(sites(&folder, &[""]), ["", "copies"]);
    let input = read(&folder.root(), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "cordwright.yaml"]);
    assert_eq!(passed_over(&input), []);
}

#[test]
fn a_repository_further_up_has_no_say_past_a_damaged_one() {
    let folder = Folder::repository(&["README.md"]);
    folder.put(".gitignore", "a.yaml\n");
    folder.put("quay/cordwright.yaml", "");
    folder.put("quay/a.yaml", "");
    std::fs::create_dir(folder.at("quay/.git")).unwrap();
    let input = read(&folder.at("quay"), &Ignored::default());
    assert_eq!(files(&input), ["a.yaml", "cordwright.yaml"]);
}
