//! A room that was walked through with its sheet: what hangs elsewhere comes to the `from` of its cord, and nothing
//! that is not sure does.

use std::collections::BTreeMap;

use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::sheet::{Answered, answered};

use crate::pages::bases;
use crate::site::today;
use crate::world::World;

const CORDS: &str = "\
device-models:
  m: {power-factor: 1, inlets: {psu1: C14}, inlets-needed: 1}
devices:
  d-1: {model: m, rack: r1, draw: 100 W}
  d-2: {model: m, rack: r1, draw: 100 W}
  d-3: {model: m, rack: r1, draw: 100 W}
cord-types:
  c: {plug: C14, connector: C13, length: 1 m, conductor: 1.0 mm², cordage: H05VV-F}
cords:
  W-1: {type: c, from: pdu-a/1, to: d-1/psu1}
  W-2: {type: c, from: pdu-a/2, to: d-2/psu1}  # by the door
  W-3: {type: c, from: pdu-a/3, to: d-3/psu1, state: to-fit}
";

/// What becomes of a site with these cords when in each of these outlets this is found.
fn walked(cords: &str, found: &[(&str, &str, &str)]) -> (String, Answered) {
    let bases = bases();
    let files = [
        ("base-iec.yaml", bases["base-iec.yaml"].as_str()),
        ("cords.yaml", cords),
    ];
    let files = files.map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec()));
    let input = SiteInput {
        files: files.to_vec(),
        ..SiteInput::default()
    };
    let rows = found.iter();
    let rows: Vec<String> = rows
        .map(|(outlet, cord, said)| {
            let (strip, outlet) = outlet.split_once('/').unwrap();
            format!("r1,{strip},{outlet},C13,{cord},,,{said}\r\n")
        })
        .collect();
    let head = "rack,PDU,outlet,coupler,cord,colour,far end,as found\r\n";
    let sheet = format!("{head}{}", rows.concat());
    let fixed = BTreeMap::new();
    let answered = answered(input, &fixed, sheet.as_bytes(), &Settings::on(today()));
    let changed = answered.changed.iter();
    let mut own = changed.filter(|(path, _)| path == "cords.yaml");
    let text = own.next().map_or(cords, |(_, text)| text.as_str());
    (text.to_owned(), answered)
}

/// What is left to a person, by row.
fn remarks(answered: &Answered) -> Vec<String> {
    let remarks = answered.remarks.iter();
    remarks.map(cordwright::sheet::Remark::told).collect()
}

#[test]
fn what_is_as_recorded_changes_nothing() {
    let found = [
        ("pdu-a/1", "W-1", "ok"),
        ("pdu-a/2", "W-2", "W-2"),
        ("pdu-a/4", "", "free"),
        ("pdu-a/5", "", ""),
    ];
    let (text, answered) = walked(CORDS, &found);
    assert_eq!(text, CORDS);
    assert!(answered.taken.is_empty() && answered.remarks.is_empty());
    assert_eq!(
        answered.notes,
        ["3 rows are filled in: 2 as recorded, and 0 cords hang elsewhere."]
    );
}

#[test]
fn cords_that_are_swapped_change_places_and_nothing_else_changes() {
    let found = [("pdu-a/1", "W-1", "W-2"), ("pdu-a/2", "W-2", "d-1/psu1")];
    let (text, answered) = walked(CORDS, &found);
    assert!(answered.remarks.is_empty(), "{:?}", answered.remarks);
    assert_eq!(answered.taken.len(), 2);
    let wanted = CORDS
        .replace(
            "W-1: {type: c, from: pdu-a/1",
            "W-1: {type: c, from: pdu-a/2",
        )
        .replace(
            "W-2: {type: c, from: pdu-a/2",
            "W-2: {type: c, from: pdu-a/1",
        );
    assert_eq!(text, wanted);
}

#[test]
fn what_is_not_sure_is_left_to_a_person() {
    for (found, words) in [
        // A cord that is gone is not deleted.
        (
            &[("pdu-a/1", "W-1", "free")][..],
            &["was not found in pdu-a/1"][..],
        ),
        (&[("pdu-a/1", "W-1", "W2")], &["Write `W-2`?"]),
        (
            &[("pdu-a/1", "W-1", "\x1b[31mred")],
            &["no cord of the site is called so"],
        ),
        (&[("pdu-a/99", "", "W-1")], &["there is no outlet pdu-a/99"]),
        (
            &[("pdu-a/4", "", "W-1"), ("pdu-a/5", "", "W-1")],
            &["W-1 is said to be in pdu-a/4 and in pdu-a/5"],
        ),
    ] {
        let (text, answered) = walked(CORDS, found);
        assert_eq!(text, CORDS, "{found:?}");
        let told = remarks(&answered).concat();
        for word in words {
            assert!(told.contains(word), "{found:?}: {told}");
        }
    }
    // One that may be a word or a name.
    let named = CORDS.replace("W-1", "ok");
    let (text, answered) = walked(&named, &[("pdu-a/4", "", "ok")]);
    assert_eq!(text, named);
    assert!(
        remarks(&answered)
            .concat()
            .contains("or a word for the row")
    );
}

#[test]
fn one_that_was_to_be_fitted_is_told_where_it_hangs() {
    let (text, answered) = walked(CORDS, &[("pdu-a/3", "", "W-3")]);
    assert_eq!(text, CORDS);
    assert!(remarks(&answered).concat().contains("`state: fitted`"));
}

#[test]
fn a_place_that_many_cords_have_by_alias_is_left_to_a_person() {
    let shared = CORDS
        .replace("from: pdu-a/1", "from: &x pdu-a/1")
        .replace("W-3: {type: c, from: pdu-a/3", "W-3: {type: c, from: *x");
    let (text, answered) = walked(&shared, &[("pdu-a/4", "", "W-1")]);
    assert_eq!(text, shared);
    assert_eq!(answered.remarks.len(), 1, "{:?}", answered.remarks);
}

#[test]
fn the_sheet_of_a_room_goes_from_the_command_and_back_through_it() {
    let world = World::with(&[
        ("base.yaml", &bases()["base-iec.yaml"]),
        ("cordwright.yaml", CORDS),
    ]);
    let args = ["survey", "--all", "--format", "csv", "--output", "room.csv"];
    world.run(&args).expect(0);
    let sheet = std::fs::read_to_string(world.at("room.csv")).unwrap();
    // What does not hang yet is not to be looked for.
    assert!(!sheet.contains("W-3"), "{sheet}");
    let free = sheet.lines().find(|line| line.contains("pdu-a,6,"));
    let free = free.expect("a free outlet");
    world.put("room.csv", &sheet.replace(free, &format!("{free}W-1")));
    let take_in = ["take-in", "room.csv", "--of", "survey", "--write"];
    let shown = world.run(&take_in).expect(0);
    assert!(shown.contains("1 cord hangs elsewhere"), "{shown}");
    let text = std::fs::read_to_string(world.at("cordwright.yaml")).unwrap();
    assert_eq!(text, CORDS.replace("from: pdu-a/1", "from: pdu-a/6"));
    // What somebody typed is words.
    world.put(
        "room.csv",
        &sheet.replace(free, &format!("{free}\x1b[31mred")),
    );
    let shown = world.run(&take_in).expect(1);
    assert!(
        !shown.contains('\x1b') && shown.contains("31mred"),
        "{shown}"
    );
}
