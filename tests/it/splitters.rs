//! Splitters at their limit, worked by hand: at power factor 1 and without drop on the way, the sum
//! of the legs is P ÷ (230 V less 10 %), whatever the program makes of it.

use cordwright::finding::{Finding, Level, Verdict};

use crate::pages::bases;
use crate::site::judged;

/// Findings of `rule` on the IEC base site with these definitions added, its leads without length.
fn found(rule: &str, text: &str) -> Vec<Finding> {
    let base = bases()["base-iec.yaml"].clone();
    let base = base
        .replace("length: 10 m, ", "")
        .replace(", length: 2 m", "");
    let files = vec![
        ("base-iec.yaml".to_owned(), base),
        ("cords.yaml".to_owned(), text.to_owned()),
    ];
    let findings = judged(&files).findings.into_iter();
    findings.filter(|finding| finding.rule == rule).collect()
}

/// Two devices with one inlet each on a splitter marked `rating`, without length.
fn single(draws: [&str; 2], rating: &str) -> String {
    format!(
        "device-models:
  m: {{power-factor: 1, inlets: {{psu1: C14}}, inlets-needed: 1}}
devices:
  d-1: {{model: m, rack: r1, draw: {}}}
  d-2: {{model: m, rack: r1, draw: {}}}
cord-types:
  y: {{plug: C14, conductor: 1.0 mm², cordage: H05VV-F, rating: {rating}, legs: {{a: C13, b: C13}}}}
cords:
  W-1: {{type: y, from: pdu-a/1, to: {{a: d-1/psu1, b: d-2/psu1}}}}
",
        draws[0], draws[1]
    )
    .replace("a: C13", "a: {connector: C13, rating: 10 A}")
    .replace("b: C13", "b: {connector: C13, rating: 10 A}")
}

#[test]
fn the_sum_of_the_legs_may_reach_the_mark_and_not_pass_it() {
    // 6 A × 207 V = 1242 W.
    for (draws, is_over) in [
        (["621 W", "620.9 W"], false),
        (["621 W", "621 W"], false),
        (["621 W", "621.1 W"], true),
        (["1242 W", "0.1 W"], true),
    ] {
        let findings = found("splitter-overloaded", &single(draws, "6 A"));
        let over = findings.iter().filter(|f| f.verdict == Verdict::Broken);
        let kinds: Vec<_> = over
            .map(|f| (f.kind, f.level, f.about[0].as_str()))
            .collect();
        let expected: &[_] = if is_over {
            &[("sum", Level::Error, "W-1")]
        } else {
            &[]
        };
        assert_eq!(kinds, expected, "{draws:?}");
    }
}

#[test]
fn a_leg_is_judged_by_its_own_lowest_link() {
    // 2.5 A × 207 V = 517.5 W.
    for (draw, is_over) in [("517.4 W", false), ("517.5 W", false), ("517.7 W", true)] {
        let text = single([draw, "100 W"], "10 A");
        let text = text.replacen("rating: 10 A}", "rating: 2.5 A}", 1);
        let findings = found("splitter-overloaded", &text);
        let kinds: Vec<_> = findings
            .iter()
            .map(|f| (f.kind, f.about[0].as_str()))
            .collect();
        let expected: &[_] = if is_over { &[("leg", "W-1/a")] } else { &[] };
        assert_eq!(kinds, expected, "{draw}");
    }
}

#[test]
fn the_loss_that_brings_the_most_is_named() {
    // Each of two devices draws 700 W, half of it at each inlet; without feed B all of it comes
    // through the splitter: 1400 W ÷ 207 V = 6.76 A instead of 3.38 A.
    let text = single(["700 W", "700 W"], "6 A")
        .replace("{psu1: C14}", "{psu1: C14, psu2: C14}")
        .replace(
            "cords:\n",
            "  c: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F}
cords:
  W-2: {type: c, from: pdu-b/1, to: d-1/psu2}
  W-3: {type: c, from: pdu-b/2, to: d-2/psu2}\n",
        );
    let findings = found("splitter-overloaded", &text);
    let headlines: Vec<_> = findings.iter().map(|f| f.headline.as_str()).collect();
    let [headline] = headlines[..] else {
        panic!("{headlines:?}");
    };
    assert!(headline.contains("6.76 A when"), "{headline}");
    assert!(headline.contains("is lost"), "{headline}");
}

#[test]
fn unknown_load_breaks_the_limit_only_where_the_rest_does() {
    let unknown = |draw| single([draw, "1 W"], "6 A").replace(", draw: 1 W", "");
    let verdicts = |text: &str| -> Vec<Verdict> {
        let findings = found("splitter-overloaded", text);
        findings.iter().map(|f| f.verdict).collect()
    };
    assert_eq!(
        verdicts(&unknown("1243 W")),
        [Verdict::Open, Verdict::Broken]
    );
    assert_eq!(verdicts(&unknown("1000 W")), [Verdict::Open]);
}

#[test]
fn inlets_behind_a_strip_on_a_leg_count_as_on_the_splitter() {
    let text = single(["100 W", "100 W"], "10 A")
        .replace("{psu1: C14}", "{psu1: C14, psu2: C14}")
        .replace("b: d-2/psu1", "b: pdu-c")
        .replace(
            "cords:\n",
            "  c: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F}
pdu-models:
  box: {plug: C14, rating: 10 A, banks: {B1: {between: L1-N, outlets: {1-2: C13}}}}
pdus:
  pdu-c: {model: box, rack: r1, from: W-1/b}
cords:
  W-2: {type: c, from: pdu-c/1, to: d-1/psu2}\n",
        );
    let findings = found("splitter-defeats-redundancy", &text);
    let about: Vec<_> = findings.iter().map(|f| f.about.clone()).collect();
    assert_eq!(about, [["W-1", "d-1"]]);
    assert!(found("splitter-in-series", &text).is_empty());
}

#[test]
fn a_strip_on_a_leg_has_no_input_cord_to_be_judged() {
    let text = single(["100 W", "100 W"], "10 A")
        .replace("b: d-2/psu1", "b: pdu-c")
        .replace(
            "cords:\n",
            "zones: {works: {duty: heavy, halogen-free: required}}
racks: {r2: {zone: works}}
pdu-models:
  box: {plug: C14, rating: 10 A, banks: {B1: {between: L1-N, outlets: {1-2: C13}}}}
pdus:
  pdu-c: {model: box, rack: r2, from: W-1/b}
cords:\n",
        );
    let of_box = |text: &str| {
        let findings = ["jacket-duty", "jacket-smoke"].map(|rule| found(rule, text));
        let own = findings.iter().flatten();
        own.filter(|finding| finding.about[0] == "box").count()
    };
    assert_eq!(of_box(&text), 0);
    // The same strip on a circuit has one, of which nothing is known.
    let plugged = text.replace("from: W-1/b", "from: A-1");
    assert_eq!(of_box(&plugged.replace(", b: pdu-c", "")), 2);
}
