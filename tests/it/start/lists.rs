//! A site that begins with lists: what they hold is there, what they do not is to be filled in.

use std::fmt::Write as _;
use std::fs;
use std::time::{Duration, Instant};

use crate::take_in::workbooks::{rows, text, workbook};
use crate::world::{Ended, World};

/// What a command said, in one line.
fn words(ended: &Ended) -> String {
    let all = format!("{} {}", ended.output, ended.errors);
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn start(world: &World, more: &[&str]) -> Ended {
    let own = ["start", "new", "--practice", "iec"];
    world.run(&[&own[..], more].concat())
}

/// What `start` makes of a list of devices that has nothing to put right.
#[track_caller]
fn began(list: &str) -> (World, Ended) {
    let world = World::with(&[("list.csv", list)]);
    let ended = start(&world, &["--from", "list.csv"]);
    assert_eq!(ended.code, Some(0), "{}", words(&ended));
    (world, ended)
}

/// Nothing is written, and that is told in these words.
#[track_caller]
fn refused(world: &World, more: &[&str], parts: &[&str]) {
    let ended = start(world, more);
    let told = words(&ended);
    assert_eq!(ended.code, Some(2), "{told}");
    assert!(!world.at("new").exists(), "{told}");
    for part in parts {
        assert!(told.contains(part), "{part}\nin {told}");
    }
}

/// Thirty devices in three racks as people keep them: a title, blank rows, words of their own, an old encoding.
fn messy() -> Vec<u8> {
    let mut list = "Geräteliste Raum 2.04;;;;;;;;;\r\n\r\nGerät;Typ;Schrank;HE;Höhe;Netzteile;Nennleistung;Last (W);Serien-Nr.;Bemerkung\r\n".to_owned();
    for number in 1..=30 {
        let (model, inlets, rating) = match number % 3 {
            0 => ("DB 9", "C14, C14", "0,75 kW"),
            1 => ("PX-200", "2x C14", "500 W"),
            _ => ("SW-48", "C14", "120 W"),
        };
        let first = number % 10 == 1;
        let rack = if first {
            format!("R{}", (number + 9) / 10)
        } else {
            String::new()
        };
        let note = if number == 7 { "Tür klemmt" } else { "" };
        let unit = (number - 1) % 10 * 2 + 3;
        let blank = if first { ";;;;;;;;;\r\n" } else { "" };
        let _ = write!(
            list,
            "{blank}srv-{number:02};{model};{rack};{unit};1;{inlets};{rating};{};SN-{number};{note}\r\n",
            60 + number
        );
    }
    // The letters of Windows-1252 that are used here are those of Latin-1.
    list.chars().map(|c| u8::try_from(c).unwrap()).collect()
}

const MAP: &str = "\
columns: {Gerät: name, Typ: model, Schrank: rack, HE: at, Höhe: height, Netzteile: inlets,
  Nennleistung: rating, Last: draw, Bemerkung: note}
units: {height: U}
fill-down: [Schrank]
ignore: [Serien-Nr.]
encoding: windows-1252
";

const STRIPS: &str = "\
PDU,Model,Rack,Side,Circuit
p1a,strip,R1,rear-left,A-1
p1b,strip,R1,rear-right,B-1
p2a,strip,R2,rear-left,A-2
p2b,strip,R2,rear-right,B-2
";

fn messy_world() -> World {
    let world = World::with(&[("map.yaml", MAP), ("strips.csv", STRIPS)]);
    fs::write(world.at("devices.csv"), messy()).unwrap();
    world
}

