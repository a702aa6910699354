//! SARIF checked against the OASIS schema, and against what the standard asks beyond it.

use serde_json::{Value, json};

use crate::comparison::Comparison;
use crate::finding::Since;
use crate::rules::Known;

use super::super::Format;
use super::super::sample::{Sample, look, sample, valid, written};

/// The OASIS schema, see `tests/schemas/README.md`.
const OASIS: &str = include_str!("../../../tests/schemas/sarif-2.1.0.json");

fn told(sample: &Sample) -> Value {
    let text = written(&sample.report(), Format::Sarif, &look(80, true));
    serde_json::from_str(&text).expect("JSON")
}

fn run(sample: &Sample) -> Value {
    told(sample)["runs"][0].take()
}

fn at(root: &'static str) -> Sample {
    Sample { root, ..sample() }
}

#[test]
fn every_log_keeps_to_the_oasis_schema() {
    let oasis = serde_json::from_str(OASIS).expect("JSON");
    for sample in [sample(), sample().clean(), sample().broken(), at("a b/c")] {
        assert_eq!(valid(&told(&sample), &oasis), Ok(()));
    }
    let mut wrong = told(&sample());
    wrong["runs"][0]["results"][0]["kind"] = json!("undecided");
    assert!(
        valid(&wrong, &oasis).is_err(),
        "the validator sees a wrong kind"
    );
}

#[test]
fn open_points_are_neither_passed_nor_failed() {
    let run = run(&sample());
    let result = &run["results"][0];
    assert_eq!(result["ruleId"], "breaking-capacity");
    assert_eq!(
        (&result["kind"], &result["level"]),
        (&json!("open"), &json!("none"))
    );
    assert_eq!(run["results"][1]["kind"], "fail");
    assert_eq!(run["results"][1]["level"], "error");
}

#[test]
fn regions_count_bytes_and_utf16_units() {
    let text = sample()
        .sources
        .by_path("cords.yaml")
        .map(|id| sample().sources.file(id).text.clone());
    let text = text.expect("a file of the sample");
    let run = run(&sample());
    let last = &run["results"][1]["relatedLocations"][2]["physicalLocation"]["region"];
    let lo = text.find("pump-01/psu1").expect("in the text");
    let line_start = text[..lo].rfind('\n').map_or(0, |at| at + 1);
    let units = text[line_start..lo].encode_utf16().count();
    let expected = json!({
        "startLine": 4, "startColumn": units + 1, "endLine": 4, "endColumn": units + 13,
        "byteOffset": lo, "byteLength": 12,
    });
    assert_eq!(last, &expected);
}

#[test]
fn every_link_of_a_message_leads_to_a_related_place() {
    let run = run(&sample());
    let result = &run["results"][1];
    let message = result["message"]["text"].as_str().expect("text");
    let related = result["relatedLocations"].as_array().expect("a list");
    assert_eq!(related.len(), 3);
    for place in related {
        let link = format!(
            "[{}]({})",
            place["message"]["text"].as_str().expect("text"),
            place["id"]
        );
        assert!(message.contains(&link), "{link} in {message}");
    }
    let other = run["results"][2]["message"]["text"].as_str().expect("text");
    assert!(
        other.starts_with(r"Cord label \[W-0413\] is not"),
        "{other}"
    );
}

#[test]
fn the_code_flow_runs_from_supply_to_device() {
    let run = run(&sample());
    let steps = &run["results"][1]["codeFlows"][0]["threadFlows"][0]["locations"];
    let uris: Vec<_> = steps
        .as_array()
        .into_iter()
        .flatten()
        .map(|step| &step["location"]["physicalLocation"]["artifactLocation"]["uri"])
        .collect();
    assert_eq!(
        uris,
        ["circuits.yaml", "cords.yaml", "cords.yaml", "cords.yaml"]
    );
    assert!(
        run["results"][0].get("codeFlows").is_none(),
        "one place is no path"
    );
}

/// Notes inside one cord type are no way of a current.
#[test]
fn where_no_current_is_shown_there_is_no_code_flow() {
    let mut sample = sample();
    for place in &mut sample.findings[1].path {
        place.is_hop = false;
    }
    assert!(run(&sample)["results"][1].get("codeFlows").is_none());
}

