//! Copies that git ignores and work trees inside a repository, as commands meet them.

use std::fs;

use crate::repository::{LOST, SITE, check_in, commit, git, in_one_line, init, text_of};
use crate::world::{World, ended};

/// A repository with a site, an ignored copy of a file in it and an ignored copy of it all.
fn world() -> World {
    let world = World::with(&[
        ("sites/quay/cordwright.yaml", SITE),
        ("sites/quay/lost.yaml", LOST),
        (".gitignore", "/out/\ncopies/\n"),
    ]);
    init(&world, "");
    commit(&world, "");
    for copy in ["sites/quay/copies", "out/quay"] {
        world.put(&format!("{copy}/lost.yaml"), &LOST.replace("W-1", "W-2"));
    }
    world.put("out/quay/cordwright.yaml", SITE);
    world
}

#[test]
fn copies_are_not_judged_unless_all_files_are_asked_for() {
    let world = world();
    for paths in [
        &[][..],
        &["."],
        &["sites"],
        &["sites/quay"],
        &["sites/quay/lost.yaml"],
    ] {
        let told = check_in(&world, "", paths);
        assert_eq!(told.code, Some(1), "{}", told.errors);
        assert!(told.output.contains("W-1"), "{paths:?}: {}", told.output);
        assert!(!told.output.contains("W-2"), "{paths:?}: {}", told.output);
    }
    let told = check_in(&world, "", &["--all-files"]);
    for place in ["sites/quay/copies/lost.yaml:2", "out/quay/lost.yaml:2"] {
        assert!(told.output.contains(place), "{place}: {}", told.output);
    }
}

#[test]
fn a_copy_that_is_named_is_judged_or_refused_and_never_passes_in_silence() {
    let world = world();
    for path in ["out", "out/quay", "out/quay/lost.yaml"] {
        let told = check_in(&world, "", &[path]);
        assert!(told.output.contains("W-2"), "{path}: {}", told.errors);
    }
    for path in ["sites/quay/copies", "sites/quay/copies/lost.yaml"] {
        let told = check_in(&world, "", &[path]);
        assert_eq!((told.code, told.output.as_str()), (Some(2), ""), "{path}");
        let errors = in_one_line(&told.errors);
        assert!(
            errors.contains(&format!("the site at sites/quay reads nothing at {path}")),
            "{errors}"
        );
        assert!(
            errors.contains("copies/: git ignores it, and does not track it"),
            "{errors}"
        );
        let told = check_in(&world, "", &["--all-files", path]);
        assert!(told.output.contains("W-2"), "{path}: {}", told.errors);
    }
    let mut check = world.command(&["check", "--stdin-as", "sites/quay/copies/new.yaml"]);
    let told = ended(check.write_stdin(LOST));
    assert_eq!((told.code, told.output.as_str()), (Some(2), ""));
    assert!(
        in_one_line(&told.errors).contains("reads nothing at copies/new.yaml"),
        "{}",
        told.errors
    );
}

#[test]
fn every_command_that_reads_a_site_can_read_all_files() {
    let world = world();
    let more = "supplies:\n  ups-copy: {voltage: 230 V, frequency: 50 Hz, kind: ups}\n";
    world.put("sites/quay/copies/more.yaml", more);
    for (words, copied) in [
        (&["schedule", "cords", "--format", "csv"][..], "W-2"),
        (&["drawing", "lines"], "ups-copy"),
        (&["trace", "W-2"], "W-2"),
        (&["remedy"], "W-2"),
        (&["snags"], "10 findings"),
    ] {
        let words = [words, &["sites/quay"]].concat();
        let some = world.run(&words);
        assert!(!some.output.contains(copied), "{words:?}: {}", some.output);
        fs::remove_file(world.at("sites/quay/cordwright-snags.txt")).ok();
        let all = world.run(&[&words[..], &["--all-files"]].concat());
        assert!(
            all.output.contains(copied),
            "{words:?}: {}{}",
            all.output,
            all.errors
        );
    }
}

