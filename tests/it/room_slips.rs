//! Slips in sound rooms, each with all that is said of it: a fault is told once, where it is, and hides nothing
//! beside it. What is sound and looks like it is silent.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

const NEC: &str = include_str!("../rooms/us-208v-three-phase/cordwright.yaml");
const IEC: &str = include_str!("../rooms/de-server-room/cordwright.yaml");

/// A room with edits, each of which stands there once or as often as it says.
fn edited(room: &str, edits: &[(&str, &str)]) -> String {
    let mut text = room.to_owned();
    for (old, new) in edits {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    text
}

/// What is said that somebody would have to act on.
fn said(room: &str, edits: &[(&str, &str)]) -> Vec<Finding> {
    let text = edited(room, edits);
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let mut findings = judgement.findings;
    findings.retain(|found| found.verdict == Verdict::Open || found.level >= Level::Warning);
    findings
}

/// The rules that say something, in order.
fn rules(room: &str, edits: &[(&str, &str)]) -> Vec<&'static str> {
    let mut rules: Vec<&str> = said(room, edits).iter().map(|found| found.rule).collect();
    rules.sort_unstable();
    rules
}

/// The text at the main place of the one finding of a rule.
fn at(room: &str, edits: &[(&str, &str)], rule: &str) -> String {
    let found = said(room, edits);
    let own: Vec<&Finding> = found.iter().filter(|found| found.rule == rule).collect();
    assert_eq!(own.len(), 1, "{found:#?}");
    edited(room, edits)[own[0].main.span.range()].to_owned()
}

/// A circuit of feed A and its poles.
const A_60: &str = "  A-60-1:\n    from: PDC-A\n    poles: [L1, L2, L3]";
const A_F9: &str = "  A-F9:\n    from: USV-A\n    poles: [L3, N]";
const A_F3: &str = "  A-F3:\n    from: USV-A\n    poles: [L1, L2, L3, N]";

/// Two nodes in one bank of feed B, which is too much when feed A is lost.
const TWO_IN_ONE: (&str, &str) = (
    "from: render-1-B/6, to: gpu-12/b",
    "from: render-1-B/2, to: gpu-12/b",
);

#[test]
fn wrong_poles_are_told_once() {
    let on = |old: &str, poles: &str| {
        let (head, _) = old.rsplit_once('[').unwrap();
        format!("{head}{poles}")
    };
    for (room, old, new, rule) in [
        (NEC, A_60, on(A_60, "[L1, L2]"), "input-chain-mismatch"),
        (NEC, A_60, on(A_60, "[L1, L2, N]"), "input-chain-mismatch"),
        (NEC, A_60, on(A_60, "[L1, L1, L2]"), "bad-quantity"),
        (
            NEC,
            "X: {between: L1-L2",
            "X: {between: L1-L1".to_owned(),
            "bad-quantity",
        ),
        (IEC, A_F9, on(A_F9, "[L3, L3]"), "bad-quantity"),
        (IEC, A_F9, on(A_F9, "[L3]"), "bad-quantity"),
        (IEC, A_F3, on(A_F3, "[L1, L2, L2, N]"), "bad-quantity"),
        (IEC, A_F3, on(A_F3, "[L1, L2, L3]"), "neutral-missing"),
    ] {
        let found = said(room, &[(old, &new)]);
        let rules: Vec<&str> = found.iter().map(|found| found.rule).collect();
        assert_eq!(rules, [rule], "{new}: {found:#?}");
        assert_eq!(found[0].level, Level::Error, "{new}");
    }
    // Once for each strip that it is wrong for.
    let bank = said(IEC, &[("alle: {between: L1-N", "alle: {between: L1-L2")]);
    let about: Vec<&str> = bank.iter().map(|found| found.about[0].as_str()).collect();
    assert_eq!(about, ["N01-A", "N01-B"], "{bank:#?}");
}

#[test]
fn wrong_poles_of_one_feed_do_not_hide_the_overload_of_the_other() {
    let overload = |edits: &[(&str, &str)]| {
        let found = said(NEC, edits);
        assert!(
            found
                .iter()
                .all(|found| !found.headline.contains("drops out")),
            "{found:#?}"
        );
        let mut own = found
            .iter()
            .filter(|found| found.rule == "failover-overloaded");
        let first = own.next().map(|found| found.headline.clone());
        assert!(own.next().is_none(), "{found:#?}");
        first.unwrap_or_else(|| panic!("no overload: {found:#?}"))
    };
    let alone = overload(&[TWO_IN_ONE]);
    assert!(
        alone.contains("bank B1 of PDU render-1-B carries 19.6 A"),
        "{alone}"
    );
    for poles in ["[L1, L2]", "[L1, L1, L2]", "[L1, L2, N]", "[L2]"] {
        let wrong = A_60.replace("[L1, L2, L3]", poles);
        assert_eq!(overload(&[TWO_IN_ONE, (A_60, &wrong)]), alone, "{poles}");
    }
}

