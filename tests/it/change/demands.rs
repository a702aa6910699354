//! What a zone demands, the practice and what holds where no limit is set are not a change's own to take
//! away.

use super::{check, cords, flat, has, json, standing};
use crate::pages::bases;
use crate::repository::Repository;
use crate::site::judged_as_change;

const BASE: &str = "hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}";

/// The base site with demands in its zone.
fn demanding(demands: &str) -> String {
    let base = &bases()["base-iec.yaml"];
    let zone = BASE.replace("oil: no", &format!("oil: no{demands}"));
    let site = base.replace(BASE, &zone);
    assert!(site.contains(&zone));
    site
}

const BOTH: &str = ", retention: required, halogen-free: required";

fn committed(text: &str) -> Repository {
    let repository = Repository::new();
    repository.put("cordwright.yaml", text);
    repository.put("cords.yaml", &cords(200));
    repository.commit();
    repository
}

#[track_caller]
fn relaxes(repository: &Repository, text: &str, what: &str) {
    repository.put("cordwright.yaml", text);
    let told = flat(&check(repository, &[], 1).output);
    assert!(
        told.contains(&format!("this change {what}")),
        "{what}\n{told}"
    );
    // Who runs the check may let it hold.
    let report = json(repository, &["--relaxations", "tell"], 0);
    assert!(has(&report, "policy-relaxed", "new"));
}

#[test]
fn a_demand_that_is_taken_from_a_zone_is_told_and_what_it_forbids_is_judged() {
    let repository = committed(&demanding(BOTH));
    check(&repository, &[], 0);
    for (left, key) in [
        (", retention: required", "halogen-free"),
        (", halogen-free: required", "retention"),
        (
            ", retention: not-required, halogen-free: required",
            "retention",
        ),
    ] {
        let what = format!(
            "takes the demand {key} from zone hall: what that would let through is judged as before"
        );
        relaxes(&repository, &demanding(left), &what);
    }
    // A cord of a zone that demanded none of PVC.
    let repository = committed(&demanding(""));
    repository.put("cordwright.yaml", &demanding(BOTH));
    let cords = repository.take("cords.yaml");
    repository.put("cords.yaml", "cords: {}\n");
    repository.commit();
    repository.put("cords.yaml", &cords);
    repository.put("cordwright.yaml", &demanding(""));
    let report = json(&repository, &[], 1);
    assert!(
        has(&report, "jacket-smoke", "new"),
        "{:?}",
        standing(&report)
    );
}

#[test]
fn a_demand_more_is_no_relaxation() {
    let repository = committed(&demanding(""));
    repository.put("cordwright.yaml", &demanding(BOTH));
    let report = json(&repository, &["--only", "policy-relaxed"], 0);
    assert_eq!(standing(&report), []);
}

#[test]
fn what_is_taken_out_of_a_zone_that_demands_something_is_told() {
    let repository = committed(&demanding(BOTH));
    let elsewhere = "yard: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}";
    let with_yard = demanding(BOTH).replace("  hall: {", &format!("  {elsewhere}\n  hall: {{"));
    let moved = with_yard.replace("r1: {zone: hall", "r1: {zone: yard");
    assert_ne!(moved, with_yard);
    relaxes(
        &repository,
        &moved,
        "takes rack r1 out of zone hall, which demands halogen-free: what was held by that is held no more",
    );
    // The zone under another name.
    let renamed = demanding("").replace("hall", "yard");
    relaxes(
        &repository,
        &renamed,
        "takes rack r1 out of zone hall, which demands retention",
    );
    // Where the other zone demands the same, nothing is lost.
    repository.put("cordwright.yaml", &demanding(BOTH).replace("hall", "yard"));
    check(&repository, &[], 0);
}

#[test]
fn another_practice_or_country_is_told() {
    let base = bases()["base-iec.yaml"].clone();
    let repository = committed(&base);
    for (text, what) in [
        (
            base.replace("  country: GB\n", "  country: DE\n"),
            "changes the country from `GB` to `DE`: what was held by that is held no more",
        ),
        (
            base.replace("  country: GB\n", ""),
            "changes the country from `GB` to nothing",
        ),
        (
            base.replace("  practice: iec\n", "  practice: nec\n"),
            "changes the practice from `iec` to `nec`",
        ),
    ] {
        assert_ne!(text, base);
        repository.put("cordwright.yaml", &text);
        let told = flat(&check(&repository, &[], 1).output);
        assert!(told.contains(what), "{what}\n{told}");
    }
    // The same country by its name.
    repository.put(
        "cordwright.yaml",
        &base.replace("country: GB\n", "country: UK\n"),
    );
    check(&repository, &[], 0);
}

#[test]
fn a_limit_first_set_laxer_than_what_holds_without_one_is_told() {
    let base = bases()["base-iec.yaml"].replace("  supply-tolerance: 10 %\n", "");
    let repository = committed(&base);
    let with = |line: &str| base.replacen("site:\n", &format!("site:\n  {line}\n"), 1);
    relaxes(
        &repository,
        &with("supply-tolerance: 0 %"),
        "moves the limit supply-tolerance from 10 % (which holds where none is set) to 0 %",
    );
    relaxes(
        &repository,
        &with("phase-imbalance: {warning: 90 %}"),
        "moves the limit phase-imbalance.warning from",
    );
    for stricter in [
        "supply-tolerance: 10 %",
        "supply-tolerance: 12 %",
        "label: '.*'",
        "routing: {surplus: 4 m, service-loop: 150 mm}",
    ] {
        repository.put("cordwright.yaml", &with(stricter));
        let report = json(&repository, &["--only", "policy-relaxed"], 0);
        assert_eq!(standing(&report), [], "{stricter}");
    }
}

/// What a change says of the sockets of its country lets nothing through until somebody else has agreed.
#[test]
fn a_rule_for_sockets_pardons_nothing_in_the_change_that_brings_it() {
    let site = "site: {practice: iec, country: KR, ambient: 25 °C}
supplies: {s: {feed: A, system: \"1/N/PE ~ 220 V 60 Hz\", capacity: 10 kVA, earthing: TN-S, fault-current: 1 kA}}
circuits: {A-1: {from: s, poles: [L1, N], breaker: {rating: 20 A, curve: C, breaking-capacity: 6 kA}, rcd: 30 mA, wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}, receptacle: KS C 8305}}
";
    let with = |most: &str| {
        let rule = format!("25 °C, sockets: {{KS C 8305: {{behind: {most}, source: KEC}}}}}}");
        site.replace("25 °C}", &rule)
    };
    let files = |text: &str| vec![("cordwright.yaml".to_owned(), text.to_owned())];
    let said = |now: &str, before: &str, rule: &str| {
        let judgement = judged_as_change(&files(now), &files(before), Vec::new());
        let findings = judgement.findings.into_iter();
        findings.filter(|found| found.rule == rule).count()
    };
    let rule = "input-chain-mismatch";
    assert_eq!(said(site, site, rule), 1);
    assert_eq!(said(&with("20 A"), site, "policy-relaxed"), 1);
    assert_eq!(said(&with("20 A"), site, rule), 1, "still open");
    assert_eq!(said(&with("20 A"), &with("16 A"), "policy-relaxed"), 1);
    assert_eq!(said(&with("20 A"), &with("16 A"), rule), 1, "as before");
    // What was agreed holds, and less than that is no relaxation.
    assert_eq!(said(&with("20 A"), &with("20 A"), "policy-relaxed"), 0);
    assert_eq!(said(&with("20 A"), &with("20 A"), rule), 0);
    assert_eq!(said(&with("16 A"), &with("20 A"), "policy-relaxed"), 0);
}
