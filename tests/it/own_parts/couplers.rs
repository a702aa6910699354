//! Couplers that the tables lack and the site describes itself: used by every rule like those of the tables, and
//! told at the exact bytes where what is said of them is not enough or cannot be meant.

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::report::Format;

use crate::site::{judged, reported};

use super::{files, found};

/// Two supplies, a strip that hangs on a coupler of the site's own, and a device behind it.
const ROOM: &str = "\
site:
  practice: iec
  country: GB
  ambient: 25 °C
  feeds: {A: {colour: blue}}
supplies:
  ups: {feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 3 kA}
circuits:
  A-1:
    from: ups
    poles: [L1, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 10 kA}
    wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}
    receptacle: own-round-16
pdu-models:
  strip:
    plug: own-round-16-plug
    rating: 16 A
    breakers: none
    cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}
    banks: {B: {between: L1-N, outlets: {1-4: C13}}}
pdus:
  strip-a: {model: strip, from: A-1}
device-models:
  box: {class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, inlets: {psu: C14}, inlets-needed: 1}
devices:
  box-1: {model: box, draw: 200 W}
cord-types:
  thin: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, approvals: [BSI]}
cords:
  W-1: {type: thin, from: strip-a/1, to: box-1/psu}
";

const TYPES: &str = "\
coupler-types:
  own-round-16:
    half: contacts
    poles: [L1, N, PE]
    current: 16 A
    voltage: 250 V
    mates: [own-round-16-plug]
    one-way: yes
    source: data sheet of 2024-03, sheet 4
  own-round-16-plug:
    half: pins
    poles: [L1, N, PE]
    current: 16 A
    voltage: 250 V
    mates: [own-round-16]
    one-way: yes
    source: data sheet of 2024-03, sheet 5
";

/// What a rule says of the room with these types.
fn said(types: &str, rule: &str) -> Vec<Finding> {
    let own = found(ROOM, types).into_iter().map(|(found, _)| found);
    own.filter(|found| found.rule == rule).collect()
}

/// The only finding of a rule, and the bytes that it points at.
fn only(types: &str, rule: &str) -> (Finding, String) {
    let mut own = found(ROOM, types);
    own.retain(|(found, _)| found.rule == rule);
    assert_eq!(own.len(), 1, "{rule}\n{types}");
    own.remove(0)
}

fn with(old: &str, new: &str) -> String {
    assert_eq!(TYPES.matches(old).count(), 1, "{old}");
    TYPES.replace(old, new)
}

#[test]
fn a_room_with_couplers_of_its_own_is_judged_like_any_other() {
    let of_records = ["bad-quantity", "missing-key", "unknown-name", "unknown-key"];
    for rule in of_records {
        assert_eq!(said(TYPES, rule), [], "{rule}");
    }
    for rule in [
        "coupler-mismatch",
        "earth-interrupted",
        "input-chain-mismatch",
    ] {
        assert_eq!(said(TYPES, rule), [], "{rule}");
    }
}

#[test]
fn the_rating_of_the_site_decides_and_says_whose_it_is() {
    let weak = with(
        "16 A\n    voltage: 250 V\n    mates: [own-round-16-plug]",
        "10 A\n    voltage: 250 V\n    mates: [own-round-16-plug]",
    );
    let found = said(&weak, "input-chain-mismatch");
    assert!(!found.is_empty());
    let source = found[0].basis.iter().map(ToString::to_string);
    let source: Vec<String> = source.collect();
    let wanted = "data sheet of 2024-03, sheet 4 (as given by the site)";
    assert!(source.iter().any(|source| source == wanted), "{source:?}");
    let low = with(
        "250 V\n    mates: [own-round-16-plug]",
        "125 V\n    mates: [own-round-16-plug]",
    );
    assert_eq!(said(&low, "voltage-out-of-range").len(), 1);
}

