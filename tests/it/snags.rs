//! The snag list through the command: begun, kept to, shrunk, never silently overruled.

use std::process::Command;

use crate::pages::bases;
use crate::world::{Ended, World};

const LIST: &str = "cordwright-snags.txt";
const DAY: [&str; 2] = ["--on", "2026-11-25"];

const CORDS: &str = "\
device-models:
  recorder:
    height: 1 U
    class: I
    voltage: 100–240 V
    rating: 300 W
    power-factor: 0.97
    inlets: {psu1: C14}
    inlets-needed: 1
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 200 W}
cord-types:
  c14-1.5m:
    plug: C14
    connector: C13
    conductor: 1.0 mm²
    cordage: H05VV-F
    length: 1.5 m
    rating: 10 A
    colour: blue
    approvals: [BSI]
cords:
  W-1: {type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}
";
/// A cord to nowhere: one error, `unknown-name`.
const LOST: &str = "cords:\n  W-2: {type: c14-1.5m, from: pdu-a/2, to: gone-1/psu1}\n";
const LOST_TOO: &str = "cords:\n  W-3: {type: c14-1.5m, from: pdu-a/3, to: gone-2/psu1}\n";

/// A sound site with these files besides.
fn site(more: &[(&str, &str)]) -> World {
    let world = World::with(&[("cords.yaml", CORDS)]);
    world.put("cordwright.yaml", &bases()["base-iec.yaml"]);
    more.iter().for_each(|(path, text)| world.put(path, text));
    world
}

#[track_caller]
fn run(world: &World, words: &[&str], code: i32) -> Ended {
    let ended = world.run(&[words, &DAY].concat());
    assert_eq!(ended.code, Some(code), "{}\n{}", ended.output, ended.errors);
    ended
}

fn list(world: &World) -> String {
    std::fs::read_to_string(world.at(LIST)).unwrap()
}

/// Its lines without remarks.
fn lines(world: &World) -> Vec<String> {
    let text = list(world);
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.map(str::to_owned).collect()
}

/// `text` with every run of blanks and line ends made one blank.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn known_findings_fail_no_longer_and_are_counted() {
    let world = site(&[("lost.yaml", LOST)]);
    run(&world, &["check"], 1);
    let begun = run(&world, &["snags"], 0);
    assert!(flat(&begun.output).starts_with("Began cordwright-snags.txt with 1 finding."));
    let checked = run(&world, &["check", "--fail-at", "note"], 0);
    let text = flat(&checked.output);
    assert!(text.contains("Found nothing new to put right"), "{text}");
    assert!(text.contains("Known: 1 finding on the snag list"), "{text}");
    let json = run(&world, &["check", "--format", "json"], 0).output;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["counts"]["known"], 1);
    assert_eq!(
        json["sites"][0]["known"][0]["finding"]["rule"],
        "unknown-name"
    );
}

#[test]
fn lines_that_move_files_that_are_renamed_and_other_findings_change_nothing() {
    let world = site(&[("lost.yaml", LOST)]);
    run(&world, &["snags"], 0);
    std::fs::remove_file(world.at("lost.yaml")).unwrap();
    world.put("moved.yaml", &format!("# Moved\n\n{LOST}"));
    run(&world, &["check", "--fail-at", "note"], 0);
    world.put("more.yaml", LOST_TOO);
    let new = run(&world, &["check", "--format", "lines"], 1).output;
    assert_eq!(new.matches("error:").count(), 1, "{new}");
    assert!(new.contains("gone-2"), "{new}");
}

#[test]
fn the_list_only_shrinks_unless_it_is_told_otherwise() {
    let world = site(&[("lost.yaml", LOST)]);
    run(&world, &["snags"], 0);
    let before = list(&world);
    world.put("more.yaml", LOST_TOO);
    let refused = run(&world, &["snags"], 1).output;
    assert!(refused.contains("more.yaml:2:"), "{refused}");
    assert!(
        flat(&refused).contains("1 finding is not on the list"),
        "{refused}"
    );
    assert!(refused.contains("--add"), "{refused}");
    assert_eq!(list(&world), before);
    run(&world, &["snags", "--add"], 0);
    assert_eq!(lines(&world).len(), 2);
    world.put("lost.yaml", "cords: {}\n");
    let idle = run(&world, &["check", "--format", "lines"], 0).output;
    assert!(
        idle.contains("cordwright-snags.txt:5:1: warning: "),
        "{idle}"
    );
    assert!(idle.contains("[snag-idle]"), "{idle}");
    let struck = run(&world, &["snags"], 0).output;
    assert!(flat(&struck).contains("1 struck, 0 added, 1 finding on the list"));
    assert_eq!(lines(&world).len(), 1);
}

