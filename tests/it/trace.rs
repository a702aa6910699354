//! `cordwright trace`: paths up and down, as a table that fits and as JSON.

use crate::pages::bases;
use crate::world::World;

const LOADS: &str = "\
device-models:
  recorder: {height: 1 U, class: I, voltage: 100–240 V, power-factor: 1, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 414 W}
cord-types:
  c13-1m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI]}
cords:
  W-1: {type: c13-1m, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: c13-1m, from: pdu-b/1, to: rec-1/psu2}
";

fn world() -> World {
    let base = &bases()["base-iec.yaml"];
    World::with(&[("cordwright.yaml", base), ("loads.yaml", LOADS)])
}

#[test]
fn a_device_shows_one_path_for_each_inlet_within_eighty_columns() {
    let ended = world().run(&["trace", "rec-1"]);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    for part in [
        "rec-1/psu1",
        "rec-1/psu2",
        "supply ups-a",
        "circuit A-1",
        "PDU pdu-a",
        "bank B1 of PDU pdu-a",
        "cord W-1",
        "when supply ups-b is lost",
    ] {
        assert!(
            ended.output.contains(part),
            "{part} is missing in\n{}",
            ended.output
        );
    }
    let longest = ended.output.lines().map(|line| line.chars().count()).max();
    assert!(longest <= Some(80), "{longest:?} columns\n{}", ended.output);
}

#[test]
fn the_numbers_are_those_of_hand_arithmetic() {
    let ended = world().run(&["trace", "W-1", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&ended.output).unwrap();
    let hops = json["traces"][0]["paths"][0]["hops"].as_array().unwrap();
    let cord = hops.iter().find(|hop| hop["what"] == "cord W-1").unwrap();
    // 414 W over two inlets at 230 V less 10 %: 207 W ÷ 207 V = 1 A, and 2 A when one is lost; a
    // little more for the drop along 10 m of 4 mm² and 3 m of cord.
    let near = |key: &str, value: f64| {
        let given = cord[key].as_f64().unwrap();
        assert!(given >= value && given < value * 1.01, "{key}: {given}");
    };
    near("normal_amperes", 1.0);
    near("worst_amperes", 2.0);
    assert_eq!(cord["limit_amperes"], 10.0);
    let (worst, margin) = (
        cord["worst_amperes"].as_f64().unwrap(),
        cord["margin_amperes"].as_f64().unwrap(),
    );
    assert!((10.0 - worst - margin).abs() < 1e-5);
}

#[test]
fn a_strip_shows_the_way_up_and_what_hangs_on_it() {
    let ended = world().run(&["trace", "pdu-b"]);
    for part in [
        "supply ups-b",
        "circuit B-1",
        "bank B1",
        "bank B2",
        "cord W-2",
    ] {
        assert!(
            ended.output.contains(part),
            "{part} is missing in\n{}",
            ended.output
        );
    }
    assert!(!ended.output.contains("cord W-1"));
}

#[test]
fn an_unknown_name_fails_with_the_nearest() {
    let ended = world().run(&["trace", "rec-11"]);
    assert_eq!(ended.code, Some(2));
    assert!(ended.errors.contains("rec-1"), "{}", ended.errors);
}
