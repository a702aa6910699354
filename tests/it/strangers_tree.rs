//! Comparing and reading where a stranger's tree, or a repository from elsewhere, sets traps: no
//! program of theirs runs, and no finding goes away.

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use crate::repository::{
    LOST, SITE, check_in, commit, git, init, make_executable, text_of, try_git,
};
use crate::world::{Ended, World, ended};

/// A sound site on `main`, tagged `v1`, and on the branch that is checked out a commit with a fault
/// and whatever the stranger `brings`. One more fault is not committed.
fn branch_of(stranger: impl Fn(&World)) -> World {
    let world = World::with(&[("sites/quay/cordwright.yaml", SITE)]);
    fs::create_dir(world.at("traces")).unwrap();
    world.put(".gitignore", "traces/\n");
    init(&world, "");
    commit(&world, "");
    git(&world, "", &["tag", "-am", "first", "v1"]);
    git(&world, "", &["checkout", "-q", "-b", "side"]);
    world.put("sites/quay/lost.yaml", LOST);
    stranger(&world);
    commit(&world, "");
    world.put("sites/quay/more.yaml", &LOST.replace("W-1", "W-2"));
    world
}

/// The commit before the stranger's.
fn base(world: &World) -> String {
    git(world, "", &["rev-parse", "v1^{commit}"])
}

/// Checks against every kind of revision, from every place, with and without a path.
fn all_checks(world: &World) -> Vec<(String, Ended)> {
    let base = base(world);
    let mut all = Vec::new();
    for rev in ["HEAD", "HEAD~1", "main", "v1", &base, &base[..12]] {
        for (folder, paths) in [
            ("", vec!["sites/quay"]),
            ("", vec![]),
            ("sites/quay", vec![]),
            ("sites/quay", vec!["lost.yaml", "more.yaml"]),
            ("sites", vec!["quay"]),
        ] {
            let words = [&["--compare", rev][..], &paths].concat();
            let call = format!("{} in \"{folder}\"", words.join(" "));
            let mut told = check_in(world, folder, &words);
            // Ids differ from world to world.
            let no_ids = |text: &str| text.replace(&base, "BASE").replace(&base[..12], "BASE");
            told.errors = no_ids(&told.errors);
            all.push((no_ids(&call), told));
        }
    }
    all
}

/// What is to be told, because it is where no trap is set.
static TRUTH: LazyLock<Vec<(String, Ended)>> = LazyLock::new(|| all_checks(&branch_of(|_| {})));

/// That all of that is told of the world, and no trap was sprung.
fn sees_through(world: &World, what: &str) {
    for ((call, told), (_, truth)) in all_checks(world).into_iter().zip(&*TRUTH) {
        assert!(truth.output.contains("W-2"), "{call}: {}", truth.errors);
        let is_since_head = call.starts_with("--compare HEAD ");
        assert_eq!(truth.output.contains("W-1"), !is_since_head, "{call}");
        assert_eq!(
            (&told.output, told.code),
            (&truth.output, truth.code),
            "{what}, {call}"
        );
        assert_eq!(told.errors, truth.errors, "{what}, {call}");
        assert_eq!(traces(world), [""; 0], "{what}, {call}");
    }
}

/// What was run of the traps.
fn traces(world: &World) -> Vec<String> {
    let names = fs::read_dir(world.at("traces")).unwrap();
    names
        .map(|name| name.unwrap().file_name().into_string().unwrap())
        .collect()
}

/// Shell words that leave a trace and fail.
fn trap(world: &World, name: &str) -> String {
    format!(
        "touch '{}'; false",
        text_of(world, &format!("traces/{name}"))
    )
}

/// A repository in which every revision is a site with both faults; its commit.
fn false_history() -> (World, String) {
    let world = World::with(&[("cordwright.yaml", SITE), ("lost.yaml", LOST)]);
    world.put("more.yaml", &LOST.replace("W-1", "W-2"));
    init(&world, "");
    commit(&world, "");
    git(
        &world,
        "",
        &["commit", "-q", "--allow-empty", "-m", "again"],
    );
    git(&world, "", &["tag", "v1"]);
    git(&world, "", &["branch", "side"]);
    let id = git(&world, "", &["rev-parse", "HEAD"]);
    (world, id)
}

