//! Transfer switches: what hangs behind one has two ways, and both count.

mod rules;

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::graph::Loss;
use cordwright::judgement::{Judgement, Site};
use cordwright::quantity::InUnits;

use crate::pages::bases;
use crate::site::{Files, at, element, judged, read, said, today};

/// A switch on both feeds, and behind it a recorder with one inlet.
const MORE: &str = "\
device-models:
  ats: {height: 1 U, class: I, voltage: 200–240 V, rating: 10 W, power-factor: 1, earth-current: 0.5 mA, sharing: standby, inlets-needed: 1, inlets: {a: C14, b: C14}, outlets: {1-4: {coupler: C13, rating: 10 A}}, transfer: {kind: automatic, preferred: a, time: 8 ms}}
  recorder: {height: 1 U, class: I, voltage: 200–240 V, rating: 900 W, power-factor: 1, earth-current: 0.5 mA, ride-through: 12 ms, inlets-needed: 1, inlets: {psu1: C14}}
devices:
  ats-1: {model: ats, rack: r1, at: U10, draw: 8 W}
  rec-1: {model: recorder, rack: r1, at: U12, draw: 400 W, critical: yes}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
  grey: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: grey, approvals: [BSI]}
cords:
  W-1: {type: blue, from: pdu-a/1, to: ats-1/a}
  W-2: {type: red, from: pdu-b/1, to: ats-1/b}
  W-3: {type: grey, from: ats-1/1, to: rec-1/psu1}
";

fn files(edits: &[(&str, &str)]) -> Files {
    let mut files = vec![
        (
            "cordwright.yaml".to_owned(),
            bases()["base-iec.yaml"].clone(),
        ),
        ("more.yaml".to_owned(), MORE.to_owned()),
    ];
    for (old, new) in edits {
        let holds = files.iter_mut().find(|(_, text)| text.contains(old));
        let (_, text) = holds.unwrap_or_else(|| panic!("{old}"));
        *text = text.replacen(old, new, 1);
    }
    files
}

fn after(edits: &[(&str, &str)]) -> Judgement {
    judged(&files(edits))
}

/// What a thing carries in the normal state and at the worst, in amperes, and when that is.
fn carries(site: &Site, name: &str) -> (f64, f64, String) {
    let id = element(site, name);
    let normal = site.flows.normal(&site.graph, id).unwrap();
    let worst = site.flows.worst(&site.graph, id).unwrap();
    let when = site.analysis(today()).when(worst.lost);
    (
        normal.current.in_amperes(),
        worst.current.in_amperes(),
        when,
    )
}

#[test]
fn a_sound_switch_is_silent() {
    let judgement = after(&[]);
    assert!(judgement.findings.is_empty(), "{:#?}", judgement.findings);
}

/// 408 W at the 207 V that a tolerance of 10 % leaves, less what wiring and cords drop.
#[test]
fn the_load_is_on_the_preferred_inlet_and_on_the_other_without_it() {
    let site = read(&files(&[]));
    let (normal, worst, when) = carries(&site, "W-1");
    assert!(
        (1.97..2.01).contains(&normal) && (worst - normal).abs() < 1e-6,
        "{normal} {worst}"
    );
    assert!(when.contains("normal"), "{when}");
    let (normal, worst, when) = carries(&site, "W-2");
    assert_eq!(normal, 0.0);
    assert!((1.97..2.01).contains(&worst), "{worst}");
    assert!(when.contains("is lost"), "{when}");
    let (turned, _, _) = carries(&read(&files(&[("preferred: a", "preferred: b")])), "W-2");
    assert!((worst - turned).abs() < 1e-9, "{worst} {turned}");
}

#[test]
fn a_device_may_prefer_the_other_inlet_than_its_model() {
    let site = read(&files(&[("draw: 8 W", "draw: 8 W, preferred: b")]));
    assert_eq!(carries(&site, "W-1").0, 0.0);
    assert!(carries(&site, "W-2").0 > 1.9);
}

#[test]
fn one_turned_by_hand_carries_on_either_inlet_and_saves_nobody() {
    let edits = [("kind: automatic", "kind: manual")];
    let site = read(&files(&edits));
    let (_, worst, when) = carries(&site, "W-2");
    assert!(
        worst > 1.9 && when == "when transfer switch ats-1 is turned",
        "{worst} {when}"
    );
    let recorder = element(&site, "W-3");
    let circuit = element(&site, "A-1");
    assert!(site.graph.is_dead_after(recorder, Loss::Of(circuit)));
    let judgement = after(&edits);
    assert_eq!(said(&judgement, "single-corded").len(), 1);
    assert!(said(&judgement, "transfer-too-slow").is_empty());
}

#[test]
fn what_nobody_prefers_is_judged_on_both() {
    let site = read(&files(&[(", preferred: a", "")]));
    let (normal, ..) = carries(&site, "W-1");
    let (_, worst, _) = carries(&site, "W-2");
    assert!(normal > 1.9 && worst > 1.9);
}

