//! What is written and cannot be read, or is not written at all, is never the kinder figure.

use super::{count, found, one_load};

/// The verdicts of a rule on the IEC base site with one load, some words replaced in each.
fn verdicts(rule: &str, base: &[(&str, &str)], own: &[(&str, &str)]) -> (usize, usize) {
    let mut load = one_load(300);
    for (old, new) in own {
        assert!(load.contains(old), "{old}");
        load = load.replace(old, new);
    }
    count(&found(base, &load), rule)
}

#[test]
fn what_stands_in_a_place_that_nobody_finds_is_not_in_the_air_of_the_site() {
    let lost = [("racks:\n  r1: {zone: hall,", "racks:\n  r1: {zone: hal,")];
    for rule in ["conductor-underrated", "jacket-too-hot"] {
        assert_eq!(verdicts(rule, &[], &[]), (0, 0), "{rule}");
        let (broken, open) = verdicts(rule, &lost, &[]);
        assert!(broken == 0 && open > 0, "{rule}");
    }
}

#[test]
fn heat_answers_for_a_cord_of_unknown_capacity() {
    // Without the air nobody knows what it carries; 7 kA²s burn 0.5 mm² in any air.
    let nowhere = [
        ("hall: {ambient: 25 °C, ", "hall: {"),
        ("  ambient: 25 °C\n", ""),
    ];
    let thin = [("conductor: 1.0 mm²", "conductor: 0.5 mm²")];
    assert_eq!(verdicts("fault-withstand", &nowhere, &thin).0, 1);
    let (broken, open) = verdicts("fault-withstand", &nowhere, &[]);
    assert!(broken == 0 && open > 0);
}

#[test]
fn what_a_breaker_lets_through_stays_open_if_it_cannot_be_read() {
    let bank = [("let-through: 7 kA²s", "let-through: little")];
    assert_eq!(verdicts("fault-withstand", &[], &[]), (0, 0));
    assert_eq!(verdicts("fault-withstand", &bank, &[]), (0, 1));
    let unwritten = [(", let-through: 7 kA²s", "")];
    assert_eq!(verdicts("fault-withstand", &unwritten, &[]), (0, 0));
}

#[test]
fn what_holds_a_short_circuit_down_is_asked_for_where_it_decides() {
    let weak = (
        "breaking-capacity: 6 kA, let-through: 7 kA²s",
        "breaking-capacity: 3 kA, let-through: 7 kA²s",
    );
    // Of both circuits.
    let rule = "breaking-capacity";
    assert_eq!(verdicts(rule, &[weak], &[]), (0, 0));
    for length in ["", ", length: far"] {
        let unknown = (", length: 10 m", length);
        assert_eq!(verdicts(rule, &[weak, unknown], &[]), (0, 2), "{length}");
        assert_eq!(verdicts(rule, &[unknown], &[]), (0, 0), "{length}");
    }
    // Ahead of the wiring nothing holds it down.
    let ahead = (
        "curve: C, breaking-capacity: 6 kA}",
        "curve: C, breaking-capacity: 3 kA}",
    );
    assert_eq!(
        verdicts(rule, &[ahead, (", length: 10 m", "")], &[]),
        (2, 0)
    );
}

#[test]
fn whether_a_cordage_is_made_in_a_size_that_cannot_be_read_is_asked() {
    let rule = "size-not-made";
    assert_eq!(verdicts(rule, &[], &[]), (0, 0));
    for unread in [
        ("conductor: 1.0 mm²", "conductor: thick"),
        ("cordage: H05VV-F", "cordage: H99-F"),
    ] {
        assert_eq!(verdicts(rule, &[], &[unread]), (0, 1), "{unread:?}");
    }
    for unread in [
        (
            "conductor: 2.5 mm², length: 2 m}",
            "conductor: thick, length: 2 m}",
        ),
        ("cord: {cordage: H05VV-F", "cord: {cordage: H99-F"),
        (
            "    cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}",
            "    cord: long",
        ),
    ] {
        assert_eq!(verdicts(rule, &[unread], &[]), (0, 1), "{unread:?}");
    }
}