#[test]
fn every_atom_is_a_result_under_a_name_of_its_own() {
    let mut sample = sample();
    sample.findings[1].sufferers = vec!["W-1".into(), "W-2".into()];
    let oasis = serde_json::from_str(OASIS).expect("JSON");
    assert_eq!(valid(&told(&sample), &oasis), Ok(()));
    let run = run(&sample);
    let (one, two) = (&run["results"][1], &run["results"][2]);
    assert_eq!(
        (&one["ruleId"], &one["locations"]),
        (&two["ruleId"], &two["locations"])
    );
    let name = |result: &Value, version: &str| result["partialFingerprints"][version].clone();
    assert_eq!(name(one, "cordwright/v1"), name(two, "cordwright/v1"));
    assert_ne!(name(one, "cordwright/v2"), name(two, "cordwright/v2"));
    let text = two["message"]["text"].as_str().expect("text");
    assert!(text.ends_with("\nAt: W-2"), "{text}");
    assert_eq!(two["properties"]["at"], "W-2");
}

#[test]
fn a_comparison_names_the_run_that_it_is_compared_with() {
    let mut sample = sample();
    let then = crate::finding::Measure::above(
        crate::quantity::amperes(8.0),
        crate::quantity::amperes(6.0),
    );
    let stands = [Since::Unchanged, Since::Worse(then), Since::New];
    for (finding, since) in sample.findings.iter_mut().zip(stands) {
        finding.since = since;
    }
    let comparison = Comparison {
        earlier_state: Some(sample.sources.state()),
        ..Comparison::default()
    };
    let mut report = sample.report();
    report.sites[0].comparison = Some(&comparison);
    let text = written(&report, Format::Sarif, &look(80, true));
    let log: Value = serde_json::from_str(&text).expect("JSON");
    let oasis = serde_json::from_str(OASIS).expect("JSON");
    assert_eq!(valid(&log, &oasis), Ok(()));
    let run = &log["runs"][0];
    let states: Vec<&Value> = (0..3)
        .map(|at| &run["results"][at]["baselineState"])
        .collect();
    assert_eq!(states, ["unchanged", "updated", "new"]);
    // The same files are the same run, whoever made it.
    assert_eq!(run["baselineGuid"], run["automationDetails"]["guid"]);
    assert!(told(&sample)["runs"][0].get("baselineGuid").is_none());
}

#[test]
fn sites_below_the_working_folder_share_the_rules_and_others_stand_alone() {
    let samples = [at("."), at("sites/b"), at("../c")];
    let mut report = samples[0].report();
    report.sites.extend(samples[1].report().sites);
    report.sites.extend(samples[2].report().sites);
    let text = written(&report, Format::Sarif, &look(80, true));
    let log: Value = serde_json::from_str(&text).expect("JSON");
    let oasis = serde_json::from_str(OASIS).expect("JSON");
    assert_eq!(valid(&log, &oasis), Ok(()));
    let runs = log["runs"].as_array().expect("a list");
    assert_eq!(runs.len(), 2);
    let ids: Vec<&Value> = runs
        .iter()
        .map(|run| &run["automationDetails"]["id"])
        .collect();
    assert_eq!(ids, ["cordwright/", "cordwright/c/"]);
    // Every place names the file that its index leads to, in the second site, too.
    let artifacts = runs[0]["artifacts"].as_array().expect("a list");
    for result in runs[0]["results"].as_array().into_iter().flatten() {
        let place = &result["locations"][0]["physicalLocation"]["artifactLocation"];
        let index = usize::try_from(place["index"].as_u64().expect("a number")).expect("small");
        assert_eq!(artifacts[index]["location"]["uri"], place["uri"]);
        assert_eq!(place["uriBaseId"], "WORKING-FOLDER");
    }
}

#[test]
fn departures_are_accepted_suppressions() {
    let run = run(&sample());
    let expected = json!([{
        "kind": "external",
        "status": "accepted",
        "justification": "replacement cord \"on order\" <soon> (agreed by site electrical engineer, until 2027-03-31)",
    }]);
    assert_eq!(run["results"][3]["suppressions"], expected);
    assert_eq!(run["results"][1]["suppressions"], json!([]));
}