#[test]
fn a_load_on_wrong_poles_is_known_and_its_sums_say_that_they_lack_it() {
    let edits = [("X: {between: L1-L2", "X: {between: L1-L1")];
    let text = edited(NEC, &edits);
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let asked = |found: &&Finding| found.headline.contains("tape-1");
    assert_eq!(judgement.findings.iter().find(asked), None);
}

/// A strip without a plug, on a circuit without a receptacle.
const WIRED: [(&str, &str); 3] = [
    ("    plug: IEC 60309 60 A 3P+E 9h\n", "    plug: none\n"),
    (
        "    cord: {cordage: SOOW, conductor: 6 AWG, length: 6 ft, listed: yes}\n",
        "",
    ),
    ("    receptacle: IEC 60309 60 A 3P+E 9h\n", ""),
];

const WIRED_IEC: [(&str, &str); 2] = [
    (
        "    plug: IEC 60309 16 A 2P+E 6h\n    rating: 16 A\n    cord: {cordage: H05Z1Z1-F, conductor: 2.5 mm², length: 3 m}\n",
        "    plug: none\n    rating: 16 A\n",
    ),
    (
        "    receptacle: IEC 60309 16 A 2P+E 6h\n    receptacles: 1\n",
        "",
    ),
];

#[test]
fn a_strip_that_is_wired_in_is_judged_at_its_terminals() {
    assert_eq!(rules(NEC, &WIRED), [""; 0]);
    assert_eq!(rules(IEC, &WIRED_IEC), [""; 0]);
    // Behind more than the strip bears.
    let with = |room: &[(&'static str, &'static str)], more: (&'static str, &'static str)| {
        let mut edits = room.to_vec();
        edits.push(more);
        edits
    };
    let larger = with(&WIRED, ("{rating: 60 A,", "{rating: 80 A,"));
    let found = rules(NEC, &larger);
    assert_eq!(
        found
            .iter()
            .filter(|rule| **rule == "input-chain-mismatch")
            .count(),
        2,
        "{found:?}"
    );
    // 48 A are four fifths of 60 A, which is what such strips are made for; IEC practice has no such share.
    let less = with(
        &WIRED_IEC,
        ("rating: 16 A\n    breakers", "rating: 15 A\n    breakers"),
    );
    assert!(rules(IEC, &less).contains(&"input-chain-mismatch"));
}

#[test]
fn what_guards_a_wired_strip_is_asked_and_a_receptacle_ahead_of_it_is_told() {
    let asks = |edits: &[(&str, &str)]| {
        let found = said(NEC, edits);
        let mut own = found
            .iter()
            .filter(|found| found.rule == "input-chain-mismatch");
        own.any(|found| found.verdict == Verdict::Open && !found.wants.is_empty())
    };
    let mut unread = WIRED.to_vec();
    unread.push(("rating: 48 A", "rating: much"));
    assert!(asks(&unread));
    let mut unread = WIRED.to_vec();
    unread.push(("{rating: 60 A,", "{rating: much,"));
    assert!(asks(&unread));
    // Left out it is asked for as ever, and is no word that there is none.
    let absent = [(WIRED[0].0, ""), WIRED[1], WIRED[2]];
    assert!(rules(NEC, &absent).contains(&"missing-key"));
    let both = said(NEC, &WIRED[..2]);
    assert_eq!(both.len(), 2, "{both:#?}");
    for found in both {
        assert_eq!((found.rule, found.kind), ("input-chain-mismatch", "wired"));
        assert_eq!(found.level, Level::Error);
    }
}

#[test]
fn a_draw_far_above_its_nameplate_is_an_error_at_its_bytes() {
    let draw = |watts: &str| {
        let new = format!("at: U5, draw: {watts}");
        let found = said(IEC, &[("at: U5, draw: 620 W", &new)]);
        let basis = found.iter().find(|found| found.rule == "load-basis");
        basis.map(|found| found.level)
    };
    assert_eq!(draw("1300 W"), None);
    assert_eq!(draw("1310 W"), Some(Level::Warning));
    assert_eq!(draw("2600 W"), Some(Level::Warning));
    assert_eq!(draw("6.2 kW"), Some(Level::Error));
    let ten = [("at: U5, draw: 620 W", "at: U5, draw: 6.2 kW")];
    assert_eq!(at(IEC, &ten, "load-basis"), "6.2 kW");
}

