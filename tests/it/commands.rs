//! What the command line promises: exit codes, streams, help.

use std::process::{Command, Stdio};

use crate::world::{Ended, World, ended};

const SITE: &str = "site:\n  name: Skerry Point\n";

fn site() -> World {
    World::with(&[("cordwright.yaml", SITE), ("README.md", "# Notes\n")])
}

/// The job could not be done: code 2, nothing on standard output, and `errors` says all of `parts`.
#[track_caller]
fn assert_failed(ended: &Ended, parts: &[&str]) {
    let errors = ended
        .errors
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert_eq!(
        (ended.code, ended.output.as_str()),
        (Some(2), ""),
        "{errors}"
    );
    for part in parts {
        assert!(errors.contains(part), "{part:?} is missing in: {errors}");
    }
}

/// Every command, as the help lists them.
fn commands(world: &World) -> Vec<String> {
    let help = world.run(&["--help"]).output;
    let list = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let names = list.map_while(|line| line.split_whitespace().next());
    let names: Vec<String> = names.map(str::to_owned).collect();
    assert!(names.len() >= 6, "{help}");
    names
}

#[test]
fn help_fits_a_screen_and_shows_examples() {
    let world = World::with(&[]);
    let commands = commands(&world);
    let mut calls: Vec<Vec<&str>> = vec![vec!["--help"], vec!["-h"]];
    calls.extend(commands.iter().map(|name| vec![name.as_str(), "--help"]));
    for words in calls {
        let ended = world.run(&words);
        assert_eq!((ended.code, ended.errors.as_str()), (Some(0), ""));
        let help = ended.output;
        let shows = ["Example", "Examples"].map(|word| format!("\n{word}:\n  cordwright "));
        assert!(shows.iter().any(|words| help.contains(words)), "{help}");
        assert!(help.is_ascii(), "{help}");
        assert!(help.lines().count() <= 24, "{help}");
        assert!(help.lines().all(|line| line.len() <= 80), "{help}");
    }
}

#[test]
fn completions_and_the_manual_hold_every_command() {
    let world = World::with(&[]);
    let commands = commands(&world);
    let manual = world.run(&["manual"]).output;
    for name in &commands {
        let section = format!("\n.SH \"COMMAND {}\"\n", name.to_uppercase());
        assert!(manual.contains(&section), "{name} is missing in:\n{manual}");
    }
    assert!(
        manual.contains("\\-\\-compare") && manual.contains("Exit code: 0"),
        "{manual}"
    );
    // What is seldom needed is not in the help.
    for seldom in ["over\\-definitions", "budget", "most"] {
        assert!(manual.contains(&format!("\\-\\-{seldom}")), "{manual}");
    }
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let text = world.run(&["completions", shell]).output;
        let missing = commands.iter().filter(|name| !text.contains(name.as_str()));
        let missing: Vec<_> = missing.collect();
        assert!(missing.is_empty(), "{shell} lacks {missing:?}");
        assert!(
            text.contains("compare") && text.contains("fail-at"),
            "{shell}: {text}"
        );
    }
    assert_failed(&world.run(&["completions", "sh"]), &["\"sh\"", "bash"]);
}

#[test]
fn the_version_is_the_packages() {
    let ended = World::with(&[]).run(&["--version"]);
    let expected = concat!("cordwright ", env!("CARGO_PKG_VERSION"), "\n");
    assert_eq!((ended.code, ended.output.as_str()), (Some(0), expected));
}

#[test]
fn wrong_words_fail_with_advice() {
    let world = site();
    assert_failed(&world.run(&[]), &["Usage: cordwright", "check", "cite"]);
    assert_failed(
        &world.run(&["chekc"]),
        &["no command \"chekc\"", "Did you mean \"check\"?"],
    );
    assert_failed(
        &world.run(&["check", "--formt", "json"]),
        &["\"--formt\" is no option", "Did you mean \"--format\"?"],
    );
    assert_failed(
        &world.run(&["check", "--format", "xml"]),
        &["\"xml\" is no value for --format", "sarif"],
    );
    assert_failed(
        &world.run(&["check", "--on", "2027-02-30"]),
        &["2027-02-30", "2027-03-31"],
    );
}

#[test]
fn an_unknown_rule_fails_with_the_nearest_name() {
    let world = site();
    let nearest = [
        "no rule \"coupler-mismacht\"",
        "Did you mean \"coupler-mismatch\"?",
    ];
    assert_failed(
        &world.run(&["check", "--only", "coupler-mismacht"]),
        &nearest,
    );
    assert_failed(
        &world.run(&["check", "--without", "coupler-mismacht"]),
        &nearest,
    );
    assert_failed(&world.run(&["cite", "coupler-mismacht"]), &nearest);
}

