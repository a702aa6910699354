//! The page of a rule is its test: every example on it is judged and must say exactly what it says.
//!
//! A section with blocks that name a file, as ```` ```yaml cords.yaml ```` does, is a case. Its files are those of the base site it names, those of
//! the first case, and its own, the later ones in place of the earlier. With a bare `text` block the rule
//! must say just that; without one, no rule may say anything. `CORDWRIGHT_BLESS=1` writes what is
//! said into the `text` blocks, for a person to read before it is committed.
//!
//! Files below `before/` make the case one of a change: the earlier state is the same but for them, and
//! what no YAML file holds of them any more is out of sight if another file does.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use cordwright::finding::Finding;
use cordwright::judgement::Judgement;
use cordwright::rules::{RULES, Rule};

use crate::site::{Files, annotated, judged, judged_as_change};

/// A section of a page that is a case.
struct Case {
    heading: String,
    files: Vec<(String, String)>,
    expected: Option<Block>,
}

/// The inside of a fenced block: its lines in the page.
struct Block {
    from: usize,
    to: usize,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("lint-docs")
}

fn cases(page: &str) -> Vec<Case> {
    let lines: Vec<&str> = page.lines().collect();
    let mut cases: Vec<Case> = Vec::new();
    let mut heading = String::new();
    let mut at = 0;
    while at < lines.len() {
        if lines[at].starts_with('#') {
            heading = lines[at].trim_start_matches('#').trim().to_owned();
        }
        let Some(info) = lines[at]
            .strip_prefix("```")
            .filter(|info| !info.is_empty())
        else {
            at += 1;
            continue;
        };
        let to = (at + 1..lines.len())
            .find(|&line| lines[line] == "```")
            .expect("a fence that is closed");
        let path = info.split_once(' ').map(|(_, path)| path);
        if cases.last().is_none_or(|case| case.heading != heading) && path.is_some() {
            cases.push(Case {
                heading: heading.clone(),
                files: Vec::new(),
                expected: None,
            });
        }
        match (path, cases.last_mut()) {
            (Some(path), Some(case)) => case
                .files
                .push((path.to_owned(), lines[at + 1..to].join("\n") + "\n")),
            (None, Some(case)) if info == "text" => {
                case.expected = Some(Block { from: at + 1, to })
            }
            _ => {}
        }
        at = to + 1;
    }
    cases
}

/// The base sites of the overview, by file name.
pub fn bases() -> BTreeMap<String, String> {
    let overview = std::fs::read_to_string(folder().join("README.md")).unwrap();
    cases(&overview)
        .into_iter()
        .flat_map(|case| case.files)
        .collect()
}

/// The cases of a rule's page as whole sites.
fn sites(page: &str) -> Vec<(Case, Files)> {
    let bases = bases();
    let named = bases
        .iter()
        .filter(|(name, _)| page.contains(name.as_str()));
    let mut first: BTreeMap<String, String> = named
        .map(|(name, text)| (name.clone(), text.clone()))
        .collect();
    let mut sites = Vec::new();
    for case in cases(page) {
        let mut files = first.clone();
        files.extend(case.files.iter().cloned());
        if sites.is_empty() {
            first = files.clone();
        }
        sites.push((case, files.into_iter().collect()));
    }
    sites
}

/// Rules that a page says are found in its examples besides its own.
fn also(page: &str) -> Vec<&str> {
    let lines = page
        .lines()
        .filter_map(|line| line.strip_prefix("Also found here: "));
    lines
        .flat_map(|line| line.trim_end_matches('.').split(", "))
        .map(|name| name.trim_matches('`'))
        .collect()
}

#[test]
fn every_example_says_what_its_page_says() {
    let mut wrong = String::new();
    let mut seen = 0;
    for rule in RULES {
        seen += check_page(rule, &mut wrong);
    }
    assert!(seen >= RULES.len(), "some page has no example");
    assert!(wrong.is_empty(), "{wrong}");
}

