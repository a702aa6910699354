//! Where editions of the wiring rules differ, the one that the site names decides; where it names none, what
//! would be answered in two ways is open.

use cordwright::finding::{Finding, Verdict};

use crate::pages::bases;
use crate::site::{Files, judged};

/// The base site under IEC practice with edits, and more beside it.
fn site(edits: &[(&str, &str)], more: &str) -> Files {
    let mut base = bases()["base-iec.yaml"].clone();
    for (old, new) in edits {
        assert!(base.contains(old), "{old}");
        base = base.replacen(old, new, 1);
    }
    let files = [("cordwright.yaml", base), ("more.yaml", more.to_owned())];
    files.map(|(name, text)| (name.to_owned(), text)).into()
}

fn said(edits: &[(&str, &str)], more: &str, rule: &str) -> Vec<Finding> {
    let findings = judged(&site(edits, more)).findings.into_iter();
    findings.filter(|found| found.rule == rule).collect()
}

fn edition(name: &'static str) -> (&'static str, String) {
    (
        "  country: GB\n",
        format!("  country: GB\n  edition: {name}\n"),
    )
}

/// The findings of a rule with this edition, or without one.
fn by(named: Option<&'static str>, more: &str, rule: &str) -> Vec<Finding> {
    match named.map(edition) {
        Some((old, new)) => said(&[(old, &new)], more, rule),
        None => said(&[], more, rule),
    }
}

fn verdicts(findings: &[Finding]) -> Vec<Verdict> {
    findings.iter().map(|found| found.verdict).collect()
}

/// A strip on a socket behind a breaker of 40 A that opens at once from 400 A; an earth fault at its plug drives
/// less.
const SLOW: &str = "
circuits:
  C-1:
    from: ups-a
    poles: [L1, N]
    breaker: {rating: 40 A, curve: C, breaking-capacity: 6 kA}
    wiring: {conductor: 6 mm², length: 100 m, insulation: pvc-70}
    receptacle: IEC 60309 63 A 2P+E 6h
pdu-models:
  strip-63: {plug: IEC 60309 63 A 2P+E 6h, rating: 40 A, cord: {cordage: H07RN-F, conductor: 10 mm², length: 2 m}, banks: {B1: {between: L1-N, breaker: {rating: 10 A, curve: B, breaking-capacity: 6 kA}, outlets: {1-8: C13}}}, outlet-pitch: 28 mm, first-outlet: 60 mm}
pdus:
  pdu-c: {model: strip-63, rack: r1, from: C-1, mount: {side: rear-left, foot: U22, head: U40}}
";

/// Within which time the breaker of 40 A must open, as it is told.
fn time_told(named: Option<&'static str>, more: &str) -> String {
    let found = by(named, more, "slow-disconnection");
    assert_eq!(verdicts(&found), [Verdict::Broken], "{named:?}");
    let lines: Vec<String> = found[0]
        .arithmetic
        .iter()
        .map(ToString::to_string)
        .collect();
    let lines = lines.join("\n");
    let (_, after) = lines.split_once("sure to open within ").unwrap();
    after.split(" only").next().unwrap().to_owned()
}

#[test]
fn up_to_which_device_the_short_times_hold_is_a_matter_of_the_edition() {
    for (named, wanted) in [
        (None, "0.4 s"),
        (Some("BS 7671:2008+A3:2015"), "5 s"),
        (Some("BS 7671:2018+A2:2022"), "0.4 s"),
        (Some("BS 7671:2018+A3:2024"), "0.4 s"),
        (Some("AS/NZS 3000:2018"), "0.4 s"),
    ] {
        assert_eq!(time_told(named, SLOW), wanted, "{named:?}");
    }
    // A strip that is wired to terminals makes no circuit with sockets.
    let wired = SLOW
        .replace("plug: IEC 60309 63 A 2P+E 6h", "plug: none")
        .replace("    receptacle: IEC 60309 63 A 2P+E 6h\n", "");
    assert_eq!(time_told(Some("BS 7671:2018"), &wired), "5 s");
}

