//! Reading a revision of a repository made for it.

use crate::host::folder::Folder;

use super::*;

/// Runs git in `folder` with an identity and a configuration of its own.
fn run(folder: &Folder, arguments: &[&str]) {
    let identity = [
        "-c",
        "user.name=Test",
        "-c",
        "user.email=test@example.invalid",
    ];
    let status = Command::new("git")
        .current_dir(folder.root())
        .args(identity)
        .args(arguments)
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    assert!(status.unwrap().success(), "git {arguments:?}");
}

fn commit(folder: &Folder) {
    run(folder, &["add", "--all"]);
    run(folder, &["commit", "--quiet", "--message", "state"]);
}

fn repository(paths: &[&str]) -> Folder {
    let folder = Folder::with(paths);
    run(&folder, &["init", "--quiet", "--initial-branch", "main"]);
    commit(&folder);
    folder
}

fn at(rev: &str, root: &Path) -> Result<SiteInput, Failure> {
    let site = read_site_at(rev, root, &|_| FileGlobs::default())?;
    Ok(site.expect("a site there"))
}

fn paths(input: &SiteInput) -> Vec<&str> {
    input.files.iter().map(|(path, _)| path.as_str()).collect()
}

#[test]
fn a_site_is_read_as_it_was() {
    let folder = repository(&[
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
    commit(&folder);
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
    let folder = repository(&["README.md"]);
    folder.put("quay/cordwright.yaml", "site: {}");
    let then = read_site_at("HEAD", &folder.at("quay"), &|_| FileGlobs::default());
    assert_eq!(then, Ok(None));
}

#[test]
fn the_globs_are_those_of_that_time() {
    let folder = repository(&["cordwright.yaml", "a.yaml", "old/b.yaml"]);
    folder.put("cordwright.yaml", "changed");
    let globs_of = |bytes: &[u8]| {
        assert_eq!(bytes, b"cordwright.yaml");
        FileGlobs {
            leave_out: vec!["old/**".to_owned()],
            ..FileGlobs::default()
        }
    };
    let input = read_site_at("HEAD", &folder.root(), &globs_of);
    let input = input.unwrap().unwrap();
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml"]);
}

#[test]
fn a_revision_is_never_taken_for_an_option() {
    let folder = repository(&["cordwright.yaml"]);
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
fn outside_a_repository_git_is_quoted() {
    let folder = Folder::with(&["cordwright.yaml"]);
    let failure = at("HEAD", &folder.root()).unwrap_err();
    assert!(failure.what.contains("not a git repository"), "{failure}");
}

#[cfg(unix)]
#[test]
fn links_lead_where_they_led() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml", "rows/store/b.txt"]);
    folder.link("rows/b.yaml", "./store/b.txt");
    folder.link("rows/twice.yaml", "../a.yaml");
    folder.link("out.yaml", "../elsewhere.yaml");
    run(&folder, &["init", "--quiet", "--initial-branch", "main"]);
    commit(&folder);
    let input = at("main", &folder.root()).unwrap();
    assert_eq!(paths(&input), ["a.yaml", "cordwright.yaml", "rows/b.yaml"]);
    assert_eq!(input.files[2].1, b"rows/store/b.txt");
    let unread: Vec<_> = input.unread.iter().map(|note| note.path.as_str()).collect();
    assert_eq!(unread, ["out.yaml"]);
}
