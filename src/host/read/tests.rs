//! Reading sites in folders made for it.

use std::fs;

use super::*;
use crate::host::folder::Folder;

fn read(folder: &Folder) -> SiteInput {
    read_with(folder, &FileGlobs::default(), &Overlay::default())
}

fn read_with(folder: &Folder, globs: &FileGlobs, overlay: &Overlay) -> SiteInput {
    read_site(
        &folder.root(),
        &|_| globs.clone(),
        overlay,
        &Ignored::default(),
    )
}

fn paths(input: &SiteInput) -> Vec<&str> {
    input.files.iter().map(|(path, _)| path.as_str()).collect()
}

fn unread(input: &SiteInput) -> Vec<&str> {
    input.unread.iter().map(|note| note.path.as_str()).collect()
}

fn passed_over(input: &SiteInput) -> Vec<(&str, &Reason)> {
    let each = input.passed_over.iter();
    each.map(|one| (one.path.as_str(), &one.why)).collect()
}

fn text<'a>(input: &'a SiteInput, path: &str) -> &'a str {
    let (_, bytes) = input.files.iter().find(|(name, _)| name == path).unwrap();
    std::str::from_utf8(bytes).unwrap()
}

#[test]
fn what_belongs_to_the_site_is_read_in_order_of_path() {
    let folder = Folder::with(&[
        "rows/b.yaml",
        "rows/a.yml",
        "cordwright.yaml",
        "row s/ü.yaml",
        "README.md",
        ".git/x.yaml",
        ".x.yaml",
        "target/x.yaml",
        "rows/node_modules/x.yaml",
        "hut/cordwright.yaml",
        "hut/x.yaml",
    ]);
    let input = read(&folder);
    let expected = [
        "cordwright.yaml",
        "row s/ü.yaml",
        "rows/a.yml",
        "rows/b.yaml",
    ];
    assert_eq!(paths(&input), expected);
    for path in expected {
        assert_eq!(text(&input, path), path);
    }
    assert!(input.unread.is_empty());
    let expected = [
        (".git/", &Reason::Hidden),
        (".x.yaml", &Reason::Hidden),
        ("README.md", &Reason::NotTakenIn),
        ("hut/", &Reason::NestedSite),
        ("rows/node_modules/", &Reason::Built),
        ("target/", &Reason::Built),
    ];
    assert_eq!(passed_over(&input), expected);
}

#[test]
fn the_sites_own_file_names_the_globs() {
    let folder = Folder::with(&["cordwright.yaml", "rows/a.yaml", "rows/b.txt", "old/a.yaml"]);
    let globs_of = |bytes: &[u8]| {
        assert_eq!(bytes, b"cordwright.yaml");
        FileGlobs {
            take_in: vec!["rows/*".to_owned(), "old/**".to_owned()],
            leave_out: vec!["old".to_owned()],
            ..FileGlobs::default()
        }
    };
    let input = read_site(
        &folder.root(),
        &globs_of,
        &Overlay::default(),
        &Ignored::default(),
    );
    assert_eq!(
        paths(&input),
        ["cordwright.yaml", "rows/a.yaml", "rows/b.txt"]
    );
}

#[test]
fn a_glob_that_cannot_be_understood_makes_the_reading_incomplete() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml"]);
    let globs = FileGlobs {
        leave_out: vec!["[".to_owned()],
        ..FileGlobs::default()
    };
    let input = read_with(&folder, &globs, &Overlay::default());
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml"]);
    assert_eq!(unread(&input), ["cordwright.yaml"]);
}

#[test]
fn a_site_whose_file_vanished_says_so() {
    let folder = Folder::with(&["a.yaml"]);
    let input = read(&folder);
    assert_eq!(paths(&input), ["a.yaml"]);
    assert_eq!(unread(&input), ["cordwright.yaml"]);
    let gone = read_site(
        &folder.at("gone"),
        &|_| FileGlobs::default(),
        &Overlay::default(),
        &Ignored::default(),
    );
    assert_eq!(gone.files, []);
    assert!(
        unread(&gone).contains(&"cordwright.yaml"),
        "{:?}",
        gone.unread
    );
}

#[test]
fn a_buffer_stands_for_its_file_saved_or_not() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml", "hut/cordwright.yaml"]);
    let mut overlay = Overlay::default();
    for path in ["a.yaml", "new.yaml", "new.txt", "hut/b.yaml", ".hid/a.yaml"] {
        overlay.put(&folder.at(path), b"unsaved".to_vec());
    }
    let input = read_with(&folder, &FileGlobs::default(), &overlay);
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml", "new.yaml"]);
    assert_eq!(text(&input, "a.yaml"), "unsaved");
    assert_eq!(text(&input, "new.yaml"), "unsaved");
}

#[test]
fn a_buffer_of_the_sites_own_file_names_the_globs() {
    let folder = Folder::with(&["cordwright.yaml"]);
    let mut overlay = Overlay::default();
    overlay.put(&folder.at("cordwright.yaml"), b"unsaved".to_vec());
    let globs_of = |bytes: &[u8]| {
        assert_eq!(bytes, b"unsaved");
        FileGlobs {
            leave_out: vec!["[".to_owned()],
            ..FileGlobs::default()
        }
    };
    let input = read_site(&folder.root(), &globs_of, &overlay, &Ignored::default());
    assert_eq!(text(&input, "cordwright.yaml"), "unsaved");
    assert_eq!(unread(&input), ["cordwright.yaml"], "its glob stays told");
}

