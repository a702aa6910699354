//! Inlets of one device: what they share, and what is left when something is lost.

use std::collections::BTreeMap;

use cordwright::finding::{Finding, Level, Verdict};

use crate::pages::bases;
use crate::site::judged;

/// A site under IEC practice with two feeds, two circuits of feed A and two PDUs on the first of
/// them, and with a second supply of feed A.
const STRIPS: &str = "
supplies:
  ups-a2: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 40 kVA, fault-current: 6 kA, earthing: TN-S}
circuits:
  A-2: {from: ups-a, poles: [L2, N], breaker: {rating: 16 A, curve: C}, receptacle: IEC 60309 16 A 2P+E 6h}
  A-3: {from: ups-a2, poles: [L1, N], breaker: {rating: 16 A, curve: C}, receptacle: IEC 60309 16 A 2P+E 6h}
pdus:
  pdu-a-twin: {model: strip-16, rack: r1, from: A-1}
  pdu-a2: {model: strip-16, rack: r1, from: A-2}
  pdu-a3: {model: strip-16, rack: r1, from: A-3}
  pdu-lost: {model: strip-16, rack: r1, from: A-99}
";

const TYPES: &str = "
cord-types:
  plain: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m}
  forked:
    plug: C14
    conductor: 1.0 mm²
    cordage: H05VV-F
    length: 0.3 m
    legs: {a: {connector: C13}, b: {connector: C13}}
";

/// A device whose inlets `psu1`, `psu2`, … each hang on the outlet given.
struct Device<'a> {
    model: &'a str,
    own: &'a str,
    inlet: &'a str,
    outlets: &'a [&'a str],
}

impl Device<'_> {
    fn file(&self) -> String {
        let inlets: Vec<String> = (1..=self.outlets.len())
            .map(|number| format!("psu{number}: {}", self.inlet))
            .collect();
        let cords: String = self
            .outlets
            .iter()
            .zip(1..)
            .map(|(outlet, number)| {
                format!("  W-{number}: {{type: plain, from: {outlet}, to: dev/psu{number}}}\n")
            })
            .collect();
        format!(
            "device-models:\n  server: {{class: I, rating: 600 W, power-factor: 1.0, inlets: {{{}}}{}}}\n\
             devices:\n  dev: {{model: server, rack: r1, draw: 500 W{}}}\ncords:\n{cords}",
            inlets.join(", "),
            self.model,
            self.own,
        )
    }
}

fn found(rule: &str, text: &str) -> Vec<Finding> {
    let mut files: BTreeMap<String, String> = bases();
    files.retain(|name, _| name == "base-iec.yaml");
    files.insert("strips.yaml".into(), STRIPS.into());
    files.insert("types.yaml".into(), TYPES.into());
    files.insert("device.yaml".into(), text.into());
    let judgement = judged(&files.into_iter().collect());
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    let findings = judgement.findings.into_iter();
    findings.filter(|finding| finding.rule == rule).collect()
}

/// What the device shares, with the level of the finding; `None` if nothing is said.
fn shared(needed: &str, outlets: &[&str]) -> Option<(Level, String)> {
    let device = Device {
        model: needed,
        own: "",
        inlet: "C14",
        outlets,
    };
    let findings = found("feed-shared", &device.file());
    assert!(findings.len() < 2, "{findings:#?}");
    findings.first().map(|finding| {
        assert_eq!(finding.about[0], "dev");
        (finding.level, finding.about[1].to_string())
    })
}

#[track_caller]
fn assert_shared(needed: &str, outlets: &[&str], expected: &str) {
    let expected = Some((Level::Error, expected.to_owned()));
    assert_eq!(shared(needed, outlets), expected, "{outlets:?}");
}

const ONE: &str = ", inlets-needed: 1";
const TWO: &str = ", inlets-needed: 2";

#[test]
fn the_lowest_thing_that_two_inlets_share_is_named() {
    assert_shared(ONE, &["pdu-a/1", "pdu-a/2"], "pdu-a/B1");
    assert_shared(ONE, &["pdu-a/1", "pdu-a/9"], "pdu-a");
    assert_shared(ONE, &["pdu-a/1", "pdu-a-twin/1"], "A-1");
    assert_shared(ONE, &["pdu-a/1", "pdu-a2/1"], "ups-a");
    assert_shared(ONE, &["pdu-a/1", "pdu-a3/1"], "A");
    assert_eq!(shared(ONE, &["pdu-a/1", "pdu-b/1"]), None);
}