#[test]
fn in_a_work_tree_inside_a_site_the_sites_of_that_are_meant() {
    let world = world();
    git(
        &world,
        "",
        &["worktree", "add", "-q", "sites/quay/wt", "-b", "side"],
    );
    let told = check_in(&world, "", &[]);
    assert!(
        told.output.contains("sites/quay/lost.yaml:2"),
        "{}",
        told.errors
    );
    assert!(!told.output.contains("wt/"), "{}", told.output);
    let own = check_in(&world, "sites/quay/wt", &[]);
    assert!(
        own.output.starts_with("sites/quay/lost.yaml:2"),
        "{}",
        own.output
    );
    assert_eq!(own.output.lines().count(), 3, "{}", own.output);
    let told = check_in(&world, "sites/quay", &["wt/sites/quay/lost.yaml"]);
    assert!(
        told.output.starts_with("wt/sites/quay/lost.yaml:2"),
        "{}",
        told.output
    );
    // A folder of it without a site is no place of the site around it.
    fs::create_dir(world.at("sites/quay/wt/notes")).unwrap();
    let told = check_in(&world, "sites/quay", &["wt/notes"]);
    assert_eq!((told.code, told.output.as_str()), (Some(2), ""));
    assert!(
        in_one_line(&told.errors).contains("wt/: a work tree of its own"),
        "{}",
        told.errors
    );
}

#[test]
fn what_lies_in_a_work_tree_only_is_told_where_nothing_else_is_found() {
    let world = World::with(&[("README.md", "")]);
    init(&world, "");
    commit(&world, "");
    git(&world, "", &["worktree", "add", "-q", "wt", "-b", "side"]);
    world.put("wt/cordwright.yaml", SITE);
    let told = check_in(&world, "", &[]);
    assert_eq!(told.code, Some(2));
    let errors = in_one_line(&told.errors);
    assert!(
        errors.contains("wt was not looked into: a work tree of its own"),
        "{errors}"
    );
    assert_eq!(check_in(&world, "", &["wt"]).code, Some(0));
}

#[cfg(unix)]
#[test]
fn git_is_asked_once_for_all_sites_of_a_repository() {
    let (world, tools) = (world(), World::with(&[]));
    for site in ["pier", "mole", "dock"] {
        world.put(&format!("sites/{site}/cordwright.yaml"), SITE);
    }
    let (counting, calls) = crate::repository::counting_git(&tools);
    let calls_of = |words: &[&str]| {
        fs::write(&calls, "").unwrap();
        let mut check = world.command(words);
        let told = ended(check.env("PATH", &counting));
        assert!(told.code != Some(2), "{}", told.errors);
        fs::read_to_string(&calls).unwrap().lines().count()
    };
    // One to confirm whose repository it is, and one for what is ignored.
    assert_eq!(calls_of(&["check"]), 2);
    assert_eq!(calls_of(&["check", "sites/quay"]), 2);
    assert_eq!(calls_of(&["check", "--all-files"]), 0);
    fs::remove_dir_all(world.at(".git")).unwrap();
    assert_eq!(calls_of(&["check"]), 0);
}

#[test]
fn without_git_or_a_repository_nothing_is_left_out() {
    let world = world();
    let mut check = world.command(&["check", "--format", "lines"]);
    let told = ended(check.env("PATH", text_of(&world, "nowhere")));
    assert!(
        told.output.contains("sites/quay/copies/lost.yaml:2"),
        "{}",
        told.output
    );
    fs::remove_dir_all(world.at(".git")).unwrap();
    let told = check_in(&world, "", &[]);
    assert!(
        told.output.contains("sites/quay/copies/lost.yaml:2"),
        "{}",
        told.output
    );
}

#[test]
fn a_file_that_a_change_makes_ignored_is_out_of_sight_and_no_pass() {
    let world = world();
    world.put(".gitignore", "/out/\ncopies/\nlost.yaml\n");
    git(
        &world,
        "",
        &["rm", "-q", "--cached", "sites/quay/lost.yaml"],
    );
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    assert_eq!(told.code, Some(1), "{}{}", told.output, told.errors);
    let expected = [
        "sight-lost",
        "lost.yaml",
        "is still there and is not read any more",
    ];
    for words in expected {
        assert!(told.output.contains(words), "{words}: {}", told.output);
    }
}

#[test]
fn a_file_that_is_deleted_is_not_looked_for_in_copies() {
    let world = world();
    git(
        &world,
        "",
        &["worktree", "add", "-q", "sites/quay/wt", "-b", "side"],
    );
    world.put("sites/quay/copies/lost.txt", LOST);
    fs::remove_file(world.at("sites/quay/lost.yaml")).unwrap();
    let words = ["sites/quay", "--compare", "HEAD"];
    let told = check_in(&world, "", &words);
    assert!(!told.output.contains("sight-lost"), "{}", told.output);
    let told = check_in(&world, "", &[&words[..], &["--all-files"]].concat());
    assert!(told.output.contains("now lies at"), "{}", told.output);
}