/// Puts files into `folder` that look like a bare repository with a false history.
fn embed(world: &World, folder: &str, replaced: Option<&str>) {
    let (evil, id) = false_history();
    let from = evil.at(".git");
    for entry in walkdir::WalkDir::new(&from).into_iter().map(Result::unwrap) {
        let below = entry.path().strip_prefix(&from).unwrap().to_str().unwrap();
        let is_part = ["HEAD", "config", "objects", "refs"]
            .iter()
            .any(|part| below.starts_with(part));
        if entry.file_type().is_file() && is_part {
            let to = world.at(folder).join(below);
            fs::create_dir_all(to.parent().unwrap()).unwrap();
            fs::copy(entry.path(), to).unwrap();
        }
    }
    world.put(&format!("{folder}/config"), "[core]\n\tbare = true\n");
    if let Some(replaced) = replaced {
        world.put(
            &format!("{folder}/refs/replace/{replaced}"),
            &format!("{id}\n"),
        );
    }
}

/// Puts files into `folder` that look like a bare repository whose objects a program fetches.
fn embed_promisor(world: &World, folder: &str) {
    let nowhere = "1".repeat(40);
    for name in ["heads/main", "heads/side", "tags/v1"] {
        world.put(&format!("{folder}/refs/{name}"), &format!("{nowhere}\n"));
    }
    world.put(&format!("{folder}/HEAD"), "ref: refs/heads/main\n");
    world.put(&format!("{folder}/objects/keep"), "");
    let program = trap(world, "upload-pack");
    world.put(
        &format!("{folder}/config"),
        &format!(
            "[core]\n\trepositoryformatversion = 1\n\tbare = true\n\
             [extensions]\n\tpartialClone = origin\n\
             [remote \"origin\"]\n\turl = elsewhere\n\tpromisor = true\n\tuploadpack = \"{program}\"\n"
        ),
    );
}

#[test]
fn what_looks_like_a_repository_in_the_tree_is_never_one() {
    for folder in ["sites/quay", "sites", "."] {
        sees_through(
            &branch_of(|world| embed_promisor(world, folder)),
            &format!("promisor in {folder}"),
        );
        sees_through(
            &branch_of(|world| embed(world, folder, None)),
            &format!("branches in {folder}"),
        );
        let replaces = |world: &World| embed(world, folder, Some(&base(world)));
        sees_through(&branch_of(replaces), &format!("replacements in {folder}"));
    }
}

#[test]
fn that_trap_would_be_sprung_by_git_as_it_comes() {
    let world = branch_of(|world| embed_promisor(world, "sites/quay"));
    try_git(&world, "sites/quay", &["cat-file", "-p", &base(&world)]);
    assert_eq!(traces(&world), ["upload-pack"]);
    let world = branch_of(|world| embed(world, "sites/quay", None));
    let listed = git(&world, "sites/quay", &["ls-tree", "--name-only", "main"]);
    assert_eq!(listed, "cordwright.yaml\nlost.yaml\nmore.yaml");
}

/// With a work tree of its own it would not even be bare; `.git` is there, and nothing in it.
#[test]
fn what_looks_like_a_repository_beside_a_damaged_one_is_not_taken_instead() {
    let world = World::with(&[("cordwright.yaml", SITE), ("lost.yaml", LOST)]);
    embed(&world, ".", None);
    let settings = "[core]\n\trepositoryformatversion = 0\n\tbare = false\n\tworktree = ";
    world.put("config", &format!("{settings}{}\n", text_of(&world, "")));
    fs::create_dir(world.at(".git")).unwrap();
    let top = git(&world, "", &["rev-parse", "--show-toplevel"]);
    assert_eq!(
        Path::new(&top),
        world.at("").canonicalize().unwrap(),
        "git as it comes"
    );
    let told = check_in(&world, "", &["--compare", "main"]);
    assert_eq!((told.code, told.output.as_str()), (Some(2), ""));
    assert!(told.errors.contains("cannot compare"), "{}", told.errors);
}

