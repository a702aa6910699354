//! Supplies that are not the public one: two lines without a neutral, insulated from earth, of a frequency
//! of their own.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

/// A ship's supply, a circuit with a strip, and a device on a cord of the strip.
const SHIP: &str = "\
site: {practice: iec, country: NL, ambient: 25 °C, supply-tolerance: 0 %, voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}}
supplies:
  s: {system: 2/PE ~ 230 V 60 Hz, public: no, capacity: 30 kVA, fault-current: 1.5 kA, earthing: IT, insulation-monitor: yes}
circuits:
  c: {from: s, poles: [L1, L2], breaker: {rating: 16 A, curve: C, breaking-capacity: 1.5 kA, let-through: 9 kA²s}, wiring: {conductor: 2.5 mm², length: 5 m, insulation: xlpe-90}, receptacle: IEC 60309 16 A 2P+E 6h}
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    cord: {cordage: H07ZZ-F, conductor: 1.5 mm², length: 2 m}
    banks: {B1: {between: L1-L2, breaker: {rating: 10 A, curve: C, breaking-capacity: 1.5 kA, let-through: 5 kA²s}, outlets: {1-6: C13}}}
pdus:
  p: {model: strip, from: c}
device-models:
  m: {class: I, voltage: 100–240 V, rating: 250 W, power-factor: 0.96, inlets: {i: C14}, inlets-needed: 1}
devices:
  d: {model: m, draw: 140 W}
cord-types:
  t: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05Z1Z1-F, length: 1 m, rating: 10 A, approvals: [KEMA]}
cords:
  w: {type: t, from: p/1, to: d/i}
";