#[test]
fn an_own_coupler_goes_together_with_what_the_site_says_alone() {
    let apart = with("mates: [own-round-16-plug]", "mates: [C14]")
        .replace("mates: [own-round-16]", "mates: [C13]");
    let (found, _) = only(&apart, "coupler-mismatch");
    assert_eq!(
        (found.verdict, found.level),
        (Verdict::Broken, Level::Error)
    );
    assert!(
        found.headline.contains("does not enter own-round-16"),
        "{}",
        found.headline
    );
    // One of the two saying so is enough.
    let half = TYPES.replace("mates: [own-round-16]", "mates: [C13]");
    assert_eq!(said(&half, "coupler-mismatch"), []);
}

#[test]
fn an_earthless_half_of_the_sites_own_is_found() {
    let earthless = TYPES.replacen("[L1, N, PE]", "[L1, N]", 1);
    assert!(!said(&earthless, "earth-interrupted").is_empty());
}

#[test]
fn one_that_is_like_another_has_its_half_poles_ratings_and_mates() {
    let like = "coupler-types:
  own-round-16: {like: CEE 7/3, source: sheet 4}
  own-round-16-plug: {like: CEE 7/7, current: 10 A, source: sheet 5}
";
    for rule in [
        "coupler-mismatch",
        "earth-interrupted",
        "missing-key",
        "bad-quantity",
    ] {
        assert_eq!(said(like, rule), [], "{rule}");
    }
    let chain = said(like, "input-chain-mismatch");
    assert!(!chain.is_empty(), "a plug of 10 A behind 16 A");
}

#[test]
fn what_is_missing_is_told_and_passes_nothing() {
    for key in [
        "half: contacts",
        "poles: [L1, N, PE]",
        "current: 16 A",
        "voltage: 250 V",
        "mates: [own-round-16-plug]",
        "source: data sheet of 2024-03, sheet 4",
    ] {
        let without = TYPES.replacen(&format!("    {key}\n"), "", 1);
        let (found, at) = only(&without, "missing-key");
        let name = key.split(':').next().unwrap();
        assert_eq!(at, "own-round-16");
        let wanted = format!("coupler type own-round-16 has no `{name}`");
        assert!(found.headline.starts_with(&wanted), "{}", found.headline);
    }
}

#[test]
fn what_cannot_be_meant_is_told_at_its_bytes() {
    let bad = |old: &str, new: &str| {
        let (found, at) = only(&TYPES.replacen(old, new, 1), "bad-quantity");
        (found.headline, at)
    };
    for (old, new, at, word) in [
        ("[L1, N, PE]", "[L1, L1, PE]", "[L1, L1, PE]", "twice"),
        ("[L1, N, PE]", "[N, PE]", "[N, PE]", "no line"),
        (
            "[L1, N, PE]",
            "[L1, L2, L/N, PE]",
            "[L1, L2, L/N, PE]",
            "single line",
        ),
        ("[L1, N, PE]", "[L1, N, L/N]", "[L1, N, L/N]", "cannot both"),
        ("[L1, N, PE]", "[L1, Q, PE]", "Q", "not a pole of a coupler"),
        ("[own-round-16-plug]", "[]", "[]", "nothing"),
        (
            "[own-round-16-plug]",
            "[own-round-16-plug, C13]",
            "C13",
            "contacts",
        ),
    ] {
        let (headline, found_at) = bad(old, new);
        assert_eq!(found_at, at, "{headline}");
        assert!(headline.contains(word), "{new}: {headline}");
    }
}

#[test]
fn names_of_the_tables_are_never_taken() {
    let more = |line: &str| format!("{TYPES}  {line}\n");
    for line in [
        "C13: {like: C13, source: mine}",
        "round: {like: C13, source: mine}",
        "own-: {like: C13, source: mine}",
    ] {
        let (found, at) = only(&more(line), "bad-quantity");
        assert_eq!(at, line.split(':').next().unwrap(), "{}", found.headline);
    }
}

