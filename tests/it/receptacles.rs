//! The receptacle of a circuit as a name alone, or with what its maker and its marks say besides.

use cordwright::finding::{Finding, Verdict};

use crate::site::judged;

/// A cabinet in hot air: a circuit with a receptacle, a strip in it, a device on the strip.
const CABINET: &str = "\
site: {practice: iec, country: ES, ambient: 50 °C, supply-tolerance: 0 %, voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}}
zones:
  inside: {ambient: 50 °C, vibration: transport, retention: required, air: room, wet: yes, oil: no}
racks:
  r: {zone: inside, height: 18 U, width: 600 mm, depth: 500 mm, ip: IP54}
supplies:
  s: {system: 1/N/PE ~ 230 V 50 Hz, capacity: 5.75 kVA, fault-current: 1.5 kA, earthing: TN-S}
circuits:
  c:
    from: s
    poles: [L1, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 9 kA²s}
    wiring: {conductor: 4 mm², length: 2 m, insulation: xlpe-90}
    receptacle: {coupler: CEE 7/3, latch: outlet-latch, ip: IP54, hot-air: {at: 55 °C, amperes: 13 A}}
pdu-models:
  strip:
    plug: CEE 7/7
    retention: outlet-latch
    rating: 16 A
    cord: {cordage: H07RN-F, conductor: 2.5 mm², length: 1 m}
    banks: {B1: {between: L1-N, breaker: {rating: 10 A, curve: C, breaking-capacity: 6 kA, let-through: 7 kA²s}, outlets: {1-6: {coupler: C13, latch: outlet-latch}}}}
    ambient-limit: 60 °C
pdus:
  p: {model: strip, rack: r, from: c, mount: {side: rear-left, foot: U2, head: U9}}
device-models:
  m: {height: 2 U, class: I, voltage: 100–240 V, rating: 700 W, power-factor: 0.97, inlets: {i: C16}, inlets-needed: 1}
devices:
  d: {model: m, rack: r, at: U3, draw: 460 W}
cord-types:
  t: {plug: C14, connector: C15, conductor: 1.5 mm², cordage: H07RN-F, length: 1 m, rating: 10 A, approvals: [VDE], hot-air: {at: 60 °C, amperes: 6 A}, retention: {plug: outlet-latch, connector: pin-grip}}
cords:
  w: {type: t, from: p/1, to: d/i}
";

const HOT_AIR: &str = ", hot-air: {at: 55 °C, amperes: 13 A}";

