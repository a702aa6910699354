//! Plugs on a receptacle, nameplates above their inlets, and equipment without a protective conductor.

use super::{count, found, one_load};
use crate::pages::bases;
use crate::site::judged;

/// Another strip on circuit A-1, with `receptacles` as written here.
fn beside_another_strip(receptacles: &str) -> (usize, usize) {
    let strip = "pdus: {pdu-c: {model: strip-16, rack: r1, from: A-1, mount: {side: rear-left, foot: U22, head: U40}}}\n";
    let old = "    receptacle: IEC 60309 16 A 2P+E 6h\n  B-1:";
    let new = format!("    receptacle: IEC 60309 16 A 2P+E 6h\n{receptacles}  B-1:");
    count(&found(&[(old, &new)], strip), "receptacle-shared")
}

#[test]
fn two_plugs_on_one_circuit_are_no_matter_of_course() {
    assert_eq!(beside_another_strip("    receptacles: 1\n"), (1, 0));
    assert_eq!(beside_another_strip("    receptacles: 2\n"), (0, 0));
    for unknown in ["", "    receptacles: some\n", "    receptacles: 0\n"] {
        assert_eq!(beside_another_strip(unknown), (0, 1), "{unknown:?}");
    }
    assert_eq!(count(&found(&[], ""), "receptacle-shared"), (0, 0));
}

#[test]
fn plugs_that_are_booked_twice_are_told_of_once() {
    // A cord that leads to a strip with a `from` of its own is a second input, not a second plug.
    let cord = "\
cord-types:
  lead: {plug: IEC 60309 16 A 2P+E 6h, connector: IEC 60309 16 A 2P+E 6h, conductor: 2.5 mm², cordage: H05VV-F, length: 2 m, rating: 16 A, approvals: [BSI]}
cords:
  W-1: {type: lead, from: A-1, to: pdu-a}
";
    let findings = found(&[], cord);
    assert_eq!(count(&findings, "double-booked"), (1, 0));
    assert_eq!(count(&findings, "receptacle-shared"), (0, 0));
}

#[test]
fn a_plug_alone_on_a_duplex_receptacle_shares_its_circuit() {
    let input = |receptacles: &str| {
        let base = bases()["base-nec.yaml"].replacen(
            "    receptacle: NEMA 5-20\n",
            &format!("    receptacle: NEMA 5-15\n{receptacles}"),
            1,
        );
        count(
            &judged(&vec![("base.yaml".into(), base)]).findings,
            "input-chain-mismatch",
        )
    };
    assert_eq!(input("").0, input("    receptacles: 1\n").0);
    assert_eq!(input("    receptacles: 2\n").0, input("").0 - 1);
}

/// What is said of a nameplate: the model with these words for its rating, power factor and inlets.
fn of_nameplate(words: &str, draw: &str) -> (usize, usize) {
    let site = one_load(200).replace("draw: 200 W", draw);
    let old = "rating: 2200 W, power-factor: 0.97, inlets: {psu1: C14}, inlets-needed: 1";
    assert!(site.contains(old));
    count(
        &found(&[], &site.replace(old, words)),
        "nameplate-above-inlets",
    )
}

#[test]
fn a_nameplate_above_its_inlets_is_found_at_the_nominal_voltage() {
    let one = "inlets: {psu1: C14}, inlets-needed: 1";
    let two = "inlets: {psu1: C14, psu2: C14}";
    for (words, expected) in [
        (format!("rating: 2600 W, power-factor: 1, {one}"), (1, 0)),
        (format!("rating: 2200 W, power-factor: 1, {one}"), (0, 0)),
        // 2300 W are 10 A at 230 V, and a tolerance of the supply would make more of them.
        (format!("rating: 2300 W, power-factor: 1, {one}"), (0, 0)),
        (format!("rating: 2301 W, power-factor: 1, {one}"), (1, 0)),
        (format!("rating: 2200 W, power-factor: 0.9, {one}"), (1, 0)),
        (format!("rating: 2600 VA, {one}"), (1, 0)),
        // Amperes hold at 100 V, the lowest voltage of the range: 20 A there are 8.7 A here.
        (format!("rating: 20 A, {one}"), (0, 0)),
        (format!("rating: 24 A, {one}"), (1, 0)),
        (
            format!("rating: 2600 W, power-factor: 1, {two}, inlets-needed: 2"),
            (0, 0),
        ),
        (
            format!("rating: 2600 W, power-factor: 1, {two}, inlets-needed: 1"),
            (1, 0),
        ),
        (format!("rating: 2600 W, power-factor: 1, {two}"), (1, 0)),
        (
            "rating: 2000 W, power-factor: 1, inlets: {psu1: C20}".to_owned(),
            (0, 0),
        ),
        // The weaker of two inlets may be left alone.
        (
            "rating: 2600 W, power-factor: 1, inlets: {psu1: C20, psu2: C14}".to_owned(),
            (1, 0),
        ),
        // A mark below the sheet of the coupler counts.
        (
            "rating: 2200 W, power-factor: 1, inlets: {psu1: {coupler: C14, rating: 8 A}}"
                .to_owned(),
            (1, 0),
        ),
    ] {
        assert_eq!(of_nameplate(&words, "draw: 200 VA"), expected, "{words}");
    }
}