#[test]
fn an_empty_list_stays_so_that_nothing_new_slips_onto_it() {
    let world = site(&[]);
    run(&world, &["snags"], 0);
    world.put("lost.yaml", LOST);
    run(&world, &["snags"], 1);
    assert!(lines(&world).is_empty());
}

#[test]
fn what_is_not_decided_is_never_on_the_list() {
    let open = CORDS.replace("    conductor: 1.0 mm²\n", "");
    let world = site(&[("cords.yaml", &open)]);
    let told = run(&world, &["snags"], 0).output;
    assert!(
        flat(&told).contains("Not decided and therefore not on it:"),
        "{told}"
    );
    let checked = run(&world, &["check"], 0).output;
    assert!(checked.contains("not decided:"), "{checked}");
}

#[test]
fn a_line_that_cannot_be_read_is_an_error_at_its_place_and_is_kept() {
    let world = site(&[("lost.yaml", LOST)]);
    run(&world, &["snags"], 0);
    let spoilt = list(&world) + "<<<<<<< mine\n";
    world.put(LIST, &spoilt);
    let told = run(&world, &["check", "--format", "lines"], 1).output;
    assert!(told.contains("cordwright-snags.txt:6:1: error: "), "{told}");
    assert!(told.contains("[unreadable-file]"), "{told}");
    let refused = run(&world, &["snags"], 2);
    assert!(refused.errors.contains("no snag list is written"));
    assert_eq!(list(&world), spoilt);
}

#[test]
fn a_line_must_not_say_one_thing_and_accept_another() {
    let world = site(&[("lost.yaml", LOST)]);
    run(&world, &["snags"], 0);
    for (from, to) in [
        ("unknown-name", "load-basis"),
        ("W-2", "W-9"),
        (" error ", " note "),
    ] {
        let whole = list(&world);
        world.put(LIST, &whole.replace(from, to));
        run(&world, &["check"], 1);
        world.put(LIST, &whole);
    }
    let unknown = list(&world).replace("unknown-name", "no-such-rule");
    world.put(LIST, &unknown);
    let told = run(&world, &["check", "--format", "lines"], 1).output;
    assert!(told.contains("names the rule `no-such-rule`"), "{told}");
    let refused = run(&world, &["snags"], 1).output;
    assert!(refused.contains("lost.yaml:2:") && !refused.contains("no-such-rule"));
    assert!(
        lines(&world).is_empty(),
        "the line that means nothing is struck"
    );
}

#[cfg(unix)]
#[test]
fn a_list_that_cannot_be_opened_fails_the_run() {
    let world = site(&[("lost.yaml", LOST)]);
    std::os::unix::fs::symlink("/nowhere/at/all", world.at(LIST)).unwrap();
    let ended = run(&world, &["check"], 2);
    assert!(flat(&ended.output).contains("cordwright-snags.txt: could not be judged"));
}

#[test]
fn a_site_that_is_not_read_whole_gets_no_list() {
    let world = site(&[("broken.yaml", "cords: {W-4: [\n")]);
    let ended = run(&world, &["snags"], 2);
    assert!(
        ended.errors.contains("no snag list is written"),
        "{}",
        ended.errors
    );
    assert!(!world.at(LIST).exists());
}

#[test]
fn a_comparison_takes_the_list_for_neither_new_nor_put_right() {
    let world = site(&[("lost.yaml", LOST)]);
    let git = |words: &[&str]| {
        let mut git = Command::new("git");
        git.current_dir(world.at(""))
            .args(["-c", "user.name=t", "-c", "user.email=t@t"]);
        assert!(
            git.args(words).output().unwrap().status.success(),
            "{words:?}"
        );
    };
    git(&["init", "-q"]);
    git(&["add", "."]);
    git(&["commit", "-qm", "before"]);
    run(&world, &["snags"], 0);
    // A list that comes with the change pardons nothing, unless whoever runs the check says so.
    run(&world, &["check", "--compare", "HEAD"], 1);
    let words = ["check", "--compare", "HEAD", "--relaxations", "tell"];
    let told = run(&world, &words, 0).output;
    assert!(
        flat(&told).contains("Since HEAD: 1 new and 1 agreed or known."),
        "{told}"
    );
    git(&["add", "."]);
    git(&["commit", "-qm", "listed"]);
    std::fs::remove_file(world.at(LIST)).unwrap();
    let told = run(&world, &["check", "--compare", "HEAD"], 1).output;
    assert!(flat(&told).contains("Found 1 new error."), "{told}");
}
