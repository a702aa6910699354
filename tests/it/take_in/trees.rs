//! Strips out of a saved tree of resources: what the sample of the standard says, number by number.

use std::collections::BTreeMap;
use std::path::Path;

use cordwright::take_in::{Taken, Units, take_in_units};
use serde_json::{Value, json};

use crate::site::today;
use crate::world::World;

const STRIP: &str = "/redfish/v1/PowerEquipment/RackPDUs/1";

type Files = Vec<(String, Vec<u8>)>;

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/power-equipment")
}

/// The sample, by the identities of its resources.
fn sample() -> BTreeMap<String, Value> {
    let files = walkdir::WalkDir::new(folder()).into_iter();
    let files = files.map(|entry| entry.unwrap().into_path());
    let resources = files.filter(|path| path.extension().is_some_and(|ending| ending == "json"));
    let read = resources.map(|path| {
        let text = std::fs::read(path).unwrap();
        let value: Value = serde_json::from_slice(&text).unwrap();
        (value["@odata.id"].as_str().unwrap().to_owned(), value)
    });
    read.collect()
}

fn files(resources: &BTreeMap<String, Value>) -> Files {
    let files = resources.iter();
    files
        .map(|(id, value)| (format!("{id}.json"), value.to_string().into_bytes()))
        .collect()
}

fn taken(resources: &BTreeMap<String, Value>) -> (Taken, String) {
    taken_of(Units::Pdus, resources)
}

fn taken_of(units: Units, resources: &BTreeMap<String, Value>) -> (Taken, String) {
    let taken = take_in_units(units, &files(resources), &[], today());
    let told: Vec<String> = taken.remarks.iter().map(|remark| remark.told()).collect();
    (taken, told.join("\n"))
}

fn yaml(taken: &Taken) -> Value {
    serde_yaml::from_str(taken.yaml.as_str()).unwrap()
}

/// The lines that an outlet of the sample says it is between, by the name of its one voltage.
fn lines(outlet: &Value) -> Option<String> {
    let voltages = outlet["PolyPhaseVoltage"].as_object()?;
    assert_eq!(voltages.len(), 1);
    let (first, second) = voltages
        .keys()
        .next()?
        .strip_prefix("Line")?
        .split_once("To")?;
    let second = second.replace("Line", "L").replace("Neutral", "N");
    Some(format!("L{first}-{second}"))
}

