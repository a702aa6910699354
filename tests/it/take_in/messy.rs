//! Spreadsheets as people keep them: headings in their own words, blank rows, decimal commas, old encodings.

use crate::world::World;

/// Ten lines that say what the columns of [`room`] hold.
const MAP: &str = "\
headings: [3, 4]
columns: {Kabel-Nr.: name, von PDU: from.pdu, von Dose: from.outlet, nach Gerät: to.device,
  nach Netzteil: to.inlet, Länge m: length, Querschnitt: conductor, Leitung: cordage,
  Stecker: plug, Buchse: connector, Farbe: colour, Bemerkung: note}
units: {length: m}
values:
  colour: {blau: blue, rot: red}
fill-down: [von PDU]
ignore: [geprüft am]
encoding: windows-1252
";

/// The cords of a room, three racks of 15 devices with two inlets each, as a spreadsheet of a title, two rows of
/// headings, blank rows between the racks, and the strip in merged cells, which come out empty below the first.
fn room() -> String {
    let mut rows = vec![
        "Kabelliste Raum 2.04;;;;;;;;;;;;".to_owned(),
        String::new(),
        "Kabel-Nr.;von;;nach;;Länge;Querschnitt;Leitung;Stecker;Buchse;Farbe;Bemerkung;geprüft am"
            .to_owned(),
        ";PDU;Dose;Gerät;Netzteil;m;;;;;;;".to_owned(),
    ];
    for (number, (rack, side, device)) in places().enumerate() {
        if device == 1 {
            rows.push(";;;;;;;;;;;;".to_owned());
        }
        let strip = if device == 1 {
            format!("P-{rack}{side}")
        } else {
            String::new()
        };
        let (inlet, colour) = if side == 'A' { (1, "blau") } else { (2, "rot") };
        let length = LENGTHS[device % 3].0;
        let note = if number == 6 { "Tür klemmt" } else { "" };
        rows.push(format!(
            "W-{:03};{strip};{device};srv-{rack}-{device:02};psu{inlet};{length};3G1,0;H05VV-F;C14;C13;{colour};{note};12.03.24",
            number + 1,
        ));
    }
    rows.join("\r\n") + "\r\n"
}

/// Lengths as they are typed, and as they are meant.
const LENGTHS: [(&str, &str); 3] = [("1,0", "1m"), ("1,5", "1.5m"), ("2", "2m")];

fn places() -> impl Iterator<Item = (usize, char, usize)> {
    let strips = (1..=3).flat_map(|rack| ['A', 'B'].map(|side| (rack, side)));
    strips.flat_map(|(rack, side)| (1..=15).map(move |device| (rack, side, device)))
}

/// The letters of Windows-1252 that are used here are those of Latin-1.
fn windows_1252(text: &str) -> Vec<u8> {
    text.chars().map(|c| u8::try_from(c).unwrap()).collect()
}

fn taken(text: &[u8], map: &str) -> crate::world::Ended {
    let world = World::with(&[("map.yaml", map)]);
    std::fs::write(world.at("cords.csv"), text).unwrap();
    let words = ["take-in", "cords.csv", "--of", "cords", "--map", "map.yaml"];
    let ended = world.run(&words);
    crate::world::Ended {
        errors: ended
            .errors
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" "),
        ..ended
    }
}

#[test]
fn a_room_of_ninety_cords_comes_in_from_a_messy_spreadsheet() {
    assert!(MAP.lines().count() <= 10);
    let ended = taken(&windows_1252(&room()), MAP);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    assert_eq!(
        ended.errors,
        "Row 1 stands above the headings, and is not taken. Took 90 rows. Run \"cordwright check\": only the whole site can be judged."
    );
    let yaml: serde_json::Value = serde_yaml::from_str(&ended.output).unwrap();
    let (cords, types) = (
        yaml["cords"].as_object().unwrap(),
        yaml["cord-types"].as_object().unwrap(),
    );
    assert_eq!((cords.len(), types.len()), (90, 6));
    for (number, (rack, side, device)) in places().enumerate() {
        let cord = &cords[&format!("W-{:03}", number + 1)];
        let inlet = if side == 'A' { 1 } else { 2 };
        assert_eq!(cord["from"], format!("P-{rack}{side}/{device}"));
        assert_eq!(cord["to"], format!("srv-{rack}-{device:02}/psu{inlet}"));
        let colour = if side == 'A' { "blue" } else { "red" };
        let kind = format!("c14-c13-{}-{colour}", LENGTHS[device % 3].1);
        assert_eq!(cord["type"], kind);
        assert_eq!(types[&kind]["colour"], colour);
        assert_eq!(
            cord["note"],
            if number == 6 {
                "Tür klemmt".into()
            } else {
                serde_json::Value::Null
            }
        );
    }
    let like = serde_json::json!({
        "plug": "C14", "connector": "C13", "conductor": "1.0 mm²", "cordage": "H05VV-F", "cores": 3, "length": "1.5 m", "colour": "red",
    });
    assert_eq!(types["c14-c13-1.5m-red"], like);
}