#[test]
fn all_of_three_or_four_inlets_must_hang_on_it() {
    assert_shared(ONE, &["pdu-a/1", "pdu-a/2", "pdu-a/9"], "pdu-a");
    assert_shared(TWO, &["pdu-a/1", "pdu-a-twin/2", "pdu-a2/1"], "ups-a");
    assert_shared(
        TWO,
        &["pdu-a/1", "pdu-a/2", "pdu-a-twin/1", "pdu-a-twin/2"],
        "A-1",
    );
    assert_shared(ONE, &["pdu-a/1", "pdu-a2/2", "pdu-a3/1", "pdu-a/2"], "A");
    assert_eq!(shared(ONE, &["pdu-a/1", "pdu-a/2", "pdu-b/1"]), None);
    assert_eq!(
        shared(TWO, &["pdu-a/1", "pdu-a/2", "pdu-b/1", "pdu-b/2"]),
        None
    );
}

#[test]
fn sharing_weighs_less_where_no_redundancy_is_declared() {
    let warned = Some((Level::Warning, "pdu-a".to_owned()));
    assert_eq!(shared("", &["pdu-a/1", "pdu-a/9"]), warned);
    // Both must stay fed: nothing is lost by sharing.
    assert_eq!(shared(TWO, &["pdu-a/1", "pdu-a/9"]), None);
}

#[test]
fn a_splitter_that_takes_all_inlets_is_told_once() {
    let text = |needed: &str| {
        format!(
            "
device-models:
  server: {{class: I, rating: 600 W, power-factor: 1.0, inlets: {{psu1: C14, psu2: C14}}{needed}}}
devices:
  dev: {{model: server, rack: r1, draw: 500 W}}
cords:
  W-1: {{type: forked, from: pdu-a/1, to: {{a: dev/psu1, b: dev/psu2}}}}
"
        )
    };
    for (needed, told) in [
        ("", 1),
        (", inlets-needed: 1", 1),
        (", inlets-needed: 2", 0),
    ] {
        let findings = found("splitter-defeats-redundancy", &text(needed));
        assert_eq!(findings.len(), told, "{findings:#?}");
        assert!(found("feed-shared", &text(needed)).is_empty(), "{needed}");
    }
}

#[test]
fn inlets_meant_for_different_feeds_share_nothing_even_if_all_are_needed() {
    let device = Device {
        model: TWO,
        own: ", inlets: {psu1: {feed: A}, psu2: {feed: B}}",
        inlet: "C14",
        outlets: &["pdu-a/1", "pdu-a2/1"],
    };
    let findings = found("feed-shared", &device.file());
    assert_eq!(findings.len(), 1, "{findings:#?}");
    assert_eq!(
        (findings[0].level, findings[0].about[1].as_str()),
        (Level::Error, "ups-a")
    );
}

#[test]
fn a_path_that_leads_nowhere_leaves_it_open_once_for_what_is_not_fed() {
    let device = Device {
        model: ONE,
        own: "",
        inlet: "C14",
        outlets: &["pdu-lost/1", "pdu-lost/2"],
    };
    let findings = found("feed-shared", &device.file());
    assert_eq!(findings.len(), 1, "{findings:#?}");
    assert_eq!(findings[0].verdict, Verdict::Open);
    assert_eq!(findings[0].about, ["pdu-lost"]);
}

/// What is said of the power supplies left: the kind and whether it is open.
fn left(model: &str, own: &str, inlet: &str, outlets: &[&str]) -> Option<(&'static str, Verdict)> {
    let device = Device {
        model,
        own,
        inlet,
        outlets,
    };
    let findings = found("supplies-insufficient", &device.file());
    assert!(findings.len() < 2, "{findings:#?}");
    findings
        .first()
        .map(|finding| (finding.kind, finding.verdict))
}