#[test]
fn a_file_that_is_too_long_is_not_read() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml"]);
    let file = File::create(folder.at("long.yaml")).unwrap();
    file.set_len(FILE_LIMIT + 1).unwrap();
    let input = read(&folder);
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml"]);
    assert_eq!(unread(&input), ["long.yaml"]);
    assert!(input.unread[0].why.contains("64 MiB"), "{:?}", input.unread);
}

#[test]
fn a_file_that_vanished_is_told() {
    let folder = Folder::with(&["cordwright.yaml"]);
    let why = bytes_of(&folder.at("gone.yaml"), &Overlay::default()).unwrap_err();
    assert!(why.contains("no longer"), "{why}");
}

#[cfg(unix)]
mod unix {
    use std::os::unix::fs::PermissionsExt;

    use super::*;

    #[test]
    fn links_lead_to_files_inside_the_site_only() {
        let outside = Folder::with(&["x.yaml", "more/x.yaml"]);
        let folder = Folder::with(&["cordwright.yaml", "a.yaml", "store/a.txt", "rows/b.yaml"]);
        folder.link("by-link.yaml", "store/a.txt");
        folder.link("twice.yaml", "a.yaml");
        folder.link("rows-again", "rows");
        folder.link("rows/up", "..");
        folder.link("out.yaml", outside.at("x.yaml"));
        folder.link("out.txt", outside.at("x.yaml"));
        folder.link("out", outside.at("more"));
        folder.link("round.yaml", "round.yaml");
        folder.link("nowhere.yaml", "gone");
        let input = read(&folder);
        let expected = ["a.yaml", "by-link.yaml", "cordwright.yaml", "rows/b.yaml"];
        assert_eq!(paths(&input), expected);
        assert_eq!(text(&input, "by-link.yaml"), "store/a.txt");
        assert_eq!(
            unread(&input),
            ["nowhere.yaml", "out", "out.yaml", "round.yaml"]
        );
        let expected = [
            ("out.txt", &Reason::NotTakenIn),
            ("rows-again", &Reason::Link),
            ("rows/up", &Reason::Link),
            ("store/a.txt", &Reason::NotTakenIn),
            ("twice.yaml", &Reason::Link),
        ];
        assert_eq!(passed_over(&input), expected);
    }

    #[test]
    fn a_link_to_what_is_left_out_is_told() {
        let folder = Folder::with(&["cordwright.yaml", ".store/a.yaml", "hut/cordwright.yaml"]);
        folder.link("rows", ".store");
        folder.link("inner", "hut");
        assert_eq!(unread(&read(&folder)), ["inner", "rows"]);
        let globs = FileGlobs {
            leave_out: vec!["rows".to_owned(), "inner".to_owned()],
            ..FileGlobs::default()
        };
        let input = read_with(&folder, &globs, &Overlay::default());
        assert!(input.unread.is_empty(), "{:?}", input.unread);
        let by = |pattern: &str| Reason::LeftOut(vec![pattern.into()]);
        assert!(passed_over(&input).contains(&("rows", &by("rows"))));
    }

    #[test]
    fn a_site_file_outside_the_site_is_not_followed() {
        let outside = Folder::with(&["x.yaml"]);
        let folder = Folder::with(&["a.yaml"]);
        folder.link("cordwright.yaml", outside.at("x.yaml"));
        let input = read(&folder);
        assert_eq!(
            (paths(&input), unread(&input)),
            (vec!["a.yaml"], vec!["cordwright.yaml"])
        );
    }

    #[test]
    fn a_folder_or_file_without_permission_is_told_and_the_rest_is_read() {
        let folder = Folder::with(&["cordwright.yaml", "shut/a.yaml", "b.yaml", "c.yaml"]);
        let shut = |path: &str, mode| {
            fs::set_permissions(folder.at(path), fs::Permissions::from_mode(mode)).unwrap();
        };
        shut("shut", 0o000);
        shut("b.yaml", 0o000);
        let input = read(&folder);
        // Permissions do not bind the superuser: then everything is read.
        let binding = fs::read(folder.at("b.yaml")).is_err();
        shut("shut", 0o755);
        if binding {
            assert_eq!(paths(&input), ["c.yaml", "cordwright.yaml"]);
            assert_eq!(unread(&input), ["b.yaml", "shut"]);
        } else {
            let all = ["b.yaml", "c.yaml", "cordwright.yaml", "shut/a.yaml"];
            assert_eq!((paths(&input), unread(&input)), (all.to_vec(), vec![]));
        }
    }

    #[test]
    fn a_pipe_with_the_name_of_a_file_is_told_and_does_not_stop_the_reading() {
        let folder = Folder::with(&["cordwright.yaml"]);
        let listener = std::os::unix::net::UnixListener::bind(folder.at("s.yaml")).unwrap();
        let input = read(&folder);
        drop(listener);
        assert_eq!(unread(&input), ["s.yaml"]);
        assert!(
            input.unread[0].why.contains("ordinary"),
            "{:?}",
            input.unread
        );
    }

    // Other systems refuse such names.
    #[cfg(target_os = "linux")]
    #[test]
    fn names_that_look_alike_are_told_apart_or_not_read() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let folder = Folder::with(&["cordwright.yaml"]);
        for name in [b"rack-\xfe.yaml", b"rack-\xff.yaml"] {
            fs::write(folder.root().join(OsStr::from_bytes(name)), "x").unwrap();
        }
        let input = read(&folder);
        assert_eq!(paths(&input), ["cordwright.yaml", "rack-\u{fffd}.yaml"]);
        assert_eq!(unread(&input), ["rack-\u{fffd}.yaml"]);
    }
}
