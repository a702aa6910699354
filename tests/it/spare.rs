//! The room that is left, worked out by hand.

use crate::pages::bases;
use crate::world::World;

const DEVICES: &str = "\
device-models:
  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 1300 VA}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
cords:
  W-1: {type: blue, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: red, from: pdu-b/1, to: rec-1/psu2}
";

/// Rows as they are written, cells joined by `|`.
fn room(base: &str, words: &[&str]) -> Vec<String> {
    let world = World::with(&[("site/cordwright.yaml", base), ("site/own.yaml", DEVICES)]);
    let all = [&["schedule", "spare", "site", "--format", "csv"], words].concat();
    let ended = world.run(&all);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    let mut reader = csv::Reader::from_reader(ended.output.as_bytes());
    let rows = reader.records();
    rows.map(|row| row.unwrap().iter().collect::<Vec<_>>().join("|"))
        .collect()
}

/// Bank of 10 A, of which 80 % may be used: 8 A. When the other feed is lost the recorder draws 1300 VA from what is
/// left of 207 V, 6.32 A: 1.68 A are left, 0.35 kVA at 207 V.
#[test]
fn what_a_bank_can_still_take_is_worked_out_for_the_worst_state() {
    let base = bases()["base-iec.yaml"].clone();
    let rows = room(&base, &[]);
    let bank = rows.iter().find(|row| row.contains("pdu-a/B1|A")).unwrap();
    assert_eq!(bank, "r1|pdu-a/B1|A|7 C13|1.68|0.35|bank B1 of PDU pdu-a");
    let further = rows
        .iter()
        .find(|row| row.contains("further device"))
        .unwrap();
    assert_eq!(
        further,
        "r1|further device, dual-corded|pdu-a/B1, pdu-b/B1|C13||0.35|bank B1 of PDU pdu-b"
    );
    // The 16 A of the circuit, of which 12.8 A may be used, less 6.32 A.
    let circuit = rows
        .iter()
        .find(|row| row.starts_with("|circuit A-1|"))
        .unwrap();
    assert_eq!(circuit, "|circuit A-1|||6.48||");
    // 40 kVA less 1.3 kVA and what is lost on the way.
    let supply = rows
        .iter()
        .find(|row| row.starts_with("|supply ups-a|"))
        .unwrap();
    assert!(supply.starts_with("|supply ups-a||||38.6"), "{supply}");
}

/// A small supply is what bounds it: of 2 kVA 0.69 are left, though the bank would take no less than before.
#[test]
fn the_next_thing_to_be_full_may_lie_far_up() {
    let base = bases()["base-iec.yaml"].replace("capacity: 40 kVA", "capacity: 1.5 kVA");
    let rows = room(&base, &[]);
    let bank = rows.iter().find(|row| row.contains("pdu-a/B1|A")).unwrap();
    assert!(bank.ends_with("supply ups-a"), "{bank}");
}

/// What is not known is never taken for room.
#[test]
fn what_is_not_known_is_an_upper_bound() {
    let base = bases()["base-iec.yaml"].replace("capacity: 40 kVA, ", "");
    let base = base.replace("    capacity: 40 kVA\n", "");
    let rows = room(&base, &[]);
    let bank = rows.iter().find(|row| row.contains("pdu-a/B1|A")).unwrap();
    assert!(bank.contains("|≤ 1.68|≤ 0.35|"), "{bank}");
    let supply = rows
        .iter()
        .find(|row| row.starts_with("|supply ups-a|"))
        .unwrap();
    assert!(supply.contains('?'), "{supply}");
}

#[test]
fn one_rack_alone_is_shown_where_it_is_named() {
    let base = bases()["base-iec.yaml"].clone();
    assert!(!room(&base, &["--rack", "r1"]).is_empty());
    assert_eq!(room(&base, &["--rack", "r9"]), Vec::<String>::new());
    let world = World::with(&[("site/cordwright.yaml", &base)]);
    let refused = world.run(&["schedule", "cords", "site", "--rack", "r1"]);
    assert_eq!(refused.code, Some(2));
    assert!(refused.errors.contains("--rack belongs to the room"));
}
