//! The instantaneous trip that a maker gives: it takes the place of the band of the curve, and of its absence.

use cordwright::finding::{Finding, Verdict};

use crate::site::judged;

/// What a rule says of a circuit behind this breaker: 10 m of 2.5 mm² and a lead of 0.75 mm² behind it.
fn said(breaker: &str, fault: &str, rule: &str) -> Vec<Finding> {
    let text = format!(
        "site: {{practice: iec, country: DE, ambient: 25 °C}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: {fault}}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: {{breaking-capacity: 6 kA, {breaker}}}, wiring: {{length: 30 m, insulation: pvc-70, conductor: 2.5 mm²}}, receptacle: IEC 60309 16 A 2P+E 6h}}}}
device-models: {{box: {{class: I, voltage: 220–240 V, rating: 500 W, power-factor: 0.97, inrush: 90 A, earth-current: 0.5 mA, inlets: {{psu: C14}}}}}}
devices: {{box-1: {{model: box, draw: 300 W}}}}
cord-types: {{lead: {{plug: IEC 60309 16 A 2P+E 6h, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A}}}}
cords: {{W-1: {{type: lead, from: A-1, to: box-1/psu}}}}
"
    );
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let findings = judgement.findings.into_iter();
    findings.filter(|found| found.rule == rule).collect()
}

#[test]
fn an_earth_fault_opens_what_opens_at_once_from_less() {
    // D 16 A wants 320 A, and the loop gives less.
    let slow = said("rating: 16 A, curve: D", "1 kA", "slow-disconnection");
    assert!(slow.iter().any(|found| found.verdict == Verdict::Broken));
    let own = "rating: 16 A, curve: D, instantaneous: 120 A";
    assert_eq!(said(own, "1 kA", "slow-disconnection"), []);
    // Without a curve its own trip answers.
    let bare = "rating: 16 A, instantaneous: 120 A";
    assert_eq!(said(bare, "1 kA", "slow-disconnection"), []);
    // One that opens late is slow though its curve would not be.
    let late = "rating: 16 A, curve: B, instantaneous: 900 A";
    let found = said(late, "1 kA", "slow-disconnection");
    assert!(found.iter().any(|found| found.verdict == Verdict::Broken));
}

#[test]
fn what_cannot_be_read_passes_nothing() {
    let found = said(
        "rating: 16 A, curve: B, instantaneous: soon",
        "1 kA",
        "slow-disconnection",
    );
    assert!(!found.is_empty());
    assert!(found.iter().all(|found| found.verdict == Verdict::Open));
    for (rule, trip) in [
        ("slow-disconnection", "soon"),
        ("slow-disconnection", "{opens: soon, holds: 90 A}"),
        ("fault-withstand", "soon"),
        ("inrush", "soon"),
        ("inrush", "{opens: 200 A, holds: soon}"),
    ] {
        let breaker = format!("rating: 32 A, curve: D, instantaneous: {trip}");
        let found = said(&breaker, "1 kA", rule);
        let found = found.iter().find(|found| found.kind.contains("trip"));
        let found = found.unwrap_or_else(|| panic!("{rule} is silent of {trip}"));
        assert_eq!(found.verdict, Verdict::Open, "{rule}, {trip}");
        let headline = &found.headline;
        assert!(
            headline.contains("its `instantaneous` cannot be read"),
            "{headline}"
        );
    }
    let found = said(
        "rating: 16 A, curve: B, instantaneous: {holds: 90 A}",
        "1 kA",
        "missing-key",
    );
    assert_eq!(found.len(), 1);
}

#[test]
fn an_inrush_is_held_against_what_it_holds() {
    // B 16 A holds 48 A.
    assert_eq!(said("rating: 16 A, curve: B", "1 kA", "inrush").len(), 1);
    let own = "rating: 16 A, curve: B, instantaneous: {opens: 160 A, holds: 100 A}";
    assert_eq!(said(own, "1 kA", "inrush"), []);
    let low = "rating: 16 A, curve: D, instantaneous: {opens: 80 A, holds: 50 A}";
    let found = said(low, "1 kA", "inrush");
    assert_eq!(found.len(), 1);
    assert!(found[0].headline.contains("50 A"), "{}", found[0].headline);
    // What opens at once is not held, whatever its curve says and with none.
    for curve in ["curve: D, ", ""] {
        let early = format!("rating: 16 A, {curve}instantaneous: 40 A");
        assert_eq!(said(&early, "1 kA", "inrush").len(), 1, "{curve}");
    }
    // Of how much it holds nothing is said: its curve still says it.
    let half = "rating: 16 A, curve: B, instantaneous: 160 A";
    assert_eq!(said(half, "1 kA", "inrush").len(), 1);
}
