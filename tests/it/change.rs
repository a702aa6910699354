//! A change is judged as a change: what grew, who else suffers, what drops out of sight, and what it
//! would pardon for itself.

mod alike;
mod demands;
mod graver;
mod hung;
mod signed;
mod stray;

use crate::pages::bases;
use crate::repository::Repository;
use crate::world::Ended;

/// A device at `watts` on bank B1, whose limit is 80 % of 10 A: 1700 W make 8.5 A at low voltage.
fn cords(watts: u32) -> String {
    format!(
        "\
device-models:
  recorder:
    height: 1 U
    class: I
    voltage: 100–240 V
    rating: 2000 W
    power-factor: 0.97
    inlets: {{psu1: C14}}
    inlets-needed: 1
devices:
  rec-1: {{model: recorder, rack: r1, at: U10, draw: {watts} W}}
cord-types:
  c14-1.5m:
    plug: C14
    connector: C13
    conductor: 1.0 mm²
    cordage: H05VV-F
    length: 1.5 m
    rating: 10 A
    colour: blue
    approvals: [BSI]
cords:
  W-1: {{type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}}
"
    )
}

const DEPARTURE: &str = "departures:\n  - {rule: bank-overloaded, at: pdu-a/B1, reason: strip on order, agreed-by: site engineer, until: 2027-03-31}\n";

/// A sound site but for what the device at so many watts brings, committed to `main`.
fn site(watts: u32) -> Repository {
    let repository = Repository::new();
    repository.put("cordwright.yaml", &bases()["base-iec.yaml"]);
    repository.put("cords.yaml", &cords(watts));
    repository.commit();
    repository
}

fn words<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let mut words = vec![
        "check",
        "--compare",
        "main",
        "--on",
        "2026-11-25",
        "--fail-at",
        "warning",
    ];
    words.extend(more);
    words
}

#[track_caller]
fn check(repository: &Repository, more: &[&str], code: i32) -> Ended {
    let ended = repository.world.run(&words(more));
    assert_eq!(ended.code, Some(code), "{}\n{}", ended.output, ended.errors);
    ended
}

/// `text` with every run of blanks and line ends made one blank.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn json(repository: &Repository, more: &[&str], code: i32) -> serde_json::Value {
    let more = [more, &["--format", "json"]].concat();
    let report = serde_json::from_str(&check(repository, &more, code).output).unwrap();
    crate::formats::keeps_to_the_schema(&report);
    report
}

/// The rules of the findings that stand, each with how it stands.
fn standing(report: &serde_json::Value) -> Vec<(String, String)> {
    let findings = report["sites"][0]["findings"].as_array().unwrap();
    let told = findings.iter().map(|finding| {
        let text = |key: &str| finding[key].as_str().unwrap_or("-").to_owned();
        (text("rule"), text("since"))
    });
    told.collect()
}

fn has(report: &serde_json::Value, rule: &str, since: &str) -> bool {
    standing(report).contains(&(rule.to_owned(), since.to_owned()))
}

#[test]
fn a_fault_that_grew_is_told_with_both_numbers_and_fails() {
    let repository = site(1700);
    check(&repository, &[], 0);
    repository.put("cords.yaml", &cords(1800));
    let told = flat(&check(&repository, &["--only", "bank-overloaded"], 1).output);
    assert!(
        told.contains("Worse 8.5423 A against 8 A before, 9.0496 A against 8 A now"),
        "{told}"
    );
    assert!(told.contains("Since main: 1 worse."), "{told}");
    let report = json(&repository, &[], 1);
    assert!(has(&report, "bank-overloaded", "worse"));
    let lines = check(&repository, &["--format", "lines"], 1).output;
    assert!(
        lines.contains("warning: worse (8.5423 A against 8 A before): "),
        "{lines}"
    );
}

#[test]
fn a_fault_that_shrank_is_told_and_does_not_fail() {
    let repository = site(1800);
    repository.put("cords.yaml", &cords(1700));
    let told = flat(&check(&repository, &[], 0).output);
    assert!(
        told.contains(
            "bank-overloaded at pdu-a/B1: 8.5423 A against 8 A now, 9.0496 A against 8 A before"
        ),
        "{told}"
    );
    let report = json(&repository, &[], 0);
    assert!(has(&report, "bank-overloaded", "better"));
}

