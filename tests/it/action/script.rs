//! The script that checks, run as a runner would.

use std::path::Path;

use super::folder;
use crate::world::World;

struct Ran {
    log: String,
    outputs: String,
    summary: String,
    sarif: Option<String>,
}

/// Runs the action's script with what its inputs say.
fn run(world: &World, sites: &str, fail_at: &str) -> Ran {
    run_with(world, &[("SITES", sites), ("FAIL_AT", fail_at)])
}

fn run_with(world: &World, inputs: &[(&str, &str)]) -> Ran {
    // Each step has its own file for what it hands on.
    std::fs::write(world.at("outputs"), "").unwrap();
    let output = std::process::Command::new("bash")
        .arg(folder().join("run"))
        .current_dir(world.at(""))
        .env("PROGRAM", env!("CARGO_BIN_EXE_cordwright"))
        .envs([("SITES", "."), ("FAIL_AT", "error")])
        .envs([("COMPARE", ""), ("POLICY", "")])
        .envs(inputs.iter().copied())
        .env("RUNNER_TEMP", world.at(""))
        .env("GITHUB_OUTPUT", world.at("outputs"))
        .env("GITHUB_STEP_SUMMARY", world.at("summary.md"))
        .output()
        .unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{errors}");
    let outputs = std::fs::read_to_string(world.at("outputs")).unwrap();
    let sarif = outputs.lines().find_map(|line| line.strip_prefix("sarif="));
    Ran {
        log: String::from_utf8(output.stdout).unwrap(),
        sarif: sarif.map(|path| std::fs::read_to_string(Path::new(path)).unwrap()),
        summary: std::fs::read_to_string(world.at("summary.md")).unwrap(),
        outputs,
    }
}

const SITE: &str =
    "site: {name: Quay, practice: iec}\nsupplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n";
const LOST: &str = "cords:\n  W-1: {type: a, from: b/1, to: c/1}\n";

fn sites() -> World {
    World::with(&[
        ("one quay/cordwright.yaml", SITE),
        ("two/cordwright.yaml", SITE),
        ("two/lost.yaml", LOST),
    ])
}

#[test]
fn findings_are_handed_on_and_the_code_is_kept_for_the_end() {
    let ran = run(&sites(), "one quay\ntwo", "error");
    assert!(ran.outputs.contains("code=1\n"), "{}", ran.outputs);
    assert!(ran.sarif.is_some_and(|text| text.contains("unknown-name")));
    assert!(
        ran.log.contains("::add-matcher::") && ran.log.contains("two/lost.yaml:2:"),
        "{}",
        ran.log
    );
    assert!(ran.summary.contains("Found") && ran.summary.contains("licensed electrician"));
}

#[test]
fn a_clean_site_ends_with_nothing_to_fail_for() {
    let ran = run(&sites(), "one quay", "note");
    assert!(ran.outputs.contains("code=0\n"), "{}", ran.outputs);
}

#[test]
fn a_job_that_could_not_be_done_leaves_nothing_to_hand_on() {
    let ran = run(&sites(), "nowhere", "error");
    assert!(ran.outputs.contains("code=2\n"), "{}", ran.outputs);
    assert!(
        ran.sarif.is_none() && ran.summary.contains("nowhere"),
        "{}",
        ran.summary
    );
}

#[test]
fn paths_on_lines_of_their_own_may_have_blanks_around_them() {
    let ran = run(&sites(), "\n  one quay\t\r\n\r\n   \ntwo \n\n", "error");
    assert!(ran.outputs.contains("code=1\n"), "{}", ran.outputs);
    // No line at all stands for the folder, as no input does.
    let ran = run(&sites(), "\n \n", "error");
    assert!(ran.outputs.contains("code=1\n"), "{}", ran.outputs);
}

#[test]
fn what_is_compared_and_whose_policy_holds_is_handed_on() {
    use std::os::unix::fs::PermissionsExt;
    let words = "#!/bin/sh\nprintf '%s ' \"$@\" >> words\n";
    let world = World::with(&[("program", words)]);
    let program = world.at("program");
    std::fs::set_permissions(&program, PermissionsExt::from_mode(0o755)).unwrap();
    let program = program.to_str().unwrap().to_owned();
    let inputs = [
        ("PROGRAM", program.as_str()),
        ("COMPARE", "abc123"),
        ("POLICY", "origin/main"),
    ];
    run_with(&world, &inputs);
    let words = std::fs::read_to_string(world.at("words")).unwrap();
    let handed_on = "check --fail-at error --compare abc123 --policy origin/main";
    assert_eq!(words.matches(handed_on).count(), 2, "{words}");
    run_with(&world, &inputs[..1]);
    let words = std::fs::read_to_string(world.at("words")).unwrap();
    assert_eq!(words.matches("--compare").count(), 2, "{words}");
}