#[test]
fn a_nameplate_that_cannot_be_compared_is_no_pass() {
    let inlets = "inlets: {psu1: C14}, inlets-needed: 1";
    for (words, draw, expected) in [
        // Watts are at least as many volt-amperes.
        (format!("rating: 2600 W, {inlets}"), "draw: 200 VA", (1, 0)),
        (format!("rating: 2200 W, {inlets}"), "draw: 200 VA", (0, 1)),
        // `load-basis` asks for it already.
        (
            format!("rating: 2200 W, power-factor: some, {inlets}"),
            "draw: 200 VA",
            (0, 0),
        ),
        (format!("rating: 2200 W, {inlets}"), "draw: 200 W", (0, 0)),
        (
            format!("rating: 2200, power-factor: 1, {inlets}"),
            "draw: 200 W",
            (0, 1),
        ),
        (
            "rating: 2600 W, power-factor: 1, inlets: {psu1: C14, psu2: C14}, inlets-needed: some"
                .to_owned(),
            "draw: 200 W",
            (0, 1),
        ),
        (
            "rating: 2200 W, power-factor: 1, inlets: {psu1: {coupler: C14, rating: some}}"
                .to_owned(),
            "draw: 200 W",
            (0, 1),
        ),
        // Without a nameplate nothing contradicts the inlets.
        (format!("power-factor: 1, {inlets}"), "draw: 200 W", (0, 0)),
    ] {
        assert_eq!(of_nameplate(&words, draw), expected, "{words}");
    }
}

#[test]
fn a_nameplate_counts_at_the_voltage_that_feeds_the_device() {
    let site = one_load(200).replace("voltage: 100–240 V", "voltage: 200–240 V");
    let of = |site: &str| count(&found(&[], site), "nameplate-above-inlets");
    let big = |watts: &str| site.replace("rating: 2200 W, power-factor: 0.97", watts);
    let [at_230, at_240] = ["rating: 2350 VA", "rating: 2410 VA"].map(big);
    assert_eq!(of(&at_230), (1, 0));
    let unfed = |site: &str| site.replace("from: pdu-a/1", "from: nowhere/1");
    // Who knows no voltage takes the highest, which is kinder.
    assert_eq!(of(&unfed(&at_230)), (0, 0));
    assert_eq!(of(&unfed(&at_240)), (1, 0));
    // One that is fed with what it is not made for is told of for that alone.
    let foreign = at_240.replace("voltage: 200–240 V", "voltage: 235–240 V");
    assert_eq!(of(&foreign), (0, 0));
    let unknown = unfed(&at_230).replace("voltage: 200–240 V, ", "");
    assert_eq!(of(&unknown), (0, 1));
}

/// What `earth-interrupted` says where supply ups-a is marked without PE and has these words, and a
/// device of this class hangs on it.
fn without_marked_earth(supply: &str, class: &str) -> (usize, usize) {
    let marked = "  ups-a:\n    feed: A\n    system: 3/N/PE ~ 400/230 V 50 Hz\n    capacity: 40 kVA\n    fault-current: 6 kA\n    earthing: TN-S\n";
    let new = format!(
        "  ups-a:\n    feed: A\n    system: 3/N ~ 400/230 V 50 Hz\n    capacity: 40 kVA\n    fault-current: 6 kA\n{supply}"
    );
    let site = one_load(200).replace("class: I, ", class);
    count(&found(&[(marked, &new)], &site), "earth-interrupted")
}

#[test]
fn a_marking_without_a_protective_conductor_is_asked_about_once() {
    for (supply, class, expected) in [
        ("    earthing: TN-S\n", "class: I, ", (0, 1)),
        ("    earthing: TN-C-S\n", "class: I, ", (0, 1)),
        ("    earthing: IT\n", "class: I, ", (0, 1)),
        ("", "class: I, ", (0, 1)),
        ("    earthing: some\n", "class: I, ", (0, 1)),
        ("", "", (0, 1)),
        ("", "class: II, ", (0, 0)),
        ("    earthing: TT\n", "class: I, ", (0, 0)),
        ("    protective-conductor: yes\n", "class: I, ", (0, 0)),
        ("    protective-conductor: perhaps\n", "class: I, ", (0, 1)),
        (
            "    earthing: TT\n    protective-conductor: perhaps\n",
            "class: I, ",
            (0, 1),
        ),
        ("    protective-conductor: none\n", "class: I, ", (1, 0)),
        (
            "    earthing: TT\n    protective-conductor: none\n",
            "class: I, ",
            (1, 0),
        ),
        ("    protective-conductor: none\n", "", (0, 1)),
        ("    protective-conductor: none\n", "class: II, ", (0, 0)),
    ] {
        assert_eq!(
            without_marked_earth(supply, class),
            expected,
            "{supply:?} {class:?}"
        );
    }
}

#[test]
fn what_is_written_of_a_protective_conductor_counts_before_the_marking_and_in_every_practice() {
    let words = "    earthing: TN-S\n    protective-conductor: none\n";
    let findings = found(&[("    earthing: TN-S\n", words)], &one_load(200));
    assert_eq!(count(&findings, "earth-interrupted"), (1, 0));
    let nec = |edits: &[(&str, &str)]| {
        let mut base = bases()["base-nec.yaml"].clone();
        for (old, new) in edits {
            assert!(base.contains(old), "{old}");
            base = base.replace(old, new);
        }
        let own = one_load(200).replace(
            "rating: 10 A, colour: blue, approvals: [BSI]",
            "colour: blue, approvals: [UL]",
        );
        let files = vec![("base.yaml".into(), base), ("own.yaml".into(), own)];
        count(&judged(&files).findings, "earth-interrupted")
    };
    // Markings there never name it.
    assert_eq!(
        nec(&[("3/N/PE ~ 208/120 V 60 Hz", "208Y/120 V 60 Hz")]),
        (0, 0)
    );
    assert_eq!(nec(&[("    earthing: TN-S\n", words)]), (1, 0));
}