#[test]
fn of_each_leg_it_is_asked_whether_it_is_made_in_its_size() {
    let splitter = |leg: &str| {
        let types = format!(
            "cord-types: {{fork: {{plug: C14, cordage: H05VV-F, conductor: 1.0 mm², length: 1 m, legs: {{a: {{connector: C13, conductor: 1.0 mm², length: 0.5 m}}, b: {{connector: C13, {leg}, length: 0.5 m}}}}}}}}\n"
        );
        count(&found(&[], &types), "size-not-made")
    };
    assert_eq!(splitter("conductor: 1.0 mm²"), (0, 0));
    assert_eq!(splitter("conductor: 16 mm²"), (1, 0));
    assert_eq!(splitter("conductor: thick"), (0, 1));
    assert_eq!(splitter("conductor: 1.0 mm², cordage: H99-F"), (0, 1));
}

#[test]
fn a_mark_that_cannot_be_read_is_not_the_rating_of_the_sheet() {
    let rule = "coupler-overloaded";
    assert_eq!(verdicts(rule, &[], &[]), (0, 0));
    assert_eq!(
        verdicts(rule, &[], &[("rating: 10 A", "rating: 2 mtrs")]),
        (0, 1)
    );
    let low = [("rating: 10 A", "rating: 1 A")];
    assert_eq!(verdicts(rule, &[], &low).0, 1);
}

#[test]
fn an_earth_current_that_cannot_be_read_is_not_that_of_ordinary_equipment() {
    let rule = "earth-leakage";
    let with = |written| {
        let own = [("inlets-needed: 1}", written)];
        verdicts(rule, &[], &own)
    };
    // Equipment that says nothing has no label, and leaks 3.5 mA at most.
    assert_eq!(with("inlets-needed: 1}"), (0, 0));
    assert_eq!(with("inlets-needed: 1, earth-current: 11 mA}"), (1, 0));
    // Of the circuit, and of the item by itself.
    assert_eq!(with("inlets-needed: 1, earth-current: much}"), (0, 2));
}

#[test]
fn wiring_of_an_earth_that_cannot_be_read_has_not_that_of_its_lines() {
    let written = |size: &str| {
        let new = format!("wiring: {{conductor: 4 mm², earth-conductor: {size}, length: 10 m,");
        verdicts(
            "slow-disconnection",
            &[("wiring: {conductor: 4 mm², length: 10 m,", new.as_str())],
            &[],
        )
    };
    assert_eq!(written("4 mm²"), (0, 0));
    assert_ne!(written("thin").1, 0);
}

#[test]
fn cores_that_cannot_be_read_may_lack_the_one_for_the_earth() {
    let cores = |cores: &str| {
        let new = format!("length: 1.5 m, cores: {cores}");
        verdicts("earth-interrupted", &[], &[("length: 1.5 m", new.as_str())])
    };
    assert_eq!(cores("3"), (0, 0));
    assert_eq!(cores("2"), (1, 0));
    assert_eq!(cores("some"), (0, 1));
}

#[test]
fn a_set_of_unknown_size_or_length_may_be_too_thin() {
    let rule = "conductor-below-minimum";
    let thin = ("conductor: 1.0 mm²", "conductor: 0.75 mm²");
    assert_eq!(verdicts(rule, &[], &[thin]), (0, 0));
    for length in ["length: long", "colour: blue"] {
        let unknown = ("length: 1.5 m", length);
        assert_eq!(verdicts(rule, &[], &[thin, unknown]), (0, 1), "{length}");
        // Thick enough at any length.
        assert_eq!(verdicts(rule, &[], &[unknown]), (0, 0), "{length}");
    }
    for size in ["conductor: thin", "colour: blue"] {
        let unknown = ("conductor: 1.0 mm²", size);
        assert_eq!(verdicts(rule, &[], &[unknown]), (0, 1), "{size}");
    }
}

