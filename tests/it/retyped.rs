//! After a remedy a type is called what it is: a cord that needs another length than its type's name tells gets a
//! type of that name.

use crate::pages::bases;
use crate::world::World;

const DEVICES: &str = "\
device-models:
  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U24, draw: 500 VA}
  rec-2: {model: recorder, rack: r1, at: U26, draw: 500 VA}
";

const FLOW: &str = "\
cord-types:
  c14-c13-1m-blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI]} # ours
";

const BLOCK: &str = "\
cord-types:
  c14-c13-1m-blue:
    plug: C14
    connector: C13
    conductor: 1.0 mm²
    cordage: H05VV-F
    length: 1 m # short
    rating: 10 A
    colour: blue
    approvals: [BSI]
";

const CORDS: &str = "\
cords:
  W-1: {type: c14-c13-1m-blue, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: c14-c13-1m-blue, from: pdu-a/2, to: rec-2/psu1}
";

fn written(types: &str, cords: &str) -> (World, String) {
    let base =
        bases()["base-iec.yaml"].replace("  feeds: {", "  stock-lengths: [1 m, 2 m]\n  feeds: {");
    let own = format!("{DEVICES}{types}{cords}");
    let world = World::with(&[("site/cordwright.yaml", &base), ("site/cords.yaml", &own)]);
    let told = world.run(&["remedy", "site", "--write"]).output;
    (world, told)
}

#[test]
fn a_cord_that_needs_another_length_gets_a_type_that_tells_it() {
    for types in [FLOW, BLOCK] {
        let (world, told) = written(types, CORDS);
        assert!(
            told.contains("c14-c13-2m-blue, a new type like c14-c13-1m-blue (2 m)"),
            "{told}"
        );
        let text = std::fs::read_to_string(world.at("site/cords.yaml")).unwrap();
        assert_eq!(text.matches("  c14-c13-2m-blue:").count(), 1, "{text}");
        assert_eq!(text.matches("type: c14-c13-2m-blue").count(), 2, "{text}");
        assert!(text.contains("length: 2 m"), "{text}");
        let check = world.run(&["check", "site", "--fail-at", "warning"]).output;
        assert!(!check.contains("cord-too-short"), "{check}");
        assert!(!check.contains("duplicate-name"), "{check}");
    }
}

/// A length of its own that stands in the cord is put right with it.
#[test]
fn a_length_that_the_cord_tells_itself_is_put_right_with_its_type() {
    let cords = CORDS.replace("to: rec-1/psu1", "to: rec-1/psu1, length: 1 m");
    let (world, told) = written(FLOW, &cords);
    let text = std::fs::read_to_string(world.at("site/cords.yaml")).unwrap();
    assert!(
        text.contains("to: rec-1/psu1, length: 2 m"),
        "{told}\n{text}"
    );
}

/// What an alias names cannot be copied; then nothing is written, and what to do is told.
#[test]
fn a_type_that_cannot_be_copied_is_left_alone() {
    let types = FLOW.replace("{plug: C14", "&t {plug: C14");
    let (world, told) = written(&types, CORDS);
    assert!(told.contains("a new type like c14-c13-1m-blue"), "{told}");
    let text = std::fs::read_to_string(world.at("site/cords.yaml")).unwrap();
    assert!(!text.contains("2m"), "{text}");
}