/// What a rule says of the ship with some words of it replaced.
#[track_caller]
fn said(rule: &str, edits: &[(&str, &str)]) -> Vec<Finding> {
    let mut text = SHIP.to_owned();
    for (old, new) in edits {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    let judgement = judged(&vec![("cordwright.yaml".into(), text)]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    let findings = judgement.findings.into_iter();
    findings.filter(|found| found.rule == rule).collect()
}

/// How often it finds something broken, and how often it leaves something open.
fn count(found: &[Finding]) -> (usize, usize) {
    let open = found.iter().filter(|one| one.verdict == Verdict::Open);
    let open = open.count();
    (found.len() - open, open)
}

/// The keys that open points want.
fn wanted(found: &[Finding]) -> Vec<String> {
    let facts = found.iter().flat_map(|one| &one.wants);
    facts.map(ToString::to_string).collect()
}

const LET: &str = ", let-through: 5 kA²s";
const CIRCUIT_LET: &str = ", let-through: 9 kA²s";

#[test]
fn a_ship_with_a_full_record_is_silent() {
    for rule in [
        "breaking-capacity",
        "fault-withstand",
        "slow-disconnection",
        "supply-foreign",
        "voltage-out-of-range",
    ] {
        assert_eq!(count(&said(rule, &[])), (0, 0), "{rule}");
    }
}

/// At the circuit's breaker all of 1.5 kA flows; behind 7 m of copper, 230 V ÷ √(0.153² + 0.081²) ohm
/// and a little more than 1.2 kA.
#[test]
fn a_short_between_two_lines_is_judged_by_what_is_written() {
    let rule = "breaking-capacity";
    let of_bank = "10 A, curve: C, breaking-capacity: 1.5 kA";
    let of_circuit = "16 A, curve: C, breaking-capacity: 1.5 kA";
    for (old, new, expected) in [
        (of_circuit, "16 A, curve: C, breaking-capacity: 1.49 kA", 1),
        (of_bank, "10 A, curve: C, breaking-capacity: 1.4 kA", 0),
        (of_bank, "10 A, curve: C, breaking-capacity: 1 kA", 1),
    ] {
        let found = said(rule, &[(old, new)]);
        assert_eq!(count(&found), (expected, 0), "{new}");
    }
    // How the lines lie to earth is nothing to it.
    let tn = ("earthing: IT, insulation-monitor: yes", "earthing: TN-S");
    assert_eq!(count(&said(rule, &[tn])), (0, 0));
    assert_eq!(count(&said("fault-withstand", &[tn])), (0, 0));
}

#[test]
fn what_is_written_of_a_supply_is_not_asked_for() {
    let thin = ("conductor: 1.0 mm²", "conductor: 0.75 mm²");
    let no_figures = [(LET, ""), (CIRCUIT_LET, ""), thin];
    let with = |edit: (&'static str, &'static str)| -> Vec<(&str, &str)> {
        no_figures.into_iter().chain([edit]).collect()
    };
    let current = "`fault-current` of supply s";
    let system = "`system` of supply s";
    for (edit, wants) in [
        (("fault-current: 1.5 kA, ", ""), current),
        (("fault-current: 1.5 kA", "fault-current: much"), current),
        (("system: 2/PE ~ 230 V 60 Hz, ", ""), system),
        (("2/PE ~ 230 V 60 Hz", "two lines"), system),
    ] {
        let found = said("breaking-capacity", &with(edit));
        assert_eq!(wanted(&found), [wants], "{edit:?}");
        for rule in ["fault-withstand", "slow-disconnection"] {
            let found = said(rule, &with(edit));
            let wants_other = wanted(&found)
                .into_iter()
                .any(|fact| fact.ends_with("of supply s") && fact != wants);
            assert!(!wants_other, "{rule} {edit:?}: {:?}", wanted(&found));
        }
    }
}

/// Of two lines that are earthed somewhere the marking does not tell how far each is from earth.
#[test]
fn two_lines_of_an_earthed_system_are_asked_how_they_lie_to_it() {
    let rule = "slow-disconnection";
    let tn = ("earthing: IT, insulation-monitor: yes", "earthing: TN-S");
    let found = said(rule, &[tn]);
    assert_eq!(count(&found), (0, 1));
    assert_eq!(wanted(&found), ["`system` of supply s"]);
    let advice = &found[0].remedy.advice;
    assert!(advice.contains("`2/PE ~ 230/133 V 60 Hz`"), "{advice}");
    assert!(advice.contains("`2/PE ~ 230/115 V 60 Hz`"), "{advice}");
    for marking in ["2/PE ~ 230/133 V 60 Hz", "2/PE ~ 230/115 V 60 Hz"] {
        let found = said(rule, &[tn, ("2/PE ~ 230 V 60 Hz", marking)]);
        assert_eq!(count(&found), (0, 0), "{marking}");
    }
    let residual = ("let-through: 9 kA²s}", "let-through: 9 kA²s}, rcd: 30 mA");
    assert_eq!(count(&said(rule, &[tn, residual])), (0, 0));
}

#[test]
fn somebody_must_be_told_of_the_first_fault_of_an_insulated_supply() {
    let rule = "slow-disconnection";
    let monitor = ", insulation-monitor: yes";
    let key = "`insulation-monitor` of supply s";
    for (new, expected) in [
        ("", (0, 1)),
        (", insulation-monitor: perhaps", (0, 1)),
        (", insulation-monitor: no", (1, 0)),
    ] {
        let found = said(rule, &[(monitor, new)]);
        assert_eq!(count(&found), expected, "{new}");
        if expected.1 == 1 {
            assert_eq!(wanted(&found), [key], "{new}");
        } else {
            assert_eq!(found[0].level, Level::Warning);
        }
        // A residual current device does not see both faults where both are behind it.
        let residual = ("let-through: 9 kA²s}", "let-through: 9 kA²s}, rcd: 30 mA");
        assert_eq!(
            count(&said(rule, &[(monitor, new), residual])),
            expected,
            "{new}"
        );
    }
}

/// Half of 230 V at 0.95, behind 0.0767 ohm of source, must drive 100 A through the 10 A breaker of type
/// C: 1.0925 ohm at most, of which 1.0158 are conductors. Strip cord and cord have 0.11 ohm or so.
#[test]
fn the_second_fault_must_open_a_breaker() {
    let rule = "slow-disconnection";
    let wiring = "conductor: 2.5 mm², length: 5 m";
    for (ohms, expected) in [("0.44", (0, 0)), ("0.46", (1, 0))] {
        let written = format!(
            "conductor: 2.5 mm², length: 5 m, resistance: {ohms} ohm, earth-resistance: {ohms} ohm"
        );
        // The strip itself is judged by the breaker of the circuit, which needs more.
        let circuit = ("rating: 16 A, curve: C", "rating: 10 A, curve: C");
        let found = said(rule, &[(wiring, &written), circuit]);
        assert_eq!(count(&found).1, expected.1, "{ohms}");
        assert_eq!(!found.is_empty(), expected.0 > 0, "{ohms}: {found:#?}");
        for one in &found {
            assert!(
                one.headline.contains("a second earth fault"),
                "{}",
                one.headline
            );
            assert_eq!(one.level, Level::Warning);
            // It stands whoever is told of the first one.
            let unwatched = (", insulation-monitor: yes", "");
            let found = said(rule, &[(wiring, &written), circuit, unwatched]);
            assert!(found.iter().any(|other| other.headline == one.headline));
        }
    }
    for (old, new, key) in [
        ("curve: C", "curve: unsaid", "breaker.curve"),
        (wiring, "conductor: 2.5 mm²", "wiring.length"),
    ] {
        let found = said(rule, &[(old, new)]);
        let wants = wanted(&found);
        assert!(wants.iter().any(|fact| fact.contains(key)), "{wants:?}");
    }
}

/// A neutral that is distributed may be the other pole: 230 V in place of 400 V drive the second fault.
#[test]
fn a_distributed_neutral_halves_less_voltage() {
    let rule = "slow-disconnection";
    let wiring = "conductor: 2.5 mm², length: 5 m";
    let long = (wiring, "conductor: 2.5 mm², length: 45 m");
    let between = ("2/PE ~ 230 V", "3/PE ~ 400 V");
    let neutral = ("2/PE ~ 230 V", "3/N/PE ~ 400/230 V");
    assert_eq!(count(&said(rule, &[long, between])), (0, 0));
    let found = said(rule, &[long, neutral]);
    assert_eq!(count(&found).1, 0);
    assert!(!found.is_empty());
}

#[test]
fn only_a_public_supply_is_held_against_the_country() {
    let rule = "supply-foreign";
    let said_of = |new: &str| said(rule, &[(", public: no", new)]);
    // 230 V between lines is not Dutch, nor are 60 Hz.
    for (new, expected) in [
        (", public: no", (0, 0)),
        ("", (2, 0)),
        (", public: yes", (2, 0)),
        (", public: ship", (0, 1)),
    ] {
        let found = said_of(new);
        assert_eq!(count(&found), expected, "{new}");
        if expected.1 == 1 {
            assert_eq!(wanted(&found), ["`public` of supply s"]);
        }
    }
    let dutch = ("2/PE ~ 230 V 60 Hz", "2/PE ~ 400 V 50 Hz");
    assert_eq!(
        count(&said(rule, &[dutch, (", public: no", ", public: ship")])),
        (0, 0)
    );
    // Where no supply is public, nobody needs the country here.
    let nowhere = ("country: NL, ", "");
    assert_eq!(count(&said(rule, &[nowhere])), (0, 0));
    assert_eq!(count(&said(rule, &[nowhere, (", public: no", "")])), (0, 1));
}

/// IEC 60309-2 Table 104: 2 h for more than 300 Hz up to 500 Hz, 10 h for 100 Hz to 300 Hz, at more than 50 V.
#[test]
fn an_earth_position_stands_for_a_frequency() {
    let rule = "voltage-out-of-range";
    for (hour, marking, expected) in [
        ("2h", "230 V 400 Hz", (0, 0)),
        ("2h", "230 V 500 Hz", (0, 0)),
        ("2h", "230 V 501 Hz", (1, 0)),
        ("2h", "230 V 300 Hz", (1, 0)),
        ("2h", "230 V 50 Hz", (1, 0)),
        ("2h", "230 V", (0, 1)),
        ("10h", "230 V 300 Hz", (0, 0)),
        ("10h", "230 V 100 Hz", (0, 0)),
        ("10h", "230 V 99 Hz", (1, 0)),
        ("10h", "230 V 400 Hz", (1, 0)),
        ("6h", "230 V 400 Hz", (1, 0)),
        ("6h", "230 V 60 Hz", (0, 0)),
        ("6h", "230 V", (0, 1)),
        // No hour of 50 Hz and 60 Hz is among these.
        ("12h", "230 V 400 Hz", (0, 1)),
    ] {
        let (hour_, marking_) = (format!("2P+E {hour}"), format!("2/PE ~ {marking}"));
        let edits = [("2P+E 6h", &*hour_), ("2/PE ~ 230 V 60 Hz", &*marking_)];
        let found = said(rule, &edits);
        assert_eq!(count(&found), expected, "{hour} at {marking}: {found:#?}");
        for one in &found {
            assert_eq!(one.level.min(Level::Warning), Level::Warning, "{one:#?}");
        }
    }
    // Of the public supply, what is not marked is one of the two; supply-foreign asks which.
    let unmarked = [(", public: no", ""), ("230 V 60 Hz", "230 V")];
    assert_eq!(count(&said(rule, &unmarked)), (0, 0));
    let high = [
        (", public: no", ""),
        ("230 V 60 Hz", "230 V"),
        ("2P+E 6h", "2P+E 2h"),
    ];
    assert_eq!(wanted(&said(rule, &high)), ["`system` of supply s"]);
    let low = [("230 V 60 Hz", "48 V 400 Hz"), ("2P+E 6h", "2P+E 2h")];
    let found = said(rule, &low);
    let below = found
        .iter()
        .filter(|one| one.headline.contains("made for 50 V or more"));
    assert_eq!(below.count(), 1, "{found:#?}");
}
