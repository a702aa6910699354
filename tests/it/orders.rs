//! Orders: one row for each thing that is really different, less what is there, and never silent about what stands
//! against it.

use crate::pages::bases;
use crate::world::World;

const DEVICES: &str = "\
device-models:
  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U4, draw: 500 VA}
  rec-2: {model: recorder, rack: r1, at: U8, draw: 500 VA}
  rec-3: {model: recorder, rack: r1, at: U12, draw: 500 VA}
  rec-4: {model: recorder, rack: r1, at: U16, draw: 500 VA}
";

const PLAIN: &str = "plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]";

/// The order of four cords, each of a type and in a state, as rows of cells under their headings.
fn order(types: &[(&str, &str)], cords: [(&str, &str); 4]) -> (Vec<Vec<(String, String)>>, String) {
    let mut own = format!("{DEVICES}cord-types:\n");
    for (name, kind) in types {
        own += &format!("  {name}: {{{kind}}}\n");
    }
    own += "cords:\n";
    for (at, (kind, state)) in cords.iter().enumerate() {
        let number = at + 1;
        own += &format!(
            "  W-{number}: {{type: {kind}, from: pdu-a/{number}, to: rec-{number}/psu1{state}}}\n"
        );
    }
    let base = &bases()["base-iec.yaml"];
    let world = World::with(&[("site/cordwright.yaml", base), ("site/cords.yaml", &own)]);
    let words = [
        "schedule", "order", "site", "--spares", "0", "--format", "csv",
    ];
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    let mut reader = csv::Reader::from_reader(ended.output.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        let cells = headings.iter().zip(row.iter());
        cells
            .map(|(heading, cell)| (heading.to_owned(), cell.to_owned()))
            .collect()
    });
    (rows.collect(), ended.errors)
}

fn cell<'a>(row: &'a [(String, String)], heading: &str) -> &'a str {
    let found = row.iter().find(|(own, _)| own == heading);
    &found.unwrap_or_else(|| panic!("no {heading} in {row:?}")).1
}

#[test]
fn what_hangs_lies_in_store_or_is_on_order_is_not_ordered_again() {
    let cords = [
        ("t", ", state: to-fit"),
        ("t", ", state: on-order"),
        ("t", ", state: in-store"),
        ("t", ""),
    ];
    let (rows, told) = order(&[("t", PLAIN)], cords);
    let [row] = &rows[..] else {
        panic!("{rows:?}");
    };
    let numbers = ["needed", "fitted", "in store", "on order", "order"];
    assert_eq!(
        numbers.map(|heading| cell(row, heading)),
        ["4", "1", "1", "1", "1"]
    );
    assert!(!told.contains("NOT FOR ORDER"), "{told}");
}

/// Two types that are the same thing are one row; straight, angled, held, marked for 105 °C, halogen-free and longer
/// ones are not.
#[test]
fn what_differs_is_never_one_row_and_what_is_the_same_is() {
    let to_fit = |kind| (kind, ", state: to-fit");
    let alone = |more: &str, is_one: bool| {
        let other = match more.strip_prefix('=') {
            Some(whole) => whole.to_owned(),
            None => format!("{PLAIN}{more}"),
        };
        let types = [("a", PLAIN), ("b", other.as_str())];
        let (rows, _) = order(&types, [to_fit("a"), to_fit("b"), to_fit("a"), to_fit("a")]);
        assert_eq!(rows.len() == 1, is_one, "{more}: {rows:#?}");
    };
    alone("", true);
    for more in [
        ", angle: {connector: left}",
        ", retention: {plug: pin-grip, connector: pin-grip}",
        ", temperature: 60 °C",
        ", service: {halogen-free: yes}",
        ", cores: 3",
        ", fuse: 5 A, stand-out: {connector: 40 mm}, hot-air: {at: 60 °C, amperes: 6 A}",
        &format!("={}", PLAIN.replace("1.5 m,", "2 m,")),
        &format!("={}", PLAIN.replace("blue", "red")),
        &format!("={}", PLAIN.replace("[BSI]", "[VDE]")),
    ] {
        alone(more, false);
    }
    // Of what is not known nobody knows that it is the same.
    let bare = PLAIN.replace(", colour: blue", "");
    let types = [("a", bare.as_str()), ("b", bare.as_str())];
    let (rows, _) = order(&types, [to_fit("a"), to_fit("b"), to_fit("a"), to_fit("a")]);
    assert_eq!(rows.len(), 2, "{rows:#?}");
}

#[test]
fn a_row_that_something_stands_against_is_not_for_order() {
    let thin = PLAIN.replace("1.0 mm²", "0.5 mm²");
    let types = [("good", PLAIN), ("thin", thin.as_str())];
    let to_fit = |kind| (kind, ", state: to-fit");
    let (rows, told) = order(
        &types,
        [
            to_fit("good"),
            to_fit("thin"),
            to_fit("good"),
            to_fit("good"),
        ],
    );
    let stands: Vec<&str> = rows.iter().map(|row| cell(row, "stands")).collect();
    assert_eq!(stands[0], "");
    assert!(
        stands[1].starts_with("not for order: conductor-below-minimum"),
        "{stands:?}"
    );
    assert!(told.contains("NOT FOR ORDER"), "{told}");
}