#[test]
fn the_sample_becomes_a_strip_with_its_outlets_lines_and_ratings() {
    let sample = sample();
    let (taken, told) = taken(&sample);
    let yaml = yaml(&taken);
    assert_eq!(taken.count, 1, "{told}");
    let model = &yaml["pdu-models"]["ZAP4000"];
    let amperes = |resource: &Value| format!("{} A", resource["RatedCurrentAmps"]);
    assert_eq!(
        model["rating"],
        amperes(&sample[&format!("{STRIP}/Mains/AC1")])
    );
    assert_eq!(model["plug"], Value::Null);
    assert_eq!(yaml["pdus"]["RackPDU1"]["model"], "ZAP4000");
    let couplers = BTreeMap::from([
        ("NEMA_5_15R", "NEMA 5-15"),
        ("NEMA_5_20R", "NEMA 5-20"),
        ("NEMA_L6_20R", "NEMA L6-20"),
        ("IEC_60320_C13", "C13"),
    ]);
    let banks = model["banks"].as_object().unwrap();
    let outlets = sample
        .iter()
        .filter(|(id, _)| id.starts_with(&format!("{STRIP}/Outlets/")));
    let mut count = 0;
    for (id, outlet) in outlets {
        let name = outlet["Id"].as_str().unwrap();
        let own = |bank: &&Value| bank["outlets"].get(name).is_some();
        let of: Vec<&Value> = banks.values().filter(own).collect();
        let [bank] = of.as_slice() else {
            panic!("{name} is in {} banks", of.len());
        };
        let word = outlet["OutletType"].as_str().unwrap();
        let read = &bank["outlets"][name];
        assert_eq!(
            read,
            &json!({"coupler": couplers[word], "rating": amperes(outlet)}),
            "{id}"
        );
        assert_eq!(
            bank["between"].as_str().map(str::to_owned),
            lines(outlet),
            "{id}"
        );
        let branch = &sample[outlet["Links"]["BranchCircuit"]["@odata.id"]
            .as_str()
            .unwrap()];
        let rated = format!(
            "branch {}: one breaker of {}",
            branch["Id"].as_str().unwrap(),
            amperes(branch)
        );
        assert!(
            bank["note"].as_str().unwrap().starts_with(&rated),
            "{id}: {}",
            bank["note"]
        );
        count += 1;
    }
    let written: usize = banks
        .values()
        .map(|bank| bank["outlets"].as_object().unwrap().len())
        .sum();
    assert_eq!((count, written), (11, 11));
    for part in [
        "Mains/AC1: it does not say its PlugType: `plug` is left out.",
        "Outlets/A4: it does not say between which lines it is",
        "Branches/B: its breaker of 16 A serves outlets between L2-N and L2-L3,",
        "FloorPDUs/Row1: it is no strip and no transfer switch but `FloorPDU`, and is not taken.",
        "TransferSwitches/1: it is a transfer switch, and was not asked for. Take it with --of transfer-switches.",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
}

/// A branch whose outlets are all between the same lines has its breaker where the format has it.
#[test]
fn a_plain_strip_has_its_plug_and_its_breakers() {
    let mut sample = sample();
    sample.get_mut(&format!("{STRIP}/Mains/AC1")).unwrap()["PlugType"] = "IEC_60309_560P9".into();
    let outlets = sample.get_mut(&format!("{STRIP}/Outlets")).unwrap();
    let members = outlets["Members"].as_array_mut().unwrap();
    members.retain(|link| {
        ["A2", "A3", "B2", "B3", "C2", "C3"]
            .iter()
            .any(|id| link["@odata.id"].as_str().unwrap().ends_with(id))
    });
    outlets["Members@odata.count"] = 6.into();
    let (taken, told) = taken(&sample);
    let model = &yaml(&taken)["pdu-models"]["ZAP4000"];
    assert_eq!(model["plug"], "560P9");
    for (bank, between) in [("A", "L1-L2"), ("B", "L2-L3"), ("C", "L3-L1")] {
        let bank = &model["banks"][bank];
        assert_eq!(
            (&bank["between"], &bank["breaker"]),
            (&between.into(), &"16 A".into()),
            "{told}"
        );
        assert_eq!(bank["outlets"].as_object().unwrap().len(), 2);
    }
    assert!(
        taken
            .notes
            .iter()
            .any(|note| note.contains("from memory, verify")),
        "{:?}",
        taken.notes
    );
}

#[test]
fn a_strip_that_is_taken_in_is_read_like_any_other() {
    let world = World::with(&[("cordwright.yaml", "site: {name: Quay, practice: nec}\n")]);
    let folder = folder();
    let words = [
        "take-in",
        folder.to_str().unwrap(),
        "--of",
        "pdus",
        "--output",
        "strips.yaml",
    ];
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    assert!(
        ended.errors.contains("Took 1 strip, with"),
        "{}",
        ended.errors
    );
    let ended = world.run(&[
        "check",
        "--only",
        "unknown-key",
        "--only",
        "bad-quantity",
        "--only",
        "unknown-name",
        "--fail-at",
        "note",
    ]);
    assert_eq!(ended.code, Some(0), "{}", ended.output);
    for (file, of, part) in [
        (folder.to_str().unwrap(), "cords", "is a folder"),
        (
            "cordwright.yaml",
            "transfer-switches",
            "read from a folder of saved resources",
        ),
    ] {
        let ended = world.run(&["take-in", file, "--of", of]);
        assert_eq!(ended.code, Some(2));
        let errors = ended
            .errors
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(errors.contains(part), "{errors}");
    }
    let ended = world.run(&[
        "take-in",
        folder.to_str().unwrap(),
        "--of",
        "pdus",
        "--unit",
        "rating=A",
    ]);
    assert_eq!(ended.code, Some(2), "{}", ended.errors);
}

#[test]
fn what_no_table_knows_is_told_and_never_guessed() {
    let mut sample = sample();
    sample.get_mut(&format!("{STRIP}/Mains/AC1")).unwrap()["PlugType"] =
        "Field_400V_3P5W_32A".into();
    sample.get_mut(&format!("{STRIP}/Outlets/A1")).unwrap()["OutletType"] = "IEC_60320_C21".into();
    sample.get_mut(&format!("{STRIP}/Outlets/A2")).unwrap()["RatedCurrentAmps"] = "12".into();
    sample.get_mut(&format!("{STRIP}/Outlets/A3")).unwrap()["VoltageType"] = "DC".into();
    sample.get_mut(&format!("{STRIP}/Branches/B")).unwrap()["BreakerState"] = Value::Null;
    let (taken, told) = taken(&sample);
    let yaml = yaml(&taken);
    let banks = &yaml["pdu-models"]["ZAP4000"]["banks"];
    assert_eq!(banks["A-L1-N"]["outlets"]["A1"], json!({"rating": "20 A"}));
    assert_eq!(
        banks["A-L1-L2"]["outlets"],
        json!({"A2": {"coupler": "C13"}})
    );
    assert_eq!(yaml["pdu-models"]["ZAP4000"]["plug"], Value::Null);
    for part in [
        "its plug is `Field_400V_3P5W_32A`, which means no coupler for sure",
        "its outlet is `IEC_60320_C21`, which means no coupler for sure",
        "Outlets/A2: its RatedCurrentAmps is no current: the rating is left out.",
        "Outlets/A3: it is an outlet for direct current, and is not taken.",
        "Branches/B: it does not say that it has a breaker: `breaker` is left out.",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
}

#[test]
fn links_that_go_round_or_nowhere_are_told() {
    let mut sample = sample();
    let link = |id: &str| json!({"@odata.id": format!("{STRIP}{id}")});
    // A list of outlets with itself, its strip, a strip's mains and nothing at all in it.
    let members = json!([
        link("/Outlets"),
        link(""),
        link("/Mains"),
        link("/Outlets/Z9"),
        link("/Outlets/A1"),
        link("/Outlets/A1"),
        7,
        null
    ]);
    sample.get_mut(&format!("{STRIP}/Outlets")).unwrap()["Members"] = members;
    sample.get_mut(STRIP).unwrap()["Branches"] = link("");
    sample.remove(&format!("{STRIP}/Mains"));
    let (taken, told) = taken(&sample);
    assert_eq!(taken.count, 1);
    for part in [
        "its Mains are said to be in `/redfish/v1/PowerEquipment/RackPDUs/1/Mains`, which is not among the files",
        "its mains are not described: plug and rating are left out.",
        "`/redfish/v1/PowerEquipment/RackPDUs/1/Outlets/Z9` of its Outlets is not among the files",
        "does not list all of its Outlets",
        "Outlets/A1: no branch is known for it",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
}

/// Whatever stands in any place of any resource, what comes out is YAML, and nothing breaks down.
#[test]
fn values_of_the_wrong_kind_break_nothing_down() {
    let sample = sample();
    let wild = [
        Value::Null,
        json!(-1e308),
        json!([]),
        json!([[{}]]),
        json!({"@odata.id": 5}),
        json!("\u{1b}[2J: {\n"),
        json!({"@odata.id": STRIP}),
    ];
    for (id, resource) in &sample {
        for key in resource.as_object().unwrap().keys() {
            for value in &wild {
                let mut own = sample.clone();
                own.get_mut(id).unwrap()[key] = value.clone();
                let (taken, told) = taken(&own);
                let read: Result<Value, _> = serde_yaml::from_str(taken.yaml.as_str());
                assert!(read.is_ok(), "{id} {key} {value}: {}", taken.yaml);
                assert!(!told.is_empty());
            }
        }
    }
}

#[test]
fn files_that_are_no_resources_are_told_and_links_of_the_folder_are_not_followed() {
    let deep = "[".repeat(100_000);
    let large = format!("\"{}\"", "x".repeat(2 << 20));
    let world = World::with(&[
        ("t/deep.json", &deep),
        ("t/large.json", &large),
        ("t/none.json", "{}"),
        ("t/list.json", "[1]"),
        ("t/bad.json", "{\"@odata.id\": "),
        ("t/a.json", "{\"@odata.id\": \"/x\"}"),
        ("t/b.json", "{\"@odata.id\": \"/x/\"}"),
        ("t/notes.txt", "no resource"),
    ]);
    #[cfg(unix)]
    std::os::unix::fs::symlink(folder(), world.at("t/linked")).unwrap();
    let ended = world.run(&["take-in", "t", "--of", "pdus"]);
    assert_eq!((ended.code, ended.output.as_str()), (Some(1), ""));
    let errors = ended
        .errors
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    for part in [
        "deep.json: it is no JSON that can be read: recursion limit exceeded",
        "large.json: it is not read: it has 2097154 bytes",
        "none.json: it has no \"@odata.id\"",
        "list.json: it has no \"@odata.id\"",
        "bad.json: it is no JSON that can be read",
        "b.json: `/x` stands in another file already, which is taken",
        "no resource of a strip is among the files.",
    ] {
        assert!(errors.contains(part), "{part}\nin {errors}");
    }
}

/// The transfer switch of the sample: its inputs, its outlets and what it prefers are the sample's.
#[test]
fn the_transfer_switch_of_the_sample_is_taken_number_by_number() {
    const SWITCH: &str = "/redfish/v1/PowerEquipment/TransferSwitches/1";
    let mut sample = sample();
    for main in ["AC1", "AC2"] {
        sample.get_mut(&format!("{SWITCH}/Mains/{main}")).unwrap()["PlugType"] =
            "IEC_60320_C20".into();
    }
    let (read, told) = taken_of(Units::TransferSwitches, &sample);
    assert_eq!(read.count, 1, "{told}");
    for part in [
        "RackPDUs/1: it is a strip, and was not asked for. Take it with --of pdus.",
        "TransferSwitches/1/Branches/A: its breaker of 16 A is not taken",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
    let yaml = yaml(&read);
    assert!(yaml["pdus"].is_null());
    let name = sample[SWITCH]["Name"].as_str().unwrap();
    let model = yaml["devices"][name]["model"].as_str().unwrap();
    assert_eq!(model, sample[SWITCH]["Model"].as_str().unwrap());
    let model = &yaml["device-models"][model];
    let preferred = &sample[SWITCH]["TransferConfiguration"]["PreferredMainsId"];
    assert_eq!(&model["transfer"]["preferred"], preferred);
    assert_eq!(model["transfer"]["kind"], "automatic");
    let amperes = |of: &Value| format!("{} A", of["RatedCurrentAmps"]);
    for main in ["AC1", "AC2"] {
        let own = &sample[&format!("{SWITCH}/Mains/{main}")];
        let inlet = &model["inlets"][main];
        assert_eq!(inlet["rating"].as_str().unwrap(), amperes(own));
        assert_eq!(inlet["coupler"], "C20");
    }
    let outlets = model["outlets"].as_object().unwrap();
    assert_eq!(outlets.len(), 6);
    for (outlet, written) in outlets {
        let own = &sample[&format!("{SWITCH}/Outlets/{outlet}")];
        assert_eq!(written["rating"].as_str().unwrap(), amperes(own));
        let coupler = own["OutletType"]
            .as_str()
            .unwrap()
            .strip_prefix("IEC_60320_");
        assert_eq!(written["coupler"].as_str(), coupler);
    }
    // One that is set to stay where it is saves nobody.
    sample.get_mut(SWITCH).unwrap()["TransferConfiguration"]["AutoTransferEnabled"] = false.into();
    sample.get_mut(SWITCH).unwrap()["TransferConfiguration"]["PreferredMainsId"] = "AC9".into();
    let (read, told) = taken_of(Units::TransferSwitches, &sample);
    let yaml = self::yaml(&read);
    let models = yaml["device-models"].as_object().unwrap();
    let transfer = &models.values().next().unwrap()["transfer"];
    assert_eq!(*transfer, json!({"kind": "manual"}));
    assert!(told.contains("it is set to stay where it is"), "{told}");
    assert!(
        told.contains("it prefers mains that are not among its own"),
        "{told}"
    );
}
