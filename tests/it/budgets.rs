//! Budgets of work: what a site may ask for ends at a number, and a run that came to such an end never
//! passes. Each kind is tried with little of it, and hostile sites with as much as there usually is.

use std::io::Write as _;
use std::process::{Command, Stdio};

use crate::shapes::{Files, SHAPES};
use crate::site::judged;
use crate::world::{Ended, World};

/// The files of the shape of this name, for so many things.
#[track_caller]
fn shape(name: &str, count: usize) -> Files {
    let shape = SHAPES.iter().find(|shape| shape.name == name);
    (shape.expect(name).make)(count)
}

fn world(files: &Files) -> World {
    let files: Vec<(&str, &str)> = files
        .iter()
        .map(|(path, text)| (&**path, &**text))
        .collect();
    World::with(&files)
}

/// Code 2, and somewhere, however lines are broken, all of these words.
#[track_caller]
fn assert_cut(ended: &Ended, parts: &[&str]) {
    let said = format!("{} {}", ended.output, ended.errors);
    let said: Vec<&str> = said
        .split_whitespace()
        .filter(|word| *word != "│")
        .collect();
    let said = said.join(" ");
    let end = said.len().saturating_sub(2_000);
    let end = said.get(end..).unwrap_or(&said);
    assert_eq!(ended.code, Some(2), "{end}");
    for part in parts {
        assert!(said.contains(part), "{part:?} is missing in: …{end}");
    }
}

#[test]
fn a_run_that_came_to_the_end_of_a_budget_does_not_pass_and_says_where() {
    let cases: [(&str, &str, usize, &[&str]); 6] = [
        (
            "values=40",
            "cords on one line",
            20,
            &["cordwright.yaml:", "more than 40"],
        ),
        (
            "anchors=5",
            "anchors",
            20,
            &["cordwright.yaml:", "more than 5 anchors"],
        ),
        (
            "row=2",
            "devices on strips in a row",
            400,
            &[
                "cordwright.yaml: could not be judged: line",
                "in a row at PDU p3",
            ],
        ),
        (
            "faults=7",
            "broken cords",
            20,
            &["cordwright.yaml:", "more than 7 faults"],
        ),
        (
            "solves=0",
            "cords on one circuit",
            400,
            &[
                "cordwright.yaml: could not be judged: line",
                "--budget solves=",
            ],
        ),
        (
            "output=1000",
            "broken cords",
            20,
            &[
                "the report has more than 1000 bytes",
                "--budget output=2000",
            ],
        ),
    ];
    for (budget, name, count, words) in cases {
        let world = world(&shape(name, count));
        let usual = world.run(&["check"]);
        assert!(
            !usual.output.contains("--budget"),
            "{name}: {}",
            usual.output
        );
        assert_ne!(usual.code, Some(2), "{name}: {}", usual.output);
        let ended = world.run(&["check", "--budget", budget]);
        assert_cut(&ended, words);
        if budget.starts_with("output") {
            assert_eq!(ended.output, "");
        }
    }
}

#[test]
fn sites_that_make_more_of_themselves_than_is_written_end_at_the_usual_budgets() {
    let bomb: String = (1..9).fold(String::from("- &x0 1 A\n"), |text, n| {
        let ten = vec![format!("*x{}", n - 1); 10].join(", ");
        text + &format!("- &x{n} [{ten}]\n")
    });
    let bomb = format!("{}---\n{bomb}---\nsite: {{stock-lengths: *x8}}\n", "");
    let visits = vec![("cordwright.yaml".to_owned(), bomb)];
    let cases: [(Files, &[&str]); 9] = [
        (visits, &["cordwright.yaml:"]),
        (shape("inlets times devices", 2_000), &["--budget parts=8"]),
        (shape("banks times strips", 2_000), &["--budget parts=8"]),
        (shape("legs times splitters", 2_000), &["--budget parts=8"]),
        (
            shape("strips in a row", 100),
            &["more than 16 power strips"],
        ),
        (
            shape("transfer switches behind each other", 40),
            &["transfer switch s5 hangs behind so many others"],
        ),
        (
            shape("transfer switches in circles", 10),
            &["in a circle with them"],
        ),
        (
            shape("one line of cords", 100),
            &["plugged into each other in a row"],
        ),
        (shape("outlets by range", 2_000), &["cordwright.yaml:"]),
    ];
    for (files, words) in cases {
        let ended = world(&files).run(&["check"]);
        assert_cut(&ended, words);
        assert_cut(&ended, &["The judgement is not complete"]);
    }
}

#[test]
fn what_is_made_of_a_site_that_was_cut_short_is_no_success() {
    let world = world(&shape("devices on strips in a row", 1_000));
    for words in [
        &["schedule", "cords"][..],
        &["drawing", "lines"],
        &["trace", "W-1"],
        &["snags"],
        &["remedy"],
    ] {
        let ended = world.run(words);
        assert_cut(&ended, &[]);
        let more = [words, &["--budget", "row=99"]].concat();
        assert_ne!(world.run(&more).code, Some(2), "{words:?}");
    }
    assert!(!world.at("cordwright-snags.txt.tmp").exists());
}

