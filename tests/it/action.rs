//! The action for pull requests: its files hold together, its script does what it says, and its
//! matcher reads the lines that a check writes.

#[cfg(unix)]
mod getting;
#[cfg(unix)]
mod script;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use regex::Regex;
use serde_json::Value;

use crate::world::{ended, example_site};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn folder() -> PathBuf {
    root().join(".github/actions/check")
}

fn yaml(path: &Path) -> Value {
    serde_yaml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn lines_of_the_example_site() -> String {
    ended(&mut example_site("lines")).output
}

#[test]
fn the_matcher_reads_every_headline_and_nothing_else() {
    let matchers = std::fs::read_to_string(folder().join("matcher.json")).unwrap();
    let matchers: Value = serde_json::from_str(&matchers).unwrap();
    let patterns = matchers["problemMatcher"].as_array().unwrap().iter();
    let patterns: Vec<(Regex, &Value)> = patterns
        .map(|matcher| {
            let pattern = &matcher["pattern"][0];
            (
                Regex::new(pattern["regexp"].as_str().unwrap()).unwrap(),
                matcher,
            )
        })
        .collect();
    let text = lines_of_the_example_site();
    let mut seen = BTreeSet::new();
    for line in text.lines() {
        let read: Vec<_> = patterns
            .iter()
            .filter_map(|(regexp, matcher)| Some((regexp.captures(line)?, *matcher)))
            .collect();
        let is_headline = line.ends_with(']');
        assert_eq!(read.len(), usize::from(is_headline), "{line}");
        for (found, matcher) in read {
            seen.insert(assert_read(line, &found, matcher));
        }
    }
    let all = ["error", "notice", "warning"].map(str::to_owned);
    assert_eq!(seen, BTreeSet::from(all));
}

/// Holds the parts against the line and the file that it names; gives the severity.
fn assert_read(line: &str, found: &regex::Captures<'_>, matcher: &Value) -> String {
    let pattern = &matcher["pattern"][0];
    let part = |key: &str| {
        let group = pattern[key].as_u64()?;
        Some(found.get(usize::try_from(group).unwrap())?.as_str())
    };
    let text = std::fs::read_to_string(root().join(part("file").unwrap())).unwrap();
    let number: usize = part("line").unwrap().parse().unwrap();
    assert!((1..=text.lines().count() + 1).contains(&number), "{line}");
    assert!(
        cordwright::rules::find(part("code").unwrap()).is_some(),
        "{line}"
    );
    assert!(line.contains(part("message").unwrap()));
    let severity = part("severity").or(matcher["severity"].as_str());
    severity.unwrap().to_owned()
}

#[test]
fn the_action_takes_what_it_names() {
    let path = folder().join("action.yml");
    let action = yaml(&path);
    let text = std::fs::read_to_string(&path).unwrap();
    let used = Regex::new(r"inputs\.([a-z-]+)").unwrap();
    let used: BTreeSet<&str> = used
        .captures_iter(&text)
        .map(|found| found.get(1).unwrap().as_str())
        .collect();
    let inputs = action["inputs"].as_object().unwrap();
    let named: BTreeSet<&str> = inputs.keys().map(String::as_str).collect();
    assert_eq!(used, named);
    for step in action["runs"]["steps"].as_array().unwrap() {
        assert!(
            step["shell"].is_string() != step["uses"].is_string(),
            "{step}"
        );
        assert!(
            !step["run"].as_str().unwrap_or("").contains("${{"),
            "{step} may be injected into"
        );
    }
    let workflow = yaml(&root().join(".github/workflows/check.yml"));
    let given = &workflow["jobs"]["example"]["steps"][1]["with"];
    assert!(
        given
            .as_object()
            .unwrap()
            .keys()
            .all(|key| inputs.contains_key(key))
    );
}

/// The workflows and the action, each with its text.
fn workflows() -> Vec<(PathBuf, String)> {
    let names = [
        "workflows/check.yml",
        "workflows/release.yml",
        "actions/check/action.yml",
    ];
    let paths = names.map(|name| root().join(".github").join(name));
    let read = |path: PathBuf| (path.clone(), std::fs::read_to_string(path).unwrap());
    paths.map(read).into()
}

#[test]
fn nothing_of_others_is_used_but_by_its_commit() {
    let uses = Regex::new(r"(?m)^\s*(?:- )?uses: (\S+)").unwrap();
    let commit = Regex::new("@[0-9a-f]{40}$").unwrap();
    for (path, text) in workflows() {
        for found in uses.captures_iter(&text) {
            let name = &found[1];
            let is_own = name == "./.github/actions/check";
            assert!(
                is_own || commit.is_match(name),
                "{name} in {}",
                path.display()
            );
        }
    }
    let all = std::fs::read_dir(root().join(".github/workflows")).unwrap();
    assert_eq!(
        all.count() + 1,
        workflows().len(),
        "a workflow is not looked at"
    );
}

/// Every step of a workflow.
fn steps(workflow: &Value) -> Vec<Value> {
    let jobs = workflow["jobs"].as_object().unwrap().values();
    jobs.flat_map(|job| job["steps"].as_array().unwrap().clone())
        .collect()
}

#[test]
fn every_job_checks_out_alike_and_hands_its_token_to_nothing_else() {
    let mut outs = Vec::new();
    for (path, text) in workflows().into_iter().take(2) {
        let workflow: Value = serde_yaml::from_str(&text).unwrap();
        for step in steps(&workflow) {
            let run = step["run"].as_str().unwrap_or("");
            assert!(!run.contains("${{"), "{step} may be injected into");
            if step["name"] == "Check out" {
                outs.push(step);
            } else {
                assert_eq!(step["env"]["TOKEN"], Value::Null, "{}", path.display());
            }
        }
    }
    outs.dedup();
    assert_eq!(outs.len(), 1, "{outs:#?}");
}

#[cfg(unix)]
#[test]
fn the_oldest_rust_that_is_promised_is_tried() {
    let workflow = yaml(&root().join(".github/workflows/check.yml"));
    let run = workflow["jobs"]["oldest"]["steps"][1]["run"].as_str();
    let (found, rest) = run.unwrap().split_once('\n').unwrap();
    let told = std::process::Command::new("bash")
        .args(["-c", &format!("{found}; printf %s \"$oldest\"")])
        .current_dir(root())
        .output()
        .unwrap();
    let oldest = String::from_utf8(told.stdout).unwrap();
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    assert!(
        readme.contains(&format!("Rust ({oldest} or later)")),
        "{oldest}"
    );
    assert!(rest.contains(r#"cargo "+$oldest" test --locked"#), "{rest}");
}

/// The `yaml` blocks of the README that hold `word`, with their indent taken off.
fn snippet(word: &str) -> Value {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let blocks = readme.split("  ```yaml\n").skip(1);
    let mut blocks = blocks.map(|rest| rest.split("  ```\n").next().unwrap());
    let block = blocks.find(|block| block.contains(word)).expect(word);
    serde_yaml::from_str(block).unwrap()
}

#[test]
fn what_the_readme_shows_fits() {
    let action = yaml(&folder().join("action.yml"));
    let step = snippet("jobs:")["jobs"]["power-cords"]["steps"][1].clone();
    for key in step["with"].as_object().unwrap().keys() {
        assert!(action["inputs"][key].is_object(), "{key}");
    }
    let hooks = yaml(&root().join(".pre-commit-hooks.yaml"));
    let id = &snippet("repos:")["repos"][0]["hooks"][0]["id"];
    assert!(
        hooks
            .as_array()
            .unwrap()
            .iter()
            .any(|hook| hook["id"] == *id)
    );
    let script = &snippet("script:")["power-cords"]["script"];
    assert!(
        script[1]
            .as_str()
            .unwrap()
            .starts_with("cordwright check --compare ")
    );
}
