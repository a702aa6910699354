//! A site with cords that are still to be fitted or pulled is judged as it hangs and as it is planned.

use cordwright::finding::Finding;
use cordwright::model::stage::Stage;

use crate::pages::bases;
use crate::site::judged;

/// Two thick cords, and a thin one that one loss overloads.
const TYPES: &str = "cord-types:
  thin: {plug: C14, connector: C13, conductor: 0.75 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
";

const DEVICES: &str = "device-models:
  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 1300 VA}
";

/// What is found of a site with these cords, in the base of the pages.
fn found(cords: &str) -> Vec<Finding> {
    let base = bases()["base-iec.yaml"].clone();
    let own = format!("{DEVICES}{TYPES}cords:\n{cords}");
    let judgement = judged(&vec![
        ("base.yaml".to_owned(), base),
        ("cords.yaml".to_owned(), own),
    ]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    let mut findings = judgement.findings;
    findings.retain(|finding| finding.rule != "idle-definition");
    findings
}

/// The rules that speak, each with the stage that it speaks of.
fn told(cords: &str) -> Vec<(&'static str, Option<Stage>)> {
    let found = found(cords);
    for finding in &found {
        let words = finding.stage.map_or("", Stage::words);
        assert!(finding.headline.contains(words), "{}", finding.headline);
    }
    found
        .iter()
        .map(|finding| (finding.rule, finding.stage))
        .collect()
}

fn cord(name: &str, kind: &str, from: &str, to: &str, state: &str) -> String {
    format!("  {name}: {{type: {kind}, from: {from}, to: rec-1/{to}{state}}}\n")
}

const TO_PULL: &str = ", state: to-pull";
const TO_FIT: &str = ", state: to-fit";

#[test]
fn a_fault_that_is_to_be_pulled_is_told_as_fitted_until_it_is_gone() {
    let thin = |state: &str| cord("W-1", "thin", "pdu-a/1", "psu1", state);
    let other = cord("W-2", "red", "pdu-b/1", "psu2", "");
    let better = cord("W-3", "blue", "pdu-a/1", "psu1", TO_FIT);
    assert_eq!(
        told(&format!("{}{other}", thin(""))),
        [("conductor-underrated", None)]
    );
    assert_eq!(
        told(&format!("{}{other}{better}", thin(TO_PULL))),
        [("conductor-underrated", Some(Stage::Fitted))]
    );
    // Two cords in one outlet, and at one inlet, of which only one ever hangs.
    assert_eq!(told(&format!("{}{other}", better.replace(TO_FIT, ""))), []);
}

#[test]
fn a_fault_that_is_planned_is_told_before_it_hangs() {
    let good = cord("W-1", "blue", "pdu-a/1", "psu1", TO_PULL);
    let other = cord("W-2", "red", "pdu-b/1", "psu2", "");
    for state in [TO_FIT, ", state: on-order", ", state: in-store"] {
        let thin = cord("W-3", "thin", "pdu-a/1", "psu1", state);
        assert_eq!(
            told(&format!("{good}{other}{thin}")),
            [("conductor-underrated", Some(Stage::Planned))],
            "{state}"
        );
    }
}

/// Cords to come are no redundancy, and no gap in the records either.
#[test]
fn what_is_all_planned_is_silent_as_fitted() {
    let first = cord("W-1", "blue", "pdu-a/1", "psu1", TO_FIT);
    let second = cord("W-2", "red", "pdu-b/1", "psu2", TO_FIT);
    assert_eq!(told(&format!("{first}{second}")), []);
    let fitted = second.replace(TO_FIT, ", state: fitted, fitted: 2026-11-20");
    assert_eq!(told(&format!("{first}{fitted}")), []);
    // Once the cord that is to be pulled is gone, the inlet is bare.
    let gone = second.replace(TO_FIT, TO_PULL);
    let told = told(&format!("{}{gone}", first.replace(TO_FIT, "")));
    assert_eq!(told, [("unfed-inlet", Some(Stage::Planned))]);
}

#[test]
fn cords_to_come_are_no_redundancy() {
    let critical = |cords: &str| {
        let base = bases()["base-iec.yaml"].clone();
        let devices = DEVICES.replace("draw: 1300 VA", "draw: 1300 VA, critical: yes");
        let own = format!("{devices}{TYPES}cords:\n{cords}");
        let files = [("base.yaml", base), ("cords.yaml", own)];
        let files = files.map(|(path, text)| (path.to_owned(), text));
        let findings = judged(&files.to_vec()).findings.into_iter();
        let findings = findings.filter(|finding| finding.rule == "single-corded");
        findings.map(|finding| finding.stage).collect::<Vec<_>>()
    };
    let first = cord("W-1", "blue", "pdu-a/1", "psu1", "");
    let second = |state| cord("W-2", "red", "pdu-b/1", "psu2", state);
    assert_eq!(critical(&format!("{first}{}", second(""))), []);
    assert_eq!(
        critical(&format!("{first}{}", second(TO_FIT))),
        [Some(Stage::Fitted)]
    );
    assert_eq!(
        critical(&format!("{first}{}", second(TO_PULL))),
        [Some(Stage::Planned)]
    );
}

/// A state that cannot be read leaves its cord out of nothing.
#[test]
fn a_state_that_cannot_be_read_counts_at_both_stages() {
    let thin = cord("W-1", "thin", "pdu-a/1", "psu1", ", state: to-pul");
    let other = cord("W-2", "red", "pdu-b/1", "psu2", "");
    assert_eq!(
        told(&format!("{thin}{other}")),
        [("conductor-underrated", None), ("bad-quantity", None)]
    );
}

/// A departure from a fault that ends with the plan is idle only once the fault is gone.
#[test]
fn a_departure_holds_for_what_hangs_still() {
    let thin = cord("W-1", "thin", "pdu-a/1", "psu1", TO_PULL);
    let other = cord("W-2", "red", "pdu-b/1", "psu2", "");
    let better = cord("W-3", "blue", "pdu-a/1", "psu1", TO_FIT);
    let departure = "departures:\n- {rule: conductor-underrated, at: W-1, reason: until Friday, agreed-by: M. Oduya, until: 2026-12-04}\n";
    assert_eq!(told(&format!("{thin}{other}{better}{departure}")), []);
}

/// What both stages have is told once, at its worst.
#[test]
fn what_both_stages_have_is_told_once() {
    let thin = cord("W-1", "thin", "pdu-a/1", "psu1", "");
    let other = |state| cord("W-2", "red", "pdu-b/1", "psu2", state);
    let alone = found(&format!("{thin}{}", other(TO_PULL)));
    let said: Vec<_> = alone
        .iter()
        .map(|finding| (finding.rule, finding.stage))
        .collect();
    assert_eq!(
        said,
        [
            ("unfed-inlet", Some(Stage::Planned)),
            ("conductor-underrated", None)
        ]
    );
}

/// Nobody can tell whether a cord hangs that was fitted on some day and is still on order.
#[test]
fn a_day_of_fitting_wants_a_cord_that_is_fitted() {
    let first = cord("W-1", "blue", "pdu-a/1", "psu1", "");
    let says = |state: &str| {
        let state = format!(", fitted: 2026-11-20{state}");
        told(&format!(
            "{first}{}",
            cord("W-2", "red", "pdu-b/1", "psu2", &state)
        ))
    };
    assert_eq!(says(""), []);
    assert_eq!(says(", state: fitted"), []);
    for state in ["to-fit", "on-order", "in-store"] {
        let told = says(&format!(", state: {state}"));
        assert_eq!(told, [("bad-quantity", None)], "{state}");
    }
}
