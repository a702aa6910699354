//! A catalogue that two open sites share.

use serde_json::json;

use super::client::{Client, waits};
use crate::shared::{CATALOGUE, world};

/// An editor with both sites, and the catalogue open.
#[test]
fn a_file_of_a_catalogue_shows_what_its_sites_find_and_renames_nothing() {
    let world = world(CATALOGUE);
    let mut client = Client::start(&world.at("sites").canonicalize().unwrap(), waits());
    let mut all = client.open("catalogue/all.yaml");
    let thin = (
        "short: {plug: C14, connector: C13, conductor: 1.0",
        "short: {plug: C14, connector: C13, conductor: 0.5",
    );
    client.edit(&mut all, thin.0, thin.1);
    let is_told = |client: &Client| client.has("catalogue/all.yaml", "conductor-below-minimum");
    client.until("the fault in the catalogue", is_told);
    // From a cord of a site to the type that it names, and back to silence.
    let quay = client.open("quay/cordwright.yaml");
    let at = client.at(&quay, "type: short", 7);
    let there = client.ask("textDocument/definition", at.clone());
    assert!(
        there.to_string().contains("sites/catalogue/all.yaml"),
        "{there}"
    );
    let refused = client.try_ask("textDocument/prepareRename", at);
    let why = refused.unwrap_err();
    assert!(
        why.contains("stands in the catalogue file ../catalogue/all.yaml"),
        "{why}"
    );
    let mut rename = client.at(&all, "short:", 1);
    rename["newName"] = json!("brief");
    let refused = client.try_ask("textDocument/rename", rename);
    assert!(refused.unwrap_err().contains("other sites may read"));
    let completed = client.ask(
        "textDocument/completion",
        client.at(&quay, "type: short", 6),
    );
    assert!(completed.to_string().contains("spare"), "{completed}");
    client.edit(&mut all, thin.1, thin.0);
    client.until("silence", |client| {
        client.rules("catalogue/all.yaml").is_empty()
    });
}