#[test]
fn an_encoding_that_is_a_guess_is_told_and_utf_16_is_none() {
    let map = MAP.replace("encoding: windows-1252\n", "");
    let ended = taken(&windows_1252(&room()), &map);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    assert!(
        ended
            .errors
            .contains("it is read as Windows-1252, which is a guess."),
        "{}",
        ended.errors
    );
    let wide: Vec<u8> = room().encode_utf16().flat_map(u16::to_le_bytes).collect();
    let same = taken(&wide, &map);
    assert_eq!((same.code, same.output), (Some(0), ended.output));
    assert!(!same.errors.contains("guess"), "{}", same.errors);
}

#[test]
fn one_cause_is_told_in_one_line() {
    let without = MAP
        .replace("Stecker: plug, ", "")
        .replace("units: {length: m}\n", "");
    let ended = taken(&windows_1252(&room()), &without);
    assert_eq!(ended.code, Some(1));
    for told in [
        "row 4, column Stecker: is nothing that a cord has, and is not taken.",
        "row 4: column `plug` is missing: the type of a cord must have it.",
        "is a length without its unit.",
        "Likewise rows 7, 8 and 87 more.",
    ] {
        assert!(ended.errors.contains(told), "{told}\nin {}", ended.errors);
    }
    let causes = ended.errors.matches("a length without its unit").count();
    assert_eq!(causes, 1, "{}", ended.errors);
}

#[test]
fn a_number_that_may_be_two_is_asked_about_and_not_taken() {
    let text = "name;type;from;to;length (mm)\nW-1;t;P/1;D/1;1,200\nW-2;t;P/2;D/2;950,5\nW-3;t;P/3;D/3;1,500\n";
    let ended = taken(text.as_bytes(), "");
    assert!(
        !ended.output.contains("1,200") && !ended.output.contains("1.2"),
        "{}",
        ended.output
    );
    assert!(
        ended.output.contains("W-1: {type: t, from: P/1, to: D/1}"),
        "{}",
        ended.output
    );
    assert!(
        ended.output.contains("length: 950.5 mm"),
        "{}",
        ended.output
    );
    let told = "row 2, column length (mm): `1,200` may be 1.200 or 1200, so it is not taken.";
    assert!(
        ended.errors.contains(told) && ended.errors.contains("Likewise row 4."),
        "{}",
        ended.errors
    );
    for (mark, read) in [("comma", "length: 1.2 mm"), ("point", "length: 1200 mm")] {
        let ended = taken(text.as_bytes(), &format!("decimal: {mark}\n"));
        assert!(ended.output.contains(read), "{mark}: {}", ended.output);
    }
}

#[test]
fn a_mapping_that_does_not_fit_is_told_and_one_that_cannot_be_read_is_not_used() {
    let text = b"Nr;Typ;from;to\nW-1;t;P/1;D/1\n";
    let ended = taken(
        text,
        "columns: {Nr: name, Type: type, Typ: tpye}\nunits: {draw: W}\nignore: [Zimmer]\n",
    );
    for told in [
        "the mapping file names the column `Type`, which is not there. Headings here: Nr, Typ, from, to.",
        "the mapping file names the column `Zimmer`, which is not there.",
        "a unit or a word is given for `draw`, which no column holds.",
        "column Typ: is `tpye` by the mapping file, which is nothing that a cord has, and is not taken. Call it `type`",
        "column `type` is missing: a cord must have it. Name the column that says it, or those of which types are made: plug,",
    ] {
        assert!(ended.errors.contains(told), "{told}\nin {}", ended.errors);
    }
    let ended = taken(text, "column: {Nr: name}\n");
    assert_eq!((ended.code, ended.output.as_str()), (Some(2), ""));
    assert!(
        ended
            .errors
            .contains("line 1: `column` is no key of a mapping file"),
        "{}",
        ended.errors
    );
}

