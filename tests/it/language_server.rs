//! The language server over its wire, as an editor meets it.

mod client;
mod ignored;
mod plain;
mod shared;
mod suffering;
mod wire;

use serde_json::{Value, json};

use crate::pages::bases;
use crate::world::World;
use client::{Buffer, Client, asks, edited, rule, waits};

const LOADS: &str = "\
device-models:
  recorder: {height: 1 U, class: I, voltage: 100–240 V, power-factor: 1, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 414 W}
cord-types:
  c13-1m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI]}
  c13-1r: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: red, approvals: [BSI]}
";

const CORDS: &str = "\
cords: # ümläuts and 𝔸 before the names
  W-1: {type: c13-1m, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: c13-1r, from: pdu-b/1, to: rec-1/psu2}
";

fn world() -> World {
    let base = &bases()["base-iec.yaml"];
    World::with(&[
        ("cordwright.yaml", base),
        ("loads.yaml", LOADS),
        ("cords.yaml", CORDS),
    ])
}

/// A site with a fault, an editor that waits, and the file with the fault open.
fn started(world: &World) -> (Client, Buffer) {
    let mut client = Client::start(&world.at(""), waits());
    let cords = client.open("cords.yaml");
    client.until("the first judgement", |client| {
        client.published.contains_key("cords.yaml")
    });
    (client, cords)
}

#[test]
fn it_says_what_it_can_and_ends_when_told() {
    let world = world();
    let client = Client::start(&world.at(""), waits());
    let can = &client.capabilities;
    assert_eq!(can["diagnosticProvider"]["interFileDependencies"], true);
    assert_eq!(can["diagnosticProvider"]["workspaceDiagnostics"], true);
    assert_eq!(can["renameProvider"]["prepareProvider"], true);
    assert_eq!(can["positionEncoding"], "utf-16");
    assert_eq!(client.end(), Some(0));
}

#[test]
fn bytes_are_counted_where_the_editor_can() {
    let world = world();
    let can = json!({"general": {"positionEncodings": ["utf-16", "utf-8"]}});
    let client = Client::start(&world.at(""), can);
    assert_eq!(client.capabilities["positionEncoding"], "utf-8");
}

#[test]
fn nothing_is_said_before_the_first_judgement_and_progress_is_shown() {
    let world = world();
    let (client, _) = started(&world);
    let kinds = client
        .heard
        .iter()
        .filter_map(|(method, params)| match method.as_str() {
            "$/progress" => params["value"]["kind"].as_str().map(str::to_owned),
            "textDocument/publishDiagnostics" => Some("published".to_owned()),
            _ => None,
        });
    let kinds: Vec<String> = kinds.collect();
    assert_eq!(kinds[..2], ["begin", "report"], "{kinds:?}");
    assert!(kinds.contains(&"published".to_owned()), "{kinds:?}");
    let answer = {
        let mut client = client;
        client.until("the end of progress", |client| {
            let last = client
                .heard
                .iter()
                .rfind(|(method, _)| method == "$/progress");
            last.is_some_and(|(_, params)| params["value"]["kind"] == "end")
        });
        let end = client
            .heard
            .iter()
            .rfind(|(method, _)| method == "$/progress")
            .unwrap();
        end.1["value"]["message"].as_str().unwrap().to_owned()
    };
    assert!(answer.starts_with("judged: errors 0"), "{answer}");
}

#[test]
fn a_fault_shows_while_it_is_typed_and_goes_when_it_is_put_right() {
    let world = world();
    let (mut client, mut cords) = started(&world);
    assert_eq!(client.rules("cords.yaml"), []);
    client.edit(&mut cords, "type: c13-1r", "type: c13-1x");
    client.until("the unknown type", |client| {
        client.has("cords.yaml", "unknown-name")
    });
    let told = client.published["cords.yaml"]
        .iter()
        .find(|d| d["code"] == "unknown-name");
    let told = told.unwrap();
    assert_eq!(told["severity"], 1);
    assert_eq!(told["source"], "cordwright");
    assert_eq!(told["range"]["start"], json!({"line": 2, "character": 14}));
    assert_eq!(told["range"]["end"], json!({"line": 2, "character": 20}));
    let page = told["codeDescription"]["href"].as_str().unwrap();
    let page = std::fs::read_to_string(page.strip_prefix("file://").unwrap()).unwrap();
    assert!(page.starts_with("# unknown-name\n"), "{page}");
    client.edit(&mut cords, "c13-1x", "c13-1r");
    client.until("all right again", |client| {
        client.rules("cords.yaml").is_empty()
    });
}

