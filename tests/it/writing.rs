//! Writing files: the very ones that were read, all or none, and nothing behind a link.

mod kills;
mod outputs;

use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown, symlink};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::world::{Ended, World};

const SITE: &str =
    "site: {name: Quay, practice: iec}\nsupplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n";

/// A definition with one slip that can be meant in one way only.
fn slip(zone: &str) -> String {
    format!("zones:\n  {zone}: {{vibraton: none, ambient: 25 °C}}\n")
}

/// The same, put right.
fn right(zone: &str) -> String {
    slip(zone).replace("vibraton", "vibration")
}

/// A site with these zones, each with a slip in a file of its own.
fn site(zones: &[&str]) -> World {
    let world = World::with(&[("cordwright.yaml", SITE)]);
    let path = |zone: &str| format!("{zone}.yaml");
    zones
        .iter()
        .for_each(|zone| world.put(&path(zone), &slip(zone)));
    world
}

fn read(path: impl AsRef<Path>) -> String {
    fs::read_to_string(path).unwrap()
}

/// Everything below the folder but what git keeps, in order.
fn all(world: &World) -> Vec<String> {
    let root = world.at("");
    let entries = walkdir::WalkDir::new(&root)
        .min_depth(1)
        .sort_by_file_name();
    let entries = entries
        .into_iter()
        .filter_entry(|entry| entry.file_name() != ".git");
    let below = entries.map(|entry| entry.unwrap().into_path());
    let below = below.map(|path| path.strip_prefix(&root).unwrap().to_owned());
    below
        .map(|path| path.to_string_lossy().into_owned())
        .collect()
}

