//! Ring final circuits: 2.5 mm² behind 32 A is sound as a ring of sockets for fused plugs, and nowhere else.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

/// What is said of the wiring of a circuit behind 32 A.
fn said(wiring: &str, receptacle: &str, rule: &str) -> Vec<Finding> {
    let text = format!(
        "site: {{practice: iec, country: GB, ambient: 25 °C}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 2 kA}}}}
circuits: {{R-1: {{from: s, poles: [L1, N], breaker: {{rating: 32 A, curve: B, breaking-capacity: 6 kA}}, wiring: {{length: 40 m, insulation: pvc-70, {wiring}}}, receptacle: {receptacle}, receptacles: 6}}}}
device-models: {{box: {{class: I, voltage: 220–240 V, rating: 500 W, power-factor: 0.97, inlets: {{psu: C14}}}}}}
devices: {{box-1: {{model: box, draw: 300 W}}}}
cord-types: {{lead: {{plug: BS 1363, fuse: 5 A, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A}}}}
cords: {{W-1: {{type: lead, from: R-1, to: box-1/psu}}}}
"
    );
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let of_wiring = |found: &Finding| found.rule == rule && found.headline.contains("R-1");
    judgement.findings.into_iter().filter(of_wiring).collect()
}

/// BS 7671 433.1.204.
#[test]
fn a_ring_of_sockets_for_fused_plugs_may_stand_behind_32_amperes() {
    let ring = "conductor: 2.5 mm², earth-conductor: 1.5 mm², ring: yes";
    for rule in [
        "conductor-unprotected",
        "fault-withstand",
        "conductor-underrated",
        "slow-disconnection",
    ] {
        assert_eq!(said(ring, "BS 1363", rule), [], "{rule}");
    }
    let radial = said("conductor: 2.5 mm²", "BS 1363", "conductor-unprotected");
    assert_eq!(radial.len(), 1);
    assert_eq!(radial[0].level, Level::Warning);
}

#[test]
fn a_thin_ring_a_hot_one_and_one_of_other_sockets_are_none() {
    for (wiring, receptacle) in [
        ("conductor: 1.5 mm², ring: yes", "BS 1363"),
        ("conductor: 2.5 mm², ring: yes, grouped: 4", "BS 1363"),
        ("conductor: 2.5 mm², ring: yes", "IEC 60309 32 A 2P+E 6h"),
        ("conductor: 2.5 mm², ring: no", "BS 1363"),
    ] {
        let found = said(wiring, receptacle, "conductor-unprotected");
        assert_eq!(found.len(), 1, "{wiring}, {receptacle}");
        assert_eq!(found[0].verdict, Verdict::Broken);
    }
}

#[test]
fn whether_it_is_a_ring_must_be_readable() {
    let found = said(
        "conductor: 2.5 mm², ring: perhaps",
        "BS 1363",
        "conductor-unprotected",
    );
    assert!(found.iter().all(|found| found.verdict == Verdict::Open));
    assert!(!found.is_empty());
}