#[test]
fn what_is_behind_stays_up_without_either_feed_but_not_without_the_switch() {
    let site = read(&files(&[]));
    let behind = element(&site, "W-3");
    for lost in ["ups-a", "A-1", "W-1", "ups-b", "W-2"] {
        let lost = element(&site, lost);
        assert!(
            !site.graph.is_dead_after(behind, Loss::Of(lost)),
            "{lost:?}"
        );
    }
    let on = element(&site, "W-1");
    assert!(site.graph.is_dead_after(behind, Loss::Switch(on)));
    // With both inlets on one circuit that takes it down.
    let edits = [
        ("from: pdu-b/1", "from: pdu-a/2"),
        ("type: red, from", "type: blue, from"),
    ];
    let site = read(&files(&edits));
    let (behind, circuit) = (element(&site, "W-3"), element(&site, "A-1"));
    assert!(site.graph.is_dead_after(behind, Loss::Of(circuit)));
    let judgement = after(&edits);
    let shared = said(&judgement, "feed-shared");
    assert_eq!(shared.len(), 1, "{:#?}", judgement.findings);
    assert!(shared[0].about.contains(&"ats-1".into()));
}

#[test]
fn inlets_behind_one_switch_share_it() {
    let judgement = after(&[
        ("inlets: {psu1: C14}}", "inlets: {psu1: C14, psu2: C14}}"),
        (
            "to: rec-1/psu1}\n",
            "to: rec-1/psu1}\n  W-4: {type: grey, from: ats-1/2, to: rec-1/psu2}\n",
        ),
    ]);
    let shared = said(&judgement, "feed-shared");
    assert_eq!(shared.len(), 1, "{:#?}", judgement.findings);
    assert!(
        shared[0].headline.contains("transfer switch ats-1"),
        "{}",
        shared[0].headline
    );
}

/// Circuit B-1 is behind a breaker that may let more through than cord W-3 bears: nothing tells while the
/// switch stands on A.
#[test]
fn what_is_wrong_with_the_other_way_only_is_told_with_the_inlet() {
    let weak = (
        "  B-1:\n    from: ups-b\n    poles: [L1, N]\n    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}\n    wiring: {conductor: 4 mm², length: 10 m",
        "  B-1:\n    from: ups-b\n    poles: [L1, N]\n    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}\n    wiring: {conductor: 4 mm², length: 400 m",
    );
    let judgement = after(&[weak]);
    let behind: Vec<&Finding> = judgement
        .findings
        .iter()
        .filter(|found| found.about.iter().any(|name| name == "W-3"))
        .collect();
    assert!(!behind.is_empty(), "{:#?}", judgement.findings);
    for found in behind {
        assert!(
            found
                .headline
                .starts_with("with a transfer switch on its inlet ats-1/b: "),
            "{}",
            found.headline
        );
    }
}

#[test]
fn what_cannot_be_a_switch_is_told_where_it_stands() {
    let cases = [
        (
            ("inlets: {a: C14, b: C14}", "inlets: {a: C14}"),
            "bad-quantity",
            "{kind",
        ),
        (
            (", outlets: {1-4: {coupler: C13, rating: 10 A}}", ""),
            "bad-quantity",
            "{kind",
        ),
        (("preferred: a", "preferred: c"), "unknown-name", "c"),
        (
            ("draw: 8 W", "draw: 8 W, preferred: c"),
            "unknown-name",
            "c",
        ),
        (
            ("draw: 400 W", "draw: 400 W, preferred: psu1"),
            "bad-quantity",
            "psu1",
        ),
        (
            ("kind: automatic", "kind: automtic"),
            "bad-quantity",
            "automtic",
        ),
        (("time: 8 ms", "time: 0 ms"), "bad-quantity", "0 ms"),
        (
            ("ride-through: 12 ms", "ride-through: soon"),
            "bad-quantity",
            "soon",
        ),
    ];
    for (edit, rule, place) in cases {
        let judgement = after(&[edit]);
        let told = said(&judgement, rule);
        assert!(
            told.iter()
                .any(|found| at(&judgement, found).starts_with(place)),
            "{edit:?}: {:#?}",
            judgement.findings
        );
    }
}

#[test]
fn a_switch_fed_through_itself_is_a_loop() {
    let judgement = after(&[("from: pdu-b/1, to: ats-1/b", "from: ats-1/3, to: ats-1/b")]);
    let told = said(&judgement, "power-loop");
    assert_eq!(told.len(), 1, "{:#?}", judgement.findings);
    assert_eq!(told[0].level, Level::Error);
}

#[test]
fn what_is_missing_is_asked_once_for_each_model() {
    for (edit, key) in [
        ((", time: 8 ms", ""), "transfer.time"),
        ((", ride-through: 12 ms", ""), "ride-through"),
    ] {
        let judgement = after(&[edit]);
        let told = said(&judgement, "transfer-too-slow");
        assert_eq!(told.len(), 1, "{edit:?}: {:#?}", judgement.findings);
        assert_eq!(told[0].verdict, Verdict::Open);
        assert!(
            told[0]
                .wants
                .iter()
                .any(|fact| fact.full_key().ends_with(key)),
            "{:?}",
            told[0].wants
        );
    }
}

#[test]
fn a_gap_as_long_as_the_ride_through_is_borne() {
    assert!(
        said(
            &after(&[("time: 8 ms", "time: 12 ms")]),
            "transfer-too-slow"
        )
        .is_empty()
    );
    let judgement = after(&[("time: 8 ms", "time: 12.1 ms")]);
    assert_eq!(said(&judgement, "transfer-too-slow").len(), 1);
}
