//! Rules of the records where their pages would need parts that other rules speak of.

use crate::pages::bases;
use crate::site::judged;

/// What `rule` points at, and the headlines, in the base site with `more` added.
fn said(rule: &str, more: &str) -> Vec<(String, String)> {
    let files = vec![
        (
            "cordwright.yaml".to_owned(),
            bases()["base-iec.yaml"].clone(),
        ),
        ("more.yaml".to_owned(), more.to_owned()),
    ];
    let judgement = judged(&files);
    let own = judgement.findings.iter().filter(|f| f.rule == rule);
    own.map(|f| {
        let at = judgement.sources.text(f.main.span).to_owned();
        (at, f.headline.clone())
    })
    .collect()
}

const TYPE: &str = "cord-types: {t: {plug: C14, connector: C13, conductor: 1 mm², length: 1 m}}\n";

#[test]
fn a_strip_fed_from_two_sides_is_booked_twice() {
    let cords = "cords: {W-1: {type: t, from: pdu-a/1, to: pdu-b}}\n";
    let said = said("double-booked", &format!("{TYPE}{cords}"));
    assert_eq!(said.len(), 1, "{said:#?}");
    assert_eq!(said[0].0, "pdu-b");
    assert!(said[0].1.contains("stay live"), "{}", said[0].1);
}

#[test]
fn two_cords_into_one_strip_are_booked_twice() {
    let more = "pdus: {pdu-c: {model: strip-16, rack: r1}}\ncords:\n  W-1: {type: t, from: pdu-a/1, to: pdu-c}\n  W-2: {type: t, from: pdu-b/1, to: pdu-c}\n";
    let said = said("double-booked", &format!("{TYPE}{more}"));
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].1.contains("cord W-1 and cord W-2"), "{}", said[0].1);
}

#[test]
fn one_cord_that_feeds_a_strip_books_it_once() {
    for strip in [
        "{model: strip-16, rack: r1}",
        "{model: strip-16, rack: r1, from: W-1}",
    ] {
        let more = format!(
            "{TYPE}pdus: {{pdu-c: {strip}}}\ncords: {{W-1: {{type: t, from: pdu-a/1, to: pdu-c}}}}\n"
        );
        assert!(said("double-booked", &more).is_empty(), "{strip}");
        assert!(said("missing-key", &more).is_empty(), "{strip}");
    }
}

#[test]
fn a_strip_and_a_cord_on_one_outlet_are_booked_twice() {
    let more = "pdus: {pdu-c: {model: strip-16, rack: r1, from: pdu-a/1}}\ncords: {W-1: {type: t, from: pdu-a/1, to: pdu-b}}\n";
    let outlets = said("double-booked", &format!("{TYPE}{more}"));
    let outlet = outlets
        .iter()
        .filter(|(_, headline)| headline.starts_with("outlet pdu-a/1"));
    assert_eq!(outlet.count(), 1, "{outlets:#?}");
}

#[test]
fn a_ring_that_runs_through_a_cord_shows_the_cord() {
    let more = "pdus: {pdu-c: {model: strip-16, rack: r1, from: W-1}}\ncords: {W-1: {type: t, from: pdu-c/1, to: pdu-c}}\n";
    let ring = said("power-loop", &format!("{TYPE}{more}"));
    assert_eq!(ring.len(), 1, "{ring:#?}");
    assert!(ring[0].1.contains("pdu-c from pdu-c"), "{}", ring[0].1);
}

#[test]
fn a_device_on_fewer_inlets_than_it_needs_is_dead() {
    let more = |needed: u32| {
        format!(
            "{TYPE}device-models: {{m: {{inlets: {{a: C14, b: C14, c: C14}}, inlets-needed: {needed}}}}}\ndevices: {{d: {{model: m, rack: r1}}}}\ncords:\n  W-1: {{type: t, from: pdu-a/1, to: d/a}}\n  W-2: {{type: t, from: pdu-b/1, to: d/b}}\n"
        )
    };
    let enough = said("unfed-inlet", &more(2));
    assert!(enough[0].1.contains("inlet d/c has no cord"), "{enough:#?}");
    let too_few = said("unfed-inlet", &more(3));
    assert!(
        too_few[0].1.contains("needs 3 fed inlets and has 2"),
        "{too_few:#?}"
    );
}

#[test]
fn a_departure_is_idle_only_where_its_rule_was_run() {
    let departures =
        "departures: [{rule: load-basis, at: rec-9, reason: a, agreed-by: b, until: 2027-03-31}]\n";
    assert_eq!(said("departure-idle", departures).len(), 1);
    let off = format!(
        "{departures}site: {{practice: iec, levels: {{load-basis: {{level: off, reason: c}}}}}}\n"
    );
    let files = vec![("cordwright.yaml".to_owned(), off)];
    let judgement = judged(&files);
    assert!(
        judgement
            .findings
            .iter()
            .all(|f| f.rule != "departure-idle")
    );
}

#[test]
fn a_zone_that_a_device_outside_racks_names_is_in_use() {
    let zone = "zones: {yard: {air: room}}\n";
    assert_eq!(said("idle-definition", zone).len(), 1);
    let model = "device-models: {m: {inlets: {a: C14}}}\n";
    let used = format!("{zone}{model}devices: {{d: {{model: m, zone: yard}}}}\n");
    assert!(said("idle-definition", &used).is_empty());
}