/// The same current through less is worse, though no number of its own grew.
#[test]
fn the_same_load_under_a_lower_limit_is_worse() {
    let repository = site(1700);
    let base = &bases()["base-iec.yaml"];
    repository.put(
        "cordwright.yaml",
        &base.replace("continuous-load: 80 %", "continuous-load: 70 %"),
    );
    let report = json(&repository, &[], 1);
    assert!(has(&report, "bank-overloaded", "worse"));
    assert_eq!(report["sites"][0]["comparison"]["relaxations"], 0);
}

#[test]
fn more_cords_of_a_condemned_type_are_new() {
    let thin = |cords: &str| cords.replace("conductor: 1.0 mm²", "conductor: 0.5 mm²");
    let repository = site(200);
    repository.put("cords.yaml", &thin(&cords(200)));
    repository.commit();
    let more = "devices:\n  rec-2: {model: recorder, rack: r1, at: U11, draw: 200 W}\ncords:\n  W-2: {type: c14-1.5m, from: pdu-a/2, to: rec-2/psu1}\n";
    repository.put("more.yaml", more);
    let report = json(&repository, &["--only", "conductor-below-minimum"], 1);
    assert_eq!(
        standing(&report),
        [
            ("conductor-below-minimum".to_owned(), "unchanged".to_owned()),
            ("conductor-below-minimum".to_owned(), "new".to_owned()),
        ]
    );
    let new = &report["sites"][0]["findings"][1];
    assert_eq!(new["atoms"].as_array().unwrap().len(), 1);
    assert_eq!(new["atoms"][0]["at"], "W-2");
    let told = flat(&check(&repository, &["--only", "conductor-below-minimum"], 1).output);
    assert!(told.contains("New at W-2"), "{told}");
}

#[test]
fn a_change_does_not_pardon_itself_by_a_departure() {
    let repository = site(200);
    repository.put("cords.yaml", &cords(1700));
    repository.put("agreed.yaml", DEPARTURE);
    let report = json(&repository, &[], 1);
    assert!(has(&report, "bank-overloaded", "new"));
    assert!(has(&report, "policy-relaxed", "new"));
    assert_eq!(report["sites"][0]["departed"].as_array().unwrap().len(), 0);
    // Who runs the check may let it hold; it is told all the same.
    let report = json(&repository, &["--relaxations", "tell"], 0);
    assert!(!has(&report, "bank-overloaded", "new"));
    assert!(has(&report, "policy-relaxed", "new"));
    assert_eq!(report["sites"][0]["departed"].as_array().unwrap().len(), 1);
    let told = flat(&check(&repository, &["--relaxations", "tell"], 0).output);
    assert!(
        told.contains("adds a departure from bank-overloaded at pdu-a/B1"),
        "{told}"
    );
    assert!(
        told.contains("relaxes 1 thing that was held before: that holds here"),
        "{told}"
    );
}

#[test]
fn a_path_does_not_take_what_a_change_relaxes_out_of_sight() {
    let repository = site(1700);
    repository.put("cords.yaml", &cords(210));
    repository.put("agreed.yaml", DEPARTURE);
    let report = json(&repository, &["cords.yaml"], 1);
    assert_eq!(
        standing(&report),
        [("policy-relaxed".to_owned(), "new".to_owned())]
    );
}

#[test]
fn a_departure_of_the_base_holds_and_one_that_is_taken_out_holds_no_more() {
    let repository = site(1700);
    repository.put("agreed.yaml", DEPARTURE);
    repository.commit();
    let report = json(&repository, &[], 0);
    assert_eq!(report["sites"][0]["departed"].as_array().unwrap().len(), 1);
    assert!(!has(&report, "policy-relaxed", "new"));
    repository.put("agreed.yaml", "departures: []\n");
    let report = json(&repository, &[], 1);
    assert!(has(&report, "bank-overloaded", "new"));
}

#[test]
fn a_departure_that_is_made_longer_is_a_relaxation_and_a_shorter_one_is_not() {
    let repository = site(1700);
    repository.put("agreed.yaml", DEPARTURE);
    repository.commit();
    repository.put(
        "agreed.yaml",
        &DEPARTURE.replace("2027-03-31", "2029-03-31"),
    );
    let told = flat(&check(&repository, &[], 1).output);
    assert!(
        told.contains("widens the departure from bank-overloaded at pdu-a/B1"),
        "{told}"
    );
    repository.put(
        "agreed.yaml",
        &DEPARTURE.replace("2027-03-31", "2027-01-31"),
    );
    check(&repository, &[], 0);
}