#[test]
fn conductors_that_nobody_has_written_down_are_asked_for() {
    let strip = (
        "    cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}\n",
        "",
    );
    let wiring = (
        "    wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}\n",
        "",
    );
    for unwritten in [strip, wiring] {
        for rule in ["conductor-underrated", "conductor-unprotected"] {
            let (broken, open) = verdicts(rule, &[unwritten], &[]);
            assert!(broken == 0 && open > 0, "{rule} {unwritten:?}");
        }
    }
}

#[test]
fn outlets_behind_a_breaker_that_cannot_be_read_are_open() {
    let rule = "outlet-unprotected";
    let breaker = |rating: &str| {
        let new = format!(
            "breaker: {{rating: {rating}, curve: C, breaking-capacity: 6 kA, let-through: 7 kA²s}}"
        );
        let old = "breaker: {rating: 10 A, curve: C, breaking-capacity: 6 kA, let-through: 7 kA²s}";
        verdicts(rule, &[(old, new.as_str())], &[])
    };
    assert_eq!(breaker("10 A"), (0, 0));
    assert_eq!(breaker("20 A"), (2, 0));
    assert_eq!(breaker("large"), (0, 2));
}

#[test]
fn what_a_zone_asks_of_jackets_stays_open_if_it_cannot_be_read() {
    for (rule, key) in [
        ("jacket-duty", "duty: some"),
        ("jacket-duty", "oil: some"),
        ("jacket-smoke", "halogen-free: some"),
    ] {
        let zone = format!("oil: no, {key}").replace("oil: no, oil: ", "oil: ");
        let told = verdicts(rule, &[("oil: no", zone.as_str())], &[]);
        assert_eq!(told, (0, 1), "{key}");
    }
    assert_eq!(
        verdicts("jacket-in-plenum", &[("air: room", "air: some")], &[]),
        (0, 1)
    );
}

#[test]
fn limits_of_the_drop_that_cannot_be_read_are_no_pass() {
    let limits = "voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}";
    for unread in [
        "voltage-drop: little",
        "voltage-drop: {circuit: 3 %, cord: little, total: 5 %}",
    ] {
        let told = verdicts("voltage-drop", &[(limits, unread)], &[]);
        assert_eq!(told, (0, 1), "{unread}");
    }
    assert_eq!(verdicts("voltage-drop", &[], &[]), (0, 0));
}

#[test]
fn where_a_surplus_lies_that_cannot_be_read_may_be_a_coil() {
    let warm = ("draw: 300 W", "draw: 1600 W");
    let surplus = |surplus: &'static str| {
        let cord = ("to: rec-1/psu1}", surplus);
        verdicts("conductor-underrated", &[], &[warm, cord])
    };
    assert_eq!(surplus("to: rec-1/psu1}"), (0, 0));
    assert_eq!(surplus("to: rec-1/psu1, surplus: coiled}"), (1, 0));
    assert_eq!(surplus("to: rec-1/psu1, surplus: ??}"), (0, 1));
}

#[test]
fn a_cord_type_that_ends_nowhere_is_told() {
    let none = [("connector: C13, ", "")];
    assert_eq!(verdicts("missing-key", &[], &none), (1, 0));
    assert_eq!(verdicts("missing-key", &[], &[]), (0, 0));
}

#[test]
fn a_device_on_one_path_may_be_critical_where_that_cannot_be_read() {
    let critical = |word: &str| {
        let new = format!("draw: 300 W, critical: {word}");
        verdicts("single-corded", &[], &[("draw: 300 W", new.as_str())])
    };
    assert_eq!(critical("yes"), (1, 0));
    assert_eq!(critical("no"), (0, 0));
    assert_eq!(critical("perhaps"), (0, 1));
}
