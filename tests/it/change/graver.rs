//! A fault that has become graver is told, whatever the change says of the levels.

use super::{cords, has, json, standing};
use crate::pages::bases;
use crate::repository::Repository;

/// The base site, shaken, with `lines` below `site:`. Nothing holds the cord there: a warning. Where
/// the zone requires it to be held, it is an error.
fn shaken(lines: &str, retention: &str) -> String {
    let base = bases()["base-iec.yaml"].replacen("site:\n", &format!("site:\n{lines}"), 1);
    let zone = format!("vibration: machinery, retention: {retention}");
    base.replace("vibration: none", &zone)
}

fn committed(site: &str) -> Repository {
    let repository = Repository::new();
    repository.put("cordwright.yaml", site);
    let held_by_nothing = "approvals: [BSI]\n    retention: {plug: none, connector: none}";
    let cords = cords(200).replace("approvals: [BSI]", held_by_nothing);
    repository.put("cords.yaml", &cords);
    repository.commit();
    repository
}

const AS_THE_RULES_OWN: &str = "  levels: {retention-missing: warning}\n";

#[test]
fn a_fault_made_graver_is_told_though_the_change_sets_the_level_of_its_rule() {
    for lines in [
        "",
        AS_THE_RULES_OWN,
        "  levels: {retention-missing: error}\n",
    ] {
        let repository = committed(&shaken("", "not-required"));
        repository.put("cordwright.yaml", &shaken(lines, "required"));
        let report = json(&repository, &["--only", "retention-missing"], 1);
        assert!(
            has(&report, "retention-missing", "new"),
            "{lines}: {:?}",
            standing(&report)
        );
    }
}

#[test]
fn a_fault_made_graver_is_told_though_its_rule_has_one_level_for_all() {
    let repository = committed(&shaken(AS_THE_RULES_OWN, "not-required"));
    let more = ["--only", "retention-missing"];
    repository.put("cordwright.yaml", &shaken(AS_THE_RULES_OWN, "required"));
    assert!(has(
        &json(&repository, &more, 1),
        "retention-missing",
        "new"
    ));
    // Where the line is taken out in the same change as well.
    repository.put("cordwright.yaml", &shaken("", "required"));
    assert!(has(
        &json(&repository, &more, 1),
        "retention-missing",
        "new"
    ));
}

#[test]
fn another_level_makes_nothing_of_a_fault_that_is_the_same() {
    let repository = committed(&shaken("", "not-required"));
    for level in ["error", "warning"] {
        let lines = format!("  levels: {{retention-missing: {level}}}\n");
        repository.put("cordwright.yaml", &shaken(&lines, "not-required"));
        let report = json(&repository, &["--only", "retention-missing"], 0);
        assert_eq!(
            standing(&report),
            vec![("retention-missing".to_owned(), "unchanged".to_owned()); standing(&report).len()]
        );
        assert!(!standing(&report).is_empty());
    }
}

/// Where the rule has a level by itself, one of its faults may weigh more; a level that is set weighs
/// down that one, too.
#[test]
fn a_level_set_to_the_rules_own_is_a_relaxation_where_it_weighs_down_what_is_graver() {
    let repository = committed(&shaken("", "required"));
    repository.put("cordwright.yaml", &shaken(AS_THE_RULES_OWN, "required"));
    let report = json(&repository, &[], 1);
    assert!(
        has(&report, "policy-relaxed", "new"),
        "{:?}",
        standing(&report)
    );
}