#[test]
fn likeness_leads_to_the_tables_and_not_round_in_a_ring() {
    for line in [
        "own-a: {like: own-a, source: s}",
        "own-a: {like: own-round-16, source: s}",
    ] {
        let (found, _) = only(&format!("{TYPES}  {line}\n"), "bad-quantity");
        assert!(
            found
                .headline
                .contains("itself a coupler of the site's own"),
            "{}",
            found.headline
        );
    }
    let both = format!("{TYPES}  own-a: {{like: C13, poles: [L1, N], source: s}}\n");
    let (_, at) = only(&both, "bad-quantity");
    assert_eq!(at, "[L1, N]");
}

#[test]
fn a_name_that_nobody_describes_is_told_with_the_nearest() {
    let (found, at) = only(
        &TYPES
            .replacen("  own-round-16:", "  own-rond-16:", 1)
            .replace("mates: [own-round-16]", "mates: [own-rond-16]"),
        "unknown-name",
    );
    assert_eq!(at, "own-round-16");
    assert_eq!(found.remedy.advice, "Is `own-rond-16` meant?");
    // Where a part of the site cannot be read, it may stand there.
    let torn = judged(&files(ROOM, "coupler-types: \"own"));
    assert!(
        torn.findings
            .iter()
            .all(|found| found.rule != "unknown-name")
    );
}

#[test]
fn hot_air_is_held_against_what_the_site_says_of_it() {
    let hot = |types: &str| {
        let room = ROOM.replace("ambient: 25 °C", "ambient: 45 °C");
        let findings = found(&room, types).into_iter().map(|(found, _)| found);
        findings
            .filter(|found| {
                found.rule == "coupler-in-hot-air" && found.headline.contains("site's own")
            })
            .count()
    };
    assert_eq!(hot(TYPES), 1);
    assert_eq!(
        hot(&TYPES.replace("    one-way: yes\n", "    ambient: 50 °C\n")),
        0
    );
}

#[test]
fn a_hostile_source_is_shown_as_text() {
    let hostile = with(
        "source: data sheet of 2024-03, sheet 4",
        "source: \"\\e[31m<b>`x`|=1\"",
    )
    .replacen("current: 16 A", "current: 10 A", 1);
    let judgement = judged(&files(ROOM, &hostile));
    assert!(
        judgement
            .findings
            .iter()
            .any(|found| found.rule == "input-chain-mismatch")
    );
    for format in [
        Format::Annotated,
        Format::Lines,
        Format::Json,
        Format::Sarif,
        Format::Junit,
    ] {
        let (report, _) = reported(&judgement, &judgement.findings, format);
        assert!(
            !(report.contains('\u{1b}') || format == Format::Junit && report.contains("<b>")),
            "{report}"
        );
    }
}

#[test]
fn what_holds_it_and_how_hot_its_pins_may_get_are_used() {
    // A plug that nothing holds in a shaken place.
    let shaken = |types: &str| {
        let zoned = ROOM.replace(
            "pdu-models:",
            "zones: {shop: {ambient: 25 °C, vibration: machinery, air: room}}\nracks: {r1: {zone: shop, height: 42 U, width: 600 mm, depth: 1070 mm}}\npdu-models:",
        );
        let zoned = zoned.replace("from: A-1}", "from: A-1, rack: r1}");
        let findings = found(&zoned, types).into_iter().map(|(found, _)| found);
        let of_strip = |found: &Finding| {
            found.rule == "retention-missing" && found.headline.contains("PDU model strip")
        };
        findings.filter(of_strip).count()
    };
    assert_eq!(shaken(TYPES), 1);
    let holds = TYPES.replace(
        "    one-way: yes\n",
        "    one-way: yes\n    holds: twist-lock\n",
    );
    assert_eq!(shaken(&holds), 0);
    // A hot inlet of the site's own asks for a connector as hot.
    let hot = TYPES.replace(
        "    one-way: yes\n",
        "    one-way: yes\n    temperature: 70 °C\n",
    );
    assert_eq!(said(&hot, "coupler-temperature"), []);
}
