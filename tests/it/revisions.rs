//! `check --compare` in every kind of repository, and when a site has moved.

use std::fs;
use std::path::Path;

use crate::repository::{
    LOST, SITE, check_in, commit, git, in_one_line, init, repository, text_of,
};
use crate::world::{Ended, World};

/// Puts one more fault into the site, and expects it to be all that is new since `rev`.
fn only_the_new_fault_is_told(world: &World, folder: &str, site: &str, rev: &str) {
    let path = format!("{site}/more.yaml");
    let path = Path::new(folder).join(path).to_str().unwrap().to_owned();
    world.put(&path, &LOST.replace("W-1", "W-2"));
    let told = check_in(world, folder, &[site, "--compare", rev]);
    assert_eq!(told.code, Some(1), "{rev}: {}", told.errors);
    assert!(told.output.contains("W-2"), "{rev}: {}", told.output);
    assert!(!told.output.contains("W-1"), "{rev}: {}", told.output);
    assert!(!told.errors.contains("note:"), "{rev}: {}", told.errors);
    fs::remove_file(world.at(&path)).unwrap();
}

fn is_refused(told: &Ended, words: &[&str]) {
    assert_eq!(
        (told.code, told.output.as_str()),
        (Some(2), ""),
        "{}",
        told.errors
    );
    let errors = in_one_line(&told.errors);
    for words in words {
        assert!(errors.contains(words), "{words}: {errors}");
    }
}

#[test]
fn every_way_to_name_a_revision_will_do() {
    let world = repository();
    git(&world, "", &["tag", "light"]);
    git(&world, "", &["tag", "-am", "signed off", "heavy"]);
    git(&world, "", &["branch", "sites/quay"]);
    let id = git(&world, "", &["rev-parse", "HEAD"]);
    world.put("README.md", "# More\n");
    commit(&world, "");
    for rev in [
        "HEAD",
        "HEAD~1",
        "@",
        "@~",
        "main",
        "main^",
        "main@{0}",
        "light",
        "heavy",
        "heavy^{}",
        "sites/quay",
        "heads/sites/quay",
        "refs/tags/light",
        "main^{/state}",
        &id,
        &id[..10],
    ] {
        only_the_new_fault_is_told(&world, "", "sites/quay", rev);
    }
    let blob = git(&world, "", &["rev-parse", "HEAD:README.md"]);
    for rev in [
        "HEAD^{tree}",
        "HEAD:sites",
        "light...main",
        "light..main",
        &blob,
        "--all",
        "-q",
    ] {
        let told = check_in(&world, "", &["sites/quay", &format!("--compare={rev}")]);
        is_refused(&told, &["git knows no revision"]);
    }
}

/// A stranger's tag comes with his branch, and would be taken for the branch that is compared with.
#[test]
fn a_name_that_means_several_things_is_refused() {
    let world = repository();
    let id = git(&world, "", &["rev-parse", "HEAD"]);
    world.put("README.md", "# More\n");
    commit(&world, "");
    git(&world, "", &["tag", "main"]);
    git(&world, "", &["update-ref", "refs/remotes/origin/main", &id]);
    git(&world, "", &["tag", "origin/main"]);
    git(&world, "", &["tag", &id[..8]]);
    for rev in ["main", "main~1", "heads/main", "origin/main", &id[..8]] {
        let told = check_in(&world, "", &["sites/quay", "--compare", rev]);
        match rev {
            "heads/main" => assert_ne!(told.code, Some(2), "{}", told.errors),
            _ => is_refused(
                &told,
                &["may mean several things", "in full, such as refs/"],
            ),
        }
        let words = ["sites/quay", "--compare", &id, "--policy", rev];
        let told = check_in(&world, "", &words);
        assert_eq!(told.code == Some(2), rev != "heads/main", "{rev}");
    }
    for rev in ["refs/heads/main", "refs/remotes/origin/main", "HEAD", &id] {
        let told = check_in(&world, "", &["sites/quay", "--compare", rev]);
        assert_ne!(told.code, Some(2), "{rev}: {}", told.errors);
    }
}

#[test]
fn packed_refs_and_objects_will_do() {
    let world = repository();
    git(&world, "", &["tag", "-am", "signed off", "v1"]);
    git(&world, "", &["gc", "-q"]);
    assert!(!world.at(".git/refs/tags/v1").exists());
    only_the_new_fault_is_told(&world, "", "sites/quay", "v1");
}

