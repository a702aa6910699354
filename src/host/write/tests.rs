//! Writing in folders made for it, with what may come between.

use std::fs;

use super::claim::Claim;
use super::*;
use crate::host::folder::Folder;

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let names = entries.map(|entry| shown(Path::new(&entry.unwrap().file_name())));
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

/// The file at `path` as it would be read in a site at the folder's root, now.
fn original(folder: &Folder, path: &str) -> Original {
    let at = folder.at(path);
    let about = at.metadata().unwrap();
    Original::new(&folder.root(), path, at, Some(about))
}

fn text(folder: &Folder, path: &str) -> String {
    fs::read_to_string(folder.at(path)).unwrap()
}

/// A text set aside, as a run leaves it that is killed.
fn leave_aside(folder: &Path) -> PathBuf {
    let claim = Claim::on(folder).unwrap();
    claim.new_file().unwrap().keep().unwrap().1
}

#[test]
fn an_output_is_made_or_replaced_and_nothing_is_left_beside_it() {
    let folder = Folder::with(&[]);
    for text in ["first, and longer", "second"] {
        write_output(&folder.at("report.json"), text.as_bytes()).unwrap();
        assert_eq!(self::text(&folder, "report.json"), text);
    }
    assert_eq!(names(&folder.root()), ["report.json"]);
}

#[test]
fn what_cannot_be_written_leaves_no_trace() {
    let folder = Folder::with(&[]);
    let failure = write_output(&folder.root(), b"x").unwrap_err();
    assert!(failure.what.ends_with("it is a folder"), "{failure}");
    let failure = write_output(&folder.at("no/where"), b"x").unwrap_err();
    assert!(failure.what.contains("not there"), "{failure}");
    assert!(names(&folder.root()).is_empty());
}

#[test]
fn several_files_are_written_together_with_their_folders() {
    let folder = Folder::with(&["old.yaml"]);
    let old = original(&folder, "old.yaml");
    let mut all = AllOrNone::default();
    all.rewrite(&old, b"old.yaml", b"new");
    all.create(&folder.at("rows/1/a.yaml"), b"a");
    all.create_within(&folder.at("rows/"), "2/b.yaml", b"b");
    all.carry_out().unwrap();
    let texts = ["old.yaml", "rows/1/a.yaml", "rows/2/b.yaml"].map(|path| text(&folder, path));
    assert_eq!(texts, ["new", "a", "b"]);
    assert_eq!(names(&folder.root()), ["old.yaml", "rows"]);
    assert_eq!(names(&folder.at("rows/1")), ["a.yaml"]);
}

#[test]
fn where_one_cannot_be_new_none_is_written() {
    let folder = Folder::with(&["b.yaml"]);
    let mut all = AllOrNone::default();
    all.create(&folder.at("rows/a.yaml"), b"new");
    all.create(&folder.at("b.yaml"), b"new");
    let failure = all.carry_out().unwrap_err();
    assert!(failure.what.ends_with("b.yaml: something is there already"));
    assert!(failure.advice.unwrap().starts_with("Nothing was written."));
    assert_eq!(names(&folder.root()), ["b.yaml"]);
    assert_eq!(text(&folder, "b.yaml"), "b.yaml");
}

#[test]
fn a_text_that_changed_since_it_was_read_is_not_written_over() {
    let folder = Folder::with(&["a.yaml", "b.yaml"]);
    let (a, b) = (original(&folder, "a.yaml"), original(&folder, "b.yaml"));
    folder.put("b.yaml", "theirs");
    let mut all = AllOrNone::default();
    all.rewrite(&a, b"a.yaml", b"new");
    all.rewrite(&b, b"b.yaml", b"new");
    let failure = all.carry_out().unwrap_err();
    assert!(
        failure.what.ends_with("it has changed since it was read"),
        "{failure}"
    );
    let texts = ["a.yaml", "b.yaml"].map(|path| text(&folder, path));
    assert_eq!(texts, ["a.yaml", "theirs"]);
    assert_eq!(names(&folder.root()), ["a.yaml", "b.yaml"]);
}