#[test]
fn a_change_does_not_pardon_itself_by_the_snag_list() {
    let repository = site(200);
    repository.put("cords.yaml", &cords(1700));
    let written = repository.world.run(&["snags", "--on", "2026-11-25"]);
    assert_eq!(written.code, Some(0), "{}", written.errors);
    let report = json(&repository, &[], 1);
    assert!(has(&report, "bank-overloaded", "new"));
    assert!(has(&report, "policy-relaxed", "new"));
    assert_eq!(report["sites"][0]["known"].as_array().unwrap().len(), 0);
    let report = json(&repository, &["--relaxations", "tell"], 0);
    assert!(!report["sites"][0]["known"].as_array().unwrap().is_empty());
    // Once it is agreed it is the base's.
    repository.commit();
    check(&repository, &[], 0);
}

#[test]
fn a_change_does_not_pardon_itself_by_levels_limits_or_open_points() {
    let base = bases()["base-iec.yaml"].clone();
    let strict = base.replace(
        "  practice: iec\n",
        "  practice: iec\n  open-points: block\n  levels: {load-basis: error}\n",
    );
    let repository = Repository::new();
    repository.put("cordwright.yaml", &strict);
    repository.put("cords.yaml", &cords(200));
    repository.commit();
    repository.put("cords.yaml", &cords(1700));
    let cases = [
        (
            strict.replace(
                "load-basis: error",
                "bank-overloaded: {level: off, reason: noise}, load-basis: error",
            ),
            "lowers the rule bank-overloaded to off",
        ),
        (
            strict.replace(
                "load-basis: error",
                "bank-overloaded: note, load-basis: error",
            ),
            "lowers the rule bank-overloaded to note",
        ),
        (
            strict.replace("  levels: {load-basis: error}\n", ""),
            "lowers the rule load-basis to its own level",
        ),
        (
            strict.replace("continuous-load: 80 %", "continuous-load: 100 %"),
            "moves the limit continuous-load from 80 % to 100 %",
        ),
        (
            strict.replace("  continuous-load: 80 %\n", ""),
            "moves the limit continuous-load from 80 % to nothing",
        ),
        (
            strict.replace("supply-tolerance: 10 %", "supply-tolerance: 0 %"),
            "moves the limit supply-tolerance from 10 % to 0 %",
        ),
        (
            strict.replace("total: 5 %", "total: 9 %"),
            "moves the limit voltage-drop.total from 5 % to 9 %",
        ),
        (
            strict.replace("  open-points: block\n", ""),
            "lets open points pass",
        ),
    ];
    for (text, what) in cases {
        assert_ne!(text, strict, "{what}");
        repository.put("cordwright.yaml", &text);
        let told = flat(&check(&repository, &[], 1).output);
        assert!(told.contains(what), "{what}\n{told}");
        let report = json(&repository, &[], 1);
        assert!(
            has(&report, "bank-overloaded", "new"),
            "{what}: {:?}",
            standing(&report)
        );
        assert_eq!(report["sites"][0]["comparison"]["relaxations"], 1, "{what}");
    }
}

/// A limit that is set for the first time relaxes what holds where none is set.
#[test]
fn a_limit_that_is_set_for_the_first_time_does_not_pardon_what_held_without_it() {
    let nec = bases()["base-nec.yaml"].clone();
    let without = nec.replace("  continuous-load: 80 %\n", "");
    assert_ne!(nec, without);
    let repository = Repository::new();
    repository.put("cordwright.yaml", &without);
    repository.commit();
    repository.put(
        "cordwright.yaml",
        &nec.replace("continuous-load: 80 %", "continuous-load: 100 %"),
    );
    let report = json(&repository, &[], 0);
    assert_eq!(report["sites"][0]["comparison"]["relaxations"], 0);
}

