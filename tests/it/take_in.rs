//! Spreadsheets taken in: every cell lands where it belongs, or is told by row and column.

mod guide;
mod messy;
mod offers;
mod trees;
pub mod workbooks;

use std::fs;

use assert_cmd::Command;

struct Ended {
    code: Option<i32>,
    yaml: String,
    /// What was told, in one line.
    told: String,
}

fn take_in(of: &str, text: &str) -> Ended {
    let mut command = Command::cargo_bin("cordwright").unwrap();
    let output = command
        .args(["take-in", "-", "--of", of])
        .write_stdin(text)
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    Ended {
        code: output.status.code(),
        yaml: String::from_utf8(output.stdout).unwrap(),
        told: told.split_whitespace().collect::<Vec<_>>().join(" "),
    }
}

#[test]
fn a_site_taken_in_from_three_sheets_is_judged_like_any_other() {
    let folder = tempfile::tempdir().unwrap();
    let dir = folder.path().to_str().unwrap();
    let run = |words: &[&str]| {
        let output = Command::cargo_bin("cordwright")
            .unwrap()
            .args(words)
            .output()
            .unwrap();
        (
            output.status.code(),
            String::from_utf8(output.stdout).unwrap(),
        )
    };
    assert_eq!(run(&["start", dir, "--practice", "iec"]).0, Some(0));
    // The devices and cords that the start has, once more out of sheets.
    let rack = folder.path().join("racks/rack-1.yaml");
    let text = fs::read_to_string(&rack).unwrap();
    fs::write(&rack, text.split("devices:").next().unwrap()).unwrap();
    let devices = take_in(
        "devices",
        "name;model;rack;at;draw (W)\nserver-01;server;rack-1;U4;220\nserver-02;server;rack-1;U6;180\n",
    );
    assert_eq!(
        (devices.code, &*devices.told),
        (
            Some(0),
            "Took 2 rows. Run \"cordwright check\": only the whole site can be judged."
        )
    );
    let cords = take_in(
        "cords",
        "\u{feff}Label\tType\tFrom\tTo\r\nW-001\tblue-1.5m\track-1-a/1\tserver-01/psu1\r\nW-002\tred-1.5m\track-1-b/1\tserver-01/psu2\r\nW-003\tblue-1.5m\track-1-a/9\tserver-02/psu1\r\nW-004\tred-1.5m\track-1-b/9\tserver-02/psu2\r\n",
    );
    assert_eq!(cords.code, Some(0), "{}", cords.told);
    fs::write(folder.path().join("devices.yaml"), devices.yaml).unwrap();
    fs::write(folder.path().join("cords.yaml"), cords.yaml).unwrap();
    let (code, told) = run(&["check", dir, "--fail-at", "note"]);
    assert_eq!(code, Some(0), "{told}");
    // Where the lines break depends on the path.
    let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("4 cords from 5 files"), "{told}");
}

#[test]
fn keys_below_keys_make_mappings_and_poles_a_list() {
    let ended = take_in(
        "circuits",
        "name,from,poles,breaker,breaker.curve,wiring.conductor,wiring.length [m]\nA-1,ups-a,L1 L2 N,16 A,C,2.5 mm²,12\n",
    );
    assert_eq!(
        ended.yaml,
        "circuits:\n  A-1: {from: ups-a, poles: [L1, L2, N], breaker: {rating: 16 A, curve: C}, wiring: {conductor: 2.5 mm², length: 12 m}}\n"
    );
    // What is missing is said as a check would say it.
    assert!(
        ended.code == Some(0) || ended.told.contains("row 2"),
        "{}",
        ended.told
    );
}

#[test]
fn what_cannot_be_taken_is_told_by_row_and_column() {
    let ended = take_in(
        "cords",
        "Cord,Type,From,To,Lenght,length,Colour\n\
         W-1,a,P/1,D/1,1,1.5,blue\n\
         W-2,a,P/2,\"D, 2/1\",,2 m,\n\
         W-2,a,P/3,D/3,,,\n\
         ,a,P/4,D/4,,,\n\
         \n\
         NO,,P/5,D/5,,two,\n",
    );
    assert_eq!(ended.code, Some(1));
    for told in [
        "row 1, column Lenght: is nothing that a cord has, and is not taken. Call it `length`",
        "row 1, column Colour: is nothing that a cord has, and is not taken.",
        "row 2, column length: `length` of `W-1`: `1.5` is a length without its unit.",
        "row 4: `W-2` stands in row 3 already, and is not taken again.",
        "row 5: the cord has no name, and is not taken.",
        "row 7: cord NO has no `type`",
        "row 7, column length: `length` of `NO`: `two` is no length.",
        "Took 3 rows, with 7 things to put right.",
    ] {
        assert!(ended.told.contains(told), "{told}\nin: {}", ended.told);
    }
    assert!(
        ended.yaml.contains("to: 'D, 2/1'") && ended.yaml.contains("'NO': {"),
        "{}",
        ended.yaml
    );
}

#[test]
fn nothing_makes_nothing_and_nothing_is_written_over() {
    let ended = take_in("devices", "");
    assert_eq!((ended.code, &*ended.yaml), (Some(1), ""));
    assert!(
        ended
            .told
            .contains("no column holds the name of the device"),
        "{}",
        ended.told
    );
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("devices.yaml");
    fs::write(&file, "mine").unwrap();
    let mut command = Command::cargo_bin("cordwright").unwrap();
    let output = command
        .args(["take-in", "-", "--of", "devices", "--output"])
        .arg(&file);
    let output = output.write_stdin("name,model\nD1,m\n").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
}

/// Whatever is in the cells, the definitions are YAML with those texts in it.
#[test]
fn any_text_comes_back_from_the_definitions() {
    use proptest::prelude::*;
    let config = ProptestConfig {
        cases: 300,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    proptest!(config, |(model in "[ -~äµ€–\n\t\u{1}\u{1b}\u{85}\u{2028}\u{feff}]{1,12}")| {
        let model = model.trim();
        prop_assume!(!model.is_empty());
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(["name", "model"]).unwrap();
        writer.write_record(["D1", model]).unwrap();
        let bytes = writer.into_inner().unwrap();
        let things = cordwright::take_in::Things::Devices;
        let mapping = cordwright::take_in::Mapping::default();
        let taken = cordwright::take_in::take_in(things, &mapping, &bytes, crate::site::today());
        let yaml: serde_json::Value = serde_yaml::from_str(taken.yaml.as_str()).unwrap();
        prop_assert_eq!(yaml["devices"]["D1"]["model"].as_str(), Some(model), "{}", taken.yaml);
    });
}
