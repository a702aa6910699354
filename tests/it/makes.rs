//! Cord types of a make: what the make says is judged as if the type said it, at the make's own bytes; what cannot be
//! had from it is never taken for left out.

use cordwright::finding::{Finding, Verdict};
use cordwright::judgement::Judgement;

use serde_yaml::{Mapping, Value};

use crate::pages::{bases, example_sites};
use crate::site::{Files, judged};

const DEVICES: &str = "\
device-models:
  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 1300 VA}
cords:
  W-1: {type: blue, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: red, from: pdu-b/1, to: rec-1/psu2}
";

const SAID: &str = "plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, rating: 10 A, approvals: [BSI]";

fn judgement(types: &str) -> Judgement {
    let own = format!("{DEVICES}{types}");
    let base = bases()["base-iec.yaml"].clone();
    let files = vec![
        ("base.yaml".to_owned(), base),
        ("cords.yaml".to_owned(), own),
    ];
    let judgement = judged(&files);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement
}

fn found(types: &str) -> Vec<Finding> {
    let mut findings = judgement(types).findings;
    findings.retain(|finding| finding.rule != "idle-definition");
    findings
}

/// Rules and headlines: what is said, wherever it stands.
fn told(findings: &[Finding]) -> Vec<(&'static str, String)> {
    let each = findings.iter();
    let mut told: Vec<_> = each.map(|f| (f.rule, f.headline.clone())).collect();
    told.sort();
    told
}

fn rules(types: &str) -> Vec<&'static str> {
    let mut rules: Vec<_> = found(types).iter().map(|finding| finding.rule).collect();
    rules.sort();
    rules.dedup();
    rules
}

/// The types in full, and as types of a make.
fn both(said: &str) -> (String, String) {
    let full = format!(
        "cord-types:\n  blue: {{{said}, length: 1.5 m, colour: blue}}\n  red: {{{said}, length: 1.5 m, colour: red}}\n"
    );
    let made = format!(
        "cord-makes:\n  m: {{{said}}}\ncord-types:\n  blue: {{make: m, length: 1.5 m, colour: blue}}\n  red: {{make: m, length: 1.5 m, colour: red}}\n"
    );
    (full, made)
}

#[test]
fn a_type_of_a_make_is_judged_as_if_it_said_all_itself() {
    let mistakes = [
        ("", ""),
        ("1.0 mm²", "0.5 mm²"),
        ("C13", "C15"),
        ("H05VV-F", "[H05VV-F, SJT]"),
        ("rating: 10 A", "rating: {iec: 6 A, nec: 10 A}"),
        ("approvals: [BSI]", "approvals: [CE]"),
        ("approvals: [BSI]", "cores: 2"),
        (
            "approvals: [BSI]",
            "angle: {plug: down}, stand-out: {connector: 40 mm}",
        ),
        (
            "approvals: [BSI]",
            "retention: {plug: outlet-latch, connector: pin-grip}",
        ),
        ("approvals: [BSI]", "temperature: 60 °C, connector-ip: IP20"),
        ("approvals: [BSI]", "fuse: 5 A, service: {halogen-free: no}"),
        ("plug: C14", "plug: BS 1363"),
        ("rating: 10 A, ", ""),
        ("conductor: 1.0 mm², ", ""),
        ("connector: C13, ", ""),
        ("conductor: 1.0 mm²", "conductor: wide"),
    ];
    for (right, wrong) in mistakes {
        let (full, made) = both(&SAID.replace(right, wrong));
        let (full, made) = (found(&full), found(&made));
        // What is missing or cannot be read is told once for a make, and once for each type.
        let of_records = |findings: Vec<Finding>| {
            let once = ["missing-key", "bad-quantity", "size-not-made"];
            let meant = |f: &Finding| !once.contains(&f.rule);
            findings.into_iter().filter(meant).collect::<Vec<_>>()
        };
        assert_eq!(full.is_empty(), made.is_empty(), "{wrong}");
        assert_eq!(told(&of_records(full)), told(&of_records(made)), "{wrong}");
    }
}

