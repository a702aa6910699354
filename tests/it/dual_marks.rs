//! Cords that are marked for two systems of rules at once, `H05VV-F 3G1.0 mm² / SJT 18 AWG/3C`: the mark of
//! the practice that binds is judged by, and where none is known to bind, the weaker.

use cordwright::finding::{Finding, Verdict};
use cordwright::schedule::{self, Kind};

use crate::site::{judged, read, today};

const NL: &str = include_str!("../rooms/nl-colo/cordwright.yaml");
const US: &str = include_str!("../rooms/us-office-120v/cordwright.yaml");

/// Two lengths of one cord on a strip, and the device it feeds.
const RACK: &str = "\
site: {practice: iec, country: NL, ambient: 25 °C, supply-tolerance: 10 %, continuous-load: 80 %, voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}}
zones:
  hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}
racks:
  r: {zone: hall, height: 42 U, width: 600 mm, depth: 1070 mm}
supplies:
  s: {system: 1/N/PE ~ 230 V 50 Hz, capacity: 20 kVA, fault-current: 3 kA, earthing: TN-S}
circuits:
  c: {from: s, poles: [L1, N], breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 12 kA²s}, wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}, receptacle: IEC 60309 16 A 2P+E 6h}
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    cord: {cordage: [H05VV-F, SJT], conductor: [2.5 mm², 14 AWG], length: 2 m}
    banks: {B1: {between: L1-N, breaker: {rating: 10 A, curve: C, breaking-capacity: 6 kA, let-through: 7 kA²s}, outlets: {1-8: C13}}}
pdus:
  p: {model: strip, rack: r, from: c, mount: {side: rear-left, foot: U2, head: U20}}
device-models:
  m: {height: 1 U, class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.95, inlets: {i: C14}, inlets-needed: 1}
devices:
  d: {model: m, rack: r, at: U12, draw: 200 W}
cord-types:
  t: {plug: C14, connector: C13, conductor: [1.0 mm², 18 AWG], cordage: [H05VV-F, SJT], length: 1 m, rating: {iec: 10 A, nec: 13 A}, approvals: [KEMA, UL]}
cords:
  w: {type: t, from: p/1, to: d/i}
";

fn edited(text: &str, edits: &[(&str, &str)]) -> String {
    edits.iter().fold(text.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replacen(old, new, 1)
    })
}

