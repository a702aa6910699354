//! Two faults whose names run together to the same bytes are two faults.

use super::{has, json, standing};
use crate::pages::bases;
use crate::repository::Repository;

#[test]
fn marks_within_names_make_no_new_fault_a_known_one() {
    let cord = |name: &str, kind: &str| {
        format!("cords:\n  \"{name}\": {{type: \"{kind}\", from: pdu-a/1, to: W/psu}}\n")
    };
    let (before, now) = (cord("W-1\\x1fa", "b"), cord("W-1", "a\\x1fb"));
    let repository = Repository::new();
    repository.put("cordwright.yaml", &bases()["base-iec.yaml"]);
    repository.put("cords.yaml", &before);
    repository.commit();
    repository.put("cords.yaml", &now);
    let report = json(&repository, &["--only", "unknown-name"], 1);
    let told = standing(&report);
    assert!(has(&report, "unknown-name", "new"), "{told:?}");
    assert!(!has(&report, "unknown-name", "unchanged"), "{told:?}");
}
