//! Load that is hung behind a fault that stands already is not known for that.

use super::{check, cords, flat, has, json, standing};
use crate::pages::bases;
use crate::repository::Repository;

const MORE: &str = "devices:\n  rec-2: {model: recorder, rack: r1, at: U11, draw: 1900 W}\ncords:\n  W-2: {type: c14-1.5m, from: pdu-a/2, to: rec-2/psu1}\n";

/// A site whose one strip hangs on a circuit that nobody defines, or that hangs on no supply.
fn broken(from: &str, to: &str) -> Repository {
    let base = bases()["base-iec.yaml"].replacen(from, to, 1);
    assert_ne!(base, bases()["base-iec.yaml"]);
    let repository = Repository::new();
    repository.put("cordwright.yaml", &base);
    repository.put("cords.yaml", &cords(200));
    repository.commit();
    repository
}

#[test]
fn a_device_that_is_hung_behind_a_fault_that_stands_is_told() {
    for (from, to, root) in [
        (
            "pdu-a: {model: strip-16, rack: r1, from: A-1",
            "pdu-a: {model: strip-16, rack: r1, from: A-9",
            "PDU pdu-a",
        ),
        ("    from: ups-a\n", "    from: ups-x\n", "circuit A-1"),
    ] {
        let repository = broken(from, to);
        check(&repository, &[], 0);
        repository.put("more.yaml", MORE);
        let told = flat(&check(&repository, &[], 1).output);
        let what = format!("this change hangs device rec-2 on {root}, which no supply feeds");
        assert!(told.contains(&what), "{told}");
        let report = json(&repository, &["--only", "sight-lost"], 1);
        assert_eq!(standing(&report).len(), 1);
        // Once it is there it is there.
        repository.commit();
        assert!(!has(&json(&repository, &[], 0), "sight-lost", "new"));
    }
}

#[test]
fn a_device_that_was_fed_and_is_hung_there_is_told_and_another_draw_is_not() {
    let repository = broken(
        "pdu-b: {model: strip-16, rack: r1, from: B-1",
        "pdu-b: {model: strip-16, rack: r1, from: B-9",
    );
    let moved = cords(200).replace("from: pdu-a/1", "from: pdu-b/1");
    repository.put("cords.yaml", &moved);
    let told = flat(&check(&repository, &[], 1).output);
    assert!(told.contains("hangs device rec-1 on PDU pdu-b"), "{told}");
    repository.commit();
    repository.put("cords.yaml", &moved.replace("200 W", "210 W"));
    assert!(!has(&json(&repository, &[], 0), "sight-lost", "new"));
    // What the change itself cuts off is a fault of its own.
    let base = bases()["base-iec.yaml"].clone();
    repository.put("cordwright.yaml", &base);
    repository.commit();
    repository.put("cordwright.yaml", &base.replace("from: B-1", "from: B-9"));
    let report = json(&repository, &[], 1);
    assert!(has(&report, "unknown-name", "new"));
    assert!(!has(&report, "sight-lost", "new"));
}