fn findings(text: String) -> Vec<Finding> {
    let judgement = judged(&vec![("cordwright.yaml".into(), text)]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement.findings
}

fn said(rule: &str, edits: &[(&str, &str)]) -> Vec<Finding> {
    let found = findings(edited(RACK, edits)).into_iter();
    found.filter(|found| found.rule == rule).collect()
}

/// Whether the rule finds something broken, asks something, or is silent.
fn verdict(rule: &str, edits: &[(&str, &str)]) -> Option<Verdict> {
    let found = said(rule, edits);
    found.first().map(|found| found.verdict)
}

const NEC: (&str, &str) = ("practice: iec, country: NL", "practice: nec, country: US");
const NEITHER: (&str, &str) = ("{practice: iec, country: NL", "{country: NL");
const HOT: (&str, &str) = ("hall: {ambient: 25 °C", "hall: {ambient: 62 °C");

#[test]
fn sound_rooms_stay_silent_with_cords_that_are_marked_twice() {
    let (old, new) = (
        "conductor: 1.5 mm², cordage: H05VV-F, length: 1.2 m, rating: 10 A,",
        "conductor: [1.5 mm², 16 AWG], cordage: [H05VV-F, SJT], length: 1.2 m, rating: {iec: 10 A, nec: 13 A},",
    );
    let nl = NL.replace(old, new);
    assert!(nl.matches(new).count() == 2);
    let (old, new) = (
        "cordage: SJT, conductor: 14 AWG, length: 10 ft",
        "cordage: [H05VV-F, SJT], conductor: [2.5 mm², 14 AWG], length: 10 ft",
    );
    let us = edited(US, &[(old, new)]);
    for text in [nl, us] {
        let found = findings(text);
        assert!(found.is_empty(), "{found:#?}");
    }
}

/// EN 50525-2-11: H05VV-F 70 °C. NEC Table 400.4: SJT 60 °C.
#[test]
fn the_cordage_of_the_practice_bears_the_heat_and_the_cooler_where_none_is_known() {
    let broken = Some(Verdict::Broken);
    assert_eq!(verdict("jacket-too-hot", &[HOT]), None);
    assert_eq!(verdict("jacket-too-hot", &[HOT, NEC]), broken);
    assert_eq!(verdict("jacket-too-hot", &[HOT, NEITHER]), broken);
    let turned = (
        "cordage: [H05VV-F, SJT], length: 1 m",
        "cordage: [SJT, H05VV-F], length: 1 m",
    );
    assert_eq!(verdict("jacket-too-hot", &[HOT, turned]), None);
    let alone = (
        "cordage: [H05VV-F, SJT], length: 1 m",
        "cordage: [SJT], length: 1 m",
    );
    assert_eq!(verdict("jacket-too-hot", &[HOT, alone]), broken);
}

/// JIS C 3306: VCTF 60 °C. In Japan its mark binds before the harmonised one.
#[test]
fn in_japan_the_japanese_mark_goes_before() {
    let marks = (
        "cordage: [H05VV-F, SJT], length: 1 m",
        "cordage: [H05VV-F, SJT, VCTF], length: 1 m",
    );
    let japan = ("country: NL", "country: JP");
    assert_eq!(verdict("jacket-too-hot", &[HOT, marks]), None);
    assert_eq!(
        verdict("jacket-too-hot", &[HOT, marks, japan]),
        Some(Verdict::Broken)
    );
}

#[test]
fn two_marks_of_one_system_count_as_the_weaker() {
    let marks = (
        "cordage: [H05VV-F, SJT], length: 1 m",
        "cordage: [H05V2V2-F, H05VV-F], length: 1 m",
    );
    let hotter = ("hall: {ambient: 25 °C", "hall: {ambient: 72 °C");
    let told = said("jacket-too-hot", &[hotter, marks]);
    assert!(
        told.iter()
            .any(|found| found.headline.contains("H05V2V2-F / H05VV-F")),
        "{told:#?}"
    );
    let stronger = (
        "cordage: [H05VV-F, SJT], length: 1 m",
        "cordage: H05V2V2-F, length: 1 m",
    );
    let trunk = |found: &Finding| found.headline.contains("cord w");
    assert!(
        !said("jacket-too-hot", &[hotter, stronger])
            .iter()
            .any(trunk)
    );
}

/// The section that a practice relies on is the one marked in its system.
#[test]
fn the_size_of_the_practice_carries() {
    let sizes = ("[1.0 mm², 18 AWG]", "[1.0 mm², 16 AWG]");
    let load = [
        ("rating: 300 W", "rating: 2200 W"),
        ("draw: 200 W", "draw: 2000 W"),
    ];
    let rule = "conductor-underrated";
    let broken = Some(Verdict::Broken);
    assert_eq!(verdict(rule, &[sizes, load[0], load[1]]), broken);
    assert_eq!(verdict(rule, &[sizes, load[0], load[1], NEC]), None);
}

/// SJT is made from 18 AWG on, which is more than 0.75 mm²: its own size is meant, not the other.
#[test]
fn a_cordage_is_made_in_the_sizes_of_its_own_system() {
    let small = ("[1.0 mm², 18 AWG]", "[0.75 mm², 18 AWG]");
    let alone = (
        "cordage: [H05VV-F, SJT], length: 1 m",
        "cordage: SJT, length: 1 m",
    );
    for edits in [&[small][..], &[small, alone], &[small, NEC]] {
        let told = findings(edited(RACK, edits));
        let unmade = told
            .iter()
            .find(|found| format!("{found:?}").contains("is not made in"));
        assert!(unmade.is_none(), "{unmade:#?}");
    }
    let too_thin = ("[1.0 mm², 18 AWG]", "[0.75 mm², 20 AWG]");
    let told = format!("{:?}", findings(edited(RACK, &[too_thin, NEC])));
    assert!(told.contains("SJT is not made in 20 AWG"), "{told}");
}

#[test]
fn the_rating_of_the_practice_is_relied_on() {
    let broken = Some(Verdict::Broken);
    assert_eq!(verdict("rating-foreign", &[]), None);
    assert_eq!(verdict("rating-foreign", &[NEC]), None);
    let turned = ("{iec: 10 A, nec: 13 A}", "{iec: 13 A, nec: 10 A}");
    assert_eq!(verdict("rating-foreign", &[turned]), broken);
    assert_eq!(
        verdict("rating-foreign", &[("{iec: 10 A, nec: 13 A}", "13 A")]),
        broken
    );
}

/// One mark that cannot be read may be the one that binds.
#[test]
fn a_mark_that_cannot_be_read_is_asked_for_and_the_other_is_not_taken() {
    for (old, new, rule, also) in [
        (
            "cordage: [H05VV-F, SJT], length: 1 m",
            "cordage: [H05VV-F, S-who], length: 1 m",
            "jacket-too-hot",
            HOT,
        ),
        (
            "cordage: [H05VV-F, SJT], length: 1 m",
            "cordage: [S-who, H05VV-F], length: 1 m",
            "jacket-too-hot",
            HOT,
        ),
        (
            "[1.0 mm², 18 AWG]",
            "[1.0 mm², some]",
            "conductor-underrated",
            HOT,
        ),
        (
            "{iec: 10 A, nec: 13 A}",
            "{iec: 10 A, nec: much}",
            "rating-foreign",
            HOT,
        ),
        (
            "{iec: 10 A, nec: 13 A}",
            "{iec: 10 A}",
            "rating-foreign",
            HOT,
        ),
        (
            "{iec: 10 A, nec: 13 A}",
            "{iec: 0 A, nec: 13 A}",
            "rating-foreign",
            HOT,
        ),
    ] {
        let found = said(rule, &[(old, new), also]);
        let open = found.iter().any(|found| found.verdict == Verdict::Open);
        assert!(open, "{new}: {found:#?}");
        let bad = findings(edited(RACK, &[(old, new)]));
        let is_told =
            |found: &Finding| ["bad-quantity", "unknown-name", "missing-key"].contains(&found.rule);
        assert!(bad.iter().any(is_told), "{new}: {bad:#?}");
    }
}

#[test]
fn what_no_cord_is_marked_with_is_told() {
    for marks in ["[]", "[H05VV-F, SJT, VCTF, SVT]", "{iec: H05VV-F}"] {
        let cordage = format!("cordage: {marks}, length: 1 m");
        let found = findings(edited(
            RACK,
            &[("cordage: [H05VV-F, SJT], length: 1 m", &cordage)],
        ));
        let told = found.iter().any(|found| found.rule == "bad-quantity");
        assert!(told, "{marks}: {found:#?}");
    }
}

#[test]
fn schedules_show_both_marks_as_written() {
    let site = read(&vec![("cordwright.yaml".into(), RACK.to_owned())]);
    let analysis = site.analysis(today());
    let table = |kind| schedule::markdown(&schedule::schedule(&analysis, kind)).into_string();
    let order = table(Kind::Order(None));
    for words in ["1 mm² / 18 AWG", "H05VV-F / SJT", "10 A (IEC) / 13 A (NEC)"] {
        assert!(order.contains(words), "{words}: {order}");
    }
    let cords = table(Kind::Cords);
    assert!(
        cords.contains("H05VV-F / SJT") && cords.contains("/ 18 AWG"),
        "{cords}"
    );
}

/// The input cord of a strip, and the leg of a splitter.
#[test]
fn input_cords_and_legs_may_be_marked_twice_too() {
    let is_input = |found: &Finding| found.headline.contains("input cord");
    assert!(!said("jacket-too-hot", &[HOT]).iter().any(is_input));
    assert!(said("jacket-too-hot", &[HOT, NEC]).iter().any(is_input));
    let split = [
        (
            "cordage: [H05VV-F, SJT], length: 1 m, rating: {iec: 10 A, nec: 13 A}",
            "cordage: H05VV-F, length: 1 m, rating: 10 A, legs: {a: {connector: C13, conductor: [1.0 mm², 18 AWG], cordage: [H05VV-F, SJT], length: 300 mm, rating: {iec: 10 A, nec: 13 A}}}",
        ),
        (
            "connector: C13, conductor: [1.0 mm², 18 AWG], cordage: H05VV-F",
            "conductor: 1.0 mm², cordage: H05VV-F",
        ),
        ("to: d/i", "to: {a: d/i}"),
    ];
    let is_leg = |found: &Finding| found.headline.contains("leg a");
    let told = |more: &[(&str, &str)]| {
        let edits: Vec<_> = split.iter().chain(more).copied().collect();
        said("jacket-too-hot", &edits).iter().any(is_leg)
    };
    assert!(!told(&[HOT]));
    assert!(told(&[HOT, NEC]));
}

#[test]
fn sizes_that_no_conductor_has_both_are_told() {
    for (pair, is_sound) in [
        ("[1.5 mm², 14 AWG]", true),
        ("[0.75 mm², 18 AWG]", true),
        ("[6 mm², 8 AWG]", true),
        ("[1.0 mm², 10 AWG]", false),
        ("[2.5 mm², 18 AWG]", false),
    ] {
        let told = findings(edited(RACK, &[("[1.0 mm², 18 AWG]", pair)]));
        let bad = told
            .iter()
            .filter(|found| found.headline.contains("no conductor is both"));
        assert_eq!(bad.count() == 0, is_sound, "{pair}");
    }
}