#[test]
fn a_fault_of_one_file_shows_in_another_that_nobody_has_open() {
    let world = world();
    let (mut client, _) = started(&world);
    let mut loads = client.open("loads.yaml");
    client.edit(&mut loads, "1.0 mm²", "0.5 mm²");
    client.until("the thin conductor", |client| {
        client.has("loads.yaml", "conductor-below-minimum")
    });
    client.edit(&mut loads, "0.5 mm²", "1.0 mm²");
    client.edit(&mut loads, "rec-1:", "rec-9:");
    client.until("the cord that leads nowhere", |client| {
        client.has("cords.yaml", "unknown-name")
    });
}

#[test]
fn places_that_bear_on_a_finding_are_related_and_open_points_are_information() {
    let world = world();
    let (mut client, _) = started(&world);
    let mut loads = client.open("loads.yaml");
    client.edit(&mut loads, "draw: 414 W", "draw: 2.6 kW");
    client.until("too much for the cords", |client| {
        client
            .published
            .values()
            .flatten()
            .any(|d| d["relatedInformation"].is_array())
    });
    let all = client.published.values().flatten();
    let with = all.filter_map(|d| d["relatedInformation"].as_array());
    let first = with.flatten().next().unwrap();
    assert!(
        client
            .file(first["location"]["uri"].as_str().unwrap())
            .ends_with(".yaml")
    );
    assert!(!first["message"].as_str().unwrap().is_empty());

    client.edit(&mut loads, ", draw: 2.6 kW", "");
    let is_open = |d: &&Value| d["message"].as_str().unwrap().starts_with("Not decided");
    client.until("an open point", |client| {
        client.published.values().flatten().any(|d| is_open(&d))
    });
    let open = client.published.values().flatten().find(is_open).unwrap();
    assert_eq!(rule(open).1, 3);
}

#[test]
fn a_half_typed_file_keeps_its_last_good_definitions() {
    let world = world();
    let (mut client, mut cords) = started(&world);
    client.edit(
        &mut cords,
        "  W-2: {",
        "  W-3: {type: c13-1m, from: \n  W-2: {",
    );
    client.until("that it cannot be read", |client| {
        client.has("cords.yaml", "unreadable-file")
    });
    let told = &client.published["cords.yaml"];
    assert_eq!(told.len(), 1, "{told:#?}");
    let message = told[0]["message"].as_str().unwrap();
    assert!(
        message.contains("judged by what this file said"),
        "{message}"
    );
    // Edits elsewhere are judged meanwhile, by those definitions, and nothing else lights up.
    let mut loads = client.open("loads.yaml");
    client.edit(&mut loads, "conductor: 1.0", "conductor: 0.5");
    client.until("a fault elsewhere", |client| {
        client.has("loads.yaml", "conductor-below-minimum")
    });
    assert!(!client.has("loads.yaml", "unfed-inlet"));
    assert_eq!(
        client.rules("cords.yaml"),
        [("unreadable-file".to_owned(), 1)]
    );
    client.edit(&mut cords, "  W-3: {type: c13-1m, from: \n", "");
    // What its cords suffer of their type is marked again.
    client.until("that it can be read", |client| {
        let rules = client.rules("cords.yaml");
        !rules.is_empty() && rules.iter().all(|(_, severity)| *severity == 4)
    });
}

