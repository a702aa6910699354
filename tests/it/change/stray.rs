//! What is taken out of a site thing by thing, and laid where nothing reads it, is not gone.

use super::{check, cords, flat, has, json, site};
use crate::repository::Repository;

const DEVICE: &str = "  rec-1: {model: recorder, rack: r1, at: U10, draw: 200 W}\n";
const CORD: &str = "  W-1: {type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}\n";

/// Takes the device and its cord out of the definitions.
fn without_load(repository: &Repository) {
    let left = cords(200).replace(DEVICE, "").replace(CORD, "");
    assert!(!left.contains("rec-1"));
    let left = left.replace("devices:\n", "").replace("cords:\n", "");
    repository.put("cords.yaml", &left);
}

#[test]
fn a_single_thing_that_stands_in_a_file_that_nothing_reads_is_out_of_sight() {
    let repository = site(200);
    without_load(&repository);
    for (place, text) in [
        ("attic/cords.txt", format!("devices:\n{DEVICE}")),
        ("attic/cords.txt", format!("cords:\n{CORD}")),
        ("parked.yaml.bak", format!("# devices:\n#{DEVICE}")),
        (
            "notes.md",
            format!("Parked for now:\n\n```yaml\n{DEVICE}```\n"),
        ),
    ] {
        repository.put(place, &text);
        let told = flat(&check(&repository, &[], 1).output);
        let what =
            format!("cords.yaml was judged before this change and stands in part in {place} now");
        assert!(told.contains(&what), "{text}\n{told}");
        assert!(has(&json(&repository, &[], 1), "sight-lost", "new"));
        repository.take(place);
    }
    // One that the site leaves out, as it did before.
    let base = repository.read("cordwright.yaml");
    let leaving = base.replacen("site:\n", "site:\n  files: {leave-out: ['attic']}\n", 1);
    repository.put("cordwright.yaml", &leaving);
    repository.put("cords.yaml", &cords(200));
    repository.put("attic/readme.txt", "Old papers.\n");
    repository.put("attic/old.yaml", "# Nothing yet.\n");
    repository.commit();
    without_load(&repository);
    repository.put("attic/old.yaml", &format!("devices:\n{DEVICE}"));
    assert!(has(&json(&repository, &[], 1), "sight-lost", "new"));
}

#[test]
fn what_is_taken_out_honestly_is_a_line_of_the_balance() {
    let repository = site(200);
    without_load(&repository);
    repository.put(
        "CHANGES.md",
        "- rec-1: taken out, with W-1:\n  its cord; type: c14-1.5m stays.\n",
    );
    let told = flat(&check(&repository, &[], 0).output);
    assert!(told.contains("taken out: rec-1 (200 W)"), "{told}");
    // Or it is called otherwise.
    repository.put("cords.yaml", &cords(200).replace("rec-1", "rec-9"));
    repository.put("attic.txt", "rec-1 was here\n");
    check(&repository, &[], 0);
}
