//! Faults of what many share, seen from the files of those who suffer them.

use super::{started, world};

#[test]
fn whoever_suffers_a_fault_elsewhere_is_marked_with_less_weight_and_no_longer_than_it_stands() {
    let world = world();
    let (mut client, _cords) = started(&world);
    assert!(!client.has("cords.yaml", "conductor-below-minimum"));
    let mut loads = client.open("loads.yaml");
    let (sound, thin) = (
        "c13-1m: {plug: C14, connector: C13, conductor: 1.0 mm²",
        "c13-1m: {plug: C14, connector: C13, conductor: 0.5 mm²",
    );
    client.edit(&mut loads, sound, thin);
    client.until("the mark at the cord", |client| {
        let rules = client.rules("cords.yaml");
        rules.contains(&("conductor-below-minimum".to_owned(), 4))
    });
    let marks = &client.published["cords.yaml"];
    let mark = marks
        .iter()
        .find(|d| d["code"] == "conductor-below-minimum");
    let mark = mark.expect("the mark");
    assert_eq!(mark["range"]["start"]["line"], 1, "{mark}");
    let message = mark["message"].as_str().unwrap();
    assert!(
        message.starts_with("This suffers a fault at loads.yaml:6"),
        "{message}"
    );
    client.until("the fault at the type", |client| {
        let rules = client.rules("loads.yaml");
        rules.contains(&("conductor-below-minimum".to_owned(), 1))
    });
    client.edit(&mut loads, thin, sound);
    client.until("no mark", |client| {
        !client.has("cords.yaml", "conductor-below-minimum")
    });
}