/// Commits in the world's own repository that hold the faults already.
fn false_commit(world: &World) -> String {
    git(world, "", &["checkout", "-q", "--orphan", "evil"]);
    let id = commit(world, "");
    git(world, "", &["rm", "-q", "--cached", "sites/quay/more.yaml"]);
    git(world, "", &["checkout", "-q", "-f", "side"]);
    world.put("sites/quay/more.yaml", &LOST.replace("W-1", "W-2"));
    id
}

#[test]
fn commits_are_what_they_say_whatever_is_put_in_their_place() {
    let world = branch_of(|_| {});
    let (base, evil) = (base(&world), false_commit(&world));
    git(&world, "", &["replace", "--force", &base, &evil]);
    sees_through(&world, "refs/replace");
    let listed = git(&world, "", &["ls-tree", "-r", "--name-only", "main"]);
    assert!(listed.contains("more.yaml"), "git as it comes: {listed}");
    git(&world, "", &["replace", "-d", &base]);
    let head = git(&world, "", &["rev-parse", "HEAD"]);
    world.put(".git/info/grafts", &format!("{head} {evil}\n"));
    assert_eq!(
        git(&world, "", &["rev-parse", "HEAD~1"]),
        evil,
        "git as it comes"
    );
    sees_through(&world, "info/grafts");
}

#[test]
fn what_a_commit_comes_after_is_read_from_the_commit() {
    let world = branch_of(|_| {});
    let (base, evil) = (base(&world), false_commit(&world));
    git(
        &world,
        "",
        &["commit", "-q", "--allow-empty", "-m", "later"],
    );
    git(&world, "", &["commit-graph", "write", "--reachable"]);
    let ids = git(&world, "", &["rev-list", "--all"]);
    let mut ids: Vec<&str> = ids.lines().collect();
    ids.sort_unstable();
    let place = ids.iter().position(|id| *id == evil).unwrap() as u32;
    // The graph has the id of each commit's tree, then the place of the commit it comes after; the
    // last commit has the same tree, and comes after the one that is lied about.
    let own = git(&world, "", &["rev-parse", "HEAD~1"]);
    let tree = bytes(&git(&world, "", &["rev-parse", "HEAD~1^{tree}"]));
    let after = ids.iter().position(|id| *id == base).unwrap() as u32;
    let told = [tree.clone(), after.to_be_bytes().to_vec()].concat();
    let lied = [tree, place.to_be_bytes().to_vec()].concat();
    let path = world.at(".git/objects/info/commit-graph");
    let mut graph = fs::read(&path).unwrap();
    let at = graph.windows(24).position(|window| window == told).unwrap();
    graph[at..at + 24].copy_from_slice(&lied);
    fs::remove_file(&path).unwrap();
    fs::write(&path, graph).unwrap();
    let as_it_comes = git(&world, "", &["rev-list", "--max-count=3", "HEAD"]);
    assert!(
        as_it_comes.ends_with(&format!("{own}\n{evil}")),
        "{as_it_comes}"
    );
    let told = check_in(&world, "", &["sites/quay", "--compare", "HEAD~2"]);
    assert!(
        told.output.contains("W-1") && told.output.contains("W-2"),
        "{}",
        told.output
    );
}

/// The bytes that an id stands for.
fn bytes(id: &str) -> Vec<u8> {
    let pairs = (0..id.len()).step_by(2).map(|at| &id[at..at + 2]);
    pairs
        .map(|pair| u8::from_str_radix(pair, 16).unwrap())
        .collect()
}