#[test]
fn a_unit_may_stand_in_the_cell_the_heading_or_the_call() {
    let world = World::with(&[(
        "a.csv",
        "name,height,width (mm),depth\nr1,47U,600,1.2 m\nr2,47U,80 cm,1200\n",
    )]);
    let words = [
        "take-in", "a.csv", "--of", "racks", "--unit", "depth=mm", "--unit", "width=cm",
    ];
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    assert_eq!(
        ended.output,
        "racks:\n  r1: {height: 47U, width: 600 mm, depth: 1.2 m}\n  r2: {height: 47U, width: 80 cm, depth: 1200 mm}\n"
    );
    assert!(
        ended
            .errors
            .contains("says its unit itself: mm is taken, not cm."),
        "{}",
        ended.errors
    );
    let ended = world.run(&["take-in", "a.csv", "--of", "racks", "--unit", "depth"]);
    assert_eq!(ended.code, Some(2));
    assert!(ended.errors.contains("--unit length=m"), "{}", ended.errors);
}

#[test]
fn cells_under_no_heading_are_not_lost_without_a_word() {
    let ended = taken(b"name;type;;to\nW-1;t;P/1;D/1\n\nW-2;t;P/2;D/2\n", "");
    let told = "rows 2 and 4, column C: what stands here is under no heading, and is not taken.";
    assert!(ended.errors.contains(told), "{}", ended.errors);
    assert!(
        ended
            .errors
            .contains("column `from` is missing: a cord must have it."),
        "{}",
        ended.errors
    );
    let ended = taken(b"Kabel;Typ\nW-1;t\n", "");
    assert!(
        ended.errors.contains(
            "column `name` is missing: no column holds the name of the cord, so no row is taken."
        ),
        "{}",
        ended.errors
    );
    assert!(
        ended.errors.contains("Headings here: Kabel, Typ."),
        "{}",
        ended.errors
    );
}

#[test]
fn strips_racks_models_and_types_are_taken_in_as_cords_are() {
    for (of, text, yaml) in [
        (
            "pdus",
            "PDU,model,rack,from,mount.side\np-1,m,r1,A-1,rear-left\n",
            "pdus:\n  p-1: {model: m, rack: r1, from: A-1, mount: {side: rear-left}}\n",
        ),
        (
            "device-models",
            "name,height,rating (W),inlets.psu1,power-factor\nsrv,2U,\"1,5 kW\",C14,\"0,95\"\n",
            "device-models:\n  srv: {height: 2U, rating: 1.5 kW, inlets: {psu1: C14}, power-factor: 0.95}\n",
        ),
        (
            "cord-types",
            "name,plug,connector,gauge (AWG),jacket,length,color\na,NEMA 5-15P,C13,18,SJT,6 ft,black\n",
            "cord-types:\n  a: {plug: NEMA 5-15P, connector: C13, conductor: 18 AWG, cordage: SJT, length: 6 ft, colour: black}\n",
        ),
    ] {
        let world = World::with(&[("a.csv", text)]);
        let ended = world.run(&["take-in", "a.csv", "--of", of]);
        assert_eq!(
            (ended.code, ended.output.as_str()),
            (Some(0), yaml),
            "{}",
            ended.errors
        );
    }
}

/// A hundred thousand rows are read, and told of in a line.
#[test]
fn many_rows_make_few_words() {
    let mut text = "name,model,rack\n".to_owned();
    for row in 0..100_000 {
        text += &format!("D-{row},,r1\n");
    }
    let mapping = cordwright::take_in::Mapping::default();
    let things = cordwright::take_in::Things::Devices;
    let taken =
        cordwright::take_in::take_in(things, &mapping, text.as_bytes(), crate::site::today());
    assert_eq!(taken.count, 100_000);
    let told: Vec<String> = taken.remarks.iter().map(|remark| remark.told()).collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].ends_with("Likewise rows 3, 4 and 99997 more."),
        "{told:?}"
    );
}

