//! What a site says once for all its circuits: it counts where a circuit is silent, and nowhere else.

use std::collections::BTreeSet;

use cordwright::finding::{FactState, Verdict};

use crate::pages::bases;
use crate::site::{Files, judged};

fn site(site: &str, circuit: &str) -> Files {
    let base = bases()["base-iec.yaml"].replace(
        "  name: Example under IEC practice\n",
        &format!("  name: Example\n{site}"),
    );
    let own = "    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}\n    wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}\n";
    assert_eq!(base.matches(own).count(), 2);
    let loads = "\
device-models:
  lamp: {class: I, voltage: 100–240 V, rating: 100 W, power-factor: 0.95, earth-current: 0.5 mA, inlets: {in: C14}, height: 1 U}
devices:
  lamp-1: {model: lamp, rack: r1, at: U4, draw: 90 W, measured: 2026-11-01}
cord-types:
  c13: {plug: C14, connector: C13, cordage: H05VV-F, conductor: 1.0 mm², length: 2 m, colour: blue, approvals: [BSI], retention: {plug: none, connector: none}}
cords:
  W-1: {type: c13, from: pdu-a/1, to: lamp-1/in}
";
    vec![
        ("cordwright.yaml".to_owned(), base.replace(own, circuit)),
        ("loads.yaml".to_owned(), loads.to_owned()),
    ]
}

/// Keys of circuits that open points want, and what stands there.
fn wanted(files: &Files) -> BTreeSet<(String, FactState)> {
    let findings = judged(files).findings.into_iter();
    let open = findings.filter(|finding| finding.verdict == Verdict::Open);
    let facts = open.flat_map(|finding| finding.wants);
    let facts = facts.filter(|fact| fact.kind == "circuit");
    facts.map(|fact| (fact.full_key(), fact.state)).collect()
}

fn keys(wanted: &BTreeSet<(String, FactState)>) -> Vec<&str> {
    wanted.iter().map(|(key, _)| key.as_str()).collect()
}

const BARE: &str = "    breaker: 16 A\n    wiring: {conductor: 4 mm², length: 10 m}\n";
const SAID: &str =
    "  wiring: {insulation: pvc-70, grouped: 1}\n  breakers: {curve: C, breaking-capacity: 6 kA}\n";

#[test]
fn what_the_site_says_of_all_circuits_closes_the_questions_of_each() {
    let open = wanted(&site("", BARE));
    assert!(keys(&open).contains(&"wiring.insulation"), "{open:?}");
    assert!(
        keys(&open).iter().any(|key| key.starts_with("breaker.")),
        "{open:?}"
    );
    assert_eq!(wanted(&site(SAID, BARE)), BTreeSet::new());
}

#[test]
fn what_a_circuit_says_itself_counts_and_what_cannot_be_read_there_is_unknown() {
    // A curve that trips later, and wiring that is bunched: the circuit's own word is the one that is judged.
    let rules = |files: &Files| -> BTreeSet<&'static str> {
        let findings = judged(files).findings.into_iter();
        let broken = findings.filter(|finding| finding.verdict == Verdict::Broken);
        broken.map(|finding| finding.rule).collect()
    };
    let bunched = "    breaker: 16 A\n    wiring: {conductor: 1.5 mm², length: 10 m, grouped: 9}\n";
    assert!(rules(&site(SAID, bunched)).contains("conductor-unprotected"));
    let unread =
        "    breaker: 16 A\n    wiring: {conductor: 4 mm², length: 10 m, insulation: some}\n";
    let open = wanted(&site(SAID, unread));
    assert!(
        open.contains(&("wiring.insulation".to_owned(), FactState::Unreadable)),
        "{open:?}"
    );
}

#[test]
fn what_cannot_be_read_of_the_site_is_unknown_of_every_circuit() {
    for said in [
        "  wiring: {insulation: some, grouped: 1}\n  breakers: {curve: C, breaking-capacity: 6 kA}\n",
        "  wiring: some\n  breakers: {curve: C, breaking-capacity: 6 kA}\n",
    ] {
        let open = wanted(&site(said, BARE));
        assert!(
            open.contains(&("wiring.insulation".to_owned(), FactState::Unreadable)),
            "{said}: {open:?}"
        );
    }
    let open = wanted(&site(
        "  breakers: {curve: Z}\n  wiring: {insulation: pvc-70}\n",
        BARE,
    ));
    assert!(
        open.iter()
            .any(|(key, _)| key == "breaker.breaking-capacity"),
        "{open:?}"
    );
}

#[test]
fn a_circuit_without_wiring_has_that_of_the_site_of_unknown_size() {
    let open = wanted(&site(SAID, "    breaker: 16 A\n"));
    assert!(keys(&open).contains(&"wiring.conductor"), "{open:?}");
}
