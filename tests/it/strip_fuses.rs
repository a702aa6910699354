//! The fuse in the plug of a strip: nearer than any breaker, it guards the cord of the strip and what hangs on it.

use cordwright::finding::{Finding, Verdict};

use crate::site::judged;

fn said(plug: &str, rule: &str) -> Vec<Finding> {
    with_lead(
        plug,
        "plug: BS 1363, fuse: 5 A, connector: C13, conductor: 1.0 mm², cordage: H05VV-F",
        "box-1/psu",
        rule,
    )
}

fn with_lead(plug: &str, lead: &str, to: &str, rule: &str) -> Vec<Finding> {
    let outlet = if lead.starts_with("plug: C14") { 6 } else { 1 };
    let text = format!(
        "site: {{practice: iec, country: GB, ambient: 25 °C}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 2 kA}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: {{rating: 32 A, curve: B, breaking-capacity: 6 kA}}, wiring: {{length: 20 m, insulation: pvc-70, conductor: 6 mm²}}, receptacle: BS 1363, receptacles: 2}}}}
pdu-models: {{six-way: {{{plug}, rating: 13 A, cord: {{cordage: H05VV-F, conductor: 1.5 mm², length: 3 m}}, breakers: none, banks: {{B: {{between: L1-N, outlets: {{1-5: BS 1363, 6: C13}}}}}}}}}}
pdus: {{strip: {{model: six-way, from: A-1}}}}
device-models: {{box: {{class: I, voltage: 220–240 V, rating: 500 W, power-factor: 0.97, inlets: {{psu: C14, aux: C14}}, inlets-needed: 1}}}}
devices: {{box-1: {{model: box, draw: 300 W}}}}
cord-types: {{lead: {{{lead}, length: 2 m, rating: 10 A}}}}
cords: {{W-1: {{type: lead, from: strip/{outlet}, to: {to}}}}}
"
    );
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let mut findings = judgement.findings;
    findings.retain(|found| found.rule == rule);
    findings
}

#[test]
fn a_strip_with_a_fused_plug_is_sound_behind_a_large_breaker() {
    for rule in [
        "conductor-unprotected",
        "fault-withstand",
        "outlet-unprotected",
        "plug-fuse",
    ] {
        assert_eq!(said("plug: BS 1363, fuse: 13 A", rule), [], "{rule}");
    }
}

#[test]
fn a_fuse_that_nobody_has_written_is_asked_for_and_one_that_cannot_be_there_is_told() {
    let found = said("plug: BS 1363", "plug-fuse");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].verdict, Verdict::Open);
    assert!(
        found[0].headline.contains("PDU model six-way"),
        "{}",
        found[0].headline
    );
    let found = said("plug: BS 1363, fuse: thirteen", "plug-fuse");
    assert_eq!(found[0].verdict, Verdict::Open);
    let found = said("plug: CEE 7/7, fuse: 13 A", "plug-fuse");
    assert_eq!(found[0].verdict, Verdict::Broken);
}

#[test]
fn a_fuse_below_the_load_of_the_strip_is_found() {
    let found = said("plug: BS 1363, fuse: 1 A", "plug-fuse");
    assert_eq!(found.len(), 1);
    assert!(
        found[0].headline.contains("PDU strip"),
        "{}",
        found[0].headline
    );
}

/// BS 1363-1 Table 2: 3 A on 0.5 mm², 13 A from 0.75 mm².
#[test]
fn the_fuse_of_a_strip_is_held_against_the_leads_behind_it() {
    let lead = |conductor: &str, strip: &str| {
        let lead = format!("plug: C14, connector: C13, cordage: H05VV-F{conductor}");
        with_lead(strip, &lead, "box-1/psu", "plug-fuse")
    };
    let thirteen = "plug: BS 1363, fuse: 13 A";
    assert_eq!(lead(", conductor: 0.75 mm²", thirteen), []);
    assert_eq!(lead(", conductor: 0.5 mm²", "plug: BS 1363, fuse: 3 A"), []);
    let found = lead(", conductor: 0.5 mm²", thirteen);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].verdict, Verdict::Broken);
    assert_eq!(found[0].about[0], "lead");
    assert!(
        found[0].headline.contains("PDU strip") && found[0].headline.contains("3 A at most"),
        "{}",
        found[0].headline
    );
    let found = lead(", conductor: 0.3 mm²", thirteen);
    assert_eq!(found[0].verdict, Verdict::Open, "{found:?}");
}

#[test]
fn the_fuse_of_a_splitter_is_held_against_its_thinner_legs() {
    let legs = |leg: &str| {
        let lead = format!(
            "plug: BS 1363, fuse: 13 A, cordage: H05VV-F, conductor: 1.5 mm², legs: {{a: {{connector: C13, length: 1 m{leg}}}, b: {{connector: C13, length: 1 m}}}}"
        );
        let to = "{a: box-1/psu, b: box-1/aux}";
        with_lead("plug: BS 1363, fuse: 13 A", &lead, to, "plug-fuse")
    };
    assert_eq!(legs(""), []);
    let found = legs(", conductor: 0.5 mm²");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].verdict, Verdict::Broken);
}