/// A cell that no definition could be read with is told and left out, the rest of its row is taken.
#[test]
fn a_cell_longer_than_any_value_is_left_out() {
    let sheet = format!("name,model,rack\nd1,{},r1\nd2,m,r1\n", "x".repeat(5_000));
    let world = World::with(&[("list.csv", &sheet)]);
    let ended = world.run(&["take-in", "list.csv", "--of", "devices"]);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    assert!(
        ended.errors.contains("holds 5000 bytes, and is not taken"),
        "{}",
        ended.errors
    );
    assert!(ended.output.contains("d1: {rack: r1}"), "{}", ended.output);
    assert!(
        ended.output.contains("d2: {model: m, rack: r1}"),
        "{}",
        ended.output
    );
}

/// `x` says the size and not for sure the cores; the size is taken.
#[test]
fn cores_by_x_are_asked_about_and_their_size_is_taken() {
    let text = "name;type;plug;connector;Leitung;length (m)\nW-1;;C14;C13;3x1,0;1\nW-2;;C14;C13;3G1,5;1\nW-3;;C14;C13;3 x 0,75 mm²;1\n";
    let ended = taken(
        text.as_bytes(),
        "columns: {Leitung: conductor}\nignore: [type]\n",
    );
    for part in [
        "conductor: 1.0 mm², length",
        "conductor: 1.5 mm², cores: 3",
        "conductor: 0.75 mm², length",
    ] {
        assert!(ended.output.contains(part), "{part}\nin {}", ended.output);
    }
    let told = "row 2, column Leitung: `3x1,0` says the size of the conductors, which is taken, but not for sure whether one of the cores is protective";
    assert!(ended.errors.contains(told), "{}", ended.errors);
    assert!(ended.errors.contains("Likewise row 4."), "{}", ended.errors);
    let ended = taken_of(
        "cord-types",
        "name;plug;connector;gauge;length (m)\na;C14;C13;3x1,0;1\n",
    );
    assert!(
        ended
            .output
            .contains("a: {plug: C14, connector: C13, conductor: 1.0 mm², length: 1 m}"),
        "{}",
        ended.output
    );
    assert!(
        ended.errors.contains("row 2, column gauge: `3x1,0` says"),
        "{}",
        ended.errors
    );
}

#[test]
fn watts_that_points_may_group_are_asked_about() {
    for cell in ["1.500 W", "1,500 W", "1.500", "1,500"] {
        let ended = taken_of("devices", &format!("name;model;draw (W)\nd1;m;{cell}\n"));
        assert_eq!(ended.output, "devices:\n  d1: {model: m}\n", "{cell}");
        let told =
            format!("row 2, column draw (W): `{cell}` may be 1.500 or 1500, so it is not taken.");
        assert!(ended.errors.contains(&told), "{}", ended.errors);
    }
}

/// A whole end and half of it in two columns: one of them only is taken, and that is told.
#[test]
fn an_end_that_two_columns_say_is_told() {
    let ended = taken_of("cords", "name;type;from;from.pdu;to\nW-1;t;P/1;Q;D/1\n");
    assert!(
        ended.output.contains("from: P/1, to: D/1"),
        "{}",
        ended.output
    );
    let told = "column from.pdu: holds the same as column `from`, and is not taken.";
    assert!(ended.errors.contains(told), "{}", ended.errors);
}

#[test]
fn rows_that_an_open_quotation_mark_swallows_are_told() {
    let ended = taken_of("devices", "name;model\nd1;m\nd2;\"19 m\nd3;m\n");
    let told = "row 3: a quotation mark at the front of a cell is not closed, so all that stands below is one cell with it.";
    assert!(ended.errors.contains(told), "{}", ended.errors);
    assert_eq!(ended.code, Some(1));
}

fn taken_of(of: &str, text: &str) -> crate::world::Ended {
    let world = World::with(&[("a.csv", text)]);
    let ended = world.run(&["take-in", "a.csv", "--of", of]);
    let errors = ended
        .errors
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    crate::world::Ended { errors, ..ended }
}