/// Three files laid ready, `spoil` done to them, and what is told when they take their names.
fn spoilt(folder: &Folder, spoil: impl Fn()) -> String {
    let originals = ["a.yaml", "b.yaml"].map(|path| original(folder, path));
    let mut all = AllOrNone::default();
    all.rewrite(&originals[0], b"a.yaml", b"new");
    all.create(&folder.at("rows/new.yaml"), b"new");
    all.rewrite(&originals[1], b"b.yaml", b"new");
    all.create(&folder.at("last.yaml"), b"new");
    let ready = all.set_aside().unwrap();
    spoil();
    let failure = ready.put_in_place().unwrap_err();
    let told = format!("{}\n{}", failure.what, failure.advice.unwrap());
    told.replace(&format!("{}/", shown(&folder.root())), "")
        .replace(&shown(&relative_root(folder)), "")
}

/// The folder as files in it are told that were read.
fn relative_root(folder: &Folder) -> PathBuf {
    use crate::host::paths::{relative, settle};
    relative(&settle(Path::new(".")), &folder.root())
        .join("x")
        .with_file_name("")
}

#[test]
fn what_was_written_before_a_failure_is_put_back_and_told_file_by_file() {
    let folder = Folder::with(&["a.yaml", "b.yaml"]);
    let told = spoilt(&folder, || folder.put("b.yaml", "theirs"));
    for line in [
        "b.yaml: it has changed since it was read\n",
        "Nothing is changed.\n",
        "Put back as it was: ",
        "a.yaml, rows/new.yaml.\n",
        "Not written: ",
        "b.yaml, last.yaml.\n",
    ] {
        assert!(told.contains(line), "{line:?} is not in\n{told}");
    }
    assert_eq!(text(&folder, "a.yaml"), "a.yaml");
    assert_eq!(text(&folder, "b.yaml"), "theirs");
    assert_eq!(names(&folder.root()), ["a.yaml", "b.yaml"]);
}

#[test]
fn what_cannot_be_put_back_is_told_as_well() {
    let folder = Folder::with(&["a.yaml", "b.yaml"]);
    let told = spoilt(&folder, || {
        folder.put("b.yaml", "theirs");
        // The old text of the first file is gone from where it was set aside.
        for name in names(&folder.root()) {
            let path = folder.at(&name);
            if name.ends_with(".aside") && fs::read(&path).unwrap() == b"a.yaml" {
                fs::remove_file(path).unwrap();
            }
        }
    });
    assert!(!told.contains("Nothing is changed"), "{told}");
    assert!(
        told.contains("Could not be put back, and is changed: "),
        "{told}"
    );
    assert!(
        told.contains("a.yaml (it is not there, or no longer).\n"),
        "{told}"
    );
    assert!(
        told.contains("Put back as it was: rows/new.yaml.\n"),
        "{told}"
    );
    assert_eq!(text(&folder, "a.yaml"), "new");
    assert_eq!(names(&folder.root()), ["a.yaml", "b.yaml"]);
}

#[test]
fn leftovers_go_and_what_looks_like_them_or_is_in_use_stays() {
    let folder = Folder::with(&["a.yaml"]);
    let in_use = Claim::on(&folder.root()).unwrap();
    let used = in_use.new_file().unwrap();
    let [one, two] = [(); 2].map(|()| Claim::on(&folder.root()).unwrap());
    let left = one.new_file().unwrap().keep().unwrap().1;
    drop(one);
    let claim = two.left_behind();
    let alike = [
        ".cordwright-",
        ".cordwright-.aside",
        ".cordwright-0123456789ab.aside",
        ".cordwright-0123456789ab-01234.aside",
        ".cordwright-0123456789ab-012345",
        ".cordwright-0123456789ab-012345.aside.yaml",
        ".cordwright-0123456789ab-0123\u{e9}.aside",
        ".cordwright-0123456789\u{e9}-012345.aside",
        ".cordwright-0123456789a.claim",
        ".cordwright-0123456789ab.claims",
        "x.cordwright-0123456789ab-012345.aside",
    ];
    alike.iter().for_each(|name| folder.put(name, "mine"));
    fs::create_dir(folder.at(".cordwright-aaaaaaaaaaaa-aaaaaa.aside")).unwrap();
    fs::create_dir(folder.at(".cordwright-aaaaaaaaaaaa.claim")).unwrap();
    let before = names(&folder.root());
    claim::clear(&folder.root());
    assert!(!left.exists() && !claim.exists());
    assert_eq!(names(&folder.root()).len(), before.len() - 2);
    assert!(used.path().exists());
    // Whatever ends a run lets go of its claim.
    let (used, claim) = (used.keep().unwrap().1, in_use.left_behind());
    assert!(used.exists() && claim.exists());
    write_output(&folder.at("out.txt"), b"x").unwrap();
    assert!(!used.exists() && !claim.exists());
    assert_eq!(names(&folder.root()).len(), before.len() - 4 + 1);
    assert!(alike.iter().all(|name| text(&folder, name) == "mine"));
}

