//! What is taken for granted: every row is a key of the format, rests where the key is silent, and rests no
//! more once it is written; and people are told.

use cordwright::analysis::ASSUMED;

use crate::site::{Files, judged};
use crate::world::World;

const SILENT: &str = "\
site: {name: Silent, practice: iec, country: GB, ambient: 25 °C}
zones:
  hall: {ambient: 25 °C}
racks:
  r1: {zone: hall, height: 42 U}
supplies:
  ups: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 40 kVA, fault-current: 6 kA, earthing: TN-S}
circuits:
  A-1:
    from: ups
    poles: [L1, L2, L3, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}
    receptacle: IEC 60309 16 A 3P+N+E 6h
    wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}
pdu-models:
  strip:
    plug: IEC 60309 16 A 3P+N+E 6h
    rating: 16 A
    banks: {B1: {between: L1-N, outlets: {1-8: C13}}}
pdus:
  pdu-a: {model: strip, rack: r1, from: A-1, mount: {side: rear-left, foot: U2}}
device-models:
  lamp: {rating: 200 VA, voltage: 100–240 V, inlets: {one: C14, two: C14}}
devices:
  lamp-1: {model: lamp, rack: r1, at: U4}
cord-types:
  c13: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m}
cords:
  W-1: {type: c13, from: pdu-a/1, to: lamp-1/one}
  W-2: {type: c13, from: pdu-a/2, to: lamp-1/two}
";

/// For every row words of the site above, and the same with the key written.
const WRITTEN: &[(&str, &str, &str)] = &[
    (
        "site.supply-tolerance",
        "country: GB",
        "country: GB, supply-tolerance: 6 %",
    ),
    (
        "supplies.protective-conductor",
        "{feed: A,",
        "{feed: A, protective-conductor: yes,",
    ),
    (
        "supplies.sequence-proved",
        "{feed: A,",
        "{feed: A, sequence-proved: yes,",
    ),
    (
        "device-models.sharing",
        "lamp: {",
        "lamp: {sharing: equal, ",
    ),
    (
        "device-models.inlets-needed",
        "lamp: {",
        "lamp: {inlets-needed: 1, ",
    ),
    (
        "device-models.earth-current",
        "lamp: {",
        "lamp: {earth-current: 0.75 mA, ",
    ),
    (
        "device-models.third-harmonic",
        "lamp: {",
        "lamp: {third-harmonic: 10 %, ",
    ),
    ("zones.wet", "hall: {", "hall: {wet: no, "),
    (
        "circuits.wiring.grouped",
        "wiring: {",
        "wiring: {grouped: 1, ",
    ),
    (
        "cords.bundle",
        "{type: c13, from",
        "{type: c13, bundle: left, from",
    ),
    (
        "site.routing",
        "country: GB",
        "country: GB, routing: {service-loop: 150 mm, connector-bend: 100 mm, cross-run: 300 mm, rail-slack: 120 %}",
    ),
];

fn rests(text: &str, key: &str) -> bool {
    let files: Files = vec![("cordwright.yaml".to_owned(), text.to_owned())];
    judged(&files).assumed.iter().any(|row| row.key == key)
}

#[test]
fn a_row_rests_while_its_key_is_silent_and_no_longer() {
    let rows: Vec<&str> = ASSUMED.iter().map(|row| row.key).collect();
    let written: Vec<&str> = WRITTEN.iter().map(|(key, ..)| *key).collect();
    assert_eq!(rows, written, "a row without a case");
    for (key, silent, written) in WRITTEN {
        assert!(SILENT.contains(silent), "{silent}");
        // A marking with PE says that there is one.
        let silent_site = SILENT.replace("3/N/PE", "3/N");
        assert!(rests(&silent_site, key), "{key}");
        assert!(!rests(&silent_site.replace(silent, written), key), "{key}");
    }
}

#[test]
fn the_closing_words_name_what_is_taken_and_the_table_says_what_and_why() {
    let world = World::with(&[("cordwright.yaml", SILENT)]);
    let words = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let check = words(world.run(&["check"]).output);
    assert!(
        check.contains("Taken for granted, because it is not written: site.supply-tolerance"),
        "{check}"
    );
    assert!(check.contains("cords.bundle (2)"), "{check}");
    assert!(!check.contains("protective-conductor"), "{check}");
    let table = words(world.run(&["cite", "--assumed"]).expect(0));
    for row in ASSUMED {
        assert!(
            table.contains(row.key) && table.contains(&words((row.taken)())),
            "{}",
            row.key
        );
    }
    assert!(table.contains("IEC 60038"), "{table}");
}