/// A device that leaks 5 mA through a C14 plug.
const LEAKY: &str = "
device-models: {box: {height: 1 U, class: I, voltage: 200–240 V, rating: 1500 W, power-factor: 0.97, inlets: {psu1: C14}, inlets-needed: 1, earth-current: 5 mA}}
devices: {box-1: {model: box, rack: r1, at: U10, draw: 200 W}}
cord-types: {thin: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}}
cords: {W-1: {type: thin, from: pdu-a/1, to: box-1/psu1}}
";

#[test]
fn one_item_on_an_ordinary_plug_is_a_matter_of_the_edition() {
    let leaks = |named| by(named, LEAKY, "earth-leakage");
    assert_eq!(verdicts(&leaks(None)), [Verdict::Open]);
    let found = leaks(Some("BS 7671:2018"));
    assert_eq!(verdicts(&found), [Verdict::Broken]);
    assert!(
        found[0]
            .headline
            .contains("5 mA leak to earth through each plug of box")
    );
    assert_eq!(leaks(Some("BS 7671:2018+A2:2022")), []);
    assert_eq!(leaks(Some("IEC 60364-4-41:2005+A1:2017")), []);
    // Up to the step nothing is said, whatever binds.
    let little = LEAKY.replace("earth-current: 5 mA", "earth-current: 3.5 mA");
    for named in [None, Some("BS 7671:2018")] {
        assert_eq!(by(named, &little, "earth-leakage"), [], "{named:?}");
    }
    let unread = LEAKY.replace("earth-current: 5 mA", "earth-current: little");
    for named in [None, Some("BS 7671:2018")] {
        let open = by(named, &unread, "earth-leakage");
        assert!(verdicts(&open).contains(&Verdict::Open), "{named:?}");
    }
}

#[test]
fn up_to_which_socket_a_sensitive_device_is_asked_is_a_matter_of_the_edition() {
    const LARGE: &str = "
circuits:
  C-1: {from: ups-a, poles: [L1, N], breaker: {rating: 32 A, curve: C, breaking-capacity: 6 kA}, wiring: {conductor: 6 mm², length: 10 m, insulation: pvc-70}, receptacle: AS/NZS 3112 32 A}
";
    let asked = |edition: &str| {
        // A country that takes no reason for an exception.
        let new = format!("  country: FR\n{edition}");
        said(&[("  country: GB\n", &new)], LARGE, "socket-without-rcd")
    };
    assert_eq!(verdicts(&asked("")), [Verdict::Open]);
    assert_eq!(asked("  edition: IEC 60364-4-41:2005\n"), []);
    let now = asked("  edition: IEC 60364-4-41:2005+A1:2017\n");
    assert_eq!(verdicts(&now), [Verdict::Broken]);
}

#[test]
fn an_edition_is_named_as_the_site_names_it() {
    let new = "  country: DE\n  edition: DIN VDE 0100-410:2018-10\n";
    let judgement = judged(&site(&[("  country: GB\n", new)], ""));
    assert_eq!(
        judgement.edition.as_deref(),
        Some("DIN VDE 0100-410:2018-10")
    );
}

#[test]
fn an_edition_that_cannot_be_meant_is_told_and_settles_nothing() {
    for (named, said_of_it) in [
        ("BS 7671", "is not an edition"),
        ("NEC 2023", "is of NEC practice"),
        ("[2018]", "edition"),
    ] {
        let told = by(Some(named), LEAKY, "bad-quantity");
        assert!(
            told.iter().any(|found| found.headline.contains(said_of_it)),
            "{named}: {told:#?}"
        );
        let open = by(Some(named), LEAKY, "earth-leakage");
        assert_eq!(verdicts(&open), [Verdict::Open], "{named}");
    }
}