/// Settings that run a program wherever git can be made to run one.
fn hostile_settings(world: &World) -> String {
    let run = |name: &str| trap(world, name);
    let hooks = text_of(world, "traps");
    for hook in [
        "post-index-change",
        "reference-transaction",
        "post-checkout",
        "fsmonitor-watchman",
    ] {
        world.put(
            &format!("traps/{hook}"),
            &format!("#!/bin/sh\n{}\n", run(hook)),
        );
        make_executable(&world.at("traps").join(hook));
    }
    world.put("traps/attributes", "* filter=trap diff=trap\n");
    let mut settings = format!(
        "[core]\n\trepositoryformatversion = 1\n\tfsmonitor = \"{}\"\n\thooksPath = {hooks}\n\
         \tsshCommand = \"{}\"\n\tpager = \"{}\"\n\taskPass = \"{}\"\n\tgitProxy = \"{}\"\n\
         \tattributesFile = {hooks}/attributes\n\talternateRefsCommand = \"{}\"\n",
        run("fsmonitor"),
        run("ssh"),
        run("pager"),
        run("askpass"),
        run("proxy"),
        run("alternates")
    );
    settings += &format!(
        "[filter \"trap\"]\n\tclean = \"{}\"\n\tsmudge = \"{}\"\n\tprocess = \"{}\"\n\
         [diff]\n\texternal = \"{}\"\n[diff \"trap\"]\n\tcommand = \"{}\"\n\ttextconv = \"{}\"\n\
         [extensions]\n\tpartialClone = origin\n[remote \"origin\"]\n\turl = elsewhere\n\
         \tpromisor = true\n\tuploadpack = \"{}\"\n[credential]\n\thelper = \"!{}\"\n\
         [protocol]\n\tallow = always\n[protocol \"file\"]\n\tallow = always\n",
        run("clean"),
        run("smudge"),
        run("process"),
        run("external"),
        run("command"),
        run("textconv"),
        run("upload-pack"),
        run("credential")
    );
    for command in [
        "rev-parse",
        "ls-tree",
        "ls-files",
        "cat-file",
        "diff-index",
        "diff-tree",
    ] {
        let program = run(command);
        settings += &format!(
            "[pager]\n\t{command} = \"{program}\"\n[alias]\n\t{command} = \"!{program}\"\n"
        );
    }
    settings
}

/// Makes the world's repository one that came with a tarball of somebody else's.
fn turn_hostile(world: &World) {
    world.put(".gitignore", "traces/\ntraps/\n");
    let settings = hostile_settings(world);
    let own = fs::read_to_string(world.at(".git/config")).unwrap();
    world.put(".git/config", &format!("{own}{settings}"));
    world.put(".git/info/attributes", "* filter=trap diff=trap\n");
}

#[test]
fn no_setting_of_a_repository_from_elsewhere_runs_a_program() {
    let world = branch_of(|_| {});
    turn_hostile(&world);
    sees_through(&world, "settings");
    try_git(&world, "", &["status"]);
    let sprung = traces(&world);
    assert!(
        sprung.contains(&"fsmonitor".to_owned()),
        "git as it comes: {sprung:?}"
    );
}

#[test]
fn no_setting_runs_a_program_to_know_a_moved_site_again() {
    let world = branch_of(|_| {});
    git(&world, "", &["mv", "sites/quay", "sites/pier"]);
    world.put("sites/pier/cordwright.yaml", &format!("{SITE}# moved\n"));
    git(&world, "", &["add", "--all"]);
    turn_hostile(&world);
    for rev in ["main", "HEAD"] {
        let told = check_in(&world, "", &["sites/pier", "--compare", rev]);
        let known = format!("sites/pier is compared with sites/quay, where it lay in {rev}");
        assert!(told.errors.contains(&known), "{}", told.errors);
        assert_eq!((told.code, told.output.contains("W-2")), (Some(1), true));
        assert_eq!(traces(&world), [""; 0]);
    }
}

#[test]
fn an_object_that_is_missing_is_told_and_nobody_is_asked_for_it() {
    let world = branch_of(|_| {});
    turn_hostile(&world);
    for (object, named) in [
        ("v1:sites/quay/cordwright.yaml", "cordwright.yaml"),
        ("v1:sites/quay", "git says"),
        ("v1^{commit}", "git knows no revision"),
    ] {
        let id = git(&world, "", &["rev-parse", object]);
        let path = world.at(".git/objects").join(&id[..2]).join(&id[2..]);
        fs::rename(&path, world.at("traps/object")).unwrap();
        let told = check_in(&world, "", &["sites/quay", "--compare", "main"]);
        assert_eq!((told.code, told.output.as_str()), (Some(2), ""), "{object}");
        assert!(
            told.errors.contains("cannot compare"),
            "{object}: {}",
            told.errors
        );
        assert!(told.errors.contains(named), "{object}: {}", told.errors);
        assert_eq!(traces(&world), [""; 0], "{object}");
        fs::rename(world.at("traps/object"), path).unwrap();
    }
    let id = git(&world, "", &["rev-parse", "v1:sites/quay/cordwright.yaml"]);
    fs::remove_file(world.at(".git/objects").join(&id[..2]).join(&id[2..])).unwrap();
    try_git(&world, "", &["cat-file", "-p", &id]);
    assert_eq!(traces(&world), ["upload-pack"], "git as it comes");
}