#[test]
fn longer_ids_will_do() {
    let world = World::with(&[("quay/cordwright.yaml", SITE), ("quay/lost.yaml", LOST)]);
    git(
        &world,
        "",
        &["init", "-q", "-b", "main", "--object-format=sha256"],
    );
    let id = commit(&world, "");
    assert_eq!(id.len(), 64);
    for rev in ["main", &id] {
        only_the_new_fault_is_told(&world, "", "quay", rev);
    }
    git(&world, "", &["mv", "quay", "pier"]);
    let told = check_in(&world, "", &["pier", "--compare", "main"]);
    assert_eq!(told.code, Some(0), "{}{}", told.output, told.errors);
}

#[test]
fn a_linked_work_tree_a_clone_that_borrows_and_a_submodule_will_do() {
    let world = repository();
    let (from, other) = (text_of(&world, ""), World::with(&[]));
    git(
        &world,
        "",
        &[
            "worktree",
            "add",
            "-q",
            &text_of(&other, "linked"),
            "-b",
            "side",
        ],
    );
    git(&other, "", &["clone", "-q", "--shared", &from, "borrows"]);
    init(&other, "");
    git(&other, "", &["submodule", "--quiet", "add", &from, "sub"]);
    for folder in ["linked", "borrows", "sub"] {
        only_the_new_fault_is_told(&other, folder, "sites/quay", "HEAD");
    }
}

#[test]
fn what_a_submodule_held_then_is_not_known_and_that_is_told() {
    let part = World::with(&[("lost.yaml", LOST)]);
    init(&part, "");
    commit(&part, "");
    let world = World::with(&[("cordwright.yaml", SITE)]);
    init(&world, "");
    git(
        &world,
        "",
        &["submodule", "--quiet", "add", &text_of(&part, ""), "part"],
    );
    commit(&world, "");
    let told = check_in(&world, "", &["--compare", "HEAD"]);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    assert!(told.output.contains("part/lost.yaml"), "{}", told.output);
    assert!(
        told.errors
            .contains("not all of . could be judged as it was"),
        "{}",
        told.errors
    );
    // Where the submodule is not checked out, both lack it.
    git(&world, "", &["submodule", "--quiet", "deinit", "--all"]);
    let told = check_in(&world, "", &["--compare", "HEAD"]);
    assert_eq!(told.code, Some(0), "{}", told.output);
    assert!(!told.errors.contains("note:"), "{}", told.errors);
}

#[test]
fn a_shallow_clone_compares_with_what_it_has() {
    let (world, other) = (repository(), World::with(&[]));
    let from = format!("file://{}", text_of(&world, ""));
    git(
        &other,
        "",
        &["clone", "-q", "--depth", "1", &from, "shallow"],
    );
    only_the_new_fault_is_told(&other, "shallow", "sites/quay", "HEAD");
    let told = check_in(&other, "shallow", &["sites/quay", "--compare", "HEAD~1"]);
    is_refused(
        &told,
        &["git knows no revision \"HEAD~1\"", "fetched in full"],
    );
}

#[test]
fn a_partial_clone_that_lacks_a_file_or_folder_is_told_and_nothing_is_fetched() {
    let (world, other) = (repository(), World::with(&[]));
    git(&world, "", &["config", "uploadpack.allowFilter", "true"]);
    let from = format!("file://{}", text_of(&world, ""));
    for filter in ["blob:none", "tree:0"] {
        let folder = filter.replace(':', "-");
        let words = [
            "clone",
            "-q",
            "--no-checkout",
            "--filter",
            filter,
            &from,
            &folder,
        ];
        git(&other, "", &words);
        other.put(&format!("{folder}/sites/quay/cordwright.yaml"), SITE);
        let packs = || {
            fs::read_dir(other.at(&folder).join(".git/objects/pack"))
                .unwrap()
                .count()
        };
        let before = packs();
        let told = check_in(&other, &folder, &["sites/quay", "--compare", "HEAD"]);
        // The older git, the sooner it stops.
        let words = [
            "cannot compare: git",
            "in full: a partial clone may lack it",
        ];
        is_refused(&told, &words);
        assert_eq!(packs(), before);
        git(&other, &folder, &["checkout", "-q", "--force", "HEAD"]);
        only_the_new_fault_is_told(&other, &folder, "sites/quay", "HEAD");
    }
}

#[cfg(unix)]
#[test]
fn a_link_to_a_site_means_the_repository_that_the_site_is_in() {
    let (world, other) = (repository(), World::with(&[("README.md", "")]));
    init(&other, "");
    commit(&other, "");
    std::os::unix::fs::symlink(world.at("sites/quay"), other.at("link")).unwrap();
    world.put("sites/quay/more.yaml", &LOST.replace("W-1", "W-2"));
    let told = check_in(&other, "", &["link", "--compare", "HEAD"]);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    assert!(!told.output.contains("W-1"), "{}", told.output);
}