#[test]
fn a_search_for_cords_ends_and_says_at_which() {
    let world = world(&shape("cords of many wrong types", 30));
    let ended = world.run(&["remedy", "--budget", "trials=1"]);
    assert_cut(&ended, &["ended here, at W-", "--budget trials="]);
}

#[test]
fn a_run_that_is_given_seconds_ends_when_they_have_passed() {
    let world = world(&shape("cords on one line", 2));
    let words = [
        "check",
        "--stdin-as",
        "cordwright.yaml",
        "--budget",
        "seconds=1",
    ];
    // Nobody ever ends what is typed.
    let mut child = Command::new(env!("CARGO_BIN_EXE_cordwright"))
        .args(words)
        .current_dir(world.at("."))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    input.write_all(b"site:").unwrap();
    let ended = child.wait_with_output().unwrap();
    drop(input);
    let errors = String::from_utf8(ended.stderr).unwrap();
    assert_eq!((ended.status.code(), ended.stdout.len()), (Some(2), 0));
    assert!(errors.contains("not done within 1 s"), "{errors}");
}

#[test]
fn a_budget_that_is_none_is_refused_with_the_names_that_there_are() {
    let world = world(&shape("cords on one line", 2));
    for word in ["rows=1", "row", "row=-1", "seconds=soon"] {
        assert_cut(&world.run(&["check", "--budget", word]), &[word, "seconds"]);
    }
}

fn git(world: &World, words: &[&str]) {
    let mut git = Command::new("git");
    git.args(["-c", "user.name=A", "-c", "user.email=a@example.org"]);
    git.args(words).current_dir(world.at("."));
    assert!(git.output().unwrap().status.success(), "git {words:?}");
}

/// A world in which one state is committed and another one lies.
fn changed(before: &Files, now: &Files) -> World {
    let world = world(before);
    git(&world, &["init", "--quiet"]);
    git(&world, &["add", "--all"]);
    git(&world, &["commit", "--quiet", "-m", "before"]);
    now.iter().for_each(|(path, text)| world.put(path, text));
    world
}

#[test]
fn a_hostile_branch_does_not_stop_the_check_of_a_change_and_does_not_pass_it() {
    let sound = shape("cords on one line", 20);
    for name in [
        "inlets times devices",
        "strips in a row",
        "legs times splitters",
    ] {
        let hostile = shape(name, 2_000);
        let ended = changed(&sound, &hostile).run(&["check", "--compare", "HEAD"]);
        assert_cut(&ended, &["The judgement is not complete", "--budget"]);
        // What cannot be worked out of the state before agrees to nothing, and hides nothing.
        let ended = changed(&hostile, &sound).run(&["check", "--compare", "HEAD"]);
        assert_ne!(
            ended.code,
            Some(2),
            "{name}: {}{}",
            ended.output,
            ended.errors
        );
        assert!(
            ended.errors.contains("not all of"),
            "{name}: {}",
            ended.errors
        );
    }
}

#[test]
fn people_are_shown_the_gravest_and_programs_get_all() {
    let world = world(&shape("broken cords", 300));
    let found = |words: &[&str]| world.run(words).output;
    let shown = |text: &str| text.matches("Read on").count();
    // Many of one kind are one piece, and the last of them are counted.
    let text = found(&["check"]);
    assert!(shown(&text) < 20 && text.contains("and 287 more"), "{text}");
    let text = found(&["check", "--most", "1"]);
    assert_eq!(shown(&text), 1);
    assert!(text.contains("Left out, by rule"), "{text}");
    let all = found(&["check", "--most", "0"]);
    assert!(
        shown(&all) >= 300 && !all.contains("of these are shown"),
        "{}",
        shown(&all)
    );
    let json: serde_json::Value =
        serde_json::from_str(&found(&["check", "--format", "json", "--most", "3"])).unwrap();
    let findings = json["sites"][0]["findings"].as_array().unwrap();
    assert!(findings.len() > 600, "{}", findings.len());
    let lines = found(&["check", "--format", "lines"]);
    assert!(lines.lines().count() > 600);
}

#[test]
fn in_a_file_of_unknown_words_the_first_are_told_the_nearest() {
    let types: Vec<String> = (0..2_100)
        .map(|number| format!("  t{number}: {{cordage: H05VVX-F}}"))
        .collect();
    let text = format!("site: {{}}\ncord-types:\n{}\n", types.join("\n"));
    let findings = judged(&vec![("cordwright.yaml".to_owned(), text)]).findings;
    let unknown = findings.iter();
    let unknown = unknown.filter(|finding| finding.headline.contains("H05VVX-F"));
    let unknown: Vec<_> = unknown.collect();
    let is_advised = |advice: &str| advice.contains("Is `H05VV-F` meant?");
    let advised = unknown.iter();
    let advised = advised.filter(|finding| is_advised(&finding.remedy.advice));
    assert_eq!((unknown.len(), advised.count()), (2_100, 2_000));
}
