//! Latch systems that a site describes itself: they hold in their own kind alone, and what is said of them is told
//! at the exact bytes where it cannot be meant.

use cordwright::finding::Verdict;

use super::found;

/// A strip whose outlets have a latch, and a cord whose plug has one.
fn room(plug: &str, outlet: &str) -> String {
    format!(
        "\
site: {{practice: iec, country: GB, ambient: 25 °C, feeds: {{A: {{colour: blue}}}}}}
supplies:
  ups: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 3 kA}}
zones: {{hall: {{ambient: 25 °C, vibration: machinery, air: room}}}}
racks: {{r1: {{zone: hall, height: 42 U, width: 600 mm, depth: 1070 mm}}}}
circuits:
  A-1:
    from: ups
    poles: [L1, N]
    breaker: {{rating: 16 A, curve: C, breaking-capacity: 10 kA}}
    wiring: {{conductor: 4 mm², length: 10 m, insulation: pvc-70}}
    receptacle: IEC 60309 16 A 2P+E 6h
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    breakers: none
    cord: {{cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}}
    banks: {{B: {{between: L1-N, outlets: {{1-4: {{coupler: C13, latch: {outlet}}}}}}}}}
pdus:
  strip-a: {{model: strip, from: A-1, rack: r1}}
device-models:
  box: {{class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, inlets: {{psu: C14}}, inlets-needed: 1}}
devices:
  box-1: {{model: box, draw: 200 W, rack: r1}}
cord-types:
  thin: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, approvals: [BSI], retention: {{plug: {plug}, connector: pin-grip}}}}
cords:
  W-1: {{type: thin, from: strip-a/1, to: box-1/psu}}
"
    )
}

const SYSTEMS: &str = "\
latch-systems:
  own-jaw: {like: outlet-latch, source: sheet 1}
  own-hook: {like: outlet-latch, mates: [own-catch], source: sheet 2}
  own-catch: {like: outlet-latch, source: sheet 3}
  own-clamp: {like: pin-grip, source: sheet 4}
";

/// What the rules of retention say of the plug.
fn held(plug: &str, outlet: &str) -> Vec<(&'static str, Verdict)> {
    let found = found(&room(plug, outlet), SYSTEMS).into_iter();
    let of_plug = found.filter(|(found, _)| found.rule.starts_with("retention"));
    of_plug
        .map(|(found, _)| (found.rule, found.verdict))
        .collect()
}

#[test]
fn a_system_holds_in_its_own_kind_and_in_those_that_are_named() {
    for (plug, outlet) in [
        ("own-jaw", "own-jaw"),
        ("own-hook", "own-catch"),
        ("own-catch", "own-hook"),
        ("outlet-latch", "outlet-latch"),
        // Jaws in the outlet clamp the pins of any plug.
        ("none", "own-clamp"),
    ] {
        assert_eq!(held(plug, outlet), [], "{plug} in {outlet}");
    }
}

#[test]
fn systems_that_look_alike_do_not_hold_in_each_other() {
    let unsupported = [("retention-unsupported", Verdict::Broken)];
    for (plug, outlet) in [
        ("own-jaw", "own-catch"),
        ("own-jaw", "own-hook"),
        ("own-jaw", "none"),
        ("own-jaw", "bail-no"),
    ] {
        let told = held(plug, outlet);
        match outlet {
            // What the outlet has cannot be read: it is asked.
            "bail-no" => assert!(
                told.iter().all(|(_, verdict)| *verdict == Verdict::Open) && !told.is_empty()
            ),
            _ => assert_eq!(told, unsupported, "{plug} in {outlet}"),
        }
    }
    let all = found(&room("own-jaw", "own-catch"), SYSTEMS);
    let (told, _) = all
        .iter()
        .find(|(found, _)| found.rule == "retention-unsupported")
        .unwrap();
    assert!(told.headline.contains("own-jaw"), "{}", told.headline);
    assert!(
        told.basis
            .iter()
            .any(|basis| basis.to_string() == "sheet 1 (as given by the site)")
    );
}

#[test]
fn where_only_one_half_names_its_system_the_other_is_asked() {
    for (plug, outlet) in [("own-jaw", "outlet-latch"), ("outlet-latch", "own-jaw")] {
        let told = held(plug, outlet);
        assert_eq!(
            told,
            [("retention-unsupported", Verdict::Open)],
            "{plug} in {outlet}"
        );
    }
}

#[test]
fn what_cannot_be_meant_is_told_at_its_bytes() {
    let more = |line: &str| format!("{SYSTEMS}  {line}\n");
    let sound = room("own-jaw", "own-jaw");
    for (line, rule, at) in [
        (
            "jaw: {like: outlet-latch, source: s}",
            "bad-quantity",
            "jaw",
        ),
        (
            "outlet-latch: {like: outlet-latch, source: s}",
            "bad-quantity",
            "outlet-latch",
        ),
        (
            "own-: {like: outlet-latch, source: s}",
            "bad-quantity",
            "own-",
        ),
        (
            "own-a: {like: own-jaw, source: s}",
            "bad-quantity",
            "own-jaw",
        ),
        ("own-a: {like: none, source: s}", "bad-quantity", "none"),
        (
            "own-a: {like: twist-lock, source: s}",
            "bad-quantity",
            "twist-lock",
        ),
        ("own-a: {like: glue, source: s}", "bad-quantity", "glue"),
        (
            "own-a: {like: outlet-latch, mates: [bail], source: s}",
            "bad-quantity",
            "bail",
        ),
        (
            "own-a: {like: outlet-latch, mates: [own-z], source: s}",
            "unknown-name",
            "own-z",
        ),
        (
            "own-a: {like: pin-grip, mates: [own-jaw], source: s}",
            "bad-quantity",
            "[own-jaw]",
        ),
        ("own-a: {like: outlet-latch}", "missing-key", "own-a"),
        ("own-a: {source: s}", "missing-key", "own-a"),
    ] {
        let all = found(&sound, &more(line)).into_iter();
        let told: Vec<_> = all.filter(|(found, _)| found.rule == rule).collect();
        assert_eq!(told.len(), 1, "{line}: {told:#?}");
        assert_eq!(told[0].1, at, "{line}: {}", told[0].0.headline);
    }
}

#[test]
fn a_system_of_which_too_little_is_said_holds_nothing_for_sure() {
    for systems in [
        "latch-systems: {own-jaw: {like: outlet-latch}}\n",
        "latch-systems: {own-jaw: {source: s}}\n",
        "latch-systems: {own-jaw: {like: none, source: s}}\n",
        "",
    ] {
        let all = found(&room("own-jaw", "own-jaw"), systems).into_iter();
        let open = all.filter(|(found, _)| found.rule.starts_with("retention"));
        let open: Vec<_> = open.map(|(found, _)| found.verdict).collect();
        assert!(!open.is_empty(), "{systems}");
        assert!(
            open.iter().all(|verdict| *verdict == Verdict::Open),
            "{systems}"
        );
    }
}