#[test]
fn what_is_on_the_snag_list_is_accepted_too() {
    let mut sample = sample();
    sample.known = vec![Known::at_what_it_is(sample.findings.remove(1))];
    let oasis = serde_json::from_str(OASIS).expect("JSON");
    assert_eq!(valid(&told(&sample), &oasis), Ok(()));
    let run = run(&sample);
    let result = &run["results"][3];
    assert_eq!(result["ruleId"], "conductor-underrated");
    assert_eq!(result["kind"], "fail");
    let expected = json!([{
        "kind": "external",
        "status": "accepted",
        "justification": "known: on the snag list of the site",
    }]);
    assert_eq!(result["suppressions"], expected);
}

#[test]
fn uris_start_below_a_named_folder_and_are_never_absolute() {
    let located = |root| {
        let run = run(&at(root));
        let location = run["artifacts"][1]["location"].clone();
        let id = run["automationDetails"]["id"].clone();
        (location["uri"].clone(), location["uriBaseId"].clone(), id)
    };
    let expected = |uri, base, id| (json!(uri), json!(base), json!(id));
    assert_eq!(located("."), expected("cords.yaml", "SITE", "cordwright/"));
    assert_eq!(located("./"), expected("cords.yaml", "SITE", "cordwright/"));
    assert_eq!(
        located("sites/løft 2/"),
        expected(
            "sites/l%C3%B8ft%202/cords.yaml",
            "WORKING-FOLDER",
            "cordwright/sites/l%C3%B8ft%202/"
        )
    );
    for outside in ["/srv/one", "../one", "C:\\srv\\one"] {
        assert_eq!(
            located(outside),
            expected("cords.yaml", "SITE", "cordwright/one/")
        );
    }
    for root in [".", "sites/a"] {
        let run = run(&at(root));
        let base = run["artifacts"][0]["location"]["uriBaseId"]
            .as_str()
            .expect("text");
        assert!(
            run["originalUriBaseIds"][base].is_object(),
            "{base} is explained"
        );
    }
}

#[test]
fn what_could_not_be_judged_is_a_notification() {
    let broken = run(&sample().broken());
    let invocation = &broken["invocations"][0];
    assert_eq!(invocation["executionSuccessful"], false);
    let told = &invocation["toolExecutionNotifications"];
    let uri = &told[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    assert_eq!(uri, "plan%202/%C3%BCber.yaml");
    assert_eq!(
        told[1]["associatedRule"],
        json!({"id": "retention-missing", "index": 3})
    );
    let whole = &run(&sample())["invocations"][0];
    assert_eq!(whole["executionSuccessful"], true);
}

#[test]
fn rules_are_listed_whether_they_found_something_or_not() {
    let sample = sample().clean();
    let run = run(&sample);
    let rules = run["tool"]["driver"]["rules"].as_array().expect("a list");
    let ids: Vec<_> = rules.iter().map(|rule| &rule["id"]).collect();
    let cards = sample.report().rules;
    assert_eq!(ids, cards.iter().map(|card| card.name).collect::<Vec<_>>());
    let help = rules[1]["help"]["text"].as_str().expect("text");
    assert!(
        help.contains(&format!("cordwright cite {}", cards[1].name)),
        "{help}"
    );
    assert!(!run.to_string().contains("# "), "no page is in it");
    assert_eq!(rules[2]["deprecatedIds"], json!(["label-form"]));
    assert!(rules[1].get("deprecatedIds").is_none());
    assert_eq!(run["results"], json!([]));
}

#[test]
fn an_edit_becomes_a_fix() {
    let run = run(&sample());
    let change = &run["results"][1]["fixes"][0]["artifactChanges"][0];
    assert_eq!(change["artifactLocation"]["uri"], "cords.yaml");
    assert_eq!(
        change["replacements"][0]["insertedContent"]["text"],
        "1.5 mm²"
    );
    assert_eq!(change["replacements"][0]["deletedRegion"]["byteOffset"], 62);
}
