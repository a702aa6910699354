//! The action for pull requests: its files hold together, its script does what it says, and its
//! matcher reads the lines that a check writes.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use regex::Regex;
use serde_json::Value;

use crate::world::{World, ended, example_site};

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
fn the_action_takes_what_it_names_and_pins_what_it_uses() {
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
    let workflow = std::fs::read_to_string(root().join(".github/workflows/check.yml")).unwrap();
    let uses = Regex::new(r"uses: (\S+)").unwrap();
    let pinned = Regex::new(r"@v\d+$").unwrap();
    for found in uses.captures_iter(&format!("{text}{workflow}")) {
        let name = found.get(1).unwrap().as_str();
        assert!(
            pinned.is_match(name) || name == "./.github/actions/check",
            "{name}"
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

#[cfg(unix)]
mod script {
    use super::*;

    struct Ran {
        log: String,
        outputs: String,
        summary: String,
        sarif: Option<String>,
    }

    /// Runs the action's script as a runner would.
    fn run(world: &World, sites: &str, fail_at: &str) -> Ran {
        let output = std::process::Command::new("bash")
            .arg(folder().join("run"))
            .current_dir(world.at(""))
            .env("PROGRAM", env!("CARGO_BIN_EXE_cordwright"))
            .envs([("SITES", sites), ("COMPARE", ""), ("FAIL_AT", fail_at)])
            .env("RUNNER_TEMP", world.at(""))
            .env("GITHUB_OUTPUT", world.at("outputs"))
            .env("GITHUB_STEP_SUMMARY", world.at("summary.md"))
            .output()
            .unwrap();
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{errors}");
        let read = |path| std::fs::read_to_string(world.at(path));
        Ran {
            log: String::from_utf8(output.stdout).unwrap(),
            outputs: read("outputs").unwrap(),
            summary: read("summary.md").unwrap(),
            sarif: read("cordwright.sarif").ok(),
        }
    }

    fn sites() -> World {
        let world = World::with(&[]);
        let site = "site: {name: Quay, practice: iec}\nsupplies: {mains: {system: 1/N/PE ~ 230 V 50 Hz}}\n";
        world.put("one quay/cordwright.yaml", site);
        world.put("two/cordwright.yaml", site);
        world.put(
            "two/lost.yaml",
            "cords:\n  W-1: {type: a, from: b/1, to: c/1}\n",
        );
        world
    }

    #[test]
    fn findings_are_handed_on_and_the_code_is_kept_for_the_end() {
        let ran = run(&sites(), "one quay\ntwo", "error");
        assert!(ran.outputs.contains("code=1\n"), "{}", ran.outputs);
        assert!(ran.outputs.contains("cordwright.sarif"), "{}", ran.outputs);
        assert!(ran.sarif.is_some_and(|text| text.contains("unknown-name")));
        assert!(
            ran.log.contains("::add-matcher::") && ran.log.contains("two/lost.yaml:2:"),
            "{}",
            ran.log
        );
        assert!(ran.summary.contains("Found") && ran.summary.contains("licensed electrician"));
    }

    #[test]
    fn names_of_strangers_stay_in_the_block_of_the_summary() {
        let world = World::with(&[]);
        let name = r#""```\n::error::gone ~~~ <b> [a](https://example.org)""#;
        let site = format!("site: {{name: {name}, practice: iec}}\n");
        world.put("a/cordwright.yaml", &site);
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

    #[test]
    fn a_clean_site_ends_with_nothing_to_fail_for() {
        let ran = run(&sites(), "one quay", "note");
        assert!(ran.outputs.contains("code=0\n"), "{}", ran.outputs);
    }

    #[test]
    fn a_job_that_could_not_be_done_leaves_nothing_to_hand_on() {
        let ran = run(&sites(), "nowhere", "error");
        assert!(
            ran.outputs.contains("code=2\n") && !ran.outputs.contains("sarif="),
            "{}",
            ran.outputs
        );
        assert!(
            ran.sarif.is_none() && ran.summary.contains("nowhere"),
            "{}",
            ran.summary
        );
    }
}