#[test]
fn what_is_wrong_with_a_make_is_shown_there() {
    let (_, made) = both(&SAID.replace("1.0 mm²", "0.5 mm²"));
    let judgement = judgement(&made);
    let thin = judgement.findings.iter();
    let thin: Vec<_> = thin
        .filter(|f| f.rule == "conductor-below-minimum")
        .collect();
    assert!(!thin.is_empty());
    for finding in thin {
        let at = finding.main.span;
        assert_eq!(
            judgement.sources.text(at),
            "0.5 mm²",
            "{}",
            finding.headline
        );
    }
}

/// Nothing that a type may have from its make is passed in silence where the make is not known.
#[test]
fn a_make_that_is_not_there_or_cannot_be_read_leaves_questions() {
    for (make, told) in [
        ("n", "unknown-name"),
        ("[m]", "bad-quantity"),
        ("", "bad-quantity"),
    ] {
        let types = format!(
            "cord-makes:\n  m: {{{SAID}}}\ncord-types:\n  blue: {{make: {make}, length: 1.5 m, colour: blue}}\n  red: {{make: m, length: 1.5 m, colour: red}}\n"
        );
        let rules = rules(&types);
        assert!(
            rules.contains(&told) || rules.contains(&"missing-key"),
            "{make}: {rules:?}"
        );
        let found = found(&types);
        let open = found
            .iter()
            .filter(|finding| finding.verdict == Verdict::Open);
        let is_open = open.count() > 0;
        assert!(
            is_open || rules.contains(&"missing-key"),
            "{make}: {rules:?}"
        );
    }
}

#[test]
fn what_both_say_is_told_and_the_nearer_is_judged() {
    let types = format!(
        "cord-makes:\n  m: {{{SAID}}}\ncord-types:\n  blue: {{make: m, conductor: 0.5 mm², length: 1.5 m, colour: blue}}\n  red: {{make: m, length: 1.5 m, colour: red}}\n"
    );
    let found = found(&types);
    let twice = found.iter().find(|f| f.rule == "bad-quantity").unwrap();
    assert!(
        twice
            .headline
            .contains("`conductor` stands here and in the make m"),
        "{}",
        twice.headline
    );
    assert!(found.iter().any(|f| f.rule == "conductor-below-minimum"));
}

/// Types of a make of many legs and marks take no more of them than the budget allows.
#[test]
fn a_make_does_not_multiply_without_end() {
    let legs: Vec<String> = (0..190)
        .map(|leg| format!("l{leg}: {{connector: C13, length: 1 m}}"))
        .collect();
    let mut types = format!(
        "cord-makes:\n  m: {{plug: C14, conductor: 1.0 mm², legs: {{{}}}}}\ncord-types:\n",
        legs.join(", ")
    );
    for number in 0..20_000 {
        types += &format!("  t{number}: {{make: m, length: 1 m}}\n");
    }
    let judgement = judgement(&types);
    let told = judgement.findings.iter();
    let told = told
        .filter(|f| f.headline.contains("so many legs and marks"))
        .count();
    assert!(told > 0);
}

/// What every cord type of the site says is moved to a make of its own, but what no make says.
fn with_makes(texts: &[(String, Value)]) -> Files {
    let mut texts = texts.to_vec();
    for (_, text) in &mut texts {
        let Some(Value::Mapping(types)) = text.get_mut("cord-types") else {
            continue;
        };
        let mut makes = Mapping::new();
        for (name, kind) in types.iter_mut() {
            let Value::Mapping(kind) = kind else { continue };
            // A make has conductors, and an adapter none.
            if kind.contains_key("adapter") {
                continue;
            }
            let mut make = Mapping::new();
            for key in kind.keys().cloned().collect::<Vec<_>>() {
                if !["length", "colour", "resistance"].contains(&key.as_str().unwrap_or("")) {
                    let value = kind.remove(&key).unwrap();
                    make.insert(key, value);
                }
            }
            let own = Value::String(format!("of {}", name.as_str().unwrap_or("?")));
            kind.insert("make".into(), own.clone());
            makes.insert(own, Value::Mapping(make));
        }
        text["cord-makes"] = Value::Mapping(makes);
    }
    written(&texts)
}

fn written(texts: &[(String, Value)]) -> Files {
    let each = texts.iter();
    each.map(|(path, text)| (path.clone(), serde_yaml::to_string(text).unwrap()))
        .collect()
}