#[cfg(unix)]
#[test]
fn a_link_that_is_the_sites_own_file_is_followed_as_it_was() {
    let world = World::with(&[("quay/own.yaml", SITE), ("quay/old.yaml", LOST)]);
    world.put(
        "quay/own.yaml",
        "site: {name: Quay, practice: iec, files: {leave-out: [old.yaml]}}\n",
    );
    std::os::unix::fs::symlink("own.yaml", world.at("quay/cordwright.yaml")).unwrap();
    init(&world, "");
    commit(&world, "");
    world.put("quay/own.yaml", SITE);
    let told = check_in(&world, "", &["quay", "--compare", "HEAD"]);
    assert!(
        told.output.contains("W-1"),
        "it was left out then: {}",
        told.errors
    );
}

/// Only the superuser can give a folder away.
#[cfg(unix)]
#[test]
fn a_repository_of_somebody_else_is_refused_with_the_way_out() {
    let world = repository();
    world.put(".gitignore", "more.yaml\n");
    world.put("sites/quay/more.yaml", &LOST.replace("W-1", "W-2"));
    for entry in walkdir::WalkDir::new(world.at(""))
        .into_iter()
        .map(Result::unwrap)
    {
        if std::os::unix::fs::lchown(entry.path(), Some(1234), Some(1234)).is_err() {
            return;
        }
    }
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    is_refused(
        &told,
        &[
            "dubious ownership",
            "git config --global --add safe.directory",
        ],
    );
    let told = check_in(&world, "", &["sites/quay"]);
    assert!(
        told.output.contains("W-2"),
        "more is read, not less: {}",
        told.output
    );
    world.put("home/.gitconfig", "[safe]\n\tdirectory = *\n");
    let mut check = world.command(&[
        "check",
        "sites/quay",
        "--compare",
        "HEAD",
        "--format",
        "lines",
    ]);
    let told = crate::world::ended(check.env("HOME", world.at("home")));
    assert_eq!(
        (told.code, told.output.as_str()),
        (Some(0), ""),
        "{}",
        told.errors
    );
}

#[test]
fn without_git_nothing_can_be_compared() {
    let world = repository();
    let mut check = world.command(&["check", "sites/quay", "--compare", "HEAD"]);
    let told = crate::world::ended(check.env("PATH", "/nowhere"));
    is_refused(
        &told,
        &["git cannot be run: there is none on the path", "install it"],
    );
}

#[test]
fn a_damaged_repository_is_not_passed_by() {
    let world = repository();
    fs::create_dir(world.at("sites/quay/.git")).unwrap();
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    is_refused(
        &told,
        &["the \".git\" in", "is not the repository of that folder"],
    );
    fs::remove_dir(world.at("sites/quay/.git")).unwrap();
    world.put("sites/quay/.git", "gitdir: /nowhere\n");
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    is_refused(&told, &["cannot compare: git says \"not a git repository"]);
}

#[test]
fn a_tree_without_end_is_refused() {
    let world = World::with(&[("cordwright.yaml", SITE)]);
    init(&world, "");
    // Ten folders in each of ten folders, ten deep, of which git has to keep one of each.
    let blob = git(&world, "", &["hash-object", "-w", "cordwright.yaml"]);
    let mut tree = format!("100644 blob {blob}\ta.yaml\n");
    let mut id = String::new();
    for _ in 0..10 {
        world.put("tree", &tree);
        id = made_tree(&world);
        tree = (0..10)
            .map(|name| format!("040000 tree {id}\tn{name}\n"))
            .collect();
    }
    world.put(
        "tree",
        &format!("040000 tree {id}\tdeep\n100644 blob {blob}\tcordwright.yaml\n"),
    );
    let top = made_tree(&world);
    let bomb = git(&world, "", &["commit-tree", "-m", "bomb", &top]);
    fs::remove_file(world.at("tree")).unwrap();
    let told = check_in(&world, "", &["--compare", &bomb]);
    is_refused(&told, &["git's answer is longer than 64 MiB"]);
    // Nor is it searched for ever for what a new site may have been.
    world.put("new/cordwright.yaml", SITE);
    world.put("new/lost.yaml", LOST);
    let told = check_in(&world, "", &["new", "--compare", &bomb]);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    assert!(
        told.errors.contains("there was no site at new"),
        "{}",
        told.errors
    );
}