#[test]
fn a_filter_that_the_user_has_set_up_is_not_run_for_a_tree_that_names_it() {
    let world =
        branch_of(|world| world.put("sites/quay/.gitattributes", "*.yaml filter=big diff=big\n"));
    for (key, name) in [
        ("clean", "clean"),
        ("smudge", "smudge"),
        ("process", "process"),
    ] {
        git(
            &world,
            "",
            &["config", &format!("filter.big.{key}"), &trap(&world, name)],
        );
    }
    git(
        &world,
        "",
        &["config", "diff.big.textconv", &trap(&world, "textconv")],
    );
    sees_through(&world, "filters");
}

/// A program in the tree that calls itself git.
fn false_git(world: &World, folder: &str) {
    let path = format!("{folder}/git");
    world.put(&path, &format!("#!/bin/sh\n{}\n", trap(world, "git")));
    make_executable(&world.at(&path));
}

#[test]
fn a_program_in_the_tree_is_not_taken_for_git() {
    let world = branch_of(|world| {
        for folder in [".", "sites/quay", "bin"] {
            false_git(world, folder);
        }
    });
    let paths = std::env::var("PATH").unwrap();
    for folder in ["", "sites/quay"] {
        let site = world.at("sites/quay");
        let words = [
            "check",
            site.to_str().unwrap(),
            "--compare",
            "main",
            "--format",
            "lines",
        ];
        let mut check = world.command(&words);
        check.current_dir(world.at(folder));
        check.env("PATH", format!(".:bin:../../bin::{paths}"));
        let told = ended(&mut check);
        assert!(
            told.output.contains("W-1"),
            "{}{}",
            told.output,
            told.errors
        );
        assert_eq!(traces(&world), [""; 0]);
    }
}

#[test]
fn variables_for_git_have_no_say() {
    let (evil, _) = false_history();
    let world = branch_of(|_| {});
    let (evil_git, run) = (text_of(&evil, ".git"), trap(&world, "variable"));
    let mut check = world.command(&[
        "check",
        "sites/quay",
        "--compare",
        "main",
        "--format",
        "lines",
    ]);
    for (name, value) in [
        ("GIT_DIR", evil_git.as_str()),
        ("GIT_WORK_TREE", evil_git.as_str()),
        ("GIT_COMMON_DIR", evil_git.as_str()),
        ("GIT_OBJECT_DIRECTORY", evil_git.as_str()),
        ("GIT_INDEX_FILE", "nowhere"),
        ("GIT_NAMESPACE", "other"),
        ("GIT_EXEC_PATH", "/nowhere"),
        ("GIT_CONFIG_COUNT", "1"),
        ("GIT_CONFIG_KEY_0", "core.fsmonitor"),
        ("GIT_CONFIG_VALUE_0", &run),
        ("GIT_CONFIG_PARAMETERS", "'core.worktree=/'"),
        ("GIT_EXTERNAL_DIFF", &run),
        ("GIT_TRACE", "1"),
    ] {
        check.env(name, value);
    }
    let told = ended(&mut check);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    assert!(
        told.output.contains("W-1") && told.output.contains("W-2"),
        "{}",
        told.output
    );
    assert_eq!(traces(&world), [""; 0]);
}

#[test]
fn a_repository_that_names_another_work_tree_is_refused() {
    let world = branch_of(|_| {});
    let elsewhere = World::with(&[("cordwright.yaml", SITE)]);
    git(
        &world,
        "",
        &[
            "config",
            "core.worktree",
            Path::new(&elsewhere.at("")).to_str().unwrap(),
        ],
    );
    let told = check_in(&world, "", &["sites/quay", "--compare", "main"]);
    assert_eq!((told.code, told.output.as_str()), (Some(2), ""));
    assert!(
        told.errors.contains("is not the repository"),
        "{}",
        told.errors
    );
}