#[test]
fn a_messy_list_becomes_a_site_that_cords_can_be_specified_for() {
    let world = messy_world();
    let ended = start(
        &world,
        &[
            "--country",
            "Germany",
            "--from",
            "devices.csv",
            "--from",
            "pdus=strips.csv",
            "--map",
            "map.yaml",
        ],
    );
    let told = words(&ended);
    assert_eq!(ended.code, Some(0), "{told}");
    assert!(
        told.contains("Wrote a site of 30 devices, 4 PDUs to new:"),
        "{told}"
    );
    let places: Vec<_> = ["check new", "survey new", "specify new"]
        .map(|step| told.find(&format!("cordwright {step}")).unwrap())
        .to_vec();
    assert!(places.is_sorted(), "{told}");
    let site = fs::read_to_string(world.at("new/cordwright.yaml")).unwrap();
    assert!(
        site.contains("\n  country: DE\n") && site.contains("\n  # ambient:"),
        "{site}"
    );
    let devices = fs::read_to_string(world.at("new/devices.yaml")).unwrap();
    for line in [
        "  DB 9: {height: 1 U, inlets: {psu1: C14, psu2: C14}, rating: 0.75 kW}",
        "  srv-07: {model: PX-200, rack: R1, at: 15 U, draw: 67 W, note: Tür klemmt}",
    ] {
        assert!(devices.contains(line), "{line}\nin {devices}");
    }
    // What is only named is there, and is asked for; nothing is a name that nobody knows.
    let lines = world.run(&["check", "new", "--format", "lines"]);
    assert_eq!(lines.code, Some(1));
    assert!(!lines.output.contains("unknown-name"), "{}", lines.output);
    for told in [
        "device srv-07 has no cord on record",
        "PDU model strip has no `banks`",
        "circuit A-1 has no `breaker`",
    ] {
        assert!(lines.output.contains(told), "{told}\nin {}", lines.output);
    }
    world.run(&["survey", "new"]).expect(0);
    fill_in(&world);
    let planned = world.run(&["specify", "new", "--write"]).expect(1);
    assert!(planned.contains("srv-07/psu2"), "{planned}");
    let order = world.run(&["schedule", "order", "new"]).expect(0);
    assert!(order.contains("C13"), "{order}");
}

/// What the lists do not say, in the place of what is to be filled in.
fn fill_in(world: &World) {
    let site = world.at("new/cordwright.yaml");
    let text = fs::read_to_string(&site).unwrap();
    let text = text.replace("  # ambient: ", "  ambient: 25 °C #");
    let (head, circuits) = text.split_once("circuits:\n").unwrap();
    let circuits: String = circuits
        .lines()
        .map(|line| {
            let supply = if line.contains('A') { "ups-a" } else { "ups-b" };
            let filled = format!("{{from: {supply}, poles: [L1, N], breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA}}, wiring: {{conductor: 2.5 mm², length: 10 m, insulation: pvc-70}}, receptacle: IEC 60309 16 A 1P+N+E 6h}}");
            line.replace("{}", &filled) + "\n"
        })
        .collect();
    let supplies = ["a", "b"].map(|side| format!("  ups-{side}: {{feed: {}, system: 1/N/PE ~ 230 V 50 Hz, capacity: 20 kVA, fault-current: 3 kA, earthing: TN-S}}\n", side.to_uppercase()));
    fs::write(
        &site,
        format!(
            "{head}circuits:\n{circuits}supplies:\n{}",
            supplies.concat()
        ),
    )
    .unwrap();
    world.put(
        "new/racks-to-fill-in.yaml",
        "racks:\n  R1: {height: 42 U, width: 600 mm, depth: 1000 mm}\n  R2: {height: 42 U, width: 600 mm, depth: 1000 mm}\n  R3: {}\n",
    );
    world.put(
        "new/types-to-fill-in.yaml",
        "pdu-models:\n  strip:\n    plug: IEC 60309 16 A 1P+N+E 6h\n    rating: 16 A\n    cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 3 m}\n    outlet-pitch: 28 mm\n    first-outlet: 60 mm\n    banks:\n      B1: {between: L1-N, breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}, outlets: {1-16: C13}}\n",
    );
    let strips = world.at("new/pdus.yaml");
    let text = fs::read_to_string(&strips).unwrap();
    let text = text
        .replace("rear-left", "rear-left, foot: U2, head: U30")
        .replace("rear-right", "rear-right, foot: U2, head: U30");
    fs::write(strips, text).unwrap();
}

#[test]
fn what_is_only_named_is_there_and_empty() {
    let (world, _) = began("name,model,rack\nweb-1,'m: {',12\nweb-2,NO,R 2\n");
    let read = |path: &str| -> serde_json::Value {
        serde_yaml::from_str(&fs::read_to_string(world.at(path)).unwrap()).unwrap()
    };
    let empty = serde_json::json!({});
    let models = &read("new/types-to-fill-in.yaml")["device-models"];
    assert_eq!(models, &serde_json::json!({"'m: {'": empty, "NO": empty}));
    let racks = &read("new/racks-to-fill-in.yaml")["racks"];
    assert_eq!(racks, &serde_json::json!({"12": empty, "R 2": empty}));
    let site = read("new/cordwright.yaml");
    // Nothing is said that the list does not say.
    assert_eq!(
        site,
        serde_json::json!({"site": {"name": "Our site", "practice": "iec"}})
    );
}

