//! `check --compare`: against a revision, wherever the site lies and whoever calls.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::repository::{LOST, SITE, check_in, commit, git, repository};
use crate::world::World;

/// Every file below the folder with its bytes, git's own among them.
fn everything(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let files = walkdir::WalkDir::new(folder)
        .into_iter()
        .map(Result::unwrap);
    let files = files.filter(|entry| entry.file_type().is_file());
    files
        .map(|entry| (entry.path().to_owned(), fs::read(entry.path()).unwrap()))
        .collect()
}

#[test]
fn nothing_is_touched_and_only_what_is_new_is_told() {
    let world = repository();
    world.put("sites/quay/more.yaml", &LOST.replace("W-1", "W-2"));
    world.put("sites/quay/lost.yaml", &format!("# moved\n{LOST}"));
    git(&world, "", &["add", "sites/quay/more.yaml"]);
    let before = everything(&world.at(""));
    for (folder, path) in [("", "sites/quay"), ("sites", "quay"), ("sites/quay", ".")] {
        let told = check_in(&world, folder, &[path, "--compare", "HEAD"]);
        assert_eq!(told.code, Some(1), "{}", told.errors);
        assert!(
            told.output.contains("W-2") && !told.output.contains("W-1"),
            "{}",
            told.output
        );
    }
    assert!(everything(&world.at("")) == before, "a file was touched");
}

#[test]
fn a_detached_head_a_tag_and_a_linked_work_tree_will_do() {
    let world = repository();
    git(&world, "", &["tag", "v1"]);
    git(&world, "", &["checkout", "-q", "--detach"]);
    git(&world, "", &["worktree", "add", "-q", "other", "main"]);
    for (folder, rev) in [
        ("", "HEAD"),
        ("", "v1"),
        ("other", "HEAD"),
        ("other", "main"),
    ] {
        let told = check_in(&world, folder, &["sites/quay", "--compare", rev]);
        assert_eq!(
            (told.code, told.output.as_str()),
            (Some(0), ""),
            "{}",
            told.errors
        );
    }
}

#[test]
fn a_revision_without_the_site_is_said_to_be_one() {
    let world = repository();
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD~1"]);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    assert!(
        told.errors
            .contains("there was no site at sites/quay in HEAD~1 yet"),
        "{}",
        told.errors
    );
    assert!(told.output.contains("W-1"), "{}", told.output);
}

#[test]
fn a_revision_that_could_not_be_judged_whole_is_said_to_be_one() {
    let world = repository();
    world.put("sites/quay/lost.yaml", "cords: {W-1: [\n");
    commit(&world, "");
    world.put("sites/quay/lost.yaml", LOST);
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    assert!(
        told.errors
            .contains("not all of sites/quay could be judged"),
        "{}",
        told.errors
    );
}

#[test]
fn a_revision_that_git_does_not_know_fails_with_advice() {
    let told = check_in(&repository(), "sites/quay", &["--compare", "nowhere"]);
    assert_eq!((told.code, told.output.as_str()), (Some(2), ""));
    assert!(
        told.errors.contains("git knows no revision \"nowhere\""),
        "{}",
        told.errors
    );
    assert!(told.errors.contains("Name a branch"), "{}", told.errors);
}

/// Git calls a hook with `GIT_DIR` and `GIT_INDEX_FILE` set, in the top folder.
#[cfg(unix)]
#[test]
fn a_hook_of_git_itself_may_compare() {
    use std::os::unix::fs::PermissionsExt;
    let world = repository();
    let program = env!("CARGO_BIN_EXE_cordwright");
    let hook =
        format!("#!/bin/sh\nexec '{program}' check sites/quay --compare HEAD --format lines\n");
    world.put(".git/hooks/pre-commit", &hook);
    let all = fs::Permissions::from_mode(0o755);
    fs::set_permissions(world.at(".git/hooks/pre-commit"), all).unwrap();
    world.put("README.md", "# More notes\n");
    commit(&world, "");
    world.put("sites/quay/more.yaml", &LOST.replace("W-1", "W-2"));
    git(&world, "", &["add", "--all"]);
    let refused = Command::new("git")
        .current_dir(world.at(""))
        .args(["-c", "user.name=Test", "-c", "user.email=t@example.invalid"])
        .args(["commit", "-qm", "worse"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&refused.stdout) + String::from_utf8_lossy(&refused.stderr);
    assert!(!refused.status.success() && said.contains("W-2"), "{said}");
    assert_eq!(git(&world, "", &["rev-list", "--count", "HEAD"]), "3");
}

#[cfg(unix)]
#[test]
fn a_site_of_which_no_file_can_be_read_fails_and_does_not_break_down() {
    let world = World::with(&[("elsewhere.yaml", SITE), ("quay/notes.txt", "")]);
    std::os::unix::fs::symlink(world.at("elsewhere.yaml"), world.at("quay/cordwright.yaml"))
        .unwrap();
    let told = check_in(&world, "", &["quay"]);
    assert_eq!((told.code, told.output.as_str()), (Some(2), ""));
    assert!(
        told.errors.contains("a link to a file outside the site"),
        "{}",
        told.errors
    );
}

#[test]
fn patterns_mean_the_same_files_at_the_revision() {
    let world = repository();
    let choice = "site: {name: Quay, practice: iec, files: {take-in: ['*.yaml', 'old/**'], leave-out: [old/a.yaml, 'old/b/**']}}\n";
    world.put("sites/quay/cordwright.yaml", choice);
    for path in ["a", "b/a", "c"] {
        world.put(&format!("sites/quay/old/{path}.yaml"), "racks:\n");
    }
    commit(&world, "");
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    assert_eq!(
        (told.code, told.output.as_str()),
        (Some(0), ""),
        "{}",
        told.errors
    );
    // Nothing has come, and nothing has gone.
    assert!(
        told.errors.contains("Since HEAD: 3 unchanged."),
        "{}",
        told.errors
    );
}
