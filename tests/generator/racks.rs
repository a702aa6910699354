//! Sound sites of any size: racks of forty dual-corded devices on two three-phase strips.
//!
//! The same number of racks makes the same bytes, always.

use std::fmt::Write as _;

use super::dice::Dice;

/// Devices in a rack.
pub const DEVICES: usize = 40;
/// Cords in a rack.
pub const CORDS: usize = 2 * DEVICES;
/// Racks that share a pair of supplies.
const RACKS_PER_SUPPLY: usize = 20;

/// The files of a site with this many racks, sorted by path.
pub fn site(racks: usize) -> Vec<(String, String)> {
    let mut dice = Dice::new(racks as u64);
    let mut files = vec![
        ("cordwright.yaml".to_owned(), HEAD.to_owned()),
        ("types.yaml".to_owned(), TYPES.to_owned()),
    ];
    files.push(("supplies.yaml".to_owned(), supplies(racks)));
    for rack in 0..racks {
        files.push((format!("racks/r{rack:04}.yaml"), rack_file(rack, &mut dice)));
    }
    files.sort();
    files
}

const HEAD: &str = "\
site:
  name: Bench site
  practice: iec
  country: GB
  ambient: 25 °C
  continuous-load: 80 %
  supply-tolerance: 10 %
  voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}
  feeds: {A: {colour: blue}, B: {colour: red}}
  label: \"W-[0-9]{4}-[0-9]{2}[AB]\"
zones:
  hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}
";

const TYPES: &str = "\
pdu-models:
  upright-32:
    plug: IEC 60309 32 A 3P+N+E 6h
    rating: 32 A
    cord: {cordage: H07RN-F, conductor: 10 mm², length: 3 m}
    outlet-pitch: 28 mm
    first-outlet: 60 mm
    banks:
      B1: {between: L1-N, breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 12000 A²s}, outlets: {1-14: C13}}
      B2: {between: L2-N, breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 12000 A²s}, outlets: {15-28: C13}}
      B3: {between: L3-N, breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 12000 A²s}, outlets: {29-42: C13}}
device-models:
  recorder:
    height: 1 U
    class: I
    voltage: 100–240 V
    rating: 400 W
    power-factor: 0.97
    earth-current: 0.2 mA
    inlets: {psu1: {coupler: C14, feed: A}, psu2: {coupler: C14, feed: B}}
    inlets-needed: 1
cord-types:
  blue-2m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2.1 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red-2m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2.1 m, rating: 10 A, colour: red, approvals: [BSI]}
";

fn supplies(racks: usize) -> String {
    let mut text = String::from("supplies:\n");
    for group in 0..racks.div_ceil(RACKS_PER_SUPPLY) {
        for feed in ["A", "B"] {
            writeln!(
                text,
                "  ups-{group}-{feed}: {{feed: {feed}, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 400 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}}"
            )
            .unwrap();
        }
    }
    text
}

fn rack_file(rack: usize, dice: &mut Dice) -> String {
    let group = rack / RACKS_PER_SUPPLY;
    let mut text = format!(
        "racks:\n  r{rack:04}: {{zone: hall, height: 45 U, width: 600 mm, depth: 1070 mm}}\ncircuits:\n"
    );
    for feed in ["A", "B"] {
        writeln!(text, "  {feed}-{rack:04}:").unwrap();
        writeln!(
            text,
            "    from: ups-{group}-{feed}\n    poles: [L1, L2, L3, N]"
        )
        .unwrap();
        writeln!(
            text,
            "    breaker: {{rating: 32 A, curve: C, breaking-capacity: 10 kA}}"
        )
        .unwrap();
        writeln!(
            text,
            "    wiring: {{conductor: 6 mm², length: {} m, insulation: xlpe-90}}",
            10 + dice.below(10)
        )
        .unwrap();
        writeln!(text, "    receptacle: IEC 60309 32 A 3P+N+E 6h").unwrap();
    }
    text.push_str("pdus:\n");
    for (feed, side) in [("A", "rear-left"), ("B", "rear-right")] {
        writeln!(text, "  r{rack:04}-{feed}: {{model: upright-32, rack: r{rack:04}, from: {feed}-{rack:04}, mount: {{side: {side}, foot: U2, head: U42}}}}").unwrap();
    }
    text.push_str("devices:\n");
    for device in 1..=DEVICES {
        writeln!(text, "  r{rack:04}-d{device:02}:").unwrap();
        writeln!(
            text,
            "    model: recorder\n    rack: r{rack:04}\n    at: U{}\n    draw: {} W",
            device + 2,
            100 + dice.below(100)
        )
        .unwrap();
    }
    text.push_str("cords:\n");
    for device in 1..=DEVICES {
        // Neighbours go to different banks, so that the phases are loaded alike.
        let outlet = (device - 1) % 3 * 14 + (device - 1) / 3 + 1;
        for (feed, colour, inlet) in [("A", "blue", 1), ("B", "red", 2)] {
            writeln!(text, "  W-{rack:04}-{device:02}{feed}: {{type: {colour}-2m, from: r{rack:04}-{feed}/{outlet}, to: r{rack:04}-d{device:02}/psu{inlet}}}").unwrap();
        }
    }
    text
}
