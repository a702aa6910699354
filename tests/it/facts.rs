//! What an open point wants: every missing fact is a key of the format, and somebody is told where its
//! answer is found.

use std::collections::BTreeSet;

use cordwright::finding::{Fact, Finding, Verdict};
use serde_json::Value;

use crate::pages::example_sites;
use crate::site::judged;

/// Open points that no key of the format would decide: the tables have no row, sources disagree, or a
/// fault that is told hides the answer.
const NO_KEY: &[(&str, &str)] = &[
    // Sources disagree about the marks.
    ("approval-missing", ""),
    // No sheet of the tables is for such a set.
    ("conductor-below-minimum", "sheet"),
    // What was marked decides, not what a table says.
    ("earth-interrupted", "marking"),
    // The tables do not say what a cordage is made for.
    ("jacket-duty", ""),
    ("jacket-smoke", ""),
    // A part of the definitions could not be read: the fact may stand there.
    ("missing-key", "unfed"),
    ("unfed-inlet", "unread"),
    ("unknown-name", "unread"),
    // Either of two keys of several things would do.
    ("retention-missing", "thing"),
    // The name of the coupler is not its whole name.
    ("voltage-out-of-range", "outlet"),
];

fn open_points() -> Vec<Finding> {
    let sites = example_sites();
    let findings = sites.iter().flat_map(|files| judged(files).findings);
    findings.filter(|f| f.verdict == Verdict::Open).collect()
}

#[test]
fn an_open_point_names_the_facts_that_would_decide_it() {
    let unnamed = open_points().into_iter().filter(|f| f.wants.is_empty());
    let unnamed: BTreeSet<(&str, &str)> = unnamed.map(|f| (f.rule, f.kind)).collect();
    let known: BTreeSet<(&str, &str)> = NO_KEY.iter().copied().collect();
    assert_eq!(unnamed, known);
}

#[test]
fn every_fact_is_told_with_where_its_answer_is_found() {
    let facts = open_points().into_iter().flat_map(|f| f.wants);
    let unasked = facts.filter(|fact| fact.asked().is_none());
    let unasked: BTreeSet<(&str, String)> = unasked.map(|f| (f.kind, f.key.to_string())).collect();
    assert!(unasked.is_empty(), "{unasked:?}");
}

#[test]
fn every_fact_is_a_key_of_the_format() {
    let schema = cordwright::model::schema();
    let facts: BTreeSet<Fact> = open_points().into_iter().flat_map(|f| f.wants).collect();
    assert!(facts.len() > 50, "{}", facts.len());
    for fact in facts.iter().filter(|fact| fact.key != "positions") {
        assert!(is_key(&schema, fact), "{fact}");
    }
}

fn is_key(schema: &Value, fact: &Fact) -> bool {
    let section = match fact.kind {
        "site" => "site".to_owned(),
        "feed" => return fact.key == "colour",
        "supply" => "supplies".to_owned(),
        kind => format!("{}s", kind.to_lowercase().replace(' ', "-")),
    };
    let mut form = &schema["properties"][&section];
    if fact.kind != "site" {
        form = &form["additionalProperties"];
    }
    for part in fact.path() {
        let own = forms(form).find_map(|form| {
            form["properties"].get(part).or_else(|| {
                let any = &form["additionalProperties"];
                any.is_object().then_some(any)
            })
        });
        let Some(own) = own else { return false };
        form = own;
    }
    true
}

/// A form and what it may be instead.
fn forms(form: &Value) -> impl Iterator<Item = &Value> {
    let others = ["anyOf", "allOf", "oneOf"].map(|key| form[key].as_array());
    let others = others.into_iter().flatten().flatten();
    std::iter::once(form).chain(others)
}
