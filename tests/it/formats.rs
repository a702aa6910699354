//! The example site in every format for programs: valid by its schema, and the same in all of them.

use std::collections::BTreeMap;
use std::path::Path;

use cordwright::report;
use serde_json::Value;

use crate::world::{World, ended, example_site};

const OASIS: &str = include_str!("../schemas/sarif-2.1.0.json");

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn told(format: &str) -> String {
    ended(&mut example_site(format)).output
}

/// A report of ours, as JSON, keeps to the schema that the program prints.
#[track_caller]
pub fn keeps_to_the_schema(report: &Value) {
    assert_valid(report, report::schema());
}

#[track_caller]
fn assert_valid(document: &Value, schema: &str) {
    let schema = serde_json::from_str(schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let errors = validator.iter_errors(document);
    let errors: Vec<String> = errors
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

fn list<'a>(value: &'a Value, pointer: &str) -> &'a [Value] {
    value
        .pointer(pointer)
        .and_then(Value::as_array)
        .map_or(&[], Vec::as_slice)
}

/// Line and column of a byte of the file, both from 1, counted in UTF-16 units from its text alone.
fn position(text: &str, byte: u64) -> (u64, u64) {
    let before = &text[..usize::try_from(byte).unwrap()];
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = before.matches('\n').count() + 1;
    (
        line as u64,
        before[start..].encode_utf16().count() as u64 + 1,
    )
}

fn assert_region(location: &Value) {
    let place = &location["physicalLocation"];
    let uri = place["artifactLocation"]["uri"].as_str().unwrap();
    let text = std::fs::read_to_string(root().join(uri)).unwrap();
    let number = |key: &str| place["region"][key].as_u64().unwrap();
    let (lo, length) = (number("byteOffset"), number("byteLength"));
    assert_eq!(
        (number("startLine"), number("startColumn")),
        position(&text, lo),
        "{uri}"
    );
    assert_eq!(
        (number("endLine"), number("endColumn")),
        position(&text, lo + length),
        "{uri}"
    );
}

#[test]
fn sarif_of_the_example_site_holds_what_the_standard_asks() {
    let log: Value = serde_json::from_str(&told("sarif")).unwrap();
    assert_valid(&log, OASIS);
    let run = &log["runs"][0];
    assert_eq!(run["columnKind"], "utf16CodeUnits");
    assert_eq!(run["invocations"][0]["executionSuccessful"], true);
    let rules = list(run, "/tool/driver/rules");
    for rule in rules {
        let help = rule["help"]["text"].as_str().unwrap_or_default();
        assert!(
            help.contains("cordwright cite"),
            "{} has no help",
            rule["id"]
        );
    }
    let results = list(run, "/results");
    assert!(results.len() >= 16, "only {} results", results.len());
    for result in results {
        assert_result(result, rules);
    }
    let open = results.iter().filter(|result| result["kind"] == "open");
    assert!(open.count() > 0, "the example site has open points");
}

fn assert_result(result: &Value, rules: &[Value]) {
    let index = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
    assert_eq!(rules[index]["id"], result["ruleId"]);
    let level = result["level"].as_str().unwrap();
    assert_eq!(result["kind"] == "open", level == "none", "{result}");
    assert!(result["partialFingerprints"]["cordwright/v1"].is_string());
    for suppression in list(result, "/suppressions") {
        let why = suppression["justification"].as_str().unwrap_or_default();
        assert!(why.contains("agreed by"), "{suppression}");
    }
    let message = result["message"]["text"].as_str().unwrap();
    let related = list(result, "/relatedLocations");
    for location in related.iter().chain(list(result, "/locations")) {
        assert_eq!(
            location["physicalLocation"]["artifactLocation"]["uriBaseId"],
            "WORKING-FOLDER"
        );
        assert_region(location);
    }
    for place in related.iter().filter(|place| place["message"].is_object()) {
        assert!(
            message.contains(&format!("]({})", place["id"])),
            "{message}"
        );
    }
    // The way of the current is a part of the places, or there is none.
    let steps = list(result, "/codeFlows/0/threadFlows/0/locations");
    assert!(
        steps.len() != 1 && steps.len() <= related.len() + 1,
        "{result}"
    );
    let places: Vec<&Value> = related.iter().chain(list(result, "/locations")).collect();
    for step in steps {
        let at = &step["location"]["physicalLocation"];
        let is_shown = places.iter().any(|place| place["physicalLocation"] == *at);
        assert!(is_shown, "{step} is not among the places");
    }
}

#[test]
fn json_of_the_example_site_keeps_to_its_schema() {
    let report: Value = serde_json::from_str(&told("json")).unwrap();
    assert_valid(&report, report::schema());
    let shown = World::with(&[]).run(&["schema", "--of", "report"]);
    assert_eq!(
        (shown.code, shown.output.as_str()),
        (Some(0), report::schema())
    );
}

#[test]
fn all_formats_tell_the_same_findings() {
    let report: Value = serde_json::from_str(&told("json")).unwrap();
    let log: Value = serde_json::from_str(&told("sarif")).unwrap();
    let counted = |names: Vec<&str>| {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        names
            .iter()
            .for_each(|name| *counts.entry((*name).to_owned()).or_default() += 1);
        counts
    };
    let found = list(&report, "/sites/0/findings");
    let in_json = counted(found.iter().map(|f| f["rule"].as_str().unwrap()).collect());
    let results = list(&log, "/runs/0/results").iter();
    let standing = results.filter(|result| list(result, "/suppressions").is_empty());
    let in_sarif = counted(standing.map(|r| r["ruleId"].as_str().unwrap()).collect());
    let atoms = found.iter().flat_map(|finding| {
        let atoms = list(finding, "/atoms").iter();
        atoms.map(|_| finding["rule"].as_str().unwrap())
    });
    assert_eq!(counted(atoms.collect()), in_sarif);
    let lines = told("lines");
    let heads = lines
        .lines()
        .filter(|line| line.ends_with(']') && line.contains(": "));
    let names = heads.filter_map(|line| line.rsplit_once('[')?.1.strip_suffix(']'));
    assert_eq!(in_json, counted(names.collect()));
    let atoms = |finding: &Value| list(finding, "/atoms").len();
    let departed = list(&report, "/sites/0/departed").iter();
    let departed: usize = departed.map(|departed| atoms(&departed["finding"])).sum();
    let junit = told("junit");
    let open = found.iter().filter(|finding| finding["verdict"] == "open");
    let open: usize = open.map(atoms).sum();
    // And one for each file of those who suffer a fault that lies elsewhere.
    let suffered = junit.matches("(suffered here)").count();
    assert!(suffered > 0);
    assert_eq!(
        junit.matches("<skipped ").count(),
        open + departed + suffered
    );
}
