//! Receptacles of a landlord: what he says of them, or what was measured there, stands for wiring that the
//! tenant does not know; nothing of it may be left out unasked.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

const OWN_WIRING: &str = include_str!("../rooms/nl-colo/cordwright.yaml");

/// The same cage, known from its receptacles on.
fn cage() -> String {
    let supply = ", capacity: 160 kVA, fault-current: 6 kA";
    assert_eq!(OWN_WIRING.matches(supply).count(), 2);
    let mut text = OWN_WIRING.replace(supply, "");
    for (wiring, contracted) in [
        ("wiring: {conductor: 4 mm², length: 22 m}", "12 A"),
        ("wiring: {conductor: 4 mm², length: 31 m}", "12 A"),
        ("wiring: {conductor: 6 mm², length: 24 m}", "16 A"),
        ("wiring: {conductor: 6 mm², length: 33 m}", "16 A"),
    ] {
        assert_eq!(text.matches(wiring).count(), 1, "{wiring}");
        let figures = format!(
            "at-receptacle: {{fault-current: 1.4 kA, earth-loop: 0.32 ohm, voltage: 228 V, contracted: {contracted}, source: test report 2231}}"
        );
        text = text.replace(wiring, &figures);
    }
    text
}

fn findings(edits: &[(&str, &str)]) -> Vec<Finding> {
    let mut text = cage();
    for (old, new) in edits {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    let judgement = judged(&vec![("cordwright.yaml".into(), text)]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement.findings
}

fn said(rule: &str, edits: &[(&str, &str)]) -> Vec<Finding> {
    let found = findings(edits).into_iter();
    found.filter(|found| found.rule == rule).collect()
}

fn verdict(rule: &str, edits: &[(&str, &str)]) -> Option<Verdict> {
    said(rule, edits).first().map(|found| found.verdict)
}

#[test]
fn a_cage_that_is_known_from_its_receptacles_on_is_silent() {
    let found = findings(&[]);
    assert!(found.is_empty(), "{found:#?}");
}

/// Without the figures the wiring is asked for as ever.
#[test]
fn without_them_the_wiring_is_asked_for() {
    let figures = "at-receptacle: {fault-current: 1.4 kA, earth-loop: 0.32 ohm, voltage: 228 V, contracted: 12 A, source: test report 2231}, ";
    for edit in [(figures, ""), (", source: test report 2231", "")] {
        let asked = said("conductor-underrated", &[edit]);
        assert!(
            asked.iter().any(|found| found.verdict == Verdict::Open),
            "{asked:#?}"
        );
    }
    let found = findings(&[(figures, "at-receptacle: as in the contract, ")]);
    assert!(
        found.iter().any(|found| found.rule == "bad-quantity"),
        "{found:#?}"
    );
    assert!(
        found.iter().any(|found| found.verdict == Verdict::Open),
        "{found:#?}"
    );
}

/// Each of them is asked for by its own name, left out or not readable.
#[test]
fn what_is_missing_of_them_is_asked_for_by_its_name() {
    for (figure, key, rule) in [
        (
            "fault-current: 1.4 kA",
            "at-receptacle.fault-current",
            "breaking-capacity",
        ),
        (
            "earth-loop: 0.32 ohm",
            "at-receptacle.earth-loop",
            "slow-disconnection",
        ),
        ("voltage: 228 V", "at-receptacle.voltage", "voltage-drop"),
        (
            "contracted: 12 A",
            "at-receptacle.contracted",
            "voltage-drop",
        ),
        (
            "contracted: 12 A",
            "at-receptacle.contracted",
            "circuit-overloaded",
        ),
    ] {
        let name = figure.split(':').next().unwrap();
        let unreadable = format!("{name}: much");
        // The strip on the first receptacle has no breakers; that on the last has.
        for (old, new) in [
            (format!("{figure}, "), String::new()),
            (figure.to_owned(), unreadable),
        ] {
            let mut text = cage();
            text = text.replace(&old, &new);
            let judgement = judged(&vec![("cordwright.yaml".into(), text)]);
            let asks = |found: &Finding| {
                let wants = found.wants.iter().any(|fact| fact.key == key);
                found.rule == rule && found.verdict == Verdict::Open && wants
            };
            assert!(
                judgement.findings.iter().any(asks),
                "{key} {new}: {:#?}",
                judgement.findings
            );
        }
    }
}

/// Wiring of which only a part is written says no more than none.
#[test]
fn wiring_that_is_half_written_does_not_answer_for_the_voltage() {
    let half = (
        "voltage: 228 V, contracted: 12 A, source: test report 2231}",
        "contracted: 12 A, source: test report 2231}, wiring: {insulation: pvc-70}",
    );
    let asked = said("voltage-drop", &[half]);
    assert!(
        asked.iter().any(|found| found.verdict == Verdict::Open),
        "{asked:#?}"
    );
}

/// 6 kA of the strip's breakers.
#[test]
fn what_a_short_circuit_draws_there_is_held_against_the_breakers_behind() {
    let rule = "breaking-capacity";
    assert_eq!(verdict(rule, &[]), None);
    let strong = cage().replace("fault-current: 1.4 kA", "fault-current: 40 kA");
    let judgement = judged(&vec![("cordwright.yaml".into(), strong)]);
    let broken = |found: &&Finding| found.rule == rule && found.verdict == Verdict::Broken;
    assert!(
        judgement.findings.iter().any(|found| broken(&found)),
        "{:#?}",
        judgement.findings
    );
}

/// His breaker stands ahead of his receptacle, and sees no less. What he does not say of it is his to answer for.
#[test]
fn what_a_short_circuit_draws_there_is_held_against_his_own_breaker() {
    let rule = "breaking-capacity";
    let current = |text| ("fault-current: 1.4 kA", text);
    let found = said(rule, &[current("fault-current: 12 kA")]);
    let [found] = found.as_slice() else {
        panic!("{found:#?}");
    };
    assert_eq!(
        (found.verdict, found.level),
        (Verdict::Broken, Level::Error)
    );
    assert!(
        found.headline.contains("circuit A-12"),
        "{}",
        found.headline
    );
    let whole = format!("{found:?}");
    for part in [
        "12 kA at the landlord's socket",
        "test report 2231",
        "Tell the landlord",
    ] {
        assert!(whole.contains(part), "{part}: {whole}");
    }
    assert_eq!(verdict(rule, &[current("fault-current: 10 kA")]), None);
    let silent = (
        "breakers: {curve: C, breaking-capacity: 10 kA}",
        "breakers: {curve: C}",
    );
    assert_eq!(
        verdict(rule, &[current("fault-current: 12 kA"), silent]),
        None
    );
    // Without a source nothing of it counts.
    let unsourced = (
        ", contracted: 12 A, source: test report 2231",
        ", contracted: 12 A",
    );
    let found = said(rule, &[current("fault-current: 12 kA"), unsourced]);
    assert!(
        found.iter().all(|found| found.verdict == Verdict::Open),
        "{found:#?}"
    );
}

/// A 16 A breaker of curve C opens from 160 A on: 0.95 × 230 V ÷ 1.36 ohm.
#[test]
fn the_loop_there_is_held_against_the_breaker_ahead() {
    let rule = "slow-disconnection";
    assert_eq!(
        verdict(rule, &[("earth-loop: 0.32 ohm", "earth-loop: 0.9 ohm")]),
        None
    );
    let slow = ("earth-loop: 0.32 ohm", "earth-loop: 1.6 ohm");
    let found = said(rule, &[slow]);
    assert_eq!(found[0].verdict, Verdict::Broken);
    let whole = format!("{:?}", found[0]);
    for part in [
        "1.6 ohm around the earth loop there, cold",
        "test report 2231",
    ] {
        assert!(whole.contains(part), "{part}: {whole}");
    }
}

/// 3 % of 230 V along the circuit are 6.9 V, while the contracted current flows.
#[test]
fn the_voltage_there_is_lost_already() {
    let rule = "voltage-drop";
    let low = cage().replace("voltage: 228 V", "voltage: 150 V");
    let judgement = judged(&vec![("cordwright.yaml".into(), low)]);
    let found = judgement.findings.iter().find(|found| found.rule == rule);
    assert_eq!(found.map(|found| found.verdict), Some(Verdict::Broken));
    assert_eq!(verdict(rule, &[("voltage: 228 V", "voltage: 400 V")]), None);
}

#[test]
fn what_is_contracted_is_a_limit_of_its_own() {
    let rule = "circuit-overloaded";
    let less = cage().replace("contracted: 16 A", "contracted: 3 A");
    let judgement = judged(&vec![("cordwright.yaml".into(), less)]);
    let rules = ["circuit-overloaded", "failover-overloaded"];
    let found = judgement
        .findings
        .iter()
        .find(|found| rules.contains(&found.rule));
    let found = found.unwrap_or_else(|| panic!("{:#?}", judgement.findings));
    assert_eq!(
        (found.verdict, found.level),
        (Verdict::Broken, Level::Warning)
    );
    assert!(found.headline.contains("contracted"), "{}", found.headline);
    assert_eq!(verdict(rule, &[]), None);
}
