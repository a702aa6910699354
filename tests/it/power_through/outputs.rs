//! What is shown of things that are plugged into a device.

use std::collections::BTreeMap;

use cordwright::editor::{OpenSite, Task};
use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::schedule::{Kind, schedule};
use cordwright::sheet::{answered, room};
use cordwright::trace::trace;

use crate::site::{Files, read, today};

use super::files;

fn input(files: &Files) -> SiteInput {
    let files = files.iter();
    SiteInput {
        files: files
            .map(|(path, text)| (path.clone(), text.clone().into_bytes()))
            .collect(),
        ..SiteInput::default()
    }
}

fn open(files: &Files) -> OpenSite {
    let whole = Task::read(input(files), &[], Settings::on(today())).judge(|| true);
    OpenSite::new(whole.unwrap())
}

/// Where some text ends in the file of the devices.
fn end_of(site: &OpenSite, text: &str) -> (cordwright::source::FileId, usize) {
    let id = site.by_path("more.yaml").unwrap();
    let at = site.source(id).text.find(text).unwrap();
    (id, at + text.len())
}

#[test]
fn a_trace_names_the_device_that_the_power_goes_through() {
    let site = read(&files(&[]));
    let trace = trace(&site.analysis(today()), "box-1").unwrap();
    let hops: Vec<&str> = trace.paths[0]
        .hops
        .iter()
        .map(|hop| hop.what.as_str())
        .collect();
    let last = &hops[hops.len() - 2..];
    assert_eq!(
        last,
        ["cord W-1 and device screen-1", "cord W-2"],
        "{hops:?}"
    );
}

#[test]
fn schedules_have_both_ends_of_a_cord_from_a_device() {
    let site = read(&files(&[]));
    let analysis = site.analysis(today());
    let cords = schedule(&analysis, Kind::Cords);
    let row = cords.rows.iter().find(|row| row[0] == "W-2").unwrap();
    assert_eq!(row[1..5], ["screen-1/1", "r1", "box-1/psu1", "r1"]);
    assert_eq!(row[12], "A");
    let labels = schedule(&analysis, Kind::Labels);
    let ends = labels.rows.iter().filter(|row| row[0] == "W-2");
    let ends: Vec<&[String]> = ends.map(|row| &row[2..4]).collect();
    assert_eq!(
        ends,
        [["screen-1/1", "box-1/psu1"], ["box-1/psu1", "screen-1/1"]]
    );
}

#[test]
fn a_rack_as_it_should_be_has_the_outlets_of_devices() {
    let site = read(&files(&[]));
    let sheet = room(&site.analysis(today()), Some("r1")).unwrap();
    let of = |outlet: [&str; 2]| {
        let row = sheet.rows.iter().find(|row| row[1..3] == outlet).unwrap();
        row[4].clone()
    };
    assert_eq!(of(["screen-1", "1"]), "W-2");
    assert_eq!(of(["screen-1", "2"]), "");
    assert_eq!(of(["shelf-1", "a"]), "W-5");
}

/// The answer is written under the range as it stands, not under one outlet of it.
#[test]
fn an_answer_is_written_where_the_outlets_stand() {
    for (before, after) in [
        ("1-2: C13", "1-2: {coupler: C13, rating: 3 A}"),
        ("1-2: {coupler: C13}", "1-2: {rating: 3 A, coupler: C13}"),
    ] {
        let files = files(&[("1-2: {coupler: C13, rating: 8 A}", before)]);
        let sheet = "thing,key,answer\ndevice model screen,outlets.1-2.rating,3 A\n";
        let settings = Settings::on(today());
        let answered = answered(input(&files), &BTreeMap::new(), sheet.as_bytes(), &settings);
        assert_eq!(answered.remarks, []);
        let (_, text) = &answered.changed[0];
        assert!(text.contains(after), "{text}");
    }
}

#[test]
fn an_editor_offers_outlets_of_devices_and_their_inlets() {
    let labels = |typed: &str| {
        let site = open(&files(&[]));
        let (file, byte) = end_of(&site, typed);
        let offers = site.offers(file, byte).unwrap().list;
        offers
            .into_iter()
            .map(|offer| (offer.label, offer.detail))
            .collect::<Vec<_>>()
    };
    let offers = labels("W-5: {type: blue, from: shelf-1/");
    let wanted = [
        ("shelf-1/b", "C13, inlet psu2, free"),
        ("shelf-1/a", "C13, inlet psu1, taken"),
    ];
    let wanted = wanted.map(|(label, detail)| (label.to_owned(), detail.to_owned()));
    assert_eq!(offers, wanted);
    let offers = labels("a: {coupler: C13, inlet: psu");
    let names: Vec<&str> = offers.iter().map(|(label, _)| label.as_str()).collect();
    assert_eq!(names, ["psu1", "psu2"]);
}

#[test]
fn a_device_is_renamed_where_cords_are_plugged_into_it() {
    let site = open(&files(&[]));
    let (file, byte) = end_of(&site, "  screen-1");
    let target = site.may_rename(file, byte).unwrap();
    let edits = site.rename(&target, "monitor-1").unwrap();
    // The device, the cord to it and the cord from it.
    assert_eq!(edits.len(), 3);
    let (file, byte) = end_of(&site, "from: shelf-1/a");
    let target = site.target(file, byte).unwrap();
    let defined = site.definitions(&target);
    assert_eq!(defined.len(), 1);
    let text = &site.source(defined[0].file).text;
    assert!(text[defined[0].range().start..].starts_with("a: {coupler: C13, inlet: psu1"));
}