#[test]
fn a_path_is_no_option() {
    let world = World::with(&[("--help/cordwright.yaml", SITE), ("--help/lost.yaml", LOST)]);
    let ran = run(&world, "--help", "error");
    assert!(ran.outputs.contains("code=1\n"), "{}", ran.outputs);
}

#[test]
fn a_second_use_that_fails_does_not_hand_on_the_report_of_the_first() {
    let world = sites();
    let first = run(&world, "two", "error");
    assert!(first.sarif.is_some());
    let second = run(&world, "nowhere", "error");
    assert!(second.outputs.contains("code=2\n"), "{}", second.outputs);
    assert_eq!(second.sarif, None);
    let third = run(&world, "one quay", "error");
    assert!(third.sarif.is_some_and(|text| !text.contains("lost.yaml")));
    let report = first
        .outputs
        .lines()
        .find_map(|line| line.strip_prefix("sarif="));
    let report = std::fs::read_to_string(report.unwrap()).unwrap();
    assert_eq!(Some(report), first.sarif, "the first one's file is its own");
}

/// What of a log a runner would look for commands in.
fn obeyed(log: &str) -> Vec<&str> {
    let mut word: Option<&str> = None;
    let mut obeyed = Vec::new();
    for line in log.lines() {
        let end = word.map(|word| format!("::{word}::"));
        match end {
            Some(end) if line == end => word = None,
            Some(_) => {}
            None => {
                word = line.strip_prefix("::stop-commands::");
                obeyed.push(line);
            }
        }
    }
    assert_eq!(word, None, "commands are on again at the end");
    obeyed
}

#[test]
fn a_file_whose_name_is_a_command_commands_nothing() {
    let folder = "::error title=forged::all is well";
    let world = World::with(&[
        (&format!("{folder}/cordwright.yaml"), SITE),
        (&format!("{folder}/lost.yaml"), LOST),
    ]);
    let ran = run(&world, folder, "error");
    assert!(
        ran.log
            .lines()
            .any(|line| line.starts_with(&format!("./{folder}"))),
        "{}",
        ran.log
    );
    let commands = obeyed(&ran.log).into_iter();
    let commands: Vec<&str> = commands.filter(|line| line.contains("::")).collect();
    for line in &commands {
        let is_ours = [
            "::add-matcher::",
            "::remove-matcher owner=",
            "::stop-commands::",
        ]
        .iter()
        .any(|ours| line.starts_with(ours));
        assert!(is_ours, "{line}");
    }
    let word = |ran: &Ran| {
        let mut lines = ran.log.lines();
        let word = lines.find_map(|line| line.strip_prefix("::stop-commands::"));
        word.unwrap().to_owned()
    };
    let first = word(&ran);
    assert_eq!(first.len(), 32, "{first}");
    assert_ne!(
        first,
        word(&run(&world, folder, "error")),
        "nobody can know it"
    );
}

#[test]
fn names_of_strangers_stay_in_the_block_of_the_summary() {
    let name = r#""```\n::error::gone ~~~ <b> [a](https://example.org)""#;
    let site = format!("site: {{name: {name}, practice: iec}}\n");
    let world = World::with(&[("a/cordwright.yaml", site.as_str())]);
    let ran = run(&world, "a", "error");
    assert!(ran.summary.contains("```"), "{}", ran.summary);
    let options = markdown::ParseOptions::gfm();
    let tree = markdown::to_mdast(&ran.summary, &options).unwrap();
    let blocks = tree.children().unwrap();
    let is_code = |node| matches!(node, &markdown::mdast::Node::Code(_));
    assert_eq!(blocks.len(), 2, "{tree:#?}");
    assert!(is_code(&blocks[1]), "{tree:#?}");
    assert!(!ran.log.contains("\n::error"), "{}", ran.log);
}