#[test]
fn feeds_zones_and_supplies_that_lists_name_are_there() {
    let world = World::with(&[
        (
            "d.csv",
            "name,model,zone,inlets.psu1,inlets.psu1.feed\npump,m,hall,C14,A\n",
        ),
        ("c.csv", "name,from\nA-1,ups-a\n"),
        ("p.csv", "name,model,from\np1,s,A-1\np2,s,p1/7\n"),
    ]);
    let more = [
        "--from",
        "d.csv",
        "--from",
        "circuits=c.csv",
        "--from",
        "pdus=p.csv",
    ];
    let ended = start(&world, &more);
    let lines = world.run(&["check", "new", "--format", "lines"]).output;
    let unknown: Vec<&str> = lines
        .lines()
        .filter(|line| line.contains("[unknown-name]"))
        .collect();
    // An outlet of a strip is nothing that only its name tells of.
    let [outlet] = unknown.as_slice() else {
        panic!("{unknown:?}\n{}", words(&ended));
    };
    assert!(outlet.contains("p2 names the outlet `p1/7`"), "{outlet}");
    let site = fs::read_to_string(world.at("new/cordwright.yaml")).unwrap();
    for part in [
        "    A: {}\n",
        "zones:\n  hall: {}\n",
        "supplies:\n  ups-a: {}\n",
    ] {
        assert!(site.contains(part), "{part}\nin {site}");
    }
    assert!(!site.contains("circuits:\n"), "{site}");
}