#[test]
fn what_a_change_leaves_out_is_judged_all_the_same() {
    let repository = site(200);
    repository.put("cords.yaml", &cords(1700));
    let base = &bases()["base-iec.yaml"];
    for glob in ["**", "cords.yaml", "c*"] {
        let text = base.replace(
            "  practice: iec\n",
            &format!("  practice: iec\n  files: {{leave-out: ['{glob}']}}\n"),
        );
        repository.put("cordwright.yaml", &text);
        let report = json(&repository, &[], 1);
        assert!(
            has(&report, "bank-overloaded", "new"),
            "{glob}: {:?}",
            standing(&report)
        );
        assert!(has(&report, "policy-relaxed", "new"), "{glob}");
        assert!(!has(&report, "sight-lost", "new"), "{glob}");
        assert_eq!(
            report["sites"][0]["comparison"]["balance"]["watts_now"]["known"],
            1700.0
        );
    }
}

#[test]
fn what_is_still_there_and_is_not_read_is_an_error_and_never_put_right() {
    let repository = site(1700);
    let text = repository.take("cords.yaml");
    for hiding_place in [
        "cords.txt",
        ".hidden/cords.yaml",
        "target/cords.yaml",
        "cords.yaml.bak",
    ] {
        repository.put(hiding_place, &text);
        let report = json(&repository, &[], 1);
        assert!(has(&report, "sight-lost", "new"), "{hiding_place}");
        let gone = report["sites"][0]["comparison"]["gone"].as_array().unwrap();
        assert!(
            gone.iter().all(|gone| gone["rule"] != "bank-overloaded"),
            "{hiding_place}: {gone:?}"
        );
        repository.take(hiding_place);
    }
    // A little change on the way does not make another thing of it.
    repository.put("cords.txt", &text.replace("1700 W", "1650 W"));
    assert!(has(&json(&repository, &[], 1), "sight-lost", "new"));
    repository.take("cords.txt");
    // In a site of its own it hangs on nothing.
    repository.put(
        "inner/cordwright.yaml",
        "site: {name: Inner, practice: iec}\n",
    );
    repository.put("inner/cords.yaml", &text);
    let told = repository.world.run(&words(&["--format", "json"]));
    let report: serde_json::Value = serde_json::from_str(&told.output).unwrap();
    assert!(has(&report, "sight-lost", "new"), "{:?}", standing(&report));
}

/// What cannot be computed any more is no cure.
#[test]
fn a_load_that_is_struck_out_is_lost_and_overloads_nothing_less() {
    let repository = site(1700);
    let known = cords(1700);
    for (struck, is_lost) in [
        (
            known
                .replace(", draw: 1700 W", "")
                .replace("    rating: 2000 W\n", ""),
            true,
        ),
        (known.replace("    power-factor: 0.97\n", ""), true),
        (known.replace("draw: 1700 W", "draw: some"), true),
        (known.replace("draw: 1700 W", "draw: 300 W"), false),
        // By its nameplate it is known, too.
        (known.replace(", draw: 1700 W", ""), false),
    ] {
        repository.put("cords.yaml", &struck);
        let words = words(&["--format", "json"]);
        let report = serde_json::from_str(&repository.world.run(&words).output).unwrap();
        assert_eq!(has(&report, "sight-lost", "new"), is_lost, "{struck}");
    }
}

/// Text that is no definition any more is no load that is gone.
#[test]
fn a_file_that_is_struck_out_in_its_place_is_out_of_sight() {
    let as_comment = |text: &str| text.replace('\n', "\n# ").replacen("", "# ", 1);
    let as_block = |text: &str| format!("|\n  {}", text.replace('\n', "\n  "));
    let as_line = |text: &str| format!("# {}\n", text.replace('\n', "\u{2028}"));
    for struck in [
        as_comment(&cords(1700)),
        as_block(&cords(1700)),
        as_line(&cords(1700)),
    ] {
        let repository = site(1700);
        repository.put("cords.yaml", &struck);
        let report = json(&repository, &[], 1);
        assert!(has(&report, "sight-lost", "new"), "{struck}");
    }
    let repository = site(1700);
    repository.put("cords.yaml", "# Nothing is left.\n");
    assert!(!has(&json(&repository, &[], 0), "sight-lost", "new"));
}

#[test]
fn a_file_that_is_moved_within_the_site_changes_nothing() {
    let repository = site(1700);
    let text = repository.take("cords.yaml");
    repository.put("rows/r1.yaml", &format!("# moved\n{text}"));
    let told = flat(&check(&repository, &[], 0).output);
    assert!(told.contains("unchanged"), "{told}");
    assert!(!told.contains("The balance of the change"), "{told}");
}

