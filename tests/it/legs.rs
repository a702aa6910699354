//! Legs of splitters with a cordage of their own: what is printed on the trunk says nothing of it.

use cordwright::finding::{Finding, Verdict};

use crate::pages::bases;
use crate::site::judged;

/// Findings of `rule` about a splitter with these words of its trunk and its first leg, on two inlets.
fn found(rule: &str, inlet: &str, trunk: &str, leg: &str) -> Vec<Finding> {
    let connector = inlet.replace("C14", "C13").replace("C16", "C15");
    let text = format!(
        "device-models:
  m: {{power-factor: 1, inlets: {{psu1: {inlet}}}, inlets-needed: 1}}
devices:
  d-1: {{model: m, rack: r1, draw: 100 W}}
  d-2: {{model: m, rack: r1, draw: 100 W}}
cord-types:
  y: {{plug: C14, length: 1 m, {trunk}, legs: {{a: {{connector: {connector}, length: 0.5 m{leg}}}, b: {{connector: {connector}, length: 0.5 m}}}}}}
cords:
  W-1: {{type: y, from: pdu-a/1, to: {{a: d-1/psu1, b: d-2/psu1}}}}
"
    );
    let files = vec![
        ("base-iec.yaml".to_owned(), bases()["base-iec.yaml"].clone()),
        ("cords.yaml".to_owned(), text),
    ];
    let findings = judged(&files).findings.into_iter();
    findings.filter(|finding| finding.rule == rule).collect()
}

/// What is told, by the first thing that it is about.
fn about(findings: &[Finding]) -> Vec<(&str, Verdict)> {
    let all = findings.iter();
    all.map(|finding| (finding.about[0].as_str(), finding.verdict))
        .collect()
}

#[test]
fn the_mark_of_the_trunk_cools_no_leg_of_another_cordage() {
    let hot = "conductor: 18 AWG, cordage: SJT, temperature: 105 °C";
    let rule = "coupler-temperature";
    assert!(about(&found(rule, "C16", hot, "")).is_empty());
    // A mark on the jacket of the trunk is not on that of the leg.
    let told = found(rule, "C16", hot, ", conductor: 18 AWG, cordage: SJT");
    assert_eq!(about(&told), [("W-1/a", Verdict::Broken)]);
}

#[test]
fn a_leg_has_the_size_of_its_trunk_in_a_cordage_that_is_not_made_in_it() {
    // H03VV-F is made to 0.75 mm² (EN 50525-2-11).
    let trunk = "conductor: 1.0 mm², cordage: H05VV-F";
    let rule = "size-not-made";
    assert!(about(&found(rule, "C14", trunk, "")).is_empty());
    let own = ", conductor: 0.75 mm², cordage: H03VV-F";
    assert!(about(&found(rule, "C14", trunk, own)).is_empty());
    let told = found(rule, "C14", trunk, ", cordage: H03VV-F");
    assert_eq!(about(&told), [("y", Verdict::Broken)]);
    // What cannot be read is not what the trunk says.
    let told = found(rule, "C14", trunk, ", conductor: thin, cordage: H03VV-F");
    assert_eq!(about(&told), [("y", Verdict::Open)]);
}