#[test]
fn leaving_no_rule_to_judge_by_fails() {
    let words = [
        "check",
        "--only",
        "coupler-mismatch",
        "--without",
        "coupler-mismatch",
    ];
    assert_failed(&site().run(&words), &["no rule is left"]);
}

#[test]
fn where_there_is_no_site_nothing_passes() {
    let world = World::with(&[("notes/a.yaml", SITE)]);
    assert_failed(
        &world.run(&["check"]),
        &["no site found", "cordwright.yaml"],
    );
    assert_failed(
        &world.run(&["check", "notes/a.yaml"]),
        &["no site found at notes/a.yaml"],
    );
    assert_failed(
        &world.run(&["check", "gone.yaml"]),
        &["no file or folder gone.yaml"],
    );
    let buffer = ["check", "--stdin-as", "notes/b.yaml"];
    assert_failed(&world.run(&buffer), &["notes/b.yaml lies in no site"]);
}

#[test]
fn a_path_where_the_site_reads_nothing_does_not_pass() {
    let world = site();
    assert_failed(
        &world.run(&["check", "README.md"]),
        &["reads nothing at README.md"],
    );
    assert_failed(
        &world.run(&["check", "--in", "README.md"]),
        &["reads nothing at README.md"],
    );
}

/// A site with something to judge.
const SUPPLY: &str =
    "site: {name: Quay, practice: iec}\nsupplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n";

#[test]
fn a_site_whose_own_file_is_misnamed_is_told_and_the_others_are_checked() {
    let world = World::with(&[
        ("quay/cordwright.yaml", SUPPLY),
        ("tower/cordwright.yml", SUPPLY),
        ("hut/Cordwright.yaml", SUPPLY),
    ]);
    let ended = world.run(&["check"]);
    assert_eq!(ended.code, Some(2), "{}", ended.errors);
    assert!(
        ended.output.contains("Judged Quay (quay)"),
        "{}",
        ended.output
    );
    for path in ["tower/cordwright.yml", "hut/Cordwright.yaml"] {
        assert!(ended.errors.contains(path), "{}", ended.errors);
    }
    assert_failed(
        &world.run(&["check", "hut"]),
        &["There is a Cordwright.yaml: name it cordwright.yaml"],
    );
}

#[test]
fn a_site_with_nothing_to_judge_does_not_pass() {
    let site = "site: {name: Quay, practice: iec}\n";
    let choice = "site: {name: Quay, practice: iec, files: {leave-out: ['**']}}\n";
    for (files, advice) in [
        (vec![("cordwright.yaml", site)], "write them into this file"),
        (
            vec![("cordwright.yaml", site), ("notes.yaml", "a: 1\n")],
            "write them into this file",
        ),
        (
            vec![("cordwright.yaml", choice), ("more.yaml", SUPPLY)],
            "see with --verbose",
        ),
    ] {
        let world = World::with(&files);
        for format in ["annotated", "lines", "json", "sarif", "junit"] {
            let ended = world.run(&["check", "--format", format]);
            let told = format!("{}{}", ended.output, ended.errors);
            let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(ended.code, Some(2), "{told}");
            assert!(
                told.contains("no supply, circuit, PDU, device or cord"),
                "{told}"
            );
            assert!(told.contains(advice), "{told}");
        }
    }
    assert_eq!(
        World::with(&[("cordwright.yaml", SUPPLY)])
            .run(&["check"])
            .code,
        Some(0)
    );
}

#[test]
fn what_is_passed_over_is_named_one_by_one() {
    let choice = "site: {name: Quay, practice: iec, files: {leave-out: ['drafts/**', old.yaml]}}\n";
    let world = World::with(&[
        ("cordwright.yaml", choice),
        (
            "supplies.YAML",
            "supplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n",
        ),
        ("notes.yaml", "a: !mine 1\n"),
        ("chart.yaml", "{{ range }}\na: 1\n"),
        ("drafts/a.yaml", SUPPLY),
        ("old.yaml", SUPPLY),
        (".hidden/a.yaml", SUPPLY),
        ("rows/.a.yaml", SUPPLY),
        ("target/a.yaml", SUPPLY),
        ("rows/a.yaml.bak", SUPPLY),
        ("rows/a.json", SUPPLY),
        ("hut/cordwright.yaml", SUPPLY),
    ]);
    let ended = world.run(&["check", "--verbose", "--in", "cordwright.yaml"]);
    assert_eq!(ended.code, Some(0), "{}{}", ended.output, ended.errors);
    let lines = ended
        .output
        .lines()
        .skip_while(|line| !line.starts_with("Passed over"));
    let lines: Vec<&str> = lines.skip(1).take_while(|line| !line.is_empty()).collect();
    let expected = [
        "  .hidden/: its name begins with a dot",
        "  chart.yaml: cannot be read as YAML in UTF-8, and no line of it begins like a",
        "  section of a site",
        "  drafts/: left out by \"drafts/**\" under site.files",
        "  hut/: a site of its own",
        "  notes.yaml: holds no section of a site",
        "  old.yaml: left out by \"old.yaml\" under site.files",
        "  rows/.a.yaml: its name begins with a dot",
        "  rows/a.json: its name is none that site.files takes in",
        "  rows/a.yaml.bak: its name is none that site.files takes in",
        "  target/: a folder that other tools fill",
    ];
    assert_eq!(lines, expected);
    assert!(
        ended.output.contains("and were passed over."),
        "{}",
        ended.output
    );
    // For programs it goes where the closing words go.
    let ended = world.run(&["check", "--verbose", "--format", "lines"]);
    let line = "\n  hut/: a site of its own\n";
    assert!(
        !ended.output.contains(line) && ended.errors.contains(line),
        "{}",
        ended.errors
    );
    let ended = world.run(&["check"]);
    assert!(!ended.output.contains("Passed over"), "{}", ended.output);
    let ended = world.run(&["check", "--format", "junit"]);
    let skipped = "<skipped type=\"passed-over\" message=\"not judged: holds no section";
    assert!(ended.output.contains(skipped), "{}", ended.output);
}