const A_A_B: &[&str] = &["pdu-a/1", "pdu-a/2", "pdu-b/1"];
const A_A_B_B: &[&str] = &["pdu-a/1", "pdu-a/2", "pdu-b/1", "pdu-b/2"];
const SIX: &[&str] = &[
    "pdu-a/1", "pdu-a/2", "pdu-a/3", "pdu-b/1", "pdu-b/2", "pdu-b/3",
];

/// N+1 lives through the loss of a power supply, N+N also through that of a feed.
#[test]
fn the_count_that_is_left_decides() {
    let broken = |kind| Some((kind, Verdict::Broken));
    assert_eq!(left(ONE, "", "C14", &["pdu-a/1", "pdu-b/1"]), None);
    assert_eq!(left(ONE, "", "C14", A_A_B), None);
    assert_eq!(left(TWO, "", "C14", A_A_B), broken("count"));
    assert_eq!(left(TWO, "", "C14", A_A_B_B), None);
    assert_eq!(
        left(", inlets-needed: 3", "", "C14", A_A_B_B),
        broken("count")
    );
    assert_eq!(left(", inlets-needed: 3", "", "C14", SIX), None);
    assert_eq!(left(", inlets-needed: 4", "", "C14", SIX), broken("count"));
    // Two supplies of one feed are lost together.
    let feed_a_twice = ["pdu-a/1", "pdu-a3/1", "pdu-b/1"];
    assert_eq!(left(TWO, "", "C14", &feed_a_twice), broken("count"));
}

/// Usable power is the lesser of the sums on the two feeds.
#[test]
fn the_capacity_that_is_left_is_no_less_than_the_load() {
    let broken = Some(("capacity", Verdict::Broken));
    for (watts, outlets, expected) in [
        ("500 W", &["pdu-a/1", "pdu-b/1"][..], None),
        ("499.9 W", &["pdu-a/1", "pdu-b/1"], broken),
        ("250 W", A_A_B_B, None),
        ("249.9 W", A_A_B_B, broken),
        ("250 W", A_A_B, broken),
        ("166.7 W", SIX, None),
        ("166.6 W", SIX, broken),
    ] {
        let inlet = format!("{{coupler: C14, capacity: {watts}}}");
        assert_eq!(
            left(ONE, "", &inlet, outlets),
            expected,
            "{watts} {outlets:?}"
        );
    }
}

/// On one PDU no loss but that of a cord leaves anything: N+1.
#[test]
fn below_what_is_shared_the_next_loss_counts() {
    let on_one = ["pdu-a/1", "pdu-a/2", "pdu-a/3"];
    let inlet = |watts: &str| format!("{{coupler: C14, capacity: {watts}}}");
    assert_eq!(left(TWO, "", &inlet("250 W"), &on_one), None);
    let weak = left(TWO, "", &inlet("249 W"), &on_one);
    assert_eq!(weak, Some(("capacity", Verdict::Broken)));
}

#[test]
fn where_nothing_is_counted_on_nothing_is_judged() {
    let weak = "{coupler: C14, capacity: 100 W}";
    assert_eq!(left("", "", weak, &["pdu-a/1", "pdu-b/1"]), None);
    let critical = left("", ", critical: yes", weak, &["pdu-a/1", "pdu-b/1"]);
    assert_eq!(critical, Some(("capacity", Verdict::Broken)));
    let open = left("", ", critical: yes", "C14", &["pdu-a/1", "pdu-b/1"]);
    assert_eq!(open, Some(("need", Verdict::Open)));
}

#[test]
fn one_fed_inlet_of_a_critical_device_is_one_path() {
    let count = |own, outlets| {
        let device = Device {
            model: "",
            own,
            inlet: "C14",
            outlets,
        };
        found("single-corded", &device.file()).len()
    };
    assert_eq!(count(", critical: yes", &["pdu-a/1"]), 1);
    assert_eq!(count("", &["pdu-a/1"]), 0);
    assert_eq!(count(", critical: no", &["pdu-a/1"]), 0);
    assert_eq!(count(", critical: yes", &["pdu-a/1", "pdu-b/1"]), 0);
    assert_eq!(count(", critical: yes", &["pdu-a/1", "pdu-lost/1"]), 1);
}