/// `text` with every run of blanks, frames and line ends made one blank.
fn flat(text: &str) -> String {
    let words = text.split(|c: char| c.is_whitespace() || c == '│');
    words
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[track_caller]
fn told(told: &str, parts: &[&str]) {
    let told = flat(told);
    for part in parts {
        assert!(told.contains(part), "{part:?} is not in: {told}");
    }
}

/// Runs the command in the world as somebody whom permissions bind.
fn run_bound(world: &World, words: &[&str]) -> Ended {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cordwright"));
    let bin = tempfile::tempdir().unwrap();
    if is_superuser() {
        // Nobody can be somebody else, and see a program that only the superuser can.
        let program = bin.path().join("cordwright");
        fs::copy(env!("CARGO_BIN_EXE_cordwright"), &program).unwrap();
        fs::set_permissions(bin.path(), fs::Permissions::from_mode(0o755)).unwrap();
        command = Command::new(program);
        command.uid(NOBODY).gid(NOBODY);
    }
    command.current_dir(world.at("")).env_clear().args(words);
    crate::world::ended(&mut assert_cmd::Command::from_std(command))
}

const NOBODY: u32 = 65534;

fn is_superuser() -> bool {
    tempfile::tempdir()
        .unwrap()
        .path()
        .metadata()
        .unwrap()
        .uid()
        == 0
}

/// Gives everything in the world to whom [`run_bound`] runs as.
fn hand_over(world: &World) {
    if is_superuser() {
        for entry in walkdir::WalkDir::new(world.at("")) {
            chown(entry.unwrap().path(), Some(NOBODY), Some(NOBODY)).unwrap();
        }
    }
}

fn set_mode(path: impl AsRef<Path>, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn a_definition_behind_a_link_is_told_and_not_written() {
    let world = site(&["hall", "shed"]);
    world.put("store/yard.txt", &slip("yard"));
    symlink("store/yard.txt", world.at("yard.yaml")).unwrap();
    for words in [&["remedy"][..], &["remedy", "--write"]] {
        let ended = world.run(words);
        assert_eq!(ended.code, Some(1), "{}", ended.errors);
        let parts = [
            "To correct by hand: 1 slip yard.yaml:2:10: `vibraton` becomes `vibration`",
            "Never written, so change it by hand: 1 file yard.yaml: it is a link to store/yard.txt, and links are not followed. Change that file by hand, or put it where the link is.",
        ];
        told(&ended.output, &parts);
        assert_eq!(
            ended.output.matches("yard.yaml:2:").count(),
            2,
            "{}",
            ended.output
        );
    }
    assert_eq!(read(world.at("store/yard.txt")), slip("yard"));
    assert!(world.at("yard.yaml").is_symlink());
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
    assert_eq!(read(world.at("shed.yaml")), right("shed"));
}

#[test]
fn links_out_of_the_site_and_to_nothing_lose_nothing_and_make_nothing() {
    let outside = World::with(&[("yard.yaml", &slip("yard")), ("more/x.yaml", &slip("x"))]);
    let world = site(&["hall"]);
    symlink(outside.at("yard.yaml"), world.at("yard.yaml")).unwrap();
    symlink(outside.at("more"), world.at("more")).unwrap();
    symlink(outside.at("none.yaml"), world.at("none.yaml")).unwrap();
    let ended = world.run(&["remedy", "--write"]);
    assert_eq!(ended.code, Some(2), "{}", ended.output);
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
    assert_eq!(all(&outside), ["more", "more/x.yaml", "yard.yaml"]);
    assert_eq!(read(outside.at("yard.yaml")), slip("yard"));
    assert_eq!(read(outside.at("more/x.yaml")), slip("x"));
}

#[test]
fn a_name_that_is_shown_as_another_is_judged_and_never_written() {
    let world = site(&["hall"]);
    world.put("a\u{1}.yaml", &slip("yard"));
    let ended = world.run(&["remedy", "--write"]);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    let parts = [
        "Never written, so change it by hand: 1 file a\u{fffd}.yaml: its name holds signs that cannot be shown, so that others look like it. Give it another name.",
    ];
    told(&ended.output, &parts);
    assert_eq!(read(world.at("a\u{1}.yaml")), slip("yard"));
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
    assert_eq!(all(&world).len(), 3);
}

#[test]
fn a_link_that_looks_like_a_file_leads_nobody_out_of_the_site() {
    let outside = World::with(&[("x.yaml", &slip("yard"))]);
    for (file, link) in [
        ("a\u{1}.yaml", "a\u{fffd}.yaml"),
        ("a\u{fffd}.yaml", "a\u{1}.yaml"),
    ] {
        let world = site(&["hall"]);
        world.put(file, &slip("yard"));
        symlink(outside.at("x.yaml"), world.at(link)).unwrap();
        let ended = world.run(&["remedy", "--write"]);
        // What the link leads to may belong to the site, whatever looks like it.
        assert_eq!(ended.code, Some(2), "{}", ended.output);
        told(
            &ended.output,
            &["a\u{fffd}.yaml: a link to a file outside the site"],
        );
        assert_eq!(read(world.at(file)), slip("yard"));
        assert_eq!(read(world.at("hall.yaml")), right("hall"));
        assert_eq!(read(outside.at("x.yaml")), slip("yard"));
        assert!(world.at(link).is_symlink());
    }
}

#[test]
fn a_name_with_the_sign_that_stands_for_others_is_not_written() {
    let world = site(&["hall"]);
    world.put("a\u{fffd}.yaml", &slip("yard"));
    let ended = world.run(&["remedy", "--write"]);
    told(
        &ended.output,
        &["Never written, so change it by hand: 1 file"],
    );
    assert_eq!(read(world.at("a\u{fffd}.yaml")), slip("yard"));
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
}

// Other systems refuse such names.
#[cfg(target_os = "linux")]
#[test]
fn a_name_that_cannot_be_decoded_is_judged_and_never_written() {
    let world = site(&["hall"]);
    let path = world.at("").join(OsStr::from_bytes(b"a-\xff.yaml"));
    fs::write(&path, slip("yard")).unwrap();
    let ended = world.run(&["remedy", "--write"]);
    told(
        &ended.output,
        &["Never written, so change it by hand: 1 file a-\u{fffd}.yaml: "],
    );
    assert_eq!(read(path), slip("yard"));
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
}

#[test]
fn a_file_with_two_names_keeps_both_and_its_text() {
    let world = site(&["hall", "yard"]);
    let other = World::with(&[]);
    fs::hard_link(world.at("yard.yaml"), other.at("mine.txt")).unwrap();
    let ended = world.run(&["remedy", "--write"]);
    told(
        &ended.output,
        &[
            "yard.yaml: it has 2 names (hard links), and the others would keep the old text. Make it a file of its own first",
        ],
    );
    assert_eq!(read(other.at("mine.txt")), slip("yard"));
    assert_eq!(world.at("yard.yaml").metadata().unwrap().nlink(), 2);
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
}

#[test]
fn a_file_that_is_write_protected_is_told_and_the_others_are_written() {
    let world = site(&["hall", "yard"]);
    set_mode(world.at("yard.yaml"), 0o444);
    set_mode(world.at("hall.yaml"), 0o640);
    hand_over(&world);
    let ended = run_bound(&world, &["remedy", "--write"]);
    told(&ended.output, &["yard.yaml: it is write-protected."]);
    assert_eq!(read(world.at("yard.yaml")), slip("yard"));
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
    let mode = world
        .at("hall.yaml")
        .metadata()
        .unwrap()
        .permissions()
        .mode();
    assert_eq!(mode & 0o7777, 0o640);
}

#[test]
fn where_one_folder_cannot_be_written_to_no_file_is_written() {
    let world = site(&["hall"]);
    world.put("shut/yard.yaml", &slip("yard"));
    world.put("other/site/cordwright.yaml", SITE);
    world.put("other/site/shed.yaml", &slip("shed"));
    hand_over(&world);
    set_mode(world.at("shut"), 0o555);
    let ended = run_bound(&world, &["remedy", "--write", "."]);
    set_mode(world.at("shut"), 0o755);
    assert_eq!(ended.code, Some(2), "{}", ended.output);
    told(
        &ended.errors,
        &[
            "cannot write shut/yard.yaml: no permission",
            "Nothing was written.",
        ],
    );
    told(
        &ended.output,
        &[
            "To correct in the definitions: 2 slips",
            "Corrected in the definitions: 1 slip other/site/shed.yaml",
        ],
    );
    assert_eq!(read(world.at("hall.yaml")), slip("hall"));
    assert_eq!(read(world.at("shut/yard.yaml")), slip("yard"));
    // The other site is written all the same.
    assert_eq!(read(world.at("other/site/shed.yaml")), right("shed"));
    assert!(!all(&world).iter().any(|path| path.contains(".cordwright-")));
}

#[test]
fn a_file_of_somebody_else_stays_his() {
    let world = site(&["hall", "yard"]);
    hand_over(&world);
    if is_superuser() {
        chown(world.at("yard.yaml"), Some(0), Some(0)).unwrap();
        set_mode(world.at("yard.yaml"), 0o666);
        let ended = run_bound(&world, &["remedy", "--write"]);
        assert_eq!(ended.code, Some(2), "{}", ended.output);
        told(
            &ended.errors,
            &[
                "cannot write yard.yaml: it belongs to another user or group",
                "Nothing was written.",
            ],
        );
        assert_eq!(read(world.at("hall.yaml")), slip("hall"));
        assert_eq!(read(world.at("yard.yaml")), slip("yard"));
        // The superuser can leave them to whom they belong.
        chown(world.at("yard.yaml"), Some(7), Some(8)).unwrap();
    }
    let owners = || {
        let about = ["hall", "yard"].map(|zone| world.at(&format!("{zone}.yaml")).metadata());
        about.map(|about| about.map(|about| (about.uid(), about.gid())).unwrap())
    };
    let before = owners();
    world.run(&["remedy", "--write"]);
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
    assert_eq!(read(world.at("yard.yaml")), right("yard"));
    assert_eq!(owners(), before);
}

/// Runs the command where no file may be longer than so many KiB, as on a disk that is full.
fn run_on_a_full_disk(world: &World, kibibytes: u32, words: &[&str]) -> Ended {
    // The signal is passed over, so that writing fails as it does on a full disk.
    let script = format!("trap '' XFSZ; ulimit -f {kibibytes}; exec \"$0\" \"$@\"");
    let mut command = Command::new("bash");
    command
        .args(["-c", &script, env!("CARGO_BIN_EXE_cordwright")])
        .args(words);
    command.current_dir(world.at(""));
    crate::world::ended(&mut assert_cmd::Command::from_std(command))
}

#[test]
fn a_full_disk_leaves_every_file_as_it_was() {
    let world = site(&["hall", "yard"]);
    let long = slip("shed") + &"# so long\n".repeat(200);
    world.put("shed.yaml", &long);
    let before = all(&world);
    let ended = run_on_a_full_disk(&world, 1, &["remedy", "--write"]);
    assert_eq!(ended.code, Some(2), "{}", ended.output);
    told(
        &ended.errors,
        &[
            "cannot write shed.yaml: it would be larger than a file may be",
            "Nothing was written.",
        ],
    );
    told(&ended.output, &["To correct in the definitions: 3 slips"]);
    assert_eq!(read(world.at("hall.yaml")), slip("hall"));
    assert_eq!(read(world.at("shed.yaml")), long);
    assert_eq!(all(&world), before);
    let ended = run_on_a_full_disk(&world, 8, &["remedy", "--write"]);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
}

#[test]
fn on_a_full_disk_nothing_is_begun() {
    let world = World::with(&[("x.csv", "name,model\n")]);
    let mut rows = String::from("name,model\n");
    (0..200).for_each(|row| rows.push_str(&format!("D{row},m\n")));
    world.put("many.csv", &rows);
    let words = [
        "take-in",
        "many.csv",
        "--of",
        "devices",
        "--output",
        "new/d.yaml",
    ];
    for words in [&["start", "new/quay", "--practice", "iec"][..], &words] {
        let ended = run_on_a_full_disk(&world, 1, words);
        assert_eq!(ended.code, Some(2), "{}", ended.output);
        told(
            &ended.errors,
            &["cannot write new/", "Nothing was written."],
        );
        assert_eq!(all(&world), ["many.csv", "x.csv"]);
    }
}

#[test]
fn a_site_is_not_begun_behind_a_link() {
    let outside = World::with(&[]);
    let world = World::with(&[("real/x", "")]);
    symlink(outside.at(""), world.at("quay")).unwrap();
    symlink(outside.at("gone"), world.at("gone")).unwrap();
    fs::create_dir(world.at("half")).unwrap();
    symlink(outside.at(""), world.at("half/racks")).unwrap();
    for (dir, link) in [
        ("quay", "quay"),
        ("quay/", "quay"),
        ("quay/.", "quay"),
        ("gone", "gone"),
        ("half", "half/racks"),
    ] {
        let ended = world.run(&["start", dir, "--practice", "nec"]);
        assert_eq!(ended.code, Some(2), "{dir}: {}", ended.output);
        told(
            &ended.errors,
            &[
                &format!("{link} is a link, which is not followed"),
                "Nothing was written. Name the folder itself.",
            ],
        );
    }
    assert!(all(&outside).is_empty());
    assert_eq!(
        all(&world),
        ["gone", "half", "half/racks", "quay", "real", "real/x"]
    );
}

#[test]
fn the_snag_list_is_not_written_through_a_link() {
    let lost = "cords:\n  W-2: {type: c, from: a/2, to: gone-1/psu1}\n";
    for target in ["store/list.txt", "none.txt"] {
        let world = World::with(&[("cordwright.yaml", SITE), ("lost.yaml", lost)]);
        world.put("store/list.txt", "# Mine\n");
        symlink(target, world.at("cordwright-snags.txt")).unwrap();
        let ended = world.run(&["snags", "--add"]);
        assert_eq!(ended.code, Some(2), "{}", ended.output);
        assert_eq!(read(world.at("store/list.txt")), "# Mine\n");
        assert!(world.at("cordwright-snags.txt").is_symlink());
        assert_eq!(all(&world).len(), 5, "{:?}", all(&world));
    }
}

/// The leftovers of a killed run, as such a run names them.
fn leave_behind(world: &World, folder: &str, sign: &str) -> [PathBuf; 2] {
    let names = [
        format!(".cordwright-{sign}.claim"),
        format!(".cordwright-{sign}-aB3dE6.aside"),
    ];
    names.map(|name| {
        world.put(&format!("{folder}{name}"), "left");
        world.at(&format!("{folder}{name}"))
    })
}

#[test]
fn leftovers_go_with_the_next_run_that_writes_though_it_has_nothing_to_change() {
    let world = site(&["hall"]);
    world.put("rows/yard.yaml", &right("yard"));
    world.put("notes/x.txt", "");
    let gone = ["", "rows/"].map(|folder| leave_behind(&world, folder, "0123456789ab"));
    let elsewhere = leave_behind(&world, "notes/", "0123456789ab");
    world.run(&["check"]);
    world.run(&["remedy"]);
    assert!(gone.iter().flatten().all(|path| path.exists()), "only told");
    world.run(&["remedy", "--write"]);
    assert!(gone.iter().flatten().all(|path| !path.exists()));
    assert!(
        elsewhere.iter().all(|path| path.exists()),
        "no folder of the site"
    );
    world.run(&["check", "--output", "notes/report.txt"]);
    assert!(elsewhere.iter().all(|path| !path.exists()));
}

#[test]
fn leftovers_that_git_keeps_or_that_somebody_uses_stay() {
    let world = site(&["hall"]);
    let git = |words: &[&str]| {
        let mut git = Command::new("git");
        let done = git.current_dir(world.at("")).args(words).output().unwrap();
        assert!(done.status.success(), "{words:?}");
    };
    git(&["init", "-q"]);
    let kept = leave_behind(&world, "", "KeptKeptKept");
    git(&["add", "-f", "."]);
    let used = leave_behind(&world, "", "UsedUsedUsed");
    let claim = fs::File::open(&used[0]).unwrap();
    claim.lock().unwrap();
    let pipe = leave_behind(&world, "", "PipePipePipe");
    fs::remove_file(&pipe[0]).unwrap();
    assert!(
        Command::new("mkfifo")
            .arg(&pipe[0])
            .status()
            .unwrap()
            .success()
    );
    let dead = leave_behind(&world, "", "DeadDeadDead");
    world.run(&["remedy", "--write"]);
    assert_eq!(read(world.at("hall.yaml")), right("hall"));
    assert!(
        kept.iter()
            .chain(&used)
            .chain(&pipe)
            .all(|path| path.exists())
    );
    assert!(dead.iter().all(|path| !path.exists()));
    git(&["update-index", "--index-version", "4"]);
    git(&[
        "rm",
        "-q",
        "--cached",
        kept[0].file_name().unwrap().to_str().unwrap(),
    ]);
    drop(claim);
    world.run(&["remedy", "--write"]);
    assert!(!kept[0].exists() && kept[1].exists());
    assert!(used.iter().all(|path| !path.exists()));
}