#[test]
fn what_rows_say_of_a_model_is_said_once_and_told_where_they_differ() {
    let world = World::with(&[(
        "d.csv",
        "name,model,height (U),inlets,nameplate (W)\na,m,1,2x C14,400\nb,m,2,C14,\nc,m,1,\"C14, C14\",400\nd,,1,C14,\n",
    )]);
    let ended = start(&world, &["--from", "d.csv"]);
    let told = words(&ended);
    assert_eq!(ended.code, Some(1), "{told}");
    for part in [
        "row 3, column height (U): is `2 U` for model m here and `1 U` further up, so only that is taken.",
        "row 3, column inlets: is `C14` for model m here and `C14, C14` further up, so only that is taken.",
        "row 5, column inlets: says something of a model, and no model is named in its row, so it is not taken.",
        "row 5: device d has no `model`",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
    assert!(!told.contains("row 4"), "{told}");
    let devices = fs::read_to_string(world.at("new/devices.yaml")).unwrap();
    assert!(
        devices.contains("  m: {height: 1 U, inlets: {psu1: C14, psu2: C14}, rating: 400 W}\n"),
        "{devices}"
    );
}

#[test]
fn words_that_may_mean_one_key_or_another_are_asked_about() {
    let world = World::with(&[
        ("d.csv", "id,name,model,U,Watts\n17,a,m,4,300\n"),
        ("p.csv", "name,model,feed,outlets\np1,s,A,24x C13\n"),
    ]);
    let ended = start(&world, &["--from", "d.csv", "--from", "pdus=p.csv"]);
    let told = words(&ended);
    assert_eq!(ended.code, Some(1), "{told}");
    for part in [
        "column id: is nothing that a device has, and is not taken.",
        "column U: is nothing that a device has, and is not taken. Call it `at` if it is the lowest rack unit",
        "column Watts: is nothing that a device has, and is not taken. Call it `draw` if it is measured or planned, `rating` if",
        "column feed: is nothing that a PDU has, and is not taken. A strip is on the feed of the supply",
        "column outlets: is nothing that a PDU has, and is not taken. Outlets lie in the banks",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
    let devices = fs::read_to_string(world.at("new/devices.yaml")).unwrap();
    assert_eq!(devices, "devices:\n  a: {model: m}\n");
}

#[test]
fn lists_that_cannot_be_taken_write_nothing() {
    let list = |text: &str| World::with(&[("list.csv", text)]);
    let from = ["--from", "list.csv"];
    refused(&World::with(&[]), &from, &["cannot read list.csv"]);
    refused(
        &list(""),
        &from,
        &[
            "nothing can be taken from list.csv",
            "No headings are here at all.",
        ],
    );
    refused(
        &list("name,model\n"),
        &from,
        &["nothing can be taken from list.csv"],
    );
    refused(
        &list("Gerät,Typ\nweb-1,m\n"),
        &from,
        &[
            "column `name` is missing",
            "Call one of the columns `name`",
            "Headings here: Gerät, Typ.",
        ],
    );
    let picture = World::with(&[]);
    fs::write(picture.at("list.csv"), b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR").unwrap();
    refused(
        &picture,
        &from,
        &[
            "the file is not text",
            "Save it as .xlsx, or as CSV in UTF-8.",
        ],
    );
    fs::write(picture.at("list.csv"), b"PK\x03\x04 no workbook").unwrap();
    refused(
        &picture,
        &from,
        &["the file is no workbook that can be read"],
    );
    let folder = World::with(&[("list.csv/a.csv", "")]);
    refused(&folder, &from, &["list.csv is a folder"]);
    // One list that is sound does not make half a site.
    let both = World::with(&[
        ("list.csv", "name,model\nd1,m\n"),
        ("strips.csv", "PDU nr,x\n1,2\n"),
    ]);
    let more = ["--from", "list.csv", "--from", "pdus=strips.csv"];
    refused(
        &both,
        &more,
        &[
            "nothing can be taken from strips.csv",
            "Nothing was written.",
        ],
    );
}

#[test]
fn words_that_name_no_list_are_told() {
    let world = World::with(&[("a.csv", "name,model\nd1,m\n")]);
    for (more, part) in [
        (
            &["--from", "cords=a.csv"][..],
            "no site begins with a list of cords",
        ),
        (
            &["--from", "a.csv", "--from", "devices=a.csv"],
            "--from is given twice for devices",
        ),
        (
            &["--from", "a.csv", "--map", "pdus=m.yaml"],
            "no list of pdus is named by --from",
        ),
        (
            &["--from", "a.csv", "--map", "m.yaml"],
            "cannot read m.yaml",
        ),
        (
            &["--from", "a.csv", "--country", "Atlantis"],
            "no country \"Atlantis\" is known",
        ),
        (
            &["--from", "a.csv", "--sheet", "Two"],
            "there is no sheet `Two`",
        ),
        (
            &["--country", "GB"],
            "--map, --sheet and --country go with --from",
        ),
    ] {
        if part.starts_with("there is no sheet") {
            let told = words(&start(&world, more));
            assert!(told.contains(part), "{told}");
            fs::remove_dir_all(world.at("new")).unwrap();
        } else {
            refused(&world, more, &[part]);
        }
    }
}

#[test]
fn nothing_that_is_there_is_written_over_by_a_list() {
    let world = World::with(&[
        ("a.csv", "name,model\nd1,m\n"),
        ("new/devices.yaml", "mine"),
    ]);
    let ended = start(&world, &["--from", "a.csv"]);
    assert_eq!(ended.code, Some(2));
    assert!(
        words(&ended).contains("is there already"),
        "{}",
        words(&ended)
    );
    assert_eq!(fs::read_dir(world.at("new")).unwrap().count(), 1);
    assert_eq!(
        fs::read_to_string(world.at("new/devices.yaml")).unwrap(),
        "mine"
    );
}

#[test]
fn rows_that_are_in_doubt_are_told_and_the_others_taken() {
    let world = World::with(&[(
        "list.csv",
        "name;model;draw (W);rack\n\nd1;m;1,500;R-1\nd1;m;20;R-1\n;;;\nd2;m;1.500 W;r1\nd3;m;95,5;R-1\n",
    )]);
    let ended = start(&world, &["--from", "list.csv"]);
    let told = words(&ended);
    assert_eq!(ended.code, Some(1), "{told}");
    for part in [
        "row 3, column draw (W): `1,500` may be 1.500 or 1500, so it is not taken.",
        "Likewise row 6.",
        "row 4: `d1` stands in row 3 already, and is not taken again.",
        "Under racks, R-1 and r1 are taken for different things.",
        "3 things in the lists to put right.",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
    let devices = fs::read_to_string(world.at("new/devices.yaml")).unwrap();
    assert_eq!(
        devices,
        "devices:\n  d1: {model: m, rack: R-1}\n  d2: {model: m, rack: r1}\n  d3: {model: m, draw: 95.5 W, rack: R-1}\n"
    );
}

#[test]
fn headings_in_two_rows_and_sheets_are_found_by_what_is_said_of_them() {
    let line = |row: usize, cells: &[&str]| -> Vec<String> {
        let cells = cells.iter().zip('A'..).filter(|(cell, _)| !cell.is_empty());
        cells
            .map(|(cell, column)| text(&format!("{column}{row}"), cell))
            .collect()
    };
    let devices = rows(&[
        &line(1, &["Device", "", "Where", ""]),
        &line(2, &["", "Model", "rack", "unit"]),
        &line(3, &["d1", "m", "R1", "4"]),
        &line(4, &["d2", "m", "", "6"]),
    ]) + "<mergeCells count=\"2\"><mergeCell ref=\"C1:D1\"/><mergeCell ref=\"C3:C4\"/></mergeCells>";
    let strips = rows(&[
        &line(1, &["PDU", "model", "rack"]),
        &line(2, &["p1", "s", "R1"]),
    ]);
    let world = World::with(&[(
        "map.yaml",
        "headings: [1, 2]\ncolumns: {Where rack: rack, Where unit: at}\nfill-down: [Where rack]\n",
    )]);
    let book = workbook(&[("Devices", &devices), ("Strips", &strips)]);
    fs::write(world.at("room.xlsx"), book).unwrap();
    let more = [
        "--from",
        "room.xlsx",
        "--map",
        "map.yaml",
        "--from",
        "pdus=room.xlsx",
        "--sheet",
        "pdus=Strips",
    ];
    let ended = start(&world, &more);
    let devices = fs::read_to_string(world.at("new/devices.yaml")).unwrap();
    assert_eq!(
        devices,
        "devices:\n  d1: {model: m, rack: R1, at: 4 U}\n  d2: {model: m, rack: R1, at: 6 U}\n",
        "{}",
        words(&ended)
    );
    let strips = fs::read_to_string(world.at("new/pdus.yaml")).unwrap();
    assert_eq!(strips, "pdus:\n  p1: {model: s, rack: R1}\n");
    let told = words(&ended);
    assert!(!told.contains("columns C to D share"), "{told}");
}

/// Merged cells that nothing fills down are told: the rack of the second row is not known.
#[test]
fn merged_cells_are_told() {
    let cell = |at: &str, word: &str| text(at, word);
    let inside = rows(&[
        &[cell("A1", "name"), cell("B1", "model"), cell("C1", "rack")],
        &[cell("A2", "d1"), cell("B2", "m"), cell("C2", "R1")],
        &[cell("A3", "d2"), cell("B3", "m")],
    ]) + "<mergeCells count=\"1\"><mergeCell ref=\"C2:C3\"/></mergeCells>";
    let world = World::with(&[]);
    fs::write(world.at("room.xlsx"), workbook(&[("Devices", &inside)])).unwrap();
    let ended = start(&world, &["--from", "room.xlsx"]);
    let told = words(&ended);
    assert_eq!(ended.code, Some(1), "{told}");
    assert!(
        told.contains("row 2, column C: rows 2 to 3 share one cell here, so what stands in it is taken for row 2 alone."),
        "{told}"
    );
}

#[test]
fn a_hundred_thousand_rows_make_a_site_in_seconds() {
    let mut list = "name,model,rack,at,inlets,nameplate (W)\n".to_owned();
    for row in 0..100_000 {
        let _ = writeln!(
            list,
            "d-{row},m-{},r-{},{},2x C14,400",
            row % 500,
            row / 40,
            row % 40 + 1
        );
    }
    let world = World::with(&[("list.csv", &list)]);
    let begun = Instant::now();
    let ended = start(&world, &["--from", "list.csv"]);
    let taken = begun.elapsed();
    assert_eq!(ended.code, Some(0), "{}", words(&ended));
    assert!(
        words(&ended).contains("a site of 100000 devices"),
        "{}",
        words(&ended)
    );
    // Tests are built without optimisation, and share the machine.
    assert!(taken < Duration::from_secs(30), "{taken:?}");
}

/// Texts of strangers are names, in whatever file they come to stand.
#[test]
fn cells_of_a_stranger_are_names_in_every_file() {
    let (world, _) = began("name,model,rack\n\"d: }\",\"m\u{1b}[2J\",\"r\n# x: {\"\n");
    for path in ["devices", "racks-to-fill-in", "types-to-fill-in"] {
        let text = fs::read_to_string(world.at(&format!("new/{path}.yaml"))).unwrap();
        assert!(!text.contains('\u{1b}'), "{text}");
        let read: serde_json::Value = serde_yaml::from_str(&text).unwrap();
        let names = read.as_object().unwrap().values();
        let names: Vec<&String> = names
            .flat_map(|names| names.as_object().unwrap().keys())
            .collect();
        assert_eq!(names.len(), 1, "{text}");
    }
}

#[test]
fn a_model_that_two_lists_describe_is_told() {
    let world = World::with(&[
        ("d.csv", "name,model,height (U)\na,m,1\n"),
        ("m.csv", "name,inlets.psu1\nm,C14\n"),
    ]);
    let more = ["--from", "d.csv", "--from", "device-models=m.csv"];
    let ended = start(&world, &more);
    let told = words(&ended);
    assert_eq!(ended.code, Some(1), "{told}");
    let part =
        "Two lists say what is under device-models: 1 in all, m among them, now stand there twice.";
    assert!(told.contains(part), "{told}");
}