#[test]
fn an_editor_that_asks_is_answered_after_the_first_judgement_and_never_told_twice() {
    let world = world();
    world.put("cords.yaml", &CORDS.replacen("c13-1m", "c13-1n", 1));
    let mut client = Client::start(&world.at(""), asks());
    let mut cords = client.open("cords.yaml");
    let file = json!({"textDocument": {"uri": client.uri("cords.yaml")}});
    let report = client.ask("textDocument/diagnostic", file.clone());
    assert_eq!(report["kind"], "full");
    let rules: Vec<_> = report["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(rule)
        .collect();
    assert!(rules.contains(&("unknown-name".to_owned(), 1)), "{rules:?}");
    let mut again = file.clone();
    again["previousResultId"] = report["resultId"].clone();
    let report = client.ask("textDocument/diagnostic", again);
    assert_eq!(report["kind"], "unchanged");
    client.edit(&mut cords, "c13-1n", "c13-1m");
    let report = client.ask("textDocument/diagnostic", file);
    let rules: Vec<_> = report["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(rule)
        .collect();
    assert!(
        !rules.iter().any(|(rule, _)| rule == "unknown-name"),
        "{rules:?}"
    );
    assert!(!client.published.contains_key("cords.yaml"));
    // Nobody has touched the other file, so the editor must be asked to ask again.
    let asked = |client: &Client| {
        let heard = client.heard.iter();
        heard
            .filter(|(method, _)| method == "workspace/diagnostic/refresh")
            .count()
    };
    let before = asked(&client);
    client.edit(&mut cords, "rec-1/psu1", "rec-1/psu2");
    client.until("that it asks", |client| asked(client) > before);
}

#[test]
fn the_whole_workspace_can_be_asked_for() {
    let world = world();
    world.put("cords.yaml", &CORDS.replacen("c13-1m", "c13-1n", 1));
    let mut client = Client::start(&world.at(""), asks());
    let all = client.ask("workspace/diagnostic", json!({"previousResultIds": []}));
    let items = all["items"].as_array().unwrap();
    assert_eq!(items.len(), 3);
    let cords = items
        .iter()
        .find(|i| i["uri"] == client.uri("cords.yaml"))
        .unwrap();
    assert!(!cords["items"].as_array().unwrap().is_empty());
    let known: Vec<Value> = items
        .iter()
        .map(|item| json!({"uri": item["uri"], "value": item["resultId"]}))
        .collect();
    let again = client.ask("workspace/diagnostic", json!({"previousResultIds": known}));
    let items = again["items"].as_array().unwrap();
    assert!(
        items.iter().all(|item| item["kind"] == "unchanged"),
        "{items:#?}"
    );
}

#[test]
fn hover_shows_load_worst_case_limit_and_path() {
    let world = world();
    let (mut client, cords) = started(&world);
    let params = client.at(&cords, "W-1", 1);
    let hover = client.ask("textDocument/hover", params);
    let text = hover["contents"]["value"].as_str().unwrap();
    for part in [
        "**cord W-1**",
        "normally",
        "is lost",
        "limit 10 A",
        "to spare",
        "supply ups-a",
        "circuit A-1",
        "Advice only",
    ] {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
    let params = client.at(&cords, "rec-1/psu2", 2);
    let hover = client.ask("textDocument/hover", params);
    let text = hover["contents"]["value"].as_str().unwrap();
    assert!(
        text.contains("**device rec-1**") && text.contains("Draws 414 W"),
        "{text}"
    );
    let loads = client.open("loads.yaml");
    for (at, part) in [
        ("H05VV-F", "conductors up to"),
        ("draw", "planned"),
        ("C13,", "Rated"),
    ] {
        let params = client.at(&loads, at, 1);
        let hover = client.ask("textDocument/hover", params);
        let text = hover["contents"]["value"].as_str().unwrap_or_default();
        assert!(text.contains(part), "{at}: {text}");
    }
}

#[test]
fn names_lead_to_their_definition_and_to_all_places_that_name_them() {
    let world = world();
    let (mut client, cords) = started(&world);
    for (at, back, file, line) in [
        ("c13-1m", 2, "loads.yaml", 5),
        ("pdu-a/1", 2, "cordwright.yaml", 0),
        ("rec-1/psu2", 1, "loads.yaml", 3),
        ("rec-1/psu2", 8, "loads.yaml", 1),
    ] {
        let params = client.at(&cords, at, back);
        let found = client.ask("textDocument/definition", params);
        assert_eq!(client.file(found[0]["uri"].as_str().unwrap()), file, "{at}");
        if line > 0 {
            assert_eq!(found[0]["range"]["start"]["line"], line, "{at}");
        }
    }
    let mut params = client.at(&cords, "rec-1", 1);
    params["context"] = json!({"includeDeclaration": true});
    let found = client.ask("textDocument/references", params.clone());
    assert_eq!(found.as_array().unwrap().len(), 3, "{found:#?}");
    params["context"] = json!({"includeDeclaration": false});
    let found = client.ask("textDocument/references", params);
    assert_eq!(found.as_array().unwrap().len(), 2);
}

fn labels(answer: &Value) -> Vec<&str> {
    let items = answer["items"].as_array().unwrap();
    items
        .iter()
        .map(|item| item["label"].as_str().unwrap())
        .collect()
}

#[test]
fn keys_names_couplers_and_cordage_are_completed() {
    let world = world();
    let (mut client, mut cords) = started(&world);
    client.edit(
        &mut cords,
        "  W-2",
        "  W-3: {type: c, from: pdu-b/, to: rec-1/, }\n  W-2",
    );
    for (at, back, first) in [
        ("type: c,", 7, "c13-1m"),
        ("pdu-b/,", 6, "pdu-b/2"),
        ("rec-1/,", 6, "rec-1/psu1"),
        (", }", 2, "bundle"),
    ] {
        let params = client.at(&cords, at, back);
        let answer = client.ask("textDocument/completion", params);
        assert_eq!(labels(&answer)[0], first, "{at}");
    }
    let params = client.at(&cords, "pdu-b/,", 6);
    let answer = client.ask("textDocument/completion", params);
    let last = labels(&answer).last().copied();
    assert_eq!(last, Some("pdu-b/1"), "what is taken comes last");

    let mut loads = client.open("loads.yaml");
    client.edit(&mut loads, "plug: C14", "plug: C1");
    client.edit(&mut loads, "cordage: H05VV-F", "cordage: H05Z");
    let params = client.at(&loads, "plug: C1", 8);
    let answer = client.ask("textDocument/completion", params);
    assert!(labels(&answer).contains(&"C14"), "{answer:#}");
    assert!(
        !labels(&answer).contains(&"C13"),
        "a plug has pins: {answer:#}"
    );
    let params = client.at(&loads, "H05Z", 4);
    let answer = client.ask("textDocument/completion", params);
    assert!(labels(&answer).contains(&"H05Z1Z1-F"), "{answer:#}");
    let edit = &answer["items"][0]["textEdit"];
    let made = edited(&loads.text, &json!([edit]));
    assert!(
        made.contains(&format!("cordage: {}, length", labels(&answer)[0])),
        "{made}"
    );
}

/// What is offered where a rule has found something in a file.
fn actions_for(client: &mut Client, file: &str, rule: &str) -> Value {
    let published = client.published[file].iter();
    let mut found = published.filter(|diagnostic| diagnostic["code"] == rule);
    let range = found.next().unwrap()["range"].clone();
    let uri = client.uri(file);
    let params =
        json!({"textDocument": {"uri": uri}, "range": range, "context": {"diagnostics": []}});
    client.ask("textDocument/codeAction", params)
}

#[test]
fn other_cords_are_offered_and_left_to_be_chosen() {
    let world = world();
    let (mut client, mut cords) = started(&world);
    let short = "cord-types: {c13-1g: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 0.1 m, rating: 10 A, colour: red, approvals: [BSI]}}\n";
    client.edit(&mut cords, "cords: #", &format!("{short}cords: #"));
    client.edit(&mut cords, "W-2: {type: c13-1r", "W-2: {type: c13-1g");
    client.until("a cord that does not reach", |client| {
        client.has("cords.yaml", "cord-too-short")
    });
    let offered = |answer: &Value| {
        let actions = answer.as_array().unwrap().iter();
        let mut fits =
            actions.filter(|action| action["title"].as_str().unwrap().contains(": fit "));
        fits.next().cloned()
    };
    // Once nobody has typed for a while, the whole site is judged, and cords can be tried on it.
    let fit = (0..600).find_map(|_| {
        std::thread::sleep(std::time::Duration::from_millis(50));
        offered(&actions_for(&mut client, "cords.yaml", "cord-too-short"))
    });
    let fit = fit.expect("another cord is offered");
    assert_eq!(fit["title"], "W-2: fit c13-1r (1 m)");
    assert_eq!(fit["isPreferred"], false);
    let change = &fit["edit"]["documentChanges"][0];
    assert_eq!(
        edited(&cords.text, &change["edits"]),
        format!("{short}{CORDS}")
    );
}

#[test]
fn the_right_name_and_a_departure_to_fill_in_are_offered_and_no_more() {
    let world = world();
    let (mut client, _) = started(&world);
    let mut loads = client.open("loads.yaml");
    client.edit(&mut loads, "model: recorder", "model: recoder");
    client.until("the fault", |client| {
        client.has("loads.yaml", "unknown-name")
    });
    let actions = actions_for(&mut client, "loads.yaml", "unknown-name");
    let right = &actions[0];
    assert_eq!(right["title"], "Write `recorder` instead of `recoder`");
    assert_eq!(right["isPreferred"], true);
    let change = &right["edit"]["documentChanges"][0];
    assert_eq!(change["textDocument"]["version"], 2);
    assert_eq!(edited(&loads.text, &change["edits"]), LOADS);
    client.edit(&mut loads, "recoder", "recorder");

    // A thing that is no fault of writing may be departed from, by whoever signs for it.
    client.edit(&mut loads, "[BSI]", "[CE]");
    client.until("no approval", |client| {
        client.has("loads.yaml", "approval-missing")
    });
    let actions = actions_for(&mut client, "loads.yaml", "approval-missing");
    assert_eq!(actions.as_array().unwrap().len(), 1, "{actions:#}");
    let change = &actions[0]["edit"]["documentChanges"][0];
    assert_eq!(
        client.file(change["textDocument"]["uri"].as_str().unwrap()),
        "cordwright.yaml"
    );
    let mut site = client.open("cordwright.yaml");
    let made = edited(&site.text, &change["edits"]);
    assert!(
        made.contains("departures:\n  - {rule: approval-missing, at: c13-1m, "),
        "{made}"
    );
    // Not filled in, it silences nothing.
    let old = site.text.clone();
    client.edit(&mut site, &old, &made);
    client.until("what is to be filled in", |client| {
        client
            .rules("cordwright.yaml")
            .iter()
            .filter(|(rule, _)| rule == "bad-quantity")
            .count()
            == 3
    });
    assert!(client.has("loads.yaml", "approval-missing"));
}

#[test]
fn what_is_offered_ends_its_lines_as_the_file_does() {
    let world = world();
    let base = &bases()["base-iec.yaml"];
    world.put("cordwright.yaml", &base.replace('\n', "\r\n"));
    world.put("loads.yaml", &LOADS.replace("[BSI]", "[CE]"));
    let mut client = Client::start(&world.at(""), waits());
    client.until("no approval", |client| {
        client.has("loads.yaml", "approval-missing")
    });
    let offered = |client: &mut Client| {
        let actions = actions_for(client, "loads.yaml", "approval-missing");
        actions[0]["edit"]["documentChanges"][0]["edits"].clone()
    };
    let mut site = client.open("cordwright.yaml");
    for _ in 0..2 {
        // First a section of its own, then a line behind the first departure.
        let edits = offered(&mut client);
        let made = edited(&site.text, &edits);
        assert_eq!(made.matches('\n').count(), made.matches("\r\n").count());
        assert!(made.len() > site.text.len());
        let old = site.text.clone();
        client.edit(&mut site, &old, &made);
        client.until("what is to be filled in", |client| {
            client.has("cordwright.yaml", "bad-quantity")
        });
    }
    assert_eq!(site.text.matches("rule: approval-missing").count(), 2);
}

#[test]
fn a_device_is_renamed_across_files_but_not_to_a_name_in_use() {
    let world = world();
    let (mut client, cords) = started(&world);
    let params = client.at(&cords, "rec-1/psu1", 2);
    let may = client.ask("textDocument/prepareRename", params.clone());
    assert_eq!(may["placeholder"], "rec-1");
    let with = |name: &str| {
        let mut params = params.clone();
        params["newName"] = json!(name);
        params
    };
    let edit = client.ask("textDocument/rename", with("gauge-7"));
    let changes = edit["documentChanges"].as_array().unwrap();
    assert_eq!(changes.len(), 2);
    for change in changes {
        let file = client.file(change["textDocument"]["uri"].as_str().unwrap());
        let text = if file == "cords.yaml" { CORDS } else { LOADS };
        let made = edited(text, &change["edits"]);
        assert_eq!(made, text.replace("rec-1", "gauge-7"), "{file}");
    }
    for (name, why) in [
        ("W-1", "is the name of a cord already"),
        ("pdu-a", "is the name of a PDU already"),
        ("no", "Other readers of YAML take no for"),
        ("a/b", "A name begins with"),
    ] {
        let refused = client.try_ask("textDocument/rename", with(name));
        let error = refused.unwrap_err();
        assert!(error.contains(why), "{error}");
    }
    let params = client.at(&cords, "type:", 1);
    let refused = client.try_ask("textDocument/prepareRename", params);
    assert!(refused.unwrap_err().contains("Nothing with a name"));
}

#[test]
fn a_new_file_and_a_file_changed_on_disk_are_taken_in() {
    let world = world();
    let (mut client, _) = started(&world);
    client.open_as(
        "more.yaml",
        "cords:\n  W-8: {type: c13-1m, from: pdu-a/2, to: nowhere/1}\n",
    );
    client.until("the fault of a new text", |client| {
        client.has("more.yaml", "unknown-name")
    });
    world.put("loads.yaml", &LOADS.replace("1.0 mm²", "0.5 mm²"));
    let uri = client.uri("loads.yaml");
    client.tell(
        "workspace/didChangeWatchedFiles",
        json!({"changes": [{"uri": uri, "type": 2}]}),
    );
    client.until("the fault on disk", |client| {
        client.has("loads.yaml", "conductor-below-minimum")
    });
}
