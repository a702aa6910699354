//! The example site says exactly what is written down, and every mistake planted in it is found.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::world::{Ended, World, ended, example_site};

/// A row of the table of mistakes in the site's README.
struct Mistake {
    file: String,
    thing: String,
    rule: String,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn expected_path() -> PathBuf {
    root().join("tests/expected/example-repo.txt")
}

/// Checks the example site with so many threads.
fn check(threads: &str) -> Ended {
    ended(example_site("lines").env("RAYON_NUM_THREADS", threads))
}

/// What stands between the first pair of backticks.
fn quoted(cell: &str) -> &str {
    cell.split('`')
        .nth(1)
        .unwrap_or_else(|| panic!("no name in backticks: {cell}"))
}

/// The rows whose third cell names a rule: `| file | thing and what is wrong | rule | putting right |`.
fn planted() -> Vec<Mistake> {
    let readme = std::fs::read_to_string(root().join("example-repo/README.md")).unwrap();
    let (_, mistakes) = readme
        .split_once("## Planted mistakes")
        .expect("the heading of the table");
    let rows = mistakes
        .lines()
        .skip_while(|line| !line.starts_with("|---"));
    let rows = rows.skip(1).take_while(|line| line.starts_with('|'));
    let rows = rows.map(|row| {
        let cells: Vec<&str> = row.trim_matches('|').split('|').collect();
        Mistake {
            file: quoted(cells[0]).to_owned(),
            thing: quoted(cells[1]).to_owned(),
            rule: quoted(cells[2]).to_owned(),
        }
    });
    rows.collect()
}

/// A finding with its other places: a line and the notes that follow it.
fn findings(output: &str) -> Vec<Vec<&str>> {
    let mut findings: Vec<Vec<&str>> = Vec::new();
    for line in output.lines() {
        match findings.last_mut().filter(|_| !line.ends_with(']')) {
            Some(finding) => finding.push(line),
            None => findings.push(vec![line]),
        }
    }
    findings
}

#[test]
fn the_example_site_says_what_is_written_down() {
    let told = check("4");
    assert_eq!(told.code, Some(1), "{}", told.errors);
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        std::fs::create_dir_all(expected_path().parent().unwrap()).unwrap();
        std::fs::write(expected_path(), &told.output).unwrap();
    }
    let expected = std::fs::read_to_string(expected_path()).unwrap();
    let missed = expected.lines().filter(|line| !told.output.contains(line));
    let surplus = told.output.lines().filter(|line| !expected.contains(line));
    let (missed, surplus): (Vec<_>, Vec<_>) = (missed.collect(), surplus.collect());
    assert!(
        missed.is_empty() && surplus.is_empty(),
        "missed {missed:#?}\nsurplus {surplus:#?}"
    );
    assert_eq!(told.output, expected);
}

#[test]
fn every_planted_mistake_is_found_by_its_rule() {
    let told = check("4");
    let findings = findings(&told.output);
    let planted = planted();
    let missed = planted.iter().filter(|mistake| {
        let place = format!("example-repo/{}:", mistake.file);
        let rule = format!("[{}]", mistake.rule);
        !findings.iter().any(|finding| {
            finding[0].ends_with(&rule)
                && finding[0].contains(&mistake.thing)
                && finding.iter().any(|line| line.starts_with(&place))
        })
    });
    let missed: Vec<String> = missed
        .map(|mistake| format!("{} at {} in {}", mistake.rule, mistake.thing, mistake.file))
        .collect();
    let rules: BTreeSet<&str> = planted
        .iter()
        .map(|mistake| mistake.rule.as_str())
        .collect();
    assert!(rules.len() >= 16, "only these rules were read: {rules:?}");
    assert!(missed.is_empty(), "not found: {missed:#?}\n{}", told.output);
}

#[test]
fn threads_do_not_show_in_what_is_told() {
    let (one, four) = (check("1"), check("4"));
    assert_eq!((one.code, one.output), (four.code, four.output));
    assert_eq!(one.errors, four.errors);
}

/// The README's picture of a finding is what the command prints.
#[test]
fn the_readme_shows_a_real_finding() {
    let words = ["check", "example-repo", "--only", "plug-fuse"];
    let mut command = World::with(&[]).command(&words);
    let told = ended(command.current_dir(root()).env("COLUMNS", "80"));
    let (finding, _) = told.output.split_once("\n\nJudged").expect("a finding");
    let path = root().join("README.md");
    let readme = std::fs::read_to_string(&path).unwrap();
    let (before, rest) = readme.split_once("```text\n").expect("a picture");
    let (shown, after) = rest.split_once("\n```").expect("the end of the picture");
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        std::fs::write(&path, format!("{before}```text\n{finding}\n```{after}")).unwrap();
    } else {
        assert_eq!(shown, finding);
    }
}