#[test]
fn a_leftover_that_git_keeps_stays() {
    for (index, is_kept) in [("index", true), ("sharedindex.0", true), ("config", false)] {
        let folder = Folder::with(&["rows/a.yaml"]);
        let left = leave_aside(&folder.at("rows"));
        let name = left.file_name().unwrap().to_str().unwrap();
        folder.put(&format!(".git/{index}"), &format!("DIRC rows/{name} TREE"));
        claim::clear(&folder.at("rows"));
        assert_eq!(left.exists(), is_kept, "{index}");
    }
    // A work tree of its own, whose folder of git's is elsewhere.
    let folder = Folder::with(&["rows/a.yaml"]);
    let left = leave_aside(&folder.at("rows"));
    let name = left.file_name().unwrap().to_str().unwrap();
    folder.put("rows/.git", "gitdir: ../store\n");
    folder.put("store/index", name);
    claim::clear(&folder.at("rows"));
    assert!(left.exists());
    // What its index says is not known.
    folder.put("rows/.git", "gitdir: ../gone\n");
    claim::clear(&folder.at("rows"));
    assert!(left.exists());
    folder.put("rows/.git", "gitdir: ../store\n");
    folder.put("store/index", "other");
    claim::clear(&folder.at("rows"));
    assert!(!left.exists());
}