/// Every key of a type, in every site of the pages, is judged as well where the make says it.
#[test]
fn every_key_counts_from_the_make_as_from_the_type() {
    let mut compared = 0;
    for files in example_sites() {
        let texts: Option<Vec<(String, Value)>> = files
            .iter()
            .map(|(path, text)| Some((path.clone(), serde_yaml::from_str(text).ok()?)))
            .collect();
        // What another reader cannot read, or what one file says in several documents, cannot be moved here.
        let Some(texts) = texts else { continue };
        if !texts
            .iter()
            .any(|(_, text)| text.get("cord-types").is_some())
        {
            continue;
        }
        let (plain, made) = (judged(&written(&texts)), judged(&with_makes(&texts)));
        let of_records = |judgement: Judgement| {
            let mut findings = judgement.findings;
            findings.retain(|f| {
                let rule = cordwright::rules::find(f.rule).unwrap();
                rule.subject != cordwright::rules::Subject::Records && f.rule != "size-not-made"
            });
            told(&findings)
        };
        assert_eq!(of_records(plain), of_records(made), "{files:?}");
        compared += 1;
    }
    assert!(compared > 150, "{compared}");
}

/// A leg that says nothing has what its cord says.
#[test]
fn legs_have_angle_and_retention_of_their_own_or_their_cords() {
    let splitter = |of_cord: &str, of_leg: &str| {
        let legs = format!("{{connector: C13, conductor: 1.0 mm², length: 0.5 m{of_leg}}}");
        let own = format!(
            "zones:\n  shaken: {{ambient: 25 °C, vibration: machinery, retention: required, air: room, wet: no, oil: no}}\nracks:\n  q1: {{zone: shaken, height: 42 U, width: 600 mm, depth: 1070 mm}}\ndevice-models:\n  recorder: {{height: 2 U, class: I, voltage: 220–240 V, rating: 1 A, rear-clearance: 60 mm, inlets: {{psu1: C14}}}}\ndevices:\n  rec-1: {{model: recorder, rack: q1, at: U10, draw: 100 VA}}\n  rec-2: {{model: recorder, rack: q1, at: U12, draw: 100 VA}}\ncord-types:\n  y: {{plug: C14, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI]{of_cord}, legs: {{a: {legs}, b: {legs}}}}}\ncords:\n  W-1: {{type: y, from: pdu-a/1, to: {{a: rec-1/psu1, b: rec-2/psu1}}}}\n"
        );
        let base = bases()["base-iec.yaml"].clone();
        let files = vec![("base.yaml".to_owned(), base), ("own.yaml".to_owned(), own)];
        let findings = judged(&files).findings;
        let meant = |f: &Finding| f.rule.starts_with("retention-") || f.rule == "angle-clash";
        told(&findings.into_iter().filter(meant).collect::<Vec<_>>())
    };
    let nothing = splitter("", "");
    let by_cord = splitter(", retention: {connector: pin-grip}", "");
    let by_leg = splitter(", retention: {plug: none}", ", retention: pin-grip");
    assert_ne!(nothing, by_cord);
    assert_eq!(by_cord, by_leg);
    // What a leg says counts, whatever the cord says.
    let against = splitter(", retention: {connector: pin-grip}", ", retention: none");
    assert_ne!(against, by_cord);
    assert!(
        against
            .iter()
            .any(|(rule, _)| rule.starts_with("retention-")),
        "{against:?}"
    );
    let far = splitter("", ", stand-out: 80 mm");
    assert_eq!(far, splitter(", stand-out: {connector: 80 mm}", ""));
    assert!(
        far.iter().any(|(rule, _)| *rule == "angle-clash"),
        "{far:?}"
    );
    assert!(
        splitter(", stand-out: {connector: 80 mm}", ", stand-out: 30 mm")
            .iter()
            .all(|(rule, _)| *rule != "angle-clash")
    );
    let unread = splitter(", stand-out: {connector: 30 mm}", ", stand-out: much");
    assert!(
        unread.iter().any(|(rule, _)| *rule == "angle-clash"),
        "{unread:?}"
    );
}
