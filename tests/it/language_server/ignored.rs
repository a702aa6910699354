//! Copies that git ignores and work trees inside a repository, as an editor meets them.

use std::fs;

use serde_json::json;

use super::client::{Client, waits};
use crate::repository::{LOST, SITE, commit, git, init};
use crate::world::World;

/// A repository with a site that has a fault, and an ignored copy of that.
fn world() -> World {
    let world = World::with(&[("cordwright.yaml", SITE), ("lost.yaml", LOST)]);
    world.put(".gitignore", "copy.yaml\n");
    world.put("copy.yaml", &LOST.replace("W-1", "W-2"));
    init(&world, "");
    commit(&world, "");
    world
}

fn tell_of(client: &mut Client, file: &str, how: u8) {
    let uri = client.uri(file);
    let changes = json!({"changes": [{"uri": uri, "type": how}]});
    client.tell("workspace/didChangeWatchedFiles", changes);
}

const CREATED: u8 = 1;
const CHANGED: u8 = 2;

#[cfg(unix)]
#[test]
fn keys_ask_git_nothing() {
    let world = world();
    let tools = World::with(&[]);
    let (counting, calls) = crate::repository::counting_git(&tools);
    let mut client = Client::start_with(&world.at(""), waits(), counting.as_os_str());
    let mut own = client.open("cordwright.yaml");
    client.until("the first judgement", |client| {
        client.has("lost.yaml", "unknown-name")
    });
    let count = || fs::read_to_string(&calls).unwrap().lines().count();
    let before = count();
    assert!((1..=2).contains(&before), "{before}");
    client.edit(&mut own, "GB}", "GB, files: {leave-out: [lost.yaml]}}");
    client.until("a reading without it", |client| {
        client.rules("lost.yaml").is_empty()
    });
    client.edit(&mut own, "lost", "other");
    client.until("a reading with it", |client| {
        client.has("lost.yaml", "unknown-name")
    });
    assert_eq!(count(), before);
    assert!(!client.published.contains_key("copy.yaml"));
}

#[test]
fn what_is_ignored_no_longer_is_judged_when_the_editor_says_so() {
    let world = world();
    let mut client = Client::start(&world.at(""), waits());
    client.until("the first judgement", |client| {
        client.has("lost.yaml", "unknown-name")
    });
    // An open text of an ignored file is none of the site's.
    client.open("copy.yaml");
    world.put(".gitignore", "");
    tell_of(&mut client, ".gitignore", CHANGED);
    client.until("the copy", |client| client.has("copy.yaml", "unknown-name"));
    world.put(".gitignore", "copy.yaml\n");
    tell_of(&mut client, ".gitignore", CHANGED);
    client.until("no copy", |client| client.rules("copy.yaml").is_empty());
}

#[test]
fn a_new_work_tree_is_no_site_until_a_file_in_it_is_opened() {
    let world = world();
    let mut client = Client::start(&world.at(""), waits());
    client.until("the first judgement", |client| {
        client.has("lost.yaml", "unknown-name")
    });
    git(&world, "", &["worktree", "add", "-q", "wt", "-b", "side"]);
    tell_of(&mut client, "wt/cordwright.yaml", CREATED);
    tell_of(&mut client, "wt/lost.yaml", CREATED);
    world.put("pier/cordwright.yaml", SITE);
    world.put("pier/lost.yaml", LOST);
    tell_of(&mut client, "pier/cordwright.yaml", CREATED);
    client.until("a new site", |client| {
        client.has("pier/lost.yaml", "unknown-name")
    });
    let published = client.published.keys();
    let inside: Vec<_> = published.filter(|file| file.starts_with("wt/")).collect();
    assert!(inside.is_empty(), "{inside:?}");
    client.open("wt/lost.yaml");
    client.until("the opened copy", |client| {
        client.has("wt/lost.yaml", "unknown-name")
    });
}