fn check_page(rule: &Rule, wrong: &mut String) -> usize {
    let bless = std::env::var_os("CORDWRIGHT_BLESS").is_some();
    let path = folder().join(format!("{}.md", rule.name));
    let page = std::fs::read_to_string(&path).unwrap();
    let sites = sites(&page);
    let mut lines: Vec<String> = page.lines().map(str::to_owned).collect();
    if sites.is_empty() {
        writeln!(wrong, "{}: no example", rule.name).unwrap();
    }
    let mut also_found = BTreeSet::new();
    // From the end, so that lines before it keep their numbers.
    for (case, files) in sites.iter().rev() {
        let judgement = match changed(files) {
            Some(judgement) => judgement,
            None => judged(files),
        };
        let (own, others): (Vec<Finding>, Vec<Finding>) = judgement
            .findings
            .iter()
            .cloned()
            .partition(|f| f.rule == rule.name);
        // What puts a fault right may set off nothing else.
        let is_put_right = case.expected.is_none();
        also_found.extend(others.iter().map(|f| f.rule));
        let others: Vec<Finding> = others
            .into_iter()
            .filter(|f| is_put_right || !also(&page).contains(&f.rule))
            .collect();
        assert!(
            judgement.crashed.is_empty(),
            "{}: {:?} broke down",
            rule.name,
            judgement.crashed
        );
        if !others.is_empty() {
            writeln!(
                wrong,
                "{} · {}: other rules speak:\n{}",
                rule.name,
                case.heading,
                annotated(&judgement, &others)
            )
            .unwrap();
        }
        let said = annotated(&judgement, &own);
        match &case.expected {
            None if own.is_empty() => {}
            None => writeln!(
                wrong,
                "{} · {}: should be silent:\n{said}",
                rule.name, case.heading
            )
            .unwrap(),
            Some(_) if own.is_empty() => {
                writeln!(wrong, "{} · {}: says nothing", rule.name, case.heading).unwrap()
            }
            Some(block) if bless => {
                lines.splice(
                    block.from..block.to,
                    said.lines().map(|line| line.trim_end().to_owned()),
                );
            }
            Some(block) => {
                let expected = lines[block.from..block.to].join("\n") + "\n";
                let said: String = said
                    .lines()
                    .map(|line| line.trim_end().to_owned() + "\n")
                    .collect();
                if expected != said {
                    writeln!(
                        wrong,
                        "{} · {}: expected\n{expected}\nbut it says\n{said}",
                        rule.name, case.heading
                    )
                    .unwrap();
                }
            }
        }
    }
    for name in also(&page)
        .iter()
        .filter(|name| !also_found.contains(*name))
    {
        writeln!(wrong, "{}: {name} is not found here", rule.name).unwrap();
    }
    if bless {
        std::fs::write(&path, lines.join("\n") + "\n").unwrap();
    }
    sites.len()
}

/// A case with an earlier state, judged as a change of that.
fn changed(files: &Files) -> Option<Judgement> {
    let before: Files = files
        .iter()
        .filter_map(|(path, text)| Some((path.strip_prefix("before/")?.to_owned(), text.clone())))
        .collect();
    if before.is_empty() {
        return None;
    }
    let now: Files = files
        .iter()
        .filter(|(path, _)| is_read_now(path))
        .cloned()
        .collect();
    let mut earlier: BTreeMap<String, String> = now.iter().cloned().collect();
    earlier.extend(before.iter().cloned());
    let lost = before.iter().filter_map(|(path, text)| {
        let is_gone = now.iter().all(|(now, _)| now != path);
        let elsewhere = files.iter().find(|(other, now)| {
            !is_read_now(other) && !other.starts_with("before/") && now == text
        });
        let (now, _) = elsewhere.filter(|_| is_gone)?;
        Some((
            path.clone(),
            format!("now lies at {now}, where nothing reads it"),
        ))
    });
    Some(judged_as_change(
        &now,
        &earlier.into_iter().collect(),
        lost.collect(),
    ))
}

/// Every example file of every page that holds definitions: page, path and text.
pub fn examples() -> Vec<(String, String, String)> {
    let overview = std::iter::once("README");
    let pages = overview.chain(RULES.iter().map(|rule| rule.name));
    let mut examples = Vec::new();
    for page in pages {
        let text = std::fs::read_to_string(folder().join(format!("{page}.md"))).unwrap();
        let files = cases(&text).into_iter().flat_map(|case| case.files);
        let files = files.filter(|(path, _)| path.ends_with(".yaml") && is_read_now(path));
        examples.extend(files.map(|(path, text)| (page.to_owned(), path, text)));
    }
    examples
}

/// Every example of every rule's page, as a whole site.
pub fn example_sites() -> Vec<Files> {
    let pages = RULES.iter().flat_map(|rule| sites(rule.page));
    pages.map(|(_, files)| as_it_is_now(files)).collect()
}

/// The files of a case that the site is made of as it is.
fn as_it_is_now(files: Files) -> Files {
    let files = files.into_iter();
    files.filter(|(path, _)| is_read_now(path)).collect()
}

/// The first example of a rule's page, which sets it off, as a whole site.
pub fn first_example(rule: &str) -> Files {
    let rule = cordwright::rules::find(rule).expect("a rule of this name");
    let (_, files) = sites(rule.page).into_iter().next().expect("an example");
    as_it_is_now(files)
}

/// Whether a file of a case belongs to the site as it is, not to its earlier state nor beside it.
fn is_read_now(path: &str) -> bool {
    let is_of_the_site = path.ends_with(".yaml") || path == "cordwright-snags.txt";
    is_of_the_site && !path.starts_with("before/")
}
