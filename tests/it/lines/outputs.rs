//! What is shown and offered of cords in line.

use cordwright::editor::{OpenSite, Task};
use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::schedule::{Kind, schedule};
use cordwright::source::FileId;
use cordwright::trace::trace;

use crate::site::{Files, read, today};

use super::files;

fn open(files: &Files) -> OpenSite {
    let files = files.iter();
    let input = SiteInput {
        files: files
            .map(|(path, text)| (path.clone(), text.clone().into_bytes()))
            .collect(),
        ..SiteInput::default()
    };
    let whole = Task::read(input, &[], Settings::on(today())).judge(|| true);
    OpenSite::new(whole.unwrap())
}

/// Where some text ends in the file of the devices.
fn end_of(site: &OpenSite, text: &str) -> (FileId, usize) {
    let id = site.by_path("more.yaml").unwrap();
    let at = site.source(id).text.find(text).unwrap();
    (id, at + text.len())
}

#[test]
fn a_trace_goes_through_the_whole_line() {
    let site = read(&files(&[]));
    let trace = trace(&site.analysis(today()), "box-1").unwrap();
    let hops: Vec<&str> = trace.paths[0]
        .hops
        .iter()
        .map(|hop| hop.what.as_str())
        .collect();
    assert_eq!(hops[hops.len() - 2..], ["cord W-1", "cord W-2"], "{hops:?}");
}

#[test]
fn schedules_have_both_ends_of_both_cords() {
    let site = read(&files(&[]));
    let analysis = site.analysis(today());
    let cords = schedule(&analysis, Kind::Cords);
    let row = |name: &str| cords.rows.iter().find(|row| row[0] == name).unwrap();
    assert_eq!(row("W-1")[1..5], ["pdu-a/1", "r1", "W-2", ""]);
    assert_eq!(row("W-2")[1..5], ["W-1", "", "box-1/psu1", "r1"]);
    assert_eq!(row("W-2")[12], "A");
    // An adapter has no conductor, no cordage and no length, and nobody is asked for them.
    assert_eq!(row("W-4")[8..11], ["none", "none", "none"]);
    let labels = schedule(&analysis, Kind::Labels);
    let ends = labels.rows.iter().filter(|row| row[0] == "W-1");
    let ends: Vec<&[String]> = ends.map(|row| &row[2..4]).collect();
    assert_eq!(ends, [["pdu-a/1", "W-2"], ["W-2", "pdu-a/1"]]);
    let order = schedule(&analysis, Kind::Order(None));
    let counts = order.rows.iter().map(|row| row.join(" "));
    let counts: Vec<String> = counts.collect();
    assert!(counts.iter().any(|row| row.contains("none")), "{counts:#?}");
}

#[test]
fn an_editor_offers_cords_whose_names_are_begun_and_legs() {
    let labels = |typed: &str, edits: &[(&str, &str)]| {
        let site = open(&files(edits));
        let (file, byte) = end_of(&site, typed);
        let offers = site.offers(file, byte).unwrap().list;
        offers
            .into_iter()
            .map(|offer| offer.label)
            .collect::<Vec<_>>()
    };
    let begun = labels("W-2: {type: blue, from: W-", &[]);
    assert!(begun.contains(&"W-1".to_owned()), "{begun:?}");
    let forked = [
        ("W-1: {type: blue,", "W-1: {type: fork,"),
        ("from: W-1,", "from: W-1/a,"),
    ];
    let legs = labels("W-2: {type: blue, from: W-1/", &forked);
    assert_eq!(legs, ["W-1/a", "W-1/b"]);
}

#[test]
fn a_cord_is_found_and_renamed_where_another_is_plugged_into_it() {
    let site = open(&files(&[("from: pdu-a/1}", "from: pdu-a/1, to: W-2}")]));
    let (file, byte) = end_of(&site, "  W-1");
    let target = site.may_rename(file, byte).unwrap();
    // The cord, and the one that hangs on it.
    assert_eq!(site.rename(&target, "W-100").unwrap().len(), 2);
    let (file, byte) = end_of(&site, "to: W-2");
    let target = site.target(file, byte).unwrap();
    let defined = site.definitions(&target);
    assert_eq!(defined.len(), 1);
    let text = &site.source(defined[0].file).text;
    assert!(text[defined[0].range().start..].starts_with("W-2: {type: blue"));
}

#[test]
fn a_leg_is_found_where_a_cord_is_plugged_into_it() {
    let site = open(&files(&[
        ("W-1: {type: blue,", "W-1: {type: fork,"),
        ("from: W-1,", "from: W-1/a,"),
    ]));
    let (file, byte) = end_of(&site, "from: W-1/a");
    let target = site.target(file, byte).unwrap();
    let defined = site.definitions(&target);
    assert_eq!(defined.len(), 1, "{target:?}");
    let text = &site.source(defined[0].file).text;
    assert!(text[defined[0].range().start..].starts_with("a: {connector: C13"));
}