#[test]
fn patterns_that_mean_no_file_are_told_where_they_stand() {
    let choice = "site:\n  practice: iec\n  files: {take-in: ['*.yaml', 'row/**'], leave-out: [gone, old.yaml]}\n";
    let world = World::with(&[
        ("cordwright.yaml", choice),
        (
            "a.yaml",
            "supplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n",
        ),
        ("old.yaml", "a: 1\n"),
        ("rows/a.yaml", "a: 1\n"),
    ]);
    let ended = world.run(&["check", "--format", "lines", "--only", "pattern-idle"]);
    let lines: Vec<&str> = ended.output.lines().collect();
    assert_eq!((ended.code, lines.len()), (Some(1), 2), "{}", ended.output);
    for (line, start) in lines.iter().zip([
        "cordwright.yaml:3:31: error: the pattern `row/**`",
        "cordwright.yaml:3:54: note: the pattern `gone`",
    ]) {
        assert!(line.starts_with(start), "{line}");
    }
}

#[test]
fn comparing_needs_a_repository() {
    let ended = site().run(&["check", "--compare=--upload-pack=x"]);
    assert_failed(&ended, &["cannot compare"]);
}

#[test]
fn failures_are_coloured_only_where_that_is_wanted() {
    let world = World::with(&[]);
    let coloured = |words: &[&str], variable: (&str, &str)| {
        let ended = ended(world.command(words).env(variable.0, variable.1));
        ended.errors.contains('\u{1b}')
    };
    assert!(!coloured(&["check"], ("TERM", "xterm")));
    assert!(coloured(&["check", "--color", "always"], ("NO_COLOR", "1")));
    assert!(coloured(&["check"], ("CLICOLOR_FORCE", "1")));
    assert!(!coloured(
        &["check", "--color=never"],
        ("CLICOLOR_FORCE", "1")
    ));
}

/// Runs a command whose reader has left before it says a word.
fn unread(world: &World, words: &[&str]) -> std::process::Output {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let mut command = Command::new(env!("CARGO_BIN_EXE_cordwright"));
    let command = command.current_dir(world.at("")).args(words);
    let command = command.stdout(writer).stderr(Stdio::piped());
    command.output().unwrap()
}

#[test]
fn a_reader_that_leaves_is_no_failure() {
    let world = World::with(&[]);
    for words in [vec!["--help"], vec!["cite"]] {
        let output = unread(&world, &words);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!((output.status.code(), &*errors), (Some(0), ""), "{words:?}");
    }
}

#[test]
fn a_reader_that_leaves_makes_no_site_sound() {
    let world = World::with(&[
        ("cordwright.yaml", SITE),
        (
            "lost.yaml",
            "cords:\n  W-1: {type: a, from: b/1, to: c/1}\n",
        ),
    ]);
    for format in ["lines", "sarif"] {
        let output = unread(&world, &["check", "--format", format]);
        assert_eq!(output.status.code(), Some(1), "{format}");
    }
}

#[test]
fn rules_are_listed_and_their_pages_shown() {
    let world = World::with(&[]);
    let table = world.run(&["cite"]);
    assert_eq!((table.code, table.errors.as_str()), (Some(0), ""));
    let names: Vec<&str> = table
        .output
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| !name.is_empty())
        .collect();
    assert!(names.contains(&"coupler-mismatch"), "{}", table.output);
    for name in names {
        let page = world.run(&["cite", name]);
        assert_eq!(page.code, Some(0), "{}", page.errors);
        assert!(page.output.contains(name), "{}", page.output);
    }
}