#[track_caller]
fn findings(edits: &[(&str, &str)]) -> Vec<Finding> {
    let mut text = CABINET.to_owned();
    for (old, new) in edits {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    let judgement = judged(&vec![("cordwright.yaml".into(), text)]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement.findings
}

#[track_caller]
fn said(rule: &str, edits: &[(&str, &str)]) -> Vec<Finding> {
    let found = findings(edits).into_iter();
    found.filter(|found| found.rule == rule).collect()
}

/// How often it finds something broken, and how often it leaves something open.
fn count(found: &[Finding]) -> (usize, usize) {
    let open = found.iter().filter(|one| one.verdict == Verdict::Open);
    let open = open.count();
    (found.len() - open, open)
}

const RULES: [&str; 8] = [
    "coupler-in-hot-air",
    "coupler-in-the-wet",
    "coupler-mismatch",
    "retention-missing",
    "retention-unsupported",
    "missing-key",
    "unknown-key",
    "bad-quantity",
];

#[test]
fn a_receptacle_with_a_full_record_is_silent() {
    for rule in RULES {
        let found = said(rule, &[]);
        assert_eq!(count(&found), (0, 0), "{rule}: {found:#?}");
    }
}

/// 460 W ÷ 0.97 at 230 V are 2.06 A, and a little more behind the drop.
#[test]
fn what_its_maker_declares_for_hot_air_is_used() {
    let rule = "coupler-in-hot-air";
    for (new, expected) in [
        (", hot-air: {at: 50 °C, amperes: 2.2 A}", 0),
        (", hot-air: {at: 50 °C, amperes: 2 A}", 1),
        // Of hotter air he says nothing.
        (", hot-air: {at: 49 °C, amperes: 13 A}", 1),
        ("", 1),
        (", hot-air: {amperes: 13 A}", 1),
        (", hot-air: {at: 55 °C}", 1),
    ] {
        let found = said(rule, &[(HOT_AIR, new)]);
        assert_eq!(count(&found), (expected, 0), "{new}: {found:#?}");
    }
    // What cannot be read may be enough.
    for unread in [", hot-air: {at: warm, amperes: 13 A}", ", hot-air: 55 °C"] {
        let found = said(rule, &[(HOT_AIR, unread)]);
        assert_eq!(count(&found), (0, 1), "{unread}: {found:#?}");
    }
    let found = said(rule, &[(HOT_AIR, ", hot-air: {at: 50 °C, amperes: 2 A}")]);
    assert!(
        found[0].headline.contains("the socket of circuit c"),
        "{}",
        found[0].headline
    );
}

#[test]
fn the_advice_names_the_keys_of_the_parts_that_are_met() {
    let rule = "coupler-in-hot-air";
    let receptacle = "`receptacle: {coupler: …, hot-air: {at: …, amperes: …}}`";
    let strip = "`ambient-limit`";
    let cord = "of a cord as the `hot-air`";
    let advice = |edits: &[(&str, &str)], couplers: &str| {
        let found = said(rule, edits);
        let own = found.iter().find(|one| one.headline.starts_with(couplers));
        own.unwrap_or_else(|| panic!("{found:#?}"))
            .remedy
            .advice
            .clone()
    };
    let of_receptacle = advice(&[(HOT_AIR, "")], "household");
    assert!(of_receptacle.contains(receptacle), "{of_receptacle}");
    assert!(
        !of_receptacle.contains(strip) && !of_receptacle.contains(cord),
        "{of_receptacle}"
    );
    let bare =
        "{coupler: CEE 7/3, latch: outlet-latch, ip: IP54, hot-air: {at: 55 °C, amperes: 13 A}}";
    assert!(advice(&[(bare, "CEE 7/3")], "household").contains(receptacle));
    let of_strip = advice(
        &[("ambient-limit: 60 °C", "ambient-limit: 45 °C")],
        "IEC 60320",
    );
    assert!(
        of_strip.contains(strip) && !of_strip.contains(receptacle),
        "{of_strip}"
    );
    let both = [
        ("ambient-limit: 60 °C", "ambient-limit: 45 °C"),
        ("at: 60 °C, amperes: 6 A", "at: 45 °C, amperes: 6 A"),
    ];
    let of_both = advice(&both, "IEC 60320");
    assert!(
        of_both.contains(strip) && of_both.contains(cord),
        "{of_both}"
    );
}

#[test]
fn a_latch_of_the_receptacle_holds_what_is_plugged_in() {
    let latch = "latch: outlet-latch, ip";
    for (rule, new, expected) in [
        ("retention-unsupported", "ip", (1, 0)),
        ("retention-unsupported", "latch: none, ip", (1, 0)),
        ("retention-missing", "latch: glue, ip", (0, 1)),
        ("retention-unsupported", "latch: glue, ip", (0, 0)),
        // Jaws in the receptacle hold the pins of any plug.
        ("retention-unsupported", "latch: pin-grip, ip", (0, 0)),
        ("retention-missing", "latch: pin-grip, ip", (0, 0)),
    ] {
        let found = said(rule, &[(latch, new)]);
        assert_eq!(count(&found), expected, "{rule}, {new}: {found:#?}");
    }
    let loose = ("retention: outlet-latch", "retention: none");
    assert_eq!(count(&said("retention-missing", &[loose])), (1, 0));
}

#[test]
fn its_degree_of_protection_may_stand_at_either_place() {
    let rule = "coupler-in-the-wet";
    let ip = ", ip: IP54";
    let beside = "receptacle-ip: IP54\n    receptacle: {";
    for (new_ip, new_beside, expected) in [
        (ip, "receptacle: {", (0, 0)),
        ("", beside, (0, 0)),
        (ip, beside, (0, 0)),
        ("", "receptacle: {", (1, 0)),
        (", ip: IP20", "receptacle: {", (1, 0)),
        (", ip: tight", "receptacle: {", (0, 1)),
        ("", "receptacle-ip: tight\n    receptacle: {", (0, 1)),
    ] {
        let edits = [
            ("outlet-latch, ip: IP54", &*format!("outlet-latch{new_ip}")),
            ("receptacle: {", new_beside),
        ];
        let found = said(rule, &edits);
        assert_eq!(count(&found), expected, "{new_ip} {new_beside}: {found:#?}");
    }
    // Two marks that differ: neither is believed.
    let differ = [("receptacle: {", "receptacle-ip: IP20\n    receptacle: {")];
    assert_eq!(count(&said("bad-quantity", &differ)), (1, 0));
    assert_eq!(count(&said(rule, &differ)), (0, 1));
}

#[test]
fn what_it_is_must_be_said() {
    let coupler = "coupler: CEE 7/3, ";
    let found = said("coupler-mismatch", &[(coupler, "")]);
    let wants: Vec<String> = found
        .iter()
        .flat_map(|one| &one.wants)
        .map(ToString::to_string)
        .collect();
    assert_eq!(wants, ["`receptacle.coupler` of circuit c"]);
    assert_eq!(count(&said("missing-key", &[(coupler, "")])), (1, 0));
    assert_eq!(
        count(&said(
            "coupler-mismatch",
            &[(coupler, "coupler: CEE 7/99, ")]
        )),
        (0, 1)
    );
    assert_eq!(
        count(&said(
            "unknown-key",
            &[(HOT_AIR, ", hot-airs: {at: 55 °C}")]
        )),
        (1, 0)
    );
    // The half with the pins belongs to the plug.
    assert!(!said("bad-quantity", &[("CEE 7/3", "NEMA 5-15P")]).is_empty());
}
