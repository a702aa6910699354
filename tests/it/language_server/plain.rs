//! An editor that takes plain text only, and one whose site has hostile names in it.

use serde_json::{Value, json};

use super::client::{Client, waits};
use super::world;
use crate::world::World;

/// An editor that says nothing of what it can.
fn plain(world: &World) -> Client {
    Client::start(&world.at(""), json!({}))
}

fn until_judged(client: &mut Client) {
    client.until("the first judgement", |client| {
        client.published.contains_key("cords.yaml")
    });
}

#[test]
fn an_editor_that_asks_for_nothing_gets_plain_text() {
    let world = world();
    let mut client = plain(&world);
    let cords = client.open("cords.yaml");
    until_judged(&mut client);
    let hover = client.ask("textDocument/hover", client.at(&cords, "W-1", 1));
    assert_eq!(hover["contents"]["kind"], "plaintext");
    let text = hover["contents"]["value"].as_str().unwrap();
    assert!(text.starts_with("cord W-1\n"), "{text}");
    assert!(text.contains("normally") && text.contains("supply ups-a"));
    assert!(!text.contains(['*', '`', '\\']), "{text}");
    let offers = client.ask("textDocument/completion", client.at(&cords, "type", 2));
    let items = offers["items"].as_array().unwrap();
    let documented = items.iter().find(|item| item["documentation"].is_object());
    assert_eq!(documented.unwrap()["documentation"]["kind"], "plaintext");
}

#[test]
fn the_kind_of_text_that_an_editor_likes_best_is_the_one_it_gets() {
    let world = world();
    for (formats, kind) in [
        (json!(["markdown", "plaintext"]), "markdown"),
        (json!(["plaintext", "markdown"]), "plaintext"),
        (json!([]), "plaintext"),
    ] {
        let can = json!({"textDocument": {"hover": {"contentFormat": formats}}});
        let mut client = Client::start(&world.at(""), can);
        let cords = client.open("cords.yaml");
        until_judged(&mut client);
        let hover = client.ask("textDocument/hover", client.at(&cords, "W-1", 1));
        assert_eq!(hover["contents"]["kind"], kind, "{formats}");
    }
}

#[test]
fn places_are_told_in_the_message_where_the_editor_does_not_show_them() {
    let world = world();
    let told = |can: Value| {
        let mut client = Client::start(&world.at(""), can);
        let mut loads = client.open("loads.yaml");
        client.edit(&mut loads, "draw: 414 W", "draw: 2.6 kW");
        let is_it = |d: &&Value| d["code"] == "coupler-overloaded";
        client.until("too much for the cords", |client| {
            client.published.values().flatten().any(|d| is_it(&d))
        });
        let mut all = client.published.values().flatten();
        all.find(is_it).unwrap().clone()
    };
    let (shown, plain) = (told(waits()), told(json!({})));
    assert!(plain["relatedInformation"].is_null(), "{plain}");
    let message = |told: &Value| told["message"].as_str().unwrap().to_owned();
    let (shown_message, plain_message) = (message(&shown), message(&plain));
    let more = plain_message.strip_prefix(&shown_message).unwrap();
    let related = shown["relatedInformation"].as_array().unwrap();
    assert_eq!(more.trim_start().lines().count(), related.len(), "{more}");
    for (line, place) in more.trim_start().lines().zip(related) {
        let number = place["location"]["range"]["start"]["line"]
            .as_u64()
            .unwrap()
            + 1;
        let note = place["message"].as_str().unwrap();
        assert!(line.contains(&format!(".yaml:{number}:")), "{line}");
        assert!(line.ends_with(&format!(": {note}")), "{line}");
    }
}

#[cfg(unix)]
mod strangers {
    use super::*;
    use crate::strangers::held::{assert_tame, assert_words};
    use crate::strangers::site::{Names, OWN, files, quoted};

    /// Every text that is shown and is not put into the file.
    fn assert_shown_texts_are_tame(value: &Value) {
        match value {
            Value::Object(object) => {
                for (key, value) in object {
                    match value {
                        Value::String(text) if SHOWN.contains(&key.as_str()) => assert_tame(text),
                        value => assert_shown_texts_are_tame(value),
                    }
                }
            }
            Value::Array(list) => list.iter().for_each(assert_shown_texts_are_tame),
            _ => {}
        }
    }

    const SHOWN: [&str; 6] = [
        "message",
        "label",
        "detail",
        "title",
        "value",
        "documentation",
    ];

    #[test]
    fn names_of_strangers_are_words_in_an_editor() {
        for turn in [0, 3, 6, 9, 12, 15] {
            let names = Names(turn);
            let world = World::with(&[]);
            let files = files(&names);
            files.iter().for_each(|(path, text)| world.put(path, text));
            for can in [waits(), json!({})] {
                let is_markdown = can["textDocument"].is_object();
                let mut client = Client::start(&world.at(""), can);
                let buffer = client.open(OWN);
                client.until("the first judgement", |client| {
                    client.published.len() == files.len()
                });
                let all = client.published.values().flatten();
                all.for_each(assert_shown_texts_are_tame);
                for thing in ["supply", "circuit", "rack", "zone", "feed"] {
                    let at = client.at(&buffer, &quoted(&names.of(thing)), 1);
                    let hover = client.ask("textDocument/hover", at.clone());
                    assert_shown_texts_are_tame(&hover);
                    let text = hover["contents"]["value"].as_str();
                    let text = text.unwrap_or_else(|| panic!("nothing of {thing} {at}"));
                    if is_markdown {
                        assert_words(text);
                    }
                    assert_shown_texts_are_tame(&client.ask("textDocument/completion", at.clone()));
                    let place = json!({"start": at["position"], "end": at["position"]});
                    let params = json!({
                        "textDocument": at["textDocument"], "range": place,
                        "context": {"diagnostics": []},
                    });
                    assert_shown_texts_are_tame(&client.ask("textDocument/codeAction", params));
                }
            }
        }
    }
}