#[test]
fn what_is_deleted_is_listed_with_its_watts() {
    let repository = site(1700);
    let text = repository.take("cords.yaml");
    let (before, _) = text.split_once("devices:").unwrap();
    let types = &text[text.find("cord-types:").unwrap()..text.find("cords:\n").unwrap()];
    repository.put("cords.yaml", &format!("{before}{types}"));
    let told = flat(&check(&repository, &[], 0).output);
    assert!(
        told.contains("devices: 1 before, 0 now; taken out: rec-1 (1700 W)"),
        "{told}"
    );
    assert!(
        told.contains("cords: 1 before, 0 now; taken out: W-1"),
        "{told}"
    );
    assert!(
        told.contains("load of all devices: 1700 W before, 0 W now"),
        "{told}"
    );
    assert!(told.contains("bank-overloaded at pdu-a/B1"), "{told}");
}

#[test]
fn keys_that_read_otherwise_are_told_beside_findings_that_went_away() {
    let repository = site(1700);
    repository.put(
        "cords.yaml",
        &cords(1700).replace("power-factor: 0.97", "power-factor: 1.0"),
    );
    repository.put(
        "cords.yaml",
        &cords(1500).replace("rating: 2000 W", "rating: 1900 W"),
    );
    let told = flat(&check(&repository, &[], 0).output);
    assert!(
        told.contains("device-models.recorder.rating: 2000 W before, 1900 W now"),
        "{told}"
    );
}

#[test]
fn a_file_that_cannot_be_read_any_more_ends_with_2_and_puts_nothing_right() {
    let repository = site(1700);
    repository.put("cords.yaml", "cords: {W-1: [\n");
    let report = json(&repository, &[], 2);
    let gone = report["sites"][0]["comparison"]["gone"].as_array().unwrap();
    assert!(
        gone.iter().all(|gone| gone["rule"] != "bank-overloaded"),
        "{gone:?}"
    );
}

#[test]
fn without_a_site_before_the_built_in_policy_counts() {
    let repository = Repository::new();
    repository.put("README.md", "# Notes\n");
    repository.commit();
    repository.put("cordwright.yaml", &bases()["base-iec.yaml"]);
    repository.put("cords.yaml", &cords(1700));
    repository.put("agreed.yaml", DEPARTURE);
    let report = json(&repository, &[], 1);
    assert!(has(&report, "policy-relaxed", "new"));
    assert!(has(&report, "bank-overloaded", "new"));
    check(&repository, &["--relaxations", "tell"], 0);
}

/// Nothing to judge is no state that cannot be read: what its policy says was agreed.
#[test]
fn the_policy_of_a_site_in_which_there_was_nothing_yet_counts() {
    let repository = Repository::new();
    repository.put(
        "cordwright.yaml",
        "site: {name: Quay, practice: iec, country: GB, open-points: tell}\n",
    );
    repository.put("agreed.yaml", DEPARTURE);
    repository.commit();
    repository.put("cordwright.yaml", &bases()["base-iec.yaml"]);
    repository.put("cords.yaml", &cords(1700));
    let told = check(&repository, &[], 0);
    assert!(!told.errors.contains("not all of"), "{}", told.errors);
}

/// A base of which not all can be read may hold other departures: nothing counts as agreed.
#[test]
fn a_base_that_cannot_be_read_has_agreed_to_nothing() {
    let repository = site(1700);
    repository.put("agreed.yaml", DEPARTURE);
    repository.put("broken.yaml", "cords: {W-9: [\n");
    repository.commit();
    repository.take("broken.yaml");
    let report = json(&repository, &[], 1);
    assert!(has(&report, "policy-relaxed", "new"));
}

#[test]
fn the_policy_may_come_from_another_revision() {
    let repository = site(200);
    repository.put("agreed.yaml", DEPARTURE);
    repository.commit();
    repository.git(&["branch", "agreed"]);
    repository.git(&["reset", "-q", "--hard", "HEAD~1"]);
    repository.put("cords.yaml", &cords(1700));
    repository.put("agreed.yaml", DEPARTURE);
    check(&repository, &[], 1);
    let report = json(&repository, &["--policy", "agreed"], 0);
    assert!(!has(&report, "policy-relaxed", "new"));
    let unknown = repository.world.run(&words(&["--policy", "nowhere"]));
    assert_eq!(unknown.code, Some(2));
}
