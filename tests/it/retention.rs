//! Each end of a cord is judged where it is: the plug in the rack of its PDU, the connector in the
//! rack of its device.

use cordwright::finding::{Level, Verdict};

use crate::site::judged;

/// Of each finding on retention: the rule, its level or `open`, and its `kind`.
fn found(text: &str) -> Vec<(&'static str, &'static str, &'static str)> {
    let files = vec![("cordwright.yaml".to_owned(), text.to_owned())];
    let findings = judged(&files).findings.into_iter();
    findings
        .filter(|finding| finding.rule.starts_with("retention-"))
        .map(|finding| {
            let weight = match (finding.verdict, finding.level) {
                (Verdict::Open, _) => "open",
                (_, Level::Error) => "error",
                (_, Level::Warning) => "warning",
                (_, Level::Note) => "note",
            };
            (finding.rule, weight, finding.kind)
        })
        .collect()
}

/// A cord from a strip in one zone to a device in another.
fn site(plug_zone: &str, connector_zone: &str, retention: &str) -> String {
    format!(
        "site: {{name: Two rooms, practice: iec}}
zones:
  here: {{{plug_zone}}}
  there: {{{connector_zone}}}
racks:
  r-here: {{zone: here}}
  r-there: {{zone: there}}
supplies:
  s: {{system: 1/N/PE ~ 230 V 50 Hz}}
circuits:
  A: {{from: s, poles: [L1, N], breaker: 16 A, receptacle: IEC 60309 16 A 2P+E 6h}}
pdu-models:
  strip: {{plug: IEC 60309 16 A 2P+E 6h, rating: 16 A, banks: {{B: {{between: L1-N, outlets: {{1: C13}}}}}}}}
pdus:
  pdu: {{model: strip, rack: r-here, from: A}}
device-models:
  m: {{inlets: {{psu: C14}}}}
devices:
  d: {{model: m, rack: r-there}}
cord-types:
  c: {{plug: C14, connector: C13, conductor: 1.0 mm², length: 1 m, retention: {retention}}}
cords:
  W-1: {{type: c, from: pdu/1, to: d/psu}}
"
    )
}

const CALM: &str = "vibration: none";
const SHAKEN: &str = "vibration: machinery";

#[test]
fn an_end_is_judged_by_its_own_zone() {
    const MISSING: (&str, &str, &str) = ("retention-missing", "warning", "");
    const ONE_ENDED: (&str, &str, &str) = ("retention-one-ended", "warning", "");
    let (none, held) = (
        "{plug: none, connector: none}",
        "{plug: none, connector: pin-grip}",
    );
    for (plug_zone, connector_zone, retention, expected) in [
        (CALM, CALM, none, None),
        (SHAKEN, CALM, none, Some(MISSING)),
        (CALM, SHAKEN, none, Some(MISSING)),
        (SHAKEN, SHAKEN, none, Some(MISSING)),
        (CALM, SHAKEN, held, None),
        (SHAKEN, CALM, held, Some(ONE_ENDED)),
        (SHAKEN, SHAKEN, held, Some(ONE_ENDED)),
        ("vibration: seismic", CALM, none, Some(MISSING)),
        (CALM, "vibration: transport", none, Some(MISSING)),
    ] {
        let said = found(&site(plug_zone, connector_zone, retention));
        let expected: Vec<_> = expected.into_iter().collect();
        assert_eq!(
            said, expected,
            "{plug_zone} / {connector_zone}: {retention}"
        );
    }
}

#[test]
fn a_zone_that_requires_it_makes_an_error_of_either_end() {
    let required = "vibration: none, retention: required";
    let error = ("retention-missing", "error", "");
    let held = "{plug: none, connector: pin-grip}";
    assert_eq!(found(&site(required, CALM, held)), [error]);
    assert_eq!(found(&site(CALM, required, held)), []);
    let not = "vibration: none, retention: not-required";
    assert_eq!(found(&site(not, CALM, held)), []);
}

#[test]
fn a_zone_that_does_not_say_is_one_open_point_where_an_end_is_not_held() {
    let open = ("retention-missing", "open", "zone");
    let none = "{plug: none, connector: none}";
    let held = "{plug: none, connector: pin-grip}";
    assert_eq!(found(&site("", "", none)), [open, open]);
    assert_eq!(found(&site("", "", held)), [open]);
    assert_eq!(found(&site(CALM, "", held)), []);
    let calm = site(CALM, CALM, none);
    let no_zone = calm.replace("r-there: {zone: there}", "r-there: {height: 42 U}");
    assert_eq!(found(&no_zone), [("retention-missing", "open", "rack")]);
    let no_rack = calm.replace(", rack: r-there", "");
    assert_eq!(found(&no_rack), [("retention-missing", "open", "thing")]);
    let own_zone = no_rack.replace("d: {model: m}", "d: {model: m, zone: there}");
    assert_eq!(found(&own_zone), []);
}

#[test]
fn a_site_without_zones_is_told_once() {
    let text = site(CALM, CALM, "{plug: none, connector: none}");
    let text = text
        .replace(
            "zones:\n  here: {vibration: none}\n  there: {vibration: none}\n",
            "",
        )
        .replace("{zone: here}", "{height: 42 U}")
        .replace("{zone: there}", "{height: 42 U}");
    assert_eq!(found(&text), [("retention-missing", "open", "zones")]);
}

#[test]
fn a_lock_that_is_not_said_is_open_once_for_its_type() {
    let open = ("retention-missing", "open", "cord type");
    assert_eq!(found(&site(SHAKEN, SHAKEN, "{}")), [open]);
    assert_eq!(found(&site(CALM, CALM, "{}")), []);
}

#[test]
fn a_lock_without_its_mate_is_an_error_wherever_it_is() {
    let plug = ("retention-unsupported", "error", "plug");
    let latching = "{plug: outlet-latch, connector: none}";
    assert_eq!(found(&site(CALM, CALM, latching)), [plug]);
    let text =
        site(CALM, CALM, latching).replace("1: C13", "1: {coupler: C13, latch: outlet-latch}");
    assert_eq!(found(&text), []);
}