/// The bank of household outlets, with more behind it.
const W: &str = "W: {between: L1-N, outlets: {13-14: NEMA 5-20R}}";

#[test]
fn outlets_that_nobody_uses_are_at_their_voltage() {
    let rule = "voltage-out-of-range";
    let with = |bank: &str| vec![(W, format!("{W}\n      V: {bank}"))];
    let of = |bank: &str| {
        let edits = with(bank);
        let edits: Vec<(&str, &str)> = edits.iter().map(|(a, b)| (*a, b.as_str())).collect();
        said(NEC, &edits)
    };
    for bank in [
        "{between: L1-L2, outlets: {15-16: NEMA 6-20R}}",
        "{between: L2-N, outlets: {15-16: NEMA 5-20R}}",
        "{between: L2-N, outlets: {15-16: C13}}",
    ] {
        assert_eq!(of(bank), [], "{bank}");
    }
    for (bank, says) in [
        (
            "{between: L1-L2, outlets: {15-20: NEMA 5-20R}}",
            "is made for up to 125 V and is at 208 V",
        ),
        (
            "{between: L1-N, outlets: {15-20: NEMA 6-20R}}",
            "is the form for 250 V and is at 120 V",
        ),
    ] {
        let found = of(bank);
        // Once for the kind, however many outlets and strips there are.
        assert_eq!(found.len(), 1, "{bank}: {found:#?}");
        assert_eq!(
            (found[0].rule, found[0].level),
            (rule, Level::Error),
            "{bank}"
        );
        assert!(found[0].headline.contains(says), "{}", found[0].headline);
    }
}

#[test]
fn a_receptacle_that_nobody_uses_is_at_its_voltage() {
    let spare = |poles: &str, receptacle: &str| {
        let circuit = format!(
            "circuits:\n  A-7:\n    from: PDC-A\n    poles: {poles}\n    breaker: {{rating: 20 A, curve: inverse-time, breaking-capacity: 10 kA}}\n    wiring: {{conductor: 12 AWG, length: 65 ft, insulation: thwn-2}}\n    receptacle: {receptacle}\n"
        );
        rules(NEC, &[("circuits:\n", &circuit)])
    };
    assert_eq!(spare("[L1, L2]", "NEMA 6-20R"), [""; 0]);
    assert_eq!(spare("[L1, N]", "NEMA 5-20R"), [""; 0]);
    assert!(spare("[L1, L2]", "NEMA 5-20R").contains(&"voltage-out-of-range"));
    assert!(spare("[L1, N]", "NEMA 6-20R").contains(&"voltage-out-of-range"));
}

#[test]
fn an_earth_conductor_is_as_thick_as_its_breaker_asks() {
    let rule = "conductor-below-minimum";
    let earth = |size: &str| {
        let new = format!("earth-conductor: {size}, length: 60 ft");
        said(NEC, &[("earth-conductor: 10 AWG, length: 60 ft", &new)])
    };
    for size in ["10 AWG", "8 AWG", "6 mm²"] {
        assert_eq!(earth(size), [], "{size}");
    }
    for size in ["12 AWG", "14 AWG", "4 mm²"] {
        let found = earth(size);
        let own: Vec<&Finding> = found.iter().filter(|found| found.rule == rule).collect();
        assert_eq!(own.len(), 1, "{size}: {found:#?}");
        // The table is known from memory.
        assert_eq!(own[0].level, Level::Warning, "{size}");
        assert!(own[0].headline.contains("10 AWG"), "{}", own[0].headline);
    }
    let asked = earth("thin");
    let asked = asked.iter().filter(|found| found.rule == rule);
    assert_eq!(
        asked.map(|found| found.verdict).collect::<Vec<_>>(),
        [Verdict::Open]
    );
    // It need never be larger than the lines.
    let thin = [(
        "12 AWG, length: 65 ft",
        "14 AWG, earth-conductor: 14 AWG, length: 65 ft",
    )];
    assert!(!rules(NEC, &thin).contains(&rule));
    // IEC practice goes by the fault, not by a table of breakers.
    let iec = [(
        "conductor: 10 mm², length: 16 m",
        "conductor: 10 mm², earth-conductor: 4 mm², length: 16 m",
    )];
    assert!(!rules(IEC, &iec).contains(&rule));
}