/// The id of the tree that the file `tree` lists.
fn made_tree(world: &World) -> String {
    let list = fs::File::open(world.at("tree")).unwrap();
    let mut git = std::process::Command::new("git");
    git.current_dir(world.at("")).arg("mktree").stdin(list);
    String::from_utf8(git.output().unwrap().stdout)
        .unwrap()
        .trim()
        .to_owned()
}

#[test]
fn a_file_many_times_too_long_is_refused_before_it_is_read() {
    let world = World::with(&[("cordwright.yaml", SITE)]);
    init(&world, "");
    world.put("a.yaml", &"#\n".repeat(20 << 20));
    for copy in 0..7 {
        fs::copy(world.at("a.yaml"), world.at(&format!("a{copy}.yaml"))).unwrap();
    }
    commit(&world, "");
    for name in ["a", "a0", "a1", "a2", "a3", "a4", "a5", "a6"] {
        fs::remove_file(world.at(&format!("{name}.yaml"))).unwrap();
    }
    let told = check_in(&world, "", &["--compare", "HEAD"]);
    is_refused(
        &told,
        &["the files of that time are longer than 256 MiB together"],
    );
}

#[cfg(unix)]
#[test]
fn names_that_look_alike_are_not_all_known_as_they_were() {
    let world = repository();
    world.put("sites/quay/a\u{1}.yaml", &LOST.replace("W-1", "W-3"));
    world.put("sites/quay/a\u{2}.yaml", &LOST.replace("W-1", "W-4"));
    commit(&world, "");
    fs::remove_file(world.at("sites/quay/a\u{1}.yaml")).unwrap();
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD"]);
    assert!(
        told.errors
            .contains("not all of sites/quay could be judged as it was"),
        "{}",
        told.errors
    );
    // What a hidden file defined then is not known, so nothing passes for old on its account.
    assert!(
        told.output.contains("W-4") && told.output.contains("W-1"),
        "{}",
        told.output
    );
}

#[test]
fn a_folder_renamed_is_compared_with_itself() {
    let world = repository();
    git(&world, "", &["mv", "sites/quay", "sites/pier"]);
    world.put("sites/pier/more.yaml", &LOST.replace("W-1", "W-2"));
    for paths in [&["sites/pier"][..], &[], &["sites/pier/more.yaml"]] {
        let told = check_in(&world, "", &[&["--compare", "HEAD"], paths].concat());
        assert_eq!(told.code, Some(1), "{}", told.errors);
        let note = "note: sites/pier is compared with sites/quay, where it lay in HEAD\n";
        assert!(told.errors.contains(note), "{}", told.errors);
        assert!(
            told.output.contains("W-2") && !told.output.contains("W-1"),
            "{}",
            told.output
        );
    }
}

#[test]
fn a_site_that_may_have_been_either_of_two_is_all_new_and_told_why() {
    let world = repository();
    world.put("sites/mole/cordwright.yaml", SITE);
    world.put("sites/mole/lost.yaml", LOST);
    commit(&world, "");
    git(&world, "", &["rm", "-q", "-r", "sites/mole"]);
    git(&world, "", &["mv", "sites/quay", "sites/pier"]);
    let told = check_in(&world, "", &["sites/pier", "--compare", "HEAD"]);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    let note = "note: sites/pier may have been moved from sites/mole or sites/quay since HEAD, and \
                it cannot be told which: all that is found in it counts as new\n";
    assert!(told.errors.contains(note), "{}", told.errors);
    assert!(told.output.contains("W-1"), "{}", told.output);
}

/// A site that a change takes away is not judged, and that is no pass, whatever is left of it.
#[test]
fn a_site_that_is_gone_as_a_whole_does_not_pass() {
    for away in [
        &["rm", "-q", "sites/quay/cordwright.yaml"][..],
        &["mv", "sites/quay", "sites/.quay"],
        &["rm", "-rq", "sites/quay"],
    ] {
        let world = repository();
        world.put("pier/cordwright.yaml", SITE);
        commit(&world, "");
        git(&world, "", away);
        let words: &[&str] = &["--compare", "HEAD"];
        let told = check_in(&world, "", words);
        assert_eq!(told.code, Some(2), "{away:?}: {}", told.errors);
        assert!(
            in_one_line(&told.errors)
                .contains("sites/quay was a site in HEAD and is none any more"),
            "{}",
            told.errors
        );
        // Where another site is asked for, it is not missed; and who may decide can agree.
        let told = check_in(&world, "", &["pier", "--compare", "HEAD"]);
        assert_eq!(told.code, Some(0), "{away:?}: {}", told.errors);
        let told = check_in(&world, "", &["--compare", "HEAD", "--relaxations", "tell"]);
        assert_eq!(told.code, Some(0), "{away:?}: {}", told.errors);
    }
}