#[cfg(unix)]
mod unix {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};

    use super::*;

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o777
    }

    fn set_mode(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    }

    #[test]
    fn permissions_are_kept_and_write_protection_is_respected() {
        let folder = Folder::with(&["a.yaml"]);
        let path = folder.at("a.yaml");
        set_mode(&path, 0o640);
        write_output(&path, b"new").unwrap();
        assert_eq!(
            (mode(&path), fs::read(&path).unwrap()),
            (0o640, b"new".to_vec())
        );
        set_mode(&path, 0o440);
        let failure = write_output(&path, b"newer").unwrap_err();
        assert!(failure.what.ends_with("it is write-protected"), "{failure}");
        assert_eq!(
            (mode(&path), fs::read(&path).unwrap()),
            (0o440, b"new".to_vec())
        );
    }

    #[test]
    fn texts_set_aside_are_as_private_as_their_files() {
        let folder = Folder::with(&["a.yaml", "b.yaml"]);
        set_mode(&folder.at("a.yaml"), 0o600);
        set_mode(&folder.at("b.yaml"), 0o600);
        let originals = ["a.yaml", "b.yaml"].map(|path| original(&folder, path));
        let mut all = AllOrNone::default();
        all.rewrite(&originals[0], b"a.yaml", b"new");
        all.rewrite(&originals[1], b"b.yaml", b"new");
        let ready = all.set_aside().unwrap();
        let names = names(&folder.root());
        assert_eq!(names.len(), 2 * 3 + 1, "{names:?}");
        assert!(names.iter().all(|name| mode(&folder.at(name)) == 0o600));
        drop(ready);
    }

    #[test]
    fn a_link_is_not_written_through_wherever_it_leads() {
        let folder = Folder::with(&["real", "rows/a"]);
        for target in ["real", "gone", "rows"] {
            symlink(target, folder.at("link")).unwrap();
            let failure = write_output(&folder.at("link"), b"new").unwrap_err();
            assert!(failure.what.contains("it is a link"), "{failure}");
            assert!(failure.advice.unwrap().ends_with("Name the file itself."));
            assert!(folder.at("link").is_symlink() && !folder.at("gone").exists());
            let mut all = AllOrNone::default();
            all.create(&folder.at("link"), b"new");
            all.carry_out().unwrap_err();
            fs::remove_file(folder.at("link")).unwrap();
        }
        assert_eq!(text(&folder, "real"), "real");
    }

    #[test]
    fn new_files_of_a_folder_are_not_made_behind_a_link() {
        let outside = Folder::with(&["x"]);
        let folder = Folder::with(&["quay/x"]);
        folder.link("linked", outside.root());
        folder.link("quay/rows", outside.root());
        for (top, below) in [
            ("linked", "a"),
            ("linked/", "a"),
            ("linked/.", "a"),
            ("quay", "rows/a"),
        ] {
            let mut all = AllOrNone::default();
            all.create_within(&folder.at("quay"), "first", b"new");
            all.create_within(&folder.root().join(top), below, b"new");
            let failure = all.carry_out().unwrap_err();
            assert!(
                failure.what.ends_with("is a link, which is not followed"),
                "{failure}"
            );
        }
        assert_eq!(names(&outside.root()), ["x"]);
        assert_eq!(names(&folder.at("quay")), ["rows", "x"]);
    }

    #[test]
    fn a_file_with_several_names_keeps_them_and_its_text() {
        let folder = Folder::with(&["a.yaml"]);
        fs::hard_link(folder.at("a.yaml"), folder.at("b.txt")).unwrap();
        let failure = write_output(&folder.at("a.yaml"), b"new").unwrap_err();
        assert!(
            failure.what.contains("it has 2 names (hard links)"),
            "{failure}"
        );
        let original = original(&folder, "a.yaml");
        let mut all = AllOrNone::default();
        all.rewrite(&original, b"a.yaml", b"new");
        all.carry_out().unwrap_err();
        let about = folder.at("a.yaml").metadata().unwrap();
        assert_eq!(
            (about.nlink(), text(&folder, "b.txt").as_str()),
            (2, "a.yaml")
        );
    }

    #[test]
    fn another_file_of_the_same_name_and_text_is_not_the_one_that_was_read() {
        let folder = Folder::with(&["a.yaml", "new"]);
        let original = original(&folder, "a.yaml");
        folder.put("new", "a.yaml");
        fs::rename(folder.at("new"), folder.at("a.yaml")).unwrap();
        let mut all = AllOrNone::default();
        all.rewrite(&original, b"a.yaml", b"new");
        let failure = all.carry_out().unwrap_err();
        assert!(
            failure.what.contains("another file stands there"),
            "{failure}"
        );
        assert_eq!(text(&folder, "a.yaml"), "a.yaml");
    }

    #[test]
    fn a_folder_that_became_a_link_is_not_written_into() {
        let folder = Folder::with(&["rows/a.yaml"]);
        let original = original(&folder, "rows/a.yaml");
        fs::rename(folder.at("rows"), folder.at("moved")).unwrap();
        folder.link("rows", "moved");
        let mut all = AllOrNone::default();
        all.rewrite(&original, b"rows/a.yaml", b"new");
        let failure = all.carry_out().unwrap_err();
        assert!(
            failure.what.contains("another file stands there"),
            "{failure}"
        );
        assert_eq!(text(&folder, "moved/a.yaml"), "rows/a.yaml");
        assert_eq!(names(&folder.at("moved")), ["a.yaml"]);
    }

    #[test]
    fn links_named_like_leftovers_and_what_they_lead_to_stay() {
        let outside = Folder::with(&["x"]);
        let folder = Folder::with(&["a.yaml"]);
        folder.link(".cordwright-0123456789ab-cdefgh.aside", outside.at("x"));
        claim::clear(&folder.root());
        assert_eq!(
            names(&folder.root()),
            [".cordwright-0123456789ab-cdefgh.aside", "a.yaml"]
        );
        assert_eq!(names(&outside.root()), ["x"]);
    }

    #[test]
    fn what_is_no_ordinary_file_is_written_to() {
        write_output(Path::new("/dev/null"), b"x").unwrap();
        let folder = Folder::with(&[]);
        folder.link("sink", "/dev/null");
        write_output(&folder.at("sink"), b"x").unwrap();
        assert!(folder.at("sink").is_symlink());
    }
}
