//! Reading a revision of a repository made for it.

use crate::host::folder::Folder;

use super::*;

fn at(rev: &str, root: &Path) -> Result<SiteInput, Failure> {
    Ok(site_at(rev, root)?.expect("a site there").input)
}

fn site_at(rev: &str, root: &Path) -> Result<Option<SiteAt>, Failure> {
    read_site_at(
        rev,
        root,
        &|_| FileGlobs::default(),
        &name_of,
        &Moves::default(),
    )
}

/// The whole text is the name.
fn name_of(bytes: &[u8]) -> Option<String> {
    Some(String::from_utf8(bytes.to_owned()).unwrap())
}

fn paths(input: &SiteInput) -> Vec<&str> {
    input.files.iter().map(|(path, _)| path.as_str()).collect()
}

#[test]
fn a_site_is_read_as_it_was() {
    let folder = Folder::repository(&[
        "README.md",
        "quay/cordwright.yaml",
        "quay/rows/ü b.yaml",
        "quay/.x/a.yaml",
        "quay/hut/cordwright.yaml",
        "tower/cordwright.yaml",
    ]);
    folder.put("quay/rows/ü b.yaml", "changed");
    folder.put("quay/new.yaml", "new");
    let root = folder.at("quay");
    let before = at("HEAD", &root).unwrap();
    assert_eq!(paths(&before), ["cordwright.yaml", "rows/ü b.yaml"]);
    assert_eq!(before.files[1].1, "quay/rows/ü b.yaml".as_bytes());
    folder.commit();
    let now = at("main", &root).unwrap();
    assert_eq!(
        paths(&now),
        ["cordwright.yaml", "new.yaml", "rows/ü b.yaml"]
    );
    assert_eq!(now.files[2].1, b"changed");
    assert_eq!(at("HEAD~1", &root), Ok(before));
}

#[test]
fn a_site_that_did_not_exist_yet_is_none() {
    let folder = Folder::repository(&["README.md"]);
    folder.put("quay/cordwright.yaml", "site: {}");
    let then = site_at("HEAD", &folder.at("quay"));
    assert_eq!(then, Ok(None));
}

#[test]
fn the_globs_are_those_of_that_time() {
    let folder = Folder::repository(&["cordwright.yaml", "a.yaml", "old/b.yaml"]);
    folder.put("cordwright.yaml", "changed");
    let globs_of = |bytes: &[u8]| {
        assert_eq!(bytes, b"cordwright.yaml");
        FileGlobs {
            leave_out: vec!["old/**".to_owned()],
            ..FileGlobs::default()
        }
    };
    let site = read_site_at(
        "HEAD",
        &folder.root(),
        &globs_of,
        &name_of,
        &Moves::default(),
    );
    let input = site.unwrap().unwrap().input;
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml"]);
}

#[test]
fn a_revision_is_never_taken_for_an_option() {
    let folder = Folder::repository(&["cordwright.yaml"]);
    for rev in [
        "--all",
        "-h",
        "--output=x",
        "",
        "main..main",
        "nowhere",
        "main:cordwright.yaml",
    ] {
        let failure = at(rev, &folder.root()).unwrap_err();
        assert!(
            failure.what.contains("knows no revision"),
            "{rev}: {failure}"
        );
    }
    assert!(!folder.at("x").exists());
}

#[test]
fn outside_a_repository_nothing_can_be_compared() {
    let folder = Folder::with(&["cordwright.yaml"]);
    let failure = at("HEAD", &folder.root()).unwrap_err();
    let what = "the site does not lie in a git repository";
    assert!(failure.what.contains(what), "{failure}");
}

#[cfg(unix)]
#[test]
fn links_lead_where_they_led() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml", "rows/store/b.txt"]);
    folder.link("rows/b.yaml", "./store/b.txt");
    folder.link("rows/twice.yaml", "../a.yaml");
    folder.link("out.yaml", "../elsewhere.yaml");
    folder.git("", &["init", "--quiet", "--initial-branch", "main"]);
    folder.commit();
    let input = at("main", &folder.root()).unwrap();
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml", "rows/b.yaml"]);
    assert_eq!(input.files[2].1, b"rows/store/b.txt");
    let unread: Vec<_> = input.unread.iter().map(|note| note.path.as_str()).collect();
    assert_eq!(unread, ["out.yaml"]);
}
